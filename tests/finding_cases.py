"""One provoking ledger for every code of the findings catalogue.

Each case starts from ``BASE``, which gives no finding at all, and spoils one thing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from io import BytesIO
from typing import Any
from zipfile import ZipFile

from openpyxl.packaging.relationship import Relationship  # type: ignore[import-not-found]
from openpyxl.workbook.external_link.external import (  # type: ignore[import-not-found]
    ExternalBook,
    ExternalLink,
)
from workbooks import (
    BOOK,
    FIRST_LINE,
    KEY_ROW,
    SHIPPED,
    Entries,
    cell_of,
    entries_of,
    parse,
    put,
    title,
)

BASE = """
## fields
| field | area |
| Home  | 40   |

## crops
| field | crop | yield_goal | previous_crop | n_entered |
| Home  | corn | 200        | soybean       | 150       |

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
PSNT = """
## soil_tests
| field | date       | nitrate_ppm | nitrate_depth | sample_kind           |
| Home  | 2026-06-05 | 14          | 24            | pre-sidedress nitrate |
"""
STRIPS = """
## strips
| trial | field | block | treatment | yield |
| early | Home | 1 | with | 198 |
| early | Home | 1 | without | 192 |
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
FARM = """
## farm
| operator |
| A. Abel  |
"""
PART = """
## fertilizer
| date       | pass     | product | field | amount | unit  | area_covered |
| 2026-04-20 | preplant | urea    | Home  | 60     | lb/ac | 15           |
"""
TO_COME = """
## fertilizer
| date       | pass      | product | field | amount | unit  | status  |
| 2026-06-10 | sidedress | urea    | Home  | 100    | lb/ac | planned |
"""
BLEND = """
## products
| product | n_pct | k2o_pct |
| Hot mix | 60    | 60      |
"""

STORE = """
## stores
| store    | unit |
| Deep pit | gal  |
"""
MADE = """
## store_moves
| date       | store    | kind     | amount | unit | lot |
| 2025-10-01 | Deep pit | produced | 200000 | gal  | Pit |
"""
FEED = """
## gate
| date       | direction | item | what     | amount | unit |
| 2026-01-31 | in        | feed | Calf mix | 10     | ton  |
"""
SOLD = """
## gate
| date       | direction | item | what | amount | unit |
| 2026-11-30 | out       | crop | corn | 8000   | bu   |
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
    cause: tuple[str, ...] = ()  # the errors that such a finding follows from
    alone: bool = True


OWN, REFERENCE_LINE = "E", 6  # the column of own figures; the first line holds a share


def own_figure(row: int, value: object) -> Callable[[Any], None]:
    """Type a figure of one's own on the Reference sheet."""

    def change(book: Any) -> None:
        book["Reference"][f"{OWN}{row}"] = value

    return change


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


def stored(**cells: object) -> Entries:
    """The base with its lot in a pit that is on the stores sheet, more of which is told."""
    entries = put(BASE + STORE, "manure_lots", "store", "Deep pit")
    return changed("stores", entries, **cells)


SLIP = """
## manure_samples
| lot | sampled    | n_total | n_ammonium | p2o5 | k2o | s | per      |
| Pit | 2025-10-01 | 50      | 36         | 25   | 32  | 5 | 1000 gal |
"""


def slip(**cells: object) -> Entries:
    """The base with a second lab slip of its lot, some of its cells put in."""
    return changed("manure_samples", BASE + SLIP, **cells)


def _drop_sheet(book: Any) -> None:
    del book["Fertilizer"]


def _drop_samples(book: Any) -> None:
    del book["Manure samples"]


def _copy_sheet(book: Any) -> None:
    book.copy_worksheet(book["Fertilizer"])


def _copy_and_change_sheet(book: Any) -> None:
    _copy_sheet(book)
    book["Fertilizer Copy"][cell_of("fertilizer", "amount")] = 120


def _take_witnesses(book: Any) -> None:
    """Leave one sheet nothing but its headings."""
    book["Fertilizer"].delete_rows(KEY_ROW)
    del book.custom_doc_props["Ledger template"]
    for name in [name for name in book.defined_names if name.startswith("ledger_fertilizer_")]:
        del book.defined_names[name]


def _show_percent(book: Any) -> None:
    """What a spreadsheet program makes of a typed 15%."""
    book["Harvest"][cell_of("harvest", "moisture_pct")].number_format = "0%"


def _exchange_headings(book: Any) -> None:
    sheet = book["Fertilizer"]
    one, other = (sheet[f"{at}{KEY_ROW + 1}"] for at in "FG")
    one.value, other.value = other.value, one.value


