"""Rules across cells, rows and sheets. Which sheet obeys which rule is data in its file.

Every rule is a function ``rule(rule data, entries of the sheet, context)`` that yields
(entry, column, words); the entry becomes faulty when the rule's finding is an error. Words of
None: the line shares the fault of one that is told. Columns that a rule lists as ``unknown``
lose their figure where it hits: the rest of the line counts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import fsum
from typing import Any

from ledger import findings
from ledger.check.zones import zones_by_field
from ledger.model import Definitions, Entry, Finding, Sheet, System, Zone

Hit = tuple[Entry, str, dict[str, object] | None]
AREA_SLACK = 1.001  # areas typed with few digits may exceed their sum by a hair


@dataclass(frozen=True, kw_only=True)
class Context:
    """What rules may look at beside their own sheet."""

    definitions: Definitions
    system: System
    sheet: Sheet
    entries: Mapping[str, Sequence[Entry]]
    zones: Mapping[str, Sequence[Zone]]

    def shown(self, column: str, value: float, entry: Entry) -> str:
        """A base value as the person typed it: in the unit of its column."""
        about = self.sheet.by_id[column]
        unit = about.unit.get(self.system, "")
        if about.unit_column:
            choice = entry.text(about.unit_column)
            unit = about.unit_of_choice.get(choice, choice)
        factor = self.definitions.units[unit].factor if unit else 1.0
        return f"{value / factor:.6g} {unit}".strip()

    def area(self, value: float) -> str:
        """An area in the ledger's unit."""
        unit = self.definitions.shown_in[self.system]["area"]
        return f"{value / self.definitions.units[unit].factor:.6g} {unit}"


def apply_rules(
    entries: Mapping[str, Sequence[Entry]], definitions: Definitions, system: System
) -> tuple[dict[str, Sequence[Entry]], list[Finding]]:
    """Apply every sheet's rules; return the entries, faulty ones marked, and the findings."""
    zones = zones_by_field(entries)
    found: list[Finding] = []
    faulty: set[int] = set()
    lost: dict[int, set[str]] = {}
    for name, sheet in definitions.sheets.items():
        context = Context(
            definitions=definitions, system=system, sheet=sheet, entries=entries, zones=zones
        )
        sound = [entry for entry in entries.get(name, ()) if not entry.faulty]
        for rule in sheet.rules:
            for entry, column, words in RULES[rule["rule"]](rule, sound, context):
                code = rule["code"]
                if words is not None:
                    found.append(findings.finding(definitions, code, entry.row, column, **words))
                lost.setdefault(id(entry), set()).update(rule.get("unknown", ()))
                if definitions.findings[code].severity == "error":
                    faulty.add(id(entry))
    marked: dict[str, Sequence[Entry]] = {
        name: [_marked(e, id(e) in faulty, lost[id(e)]) if id(e) in lost else e for e in group]
        for name, group in entries.items()
    }
    return marked, found


def _marked(entry: Entry, faulty: bool, lost: set[str]) -> Entry:
    """An entry that rules hit: faulty where one was an error, without figures that got lost."""
    values = {name: value for name, value in entry.values.items() if name not in lost}
    return replace(entry, values=values, faulty=entry.faulty or faulty)


def _unique(rule: Mapping[str, Any], entries: Sequence[Entry], context: Context) -> Iterator[Hit]:
    seen: dict[tuple[str, ...], Entry] = {}
    for entry in entries:
        key = tuple(entry.text(column).casefold() for column in rule["columns"])
        first = seen.setdefault(key, entry)
        if first is not entry:
            read = ", ".join(filter(None, (entry.text(column) for column in rule["columns"])))
            yield entry, rule["columns"][0], {"read": read, "expected": first.row.number}


