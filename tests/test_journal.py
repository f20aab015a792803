"""The journal kept by column gives back every posting as it was written."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from itertools import groupby
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger import definitions
from ledger.balance.figures import figure_of
from ledger.model import Account, Entry, Factor, Grid, Kind, Posting, Postings, Row, Zone
from ledger.pipeline import Run, run

EXAMPLE = Path(__file__).parents[1] / "examples" / "farm.xlsx"
GRID = Grid(sheet_id="spread", sheet_name="Spread", letters={}, pair_rows={})
ENTRIES = [
    Entry(row=Row(grid=GRID, number=n, cells={}), values={"date": date(2026, 5, n)})
    for n in (1, 2, 3)
]
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


@given(some_postings, some_factors, some_factors)
def test_own_and_shared_factors_are_one_tuple(
    written: list[Posting], own: tuple[Factor, ...], shared: tuple[Factor, ...]
) -> None:
    kept = Postings()
    for p in written:
        masses = {p.account: p.mass}
        kept.add(masses, p.nutrient, p.stream, p.zone, p.entry, (*own, *p.factors), shared)
    assert [p.factors for p in kept] == [(*own, *p.factors, *shared) for p in written]


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
