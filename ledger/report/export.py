"""The ledger's results for other programs: CSV with a Data Package descriptor, and JSON.

The descriptor follows the open Frictionless Data Package specification (version 1). Numbers
are in the ledger's own units and unrounded; an empty cell is unknown. A text that a
spreadsheet would take for a formula is led by an apostrophe.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from ledger import __version__
from ledger.model import FIGURES, Definitions, Results
from ledger.report.document import document
from ledger.report.units import Shown

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")
GUARD = "'"

Rows = list[dict[str, Any]]

_TEXTS = {
    "field": "field",
    "zone": "zone of the field; 'all' when it has none",
    "name": "field, farm or custom work",
    "kind": "field, farm or custom",
    "crop": "crop of the zone",
    "nutrient": "nutrient, in the form labels state it",
    "account": "account, its path divided by slashes",
    "stream": "the figure of a statement it counts to",
    "sheet": "entry sheet of the line it was made from",
    "factors": "numbers it was reckoned with, each with its cell or publication",
    "code": "kind of finding",
    "severity": "error, warning or note",
    "cell": "cell it is about",
    "message": "what was found",
    "fix": "what to do",
}


def export_files(results: Results, definitions: Definitions) -> dict[str, bytes]:
    """File name -> content: four tables, the result document, and the descriptor of them."""
    whole = document(results, definitions)
    shown = Shown(definitions=definitions, system=results.book.system)
    tables = {
        "statements": _statements(whole),
        "totals": _totals(whole),
        "postings": _postings(whole),
        "findings": [dict(item) for item in whole["findings"]],
    }
    files = {f"{name}.csv": to_csv(rows, columns_of(name)) for name, rows in tables.items()}
    files["result.json"] = _json(whole)
    files["datapackage.json"] = _json(_descriptor(list(tables), shown, whole["ledger"]))
    return files


def columns_of(table: str) -> dict[str, str]:
    """The columns of a table with their Table Schema types."""
    per_figure = dict.fromkeys(FIGURES, "number")
    return {
        "statements": {
            **dict.fromkeys(("field", "zone"), "string"),
            "area": "number",
            "crop": "string",
            **dict.fromkeys(("custom", "incomplete"), "boolean"),
            "nutrient": "string",
            **per_figure,
        },
        "totals": {
            **dict.fromkeys(("kind", "name"), "string"),
            "area": "number",
            "incomplete": "boolean",
            "nutrient": "string",
            **{f"{figure}_total": "number" for figure in FIGURES},
        },
        "postings": {
            "date": "date",
            **dict.fromkeys(("account", "field", "zone", "nutrient", "stream"), "string"),
            "mass": "number",
            "sheet": "string",
            "row": "integer",
            "factors": "string",
        },
        "findings": dict.fromkeys(
            ("code", "severity", "sheet", "cell", "message", "fix"), "string"
        ),
    }[table]


def _statements(whole: Mapping[str, Any]) -> Rows:
    return [
        {
            **{key: zone[key] for key in ("field", "zone", "area", "crop", "custom", "incomplete")},
            "nutrient": nutrient,
            **figures,
        }
        for zone in whole["zones"]
        for nutrient, figures in zone["nutrients"].items()
    ]


def _totals(whole: Mapping[str, Any]) -> Rows:
    groups = [("field", "field", total) for total in whole["fields"]]
    groups += [("farm", "farm", whole["farm"]), ("custom", "name", whole["custom"])]
    return [
        {
            "kind": kind,
            "name": total[name],
            "area": total["area"],
            "incomplete": total["incomplete"],
            "nutrient": nutrient,
            **figures,
        }
        for kind, name, total in groups
        for nutrient, figures in total["nutrients"].items()
    ]


def _postings(whole: Mapping[str, Any]) -> Rows:
    return [
        {**posting, "factors": "; ".join(_factor(f) for f in posting["factors"])}
        for posting in whole["postings"]
    ]


def _factor(factor: Mapping[str, Any]) -> str:
    return f"{factor['name']} {factor['value']!r} {factor['unit']} ({factor['origin']})"


def to_csv(rows: Sequence[Mapping[str, Any]], columns: Mapping[str, str]) -> bytes:
    """Rows as UTF-8 CSV (RFC 4180 quoting, line feeds); booleans as true and false."""
    import pandas as pd  # heavy: only the commands that reckon load it

    frame = pd.DataFrame([[_cell(row[c]) for c in columns] for row in rows], columns=list(columns))
    text: str = frame.astype(object).to_csv(index=False, lineterminator="\n")
    return text.encode("utf-8")


def _cell(value: Any) -> Any:
    if isinstance(value, bool):
        return "true" if value else "false"
    return guarded(value) if isinstance(value, str) else value


def guarded(text: str) -> str:
    """A text that no spreadsheet takes for a formula."""
    return GUARD + text if text.startswith(FORMULA_STARTS) else text


def _json(content: Any) -> bytes:
    text = json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False)
    return f"{text}\n".encode()


def _descriptor(tables: Sequence[str], shown: Shown, head: Mapping[str, Any]) -> dict[str, Any]:
    document_ = {
        "name": "result",
        "path": "result.json",
        "format": "json",
        "mediatype": "application/json",
        "description": "All results as one document, the tables included.",
    }
    return {
        "profile": "data-package",
        "name": f"nutrient-ledger-{head['year']}",
        "title": f"{head['farm']}, crop year {head['year']}",
        "description": "Statements and postings of a nutrient ledger. Estimates only. An empty "
        "cell is unknown; a text that begins with an apostrophe was guarded against being read "
        "as a formula.",
        "version": __version__,
        "resources": [*(_resource(name, shown) for name in tables), document_],
    }


def _resource(name: str, shown: Shown) -> dict[str, Any]:
    return {
        "profile": "tabular-data-resource",
        "name": name,
        "path": f"{name}.csv",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "dialect": {
            "delimiter": ",",
            "lineTerminator": "\n",
            "quoteChar": '"',
            "doubleQuote": True,
            "header": True,
        },
        "schema": {
            "fields": [_field(column, type_, shown) for column, type_ in columns_of(name).items()],
            "missingValues": [""],
        },
    }


def _field(column: str, type_: str, shown: Shown) -> dict[str, str]:
    found = {"name": column, "type": type_}
    unit = _unit(column, shown) if type_ == "number" else ""
    told = unit or _TEXTS.get(column, "")
    return {**found, "description": told} if told else found


def _unit(column: str, shown: Shown) -> str:
    if column == "area":
        return shown.label("area")
    whole = column == "mass" or column.endswith("_total")
    return shown.label("mass" if whole else "mass per area")
