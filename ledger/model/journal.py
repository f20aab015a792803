"""The journal: all postings of a book, kept by column; a ``Posting`` is made when asked for."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import compress
from operator import not_
from typing import Any, TypeVar, overload

from ledger.model.columns import Basis, Columns, Factors, Kind, Pen
from ledger.model.postings import Cut, Draw, Factor, Gap, Posting, Typed
from ledger.model.workbook import Entry

Key = TypeVar("Key", bound=Hashable)
Answer = TypeVar("Answer")
_make = partial(tuple.__new__, Posting)  # as Posting._make (measured: 0.85 of the time)


class Postings(Sequence[Posting]):
    """Postings in the order they were made: a whole journal, or those chosen from one."""

    __slots__ = ("_at", "_columns")

    def __init__(self, postings: Iterable[Posting] = ()) -> None:
        pen = Pen()
        for p in postings:
            kind = pen.kind(p.account, p.nutrient, p.stream, p.zone)
            pen.write(p.entry, 0.0, (kind,), (pen.basis(p.factors),), (p.mass,))
        self._columns = pen.columns
        self._at: Sequence[int] | None = None  # which ones; None is all

    @classmethod
    def written(cls, pen: Pen) -> Postings:
        """All that a pen wrote."""
        return _of(pen.columns, None)

    @property
    def places(self) -> Sequence[int]:
        """Where each of them stands in the whole journal."""
        return range(len(self._columns.mass)) if self._at is None else self._at

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
        return map(self._columns.entries.__getitem__, self._chosen(self._columns.line))

    @property
    def kinds(self) -> Iterator[Kind]:
        """The kinds of these postings, each once."""
        numbers = dict.fromkeys(self._chosen(self._columns.kind))
        return map(self._columns.kinds.__getitem__, numbers)

    @property
    def bases(self) -> Iterator[Factors]:
        """Their factors, without those of their lines' own cells, once for all alike."""
        numbers = dict.fromkeys(self._chosen(self._columns.basis))
        return map(self._columns.factors.__getitem__, numbers)

    def where(self, wanted: Callable[[Kind], bool]) -> Postings:
        """The postings of some kinds; asked once a kind, not once a posting."""
        holds = [wanted(kind) for kind in self._columns.kinds]
        return self._picked(map(holds.__getitem__, self._chosen(self._columns.kind)))

    def by_entry(self, wanted: Callable[[Entry], bool]) -> Postings:
        """The postings of some entries; asked once a line."""
        holds = [wanted(entry) for entry in self._columns.entries]
        return self._picked(map(holds.__getitem__, self._chosen(self._columns.line)))

    def asked(self, question: Callable[[Factors], Answer]) -> Iterable[Answer]:
        """What there is to say of the factors of each, asked once for all alike.

        Factors of the line's own cells are not among them: those are points, never ranges.
        """
        numbers = array("I", self._chosen(self._columns.basis))
        told = self._columns.factors
        answers = {number: question(told[number]) for number in dict.fromkeys(numbers)}
        return map(answers.__getitem__, numbers)

    def parted(self, wanted: Callable[[Factors], bool]) -> tuple[Postings, Postings]:
        """Those whose factors are wanted, and the rest; as ``asked``."""
        holds = list(self.asked(wanted))
        return self._picked(holds), self._picked(map(not_, holds))

    def grouped(self, key: Callable[[Kind], Key]) -> dict[Key, Postings]:
        """The postings whose kinds have the same key together, in the order of their first."""
        numbers: dict[Key, int] = {}
        group_of = [numbers.setdefault(key(kind), len(numbers)) for kind in self._columns.kinds]
        groups = [array("I") for _ in numbers]
        for at, kind in zip(self.places, self._chosen(self._columns.kind), strict=True):
            groups[group_of[kind]].append(at)
        found = [(own, key) for own, key in zip(groups, numbers, strict=True) if own]
        return {key: self._some(own) for own, key in sorted(found, key=lambda pair: pair[0][0])}

    def masses_by(self, key: Callable[[Kind], Key]) -> dict[Key, Sequence[float]]:
        """As ``grouped`` the masses alone [kg], in any order (measured: half the time)."""
        found: dict[Key, array[float]] = {}
        append = [found.setdefault(key(kind), array("d")).append for kind in self._columns.kinds]
        appends = map(append.__getitem__, self._chosen(self._columns.kind))
        for add, mass in zip(appends, self.masses, strict=True):
            add(mass)
        return {key: masses for key, masses in found.items() if masses}

    def moved_by_line(self) -> Iterable[tuple[Entry, float]]:
        """Entries with how much each of them moves in all, whatever the direction [kg]."""
        lines = (
            self._columns.line if self._at is None else array("I", self._chosen(self._columns.line))
        )
        sums = dict.fromkeys(lines, 0.0)
        for line, mass in zip(lines, self.masses, strict=True):
            sums[line] += abs(mass)
        return zip(map(self._columns.entries.__getitem__, sums), sums.values(), strict=True)

    def divided(self, key: Callable[[Kind, Entry], Key]) -> dict[Key, Postings]:
        """As ``grouped`` by what hangs on the entry too; asked once a posting."""
        groups: dict[Key, array[int]] = {}
        for at, (kind, entry, _) in zip(self.places, self.moves, strict=True):
            asked = key(kind, entry)
            if asked not in groups:
                groups[asked] = array("I")
            groups[asked].append(at)
        return {key: self._some(own) for key, own in groups.items()}

    def with_masses(self, masses: Iterable[float]) -> Postings:
        """The same postings with other masses [kg], as a journal of their own."""
        return _of(self._columns.copied(self.places, masses), None)

    def __len__(self) -> int:
        return len(self.places)

    def __iter__(self) -> Iterator[Posting]:
        columns, last = self._columns, -1
        kinds = map(columns.kinds.__getitem__, self._chosen(columns.kind))
        bases = map(columns.bases.__getitem__, self._chosen(columns.basis))
        own: dict[Typed, Factor] = {}  # what the line tells, made once for all its postings
        before: Basis | None = None
        for kind, mass, line, basis in zip(
            kinds, self.masses, self._chosen(columns.line), bases, strict=True
        ):
            if line != last:
                last, entry, area = line, columns.entries[line], columns.areas[line]
                own, before = {}, None
            if basis is not before:
                before, factors = basis, _factors(basis, entry, area, own)
            yield _make((*kind, mass, entry, factors))

    @overload
    def __getitem__(self, at: int) -> Posting: ...
    @overload
    def __getitem__(self, at: slice) -> Postings: ...
    def __getitem__(self, at: int | slice) -> Posting | Postings:
        if isinstance(at, slice):
            return self._some(self.places[at])
        return next(iter(self._some([self.places[at]])))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sequence) and list(self) == list(other)

    __hash__ = None  # type: ignore[assignment]

    def _chosen(self, column: array[Any]) -> Iterable[Any]:
        return column if self._at is None else map(column.__getitem__, self._at)

    def _picked(self, keep: Iterable[bool]) -> Postings:
        return self._some(array("I", compress(self.places, keep)))

    def _some(self, at: Sequence[int]) -> Postings:
        return _of(self._columns, at)


def _of(columns: Columns, at: Sequence[int] | None) -> Postings:
    some = Postings.__new__(Postings)
    some._columns, some._at = columns, at
    return some


def _factors(basis: Basis, entry: Entry, area: float, own: dict[Typed, Factor]) -> Factors:
    """The factors of a posting; those that its line tells are made, and kept in ``own``."""
    made = []
    for part in basis:
        if isinstance(part, Typed):
            if part not in own:
                own[part] = part.factor(entry, area)
            made.append(own[part])
        else:
            made.append(part)
    return tuple(made)


@dataclass(frozen=True, slots=True, kw_only=True)
class Journal:
    """All postings of a book, the gaps in them, manure drawn and harvest weighed."""

    postings: Postings
    gaps: Sequence[Gap]
    draws: Sequence[Draw] = ()
    cuts: Sequence[Cut] = ()
