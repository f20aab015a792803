"""What the scan goes by in the rows of a worksheet: plain rows whole, else tag by tag."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

_TOKEN = (
    rb"<(?:[\w.-]+:)?(?:row\b(?P<head>[^<>]*)>"
    rb"|c\b(?P<cell>[^<>]*)>"
    rb"(?P<formula>\s*<(?:[\w.-]+:)?f\b[^<>]*>(?:[^<]*</(?:[\w.-]+:)?f\s*>)?)?"
    rb"(?:\s*<(?:[\w.-]+:)?v\b[^<>]*>(?P<value>[^<]*))?"
    rb"(?P<inline>\s*<(?:[\w.-]+:)?is\b[^<>]*>)?"
    rb"(?:\s*<(?:[\w.-]+:)?t\b[^<>]*>(?P<text>[^<]*))?)"
)
_FORMULA = rb"<f\b[^<>]*+>(?:[^<]*+</f>)?+"
_FEW_COLUMNS = rb"(?:[A-Z]|[A-R][A-Z])"  # of one or two letters and in any case MOST_COLUMNS


@dataclass(frozen=True, slots=True, kw_only=True)
class Clues:
    """What to look for: the ledger's mark, the styles that show percent, made-up zeros.

    A file that no program has computed yet (it asks for that when it is opened) may hold a
    zero for every formula; such a zero is none.
    """

    mark: bytes
    marks: frozenset[bytes] = frozenset()
    percents: frozenset[bytes] = frozenset()
    never_computed: bool = False


def tokens(clues: Clues) -> re.Pattern[bytes]:
    """What to go by in the rows of a sheet: a plain row as one, else its tags one by one.

    Plain is a row as programs write them, with cells in which there is nothing to note:
    numbers, shared texts, computed formulas, each saying that it is of this row. Measured: 5
    times the speed; with what cells begin with told once for most kinds, 7 times. A ``bare``
    row is plain but for formulas without a value.
    """
    computed = b"" if clues.never_computed else b"(?:%b)?+" % _FORMULA
    value = rb"%b<v>[\d.+\-eE]++</v>" % computed
    bare = rb"(?:%b|(?:%b)?+<v>[\d.+\-eE]++</v>)" % (_bare(clues), _FORMULA)
    plain, others = _row(b"row", b"last", value, clues), _row(b"bare", b"bare_last", bare, clues)
    return re.compile(b"|".join((plain, others, _TOKEN)))


def _row(row: bytes, last: bytes, value: bytes, clues: Clues) -> bytes:
    """A row whose cells are blank, texts that are no mark, or such a value that is no percentage.

    The groups of these names are its number and the column of its last cell.
    """
    texts = (
        rb"s\"><v>%b\d++</v></c>" % _none_of(clues.marks, b"<"),
        rb"str\">%b<v>[^<]*+</v></c>" % _FORMULA,
        rb"inlineStr\"><is><t\b[^<>]*+>(?!\s*%b)[^<]*+</t></is></c>" % re.escape(clues.mark),
    )
    blank_or_text = rb"(?: s=\"\d++\")?+(?:/>| t=\"(?:%b))" % b"|".join(texts)
    shown = _none_of(clues.percents, rb'"')
    number = rb"(?: s=\"%b\d++\")?+(?: t=\"n\")?+>%b</c>" % (shown, value)
    start = rb"<row r=\"(?P<%b>\d++)\"[^<>]*+(?<!/)>" % row
    cell = rb"<c r=\"(?P<%b>%b)(?P=%b)\"(?:%b|%b)"
    return start + b"(?:%b)++</row>" % (cell % (last, _FEW_COLUMNS, row, blank_or_text, number))


def bare_cells(clues: Clues) -> re.Pattern[bytes]:
    """The addresses of formulas without a value to be believed, in a plain row."""
    start = rb"<c r=\"([A-Z]++\d++)\"(?: s=\"\d++\")?+(?: t=\"n\")?+>"
    return re.compile(start + _bare(clues))


def _bare(clues: Clues) -> bytes:
    return rb"%b<v>%b</v>" % (_FORMULA, b"0?" if clues.never_computed else b"")


def _none_of(numbers: Iterable[bytes], end: bytes) -> bytes:
    """A look ahead that none of some numbers stands there."""
    listed = b"|".join(sorted(numbers))
    return b"(?!(?:%b)%b)" % (listed, end) if listed else b""
