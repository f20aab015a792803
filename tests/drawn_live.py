"""Farms drawn by hypothesis as a person types them, for the test of live figures.

A farm here is a few fields with all that happens on them. Many are put into one workbook,
each with names of its own, so that a spreadsheet program need not be started for each.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from workbooks import SHIPPED, Entries

from ledger.model import System

Line = dict[str, Any]
Farm = dict[str, list[Line]]
METHODS = ("broadcast", "injected sweep", "injected knife", "irrigated", "grazed")
HOURS = (None, 0, 3, 12, 12.5, 48, 96, 100, 9000, "never")
PRODUCTS = ("urea", "UAN-28", "MAP 11-52-0", "10-34-0", "potash 0-0-60", "ammonium sulfate")
DAYS = (date(2025, 10, 3), date(2026, 4, 20), date(2026, 9, 30))
SPREAD = {
    "us": {"liquid": ("gal/ac", "gal", "loads"), "solid": ("ton/ac", "ton", "loads")},
    "metric": {"liquid": ("m3/ha", "m3", "loads"), "solid": ("t/ha", "t", "loads")},
}
PER = {"us": ("1000 gal", "ton"), "metric": ("1000 L", "t")}
FED = {"us": ("gal/ac", "lb/ac", "gal", "lb", "ton"), "metric": ("L/ha", "kg/ha", "L", "kg", "t")}
CUT = {"us": ("ton/ac", "lb/ac", "ton", "lb"), "metric": ("t/ha", "kg/ha", "t", "kg")}
SAME_KIND = {
    "1000 gal": ("1000 gal", "1000 L"),
    "1000 L": ("1000 gal", "1000 L"),
    "ton": ("ton", "t"),
    "t": ("ton", "t"),
}
STORES = ("Pit", "Stack")
KEPT_IN = ("gal", "ton", "m3", "L", "t")
MOVED = {"us": ("gal", "1000 gal", "ton", "lb"), "metric": ("m3", "L", "t", "kg")}
CREDITED = {"us": ("lb/ac", "lb"), "metric": ("kg/ha", "kg")}


def amounts(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers with five digits."""
    return st.floats(low, high, allow_nan=False).map(lambda x: float(f"{x:.5g}"))


def maybe(strategy: st.SearchStrategy[Any], *, blank: int = 1, filled: int = 3) -> Any:
    """A value, or a blank cell that often."""
    chances = [False] * blank + [True] * filled
    return st.sampled_from(chances).flatmap(lambda there: strategy if there else st.none())


@st.composite
def farms(draw: st.DrawFn, system: System) -> Farm:
    """One to two fields, some with zones, and a few lines of everything."""
    fields, zones = draw(ground())
    places = [(f["field"], None) for f in fields] + [(z["field"], z["zone"]) for z in zones]
    where = st.sampled_from(places)
    lots = draw(st.lists(lot(system), min_size=1, max_size=2))
    lots = [{"lot": f"Lot {at}", **line} for at, line in enumerate(lots)]
    forms = {line["lot"]: line["form"] for line in lots}
    farm = {
        "fields": fields,
        "zones": zones,
        "crops": draw(crops(fields, zones)),
        "manure_lots": lots,
        "manure_spread": draw(st.lists(spread(where, forms, system), max_size=3)),
        "fertilizer": draw(st.lists(fed(where, system), max_size=3)),
        "harvest": draw(st.lists(cut(where, system), max_size=3)),
        "credits": draw(st.lists(credited(where, system), max_size=2)),
        "past_manure": draw(st.lists(past(where), max_size=2)),
        "manure_samples": draw(slips(lots)),
        "stores": [{"store": name, **draw(store(system))} for name in STORES],
        "store_moves": draw(st.lists(moved(lots, system), max_size=3)),
    }
    return {sheet: [_typed(line) for line in lines] for sheet, lines in farm.items()}


def _typed(line: Line) -> Line:
    return {name: cell for name, cell in line.items() if cell is not None}


@st.composite
def ground(draw: st.DrawFn) -> tuple[list[Line], list[Line]]:
    fields, zones = [], []
    for name in ("North", "South")[: draw(st.integers(1, 2))]:
        parts = draw(st.lists(amounts(1, 60), max_size=3))
        area = sum(parts) if len(parts) > 1 else draw(amounts(1, 90))
        tenure = draw(st.sampled_from(("owned", "cash rent", "custom", None)))
        fields.append({"field": name, "area": area, "tenure": tenure})
        if len(parts) > 1:
            zones += [{"field": name, "zone": f"z{at}", "area": a} for at, a in enumerate(parts)]
    return fields, zones


