"""A figure that is no sum of postings alone: its formula in words, and what it follows from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fnmatch import fnmatchcase

from ledger.definitions.derivations import typed
from ledger.explain.places import Place
from ledger.explain.telling import number, typed_cell
from ledger.layout import fold
from ledger.model import Book, Definitions, Derivation, Entry
from ledger.report.spans import RANGE
from ledger.report.tables import Cell, Link, Table

ANY = "*"
ROW_MARK = "line "  # an operand that is another line of the same column
SAME_LINE = "same line"  # ... the line of the same words in another table, same column
IN_WORDS = ("text", "wrapped")  # formats of columns that hold no figures
Places = Mapping[str, Place]


def derivation_of(place: Place, sheet_id: str, definitions: Definitions) -> Derivation | None:
    """The derivation of a cell: by its heading, else by the words that head its line.

    What is said of a cell by name comes before what is said of any cell of its table; names and
    remarks in a line of figures follow from nothing.
    """
    if place.heading.format in IN_WORDS:
        return None
    table = bare(place.table.title)
    own = [
        one
        for one in definitions.derivations.cells
        if one.sheet == sheet_id and fnmatchcase(table, one.table)
    ]
    for text in (place.heading.text, place.head):
        for one in own:
            if one.cell != ANY and fnmatchcase(bare(text), one.cell):
                return one
    words = isinstance(place.value, str | Link)
    return None if words else next((one for one in own if one.cell == ANY), None)


def bare(text: str) -> str:
    """A heading or title without its unit in brackets."""
    return text.split(" [", maxsplit=1)[0]


def is_range(place: Place) -> bool:
    """Whether a cell is the range of a figure that stands beside it."""
    return "range" in dict(place.heading.about)


def operand_lines(
    derivation: Derivation, place: Place, places: Places, book: Book, definitions: Definitions
) -> list[str]:
    """What a cell follows from: a line an operand, with its value, unit and cell."""
    found: list[str] = []
    for operand in derivation.operands:
        named = typed(operand)
        if named:
            found += _typed_lines(*named, place, book, definitions)
        else:
            found += _reckoned_lines(operand, place, places)
    return found


# ------------------------------------------------------------- cells of results
def _reckoned_lines(operand: str, place: Place, places: Places) -> list[str]:
    title, colon, rest = operand.partition(": ")
    if not colon:
        title, rest = "", operand
    row = rest.removeprefix(ROW_MARK) if rest.startswith(ROW_MARK) else ""
    row = rest if rest == SAME_LINE else row
    return [
        f"{_name(other, by_line=bool(row))} = {_said(other)} ({cell})"
        for cell, other in places.items()
        if _table_fits(other.table, title, place)
        and (_line_fits(other, row, place) if row else _column_fits(other, rest, place))
    ]


def _table_fits(table: Table, title: str, place: Place) -> bool:
    return bare(table.title) == title if title else table is place.table


def _line_fits(other: Place, row: str, place: Place) -> bool:
    """Another line's cell of the same column.

    ``row`` are the words that head the line, or those of its first two cells with a bar between;
    without a bar a line that says something else in its second cell is another's.
    """
    if row == SAME_LINE:
        return _same_line(other, place)
    head, bar, second = row.partition(" | ")
    kinds = {second} if bar else {"", place.second} if place.second else {other.second}
    fits = fnmatchcase(bare(other.head), head) and other.second in kinds
    return fits and bare(other.heading.text) == bare(place.heading.text)


def _same_line(other: Place, place: Place) -> bool:
    index = place.table.headings.index(place.heading)
    return other.table.headings[index] is other.heading and (bare(other.head), other.second) == (
        bare(place.head),
        place.second,
    )


def _column_fits(other: Place, heading: str, place: Place) -> bool:
    """A cell of another column, of the same line or thing; its range where a range is asked."""
    if _column(other) != heading or (is_range(other) and not is_range(place)):
        return False
    return other.line is place.line or _about_the_same(other, place)


def _about_the_same(one: Place, other: Place) -> bool:
    """Lines of two tables about one field and zone, or one store, lot or kind."""
    both = one.table.headings[1].text == other.table.headings[1].text
    return one.head == other.head and (not both or one.second == other.second)


def _text(cell: Cell) -> str:
    return cell.text if isinstance(cell, Link) else str(cell)


def _column(place: Place) -> str:
    """A heading as operands name it: that of a range is called like its figure's."""
    return bare(place.heading.text).removesuffix(RANGE)


def _name(place: Place, *, by_line: bool) -> str:
    name = bare(place.head) if by_line else _column(place)
    return name + RANGE if is_range(place) else name


def _said(place: Place) -> str:
    """The value of a cell with the unit that its heading, line or table is in."""
    if isinstance(place.value, str):
        return place.value or "blank"
    value = place.value if isinstance(place.value, float | int) else None
    return number(value, unit_of(place))


def unit_of(place: Place) -> str:
    """The unit that the line tells, else that in brackets of the heading, else of the table.

    What heads a line is often a name, and brackets in a name are no unit.
    """
    told = dict(place.line.about).get("unit")
    if told is not None:
        return told
    for text in (place.heading.text, place.table.title):
        _, mark, unit = text.partition(" [")
        if mark:
            return unit.split("]")[0]
    return ""


# ------------------------------------------------------------------ typed cells
def _typed_lines(
    sheet_id: str, column: str, place: Place, book: Book, definitions: Definitions
) -> list[str]:
    return [
        typed_cell(entry, column, book.system, definitions)
        for entry in _entries(sheet_id, place, book)
        if entry.row.cells.get(column) is not None
    ]


def _entries(sheet_id: str, place: Place, book: Book) -> Sequence[Entry]:
    """The typed lines that a line of results is about."""
    if sheet_id == "farm":
        return [book.farm]
    if sheet_id == "zones":
        return list(_ground(place, book))
    first = {"products": "product", "stores": "store"}[sheet_id]
    columns = zip(place.table.headings, place.line.cells, strict=True)
    names = {fold(_text(cell)) for heading, cell in columns if fold(heading.text) == first}
    entries = book.entries.get(sheet_id, ())
    named = [entry for entry in entries if fold(entry.text(first)) in names]
    chosen = fold(book.farm.text("sidedress_product"))
    if sheet_id == "products" and not named:
        named = [entry for entry in entries if fold(entry.text(first)) == chosen]
    return named


def _ground(place: Place, book: Book) -> Iterator[Entry]:
    """The line of a zone, or the lines of a whole field."""
    field, zone = place.head, place.second
    lines = [e for e in book.entries.get("zones", ()) if e.text("field") == field]
    yield from [e for e in lines if e.text("zone") == zone] or lines
    if not lines:
        yield from (e for e in book.entries.get("fields", ()) if e.text("field") == field)
