"""The journal kept by column gives back every posting as it was written."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from itertools import groupby
from pathlib import Path

import pytest
from bench.ledgers import entries
from hypothesis import given
from hypothesis import strategies as st
from workbooks import run as run_entries

from ledger import definitions
from ledger.balance.figures import figure_of
from ledger.model import (
    AREA,
    Account,
    Draw,
    Draws,
    Entry,
    Factor,
    Factors,
    Grid,
    Kind,
    Pen,
    Posting,
    Postings,
    Row,
    Typed,
    Zone,
)
from ledger.pipeline import Run, run

EXAMPLE = Path(__file__).parents[1] / "examples" / "farm.xlsx"
LETTERS = {"field": "B", "amount": "D", "area_covered": "E"}
GRID = Grid(sheet_id="spread", sheet_name="Spread", letters=LETTERS, pair_rows={})
ENTRIES = [
    Entry(
        row=Row(grid=GRID, number=n, cells={}),
        values={"date": date(2026, 5, n), "amount": float(n), **covered},
    )
    for n, covered in ((1, {}), (2, {"area_covered": 2.5}), (3, {}))
]
STORE = Account("store", ("Pit",))
AMOUNT = Typed("amount", "L", "amount", 3.0)
ZONES = [Zone(field="North", zone=zone, area=4.0) for zone in ("", "wet")]
FACTORS = [Factor(name="N content", value=v, unit="kg/L", origin="Lots!C3") for v in (1.0, 2.0)]
some_factors = st.lists(st.sampled_from(FACTORS), max_size=3).map(tuple)
some_postings = st.lists(
    st.builds(
        Posting,
        # equal accounts that are not the same object must not be taken for others
        account=st.builds(lambda root: Account(root, ("Pit",)), st.sampled_from(["store", "air"])),
        nutrient=st.sampled_from(["N", "P2O5"]),
        stream=st.sampled_from(["manure", "removal"]),
        zone=st.sampled_from(ZONES),
        mass=st.floats(allow_nan=False, allow_infinity=False),
        entry=st.sampled_from(ENTRIES),
        factors=some_factors,
    )
)


@pytest.fixture(scope="module")
def farm() -> Run:
    """The example farm."""
    return run(EXAMPLE.read_bytes(), definitions.load())


@given(some_postings)
def test_postings_are_given_back_as_written(written: list[Posting]) -> None:
    kept = Postings(written)
    assert list(kept) == written
    assert len(kept) == len(written)
    assert [kept[at] for at in range(len(written))] == written
    assert list(kept[1:]) == written[1:]
    assert [p.date for p in kept] == [p.entry.day("date") for p in written]
    assert list(kept.masses) == [p.mass for p in written]
    assert list(map(id, kept.entries)) == [id(p.entry) for p in written]


@given(some_postings)
def test_chosen_and_grouped_postings_are_those_a_list_would_give(written: list[Posting]) -> None:
    kept = Postings(written)
    chosen = kept.where(lambda kind: kind.nutrient == "N")
    assert list(chosen) == [p for p in written if p.nutrient == "N"]
    assert {kind.nutrient for kind in chosen.kinds} <= {"N"}
    by_hand: dict[tuple[Zone, str], list[Posting]] = {}
    for p in written:
        by_hand.setdefault((p.zone, p.nutrient), []).append(p)
    groups = kept.grouped(lambda kind: (kind.zone, kind.nutrient))
    assert {key: list(group) for key, group in groups.items()} == by_hand
    assert list(groups) == list(by_hand)  # in the order of their first posting
    assert list(chosen.grouped(lambda kind: kind.zone)) == list(
        dict.fromkeys(p.zone for p in written if p.nutrient == "N")
    )


@given(some_postings)
def test_parts_are_those_a_list_would_give(written: list[Posting]) -> None:
    def wanted(factors: Iterable[Factor]) -> bool:
        return any(factor.value == 2.0 for factor in factors)

    some, rest = Postings(written).parted(wanted)
    assert list(some) == [p for p in written if wanted(p.factors)]
    assert list(rest) == [p for p in written if not wanted(p.factors)]
    assert [(*kind, mass, entry) for kind, entry, mass in some.moves] == [
        tuple(p)[:6] for p in written if wanted(p.factors)
    ]
    assert list(some.masses) == list(some.masses)  # can be asked for again


@given(some_postings)
def test_postings_of_entries_are_those_a_list_would_give(written: list[Posting]) -> None:
    kept = Postings(written)
    chosen = kept.by_entry(lambda entry: entry is ENTRIES[0])
    assert list(chosen) == [p for p in written if p.entry is ENTRIES[0]]
    assert [written[at] for at in chosen.places] == list(chosen)


@given(some_postings)
def test_other_masses_leave_the_journal_as_it_is(written: list[Posting]) -> None:
    kept = Postings(written)
    chosen = kept.where(lambda kind: kind.nutrient == "N")
    other = chosen.with_masses([1.0] * len(chosen))
    assert list(other) == [p._replace(mass=1.0) for p in written if p.nutrient == "N"]
    assert list(kept) == written
    assert list(other.masses) == [1.0] * len(chosen)


# ----------------------------------------------------- factors that a line tells itself
@given(
    st.lists(
        st.tuples(st.sampled_from(ENTRIES), some_factors, st.sampled_from([2.5, 4.0])), max_size=9
    )
)
def test_what_a_line_tells_is_made_of_its_entry_in_its_place(
    written: list[tuple[Entry, tuple[Factor, ...], float]],
) -> None:
    pen = Pen()
    for entry, factors, area in written:
        basis = pen.basis((AMOUNT, *factors, AREA))
        pen.write(entry, area, (pen.kind(STORE, "N", "manure", ZONES[0]),), (basis,), (1.0,))
    kept = Postings.written(pen)
    assert [p.factors for p in kept] == [
        (
            Factor(name="amount", value=3.0 * row, unit="L", origin=f"Spread!D{row}"),
            *factors,
            Factor(name="area", value=area, unit="ha", origin=f"Spread!{'BBEB'[row]}{row}"),
        )
        for entry, factors, area in written
        for row in (entry.row.number,)
    ]
    assert list(kept.asked(lambda asked: asked)) == [factors for _, factors, _ in written]
    assert list(kept[::-1]) == list(kept)[::-1]  # made in any order


def test_a_blank_cell_tells_a_zero() -> None:
    blank = Entry(row=ENTRIES[0].row, values={})
    assert AMOUNT.factor(blank, 1.0).value == 0


def test_numbers_that_outgrow_two_bytes_are_kept_whole() -> None:
    many = 70_000
    pen = Pen()
    kind, basis = (pen.kind(STORE, "N", "manure", ZONES[0]),), (pen.basis(()),)
    lines = [replace(ENTRIES[0]) for _ in range(many)]
    for number, entry in enumerate(lines):
        pen.write(entry, 0.0, kind, basis, (float(number),))
    kept = Postings.written(pen)
    assert list(map(id, kept.entries)) == list(map(id, lines))
    assert kept[many - 1].entry is lines[-1]
    assert kept[many - 1].mass == many - 1


def test_a_column_that_grows_too_large_a_number_loses_none() -> None:
    pen = Pen()
    pen.write(ENTRIES[0], 0.0, (1, 2), (3, 4), (1.0, 1.0))
    pen.write(ENTRIES[0], 0.0, (5, 70_000), (70_000, 6), (1.0, 1.0))
    assert list(pen.columns.kind) == [1, 2, 5, 70_000]
    assert list(pen.columns.basis) == [3, 4, 70_000, 6]


def test_a_longer_ledger_keeps_no_more_of_what_postings_are_reckoned_with() -> None:
    """Factors of lines' own cells are made when asked for; kept, they took 32 of 100 MB."""

    def bases(lines: int) -> int:
        asked: list[Factors] = []
        farm = {name: [dict(line) for line in group] for name, group in entries(lines).items()}
        postings = run_entries(farm).results.journal.postings
        assert len(list(postings.asked(asked.append))) > 4 * lines
        return len(asked)

    assert bases(400) == bases(800) < 100