@st.composite
def lot(draw: st.DrawFn, system: System) -> Line:
    kind = draw(st.sampled_from(list(SHIPPED.manure_kinds)))
    total = draw(maybe(amounts(0, 80), filled=6))
    line = {
        "kind": kind,
        "form": draw(st.sampled_from(("liquid", "solid"))),
        "per": draw(st.sampled_from(PER[system])),
        "n_total": total,
        "n_ammonium": None if total is None else draw(maybe(st.just(round(total / 3, 3)))),
        "density": draw(maybe(amounts(0.8, 9))),
        "store": draw(maybe(st.sampled_from(STORES))),
    }
    for nutrient in ("p2o5", "k2o", "s"):
        line[nutrient] = draw(maybe(amounts(0, 60), filled=6))
    return line


@st.composite
def slips(draw: st.DrawFn, lots: Sequence[Line]) -> list[Line]:
    """Further lab slips of some lots, in any unit of the lot's kind; blanks among the figures."""
    found = []
    for line in lots:
        for _ in range(draw(st.sampled_from((0, 0, 1, 2)))):
            total = draw(maybe(amounts(0, 80), filled=6))
            slip: Line = {
                "lot": line["lot"],
                "sampled": draw(st.sampled_from(DAYS)),
                "per": draw(st.sampled_from(SAME_KIND[line["per"]])),
                "n_total": total,
                "n_ammonium": None if total is None else draw(maybe(st.just(round(total / 4, 3)))),
            }
            slip |= {name: draw(maybe(amounts(0, 60))) for name in ("p2o5", "k2o", "s")}
            found.append(slip)
    return found


@st.composite
def store(draw: st.DrawFn, system: System) -> Line:
    """A store of any shape, its opening typed, by depth or unknown."""
    shape = draw(st.sampled_from((None, "box", "round tank", "sloped basin")))
    by_depth = shape is not None and draw(st.booleans())
    return {
        "unit": draw(st.sampled_from(KEPT_IN)),
        "shape": shape,
        "length": draw(amounts(60, 200)) if shape in ("box", "sloped basin") else None,
        "width": draw(amounts(60, 120)) if shape in ("box", "sloped basin") else None,
        "diameter": draw(amounts(20, 90)) if shape == "round tank" else None,
        "depth": draw(amounts(8, 14)) if shape else None,
        "side_slope": draw(amounts(0, 2)) if shape == "sloped basin" else None,
        "opening": None if by_depth else draw(maybe(amounts(0, 90_000), filled=6)),
        "opening_depth": draw(amounts(0, 8)) if by_depth else None,
        "opening_date": draw(maybe(st.sampled_from((date(2025, 7, 1), date(2026, 1, 1))))),
    }


@st.composite
def moved(draw: st.DrawFn, lots: Sequence[Line], system: System) -> Line:
    return {
        "date": draw(st.sampled_from(DAYS)),
        "store": draw(st.sampled_from(STORES)),
        "kind": draw(st.sampled_from(("produced", "imported", "exported", "lost"))),
        "amount": draw(amounts(1, 90_000)),
        "unit": draw(st.sampled_from(MOVED[system])),
        "lot": draw(maybe(st.sampled_from([line["lot"] for line in lots]), filled=1)),
    }


@st.composite
def spread(draw: st.DrawFn, where: Any, forms: dict[str, str], system: System) -> Line:
    name = draw(st.sampled_from(sorted(forms)))
    unit = draw(st.sampled_from(SPREAD[system][forms[name]]))
    field, zone = draw(where)
    return {
        "date": draw(st.sampled_from(DAYS)),
        "lot": name,
        "field": field,
        "zone": zone,
        "amount": draw(amounts(1, 20 if unit == "loads" else 9000)),
        "unit": unit,
        "load_size": draw(amounts(5, 6000)) if unit == "loads" else None,
        "area_covered": draw(maybe(amounts(0.1, 0.9), blank=5, filled=1)),
        "method": draw(st.sampled_from(METHODS)),
        "incorporated_after_h": draw(st.sampled_from(HOURS)),
        "status": draw(st.sampled_from(("applied", None, None, "planned"))),
    }


@st.composite
def fed(draw: st.DrawFn, where: Any, system: System) -> Line:
    field, zone = draw(where)
    return {
        "date": draw(st.sampled_from(DAYS)),
        "pass": "other",
        "product": draw(st.sampled_from(PRODUCTS)),
        "field": field,
        "zone": zone,
        "amount": draw(amounts(0.5, 400)),
        "unit": draw(st.sampled_from(FED[system])),
        "area_covered": draw(maybe(amounts(0.1, 0.9), blank=5, filled=1)),
        "status": draw(st.sampled_from(("applied", None, None, "planned"))),
    }


