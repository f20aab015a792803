"""Entry sheets from their definition files: columns, row schema, rules, posting.

A column whose key is ``{product}``, ``{lot}`` ... stands for one column a nutrient, so that
a new nutrient is one line of ``nutrients.json``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from string import Formatter
from typing import Any

from ledger.definitions.data import DataFault, by_id, read_checked
from ledger.model import Column, Lookup, Nutrient, Sheet, Unit

# Keywords that jsonschema itself acts on; everything else in a column is the ledger's own.
_TEXTS = ("title", "description", "note_of_oxides")  # the last for what labels state as oxides
_SCHEMA_WORDS = ("type", "enum", "minimum", "maximum", "exclusiveMinimum")


def load_sheets(
    root: Path, nutrients: Mapping[str, Nutrient], units: Mapping[str, Unit]
) -> dict[str, Sheet]:
    """Sheets of ``templates/sheets`` in file order; ``DataFault`` on a reference to nothing."""
    files = sorted(root.glob("sheets/*.json"))
    sheets = [_sheet(read_checked(file, "sheet"), nutrients, file.name) for file in files]
    found = by_id(sheets, "sheets")
    for sheet in sheets:
        _check_references(sheet, found, units)
    return found


def _sheet(data: Mapping[str, Any], nutrients: Mapping[str, Nutrient], place: str) -> Sheet:
    expanded = dict(_expand(data["properties"], nutrients))
    missing = [name for name in data["required"] if name not in expanded]
    if missing:
        raise DataFault(f"{place}: required column {missing[0]!r} is not described")
    columns = tuple(_column(name, c, name in data["required"]) for name, c in expanded.items())
    return Sheet(
        id=data["id"],
        title=data["title"],
        layout=data["layout"],
        help=data["help"],
        example=data["example"],
        columns=columns,
        schema=_row_schema(expanded, data["required"]),
        rules=tuple(_rule(rule, nutrients) for rule in data.get("rules", ())),
        posting=data.get("posting"),
        prefill=data.get("prefill", ""),
        carry=data.get("carry") == "as typed",
        optional=data.get("optional", False),
        error_means=data.get("error_means", ""),
    )


def _expand(
    properties: Mapping[str, Any], nutrients: Mapping[str, Nutrient]
) -> Iterator[tuple[str, dict[str, Any]]]:
    for name, content in properties.items():
        role = content.get("each_nutrient")
        if role is None:
            yield name, content
            continue
        for nutrient in nutrients.values():
            if role in nutrient.columns:
                yield nutrient.columns[role], _named(content, nutrient)


def _named(content: Mapping[str, Any], nutrient: Nutrient) -> dict[str, Any]:
    words = {
        "title": nutrient.title,
        "stated_as": nutrient.stated_as,
        "elemental_symbol": nutrient.elemental_symbol,
        "elemental_factor": f"{nutrient.elemental_factor:.2f}",
    }
    title, *notes = (content.get(key, "").format(**words) for key in _TEXTS)
    told = notes if nutrient.elemental_factor != 1 else notes[:1]
    return {**content, "title": title, "description": " ".join(filter(None, told))}


def _rule(rule: Mapping[str, Any], nutrients: Mapping[str, Nutrient]) -> dict[str, Any]:
    return {
        key: [name for item in value for name in _names(item, nutrients)]
        if key in ("columns", "when")
        else value
        for key, value in rule.items()
    }


def _names(item: str, nutrients: Mapping[str, Nutrient]) -> list[str]:
    if not item.startswith("{"):
        return [item]
    role = item.strip("{}")
    return [n.columns[role] for n in nutrients.values() if role in n.columns]


def _column(name: str, data: Mapping[str, Any], required: bool) -> Column:
    lookup = data.get("lookup")
    unit_from = data.get("unit_from", {})
    return Column(
        id=name,
        title=data["title"],
        type=data["type"],
        note=data["description"],
        required=required,
        is_date=data.get("format") == "date",
        choices=tuple(data.get("enum", ())),
        suggestions=tuple(data.get("suggest", ())),
        words=tuple(data.get("words", ())),
        unit=data.get("unit", {}),
        unit_column=unit_from.get("column", ""),
        unit_of_choice=unit_from.get("units", {}),
        unit_by_form=data.get("unit_by_form", {}),
        form_of=data.get("form_of", ""),
        per_yield=data.get("per_yield", False),
        per_crop_yield=data.get("per_crop_yield", False),
        lookup=Lookup(**lookup) if lookup else None,
        within=data.get("within", ""),
        may_wait=data.get("may_wait", ""),
        default=data.get("default", ""),
        width=data.get("width", 12),
    )


def _row_schema(columns: Mapping[str, Any], required: list[str]) -> dict[str, Any]:
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "type": "object",
        "required": required,
        "properties": {name: _cell_schema(content) for name, content in columns.items()},
        "additionalProperties": False,
    }


def _cell_schema(content: Mapping[str, Any]) -> dict[str, Any]:
    cell = {key: content[key] for key in _SCHEMA_WORDS if key in content}
    if "below" in content:
        cell["exclusiveMaximum"] = content["below"]
    if "words" in content:
        return {"anyOf": [cell, {"enum": content["words"]}]}
    return cell


def _check_references(sheet: Sheet, sheets: Mapping[str, Sheet], units: Mapping[str, Unit]) -> None:
    for _, name, _, _ in Formatter().parse(sheet.error_means):
        if name is not None and name not in sheet.by_id:
            raise DataFault(f"sheet {sheet.id}, error_means: {name!r} is not a column")
    for column in sheet.columns:
        place = f"sheet {sheet.id}, column {column.id}"
        lookup = column.lookup
        if lookup and lookup.sheet and lookup.column not in _columns_of(sheets, lookup.sheet):
            raise DataFault(f"{place}: looks up {lookup.sheet}.{lookup.column}, which is not there")
        if column.unit_column and column.unit_column not in sheet.by_id:
            raise DataFault(f"{place}: takes its unit from {column.unit_column!r}, not a column")
        for unit in _units_of(column, sheet):
            if unit not in units:
                raise DataFault(f"{place}: unit {unit!r} is not in units.json")


def _columns_of(sheets: Mapping[str, Sheet], name: str) -> Mapping[str, Column]:
    return sheets[name].by_id if name in sheets else {}


def _units_of(column: Column, sheet: Sheet) -> list[str]:
    named = [*column.unit.values(), *column.unit_of_choice.values()]
    named += [unit for forms in column.unit_by_form.values() for unit in forms.values()]
    if column.unit_column and not column.unit_of_choice:
        named += sheet.by_id[column.unit_column].choices
    return named
