"""The product sheet's lines: the book products, with the person's own lines laid over them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ledger.build.plan import Plan
from ledger.layout import fold
from ledger.model import BookProduct, Figure, Sheet

Line = Mapping[str, object]
NAME, FORM, DENSITY = "product", "form", "density"


def lines(plan: Plan, sheet: Sheet) -> Iterator[tuple[BookProduct | None, Line]]:
    """Every line of the sheet, with the book product it is about.

    A line of the entries whose name is a book product's (but for case) replaces that
    product's cells one by one; the others follow at the end.
    """
    own = list(plan.entries.get(sheet.id, ()))
    for book in plan.definitions.products.values():
        mine = next((row for row in own if fold(str(row.get(NAME, ""))) == fold(book.id)), None)
        if mine is not None:
            own.remove(mine)
        yield book, {**_book_line(book, plan, sheet), **(mine or {})}
    for row in own:
        yield None, row


def _book_line(book: BookProduct, plan: Plan, sheet: Sheet) -> dict[str, object]:
    """A product's published figures in the units of the headings.

    A grade states what is guaranteed, so a nutrient that it does not list counts as none.
    """
    line: dict[str, object] = {NAME: book.id, FORM: book.form}
    for nutrient in plan.definitions.nutrients.values():
        if NAME in nutrient.columns:
            line[nutrient.columns[NAME]] = book.grade.get(nutrient.id, 0)
    if book.density:
        line[DENSITY] = _converted(book.density, sheet.by_id[DENSITY].unit[plan.system], plan)
    return line


def _converted(figure: Figure, unit: str, plan: Plan) -> float:
    if figure.unit == unit:
        return figure.value
    units = plan.definitions.units
    return figure.value * units[figure.unit].factor / units[unit].factor


def note(book: BookProduct) -> str:
    """Where a product's figures come from, whether they were verified, and their range."""
    grade = ", ".join(f"{value:g} % {nutrient}" for nutrient, value in book.grade.items())
    parts = [f"Published grade: {grade} ({book.status}): {book.source.citation(book.page)}."]
    if book.density:
        parts.append(_density_note(book.density))
    return "\n".join([*parts, book.note]).strip()


def _density_note(density: Figure) -> str:
    spread = ""
    if density.low is not None and density.high is not None:
        spread = f", range {density.low:g} to {density.high:g}"
    stated = f"Published density: {density.value:g} {density.unit}{spread} ({density.status})"
    return f"{stated}: {density.citation()}. {density.note}".strip()