@st.composite
def cut(draw: st.DrawFn, where: Any, system: System) -> Line:
    crop = SHIPPED.crops[draw(st.sampled_from(list(SHIPPED.crops)))]
    part = draw(st.sampled_from(list(crop.parts)))
    units = [*CUT[system], "bales"]
    if crop.bushel_weight and part == crop.main_part:
        units += ["bu/ac", "bu"] if system == "us" else []
    unit = draw(st.sampled_from(units))
    moisture = draw(maybe(amounts(0, 70), blank=1, filled=1))
    field, zone = draw(where)
    line = {
        "date": draw(st.sampled_from(DAYS)),
        "field": field,
        "zone": zone,
        "crop": crop.id,
        "part": part,
        "yield": draw(amounts(0, 300)),
        "unit": unit,
        "bale_weight": draw(amounts(30, 1500)) if unit == "bales" else None,
        "moisture_pct": moisture,
    }
    for column in ("n_pct", "p_pct", "k_pct", "s_pct"):
        known = moisture is not None
        line[column] = draw(maybe(amounts(0, 4), blank=3, filled=1)) if known else None
    return line


@st.composite
def credited(draw: st.DrawFn, where: Any, system: System) -> Line:
    field, zone = draw(where)
    place = {"field": field, "zone": zone, "kind": "irrigation nitrate"}
    if draw(st.booleans()):
        return {**place, "water_ppm": draw(amounts(0, 30)), "water_depth": draw(amounts(0, 20))}
    unit = draw(st.sampled_from(CREDITED[system]))
    return {**place, "kind": "other", "amount": draw(amounts(-30, 60)), "unit": unit}


@st.composite
def past(draw: st.DrawFn, where: Any) -> Line:
    field, zone = draw(where)
    organic = draw(maybe(amounts(0, 90)))
    return {
        "year": draw(st.integers(2022, 2025)),
        "field": field,
        "zone": zone,
        "kind": draw(maybe(st.sampled_from(list(SHIPPED.manure_kinds)), filled=6)),
        "n_organic": organic,
        "n_total": draw(maybe(amounts(90, 200))),
        "p2o5": draw(maybe(amounts(0, 90))),
        "k2o": draw(maybe(amounts(0, 90))),
    }


@st.composite
def crops(draw: st.DrawFn, fields: Sequence[Line], zones: Sequence[Line]) -> list[Line]:
    """Some fields have a line, some zones one of their own besides."""
    places = [(f["field"], None) for f in fields] + [(z["field"], z["zone"]) for z in zones]
    chosen = [place for place in places if draw(st.integers(0, 3))]
    known = st.sampled_from(list(SHIPPED.crops))
    legumes = st.sampled_from(("soybean", "alfalfa", "alfalfa-grass", "red clover", "corn"))
    columns = SHIPPED.sheets["crops"].by_id
    return [
        {
            "field": field,
            "zone": zone,
            "crop": draw(known),
            "yield_goal": draw(maybe(amounts(1, 250))),
            "previous_crop": draw(maybe(legumes)),
            "crop_before": draw(maybe(legumes)),
            "soil": draw(maybe(st.sampled_from(columns["soil"].choices))),
            "stand": draw(maybe(st.sampled_from(columns["stand"].choices))),
            "n_method": draw(maybe(st.sampled_from(("yield factor", "entered", "EC117")))),
            "n_per_yield": draw(maybe(amounts(0.5, 30), blank=1, filled=1)),
            "n_entered": draw(maybe(amounts(0, 220))),
            "p2o5_entered": draw(maybe(amounts(0, 90), blank=3, filled=1)),
            "pk_method": draw(maybe(st.sampled_from(columns["pk_method"].choices))),
        }
        for field, zone in chosen
    ]


# ------------------------------------------------------------------ many in one workbook
NAMES = ("field", "lot", "store")


def drawn(count: int, system: System) -> list[Farm]:
    """That many farms, the same ones every time."""
    found: list[Farm] = []

    @settings(
        max_examples=count,
        derandomize=True,
        database=None,
        phases=[Phase.generate],
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(farms(system))
    def collect(farm: Farm) -> None:
        found.append(farm)

    collect()
    return found


def together(many: Sequence[Farm]) -> Entries:
    """The entries of farms in one workbook; the number of the farm goes before its names."""
    entries: Entries = {}
    for number, farm in enumerate(many, start=1):
        for sheet, lines in farm.items():
            entries.setdefault(sheet, []).extend(_named(line, number) for line in lines)
    return entries


def _named(line: Line, number: int) -> Line:
    return {k: f"{number} {v}" if k in NAMES else v for k, v in line.items()}
