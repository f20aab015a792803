"""Values kept beside shared keys are what a dictionary would hold."""

from __future__ import annotations

import pickle

from hypothesis import given
from hypothesis import strategies as st

from ledger.model import Aligned

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
    assert Aligned(dict.fromkeys(given_, 0))._places is one._places
