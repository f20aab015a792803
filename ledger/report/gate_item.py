"""The ``gate`` of the JSON document."""

from __future__ import annotations

from typing import Any

from ledger.model import Gate, GateFigures, GateLine, Masses, Results
from ledger.report.gate import KG_A_HUNDRED
from ledger.report.units import Shown
from ledger.unknown import share


def gate_item(results: Results, shown: Shown) -> dict[str, Any]:
    """The ``gate`` of the result document."""
    gate = results.gate
    return {
        "area": shown.value("area", gate.area),
        "incomplete": gate.incomplete,
        "milk_total": shown.value("mass", gate.milk),
        "lines": [_line_item(line, shown) for line in gate.lines],
        "nutrients": {n: _figures_item(f, gate, shown) for n, f in gate.figures.items()},
        "with_fixation": {n: _figures_item(f, gate, shown) for n, f in gate.with_fixation.items()},
        "reconciliation": [
            {"step": name, "masses_total": _mass_items(masses, shown)}
            for name, masses in gate.meeting
        ],
        "unexplained_total": _mass_items(gate.unexplained, shown),
        "benchmarks": [
            {
                "place": item.benchmark.place,
                "measure": item.benchmark.measure,
                "nutrient": item.benchmark.nutrient,
                "per": item.benchmark.per,
                "with_fixation": item.benchmark.with_fixation,
                "low": item.benchmark.figure.low,
                "value": item.benchmark.figure.value,
                "high": item.benchmark.figure.high,
                "unit": item.benchmark.figure.unit,
                "own": item.own,
                "source": item.benchmark.figure.citation(),
            }
            for item in gate.compared
        ],
    }


def _mass_items(masses: Masses, shown: Shown) -> dict[str, float | None]:
    return {n: shown.value("mass", mass) for n, mass in masses.items()}


def _line_item(line: GateLine, shown: Shown) -> dict[str, Any]:
    return {
        "direction": line.direction,
        "name": line.name,
        "masses_total": _mass_items(line.masses, shown),
    }


def _figures_item(figures: GateFigures, gate: Gate, shown: Shown) -> dict[str, float | None]:
    return {
        "inputs_total": shown.value("mass", figures.inputs),
        "outputs_total": shown.value("mass", figures.outputs),
        "stock_change_total": shown.value("mass", figures.stock),
        "balance_total": shown.value("mass", figures.balance),
        "balance": shown.value("mass per area", share(figures.balance, gate.area)),
        "balance_per_100_milk": share(figures.balance, gate.milk / KG_A_HUNDRED),
        "ratio": figures.ratio,
        "efficiency": figures.efficiency,
    }
