"""The tables that live formulas look things up in, in hidden columns of the sheet Reference.

Which line of a published table holds is found here by the same search that posting uses; the
cells then point at the figure in use on the sheet 'Reference'.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ledger.live.crop_tables import crops_known, cut, legume
from ledger.live.manure_tables import available, hours, manure, past, past_pools, steps
from ledger.live.now import now_rows
from ledger.live.reference import unit_key
from ledger.live.shown import shown_factor
from ledger.model import Definitions, System

Cell = str | float


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table: the ids of its columns, and its rows; a text that begins with = is a formula."""

    id: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def tables(definitions: Definitions, system: System) -> list[Table]:
    """Every table, in order."""
    nutrients = list(definitions.nutrients)
    shares = [f"{name}_{n}" for n in nutrients for name in ("share", "basis")]
    needs = [f"need_{n}" for n in nutrients]
    found = {
        "units": (("key", "factor", "kind", "per_area"), _units(definitions)),
        "bases": (("key", "factor", "kind"), _bases(definitions, system)),
        "loads": (("key", "factor", "kind"), _loads(definitions, system)),
        "hours": (("key",), [(edge,) for edge in hours(definitions)]),
        "manure": (("key", "share"), manure(definitions)),
        "available": (("key", "share"), available(definitions)),
        "manure_sets": (("key", "years", "past_pool"), past_pools(definitions)),
        "past": (("key", "share"), past(definitions)),
        "removal_sets": (("key",), [(name,) for name in definitions.removal_sets]),
        "legume_sets": (("key",), [(name,) for name in definitions.need.legume_sets]),
        "legume": (("key", "credit"), legume(definitions, system)),
        "methods": (("key", "previous"), _methods(definitions)),
        "crops_known": (("key", "legume", "usual", *needs), crops_known(definitions, system)),
        "cut": (("key", "bushel", "moisture", *shares), cut(definitions, system)),
        "now": (("key", "value"), now_rows(definitions, system, steps(definitions))),
    }
    return [
        Table(id=name, columns=columns, rows=tuple(tuple(row) for row in rows))
        for name, (columns, rows) in found.items()
    ]


def _units(definitions: Definitions) -> Iterator[tuple[Cell, ...]]:
    for unit in definitions.units:
        kind = definitions.units[unit].quantity.split(" ")[0]
        per_area = definitions.units[unit].quantity.endswith("per area")
        yield unit, f"=[ref.{unit_key(unit)}]", kind, float(per_area)


def _bases(definitions: Definitions, system: System) -> Iterator[tuple[Cell, ...]]:
    """Basis of an analysis -> nutrient mass in a unit of the material, which is mass or volume."""
    column = definitions.sheets["manure_lots"].by_id["n_total"]
    mass, volume = shown_factor("kg", definitions, system), shown_factor("L", definitions, system)
    for basis, unit in column.unit_of_choice.items():
        by_volume = definitions.units[unit].quantity == "mass per volume"
        factor = definitions.units[unit].factor * (mass / volume if by_volume else 1.0)
        yield basis, factor, "volume" if by_volume else "mass"


def _loads(definitions: Definitions, system: System) -> Iterator[tuple[Cell, ...]]:
    column = definitions.sheets["manure_spread"].by_id["load_size"]
    for form, unit in column.unit_by_form[system].items():
        yield form, shown_factor(unit, definitions, system), definitions.units[unit].quantity


def _methods(definitions: Definitions) -> Iterator[tuple[Cell, ...]]:
    for method in definitions.need.methods.values():
        yield method.id, float("previous crop" in method.contains)
