"""Units: every id a person may pick, turned by pint into one factor to the base.

pint is asked once a unit when the definitions are loaded, never a cell.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from ledger.model import Unit

SHORT_TON = "ton"


class UnitFault(ValueError):
    """A unit in the data files that does not measure what it says it does."""


@cache
def _registry(file: Path) -> Any:
    import pint  # heavy: only commands that reckon need it

    return pint.UnitRegistry(str(file))


def load_units(
    file: Path,
    quantities: Mapping[str, str],
    units: Iterable[Mapping[str, str]],
    known: Mapping[str, float] | None = None,
) -> dict[str, Unit]:
    """Turn unit data into ``Unit`` objects with a factor to the base of their quantity.

    ``file`` holds the definitions in pint's format; ``quantities`` names the base of each
    quantity; each unit has ``id``, ``pint`` (an expression) and ``quantity``.
    ``known`` are factors that pint gave before for the same data, so that it need not be
    loaded. Raises ``UnitFault`` when an expression does not measure its quantity.
    """
    if known is not None:
        return {
            unit["id"]: Unit(id=unit["id"], quantity=unit["quantity"], factor=known[unit["id"]])
            for unit in units
        }
    registry = _registry(file)
    return {unit["id"]: _unit(registry, quantities, unit) for unit in units}


def _unit(registry: Any, quantities: Mapping[str, str], unit: Mapping[str, str]) -> Unit:
    import pint

    base = quantities.get(unit["quantity"])
    if base is None:
        raise UnitFault(f"unit {unit['id']!r}: quantity {unit['quantity']!r} is not listed")
    try:
        factor = registry.Quantity(unit["pint"]).to(base)
    except (pint.UndefinedUnitError, pint.DimensionalityError) as problem:
        raise UnitFault(f"unit {unit['id']!r} is not a {unit['quantity']}: {problem}") from problem
    return Unit(id=unit["id"], quantity=unit["quantity"], factor=float(factor.magnitude))
