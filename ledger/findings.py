"""Findings as data: a coded message with the cell it is about, from one catalogue."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import SequenceMatcher, get_close_matches

from ledger.model import Definitions, Finding, Row

CUTOFF = 0.6  # likeness from 0 to 1, of names and of what is left without the words they share
GRAVITY = {"error": 0, "warning": 1, "note": 2}


def finding(definitions: Definitions, code: str, row: Row, column: str, **words: object) -> Finding:
    """A finding of the catalogue about one cell of a row.

    ``words`` fill the message and the fix; a code that is not in the catalogue or a word
    that is missing raises KeyError, since that is a fault of ours.
    """
    sheet = row.grid.sheet_name
    return at(definitions, code, sheet, row.address(column), **words)


def at(definitions: Definitions, code: str, sheet: str, cell: str, **words: object) -> Finding:
    """A finding of the catalogue about a sheet and a cell."""
    kind = definitions.findings[code]
    return Finding(
        code=code,
        severity=kind.severity,
        sheet=sheet,
        cell=cell,
        message=kind.message.format(**words),
        fix=kind.fix.format(**words),
    )


def has_errors(found: Iterable[Finding]) -> bool:
    """True when any finding is an error."""
    return any(item.severity == "error" for item in found)


def hint(read: str, known: Iterable[str]) -> str:
    """A kind suggestion for a word that is nearly right, or nothing."""
    folded = {name.casefold(): name for name in known}
    near = _near(read.casefold(), list(folded))
    told = " or ".join(f"'{folded[name]}'" for name in near)
    return f" (did you mean {told}?)" if told else ""


def _near(read: str, known: Sequence[str]) -> list[str]:
    """The name most like a word; else, of several words, up to two that begin with its first."""
    alike = get_close_matches(read, known, n=len(known) or 1, cutoff=CUTOFF)
    best = [name for name in alike if _more_than_its_end(read, name, known)][:1]
    first, _, rest = read.partition(" ")
    begun = [name for name in known if rest and name.split()[:1] == [first]]
    return best or get_close_matches(read, begun, n=2, cutoff=0.0)


def _more_than_its_end(read: str, name: str, known: Sequence[str]) -> bool:
    """Whether two names are alike by more than words that other names have as well."""
    left, right = read.split(), name.split()
    shared = set(left) & set(right)
    if not shared or left[0] == right[0]:
        return True
    own, other = (" ".join(w for w in words if w not in shared) for words in (left, right))
    if own and other:
        return SequenceMatcher(None, own, other).ratio() >= CUTOFF
    return sum(shared <= set(one.split()) for one in known) == 1


def in_order(found: Iterable[Finding], sheets: Sequence[str]) -> list[Finding]:
    """Findings by gravity, sheet (in workbook order) and cell."""
    rank = {name: number for number, name in enumerate(sheets)}
    last = len(rank)

    def key(item: Finding) -> tuple[int, int, str, tuple[int, str], str, str]:
        place = (rank.get(item.sheet, last), item.sheet, _cell_key(item.cell))
        return (GRAVITY[item.severity], *place, item.code, item.message)

    return sorted(found, key=key)


def _cell_key(cell: str) -> tuple[int, str]:
    letters = cell.rstrip("0123456789")
    return int(cell[len(letters) :] or 0), letters.rjust(4)


def as_line(found: Finding) -> str:
    """One finding for a terminal: gravity, place, what was read and expected, what to do."""
    place = f"{found.sheet}!{found.cell}" if found.cell else found.sheet
    return f"{found.severity}: {place}: {found.message}. {found.fix} [{found.code}]"
