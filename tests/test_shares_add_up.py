"""The same totals in balance, report and shares: all copies together are the whole ledger."""

from __future__ import annotations

from math import fsum

import pytest
from farms import STANDARD
from papers import annual, example, labelled, results_of, shared
from workbooks import SHIPPED, Entries, document, entries_of

from ledger.model import FIGURES, Results, Total
from ledger.report.part import part_of
from ledger.report.summary import SUMMARY_FIGURES

FARMS = {"standard": entries_of(STANDARD), "example": example()}
NUTRIENTS = list(SHIPPED.nutrients)


def people(entries: Entries) -> list[str]:
    owners = [str(line["owner"]) for line in entries["fields"]]
    return list(dict.fromkeys(owners))


def added(totals: list[Total], nutrient: str, figure: str) -> float | None:
    masses = [total.figures[nutrient][figure] for total in totals]
    known = [mass for mass in masses if mass is not None]
    return fsum(known) if len(known) == len(masses) else None


@pytest.mark.parametrize("farm", FARMS)
def test_every_field_is_in_one_copy(farm: str) -> None:
    results = results_of(FARMS[farm])
    copies = [part_of(results, name, SHIPPED) for name in people(FARMS[farm])]
    fields = [total.name for copy in copies for total in copy.fields]
    assert sorted(fields) == sorted(total.name for total in results.fields)


@pytest.mark.parametrize("farm", FARMS)
@pytest.mark.parametrize("nutrient", NUTRIENTS)
def test_copies_add_up_to_the_balance(farm: str, nutrient: str) -> None:
    results = results_of(FARMS[farm])
    copies = [part_of(results, name, SHIPPED) for name in people(FARMS[farm])]
    for figure in FIGURES:
        for whole, parts in (
            (results.farm, [copy.farm for copy in copies if copy.farm.area]),
            (results.custom, [copy.custom for copy in copies if copy.custom.area]),
        ):
            wanted = whole.figures[nutrient][figure]
            found = added(parts, nutrient, figure)
            assert found == (None if wanted is None else pytest.approx(wanted, rel=1e-12)), figure
    assert fsum(copy.farm.area for copy in copies) == pytest.approx(results.farm.area)


@pytest.mark.parametrize("farm", FARMS)
def test_postings_of_the_copies_are_all_postings_about_ground(farm: str) -> None:
    results = results_of(FARMS[farm])
    copies = [part_of(results, name, SHIPPED) for name in people(FARMS[farm])]
    ground = [p for p in results.journal.postings if p.zone.field in results.book.zones]
    assert sum(len(copy.journal.postings) for copy in copies) == len(ground)


def printed(content: bytes, sheet: str, title: str) -> dict[str, list[float | None]]:
    """The totals table of a paper: figure -> masses as written, None where it reads unknown."""
    lines = labelled(content, sheet, title)
    found = {}
    for figure, words in SUMMARY_FIGURES.items():
        cells = lines[words][::2]  # a range stands beside each
        assert len(cells) == len(NUTRIENTS)
        found[figure] = [None if cell == "unknown" else float(cell) for cell in cells]
    return found


def balanced(results: Results, entries: Entries) -> dict[str, list[float | None]]:
    """The same table from ``balance --json``."""
    farm = document(entries)["farm"]["nutrients"]
    return {f: [farm[n][f"{f}_total"] for n in NUTRIENTS] for f in SUMMARY_FIGURES}


@pytest.mark.parametrize("farm", FARMS)
def test_what_is_printed_adds_up(farm: str) -> None:
    entries = FARMS[farm]
    results = results_of(entries)
    wanted = balanced(results, entries)
    report = printed(annual(entries), "Annual report", "Own and rented ground, all of it")
    copies = [
        printed(shared(entries, name), "Your ground", "All of your ground")
        for name in people(entries)
        if part_of(results, name, SHIPPED).farm.area
    ]
    assert len(copies) >= 2
    for figure, masses in wanted.items():
        assert report[figure] == [None if m is None else pytest.approx(m) for m in masses]
        for at, mass in enumerate(masses):
            parts = [copy[figure][at] for copy in copies]
            known = [part for part in parts if part is not None]
            total = fsum(known) if len(known) == len(parts) else None
            assert total == (None if mass is None else pytest.approx(mass)), figure


def test_applications_listed_add_up_to_what_was_applied() -> None:
    from ledger.report.work import works

    results = results_of(STANDARD)
    work = [item for item in works(results, SHIPPED) if not item.custom]
    for nutrient in NUTRIENTS:
        masses = [item.nutrients[nutrient] for item in work]
        applied = results.farm.figures[nutrient]["applied"]
        known = [mass for mass in masses if mass is not None]
        assert (fsum(known) if len(known) == len(masses) else None) == pytest.approx(applied)
