"""A live figure shows a word, and no number, where the check finds a fault that formulas see.

Each fault stands on a field (or store) of its own in one workbook, which LibreOffice reckons.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from live_figures import lines, opened
from programs import NEEDS_OFFICE, SOFFICE, office
from workbooks import Entries, entries_of, run, title, workbook

pytestmark = pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)

FAULTS = """
## fields
| field | area |
| Home  | 40   |

## manure_lots
| lot    | kind       | form   | n_total | n_ammonium | per      | store |
| Sound  | hog liquid | liquid | 50      | 20         | 1000 gal | Pit   |
| Double | hog liquid | liquid | 50      | 20         | 1000 gal |       |
| Double | hog liquid | liquid | 60      | 20         | 1000 gal |       |
| Below  | hog liquid | liquid | -5      |            | 1000 gal |       |
| Slip   | hog liquid | liquid | 50      | 20         | 1000 gal |       |
| Parts  | hog liquid | liquid | 50      | 45         | 1000 gal |       |
| Early  | hog liquid | liquid | 50      | 20         | 1000 gal |       |

## manure_samples
| lot   | sampled    | n_total | per      |
| Sound | 2025-10-01 | 54      | 1000 gal |
| Slip  | 2025-10-01 | 14      | ton      |
| Parts | 2025-10-01 | 10      | 1000 gal |
| Early | soon       | 50      | 1000 gal |
| Gone  | 2025-10-01 | 50      | 1000 gal |

## manure_spread
| date       | lot    | field | amount | unit   | method         |
| 2026-04-01 | Sound  | Home  | 1000   | gal    | injected sweep |
| 2026-04-01 | Double | Home  | 1000   | gal/ac | injected sweep |
| 2026-04-01 | Below  | Home  | 1000   | gal/ac | injected sweep |
| 2026-04-01 | Slip   | Home  | 1000   | gal/ac | injected sweep |
| 2026-04-01 | Parts  | Home  | 1000   | gal/ac | injected sweep |
| 2026-04-01 | Early  | Home  | 1000   | gal/ac | injected sweep |
| 2026-04-01 | Sound  | Home  | -1000  | gal/ac | injected sweep |

## products
| product | n_pct | p2o5_pct | k2o_pct | s_pct | form |
| twin    | 10    | 0        | 0       | 0     | dry  |
| twin    | 12    | 0        | 0       | 0     | dry  |
| rich    | 60    | 60       | 0       | 0     | dry  |
| minus   | -1    | 0        | 0       | 0     | dry  |

## fertilizer
| date       | pass  | product | field | amount | unit  |
| 2026-04-01 | other | urea    | Home  | 100    | lb/ac |
| 2026-04-01 | other | twin    | Home  | 100    | lb/ac |
| 2026-04-01 | other | rich    | Home  | 100    | lb/ac |
| 2026-04-01 | other | minus   | Home  | 100    | lb/ac |
| 2026-04-01 | other | urea    | Home  | -100   | lb/ac |

## stores
| store  | unit | shape | opening | opening_depth | opening_date |
| Pit    | gal  |       | 9000    |               | 2025-07-01   |
| Blank  | gal  |       |         |               |              |
| Twice  | gal  |       | 5       |               |              |
| Twice  | gal  |       | 6       |               |              |
| Box    | gal  | box   |         | 3             |              |
| Shape  | gal  |       |         | 3             |              |
| Moves  | gal  |       | 100     |               |              |
| Weight | ton  |       | 100     |               |              |

## store_moves
| date       | store  | kind     | amount | unit |
| 2025-09-01 | Pit    | produced | 500    | gal  |
| 2025-09-01 | Moves  | produced | -5     | gal  |
| 2025-09-01 | Weight | produced | 5      | gal  |
"""


def entries() -> Entries:
    """The faults; products of one's own stand below those of the book."""
    return entries_of(FAULTS)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Any:
    folder = tmp_path_factory.mktemp("words")
    file = folder / "faults.xlsx"
    file.write_bytes(workbook(entries()))
    office(folder / "profile", "xlsx", folder / "out", [file])
    return opened(folder / "out" / file.name)


def shown(book: Any, sheet: str, name: str, column: str) -> Iterator[tuple[str, Any]]:
    for line in lines(book, sheet):
        yield str(line[name]), line[column]


def test_lots_say_what_is_wrong_with_them(book: Any) -> None:
    assert list(shown(book, "Manure lots", "lot", "_state")) == [
        ("Sound", "ok"),
        ("Double", "twice?"),
        ("Double", "twice?"),
        ("Below", "below zero?"),
        ("Slip", "sample?"),
        ("Parts", "ammonium?"),
        ("Early", "sample?"),
    ]


def test_slips_say_what_is_wrong_with_them(book: Any) -> None:
    assert list(shown(book, "Manure samples", "lot", "_state")) == [
        ("Sound", "ok"),
        ("Slip", "basis?"),
        ("Parts", "ok"),
        ("Early", "date?"),
        ("Gone", "lot?"),
    ]


def test_lines_of_such_lots_show_no_figure(book: Any) -> None:
    told = [value for _, value in shown(book, "Manure spread", "lot", "_total_N")]
    assert told[0] == pytest.approx(1000 * 0.052 / 40)
    assert told[1:] == ["lot?", "lot?", "lot?", "lot?", "lot?", "amount?"]


def test_products_named_twice_or_over_a_hundred_percent_show_no_figure(book: Any) -> None:
    told = [value for _, value in shown(book, "Fertilizer", "product", "_N")]
    assert told == [pytest.approx(46), "twice?", "grade?", "grade?", "amount?"]


def test_levels_are_numbers_only_where_all_is_known(book: Any) -> None:
    assert list(shown(book, "Manure stores", "store", "_level")) == [
        ("Pit", "see lines"),  # a line of its lot has an amount below zero
        ("Blank", "opening?"),
        ("Twice", "twice?"),
        ("Twice", "twice?"),
        ("Box", "size?"),
        ("Shape", "shape?"),
        ("Moves", "see lines"),
        ("Weight", "see lines"),  # gallons into a store kept by weight, no density known
    ]


@pytest.mark.parametrize("sheet", ["manure_lots", "manure_samples"])
def test_every_line_that_the_check_finds_at_fault_shows_a_word(book: Any, sheet: str) -> None:
    checked = run(entries()).results.book.entries[sheet]
    faulty = {entry.row.number for entry in checked if entry.faulty}
    words = {line["row"] for line in lines(book, title(sheet)) if line["_state"] != "ok"}
    assert len(faulty) >= 3
    assert faulty <= words