def _merge(book: Any) -> None:
    book["Fertilizer"].merge_cells("H6:I6")


def _never_computed(book: Any) -> None:
    book["Fertilizer"]["F6"] = "=50+50"  # openpyxl writes no value with it


def _add_macros(book: Any) -> None:
    """What openpyxl takes over from a workbook with macros: here an archive without any."""
    kinds = '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>'
    book.vba_archive = ZipFile(BytesIO(), "w")
    book.vba_archive.writestr("[Content_Types].xml", kinds)
    links = "http://schemas.openxmlformats.org/package/2006/relationships"
    book.vba_archive.writestr("_rels/.rels", f'<Relationships xmlns="{links}"/>')


def _add_link(book: Any) -> None:
    link = ExternalLink(externalBook=ExternalBook())
    link.file_link = Relationship(type="externalLinkPath", Target="a.xlsx", TargetMode="External")
    book._external_links.append(link)


def _drop_unit(book: Any) -> None:
    book["Fertilizer"].delete_cols(7)


def _copy_key(book: Any) -> None:
    book["Fertilizer"][f"Z{KEY_ROW}"] = "#amount"
    book["Fertilizer"][f"Z{FIRST_LINE}"] = 120


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
    "sheet-absent": Case(
        source=BASE,
        sheet="Manure samples",
        cell="",
        says=("'Manure samples'", "before the sheet existed"),
        change=_drop_samples,
        hit=False,
    ),
    "sheet-twice": Case(
        source=BASE,
        sheet="Fertilizer Copy",
        cell="A1",
        says=("'Fertilizer Copy'", "'Fertilizer'"),
        change=_copy_and_change_sheet,
        hit=False,
    ),
    "copy-ignored": Case(
        source=BASE,
        sheet="Fertilizer Copy",
        cell="A1",
        says=("'Fertilizer Copy'", "'Fertilizer'"),
        change=_copy_sheet,
    ),
    "sheet-doubtful": Case(
        source=BASE,
        sheet="Fertilizer",
        cell="A1",
        says=("'Fertilizer'", "only one of"),
        change=_take_witnesses,
        hit=False,
    ),
    "column-doubtful": Case(
        source=BASE,
        sheet="Fertilizer",
        cell=f"F{KEY_ROW + 1}",
        says=("'Amount'", "its hidden key says 'Amount'", "its heading says 'Unit'"),
        change=_exchange_headings,
        alone=False,
    ),
    "macros": Case(source=BASE, sheet="Farm", cell="A1", says=("macros",), change=_add_macros),
    "other-files": Case(source=BASE, sheet="Farm", cell="A1", says=("files",), change=_add_link),
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
        cell=f"Z{KEY_ROW + 1}",
        says=("F, Z", "'Amount'"),
        change=_copy_key,
        hit=False,
    ),
    "units-changed": spoiled("farm", "units", "metric", "'metric'", "us", hit=False),
    # ------------------------------------------------------------------------- cells
    "required-blank": spoiled("fertilizer", "date", None, "'Date'"),
    "not-a-number": spoiled("fertilizer", "amount", "about 40", "'about 40'", "a number"),
    "ambiguous-number": spoiled("fertilizer", "amount", "1,234", "'1,234'", "plain number"),
    "unit-in-number": spoiled("fertilizer", "amount", "9 gal/ac", "'9 gal/ac'", "lb/ac"),
    "percent-kept-as-share": case(
        put(BASE, "harvest", "moisture_pct", 0.15),
        "harvest", "moisture_pct", "15%", "0.15", change=_show_percent,
    ),
    "live-columns-miss-it": spoiled(
        "fertilizer", "amount", "100,5", "'100,5'", "100.5", "as text", hit=False
    ),
    "formula-without-value": case(
        BASE, "fertilizer", "amount", "never computed", change=_never_computed
    ),
    "merged-cells": case(BASE, "fertilizer", "area_covered", "H6:I6", change=_merge),
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
    "unknown-choice": spoiled(
        "manure_lots", "kind", "cow manure", "'cow manure'", "the list of kinds"
    ),
    "too-small": spoiled("fertilizer", "amount", -20, "-20", "more than 0"),
    "too-large": spoiled("manure_lots", "dry_matter_pct", 128, "128", "100 or less"),
    # ---------------------------------------------------------- across cells and lines
    "name-twice": case(
        BASE + "## fields\n| field | area |\n| home | 30 |",
        "fields", "field", "'home'", f"row {FIRST_LINE}", line=2,
    ),
    "strip-twice": case(
        BASE + STRIPS + "| early | Home | 1 | with | 190 |",
        "strips", "trial", "'early, 1, with'", f"row {FIRST_LINE}", line=3, hit=False,
    ),
    "one-treatment": case(
        BASE + STRIPS.replace("without", "with").replace("| 1 | with | 192", "| 2 | with | 192"),
        "strips", "treatment", "'early'", hit=False,
    ),
    "not-replicated": case(BASE + STRIPS, "strips", "block", "'early'", hit=False),
    "two-crops-one-zone": case(
        BASE + "## crops\n| field | crop | n_entered |\n| Home | oats | 60 |",
        "crops", "field", "'Home'", f"row {FIRST_LINE}", line=2,
    ),
    "zone-areas-do-not-add-up": case(BASE + ZONES, "zones", "area", "'Home'", "35 ac", "40 ac"),
    "ammonium-above-total": spoiled("manure_lots", "n_ammonium", 60, "60 lb/1000 gal", "48 lb"),
    "sample-basis": case(
        slip(per="ton"), "manure_samples", "per", "per ton", "'Pit'", "per 1000 gal"
    ),
    "sample-far-off": case(
        slip(n_total=84), "manure_samples", "n_total", "Total N", "'Pit'", "84 lb/1000 gal",
        "30 percent", "48 lb/1000 gal", hit=False,
    ),
    "organic-above-total": spoiled("past_manure", "n_organic", 120, "120 lb/ac", "100 lb/ac"),
    "grade-over-100": case(
        BASE + BLEND, "products", "n_pct", "120 percent", line=BOOK + 1, hit=False
    ),
    "price-unit-missing": case(
        BASE + "## products\n| product | price |\n| urea | 520 |",
        "products", "price_per", "'Price per'", "unknown",
        line=1 + list(SHIPPED.products).index("urea"),
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
    "yield-factor-taken": case(
        put(BASE, "crops", "n_method", "yield factor"),
        "crops", "n_per_yield", "1 lb/bu", "0.8 to 1.2",
    ),
    "nitrate-depth-does-not-fit": case(
        put(BASE + PSNT, "crops", "n_method", "pre-sidedress nitrate"),
        "soil_tests", "nitrate_depth", "12 in",
    ),
    "nitrate-test-doubtful": case(
        put(BASE + PSNT, "crops", "n_method", "pre-sidedress nitrate"),
        "soil_tests", "date", "46 lb/ac", "New York",
    ),
    "water-figure-missing": case(
        changed("credits", amount=None, unit=None, water_ppm=9),
        "credits", "water_depth", "'Depth of water'",
    ),
    "credit-amount-missing": case(
        changed("credits", amount=None, unit=None), "credits", "amount", "'Amount of N'"
    ),
    "credit-stated-twice": case(
        changed("credits", water_ppm=9, water_depth=8), "credits", "amount", "16.3"
    ),
    # -------------------------------------------------------------------------- plan
    "no-sidedress-product": case(
        put(BASE, "crops", "n_entered", 300), "farm", "sidedress_product", "no sidedress product"
    ),
    "speed-limits-crossed": case(
        rig(speed_min=7, speed_max=4), "farm", "speed_min", "7 mph", "4 mph", hit=False
    ),
    "rig-out-of-range": case(
        put(rig(speed=6, pressure_min=20, pressure_max=70), "crops", "n_entered", 300),
        "crops", "field", "'Home",
    ),
    "planned-over": case(
        changed("farm", put(BASE + FARM + TO_COME, "crops", "n_entered", 230),
                over_tolerance_pct=10),
        "fertilizer", "amount", "'Home'", "40.6 lb/ac above", "230.0 lb/ac", "10 percent", line=2,
    ),
    # ------------------------------------------------------------------------ review
    "looks-twice": case(
        BASE + "## fertilizer\n| date | pass | product | field | amount | unit |\n"
        "| 2026-04-20 | preplant | urea | Home | 4000 | lb |",
        "fertilizer", "amount", f"row {FIRST_LINE}:", line=2,
    ),
    "parts-over-whole": case(
        changed("fertilizer", BASE + PART, area_covered=30),
        "fertilizer", "area_covered", "'Home'", "45.0 ac", "40.0 ac", line=2,
    ),
    "cut-unplanned": spoiled("harvest", "crop", "oats", "oats", "'Home'", "corn"),
    "after-harvest": spoiled(
        "fertilizer", "date", date(2026, 11, 3), "'Home'", "2026-11-03", "corn",
        f"2026-10-10 (Harvest row {FIRST_LINE})", "the crop just harvested",
    ),
    "named-at-fault": case(
        put(BASE, "manure_lots", "n_ammonium", 90), "manure_spread", "lot", "'Pit'",
        "Manure lots row 6", cause=("ammonium-above-total",),
    ),
    "owner-is-customer": case(
        {**put(BASE, "fields", "owner", "Wim Ode"),
         "people": [{"name": "Wim Ode", "role": "customer"}]},
        "fields", "tenure", "'Home'", "Wim Ode", "own and rented ground",
    ),
    "unlikely": spoiled(
        "manure_lots", "n_total", 480, "480 lb/1000 gal", "0.5 and 150 lb/1000 gal"
    ),
    "day-unlikely": spoiled(
        "harvest", "date", date(2025, 10, 1), "2025-10-01", "2026-01-01 and 2026-12-31"
    ),
    "unfit-ground": spoiled("manure_spread", "ground", "frozen", "frozen ground"),
    "injected-yet-worked-in": spoiled(
        "manure_spread", "incorporated_after_h", 6, "injected sweep", "'6.0'"
    ),
    "manure-sample-old": case(
        changed("farm", put(BASE + FARM, "manure_lots", "sampled", date(2025, 9, 3)),
                manure_test_max_age=60),
        "manure_lots", "sampled", "'Pit'", "61 days", f"row {FIRST_LINE}", "60 days",
    ),
    "soil-test-old": case(
        changed("farm", put(BASE + FARM + SOIL, "soil_tests", "date", date(2022, 4, 19)),
                soil_test_max_age=4),
        "soil_tests", "date", "'Home'", "4.0 years", "2026-04-20",
    ),
    "over-need": case(
        changed("farm", put(BASE + FARM, "fertilizer", "amount", 350), over_tolerance_pct=10),
        "crops", "crop", "'Home'", "usable N", "150.0 lb/ac", "10 percent",
    ),
    "over-limit": case(
        changed("farm", BASE + FARM, p2o5_limit=100),
        "crops", "crop", "'Home'", "104.0 lb/ac of P2O5", "100.0 lb/ac",
    ),
    "record-item-missing": case(
        changed("farm", BASE + FARM, record_reminders="yes"),
        "manure_spread", "wind", "'Wind'", "in 1 of 1 line", f"row {FIRST_LINE}",
    ),
    # ------------------------------------------------------- stores, gate, next year
    "still-to-choose": spoiled("crops", "crop", None, "'Crop'"),
    "store-size-missing": case(
        stored(shape="box", width=40), "stores", "length", "'Length'", hit=False
    ),
    "store-date-missing": case(
        stored(counted=5000), "stores", "counted_date", "'Measured on'", hit=False
    ),
    "store-unknown": case(
        put(BASE + STORE, "manure_lots", "store", "Deap pit"),
        "manure_lots", "store", "'Deap pit'", "did you mean 'Deep pit'",
    ),
    "spread-without-store": case(BASE + STORE, "manure_spread", "lot", "'Pit'"),
    "store-overdrawn": case(
        stored(opening=100_000), "manure_spread", "amount", "'Deep pit'", "60,000 gal"
    ),
    "store-over-full": case(
        changed(
            "stores", stored(opening=0) | parse(MADE),
            shape="box", length=100, width=20, depth=10,
        ),
        "store_moves", "amount", "'Deep pit'", "200,000 gal", "149,610 gal",
    ),
    "store-off": case(
        stored(opening=200_000, counted=100_000, counted_date=date(2026, 1, 1)),
        "stores", "counted", "100,000 gal", "40,000 gal", "60,000 gal", "10 percent",
    ),
    "store-unit": case(stored(unit="ton"), "manure_spread", "unit", "gal/ac", "'Deep pit'", "ton"),
    "store-depth": case(
        stored(
            shape="sloped basin", length=100, width=100, depth=5, side_slope=1, opening_depth=9
        ),
        "stores", "opening_depth", "9 ft", "full depth",
    ),
    "store-lot-unclear": case(
        stored() | parse(MADE.replace("Pit |", "    |"))
        | {"manure_lots": entries_of(BASE)["manure_lots"]},
        "store_moves", "lot", "unknown",
    ),
    "goods-unknown": case(BASE + FEED, "gate", "n_pct", "'Calf mix'", "N"),
    "sold-twice": case(
        changed("harvest", BASE + SOLD, use="sold"), "gate", "what", "'corn'"
    ),
    "own-figure-unfit": Case(
        source=BASE, sheet="Reference", cell=f"{OWN}{REFERENCE_LINE}", says=("'80'", "0 to 1"),
        change=own_figure(REFERENCE_LINE, 80), hit=False,
    ),
    "own-figure-unknown": Case(
        source=BASE, sheet="Reference", cell=f"{OWN}2000", says=("'0.5'",),
        change=own_figure(2000, 0.5), hit=False,
    ),
}  # fmt: skip
