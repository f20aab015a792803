"""What every review asks of the book: lines that count, figures and rows in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from ledger.model import Book, Definitions, Entry

RANGES_SHOWN = 12  # more would fill the cell; the count says how many there are


def applied(book: Book, sheet: str) -> Iterator[Entry]:
    """The sound lines of a sheet that are not merely planned."""
    for entry in book.entries.get(sheet, ()):
        if not entry.faulty and entry.get("status") != "planned":
            yield entry


def shown(book: Book, definitions: Definitions, quantity: str, base: float) -> str:
    """A base figure with the unit that the ledger shows it in."""
    unit = definitions.shown_in[book.system][quantity]
    return f"{base / definitions.units[unit].factor:.1f} {unit}"


def rows(numbers: Sequence[int]) -> str:
    """Rows in words, runs of them joined: 'row 6', 'rows 6 to 9, 12'."""
    runs: list[str] = []
    for _, group in groupby(enumerate(sorted(numbers)), key=lambda pair: pair[1] - pair[0]):
        run = [str(number) for _, number in group]
        runs += run if len(run) < 3 else [f"{run[0]} to {run[-1]}"]
    more = " and more" if len(runs) > RANGES_SHOWN else ""
    noun = "row" if len(numbers) == 1 else "rows"
    return f"{noun} " + ", ".join(runs[:RANGES_SHOWN]) + more
