"""``explain``: how figures follow from one another, and the postings and lines behind them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from math import fsum
from pathlib import Path

import pytest
from farms import STANDARD
from generated import EXAMPLES
from test_gate import DAIRY
from test_plan import ranged
from workbooks import SHIPPED, altered, entries_of, run

from ledger import pipeline
from ledger.cli.new import workbook_for
from ledger.definitions import DataFault
from ledger.explain.behind import postings_behind
from ledger.explain.derived import derivation_of, operand_lines, unit_of
from ledger.explain.places import Place, places
from ledger.explain.result import asked_of, explain_result
from ledger.explain.telling import Explanation, told_factors
from ledger.gate.lines import OWN_ON_CUSTOM
from ledger.model import Definitions, Derivation
from ledger.pipeline import Run
from ledger.report import result_sheets
from ledger.report.units import Shown

SHOWN = Shown(definitions=SHIPPED, system="us")
VALUE = re.compile(r"^(.+?) = (-?[\d.]+(?:e[-+]\d+)?)(?: [^(]*)?\((.+)\)$")
SOIL_TEST = """
## soil_tests
| field | date  | depth | p_ppm | p_method | k_ppm | k_method |
| Home  | {day} | 6     | {ppm} | Bray P1  | 150   | Mehlich-3 |
"""
HIRED = """
## farm
| sidedress_product |
| UAN-28            |
## fields
| field | area | tenure |
| Next  | 10   | custom |
## crops
| field | crop | n_entered |
| Next  | corn | 150       |
"""
FULL_DAIRY = DAIRY + "\n## farm\n| n_deposition |\n| 8 |\n"


@pytest.fixture(scope="module")
def example() -> Run:
    blank = workbook_for(SHIPPED, year=None, units=None, folder=EXAMPLES / "farm")
    return pipeline.run(blank, SHIPPED)


@pytest.fixture(scope="module")
def runs(example: Run) -> list[tuple[Run, Definitions]]:
    """Farms that together fill every table: milk and deposition, custom ground that wants
    product, years, sums of postings."""
    before = entries_of(STANDARD + SOIL_TEST.format(day="2025-04-01", ppm=20))
    before["farm"][0]["year"] = 2025
    after = run(STANDARD + SOIL_TEST.format(day="2026-04-01", ppm=24))
    years = pipeline.with_years(after, [run(before).results], SHIPPED)
    many = replace(SHIPPED, settings={**SHIPPED.settings, "postings_most": 0})
    return [(example, SHIPPED), (run(FULL_DAIRY), SHIPPED), (run(HIRED), SHIPPED),
            (years, SHIPPED), (years, many)]  # fmt: skip


def cells(done: Run, known: Definitions) -> Iterator[tuple[str, str, Place]]:
    """Sheet id, address and place of every number on the result sheets."""
    for sheet in result_sheets(done.results, known):
        for cell, place in places(sheet).items():
            if is_number(place):
                yield sheet.id, cell, place


def is_number(place: Place) -> bool:
    return isinstance(place.value, int | float)


def told(done: Run, sheet: str, cell: str) -> Explanation:
    return explain_result(done.results, SHIPPED, sheet, sheet, cell)


def test_every_number_has_a_formula_in_words(runs: list[tuple[Run, Definitions]]) -> None:
    for done, known in runs:
        for sheet, cell, place in cells(done, known):
            known_by = asked_of(place, SHOWN) or derivation_of(place, sheet, known)
            assert known_by, f"{sheet}!{cell}: {place.told}"


def test_every_derivation_is_of_some_number_and_all_it_names_is_found(
    runs: list[tuple[Run, Definitions]],
) -> None:
    used: set[Derivation] = set()
    found: set[tuple[Derivation, str]] = set()
    for done, known in runs:
        for sheet in result_sheets(done.results, known):
            around = places(sheet)
            for place in around.values():
                derivation = derivation_of(place, sheet.id, known)
                if not derivation or asked_of(place, SHOWN) or not is_number(place):
                    continue
                used.add(derivation)
                for operand in derivation.operands:
                    one = replace(derivation, operands=(operand,))
                    if operand_lines(one, place, around, done.results.book, known):
                        found.add((derivation, operand))
    cell_of = {(d.sheet, d.table, d.cell) for d in SHIPPED.derivations.cells}
    assert {(d.sheet, d.table, d.cell) for d in used} == cell_of - BLANK_HERE
    wanted = {(d, operand) for d in used for operand in d.operands}
    missing = {(d.cell, operand) for d, operand in wanted - found}
    assert not {(cell, operand) for cell, operand in missing if operand not in OFTEN_BLANK}


BLANK_HERE = {("strips-result", "*", "N recovered"), ("stores", "What went in and out", "Full at")}
OFTEN_BLANK = {f"stores.{c}" for c in ("opening_depth", "length", "width", "diameter", "side_slope",
                                       "shape", "counted_depth", "depth")} | {
    "farm.speed_min", "farm.speed_max", "farm.trial_confidence_pct"}  # fmt: skip

# Derivations that are plain arithmetic of the numbers told with them, in their order.
SUMS: Mapping[str, Callable[..., float]] = {
    "To go after planned": lambda to_go, planned: to_go - planned,
    "Over": lambda to_go: max(0.0, -to_go),
    "Total": lambda rate, area: rate * area,
    "Closing": lambda opening, *flows: opening + sum(flows[:2]) - sum(flows[2:]),
    "Difference": lambda measured, books: measured - books,
    "With the allowance": lambda needed, percent: needed * (1 + percent / 100),
    "Removed / applied": lambda removed, applied: removed / applied,
}


def test_a_figure_and_its_range_follow_each_from_its_own_kind() -> None:
    done = run(ranged(40, 60, 20))
    around = {(place.table.title, place.heading.text, place.head, place.second): cell
              for sheet in result_sheets(done.results, SHIPPED) if sheet.id == "nitrogen-to-go"
              for cell, place in places(sheet).items()}  # fmt: skip
    west = ("Home", "west")
    total = told(done, "nitrogen-to-go", around["Product to put on", "Total [gal]", *west]).how
    assert [line.partition(" = ")[0] for line in total[1:]] == ["Rate", "Area"]
    rate = around["Product to put on", "Rate [gal/ac], range", *west]
    assert any(
        line.startswith("To go, range = ") for line in told(done, "nitrogen-to-go", rate).how
    )
    needed = around["Order", "Range", "With the allowance [gal]", ""]
    how = told(done, "nitrogen-to-go", needed).how
    assert any(line.startswith("Needed in all, range = ") for line in how)


def test_brackets_in_the_name_of_a_field_are_no_unit() -> None:
    done = run(STANDARD.replace("Long Bottom ", "Bottom [wet]"))
    seen = 0
    for sheet, cell, place in cells(done, SHIPPED):
        if sheet == "field-balance" and "[wet]" in place.head and "lb/ac" in place.table.title:
            assert unit_of(place) in ("lb/ac", "ac"), cell
            assert not any(line.endswith(" lb") for line in told(done, sheet, cell).how)
            seen += 1
    assert seen > 10


def test_words_in_a_line_of_figures_follow_from_nothing(
    runs: list[tuple[Run, Definitions]],
) -> None:
    for done, known in runs:
        for sheet in result_sheets(done.results, known):
            for place in places(sheet).values():
                if place.heading.format == "text" and isinstance(place.value, str):
                    assert derivation_of(place, sheet.id, known) is None, place.told


@pytest.mark.parametrize("name", SUMS)
def test_the_arithmetic_told_gives_the_number(example: Run, name: str) -> None:
    tried = 0
    for sheet, cell, place in cells(example, SHIPPED):
        derivation = derivation_of(place, sheet, SHIPPED)
        if derivation and derivation.cell == name and not asked_of(place, SHOWN):
            matches = map(VALUE.match, told(example, sheet, cell).how)
            operands = [float(match[2]) for match in matches if match]
            if sheet == "strips-result":
                continue
            assert SUMS[name](*operands) == pytest.approx(place.value, rel=1e-5, abs=1e-4)
            tried += 1
    assert tried


def test_the_postings_told_add_up_to_the_number(runs: list[tuple[Run, Definitions]]) -> None:
    """On Farm gate, Postings, and by pass on Nitrogen to go; what comes in has no sign."""
    tried: dict[str, int] = {}
    for done, known in runs:
        for _, cell, place in cells(done, known):
            keys = {**dict(place.line.about), **dict(place.heading.about)}
            postings = postings_behind(keys, done.results, known)
            if postings:
                way = keys.get("gate", "")
                mass = SHOWN.value("mass", fsum(posting.mass for posting in postings))
                assert mass is not None
                sign = -1 if way.startswith("in|") or way == "|".join(OWN_ON_CUSTOM) else 1
                assert sign * mass == pytest.approx(place.value, rel=1e-9, abs=1e-9), cell
                key = next(k for k in ("gate", "step", "all lines of", "entry") if k in keys)
                tried[key] = tried.get(key, 0) + 1
    assert tried.keys() == {"gate", "step", "all lines of", "entry"}


def test_a_pass_tells_its_own_postings_alone(example: Run) -> None:
    tried = 0
    for sheet, cell, place in cells(example, SHIPPED):
        if "pass" in dict(place.heading.about) and place.value:
            lines = told(example, sheet, cell).postings
            masses = [float(line.split(": ")[1].split(" lb")[0]) for line in lines]
            zone = (place.head, place.second)
            areas = [s.zone.area for s in example.results.statements
                     if (s.zone.field, s.zone.zone) == zone]  # fmt: skip
            area = SHOWN.value("area", areas[0])
            assert area and sum(masses) / area == pytest.approx(place.value, rel=1e-5)
            tried += 1
    assert tried > 3


def test_a_store_tells_the_lines_of_its_flows(example: Run) -> None:
    tried = 0
    for sheet, cell, place in cells(example, SHIPPED):
        if sheet == "stores" and place.heading.text in ("Made", "Spread", "Sold") and place.value:
            amounts = [float(line.split(": ")[1].split()[0])
                       for line in told(example, sheet, cell).entries]  # fmt: skip
            assert abs(sum(amounts)) == pytest.approx(place.value, rel=1e-6)
            tried += 1
    assert tried > 2


def test_what_is_left_in_a_store_names_the_analysis(example: Run) -> None:
    (cell, place) = next(
        (cell, place)
        for sheet, cell, place in cells(example, SHIPPED)
        if "rest holds" in place.table.title and place.heading.text.startswith("P2O5")
    )
    lot = place.second.split(", ")[-1]
    assert any(line.startswith(f"{lot}: P2O5") for line in told(example, "stores", cell).entries)


def test_a_strip_figure_names_its_strips(example: Run) -> None:
    for sheet, cell, place in cells(example, SHIPPED):
        if place.heading.text.startswith("Mean yield"):
            entries = told(example, sheet, cell).entries
            yields = [
                float(y) for line in entries for y in re.findall(r"Yield \[.*?\] = ([\d.]+)", line)
            ]
            assert sum(yields) / len(yields) == pytest.approx(place.value)


def test_custom_work_tells_nothing_of_the_farm(example: Run) -> None:
    custom = {zone.field for zones in example.results.book.zones.values()
              for zone in zones if zone.custom}  # fmt: skip
    assert custom
    for sheet, cell, place in cells(example, SHIPPED):
        if place.table.title.startswith("Custom work"):
            for line in told(example, sheet, cell).postings:
                assert any(f"({field}, " in line for field in custom), line


def test_parts_and_range_are_in_the_unit_of_the_cell(example: Run) -> None:
    tried = 0
    for sheet, cell, place in cells(example, SHIPPED):
        asked = asked_of(place, SHOWN)
        if asked and sheet == "summary" and asked.figure == "balance":
            how = told(example, sheet, cell).how
            parts = [float(match[1]) for match in
                     (re.match(r"(?:applied|removed) = (-?[\d.]+)", line) for line in how)
                     if match]  # fmt: skip
            assert parts[0] - parts[1] == pytest.approx(place.value, rel=1e-4, abs=1e-3)
            assert all(unit_of(place) in line for line in how if line.startswith("applied ="))
            tried += 1
    assert tried >= 4


@pytest.mark.parametrize(
    ("operand", "problem"),
    [
        ("farm.no_such_column", "is no column of an entry sheet"),
        ("crops.yield_goal", "only farm, product, stores and ground"),
    ],
)
def test_a_typed_cell_that_cannot_be_found_is_refused(
    tmp_path: Path, operand: str, problem: str
) -> None:
    def spoil(data: dict[str, list[dict[str, object]]]) -> None:
        data["cells"][0]["from"] = [operand]

    with pytest.raises(DataFault, match=rf"explain\.json: '{operand}':? {problem}"):
        altered(tmp_path, "explain.json", spoil)


def test_words_for_a_figure_must_be_there(tmp_path: Path) -> None:
    with pytest.raises(DataFault, match=r"explain\.json: words for every figure"):
        altered(tmp_path, "explain.json", lambda data: data["figures"].pop("supply"))


def test_bushels_are_told_by_the_acre_as_typed() -> None:
    harvest = """
    ## fields
    | field | area |
    | Home  | 40   |
    ## harvest
    | date       | field | crop    | part  | yield | unit   |
    | 2026-10-02 | Home  | soybean | grain | 54    | bu/ac  |
    """
    told = told_factors(run(harvest).results.journal.postings, SHOWN)
    assert "yield: 54 bu/ac - Harvest!F6" in told


def test_the_confidence_told_is_the_one_taken_where_the_farm_sheet_is_blank() -> None:
    told = [d.how for d in SHIPPED.derivations.cells if "farm.trial_confidence_pct" in d.operands]
    usual = f"{SHIPPED.settings['trial_confidence_pct']} percent where it is blank"
    assert told
    assert all(usual in how for how in told)


def test_a_field_that_is_called_like_a_product_brings_in_no_cell_of_it() -> None:
    """The price of a product names its own line; a zone's rate names the sidedress product."""
    source = """
    ## farm
    | sidedress_product |
    | UAN-28            |
    ## fields
    | field  | area |
    | UAN-32 | 40   |
    ## crops
    | field  | crop | n_entered |
    | UAN-32 | corn | 90        |
    """
    done = run(source)
    book = done.results.book
    rows = {e.text("product"): e.row.number for e in book.entries["products"]}
    (cell,) = [c for s, c, p in cells(done, SHIPPED) if p.heading.text.startswith("Rate [")]
    how = "\n".join(told(done, "nitrogen-to-go", cell).how)
    assert f"Products!B{rows['UAN-28']}" in how
    assert f"Products!B{rows['UAN-32']}" not in how
