"""Formulas of a column kept once in the file: the first line has the text, the others share it.

XlsxWriter writes every formula out. Tens of thousands of long formulas would make the file
ten times larger and slow to open; the file format lets lines below share the first one's.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from io import BytesIO

_BLANK = re.compile(r'<c r="([A-Z]+)(\d+)"( s="\d+")/>')
_WITH_FORMULA = '<c r="{cell}"{look} t="str"><f t="shared" si="{number}"/><v></v></c>'


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A column of one formula: its letters, and its lines from ``first`` to ``last``."""

    letters: str
    first: int
    last: int


def share(package: bytes, runs: Mapping[str, Iterable[Run]]) -> bytes:
    """The package with the formulas of every run shared.

    ``runs`` is by part name. The first line of a run holds its formula; the lines below must
    have been written as blank cells with a format. Raises ``ValueError`` where one is not.
    """
    target = BytesIO()
    with zipfile.ZipFile(BytesIO(package)) as before, zipfile.ZipFile(target, "w") as after:
        for item in before.infolist():
            content = before.read(item)
            if item.filename in runs:
                content = _shared(content.decode(), list(runs[item.filename])).encode()
            after.writestr(item, content, zipfile.ZIP_DEFLATED)
    return target.getvalue()


def _shared(sheet: str, runs: list[Run]) -> str:
    numbers = {run.letters: number for number, run in enumerate(runs)}
    for number, run in enumerate(runs):
        sheet = _begin(sheet, number, run)
    count = 0

    def formula(match: re.Match[str]) -> str:
        nonlocal count
        letters, row, look = match.groups()
        number = numbers.get(letters)
        if number is None or not runs[number].first < int(row) <= runs[number].last:
            return match[0]
        count += 1
        return _WITH_FORMULA.format(cell=letters + row, look=look, number=number)

    sheet = _BLANK.sub(formula, sheet)
    wanted = sum(run.last - run.first for run in runs)
    if count != wanted:
        raise ValueError(f"{wanted} cells should share a formula, {count} were found blank")
    return sheet


def _begin(sheet: str, number: int, run: Run) -> str:
    """Mark the formula of the first line as the one that the others share."""
    start = sheet.index(f'<c r="{run.letters}{run.first}"')
    at = sheet.index("<f>", start)
    area = f"{run.letters}{run.first}:{run.letters}{run.last}"
    return f'{sheet[:at]}<f t="shared" ref="{area}" si="{number}">{sheet[at + 3 :]}'
