"""Values kept beside shared keys are what a dictionary would hold."""

from __future__ import annotations

import pickle
from dataclasses import FrozenInstanceError, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.model import Aligned, Entry, Grid, Picked, Row

cells = st.dictionaries(
    st.sampled_from(["date", "lot", "field", "amount", "note"]),
    st.one_of(st.none(), st.booleans(), st.integers(), st.text(max_size=3)),
)


@given(cells, cells)
def test_it_holds_what_a_dictionary_holds(
    given_: dict[str, object], other: dict[str, object]
) -> None:
    kept = Aligned(given_)
    assert kept == given_
    assert (kept == Aligned(other)) is (given_ == other)
    assert list(kept) == list(given_)  # in the same order too
    assert list(kept.items()) == list(given_.items())
    assert list(kept.values()) == list(given_.values())
    assert len(kept) == len(given_)
    assert repr(kept) == repr(given_)
    assert {**kept, **other} == {**given_, **other}
    for key in ("date", "lot", "sheet"):
        assert (key in kept) is (key in given_)
        assert kept.get(key, "nothing") == given_.get(key, "nothing")
    assert pickle.loads(pickle.dumps(kept)) == given_


@given(cells)
def test_lines_with_the_same_cells_filled_share_their_keys(given_: dict[str, object]) -> None:
    one, other = Aligned(given_), Aligned(dict(reversed(list(given_.items()))))
    assert one == other
    assert Aligned(dict.fromkeys(given_, 0)).places is one.places


GRID = Grid(sheet_id="some", sheet_name="Some", letters={}, pair_rows={})
shared = st.sampled_from(["North", "Pit", 4000, 2.5, 1, True, 1.0])


@given(st.dictionaries(st.integers(0, 6), shared), st.permutations([0, 2, 3, 5, 9]))
def test_cells_are_picked_as_a_dictionary_of_them_would_be(
    line: dict[int, object], places: list[int]
) -> None:
    where = {f"column {at}": at for at in places[:4]}
    picked: Picked[int] = Picked(where)
    for _ in range(2):
        found = picked(Aligned(line))
        wanted = {name: line[at] for name, at in where.items() if at in line}
        assert list(found.items()) == list(wanted.items())
        assert list(found.places.values()) == list(range(len(wanted)))


@given(
    st.dictionaries(st.sampled_from("abcde"), shared),
    st.dictionaries(st.sampled_from("abcdef"), shared),
    st.dictionaries(st.sampled_from("abcdef"), shared),
)
def test_a_checked_line_holds_what_it_was_given(
    typed: dict[str, object], given_: dict[str, object], others: dict[str, object]
) -> None:
    row = Row(grid=GRID, number=7, cells=typed)
    entry = Entry(row=row, values=given_)  # type: ignore[arg-type]
    same = [name for name in given_ if name in typed and typed[name] is given_[name]]
    assert len(entry.kept) == len(given_) - len(same)
    for line, held in ((entry, given_), (row, typed)):
        cells = line.values if isinstance(line, Entry) else line.cells
        assert repr(cells) == repr(held)
        assert [line.get(name) for name in "abcdef"] == [held.get(name) for name in "abcdef"]
    for name in "abcdef":
        value = given_.get(name)
        assert entry.text(name, "blank") == ("blank" if value is None else str(value))
        assert entry.number(name) == (float(value) if isinstance(value, (int, float)) else None)
    changed = replace(entry, values=others, faulty=True)
    assert repr(changed.values) == repr(others)
    assert (changed.row, changed.faulty, changed.slips) == (row, True, None)
    moved = replace(entry, row=Row(grid=GRID, number=8, cells=others))
    assert repr(moved.values) == repr(given_)
    assert repr(replace(row, cells=others).cells) == repr(others)
    for one in (row, entry, changed):
        assert repr(pickle.loads(pickle.dumps(one))) == repr(one)
        assert replace(one) == one


def test_a_line_cannot_be_changed() -> None:
    row = Row(grid=GRID, number=7, cells={"a": 1})
    with pytest.raises(FrozenInstanceError):
        row.cells = {}  # type: ignore[misc]
    with pytest.raises(FrozenInstanceError):
        row.number = 8  # type: ignore[misc]
    assert not hasattr(row, "__dict__")
