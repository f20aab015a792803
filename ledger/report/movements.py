"""The Postings sheet: every movement beside the line it came from, or sums where they are many."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from math import fsum

from ledger.model import Factor, Posting, Results
from ledger.report.tables import Cell, Heading, Line, Link, ResultSheet, Table
from ledger.report.units import Shown

SIGNS = "Into an account is plus, out of it minus; every entry adds up to zero."
Groups = Sequence[Sequence[Posting]]


def postings_sheet(results: Results, shown: Shown) -> ResultSheet:
    """Every movement, its nutrients side by side; above the number in the settings, sums.

    Nobody reads ten thousand lines, and writing them took several times as long as reading
    the whole workbook. They stay whole in ``export`` and ``balance --json``.
    """
    postings = results.journal.postings
    each = _grouped(postings, _movement)
    if len(each) <= shown.definitions.settings["postings_most"]:
        words, table = [SIGNS], _each_table(each, shown)
    else:
        words = [
            f"These are sums by sheet and account: the {len(each)} movements are too many to "
            "look through here.",
            "'nutrient-ledger export' writes every one (postings.csv); 'nutrient-ledger explain' "
            "tells those of one line.",
            SIGNS,
        ]
        table = _sums_table(_grouped(postings, _place), shown)
    return ResultSheet(id="postings", name="Postings", words=words, tables=[table])


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


def _place(posting: Posting) -> Hashable:
    zone, account = posting.zone, posting.account
    return (posting.entry.row.grid.sheet_id, zone.field, zone.zone, account.root, account.path)


def _headings(first: Sequence[Heading], last: Heading, shown: Shown) -> list[Heading]:
    return [
        *first,
        Heading(text="Field", format="text", width=18),
        Heading(text="Zone", format="text", width=16),
        Heading(text="Account", format="text", width=34),
        *(
            Heading(text=f"{nutrient} [{shown.label('mass')}]", width=11)
            for nutrient in shown.definitions.nutrients
        ),
        last,
    ]


# ------------------------------------------------------------ every movement
def _each_table(groups: Groups, shown: Shown) -> Table:
    first = [
        Heading(text="Date", format="date", width=11),
        Heading(text="Entry", format="text", width=20),
    ]
    last = Heading(text="Reckoned with", format="text", width=90)
    lines = [_each_line(group, shown) for group in groups]
    return Table(title="", headings=_headings(first, last, shown), lines=lines)


def _each_line(group: Sequence[Posting], shown: Shown) -> Line:
    first = group[0]
    row = first.entry.row
    masses: dict[str, Cell] = {p.nutrient: shown.value("mass", p.mass) for p in group}
    sheet = row.grid.sheet_name
    return Line(
        cells=[
            first.date or "",
            Link(text=f"{sheet} {row.number}", sheet=sheet, cell=f"A{row.number}"),
            first.zone.field,
            first.zone.zone,
            str(first.account),
            *(masses.get(nutrient, "") for nutrient in shown.definitions.nutrients),
            "; ".join(_reckoned(factor, shown) for factor in first.factors),
        ]
    )


def _reckoned(factor: Factor, shown: Shown) -> str:
    value, unit = shown.factor(factor)
    return f"{factor.name} {value:.6g} {unit} ({factor.origin})"


# ---------------------------------------------------------------------- sums
def _sums_table(groups: Groups, shown: Shown) -> Table:
    first = [Heading(text="Lines of", format="text", width=20)]
    last = Heading(text="Lines", format="whole", width=9)
    lines = [_sums_line(group, shown) for group in groups]
    return Table(title="", headings=_headings(first, last, shown), lines=lines)


def _sums_line(group: Sequence[Posting], shown: Shown) -> Line:
    first = group[0]
    masses: dict[str, list[float]] = {}
    for posting in group:
        masses.setdefault(posting.nutrient, []).append(posting.mass)
    sums: dict[str, Cell] = {n: shown.value("mass", fsum(m)) for n, m in masses.items()}
    return Line(
        cells=[
            first.entry.row.grid.sheet_name,
            first.zone.field,
            first.zone.zone,
            str(first.account),
            *(sums.get(nutrient, "") for nutrient in shown.definitions.nutrients),
            len({id(posting.entry) for posting in group}),
        ]
    )
