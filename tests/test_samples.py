"""Several lab slips of one lot: low, used and high, from the slips to credit, balance and to go.

The figures are invented; means and ends are arithmetic. Shares of MN-UMN and AB-NMPG are read
from the shipped sets, which have their own tests.
"""

from __future__ import annotations

from itertools import permutations
from typing import Any

import pytest
from farms import ONE_FIELD
from lines import farm, lot, spread, table
from papers import annual, opened, shared, text_of
from workbooks import (
    SHIPPED,
    Entries,
    Source,
    codes,
    document,
    edit,
    entries_of,
    errors,
    figures,
    put,
    run,
    workbook,
    zone,
)

from ledger.carry import carry
from ledger.explain import explain
from ledger.pipeline import Run
from ledger.report.part import part_of

CORN = "\n## crops\n| field | crop | n_entered |\n| Home | corn | 180 |\n"
SWEEP_SHARE = 0.80  # MN-UMN, swine, sweep: what the first crop can use


def slips(*lines: dict[str, object]) -> Entries:
    """Lines of Manure samples about the lot Pit."""
    base = {"lot": "Pit", "sampled": "2025-10-02", "per": "1000 gal"}
    given = [{**base, **line} for line in lines]
    return {"manure_samples": [{k: v for k, v in line.items() if v is not None} for line in given]}


def sampled(*lines: dict[str, object], more: str = "", **of_lot: Any) -> Entries:
    """4000 gal/ac on 40 ac of the lot Pit, which has 50 lb N a 1000 gal and these slips besides."""
    return {**entries_of(ONE_FIELD + CORN + lot(**of_lot) + spread() + more), **slips(*lines)}


def spans(source: Source, nutrient: str = "N") -> dict[str, Any]:
    """The ranges of a nutrient of the field."""
    (item,) = [r for r in document(source)["ranges"] if r["nutrient"] == nutrient]
    return dict(item["figures"])


def three(low: float, used: float, high: float) -> Any:
    return pytest.approx({"low": low, "used": used, "high": high})


# ------------------------------------------------------------- low, used, high
def test_the_mean_is_used_and_the_ends_reach_credit_balance_and_to_go() -> None:
    """50, 54 and 46 lb: 200 lb/ac by the mean, from 184 to 216."""
    found = spans(sampled({"n_total": 54}, {"n_total": 46}))
    assert found["manure"] == three(184, 200, 216)
    assert found["manure_credit"] == three(184 * SWEEP_SHARE, 160, 216 * SWEEP_SHARE)
    assert found["balance"] == three(184, 200, 216)
    assert found["to_go"] == three(180 - 216 * SWEEP_SHARE, 20, 180 - 184 * SWEEP_SHARE)


def test_a_slip_in_another_unit_of_the_same_kind_is_converted() -> None:
    """6 kg per 1000 L are 50.073 lb per 1000 gal (0.45359237 kg, 3.785411784 L)."""
    result = document(sampled({"n_total": 6, "per": "1000 L"}))
    other = 6 / 0.45359237 * 3.785411784
    assert figures(result)["manure"] == pytest.approx(4 * (50 + other) / 2)


def test_a_blank_is_unknown_and_no_zero() -> None:
    result = document(sampled({"n_total": 54}, {"p2o5": 30}))
    assert figures(result)["manure"] == pytest.approx(4 * 52)
    assert figures(result, "P2O5")["manure"] == pytest.approx(4 * 25)
    assert figures(document(sampled({"s": 0})), "S")["manure"] == pytest.approx(4 * 2)


def test_the_slips_alone_are_used_where_the_lots_own_cell_is_blank() -> None:
    source = sampled({"s": 6}, {"s": 8}, s=None)
    assert figures(document(source), "S")["manure"] == pytest.approx(4 * 7)
    assert spans(source, "S")["manure"] == three(24, 28, 32)
    one = document(sampled({"s": 6}, s=None))
    assert figures(one, "S")["manure"] == pytest.approx(24)
    assert not [r for r in one["ranges"] if r["nutrient"] == "S"]
    assert "analysis-missing" not in codes(one)


