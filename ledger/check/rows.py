"""Check one row: cell types, the sheet's JSON Schema, lookups, dates, conversion to base."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cache, partial
from typing import Any

from ledger import findings
from ledger.check.days import days_meant
from ledger.check.good import GoodValues
from ledger.check.known import KnownLines
from ledger.check.names import Directory
from ledger.check.values import Problem, own_unit, typed
from ledger.check.zones import WHOLE
from ledger.layout import fold
from ledger.model import Column, Definitions, Entry, Finding, Row, Sheet, System, Value
from ledger.season import crop_year

Values = dict[str, Value]
REPEATED = (str, datetime)  # cells whose like comes again and again
FEW = 200  # characters of names that a finding still tells one by one
WAITS, NO_DATE = "still-to-choose", "not-a-date"


@dataclass(frozen=True, kw_only=True)
class _Knack:
    """What is needed row after row of a sheet, put together once.

    ``texts`` keeps what the words and days of a column were made of: most come again (measured:
    with the lists below and what is surely good, checking takes a third of the time).
    """

    good: GoodValues
    texts: Mapping[str, dict[Any, tuple[Value | None, Problem | None]]]
    looked_up: list[Column] = field(default_factory=list)
    dated: list[Column] = field(default_factory=list)
    defaults: list[tuple[str, str]] = field(default_factory=list)
    numbers: list[Column] = field(default_factory=list)


def _knack(sheet: Sheet) -> _Knack:
    columns = sheet.columns
    return _Knack(
        good=GoodValues(sheet.schema),
        texts={column.id: {} for column in columns if not column.is_number},
        looked_up=[column for column in columns if column.lookup],
        dated=[column for column in columns if column.within],
        defaults=[(column.id, column.default) for column in columns if column.default],
        numbers=[column for column in columns if column.is_number],
    )


class RowChecker:
    """Checks rows against their sheet; knows the names, the units and the crop year."""

    def __init__(self, definitions: Definitions, names: Directory, system: System) -> None:
        self._definitions = definitions
        self._names = names
        self._system = system
        self._window: tuple[date, date] | None = None
        self._knacks = {name: _knack(sheet) for name, sheet in definitions.sheets.items()}
        # A method would hold the checker, and with it all rows, in a circle.
        self._factor = partial(_factor, system=system, definitions=definitions)
        self._known = {
            name: KnownLines(sheet, self._knacks[name].good.columns, self._factor)
            for name, sheet in definitions.sheets.items()
        }

    def set_year(self, farm: Entry) -> None:
        """Fix the days that belong to the crop year, once the Farm sheet was read."""
        year = farm.number("year")
        if year is not None:
            self._window = crop_year(int(year), self._definitions)

    def entry(self, sheet: Sheet, row: Row) -> tuple[Entry, list[Finding]]:
        """The entry of a row, in base units, and the findings about it."""
        known = self._known[sheet.id].entry(row)
        return (known, []) if known else self._judged(sheet, row)

    def _judged(self, sheet: Sheet, row: Row) -> tuple[Entry, list[Finding]]:
        cells = row.cells
        values: Values = {}
        problems: list[tuple[str, Problem]] = []
        for name, cell in cells.items():
            value, problem = self._typed(sheet, name, cell, cells)
            if problem:
                problems.append((name, problem))
            elif value is not None:
                values[name] = value
        taken = dict(values)
        blamed = {name for name, _ in problems}
        problems += [p for p in self._schema(sheet, values) if p[0] not in blamed]
        problems += self._look_up(sheet, values, {name for name, _ in problems})
        problems += self._dates(sheet, values)
        problems = [(name, _may_wait(name, p, sheet, values)) for name, p in problems]
        problems = [(name, _dated(p)) for name, p in problems]
        found = [
            findings.finding(self._definitions, code, row, name, **words)
            for name, (code, words) in problems
        ]
        faulty = findings.has_errors(found) or any(p[0] == WAITS for _, p in problems)
        for name, _ in problems:
            values.pop(name, None)  # what is at fault is unknown; the rest of the line is not
        if not problems:
            self._known[sheet.id].learn(cells, taken)
        self._defaults(sheet, values)
        self._to_base(sheet, values)
        return Entry(row=row, values=values, faulty=faulty), found

    def _typed(
        self, sheet: Sheet, name: str, cell: Any, cells: Mapping[str, Any]
    ) -> tuple[Value | None, Problem | None]:
        known = self._knacks[sheet.id].texts.get(name) if type(cell) in REPEATED else None
        if known is not None and cell in known:
            return known[cell]
        column = sheet.by_id[name]
        value, problem = typed(column, cell, own_unit(column, self._system, cells))
        same = type(value) is type(cell) and value == cell
        found = (cell if same else value, problem)  # what is the same is kept once
        if known is not None:
            known[cell] = found
        return found

    def _schema(self, sheet: Sheet, values: Values) -> list[tuple[str, Problem]]:
        """Hold a row against its schema, unless it is good for certain.

        Measured: the whole check in 0.19 of the time.
        """
        if self._knacks[sheet.id].good.hold(values):
            return []
        plain = {k: v.isoformat() if isinstance(v, date) else v for k, v in values.items()}
        errors = _validator(sheet.id, self._definitions).iter_errors(plain)
        return [_explain(error, sheet) for error in errors]

    def _look_up(
        self, sheet: Sheet, values: Values, blamed: set[str]
    ) -> Iterator[tuple[str, Problem]]:
        """Names in the spelling of their list; what lies within a wrong name is not judged."""
        for column in self._knacks[sheet.id].looked_up:
            lookup = column.lookup
            if lookup is None or column.id not in values or lookup.within in blamed:
                continue
            context = str(values.get(lookup.within, "")) if lookup.within else ""
            known = self._names.known(lookup, context)
            read = str(values[column.id])
            name = known.get(fold(read))
            unsaid = lookup.within and not context
            if name is None and lookup.sheet == "zones" and fold(read) == WHOLE:
                del values[column.id]
            elif name is not None or lookup.open or unsaid:
                name = read if name in (None, read) else name
                values[column.id] = name
                self._known[sheet.id].learn_name(column.id, context, read, name)
            else:
                blamed.add(column.id)
                yield column.id, self._unknown(column, read, list(known.values()), context)

    def _unknown(self, column: Column, read: str, known: list[str], context: str) -> Problem:
        lookup = column.lookup
        assert lookup is not None
        title = self._definitions.sheets[lookup.sheet].title if lookup.sheet else ""
        where = f"the {title} sheet" if title else f"the list of {column.title.lower()}s"
        if context:
            where += f" for '{context}'"
        words: dict[str, object] = {
            "read": read,
            "expected": where,
            "hint": findings.hint(read, known),
        }
        if title:
            return "unknown-name", words
        names = ", ".join(known)
        return "unknown-choice", {**words, "names": f": {names}" if len(names) <= FEW else ""}

    def _dates(self, sheet: Sheet, values: Values) -> Iterator[tuple[str, Problem]]:
        for column in self._knacks[sheet.id].dated:
            day = values.get(column.id)
            if isinstance(day, date) and self._window:
                first, last = self._window
                if not first <= day <= last:
                    words = {"read": day, "expected": f"{first} to {last}"}
                    yield column.id, ("date-outside-year", words)

    def _defaults(self, sheet: Sheet, values: Values) -> None:
        for name, default in self._knacks[sheet.id].defaults:
            values.setdefault(name, default)

    def _to_base(self, sheet: Sheet, values: Values) -> None:
        """Convert at the border: from here on everything is in kg, ha, L."""
        for column in self._knacks[sheet.id].numbers:
            value = values.get(column.id)
            if isinstance(value, float):
                factor = self._factor(column, str(values.get(column.unit_column, "")))
                values[column.id] = value if factor is None else value * factor


def _factor(column: Column, choice: str, system: System, definitions: Definitions) -> float | None:
    """What a number is multiplied with for the base; ``choice`` is the unit picked beside."""
    unit = _unit(column, choice, system)
    return definitions.units[unit].factor if unit else None


def _unit(column: Column, choice: str, system: System) -> str:
    if column.unit_column:
        return column.unit_of_choice.get(choice, "" if column.unit_of_choice else choice)
    if column.per_yield or column.unit_by_form:
        return ""  # needs the crop or the lot: converted where those are known
    return column.unit.get(system, "")


def _may_wait(name: str, problem: Problem, sheet: Sheet, values: Values) -> Problem:
    """A blank that may wait is no error, though the line posts nothing until it is filled."""
    waits = problem[0] == "required-blank" and sheet.by_id[name].may_wait in values
    return (WAITS, problem[1]) if waits else problem


def _dated(problem: Problem) -> Problem:
    """What is no clear date with the days it may mean."""
    code, words = problem
    return (code, {**words, "hint": days_meant(words["read"])}) if code == NO_DATE else problem


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
    expected = _bound(error, sheet.by_id[name])
    bound: dict[str, object] = {"read": f"{read:.15g}", "expected": expected}
    if error.validator in ("minimum", "exclusiveMinimum", "anyOf"):
        return name, ("too-small", bound)
    if error.validator in ("maximum", "exclusiveMaximum"):
        return name, ("too-large", bound)
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