some_draws = st.lists(
    st.builds(
        Draw,
        entry=st.sampled_from(ENTRIES),
        lot=st.sampled_from(ENTRIES),
        amount=st.floats(allow_nan=False),
        base=st.sampled_from(["kg", "L"]),
    )
)


@given(some_draws)
def test_draws_are_given_back_as_written(written: list[Draw]) -> None:
    kept = Draws()
    for draw in written:
        kept.add(draw.entry, draw.lot, draw.amount, draw.base)
    assert list(kept) == written
    assert [kept[at] for at in range(len(kept))] == written
    assert kept[-2:] == written[-2:]
    assert all(one.lot is other.lot for one, other in zip(kept, written, strict=True))


def test_a_journal_keeps_what_lines_share_once(farm: Run) -> None:
    """Far fewer kinds than postings: a poster that made accounts anew would keep one each."""
    postings = farm.results.journal.postings
    kinds: list[Kind] = list(postings.kinds)
    assert len({(k.account, k.nutrient, k.stream, k.zone) for k in kinds}) == len(kinds)
    assert len(kinds) < len(postings)


def test_the_postings_of_an_entry_stand_together(farm: Run) -> None:
    """Movements are told one after the other on this ground (``report/movements.py``)."""
    postings = farm.results.journal.postings
    runs = [key for key, _ in groupby(id(entry) for entry in postings.entries)]
    assert len(runs) == len(set(runs))


def test_a_figure_is_the_mass_with_the_sign_of_its_kind(farm: Run) -> None:
    told = [figure_of(p) for p in farm.results.journal.postings]
    assert {figure[0] for figure in told if figure} >= {"manure", "manure_credit", "removal"}
    assert all(figure[1] > 0 for figure in told if figure and figure[0] == "removal")


def test_draws_are_equal_where_all_that_they_tell_is() -> None:
    first, second = (Draws() for _ in range(2))
    farm = {name: [dict(line) for line in group] for name, group in entries(40).items()}
    journal = run_entries(farm).results.journal
    for draw in journal.draws:
        first.add(draw.entry, draw.lot, draw.amount, draw.base)
        second.add(draw.entry, draw.lot, draw.amount, draw.base)
    assert len(first) > 10 and first == second == list(journal.draws)
    second.add(draw.entry, draw.lot, 1.0, draw.base)
    assert first != second
