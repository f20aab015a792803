"""One provoking ledger for every code of the findings catalogue.

Each case starts from ``BASE``, which gives no finding at all, and spoils one thing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from workbooks import BOOK, FIRST_LINE, KEY_ROW, Entries, cell_of, entries_of, put, title

BASE = """
## fields
| field | area |
| Home  | 40   |

## crops
| field | crop | yield_goal | previous_crop | n_entered |
| Home  | corn | 200        | soybean       | 190       |

## manure_lots
| lot | kind       | form   | n_total | n_ammonium | p2o5 | k2o | s | per      |
| Pit | hog liquid | liquid | 48      | 34         | 26   | 31  | 5 | 1000 gal |

## manure_spread
| date       | lot | field | amount | unit   | method         |
| 2025-11-03 | Pit | Home  | 4000   | gal/ac | injected sweep |

## fertilizer
| date       | pass     | product | field | amount | unit  |
| 2026-04-20 | preplant | urea    | Home  | 100    | lb/ac |

## harvest
| date       | field | crop | part  | yield | unit  |
| 2026-10-10 | Home  | corn | grain | 200   | bu/ac |

## credits
| field | kind               | amount | unit  |
| Home  | irrigation nitrate | 10     | lb/ac |

## past_manure
| year | field | kind       | n_organic | n_total |
| 2025 | Home  | hog liquid | 30        | 100     |
"""

SOIL = """
## soil_tests
| field | date       | om_pct | p_ppm | p_method  | k_ppm | k_method  | cec |
| Home  | 2025-10-01 | 3.0    | 30    | Mehlich-3 | 150   | Mehlich-3 | 12  |
"""
ZONES = """
## zones
| field | zone | area |
| Home  | west | 20   |
| Home  | east | 15   |
"""
RIG = """
## farm
| sidedress_product | orifice_flow | orifice_pressure | orifice_fluid_density | outlet_spacing |
| UAN-28            | 0.1          | 40               | 8.34                  | 60             |
"""
BLEND = """
## products
| product | n_pct | k2o_pct |
| Hot mix | 60    | 60      |
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A spoiled ledger and the finding it must give.

    ``change`` is made to the workbook with openpyxl, where entries cannot say it; ``data``
    is a change of the shipped definitions: (file, what to do with its content). ``hit`` is
    False when no zone can be blamed: then the farm alone is incomplete.
    """

    source: str | Entries
    sheet: str
    cell: str
    says: tuple[str, ...]
    change: Callable[[Any], None] | None = None
    data: tuple[str, Callable[[Any], object]] | None = None
    hit: bool = True
    alone: bool = True


def case(
    source: str | Entries, sheet_id: str, column: str, *says: str, line: int = 1, **more: Any
) -> Case:
    """A case whose finding is about a column's cell in the n-th line of a sheet."""
    place = cell_of(sheet_id, column, line)
    return Case(source=source, sheet=title(sheet_id), cell=place, says=says, **more)


def spoiled(sheet_id: str, column: str, cell: object, *says: str, **more: Any) -> Case:
    """A case that puts one cell into the base and is found in that very cell."""
    return case(put(BASE, sheet_id, column, cell), sheet_id, column, *says, **more)


def changed(sheet_id: str, source: str | Entries = BASE, **cells: object) -> Entries:
    """A ledger, the base by default, with several cells of a sheet's first line put in."""
    entries = entries_of(source)
    for column, cell in cells.items():
        entries = put(entries, sheet_id, column, cell)
    return entries


def without(sheet_id: str) -> Entries:
    """The base without the lines of a sheet."""
    return {**entries_of(BASE), sheet_id: []}


def rig(**cells: object) -> Entries:
    """The base with a rig on the Farm sheet and more answers put in."""
    return changed("farm", BASE + RIG, **cells)


def _drop_sheet(book: Any) -> None:
    del book["Fertilizer"]


def _copy_sheet(book: Any) -> None:
    book.copy_worksheet(book["Fertilizer"])


def _drop_unit(book: Any) -> None:
    book["Fertilizer"].delete_cols(7)


def _copy_key(book: Any) -> None:
    book["Fertilizer"][f"Z{KEY_ROW}"] = "#amount"


