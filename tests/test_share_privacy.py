"""A copy for one person tells nothing of anybody else's ground.

Two proofs. Markers: every cell, note, property and hidden row of the rest of the farm holds a
text or a number that is then looked for in every inflated member of the copy. And the stronger
one: whatever is changed, added or taken away on the rest of the farm, the copy stays the same
byte for byte, so nothing about the rest can be worked out from it.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from importlib import import_module
from typing import Any

import pytest
from papers import members, shared
from workbooks import SHIPPED, Entries, edit, parse, workbook

from ledger.model import Column

MARK = "Zqx"
ME = "Ada Thorn"

MINE = f"""
## farm
| farm_name   | operator | price_n | price_p2o5 | price_k2o | price_s |
| Sender Farm | S. Ender | 0.57    | 0.66       | 0.41      | 0.45    |

## people
| name | role     | contact  | crop_share_pct | cost_share_pct |
| {ME} | landlord | 555-0100 | 40             | 40             |

## fields
| field     | area | owner | tenure     | legal  | setback_notes |
| Ada North | 40   | {ME}  | crop share | Sec. 4 | Creek         |
| Ada Hired | 10   | {ME}  | custom     |        |               |

## zones
| field     | zone | area |
| Ada North | wet  | 15   |
| Ada North | dry  | 25   |

## soil_tests
| field     | date       | p_ppm | p_method  | lab     |
| Ada North | 2025-10-01 | 30    | Mehlich-3 | Ada lab |

## crops
| field     | crop | yield_goal | previous_crop | n_entered |
| Ada North | corn | 200        | soybean       | 150       |

## manure_lots
| lot     | kind       | form   | n_total | n_ammonium | p2o5 | k2o | s | per      |
| Ada pit | hog liquid | liquid | 48      | 34         | 26   | 31  | 5 | 1000 gal |

## manure_spread
| date       | lot     | field     | zone | amount | unit   | method         | applicator |
| 2025-11-03 | Ada pit | Ada North | wet  | 4000   | gal/ac | injected sweep | Crew       |

## products
| product   | n_pct | p2o5_pct | k2o_pct | s_pct | form | price | price_per |
| Ada blend | 30    | 5        | 5       | 2     | dry  | 500   | ton       |

## fertilizer
| date       | pass      | product   | field     | amount | unit  | charge |
| 2026-04-20 | preplant  | Ada blend | Ada North | 100    | lb/ac |        |
| 2026-06-10 | sidedress | Ada blend | Ada Hired | 100    | lb/ac | 9.5    |

## harvest
| date       | field     | zone | crop | part  | yield | unit  |
| 2026-10-10 | Ada North | dry  | corn | grain | 200   | bu/ac |