def test_without_further_slips_nothing_changes() -> None:
    plain = document(ONE_FIELD + CORN + lot() + spread())
    other = sampled({"lot": "Heap", "n_total": 9})
    other["manure_lots"] += entries_of(lot(lot="Heap"))["manure_lots"]
    assert document(other)["postings"] == plain["postings"]


def test_the_order_of_slips_does_not_matter() -> None:
    lines: list[dict[str, object]] = [{"n_total": 47.3}, {"n_total": 53.1}, {"n_total": 50.9}]
    found = [document(sampled(*order))["zones"] for order in permutations(lines)]
    assert all(zones == found[0] for zones in found)


@pytest.mark.parametrize("name", ["AB-NMPG", "MN-UMN"])
def test_the_ends_of_a_credit_by_ammonium_are_those_of_the_slips(name: str) -> None:
    """Two slips that differ in ammonium alone: what each would give is the end."""
    method = {"method": "broadcast", "incorporated_after_h": 12, "weather": "average"}
    base = ONE_FIELD + farm(manure_set=name) + spread(**method)
    both = {**entries_of(base + lot(n_ammonium=20)), **slips({"n_total": 50, "n_ammonium": 40})}
    ends = [
        figures(document(base + lot(n_ammonium=ammonium)))["manure_credit"]
        for ammonium in (20, 30, 40)
    ]
    result = document(both)
    assert figures(result)["manure_credit"] == pytest.approx(ends[1])
    if name == "MN-UMN":  # a share of total nitrogen, whatever the ammonium
        assert ends[0] == ends[2]
        assert not [r for r in result["ranges"] if r["nutrient"] == "N"]
    else:
        assert spans(both)["manure_credit"] == three(*ends)
        assert spans(both)["manure"] == three(200, 200, 200)


def test_a_total_that_differs_moves_a_credit_by_ammonium_by_its_organic_part() -> None:
    """AB-NMPG: the ammonium is 20 on both slips, the total 40 or 60."""
    method = {"method": "broadcast", "incorporated_after_h": 12, "weather": "average"}
    base = ONE_FIELD + farm(manure_set="AB-NMPG") + spread(**method)
    low, used, high = (
        figures(document(base + lot(n_total=total, n_ammonium=20)))["manure_credit"]
        for total in (40, 50, 60)
    )
    first = entries_of(base + lot(n_total=40, n_ammonium=20))
    both = {**first, **slips({"n_total": 60, "n_ammonium": 20})}
    assert spans(both)["manure_credit"] == three(low, used, high)


# ------------------------------------------------------------ where it is told
def test_the_cells_of_all_slips_are_the_origin_and_the_influence() -> None:
    result = document(sampled({"n_total": 54}, {"n_total": 46}))
    (item,) = [r for r in result["ranges"] if r["nutrient"] == "N"]
    (influence,) = item["influences"]
    assert influence["origin"] == "Manure lots!G6, Manure samples!E6, Manure samples!E7"
    assert influence["width"] == pytest.approx(216 - 184)


@pytest.mark.parametrize("cell", ["Manure lots!G6", "Manure samples!E6", "Manure samples!E7"])
def test_explain_tells_of_a_slip_where_its_figure_went(cell: str) -> None:
    done = run(sampled({"n_total": 54}, {"n_total": 46}))
    sheet, place = cell.split("!")
    told = "\n".join(explain(done.reading, done.results, SHIPPED, sheet, place, b"").lines())
    assert "Total N was a factor of" in told
    assert "N content: 0.05 (0.046 to 0.054) lb/gal - Manure lots!G6, Manure samples!E6" in told


def test_the_analysis_on_paper_says_how_far_the_slips_reach() -> None:
    words = text_of(annual(sampled({"n_total": 54, "number": "5191"})), ["Manure"])
    assert "N 52 (50 to 54)" in words
    assert "Further manure samples" in words and "5191" in words


