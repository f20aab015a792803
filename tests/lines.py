"""Single lines of ledgers for tests: a usual one, any cell of which can be put differently.

Coefficients come from the shipped sets; amounts, areas and yields are invented.
"""

from __future__ import annotations

ZONED = """
## fields
| field | area |
| Home  | 40   |
## zones
| field | zone | area |
| Home  | west | 10   |
| Home  | east | 30   |
"""


def lot(kind: str = "hog liquid", **cells: object) -> str:
    """A lot with 50 lb N (30 of it ammonium), 20 P2O5, 30 K2O and 4 S per 1000 gal."""
    base = {"lot": "Pit", "kind": kind, "form": "liquid", "n_total": 50, "n_ammonium": 30}
    return table("manure_lots", {**base, "p2o5": 20, "k2o": 30, "s": 4, "per": "1000 gal", **cells})


def spread(**cells: object) -> str:
    """4000 gal/ac of the lot, injected."""
    base = {"date": "2025-11-03", "lot": "Pit", "field": "Home", "amount": 4000}
    return table("manure_spread", {**base, "unit": "gal/ac", "method": "injected sweep", **cells})


def fed(**cells: object) -> str:
    """100 lb/ac of urea."""
    base = {"date": "2026-04-20", "pass": "preplant", "product": "urea", "field": "Home"}
    return table("fertilizer", {**base, "amount": 100, "unit": "lb/ac", **cells})


def cut(**cells: object) -> str:
    """200 bu/ac of corn."""
    base = {"date": "2026-10-10", "field": "Home", "crop": "corn", "part": "grain", "yield": 200}
    return table("harvest", {**base, "unit": "bu/ac", **cells})


def past(**cells: object) -> str:
    """A line of past manure: 200 lb/ac of N, 80 of it organic, a year ago."""
    base = {"year": 2025, "field": "Home", "kind": "beef solid", "n_total": 200, "n_organic": 80}
    return table("past_manure", {**base, **cells})


def table(sheet_id: str, cells: dict[str, object]) -> str:
    """A table of one line; None leaves a cell out."""
    given = {name: cell for name, cell in cells.items() if cell is not None}
    heads, values = (" | ".join(map(str, part)) for part in (given, given.values()))
    return f"\n## {sheet_id}\n| {heads} |\n| {values} |\n"


def farm(**cells: object) -> str:
    """Answers on the Farm sheet."""
    return table("farm", cells)
