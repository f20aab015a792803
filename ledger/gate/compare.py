"""Published balances beside the farm's own; figures with a place, never a verdict."""

from __future__ import annotations

from ledger.model import Benchmark, Compared, Definitions, Gate, GateFigures, Nutrient
from ledger.unknown import share

KG_A_TONNE = 1000.0


def compared(gate: Gate, definitions: Definitions) -> list[Compared]:
    """Every published figure with what this farm has, in the published unit.

    A figure per milk is left out where no milk was sold.
    """
    by_element = {n.elemental_symbol: n for n in definitions.nutrients.values()}
    return [
        Compared(benchmark=item, own=_own(item, by_element[item.nutrient], gate))
        for item in definitions.gate.benchmarks
        if item.per != "milk" or gate.milk
    ]


def _own(item: Benchmark, nutrient: Nutrient, gate: Gate) -> float | None:
    """kg/ha or kg a tonne of milk of the element, or a ratio; None is unknown."""
    figures = gate.with_fixation if item.with_fixation else gate.figures
    own: GateFigures = figures[nutrient.id]
    if item.measure == "ratio":
        return own.ratio
    if item.measure == "efficiency":
        return own.efficiency
    element = None if own.balance is None else own.balance / nutrient.elemental_factor
    return share(element, gate.area if item.per == "area" else gate.milk / KG_A_TONNE)
