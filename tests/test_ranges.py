"""Ranges of figures: exact at their ends, in order, and told with what moves them most."""

from __future__ import annotations

from typing import Any

import pytest
from farms import ONE_FIELD
from papers import example
from reached import results_at
from workbooks import SHIPPED, document, run

from ledger import measure
from ledger.report.ranges import ranges_sheet
from ledger.report.units import Shown
from ledger.report.write import line_height, wrapped_in

HOG = (
    ONE_FIELD
    + """
## farm
| manure_set | removal_set |
| {set} | {removal} |

## crops
| field | crop | n_entered |
| Home | corn | 180 |

## manure_lots
| lot | kind | form | n_total | n_ammonium | p2o5 | k2o | s | per |
| Pit | hog liquid | liquid | 50 | 35 | 30 | 25 | 5 | 1000 gal |

## manure_spread
| date | lot | field | amount | unit | method |
| 2026-04-10 | Pit | Home | 3000 | gal/ac | injected sweep |

## harvest
| date | field | crop | part | yield | unit |
| 2026-10-10 | Home | corn | grain | 200 | bu/ac |
"""
)


def nitrogen(manure: str, removal: str = "general") -> dict[str, Any]:
    found = document(HOG.format(set=manure, removal=removal))["ranges"]
    (item,) = [r for r in found if r["nutrient"] == "N"]
    return dict(item)


def test_iowa_ranges_are_the_ends_of_both_published_factors() -> None:
    """PMR 1003 (2016): liquid swine 90 to 100 % of total N, injection keeps 98 to 100 %.

    Source: Iowa State, Using Manure Nutrients for Crop Production, through an author's
    restatement (verified): 3000 gal/ac x 50 lb/1000 gal = 150 lb; 150 x 0.98 x 0.90 = 132.3
    and 150 x 1.00 x 1.00 = 150.
    """
    credit = nitrogen("IA-PMR1003")["figures"]["manure_credit"]
    assert credit["low"] == pytest.approx(132.3)
    assert credit["high"] == pytest.approx(150)
    assert credit["used"] == pytest.approx(150 * 0.99 * 0.95)


def test_to_go_reaches_the_other_way_than_supply() -> None:
    figures = nitrogen("IA-PMR1003")["figures"]
    assert figures["to_go"]["low"] == pytest.approx(180 - figures["supply"]["high"])
    assert figures["to_go"]["high"] == pytest.approx(180 - figures["supply"]["low"])


def test_removal_reaches_by_the_printed_deviation_and_balance_the_other_way() -> None:
    """Missouri grain survey (IPNI-2011-GBL-43, 2015): corn N 0.55 to 0.71 lb/bu (verified)."""
    figures = nitrogen("MN-UMN", "IPNI-Missouri-2015")["figures"]
    assert figures["removal"]["low"] == pytest.approx(200 * 0.55)
    assert figures["removal"]["high"] == pytest.approx(200 * 0.71)
    assert figures["balance"]["low"] == pytest.approx(150 - 200 * 0.71)
    assert figures["balance"]["high"] == pytest.approx(150 - 200 * 0.55)


def test_every_span_holds_the_figure_used() -> None:
    done = document(HOG.format(set="IA-PMR1003", removal="general"))
    zone = done["zones"][0]
    for item in done["ranges"]:
        for figure, span in item["figures"].items():
            assert span["low"] <= span["used"] + 1e-9
            assert span["used"] <= span["high"] + 1e-9
            assert span["used"] == pytest.approx(zone["nutrients"][item["nutrient"]][figure])


def test_the_total_applied_has_no_range_whatever_the_split() -> None:
    figures = nitrogen("IA-PMR1003")["figures"]
    assert figures["manure"]["low"] == figures["manure"]["high"] == pytest.approx(150)


def test_the_input_that_matters_most_stands_first() -> None:
    influences = nitrogen("IA-PMR1003", "IPNI-Missouri-2015")["influences"]
    widths = [item["width"] for item in influences]
    assert widths == sorted(widths, reverse=True)
    assert influences[0]["name"] == "N removed"
    assert influences[0]["width"] == pytest.approx(200 * (0.71 - 0.55))


