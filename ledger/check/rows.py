"""Check one row: cell types, the sheet's JSON Schema, lookups, dates, conversion to base."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import cache
from typing import Any

from ledger import findings
from ledger.check.names import Directory
from ledger.check.values import Problem, typed
from ledger.check.zones import WHOLE
from ledger.layout import fold
from ledger.model import Column, Definitions, Entry, Finding, Row, Sheet, System, Value
from ledger.season import crop_year

Values = dict[str, Value]


class RowChecker:
    """Checks rows against their sheet; knows the names, the units and the crop year."""

    def __init__(self, definitions: Definitions, names: Directory, system: System) -> None:
        self._definitions = definitions
        self._names = names
        self._system = system
        self._window: tuple[date, date] | None = None
        self._good: dict[tuple[str, str], set[Any]] = {}

    def set_year(self, farm: Entry) -> None:
        """Fix the days that belong to the crop year, once the Farm sheet was read."""
        year = farm.number("year")
        if year is not None:
            self._window = crop_year(int(year), self._definitions)

    def entry(self, sheet: Sheet, row: Row) -> tuple[Entry, list[Finding]]:
        """The entry of a row, in base units, and the findings about it."""
        values: Values = {}
        problems: list[tuple[str, Problem]] = []
        for name, cell in row.cells.items():
            value, problem = typed(sheet.by_id[name], cell)
            if problem:
                problems.append((name, problem))
            elif value is not None:
                values[name] = value
        blamed = {name for name, _ in problems}
        problems += [p for p in self._schema(sheet, values) if p[0] not in blamed]
        problems += self._look_up(sheet, values)
        problems += self._dates(sheet, values)
        found = [
            findings.finding(self._definitions, code, row, name, **words)
            for name, (code, words) in problems
        ]
        faulty = findings.has_errors(found)
        for name, _ in problems:
            values.pop(name, None)  # what is at fault is unknown; the rest of the line is not
        self._defaults(sheet, values)
        self._to_base(sheet, values)
        return Entry(row=row, values=values, faulty=faulty), found

    def _schema(self, sheet: Sheet, values: Values) -> list[tuple[str, Problem]]:
        """Hold a row against its schema.

        Rows whose every value was found good before, with nothing required missing, need no
        second look: a row schema constrains cells one by one (there is a test for that).
        """
        plain = {k: v.isoformat() if isinstance(v, date) else v for k, v in values.items()}
        required = sheet.schema["required"]
        if all(name in plain for name in required) and all(
            value in self._good.get((sheet.id, name), ()) for name, value in plain.items()
        ):
            return []
        errors = list(_validator(sheet.id, self._definitions).iter_errors(plain))
        if not errors:
            for name, value in plain.items():
                self._good.setdefault((sheet.id, name), set()).add(value)
        return [_explain(error, sheet) for error in errors]

    def _look_up(self, sheet: Sheet, values: Values) -> Iterator[tuple[str, Problem]]:
        for column in sheet.columns:
            if column.lookup is None or column.id not in values:
                continue
            lookup = column.lookup
            context = str(values.get(lookup.within, "")) if lookup.within else ""
            known = self._names.known(lookup, context)
            read = str(values[column.id])
            name = known.get(fold(read))
            if name is not None:
                values[column.id] = name
            elif lookup.sheet == "zones" and fold(read) == WHOLE:
                del values[column.id]
            elif not (lookup.within and not context):
                yield column.id, self._unknown(column, read, list(known.values()), context)

    def _unknown(self, column: Column, read: str, known: list[str], context: str) -> Problem:
        lookup = column.lookup
        assert lookup is not None
        title = self._definitions.sheets[lookup.sheet].title if lookup.sheet else ""
        where = f"the {title} sheet" if title else f"the list of {column.title.lower()}s"
        if context:
            where += f" for '{context}'"
        hint = findings.hint(read, known)
        return "unknown-name", {"read": read, "expected": where, "hint": hint}

    def _dates(self, sheet: Sheet, values: Values) -> Iterator[tuple[str, Problem]]:
        for column in sheet.columns:
            day = values.get(column.id)
            if column.within and isinstance(day, date) and self._window:
                first, last = self._window
                if not first <= day <= last:
                    words = {"read": day, "expected": f"{first} to {last}"}
                    yield column.id, ("date-outside-year", words)

    def _defaults(self, sheet: Sheet, values: Values) -> None:
        for column in sheet.columns:
            if column.default and column.id not in values:
                values[column.id] = column.default

    def _to_base(self, sheet: Sheet, values: Values) -> None:
        """Convert at the border: from here on everything is in kg, ha, L."""
        for column in sheet.columns:
            value = values.get(column.id)
            if isinstance(value, float) and (unit := self._unit(column, values)):
                values[column.id] = value * self._definitions.units[unit].factor

    def _unit(self, column: Column, values: Values) -> str:
        if column.unit_column:
            choice = str(values.get(column.unit_column, ""))
            return column.unit_of_choice.get(choice, "" if column.unit_of_choice else choice)
        if column.per_yield or column.unit_by_form:
            return ""  # needs the crop or the lot: converted where those are known
        return column.unit.get(self._system, "")


@cache
def _validator(sheet: str, definitions: Definitions) -> Any:
    from jsonschema import Draft202012Validator

    return Draft202012Validator(definitions.sheets[sheet].schema)


def _explain(error: Any, sheet: Sheet) -> tuple[str, Problem]:
    """Turn a jsonschema error into a finding code and its words."""
    limit = error.validator_value
    if error.validator == "required":
        missing = next(name for name in limit if name not in error.instance)
        for name in limit:
            if f"'{name}'" in error.message:
                missing = name
        return missing, ("required-blank", {"expected": sheet.by_id[missing].title})
    name = str(error.absolute_path[0])
    read = error.instance
    if error.validator == "enum":
        words = {"read": read, "expected": ", ".join(limit), "hint": findings.hint(read, limit)}
        return name, ("unknown-word", words)
    if error.validator in ("minimum", "exclusiveMinimum", "anyOf"):
        return name, ("too-small", {"read": read, "expected": _bound(error, sheet.by_id[name])})
    if error.validator in ("maximum", "exclusiveMaximum"):
        return name, ("too-large", {"read": read, "expected": _bound(error, sheet.by_id[name])})
    raise AssertionError(f"the row schema of {sheet.id} uses {error.validator}, not foreseen")


def _bound(error: Any, column: Column) -> str:
    if error.validator == "anyOf":
        return "zero or more, or " + " or ".join(column.words)
    words = {
        "minimum": "{} or more",
        "exclusiveMinimum": "more than {}",
        "maximum": "{} or less",
        "exclusiveMaximum": "less than {}",
    }
    return words[error.validator].format(error.validator_value)