CASES: dict[str, Case] = {
    # ------------------------------------------------------------ sheets and columns
    "sheet-missing": Case(
        source=BASE,
        sheet="Fertilizer",
        cell="",
        says=("'Fertilizer'", "was not found"),
        change=_drop_sheet,
        hit=False,
    ),
    "sheet-twice": Case(
        source=BASE,
        sheet="Fertilizer Copy",
        cell="A1",
        says=("'Fertilizer Copy'", "'Fertilizer'"),
        change=_copy_sheet,
        hit=False,
    ),
    "column-missing": Case(
        source=BASE,
        sheet="Fertilizer",
        cell=f"A{KEY_ROW}",
        says=("'Unit'", "was not found"),
        change=_drop_unit,
        alone=False,
    ),
    "column-twice": Case(
        source=BASE,
        sheet="Fertilizer",
        cell=f"Z{KEY_ROW}",
        says=("F, Z", "'Amount'"),
        change=_copy_key,
        hit=False,
    ),
    "units-changed": spoiled("farm", "units", "metric", "'metric'", "us", hit=False),
    # ------------------------------------------------------------------------- cells
    "required-blank": spoiled("fertilizer", "date", None, "'Date'"),
    "not-a-number": spoiled("fertilizer", "amount", "about 40", "'about 40'", "a number"),
    "ambiguous-number": spoiled("fertilizer", "amount", "1,234", "'1,234'", "plain number"),
    "not-whole": spoiled("past_manure", "year", 2024.5, "2024.5", "whole number"),
    "not-a-date": spoiled("manure_spread", "date", "mid May", "'mid May'", "a date"),
    "date-outside-year": spoiled(
        "harvest", "date", date(2024, 10, 1), "2024-10-01", "2025-07-01 to 2026-12-31"
    ),
    "error-cell": spoiled("fertilizer", "amount", "#REF!", "#REF!"),
    "unknown-word": spoiled(
        "manure_spread", "unit", "gallon an acre", "'gallon an acre'", "gal/ac, ton/ac"
    ),
    "unknown-name": spoiled("fertilizer", "field", "Hmoe", "'Hmoe'", "Fields", "'Home'", hit=False),
    "too-small": spoiled("fertilizer", "amount", -20, "-20", "more than 0"),
    "too-large": spoiled("manure_lots", "dry_matter_pct", 128, "128", "100 or less"),
    # ---------------------------------------------------------- across cells and lines
    "name-twice": case(
        BASE + "## fields\n| field | area |\n| home | 30 |",
        "fields", "field", "'home'", f"row {FIRST_LINE}", line=2,
    ),
    "two-crops-one-zone": case(
        BASE + "## crops\n| field | crop | n_entered |\n| Home | oats | 60 |",
        "crops", "field", "'Home'", f"row {FIRST_LINE}", line=2,
    ),
    "zone-areas-do-not-add-up": case(BASE + ZONES, "zones", "area", "'Home'", "35 ac", "40 ac"),
    "ammonium-above-total": spoiled("manure_lots", "n_ammonium", 60, "60 lb/1000 gal", "48 lb"),
    "organic-above-total": spoiled("past_manure", "n_organic", 120, "120 lb/ac", "100 lb/ac"),
    "grade-over-100": case(
        BASE + BLEND, "products", "n_pct", "120 percent", line=BOOK + 1, hit=False
    ),
    "basis-missing": spoiled("manure_lots", "per", None, "'Analysis per'"),
    "load-size-missing": case(
        put(BASE, "manure_spread", "unit", "loads"),
        "manure_spread", "load_size", "loads", "'Load size'",
    ),
    "bale-weight-missing": case(
        put(BASE, "harvest", "unit", "bales"), "harvest", "bale_weight", "'Bale weight'"
    ),
    "moisture-missing": case(
        put(BASE, "harvest", "n_pct", 1.3), "harvest", "moisture_pct", "'Moisture [%]'"
    ),
    "unit-does-not-fit-form": spoiled(
        "fertilizer", "unit", "gal/ac", "'gal/ac'", "'urea'", "dry"
    ),
    "coverage-over-area": spoiled("fertilizer", "area_covered", 50, "50 ac", "40 ac", "field"),
    "density-missing": case(
        put(BASE, "manure_lots", "per", "ton"),
        "manure_spread", "unit", "'Pit'", "by volume", "by mass",
    ),
    "form-missing": case(
        changed(
            "manure_spread", put(BASE, "manure_lots", "form", None), unit="loads", load_size=3000
        ),
        "manure_lots", "form", "'Pit'",
        data=("sheets/07-manure_lots.json", lambda sheet: sheet["required"].remove("form")),
    ),
    "not-past": spoiled("past_manure", "year", 2026, "2026", "before 2026"),
    "extractant-missing": case(
        put(BASE + SOIL, "soil_tests", "p_method", None),
        "soil_tests", "p_method", "'P extractant'", hit=False,
    ),
    "nitrate-depth-missing": case(
        put(BASE + SOIL, "soil_tests", "nitrate_ppm", 12),
        "soil_tests", "nitrate_depth", "'Nitrate depth'", hit=False,
    ),
    "nitrate-missing": case(
        put(BASE + SOIL, "soil_tests", "sample_kind", "preplant nitrate"),
        "soil_tests", "nitrate_ppm", "'Nitrate-N [ppm]'",
    ),
    "pressure-limits-crossed": case(
        rig(pressure_min=60, pressure_max=20), "farm", "pressure_min", "60 psi", "20 psi",
        hit=False,
    ),
    # --------------------------------------------------------------- manure, harvest
    "analysis-missing": spoiled("manure_lots", "s", None, "'Pit'", "no figure for S"),
    "set-key-missing": case(
        put(BASE, "manure_spread", "method", "broadcast"),
        "manure_spread", "incorporated_after_h", "MN-UMN", "'Worked in after [hours]'", "N",
    ),
    "set-cannot-answer": spoiled("manure_spread", "method", "grazed", "MN-UMN", "grazed", "N"),
    "removal-missing": case(
        put(BASE, "farm", "removal_set", "Illinois-2019"),
        "harvest", "part", "Illinois-2019", "corn grain", "N",
    ),
    "yield-unit-needs-bushel": case(
        changed("harvest", crop="alfalfa", part="hay"), "harvest", "unit", "alfalfa hay"
    ),
    "moisture-assumed": case(
        changed("harvest", part="silage", unit="ton/ac"), "harvest", "moisture_pct", "65 percent"
    ),
    "from-memory": case(
        changed("harvest", crop="oats", part="straw", unit="lb/ac"),
        "harvest", "part", "oats straw", "from memory",
    ),
    "no-harvest": case(without("harvest"), "crops", "crop", "'Home'", "corn"),
    "crop-missing": case(without("crops"), "fields", "field", "'Home'"),
    "past-figure-missing": spoiled("past_manure", "n_total", None, "MN-UMN", "'Total N'", "N"),
    "set-ends": spoiled("past_manure", "year", 2024, "MN-UMN", "year 3"),
    # -------------------------------------------------------------------------- need
    "legume-key-missing": case(
        changed("crops", previous_crop="alfalfa", n_method="yield factor", n_per_yield=0.9),
        "crops", "stand", "general", "'Legume stand when killed'", "alfalfa",
    ),
    "legume-unknown": case(
        changed("crops", previous_crop="dry bean", n_method="yield factor", n_per_yield=0.9),
        "crops", "previous_crop", "general", "dry bean",
    ),
    "need-figure-missing": spoiled("crops", "n_entered", None, "'entered'", "'N need'"),
    "soil-test-missing": case(
        put(BASE, "crops", "n_method", "EC117"), "crops", "field", "EC117", "Organic matter"
    ),
    "method-does-not-fit": case(
        changed("crops", crop="oats", n_method="EC117"), "crops", "crop", "EC117", "oats", "corn"
    ),
    "extractant-does-not-fit": case(
        put(put(BASE + SOIL, "crops", "pk_method", "soil test"), "soil_tests", "p_method", "Olsen"),
        "soil_tests", "p_method", "TriState-2020", "Olsen", "Mehlich-3",
    ),
    "below-critical": case(
        put(put(BASE + SOIL, "crops", "pk_method", "soil test"), "soil_tests", "p_ppm", 12),
        "soil_tests", "p_ppm", "12 ppm", "20", "P2O5",
    ),
    "nitrate-assumed": case(
        put(BASE + SOIL, "crops", "n_method", "EC117"), "crops", "field", "3 ppm"
    ),
    "nitrate-too-shallow": case(
        put(
            BASE + SOIL + "## soil_tests\n| field | date | nitrate_ppm | nitrate_depth |"
            " sample_kind |\n| Home | 2026-04-01 | 9 | 12 | preplant nitrate |",
            "crops", "n_method", "EC117",
        ),
        "soil_tests", "nitrate_depth", "EC117", "24 in", line=2,
    ),
    # -------------------------------------------------------------------------- plan
    "no-sidedress-product": case(
        put(BASE, "crops", "n_entered", 300), "farm", "sidedress_product", "no sidedress product"
    ),
    "rig-out-of-range": case(
        put(rig(speed=6, pressure_min=20, pressure_max=70), "crops", "n_entered", 300),
        "crops", "field", "'Home",
    ),
}  # fmt: skip