# ------------------------------------------------------------------- findings
def found(source: Source, code: str) -> list[tuple[str, str, str]]:
    items = [f for f in run(source).results.findings if f.code == code]
    return [(f.sheet, f.cell, f.message) for f in items]


def test_a_slip_of_an_unknown_lot_asks_whether_another_was_meant() -> None:
    ((sheet, cell, words),) = found(sampled({"lot": "Pitt", "n_total": 54}), "unknown-name")
    assert (sheet, cell) == ("Manure samples", "A6")
    assert "did you mean 'Pit'" in words


def test_names_of_lots_are_folded() -> None:
    result = document(sampled({"lot": " pit", "n_total": 54}))
    assert figures(result)["manure"] == pytest.approx(208)


def test_weight_and_volume_are_not_averaged() -> None:
    source = sampled({"n_total": 14, "per": "ton"})
    assert [place[:2] for place in found(source, "sample-basis")] == [("Manure samples", "L6")]
    assert zone(document(source))["incomplete"]


def test_slips_of_a_lot_without_a_basis_ask_for_it() -> None:
    blank: dict[str, Any] = dict.fromkeys(("n_total", "n_ammonium", "p2o5", "k2o", "s", "per"))
    source = sampled({"n_total": 54}, **blank)
    assert [place[:2] for place in found(source, "basis-missing")] == [("Manure lots", "O6")]
    assert zone(document(source))["incomplete"]


def test_a_slip_with_an_error_leaves_its_lot_out() -> None:
    """The mean is not known then; a figure without the slip would be a guess."""
    done = run(sampled({"n_total": -54}))
    assert errors(done.results.findings) == {"too-small"}
    assert done.results.statements[0].incomplete
    assert not done.results.journal.postings


@pytest.mark.parametrize(
    ("source", "code"),
    [
        (sampled({"n_total": -54}), "too-small"),  # found in the line by itself
        (sampled({"n_total": 54, "n_ammonium": 60}), "ammonium-above-total"),  # by a rule
        (sampled({"n_total": 14, "per": "ton"}), "sample-basis"),  # beside its lot
    ],
)
def test_an_error_of_a_slip_says_what_it_leaves_out(source: Source, code: str) -> None:
    (item,) = [f for f in run(source).results.findings if f.code == code]
    assert "the lot and everything spread from it are left out" in item.fix
    assert "'Pit'" in item.fix


def test_what_was_spread_of_a_lot_with_a_slip_in_error_points_at_the_slip() -> None:
    ((sheet, _, words),) = found(sampled({"n_total": 54}, {"n_total": -5}), "named-at-fault")
    assert sheet == "Manure spread" and "Manure samples row 7" in words
    ((_, _, lots),) = found(sampled({"n_total": 54}, n_ammonium=90), "named-at-fault")
    assert "Manure lots row 6" in lots


def test_an_error_of_a_slip_of_no_known_lot_leaves_nothing_else_out() -> None:
    (item,) = [f for f in run(sampled({"lot": "Pitt", "n_total": 54})).results.findings
               if f.code == "unknown-name"]  # fmt: skip
    assert "left out" not in item.fix


def test_means_whose_parts_exceed_the_total_are_an_error_of_the_lot() -> None:
    source = sampled({"n_total": 2}, {"n_total": 2}, n_ammonium=40)
    assert [place[:2] for place in found(source, "ammonium-above-total")] == [("Manure lots", "H6")]


@pytest.mark.parametrize(
    ("lines", "cells"),
    [
        (({"n_total": 65},), []),  # 30 percent of 50 away: just within
        (({"n_total": 65.1},), ["Manure samples!E6"]),
        (({"n_total": 34.9},), ["Manure samples!E6"]),
        (({"n_total": 90}, {"n_total": 52}), ["Manure samples!E6"]),
        (({"n_total": 90}, {"n_total": 92}), ["Manure lots!G6"]),
        (({"dry_matter_pct": 9},), []),
    ],
)
def test_a_slip_far_from_all_others_is_pointed_out(
    lines: tuple[dict[str, object], ...], cells: list[str]
) -> None:
    """30 percent is an own choice, kept in templates/settings.json."""
    source = sampled(*lines, dry_matter_pct=4)
    assert [f"{sheet}!{cell}" for sheet, cell, _ in found(source, "sample-far-off")] == cells