## lease_items
| item | person | field     | date       | cost | paid_by_pct | life_years | notes    |
| Lime | {ME}   | Ada North | 2024-10-12 | 3000 | 100         | 5          | Ada note |
"""

NUMBERS = {"sums": 61.737373, "areas": 87.919191}  # digits that nothing of Ada's can give


def other(column: Column, sheet: str, count: int) -> object:
    """A marked cell: text with the marker, or a number with digits of its own."""
    if column.is_date:
        return datetime(2026, 5, 17).date()
    if column.id in ("field", "owner", "person", "name", "lot", "product", "zone"):
        kind = {"owner": "name", "person": "name"}.get(column.id, column.id)
        return f"{MARK} {kind}"
    if column.choices:
        return column.choices[count % len(column.choices)]
    if column.lookup or column.words:
        return None
    if column.is_number:
        return NUMBERS["areas"] if "area" in column.id else _number(column)
    return f"{MARK} {sheet} {column.id}"


def _number(column: Column) -> float:
    """A number with digits of its own; an analysis stays within what a material can hold."""
    return NUMBERS["sums"] / 100 if column.id.endswith("_pct") else NUMBERS["sums"]


def others() -> Entries:
    """A line on every sheet for somebody else, each of its cells marked."""
    entries: Entries = {}
    for sheet in SHIPPED.sheets.values():
        if sheet.layout == "rows":
            line = {c.id: other(c, sheet.id, 0) for c in sheet.columns}
            entries[sheet.id] = [{key: cell for key, cell in line.items() if cell is not None}]
    entries["people"][0]["role"] = "landlord"
    entries["fields"][0]["tenure"] = "cash rent"
    entries["crops"] = [{"field": f"{MARK} field", "crop": "corn", "yield_goal": 61.737373}]
    entries["harvest"] = [
        {
            "date": "2026-10-11",
            "field": f"{MARK} field",
            "crop": "corn",
            "part": "grain",
            "yield": NUMBERS["sums"],
            "unit": "bu/ac",
        }
    ]
    entries["manure_lots"][0].update(kind="hog liquid", form="liquid", n_ammonium=1, n_nitrate=0)
    entries["manure_spread"][0].update(unit="gal/ac", method="broadcast", incorporated_after_h=4)
    entries["products"][0].update(dict.fromkeys(("n_pct", "p2o5_pct", "k2o_pct", "s_pct"), 11.1))
    return entries


def joined(mine: Entries, *more: Entries, first: bool = False) -> Entries:
    """Ada's lines with the others' before or after them."""
    found = {sheet: list(lines) for sheet, lines in mine.items()}
    for entries in more:
        for sheet, lines in entries.items():
            own = found.get(sheet, [])
            found[sheet] = [*lines, *own] if first else [*own, *lines]
    return found


MINE_ENTRIES = parse(MINE)
ALONE = shared(MINE_ENTRIES, ME)


def hidden_and_marked(book: Any) -> None:
    """What a person may add in a spreadsheet program: notes, hidden rows, properties, sheets."""
    comments = import_module("openpyxl.comments")
    from openpyxl.workbook.defined_name import DefinedName

    sheet = book[SHIPPED.sheets["fields"].title]
    for row in sheet.iter_rows():
        for cell in row:
            if isinstance(cell.value, str) and cell.value.startswith(MARK):
                cell.comment = comments.Comment(f"{MARK} comment", f"{MARK} author")
                sheet.row_dimensions[cell.row].hidden = True
    extra = book.create_sheet(f"{MARK} sheet")
    extra["A1"] = f"{MARK} own notes"
    extra.sheet_state = "veryHidden"
    book.properties.creator = f"{MARK} creator"
    book.properties.title = f"{MARK} title"
    book.properties.description = f"{MARK} description"
    book.defined_names[f"{MARK}_name"] = DefinedName(f"{MARK}_name", attr_text="Farm!$A$1")


@pytest.fixture(scope="module")
def marked() -> bytes:
    """A real workbook, Ada's lines among marked ones."""
    return edit(workbook(joined(others(), MINE_ENTRIES)), hidden_and_marked)


def test_the_markers_are_in_the_ledger(marked: bytes) -> None:
    content = members(marked)
    for text in ("comment", "author", "creator", "own notes", "fields legal", "soil_tests lab"):
        assert f"{MARK} {text}".encode() in content, text
    assert str(NUMBERS["sums"]).encode() in content


def test_no_marker_is_in_the_copy(marked: bytes) -> None:
    content = members(shared(marked, ME))
    codes = ("utf-8", "utf-16-le", "utf-16-be")
    assert [c for c in codes if MARK.lower().encode(c) in content.lower()] == []
    found = [number for number in ("61.737", "0.61737", "87.919") if number.encode() in content]
    assert found == []


def test_the_copy_holds_what_is_adas(marked: bytes) -> None:
    content = members(shared(marked, ME))
    for text in (
        ME,
        "Ada North",
        "Ada Hired",
        "wet",
        "Ada lab",
        "Ada pit",
        "Ada blend",
        "Creek",
        "Sender Farm",
        "S. Ender",
        "Ada note",
        "Crew",
    ):
        assert text.encode() in content, text


