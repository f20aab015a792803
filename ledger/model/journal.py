"""The journal: all postings of a book, kept by column; a ``Posting`` is made when asked for.

A line of the workbook makes eight postings, and most of what they say comes again and again:
account, zone and nutrient, and the factors of lots, products and publications. Those are kept
once; of each posting its mass and three numbers remain, 20 bytes (measured at 100,000 lines:
posting adds 55 MB instead of 165, most of it now the lines' own factors).
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import compress
from operator import not_, or_
from typing import Any, NamedTuple, TypeVar, overload

from ledger.model.postings import Account, Cut, Draw, Factor, Gap, Posting
from ledger.model.workbook import Entry, Zone

Factors = tuple[Factor, ...]
Key = TypeVar("Key", bound=Hashable)
_make = partial(tuple.__new__, Posting)  # as Posting._make (measured: 0.85 of the time)


class Kind(NamedTuple):
    """What postings of many lines have in common."""

    account: Account
    nutrient: str
    stream: str
    zone: Zone


def _numbers() -> array[int]:
    return array("I")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Columns:
    """Kinds, lines and shared factors, each once; of every posting their numbers and the mass.

    A line is an entry with its own factors. ``known`` finds the number of a kind or of shared
    factors by the identity of their parts, which stay because the lists hold them.
    """

    kinds: list[Kind] = field(default_factory=list)
    lines: list[tuple[Entry, Factors]] = field(default_factory=list)
    shared: list[Factors] = field(default_factory=list)
    known: dict[tuple[object, ...], int] = field(default_factory=dict)
    kind: array[int] = field(default_factory=_numbers)
    line: array[int] = field(default_factory=_numbers)
    share: array[int] = field(default_factory=_numbers)
    mass: array[float] = field(default_factory=lambda: array("d"))

    def number_of_kind(self, account: Account, nutrient: str, stream: str, zone: Zone) -> int:
        key = (id(account), nutrient, stream, id(zone))
        if key not in self.known:
            self.known[key] = len(self.kinds)
            self.kinds.append(Kind(account, nutrient, stream, zone))
        return self.known[key]

    def number_of_shared(self, factors: Factors) -> int:
        key = tuple(map(id, factors))
        if key not in self.known:
            self.known[key] = len(self.shared)
            self.shared.append(factors)
        return self.known[key]

    def number_of_line(self, entry: Entry, own: Factors) -> int:
        last = self.lines[-1] if self.lines else (None, ())
        if last[0] is not entry or last[1] is not own:
            self.lines.append((entry, own))
        return len(self.lines) - 1


class Postings(Sequence[Posting]):
    """Postings in the order they were made: a whole journal, or those chosen from one."""

    __slots__ = ("_at", "_columns")

    def __init__(self, postings: Iterable[Posting] = ()) -> None:
        self._columns = _Columns()
        self._at: Sequence[int] | None = None  # which ones; None is all
        for p in postings:
            self.add({p.account: p.mass}, p.nutrient, p.stream, p.zone, p.entry, p.factors)

    def add(
        self,
        masses: Mapping[Account, float],
        nutrient: str,
        stream: str,
        zone: Zone,
        entry: Entry,
        own: Factors,
        shared: Factors = (),
    ) -> None:
        """Write a posting of a line for every account; its factors are its own, then shared."""
        columns = self._columns
        line, share = columns.number_of_line(entry, own), columns.number_of_shared(shared)
        for account, mass in masses.items():
            columns.kind.append(columns.number_of_kind(account, nutrient, stream, zone))
            columns.line.append(line)
            columns.share.append(share)
            columns.mass.append(mass)

    @property
    def masses(self) -> Sequence[float]:
        """Their masses alone [kg] (measured: a fiftieth of the time of making postings)."""
        column = self._columns.mass
        return column if self._at is None else array("d", map(column.__getitem__, self._at))

    @property
    def moves(self) -> Iterable[tuple[Kind, Entry, float]]:
        """Kind, entry and mass [kg] of each (measured: a quarter of the time of postings)."""
        kinds = map(self._columns.kinds.__getitem__, self._chosen(self._columns.kind))
        return zip(kinds, self.entries, self.masses, strict=True)

    @property
    def entries(self) -> Iterable[Entry]:
        """The entry of each of them, beside ``masses``."""
        entries = [entry for entry, _ in self._columns.lines]
        return map(entries.__getitem__, self._chosen(self._columns.line))

    @property
    def kinds(self) -> Iterator[Kind]:
        """The kinds of these postings, each once."""
        numbers = dict.fromkeys(self._chosen(self._columns.kind))
        return map(self._columns.kinds.__getitem__, numbers)

    def where(self, wanted: Callable[[Kind], bool]) -> Postings:
        """The postings of some kinds; asked once a kind, not once a posting."""
        holds = [wanted(kind) for kind in self._columns.kinds]
        return self._picked(map(holds.__getitem__, self._chosen(self._columns.kind)))

    def parted(self, wanted: Callable[[Factors], bool]) -> tuple[Postings, Postings]:
        """Those whose own or shared factors are wanted, and the rest; asked once for all alike."""
        columns = self._columns
        own = [wanted(factors) for _, factors in columns.lines]
        shared = [wanted(factors) for factors in columns.shared]
        lines = map(own.__getitem__, self._chosen(columns.line))
        shares = map(shared.__getitem__, self._chosen(columns.share))
        holds = list(map(or_, lines, shares))
        return self._picked(holds), self._picked(map(not_, holds))

    def grouped(self, key: Callable[[Kind], Key]) -> dict[Key, Postings]:
        """The postings whose kinds have the same key together, in the order of their first."""
        numbers: dict[Key, int] = {}
        group_of = [numbers.setdefault(key(kind), len(numbers)) for kind in self._columns.kinds]
        groups = [_numbers() for _ in numbers]
        for at, kind in zip(self._places(), self._chosen(self._columns.kind), strict=True):
            groups[group_of[kind]].append(at)
        found = [(own, key) for own, key in zip(groups, numbers, strict=True) if own]
        return {key: self._some(own) for own, key in sorted(found, key=lambda pair: pair[0][0])}

    def __len__(self) -> int:
        return len(self._places())

    def __iter__(self) -> Iterator[Posting]:
        columns = self._columns
        kinds = map(columns.kinds.__getitem__, self._chosen(columns.kind))
        lines = map(columns.lines.__getitem__, self._chosen(columns.line))
        shares = map(columns.shared.__getitem__, self._chosen(columns.share))
        for kind, mass, (entry, own), shared in zip(
            kinds, self._chosen(columns.mass), lines, shares, strict=True
        ):
            yield _make((*kind, mass, entry, own + shared))

    @overload
    def __getitem__(self, at: int) -> Posting: ...
    @overload
    def __getitem__(self, at: slice) -> Postings: ...
    def __getitem__(self, at: int | slice) -> Posting | Postings:
        if isinstance(at, slice):
            return self._some(self._places()[at])
        return next(iter(self._some([self._places()[at]])))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sequence) and list(self) == list(other)

    __hash__ = None  # type: ignore[assignment]

    def _places(self) -> Sequence[int]:
        return range(len(self._columns.mass)) if self._at is None else self._at

    def _chosen(self, column: array[Any]) -> Iterable[Any]:
        return column if self._at is None else map(column.__getitem__, self._at)

    def _picked(self, keep: Iterable[bool]) -> Postings:
        return self._some(array("I", compress(self._places(), keep)))

    def _some(self, at: Sequence[int]) -> Postings:
        some = Postings()
        some._columns, some._at = self._columns, at
        return some


@dataclass(frozen=True, slots=True, kw_only=True)
class Journal:
    """All postings of a book, the gaps in them, manure drawn and harvest weighed."""

    postings: Postings
    gaps: Sequence[Gap]
    draws: Sequence[Draw] = ()
    cuts: Sequence[Cut] = ()