def _sum_at_most(
    rule: Mapping[str, Any], entries: Sequence[Entry], context: Context
) -> Iterator[Hit]:
    slack = 1 + 1e-9  # converted figures carry rounding dust
    for entry in entries:
        parts = [entry.number(column) for column in rule["columns"]]
        total = fsum(part for part in parts if part is not None)
        limit = entry.number(rule["limit"]) if "limit" in rule else rule["limit_value"]
        if limit is not None and total > limit * slack:
            column = next(c for c in rule["columns"] if entry.number(c) is not None)
            read = context.shown(column, total, entry)
            yield entry, column, {"read": read, "expected": context.shown(column, limit, entry)}


def _needs(rule: Mapping[str, Any], entries: Sequence[Entry], context: Context) -> Iterator[Hit]:
    column = rule["column"]
    title = context.sheet.by_id[column].title
    for entry in entries:
        given = any(entry.get(name) is not None for name in rule.get("when", ()))
        chosen = any(entry.text(k) == v for k, v in rule.get("when_value", {}).items())
        if (given or chosen) and entry.get(column) is None:
            yield entry, column, {"expected": title}


def _parts_make_whole(
    rule: Mapping[str, Any], entries: Sequence[Entry], context: Context
) -> Iterator[Hit]:
    key, part = rule["key"], rule["part"]
    wholes = {e.text(key): e.number(part) for e in context.entries.get(rule["whole"], ())}
    groups: dict[str, list[Entry]] = {}
    for entry in entries:
        groups.setdefault(entry.text(key), []).append(entry)
    for name, group in groups.items():
        whole, total = wholes.get(name), fsum(entry.number(part) or 0.0 for entry in group)
        if whole and abs(total - whole) > whole * rule["tolerance_pct"] / 100:
            words: dict[str, object] = {
                "read": name,
                "rows": _rows(group),
                "total": context.area(total),
                "expected": context.area(whole),
            }
            first, *others = group
            yield first, part, words
            yield from ((entry, part, None) for entry in others)


def _rows(entries: Sequence[Entry]) -> str:
    noun = "row" if len(entries) == 1 else "rows"
    return f"{noun} {', '.join(str(entry.row.number) for entry in entries)}"


def _unit_fits_form(
    rule: Mapping[str, Any], entries: Sequence[Entry], context: Context
) -> Iterator[Hit]:
    column = rule["material"]
    lookup = context.sheet.by_id[column].lookup
    assert lookup is not None
    materials = {e.text(lookup.column): e for e in context.entries.get(lookup.sheet, ())}
    for entry in entries:
        name, unit = entry.text(column), entry.text(rule["column"])
        form = materials[name].text("form") if name in materials else ""
        quantity = context.definitions.units[unit].quantity
        if form in ("dry", "solid") and quantity.startswith("volume"):
            yield entry, rule["column"], {"read": unit, "name": name, "expected": form}


def _area_at_most(
    rule: Mapping[str, Any], entries: Sequence[Entry], context: Context
) -> Iterator[Hit]:
    for entry in entries:
        covered = entry.number(rule["column"])
        zones = context.zones.get(entry.text("field"), ())
        wanted = entry.text("zone")
        area = fsum(zone.area for zone in zones if wanted in ("", zone.zone))
        if covered is not None and area and covered > area * AREA_SLACK:
            words: dict[str, object] = {
                "read": context.area(covered),
                "expected": context.area(area),
                "name": "zone" if wanted else "field",
            }
            yield entry, rule["column"], words


def _before_crop_year(
    rule: Mapping[str, Any], entries: Sequence[Entry], context: Context
) -> Iterator[Hit]:
    this_year = context.entries["farm"][0].number("year")
    for entry in entries:
        year = entry.number(rule["column"])
        if year is not None and this_year is not None and year >= this_year:
            yield entry, rule["column"], {"read": int(year), "expected": int(this_year)}


Rule = Callable[[Mapping[str, Any], Sequence[Entry], Context], Iterator[Hit]]
RULES: Mapping[str, Rule] = {
    "unique": _unique,
    "sum_at_most": _sum_at_most,
    "needs": _needs,
    "parts_make_whole": _parts_make_whole,
    "unit_fits_form": _unit_fits_form,
    "area_at_most": _area_at_most,
    "before_crop_year": _before_crop_year,
}