def test_the_copy_is_the_same_as_if_there_were_nobody_else(marked: bytes) -> None:
    assert shared(marked, ME) == ALONE


def doubled(entries: Entries) -> Entries:
    return {
        sheet: [
            {
                k: v * 2 if isinstance(v, (int, float)) and "pct" not in k else v
                for k, v in line.items()
            }
            for line in lines
        ]
        for sheet, lines in entries.items()
    }


def spoilt(entries: Entries) -> Entries:
    """The others' lines with errors in them: findings name what stands beside them."""
    return {
        sheet: [
            {k: f"{MARK} wrong" if k in ("amount", "date", "yield") else v for k, v in line.items()}
            for line in lines
        ]
        for sheet, lines in entries.items()
    }


def many(entries: Entries) -> Entries:
    found: Entries = {}
    for sheet, lines in entries.items():
        if sheet in ("fields", "fertilizer", "manure_spread"):
            found[sheet] = [
                {**line, "field": f"{MARK} field {n}"} for line in lines for n in range(30)
            ]
    return joined(entries, found)


CHANGES: dict[str, Callable[[Entries], Entries]] = {
    "as they are": lambda entries: entries,
    "all twice as much": doubled,
    "with errors": spoilt,
    "thirty more fields": many,
}


@pytest.mark.parametrize("change", CHANGES)
@pytest.mark.parametrize("first", [True, False])
def test_nothing_on_other_ground_changes_a_byte(change: str, first: bool) -> None:
    assert shared(joined(MINE_ENTRIES, CHANGES[change](others()), first=first), ME) == ALONE


def test_rig_limits_and_test_ages_of_the_farm_stay_at_home() -> None:
    farm = {
        **MINE_ENTRIES["farm"][0],
        "tank_volume": 61.73,
        "n_limit": 87.91,
        "speed": 6.173,
        "sidedress_product": "UAN-32",
        "soil_test_max_age": 61.73,
    }
    assert shared({**MINE_ENTRIES, "farm": [farm]}, ME) == ALONE


def test_supplier_store_and_notes_of_what_adas_ground_got_stay_at_home() -> None:
    lot = {**MINE_ENTRIES["manure_lots"][0], "supplier": f"{MARK} hogs", "store": f"{MARK} pit"}
    field = {**MINE_ENTRIES["fields"][0], "notes": f"{MARK} would sell"}
    zone = {**MINE_ENTRIES["zones"][0], "notes": f"{MARK} poor"}
    spoken = {
        **MINE_ENTRIES,
        "manure_lots": [lot],
        "fields": [field, *MINE_ENTRIES["fields"][1:]],
        "zones": [zone, *MINE_ENTRIES["zones"][1:]],
    }
    assert shared(spoken, ME) == ALONE


def test_prices_paid_stay_at_home_where_no_cost_is_shared() -> None:
    person: dict[str, object] = {"name": ME, "role": "landlord"}
    field = {**MINE_ENTRIES["fields"][0], "tenure": "cash rent"}
    rented: Entries = {
        **MINE_ENTRIES,
        "people": [person],
        "fields": [field, MINE_ENTRIES["fields"][1]],
    }
    dearer: Entries = {**rented, "products": [{**MINE_ENTRIES["products"][0], "price": 9000}]}
    assert shared(dearer, ME) == shared(rented, ME)
    assert shared(rented, ME) != ALONE


def test_a_lease_item_for_ada_on_anothers_field_is_left_out() -> None:
    item = {**MINE_ENTRIES["lease_items"][0], "field": f"{MARK} field"}
    entries = joined(MINE_ENTRIES, others(), {"lease_items": [item]})
    assert shared(entries, ME) == ALONE


def test_planned_work_is_not_in_the_copy() -> None:
    planned = {**MINE_ENTRIES["fertilizer"][0], "status": "planned"}
    assert shared(joined(MINE_ENTRIES, {"fertilizer": [planned]}), ME) == ALONE