def test_a_set_without_ranges_has_no_range_of_its_credit() -> None:
    credit = nitrogen("MN-UMN", "IPNI-Missouri-2015")["figures"]["manure_credit"]
    assert credit["low"] == credit["high"] == pytest.approx(120)


SUMS = ("manure", "manure_credit", "credits", "residual", "supply", "applied", "removal", "need")


@pytest.mark.parametrize("end", ["low", "high"])
@pytest.mark.parametrize("manure_set", list(SHIPPED.manure_sets))
def test_ends_are_what_the_figures_at_their_ends_give(manure_set: str, end: str) -> None:
    """Reckoned anew with every published range and every lot of slips at one end."""
    told = example()
    farm = {**told["farm"][0], "manure_set": manure_set}
    results = run({**told, "farm": [farm]}).results
    other = results_at(results, end)
    at_end = {s.zone: s.figures for s in other.statements}
    checked = 0
    for item in results.ranges.zones:
        for figure in SUMS:
            span, value = item.spans[figure], at_end[item.zone][item.nutrient][figure]
            assert (span is None) == (value is None)
            if span is not None:
                assert getattr(span, end) == pytest.approx(value, rel=1e-9, abs=1e-9)
                checked += span.ranged
    assert checked > 20


def test_a_need_by_the_usual_factor_reaches_by_its_range() -> None:
    """Common practice, from memory: 0.8 to 1.2 lb of N a bushel of corn, 1.0 in the middle."""
    goal = "| field | crop | yield_goal | n_method |\n| Home | corn | 200 | yield factor |"
    farm = HOG.replace("| field | crop | n_entered |\n| Home | corn | 180 |", goal)
    done = document(farm.format(set="MN-UMN", removal="general"))
    (item,) = [r for r in done["ranges"] if r["nutrient"] == "N"]
    need, to_go = item["figures"]["need"], item["figures"]["to_go"]
    assert [need[end] for end in ("low", "used", "high")] == pytest.approx([160, 200, 240])
    supply = item["figures"]["supply"]["used"]
    assert [to_go["low"], to_go["high"]] == pytest.approx([160 - supply, 240 - supply])
    (factor,) = [i for i in item["influences"] if i["name"] == "N per unit of yield in the need"]
    assert factor["width"] == pytest.approx(80)


LSNT = """
## farm
| manure_set | nitrate_set |
| IA-PMR1003 | Iowa-LSNT |

## fields
| field | area |
| Home | 40 |

## crops
| field | crop | n_method |
| Home | corn | pre-sidedress nitrate |

## soil_tests
| field | date | sample_kind | nitrate_ppm | nitrate_depth | spring_rain |
| Home | 2026-06-05 | pre-sidedress nitrate | 12 | 12 | wet |
"""
MANURED = """
## manure_lots
| lot | kind | form | n_total | n_ammonium | per |
| Pit | hog liquid | liquid | 50 | 35 | 1000 gal |

## manure_spread
| date | lot | field | amount | unit | method |
| {day} | Pit | Home | 400 | gal/ac | injected sweep |
"""


def after_test(text: str) -> dict[str, Any]:
    """The figures of nitrogen that have a span where a nitrate test told what is to go."""
    results = run(text).results
    (item,) = [z for z in results.ranges.zones if z.nutrient == "N"]
    factor = SHIPPED.units["lb/ac"].factor
    spans = {f: span for f, span in item.spans.items() if span}
    return {f: [x / factor for x in (s.low, s.used, s.high)] for f, s in spans.items()}


def test_what_a_nitrate_test_leaves_to_go_reaches_by_its_critical_level() -> None:
    """Iowa LSNT (verified): after a wet spring the level is 20 to 22 ppm, 8 lb a ppm."""
    assert after_test(LSNT)["to_go"] == pytest.approx([64, 72, 80])


def test_manure_that_a_nitrate_test_holds_moves_the_need_and_nothing_to_go() -> None:
    """Iowa LSNT (verified): 15 ppm after a wet spring where manure was spread, no range."""
    figures = after_test(LSNT + MANURED.format(day="2026-04-10"))
    low, used, high = figures["manure_credit"]
    assert low < used < high
    assert figures["to_go"] == pytest.approx([24, 24, 24])
    assert figures["need"] == pytest.approx([24 + low, 24 + used, 24 + high])


