"""Small pieces of formula text; cells are named in brackets and found by ``Places``."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ledger.live.words import LINES, OK

NUMBER = '"<1E+99"'  # a condition that every number meets, and no word


def quoted(word: str) -> str:
    """A word as a formula writes it."""
    return '"' + word.replace('"', '""') + '"'


def chain(tests: Iterable[tuple[str, str]], last: str) -> str:
    """The word of the first test that fails, else ``last``: (condition, word) in order."""
    text = last
    for condition, word in reversed(list(tests)):
        text = f"IF({condition},{text},{quoted(word)})"
    return text


def plus(*parts: str) -> str:
    """A sum that shows the word of the first part that has no number."""
    text = "+".join(parts)
    for part in reversed(parts):
        text = f"IF(ISNUMBER({part}),{text},{part})"
    return text


def minus(first: str, second: str) -> str:
    """A difference that shows the word of the first part that has no number."""
    return f"IF(ISNUMBER({first}),IF(ISNUMBER({second}),{first}-{second},{second}),{first})"


def times(first: str, second: str) -> str:
    """A product; ``first`` is a number, ``second`` may be a word, which is shown then."""
    return f"IF(ISNUMBER({second}),{first}*{second},{second})"


def on_sound_lines(value: str) -> str:
    """A figure of a line that counts; the line's own word where it does not."""
    return f"IF([_state]={quoted(OK)},{value},[_state])"


def listed(key: str, table: str, value: str, otherwise: str) -> str:
    """What a table holds for a key."""
    return f"IFERROR(INDEX([{table}.{value}],MATCH({key},[{table}.key],0)),{otherwise})"


def joined(parts: Sequence[str]) -> str:
    """The text of a key with several parts."""
    return '&"|"&'.join(parts)


def found_in(column: str, sheet: str, listing: str, word: str) -> str:
    """The line of another sheet that a cell names, or a word; blank where nothing is named."""
    return f'IF([{column}]="","",IFERROR(MATCH([{column}],[{sheet}.{listing}],0),{quoted(word)}))'


def stands_once(sheet: str, column: str, name: str = "") -> str:
    """A test: a name stands once in a column; texts are compared whole, not as patterns."""
    return f"SUMPRODUCT(([{sheet}.{column}]={name or f'[{column}]'})*1)=1"


def no_less_than_zero(columns: Iterable[str]) -> str:
    """A test: none of the cells that hold numbers holds one below zero."""
    return f"MIN({','.join(f'[{column}]' for column in columns)})>=0"


def summed(sheet: str, column: str, conditions: Sequence[Sequence[str]]) -> str:
    """The sum of a column over lines that meet one set of conditions or another.

    A condition is a column and what it must equal; a line that shows a word has no number,
    so then the sum has none either.
    """
    lines, numbers, sums = [], [], []
    for group in conditions:
        pairs = zip(group[::2], group[1::2], strict=True)
        tests = ",".join(f"[{sheet}.{name}],{value}" for name, value in pairs)
        lines.append(f"COUNTIFS({tests})")
        numbers.append(f"COUNTIFS({tests},[{sheet}.{column}],{NUMBER})")
        sums.append(f"SUMIFS([{sheet}.{column}],{tests})")
    whole = f"{'+'.join(lines)}={'+'.join(numbers)}"
    return f"IF({whole},{'+'.join(sums)},{quoted(LINES)})"
