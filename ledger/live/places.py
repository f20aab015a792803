"""Where everything that formulas name lies in a new workbook: columns, tables, answers.

A formula names cells in brackets: ``[amount]`` is this line's cell, ``[fields.area]`` the
whole column of a sheet or table, ``[now.manure_set]`` a single cell, ``[ref.KEY]`` the figure
in use on the sheet 'Reference'. Live columns begin with an underscore.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

ROW = "\x00"  # stands for the number of the line until it is known
_NAME = re.compile(r"\[([^\]]+)\]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """One column of a sheet: its letters, and its first and last line counted from 1."""

    sheet: str
    letters: str
    first: int
    last: int

    @property
    def address(self) -> str:
        """The whole column as another sheet names it; a single cell when it is one."""
        name = self.sheet.replace("'", "''")
        start = f"'{name}'!${self.letters}${self.first}"
        return start if self.first == self.last else f"{start}:${self.letters}${self.last}"


@dataclass(frozen=True, kw_only=True, eq=False)
class Places:
    """The areas that formulas may name, by ``sheet.column``."""

    areas: Mapping[str, Area]

    def formula(self, text: str, sheet: str = "") -> str:
        """A formula with its names turned into addresses; own cells wait for their row.

        Raises ``KeyError`` for a name that nothing has.
        """
        return "=" + _NAME.sub(lambda match: self._address(match[1], sheet), text)

    def _address(self, name: str, sheet: str) -> str:
        own = self.areas.get(f"{sheet}.{name}")
        return f"${own.letters}{ROW}" if own else self.areas[name].address


def names_in(text: str) -> Iterator[str]:
    """The names in brackets of a formula."""
    return (match[1] for match in _NAME.finditer(text))


def in_row(formula: str, row: int) -> str:
    """The formula of one line, counted from 1."""
    return formula.replace(ROW, str(row))
