"""Load ``templates/explain.json``: how figures follow, in words."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from ledger.definitions.data import DataFault, read_checked
from ledger.model import FIGURES, Derivation, Derivations, Sheet

FILE = "explain.json"
TYPED = ("farm", "products", "stores", "zones")  # sheets whose lines results can be matched to
STANDS_FOR = {"product": "products", "ground": "zones"}  # what a line of results is about


def load_derivations(root: Path, sheets: Mapping[str, Sheet]) -> Derivations:
    """All derivations; raises ``DataFault`` for figures or typed cells that there are none of."""
    data = read_checked(root / FILE, "explain")
    figures = data["figures"]
    if set(figures) != set(FIGURES):
        odd = sorted(set(figures) ^ set(FIGURES))
        raise DataFault(f"{FILE}: words for every figure and no other; look at {odd[0]!r}")
    if not set(data["totals"]) <= set(FIGURES):
        raise DataFault(f"{FILE}: totals {sorted(data['totals'])} are not all figures")
    cells = []
    for raw in data["cells"]:
        for operand in raw["from"]:
            _check_typed(operand, sheets)
        named = {"sheet": raw["sheet"], "table": raw["table"], "cell": raw["cell"]}
        cells.append(Derivation(how=raw["how"], operands=tuple(raw["from"]), **named))
    return Derivations(figures=figures, totals=data["totals"], cells=cells)


def typed(operand: str) -> tuple[str, str] | None:
    """Sheet and column of an operand that is a typed cell (``farm.speed``), else None."""
    sheet, dot, column = operand.partition(".")
    plain = dot and " " not in operand and ":" not in operand
    return (STANDS_FOR.get(sheet, sheet), column) if plain else None


def _check_typed(operand: str, sheets: Mapping[str, Sheet]) -> None:
    named = typed(operand)
    if named is None:
        return
    sheet, column = named
    if sheet not in sheets or column not in sheets[sheet].by_id:
        raise DataFault(f"{FILE}: {operand!r} is no column of an entry sheet")
    if sheet not in TYPED:
        raise DataFault(f"{FILE}: {operand!r}: only farm, product, stores and ground can be named")
