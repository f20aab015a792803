"""Ranges of figures: exact at their ends, in order, and told with what moves them most."""

from __future__ import annotations

from typing import Any

import pytest
from farms import ONE_FIELD
from workbooks import document

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
