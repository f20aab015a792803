"""The Postings sheet: every movement beside the line it came from, or sums where they are many.

Links lead both ways: an entry to its cell and a zone to its balance, and back to here.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby, islice
from math import fsum

from ledger.layout import fold
from ledger.model import Book, Entry, Kind, Posting, Postings, Results
from ledger.reach import any_ranged, is_ranged
from ledger.report.links import zone_jump
from ledger.report.reckoned import Numbers, numbered, publications_table, told
from ledger.report.spans import marked, rough
from ledger.report.tables import Cell, Heading, Jump, Line, Link, ResultSheet, Table
from ledger.report.units import Shown

SIGNS = "Into an account is plus, out of it minus; every entry adds up to zero."
LINKS = (
    "A zone leads to its line on Field balance, and an entry to its cell; from Field balance, "
    "Nitrogen to go and Stores a zone or a store leads to the first of its lines here."
)
RANGED = (marked("with the factor under 'Reckoned with', and for sums on the sheet How sure"),)
INDEX_ROWS = 7  # links a line of the index has room for
Groups = Sequence[Sequence[Posting]]


def postings_sheet(results: Results, shown: Shown) -> ResultSheet:
    """Every movement, its nutrients side by side; above the number in the settings, sums.

    Nobody reads ten thousand lines, and writing them took several times as long as reading
    the whole workbook. They stay whole in ``export`` and ``balance --json``.
    """
    postings, stores = results.journal.postings, _stores(results.book)
    most = shown.definitions.settings["postings_most"]
    entries = groupby(map(id, postings.entries))  # each moved something
    many = next(islice(entries, most, None), None) is not None
    each = [] if many else list(islice(_movements(postings), most + 1))
    if not many and len(each) <= most:
        words = [SIGNS, LINKS, *RANGED]
        numbers = numbered(factor for posting in postings for factor in posting.factors)
        tables = [
            *_index(postings),
            _each_table(each, stores, numbers, shown),
            publications_table(numbers),
        ]
    else:
        sums = _summed(postings)
        words = [
            f"These are sums by sheet and account: the {sum(one.lines for one in sums)} "
            "movements are too many to look through here.",
            "'nutrient-ledger export' writes every one (postings.csv); 'nutrient-ledger explain' "
            "tells those of one line.",
            SIGNS,
            LINKS,
            *RANGED,
        ]
        tables = [_sums_table(sums, stores, shown)]
    return ResultSheet(id="postings", name="Postings", words=words, tables=tables)


def _movements(postings: Iterable[Posting]) -> Iterator[Sequence[Posting]]:
    """The movements one after the other: the postings of an entry stand together."""
    for _, own in groupby(postings, key=lambda posting: id(posting.entry)):
        yield from _grouped(own, _movement)


def _grouped(
    postings: Iterable[Posting], key: Callable[[Posting], Hashable]
) -> list[list[Posting]]:
    """Postings with the same key together, in the order they were made."""
    groups: dict[Hashable, list[Posting]] = {}
    for posting in postings:
        groups.setdefault(key(posting), []).append(posting)
    return list(groups.values())


def _movement(posting: Posting) -> Hashable:
    """One entry, zone and account: its nutrients stand side by side."""
    zone, account = posting.zone, posting.account
    return (id(posting.entry), zone.field, zone.zone, account.root, account.path)


def _place(kind: Kind, entry: Entry) -> Hashable:
    zone, account = kind.zone, kind.account
    return (entry.row.grid.sheet_id, zone.field, zone.zone, account.root, account.path)


def _headings(first: Sequence[Heading], last: Heading, shown: Shown) -> list[Heading]:
    return [
        *first,
        Heading(text="Field", format="text", width=18),
        Heading(text="Zone", format="text", width=16),
        Heading(text="Account", format="text", width=34),
        *(
            Heading(
                text=f"{nutrient} [{shown.label('mass')}]",
                width=11,
                about=(("nutrient", nutrient),),
            )
            for nutrient in shown.definitions.nutrients
        ),
        last,
    ]


# ------------------------------------------------------------------- the index
def _index(postings: Sequence[Posting]) -> list[Table]:
    """Entry sheet and row to the first line here: a line a few rows of a sheet."""
    rows: dict[str, dict[int, None]] = {}
    for posting in postings:
        row = posting.entry.row
        rows.setdefault(row.grid.sheet_name, {})[row.number] = None
    headings = [
        Heading(text="Rows", format="text", width=11),
        Heading(text="Entry sheet", format="text", width=20),
        *(Heading(text=f"Row, {n + 1} of {INDEX_ROWS}", format="text") for n in range(INDEX_ROWS)),
    ]
    lines = [
        _index_line(sheet, some)
        for sheet, numbers in rows.items()
        for some in batched(sorted(numbers), INDEX_ROWS)
    ]
    note = "Each row number leads to the first line that its entry posted."
    title = "Where the lines of an entry are"
    return [Table(title=title, headings=headings, lines=lines, note=note)] if lines else []


def batched(numbers: Sequence[int], most: int) -> Iterator[Sequence[int]]:
    """The numbers in their order, so many at a time."""
    yield from (numbers[at : at + most] for at in range(0, len(numbers), most))


def _index_line(sheet: str, numbers: Sequence[int]) -> Line:
    jumps: list[Cell] = [
        Jump(str(n), sheet="postings", about=(("entry", f"{sheet} {n}"),)) for n in numbers
    ]
    blank: list[Cell] = [""] * (INDEX_ROWS - len(jumps))
    span = f"{numbers[0]} to {numbers[-1]}" if len(numbers) > 1 else str(numbers[0])
    return Line(cells=[span, sheet, *jumps, *blank])


Stores = Mapping[str, str]


def _stores(book: Book) -> Stores:
    """The folded name of the store that each lot lies in."""
    lots = book.entries.get("manure_lots", ())
    return {lot.text("lot"): fold(lot.text("store")) for lot in lots}


def _about(kind: Kind | Posting, entry: Entry, stores: Stores) -> tuple[tuple[str, str], ...]:
    """What a line is of: its entry, zone and account, and the store it took from or filled."""
    row, zone, account = entry.row, kind.zone, kind.account
    about = [
        ("entry", f"{row.grid.sheet_name} {row.number}"),
        ("field", zone.field),
        ("zone", zone.zone),
        ("account", str(account)),
    ]
    if account.root == "store":
        about.append(("store", stores.get(account.path[0], "")))
    return tuple(about)


def _zone(kind: Kind | Posting) -> list[Cell]:
    """Field and zone, the zone a way to its line on Field balance."""
    zone = kind.zone
    if not zone.field:
        return ["", ""]
    return [zone.field, zone_jump(zone.field, zone.zone, "field-balance")]


# ------------------------------------------------------------ every movement
def _each_table(groups: Groups, stores: Stores, numbers: Numbers, shown: Shown) -> Table:
    first = [
        Heading(text="Date", format="date", width=11),
        Heading(text="Entry", format="text", width=20),
    ]
    last = Heading(text="Reckoned with", format="wrapped", width=90)
    lines = [_each_line(group, stores, numbers, shown) for group in groups]
    return Table(title="", headings=_headings(first, last, shown), lines=lines)


def _each_line(group: Sequence[Posting], stores: Stores, numbers: Numbers, shown: Shown) -> Line:
    first = group[0]
    row = first.entry.row
    masses: dict[str, Cell] = {
        p.nutrient: rough(shown.value("mass", p.mass), is_ranged(p)) for p in group
    }
    sheet = row.grid.sheet_name
    factors = dict.fromkeys(factor for posting in group for factor in posting.factors)
    return Line(
        about=_about(first, first.entry, stores),
        cells=[
            first.date or "",
            Link(text=f"{sheet} {row.number}", sheet=sheet, cell=f"A{row.number}"),
            *_zone(first),
            str(first.account),
            *(masses.get(nutrient, "") for nutrient in shown.definitions.nutrients),
            "; ".join(told(list(factors), numbers, shown)),
        ],
    )


# ---------------------------------------------------------------------- sums
@dataclass(kw_only=True)
class _Sum:
    """What the lines of a sheet moved in a zone and account: masses, and how many lines.

    ``first`` is the place of its first posting in the journal, ``last`` the last entry met.
    """

    kind: Kind
    entry: Entry
    first: int
    masses: dict[str, float] = field(default_factory=dict)
    ranged: set[str] = field(default_factory=set)
    lines: int = 0
    last: Entry | None = None


def _summed(postings: Postings) -> Sequence[_Sum]:
    """Sums by sheet, zone and account, in the order of their first postings.

    Zone by zone, and no posting is kept (measured at 100,000 lines: 9 MB instead of 16, or 70).
    """
    zones = postings.grouped(lambda kind: (kind.zone.field, kind.zone.zone))
    sums = [one for own in zones.values() for one in _in_zone(own)]
    return sorted(sums, key=lambda one: one.first)


def _in_zone(postings: Postings) -> Iterator[_Sum]:
    """The sums of one zone, each nutrient's masses added up."""
    sums: dict[Hashable, _Sum] = {}
    parts: dict[int, dict[str, list[float]]] = {}  # masses by sum and nutrient
    known: dict[tuple[str, int], tuple[_Sum, list[float]]] = {}  # by sheet and kind
    ranges = postings.asked(any_ranged)
    moved = zip(postings.places, postings.moves, ranges, strict=True)
    for at, (kind, entry, mass), ranged in moved:
        key = (entry.row.grid.sheet_id, id(kind))
        if key not in known:
            new = sums.setdefault(_place(kind, entry), _Sum(kind=kind, entry=entry, first=at))
            own = parts.setdefault(id(new), {})
            known[key] = new, own.setdefault(kind.nutrient, [])
        one, masses = known[key]
        masses.append(mass)
        if entry is not one.last:  # the postings of an entry stand together
            one.lines, one.last = one.lines + 1, entry
        if ranged and mass:
            one.ranged.add(kind.nutrient)
    for one in sums.values():
        one.masses = {nutrient: fsum(masses) for nutrient, masses in parts[id(one)].items()}
        yield one


def _sums_table(sums: Sequence[_Sum], stores: Stores, shown: Shown) -> Table:
    first = [Heading(text="Lines of", format="text", width=20)]
    last = Heading(text="Lines", format="whole", width=9)
    lines = [_sums_line(one, stores, shown) for one in sums]
    return Table(title="", headings=_headings(first, last, shown), lines=lines)


def _sums_line(one: _Sum, stores: Stores, shown: Shown) -> Line:
    sheet = one.entry.row.grid.sheet_name
    sums: dict[str, Cell] = {
        n: rough(shown.value("mass", m), n in one.ranged) for n, m in one.masses.items()
    }
    return Line(
        about=(*_about(one.kind, one.entry, stores), ("all lines of", sheet)),
        cells=[
            sheet,
            *_zone(one.kind),
            str(one.kind.account),
            *(sums.get(nutrient, "") for nutrient in shown.definitions.nutrients),
            one.lines,
        ],
    )
