"""Ledgers made up from a seed: as many application lines and farms as a measurement wants.

The same seed gives the same ledger on every machine. The farm is invented; fields grow with
the number of lines, as they would on a large farm. ``python ledgers.py FILE LINES`` writes one.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from ledger import pipeline
from ledger.model import Definitions

Entries = Mapping[str, Sequence[Mapping[str, object]]]
Line = dict[str, object]
YEAR = 2026
FIRST_DAY = date(2025, 9, 1)
DAYS = 300
LINES_A_FIELD = 20
MOST_FIELDS = 400
CROPS = (("corn", "grain", 190, "bu/ac"), ("soybean", "grain", 55, "bu/ac"))
METHODS = ("broadcast", "injected sweep")
LOTS = (
    ("Pit", "hog liquid", "liquid", "1000 gal", 48.0),
    ("Pack", "beef solid", "solid", "ton", 12.0),
)
PRODUCTS = (("urea", "lb/ac"), ("UAN-32", "gal/ac"), ("potash 0-0-60", "lb/ac"))


def entries(lines: int, seed: int = 1) -> Entries:
    """A US ledger with so many application lines, half of them manure, half fertilizer."""
    rng = random.Random(seed)
    names = [f"Field {n}" for n in range(1, min(MOST_FIELDS, max(4, lines // LINES_A_FIELD)) + 1)]
    crops = {name: rng.choice(CROPS) for name in names}
    return {
        "farm": [{"farm_name": f"Farm {seed}", "year": YEAR, "units": "us"}],
        "fields": [{"field": name, "area": rng.randint(100, 1600) / 10} for name in names],
        "zones": [],
        "crops": [_crop(name, crops[name][0]) for name in names],
        "manure_lots": [_lot(*lot, rng) for lot in LOTS],
        "manure_spread": [_spread(rng, names) for _ in range(lines // 2)],
        "fertilizer": [_fed(rng, names) for _ in range(lines - lines // 2)],
        "harvest": [_cut(name, crops[name], rng) for name in names],
    }


def workbook(lines: int, definitions: Definitions, seed: int = 1) -> bytes:
    """The workbook of ``entries``, as ``new --entries`` makes it."""
    made = entries(lines, seed)
    return pipeline.blank(definitions, year=YEAR, system="us", entries=made)


def _crop(field: str, crop: str) -> Line:
    need = {"n_method": "entered", "n_entered": 150, "pk_method": "removal"}
    return {"field": field, "crop": crop, "yield_goal": 150, **need}


def _lot(lot: str, kind: str, form: str, per: str, nitrogen: float, rng: random.Random) -> Line:
    scale = rng.randint(80, 120) / 100
    contents = {"n_total": nitrogen, "n_ammonium": nitrogen * 0.6, "p2o5": 20, "k2o": 25, "s": 4}
    stated = {name: round(value * scale, 2) for name, value in contents.items()}
    return {"lot": lot, "kind": kind, "form": form, "per": per, "density": 8.4, **stated}


def _day(rng: random.Random) -> date:
    return FIRST_DAY + timedelta(days=rng.randrange(DAYS))


def _spread(rng: random.Random, fields: Sequence[str]) -> Line:
    lot = rng.choice(LOTS)
    liquid = lot[2] == "liquid"
    method = rng.choice(METHODS) if liquid else "broadcast"
    return {
        "date": _day(rng),
        "lot": lot[0],
        "field": rng.choice(fields),
        "amount": rng.randint(100, 600) * 10 if liquid else rng.randint(10, 80) / 10,
        "unit": "gal/ac" if liquid else "ton/ac",
        "method": method,
        **({"incorporated_after_h": rng.choice((4, 12, 24))} if method == "broadcast" else {}),
        "ground": "fit",
        "applicator": rng.choice(("Ann", "Bo", "Cy")),
        "status": "applied",
    }


def _fed(rng: random.Random, fields: Sequence[str]) -> Line:
    product, unit = rng.choice(PRODUCTS)
    return {
        "date": _day(rng),
        "pass": rng.choice(("preplant", "planter", "sidedress")),
        "product": product,
        "field": rng.choice(fields),
        "amount": rng.randint(20, 1500) / 10,
        "unit": unit,
        "placement": "broadcast",
        "applicator": rng.choice(("Ann", "Bo", "Cy")),
        "status": "applied",
    }


def _cut(field: str, crop: tuple[str, str, int, str], rng: random.Random) -> Line:
    name, part, usual, unit = crop
    grown = {"date": date(YEAR, 10, 10), "field": field, "crop": name, "part": part}
    return {**grown, "yield": usual + rng.randint(-20, 20), "unit": unit, "use": "sold"}


if __name__ == "__main__":
    from ledger import definitions

    Path(sys.argv[1]).write_bytes(workbook(int(sys.argv[2]), definitions.load()))
