"""What a column takes, in words: for the notes on headings and the messages of cells."""

from __future__ import annotations

from ledger.build.plan import Plan, cell_schema
from ledger.layout import heading_unit
from ledger.model import Column, Sheet

ANY_TEXT = "any text"


def expects(sheet: Sheet, column: Column, plan: Plan) -> str:
    """What to type, as the end of a sentence."""
    if column.choices:
        return "one of: " + ", ".join(column.choices)
    if column.suggestions:
        return f"one of: {', '.join(column.suggestions)}; or your own words"
    if column.lookup:
        title = plan.definitions.sheets[column.lookup.sheet].title if column.lookup.sheet else ""
        return f"a name from the {title or 'Lists'} sheet"
    if column.is_date:
        return _date(column, plan)
    return _number(sheet, column) if column.is_number else ANY_TEXT


def takes(sheet: Sheet, column: Column, plan: Plan) -> str:
    """What to type as a sentence; nothing for a column that any text suits."""
    wanted = expects(sheet, column, plan)
    return "" if wanted == ANY_TEXT else f"Takes {wanted}."


def _date(column: Column, plan: Plan) -> str:
    text = f"a date, such as {plan.year}-04-24"
    first, last = plan.days
    return f"{text}, from {first} to {last}" if column.within else text


def _number(sheet: Sheet, column: Column) -> str:
    kind = "a whole number" if column.type == "integer" else "a number"
    limits = _limits(sheet, column)
    words = f", or the word {' or '.join(column.words)}" if column.words else ""
    return f"{kind}{' ' if limits else ''}{limits}{words}"


def _limits(sheet: Sheet, column: Column) -> str:
    cell = cell_schema(sheet, column)
    low = f"{cell['minimum']:g}" if "minimum" in cell else ""
    if low and "maximum" in cell:
        return f"from {low} to {cell['maximum']:g}"
    parts = [
        f"from {low} up" if low else "",
        f"above {cell['exclusiveMinimum']:g}" if "exclusiveMinimum" in cell else "",
        f"below {cell['exclusiveMaximum']:g}" if "exclusiveMaximum" in cell else "",
        f"up to {cell['maximum']:g}" if "maximum" in cell else "",
    ]
    return " and ".join(part for part in parts if part)


def unit_words(sheet: Sheet, column: Column, plan: Plan) -> str:
    """The unit of a column, or the column that it is picked in."""
    if column.unit_column:
        return f"as picked under '{sheet.by_id[column.unit_column].title}'"
    if column.unit_by_form:
        forms = column.unit_by_form[plan.system]
        return ", ".join(f"{unit} when {form}" for form, unit in forms.items())
    return heading_unit(column, plan.system, plan.definitions)


def note(sheet: Sheet, column: Column, plan: Plan) -> str:
    """The note on a heading: what goes here, what is taken, unit, whether it is needed."""
    unit = unit_words(sheet, column, plan)
    facts = [
        takes(sheet, column, plan),
        f"Unit: {unit}." if unit else "",
        "Needed on every line." if column.required else "",
    ]
    return "\n".join([column.note, *(fact for fact in facts if fact)])
