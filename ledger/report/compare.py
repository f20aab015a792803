"""Credit sets side by side: each zone's usable manure nitrogen, the spread, and why."""

from __future__ import annotations

from collections.abc import Mapping
from textwrap import wrap
from typing import Any

from ledger.model import Definitions, ManureSet, Results, Statement
from ledger.report.units import Shown

TERMINAL_WIDTH = 100  # characters; sentences of a set's own words run over many
POOLS = {
    ("total",): "one share of total N",
    ("ammonium", "nitrate", "organic"): "ammonium kept plus organic N released",
    ("ammonium", "organic"): "ammonium kept plus organic N released",
}


def compared(by_set: Mapping[str, Results], definitions: Definitions) -> dict[str, Any]:
    """The comparison as data: sets with their basis, zones with credit and to go by set."""
    results = next(iter(by_set.values()))
    shown = Shown(definitions=definitions, system=results.book.system)
    return {
        "unit": shown.label("mass per area"),
        "sets": [_set(definitions.manure_sets[name]) for name in by_set],
        "zones": [
            _zone(index, statement, by_set, shown)
            for index, statement in enumerate(results.statements)
            if any(_manured(found.statements[index]) for found in by_set.values())
        ],
    }


def _set(chosen: ManureSet) -> dict[str, str]:
    pools = tuple(sorted({term.pool for term in chosen.nitrogen}))
    basis = POOLS.get(pools, " + ".join(pools))
    if any(term.retain and term.pool == "total" for term in chosen.nitrogen):
        basis = "total N after a loss factor, times a released share"
    return {"id": chosen.id, "title": chosen.title, "basis": basis, "about": chosen.about}


def _manured(statement: Statement) -> bool:
    figures = statement.figures["N"]
    return figures["manure"] != 0 or figures["residual"] != 0


def _zone(
    index: int, statement: Statement, by_set: Mapping[str, Results], shown: Shown
) -> dict[str, Any]:
    credit = {
        name: shown.value("mass per area", found.statements[index].figures["N"]["manure_credit"])
        for name, found in by_set.items()
    }
    to_go = {
        name: shown.value("mass per area", found.statements[index].figures["N"]["to_go"])
        for name, found in by_set.items()
    }
    known = [value for value in credit.values() if value is not None]
    return {
        "field": statement.zone.field,
        "zone": statement.zone.zone,
        "total_n": shown.value("mass per area", statement.figures["N"]["manure"]),
        "manure_credit": credit,
        "to_go": to_go,
        "spread": max(known) - min(known) if len(known) > 1 else None,
    }


def as_lines(found: Mapping[str, Any]) -> list[str]:
    """The comparison as a table for a terminal."""
    names = [item["id"] for item in found["sets"]]
    heads = ["Field, zone", "total N", *names, "spread"]
    rows = [
        [
            f"{zone['field']}, {zone['zone']}",
            _said(zone["total_n"]),
            *(_said(zone["manure_credit"][name]) for name in names),
            _said(zone["spread"]),
        ]
        for zone in found["zones"]
    ]
    widths = [max(len(row[i]) for row in [heads, *rows]) for i in range(len(heads))]
    table = ["  ".join(_padded(row, widths)) for row in [heads, *rows]]
    why = [
        line
        for item in found["sets"]
        for line in ("", *wrap(_why(item), TERMINAL_WIDTH, subsequent_indent="  "))
    ]
    title = f"Manure nitrogen this year's crop can use, by credit set [{found['unit']}]"
    return [title, "", *table, "", "Why they differ:", *why]


def _why(item: Mapping[str, Any]) -> str:
    return f"{item['id']}: {item['basis']}. {item['about']}"


def _padded(row: list[str], widths: list[int]) -> list[str]:
    first, *rest = (
        cell.ljust(width) if index == 0 else cell.rjust(width)
        for index, (cell, width) in enumerate(zip(row, widths, strict=True))
    )
    return [first, *rest]


def _said(value: float | None) -> str:
    return "unknown" if value is None else f"{value:.1f}"