def test_the_newest_slip_decides_how_old_an_analysis_is() -> None:
    old = sampled({"n_total": 50}, more=farm(manure_test_max_age=365), sampled="2023-10-01")
    assert "manure-sample-old" not in codes(document(old))
    assert "manure-sample-old" in codes(document({**old, "manure_samples": []}))


# ------------------------------------------------------------ next year, others
def test_slips_go_over_with_their_lots_and_the_history_is_their_mean() -> None:
    results = run(sampled({"n_total": 54, "number": "5191"}, {"lot": "Gone"})).results
    handed = carry(results, SHIPPED)
    assert [line["number"] for line in handed.entries["manure_samples"]] == ["5191"]
    assert handed.entries["manure_lots"][0]["n_total"] == 50  # as it was typed
    assert handed.entries["past_manure"][0]["n_total"] == pytest.approx(208)
    assert "1 dropped" in "; ".join(t for t in handed.told(SHIPPED) if "samples" in t)


def test_slips_of_a_lot_that_is_dropped_do_not_go_over() -> None:
    handed = carry(run(sampled({"n_total": 54}, kind="unheard of")).results, SHIPPED)
    assert "manure_samples" not in handed.entries
    assert "of lots that were dropped" in handed.sheets["manure_samples"].dropped


def test_a_copy_for_others_holds_the_slips_of_lots_on_their_ground_alone() -> None:
    people = table("people", {"name": "R. Moser", "role": "landlord"})
    entries = sampled({"n_total": 54}, {"lot": "Heap", "number": "Heap slip"}, more=people)
    entries["fields"][0]["owner"] = "R. Moser"
    entries["manure_lots"] += entries_of(lot(lot="Heap"))["manure_lots"]
    part = part_of(run(entries).results, "R. Moser", SHIPPED)
    assert [e.text("lot") for e in part.book.entries["manure_samples"]] == ["Pit"]
    copy = shared(workbook(entries), "R. Moser")
    words = text_of(copy, opened(copy).sheetnames)
    assert "Further manure samples" in words and "Heap" not in words


# ------------------------------------------------- workbooks from before there was the sheet
def old_workbook() -> bytes:
    def drop(book: Any) -> None:
        del book["Manure samples"]

    return edit(workbook(ONE_FIELD + CORN + lot() + spread()), drop)


def test_a_workbook_without_the_sheet_is_read_as_before() -> None:
    done: Run = run(old_workbook())
    assert done.clean
    notes = [f for f in done.results.findings if f.code == "sheet-absent"]
    assert [(f.severity, f.sheet) for f in notes] == [("note", "Manure samples")]
    plain = document(ONE_FIELD + CORN + lot() + spread())
    assert document(old_workbook())["zones"] == plain["zones"]


def test_only_optional_sheets_may_be_absent() -> None:
    assert [sheet.id for sheet in SHIPPED.sheets.values() if sheet.optional] == ["manure_samples"]

    def drop(book: Any) -> None:
        del book["Store moves"]

    assert "sheet-missing" in codes(document(edit(old_workbook(), drop)))


def test_a_store_holds_what_the_mean_says() -> None:
    store = table("stores", {"store": "Deep pit", "unit": "gal", "opening": 200_000})
    result = document(sampled({"n_total": 54}, more=store, store="Deep pit"))
    (kept,) = result["stores"]
    assert kept["nutrients_total"]["N"] == pytest.approx(40_000 * 0.052)


def test_a_put_in_figure_counts_from_the_next_run() -> None:
    """The slip's own cell moves the result by its part of the mean."""
    first = sampled({"n_total": 54})
    later = put(first, "manure_samples", "n_total", 58)
    moved = figures(document(later))["manure"] - figures(document(first))["manure"]
    assert moved == pytest.approx(4 * 2)