def test_manure_after_a_nitrate_test_moves_what_is_to_go() -> None:
    figures = after_test(LSNT + MANURED.format(day="2026-06-12"))
    low, used, high = figures["manure_credit"]
    assert low < used < high
    assert figures["to_go"] == pytest.approx([24 - high, 24 - used, 24 - low])


def counted(figure: str, value: float) -> float:
    return max(0.0, value) if figure == "to_go" else value


def test_totals_add_the_ends_of_their_zones() -> None:
    """The same figure moves every zone together, so low ends add, and high ends.

    Of what is to go a zone that is over has none.
    """
    done = document(example())
    zones = {(z["field"], z["zone"]): z for z in done["zones"]}
    ours = [r for r in done["ranges"] if not zones[r["field"], r["zone"]]["custom"]]
    farm = {t["nutrient"]: t["figures"] for t in done["range_totals"] if t["scope"] == "farm"}
    assert farm
    for nutrient, figures in farm.items():
        for figure, span in figures.items():
            name = figure.removesuffix("_total")
            assert span["used"] == pytest.approx(done["farm"]["nutrients"][nutrient][figure])
            for end in ("low", "high"):
                apart = [
                    (
                        counted(name, r["figures"][name][end])
                        - counted(name, r["figures"][name]["used"])
                    )
                    * zones[r["field"], r["zone"]]["area"]
                    for r in ours
                    if r["nutrient"] == nutrient and name in r["figures"]
                ]
                assert span[end] - span["used"] == pytest.approx(sum(apart), abs=1e-6)


def test_fields_of_several_zones_have_totals_too() -> None:
    done = document(example())
    fields = [t for t in done["range_totals"] if t["scope"] == "field"]
    assert {t["name"] for t in fields} <= {z["field"] for z in done["zones"]}
    assert len(fields) > 5


LONG_FIELD = "North Forty behind the old machine shed"
LONG_ZONES = ("the wet end below the tile outlet", "high ground along the section road")


def test_long_names_of_ground_are_shown_whole_on_how_sure() -> None:
    told = HOG.format(set="IA-PMR1003", removal="general").replace("Home", LONG_FIELD)
    told += f"""
## zones
| field | zone | area |
| {LONG_FIELD} | {LONG_ZONES[0]} | 15 |
| {LONG_FIELD} | {LONG_ZONES[1]} | 25 |
"""
    results = run(told).results
    sheet = ranges_sheet(results, Shown(definitions=SHIPPED, system=results.book.system))
    drawn, *others = sheet.tables
    assert any(table.chart is None for table in others)
    labels = [str(line.cells[0]) for line in drawn.lines]
    assert {f"{LONG_FIELD}, {zone}" for zone in LONG_ZONES} == set(labels)
    assert drawn.headings[0].format == "wrapped"
    for line, label in zip(drawn.lines, labels, strict=True):
        room = measure.height(label, drawn.headings[0].width)
        assert line_height(line, wrapped_in(drawn.headings)) >= room > measure.ONE_LINE_PT
    for table in (table for table in others if table.chart is None):
        assert table.headings[0].format == "wrapped"
        assert table.headings[1].width >= max(map(len, LONG_ZONES)) * measure.SLIM


def test_names_that_fit_on_a_line_get_the_room() -> None:
    told = HOG.format(set="IA-PMR1003", removal="general").replace("Home", LONG_FIELD[:30])
    results = run(told).results
    first = ranges_sheet(results, Shown(definitions=SHIPPED, system=results.book.system)).tables[0]
    assert measure.lines(LONG_FIELD[:30], first.headings[0].width) == 1
    assert line_height(first.lines[0], wrapped_in(first.headings)) == measure.ONE_LINE_PT


def test_what_moves_a_figure_most_is_told_with_its_unit_and_source() -> None:
    result = run(HOG.format(set="IA-PMR1003", removal="IPNI-Missouri-2015")).results
    sheet = ranges_sheet(result, Shown(definitions=SHIPPED, system="us"))
    told = [str(line.cells[-1]) for table in sheet.tables for line in table.lines]
    assert any(text.startswith("N removed: 32.0 lb/ac; source: International") for text in told)
