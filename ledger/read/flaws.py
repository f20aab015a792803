"""Cells that look blank but are not: formulas that nobody computed, merged cells."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import replace

from ledger.layout import index_of, letter
from ledger.model import Flaw, Row
from ledger.read.package import Unreadable
from ledger.read.recognise import Spotted
from ledger.read.scan import ADVICE

MOST_MERGED = 5_000
UNCOMPUTED = Flaw(code="formula-without-value", words={})


def flaws_of(spotted: Spotted, rows: Sequence[Row]) -> list[Row]:
    """The rows with a flaw in place of every cell whose value cannot be known."""
    rows = _uncomputed(rows, spotted.tab.scan.uncomputed)
    merged = spotted.tab.scan.merged
    if len(merged) > MOST_MERGED:
        reason = f"the sheet '{spotted.tab.name}' has more than {MOST_MERGED} merged ranges"
        raise Unreadable(reason, ADVICE)
    for area in merged:
        _mark_merged(rows, area)
    return rows


def lone_formulas(spotted: Spotted, rows: Sequence[Row]) -> list[str]:
    """The first formula without a value of every column, in lines that hold nothing else."""
    filled = {row.number for row in rows}
    known = set(spotted.grid.letters.values())
    first: dict[str, int] = {}
    for address in spotted.tab.scan.uncomputed if spotted.sheet.layout == "rows" else ():
        number, at = _place(address)
        if letter(at) in known and number > spotted.top and number not in filled:
            first[letter(at)] = min(number, first.get(letter(at), number))
    return [f"{at}{number}" for at, number in sorted(first.items())]


def _uncomputed(rows: Sequence[Row], addresses: set[str]) -> list[Row]:
    """The rows with a flaw in every cell of these addresses; most rows have none."""
    if not addresses:
        return list(rows)
    numbers = {_place(address)[0] for address in addresses}
    return [
        _with_flaws(row, addresses) if row.grid.pair_rows or row.number in numbers else row
        for row in rows
    ]


def _with_flaws(row: Row, addresses: set[str]) -> Row:
    blank = [name for name in row.grid.letters if row.address(name) in addresses]
    return replace(row, cells={**row.cells, **dict.fromkeys(blank, UNCOMPUTED)}) if blank else row


def _mark_merged(rows: list[Row], area: str) -> None:
    """Put a flaw into every row that a merged range covers, but for one it leaves readable.

    A range whose only cell of the ledger is the one that shows its value does no harm.
    """
    first, _, last = area.replace("$", "").partition(":")
    start, end = _place(first), _place(last or first)
    covered = [
        (at, name)
        for at in _touched(rows, start[0], end[0])
        for name in rows[at].grid.letters
        if _within(_place(rows[at].address(name)), start, end)
    ]
    if [rows[at].address(name) for at, name in covered] == [first]:
        return
    flaw = Flaw(code="merged-cells", words={"read": area})
    for at, name in dict(reversed(covered)).items():
        rows[at] = replace(rows[at], cells={**rows[at].cells, name: flaw})


def _touched(rows: Sequence[Row], top: int, bottom: int) -> range:
    if rows and rows[0].grid.pair_rows:
        return range(len(rows))
    numbers = [row.number for row in rows]
    return range(bisect_left(numbers, top), bisect_right(numbers, bottom))


def _within(place: tuple[int, int], start: tuple[int, int], end: tuple[int, int]) -> bool:
    return start[0] <= place[0] <= end[0] and start[1] <= place[1] <= end[1]


def _place(address: str) -> tuple[int, int]:
    letters = address.rstrip("0123456789")
    return int(address[len(letters) :]), index_of(letters)
