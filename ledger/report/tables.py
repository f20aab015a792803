"""Tables: what a result sheet shows, before anything is said of spreadsheets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

UNKNOWN = "unknown"
UNCUT = "no harvest yet"  # of ground with a crop whose removal is still to come
CROP_WIDTH, METHOD_WIDTH = 17, 20  # characters, for the longest names of the templates


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A text that leads to a cell of the workbook."""

    text: str
    sheet: str
    cell: str


def place_of(link: Link) -> str:
    """Where a link leads. Dollar signs, since LibreOffice takes a bare C6 for column 6."""
    quoted = link.sheet.replace("'", "''")
    letters = link.cell.rstrip("0123456789")
    return f"'{quoted}'!${letters}${link.cell[len(letters) :]}"


class Rough(float):
    """A number that hangs on figures with a range which stands elsewhere: shown with a sign."""

    __slots__ = ()


class Jump(str):
    """A text that leads to a line of another result sheet once ``joined`` has found it.

    ``sheet`` is that sheet's id, ``about`` what its line must be about. Where nothing joins
    the sheets, as on paper, it is its text alone.
    """

    __slots__ = ("about", "sheet")
    sheet: str
    about: tuple[tuple[str, str], ...]

    def __new__(cls, text: str, *, sheet: str, about: tuple[tuple[str, str], ...]) -> Jump:
        made = super().__new__(cls, text)
        made.sheet, made.about = sheet, about
        return made


Cell = str | float | date | Link | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """A column of a table: its heading, the format of its cells, its width in characters.

    ``about`` says what the column is of, for ``explain``: pairs such as ("figure", "removal").
    """

    text: str
    format: str = "one"
    width: int = 11
    about: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line of cells; total lines stand out, severities colour the first cell.

    ``format`` replaces the format of the column for the numbers of this line; ``about`` says
    what the line is of, for ``explain``: pairs such as ("field", "North"), ("zone", "all").
    """

    cells: Sequence[Cell]
    kind: Literal["plain", "total", "error", "warning", "note"] = "plain"
    format: str = ""
    about: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """A picture of some columns of a table, by their place in it counted from 0.

    ``reach`` names two columns: how far each value may lie lower and how far higher.
    """

    title: str
    categories: int
    series: Sequence[int]
    kind: Literal["column", "line"] = "column"
    axis: str = ""
    reach: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A titled block of lines under headings, with a chart below it if one helps."""

    title: str
    headings: Sequence[Heading]
    lines: Sequence[Line]
    note: str = ""
    chart: Chart | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultSheet:
    """One result sheet: id for its mark, the tab's name, words on top, its tables."""

    id: str
    name: str
    words: Sequence[str]
    tables: Sequence[Table] = field(default_factory=tuple)
