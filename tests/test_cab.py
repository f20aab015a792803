"""The Cab sheet: every zone with its area, nitrogen and product to go, as ``balance`` has them."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from live_figures import opened
from programs import NEEDS_GNUMERIC, NEEDS_OFFICE, SOFFICE, SSCONVERT, gnumeric, office
from workbooks import FIRST_LINE, SHIPPED, YEAR, Entries, document, edit, workbook

from ledger import pipeline
from ledger.build.cab_sheet import BLOCKS, HEAD_ROW, LEAST_LISTED
from ledger.live.cab import BLOCK
from ledger.look import FORMATS

Line = tuple[Any, ...]


def farm(fields: int, *, zones: int) -> Entries:
    """Fields of which every second has zones, whose lines stand in turns on the Zones sheet."""
    names = [f"Field {number}" for number in range(1, fields + 1)]
    parted = names[1::2]
    parts = [f"part {number}" for number in range(1, zones + 1)]
    lines = [{"field": f, "zone": z, "area": 40 / zones} for z in parts for f in parted]
    spread = {"date": date(2026, 4, 20), "pass": "preplant", "product": "UAN-28", "unit": "gal/ac"}
    return {
        "farm": [{"farm_name": "Cab farm", "sidedress_product": "UAN-28"}],
        "fields": [{"field": name, "area": 40} for name in names],
        "zones": list(lines),
        "crops": [
            {"field": name, "crop": "corn", "n_method": "entered", "n_entered": 140 + at}
            for at, name in enumerate(names)
        ],
        "fertilizer": [
            {**spread, "field": line["field"], "zone": line["zone"], "amount": 10 + at}
            for at, line in enumerate(lines)
        ],
    }


def expected(entries: Entries) -> list[Line]:
    """Label, area, nitrogen and gallons to go of every zone in the order of fields."""
    told = document(entries)
    rates = {(line["field"], line["zone"]): line["rate"] or 0 for line in told["plan"]}
    found = []
    for zone in told["zones"]:
        place = (zone["field"], zone["zone"])
        label = place[0] if place[1] == "all" else ", ".join(place)
        figure = zone["nutrients"]["N"]["to_go"]
        found.append((label, zone["area"], figure, rates.get(place, 0)))
    return found


def listed(file: Path) -> list[Line]:
    """The lines of the Cab sheet that are filled, down the first block and then the next."""
    sheet = opened(file)["Cab"]
    rows = list(sheet.iter_rows(min_row=HEAD_ROW + 3, max_col=BLOCK * BLOCKS, values_only=True))
    end = next(at for at, row in enumerate(rows) if row[1] == "Date") - 1
    blocks = [row[BLOCK * b : BLOCK * (b + 1)] for b in range(BLOCKS) for row in rows[:end]]
    return [line for line in blocks if line[0] not in (None, "")]


def in_office(content: bytes, folder: Path) -> Path:
    (folder / "cab.xlsx").write_bytes(content)
    office(folder / "profile", "xlsx", folder / "out", [folder / "cab.xlsx"])
    return folder / "out" / "cab.xlsx"


def alike(shown: list[Line], told: list[Line]) -> None:
    assert [line[0] for line in shown] == [line[0] for line in told]
    for one, other in zip(shown, told, strict=True):
        assert one[1:] == pytest.approx(other[1:], rel=1e-6, abs=1e-6), one[0]


SIZES = [(9, 3), (12, 4), (14, 6)]  # 17 lines, 30, and more than the list has room for at least


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
@pytest.mark.parametrize(("fields", "zones"), SIZES)
def test_every_zone_is_listed_as_balance_has_it(fields: int, zones: int, tmp_path: Path) -> None:
    entries = farm(fields, zones=zones)
    told = expected(entries)
    alike(listed(in_office(workbook(entries), tmp_path)), told)
    assert any(line[3] > 0 for line in told)


@pytest.mark.skipif(not SSCONVERT, reason=NEEDS_GNUMERIC)
def test_gnumeric_lists_the_same(tmp_path: Path) -> None:
    entries = farm(9, zones=3)
    (tmp_path / "cab.xlsx").write_bytes(workbook(entries))
    gnumeric("--recalc", tmp_path / "cab.xlsx", tmp_path / "done.xlsx")
    alike(listed(tmp_path / "done.xlsx"), expected(entries))


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_a_blank_line_and_a_field_typed_twice_leave_the_others_in_their_lines(
    tmp_path: Path,
) -> None:
    entries = farm(9, zones=3)
    told = expected(entries)

    def change(book: Any) -> None:
        fields = book["Fields"]
        fields.cell(FIRST_LINE + 4, 1).value = fields.cell(FIRST_LINE + 4, 2).value = None
        fields.cell(FIRST_LINE + 6, 1).value = "Field 1"

    shown = listed(in_office(edit(workbook(entries), change), tmp_path))
    doubled = [line for line in shown if line[0] == "Field 1"]
    assert len(doubled) == 2 and all(line[1] == "twice?" for line in doubled)
    gone = {"Field 1", "Field 5", "Field 7"}
    alike([s for s in shown if s[0] not in gone], [t for t in told if t[0] not in gone])


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_what_the_list_has_no_room_for_is_said(tmp_path: Path) -> None:
    few, more = farm(4, zones=2), farm(LEAST_LISTED + 1, zones=1)

    def change(book: Any) -> None:
        for number, line in enumerate(more["fields"]):
            book["Fields"].cell(FIRST_LINE + number, 1).value = line["field"]
            book["Fields"].cell(FIRST_LINE + number, 2).value = line["area"]

    content = pipeline.blank(SHIPPED, year=YEAR, system="us", entries=few)
    sheet = opened(in_office(edit(content, change), tmp_path))["Cab"]
    told = sheet.cell(HEAD_ROW + 1, BLOCK + 1).value
    lines = LEAST_LISTED + 1 + 2  # two of the fields have two zones
    assert told == f"{lines - LEAST_LISTED} more lines: see the sheets Zones and Fields"


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_the_product_and_its_unit_head_the_rates(tmp_path: Path) -> None:
    entries = farm(2, zones=2)
    file = in_office(workbook(entries), tmp_path)
    heading = opened(file)["Cab"].cell(HEAD_ROW + 2, BLOCK).value
    assert heading == "UAN-28, gal/ac"
    entries["farm"][0]["sidedress_product"] = "urea"
    file = in_office(workbook(entries, system="us"), tmp_path)
    assert opened(file)["Cab"].cell(HEAD_ROW + 2, BLOCK).value == "urea, lb/ac"


def test_thirty_zones_fit_on_one_page_and_names_keep_off_the_numbers(tmp_path: Path) -> None:
    (tmp_path / "cab.xlsx").write_bytes(workbook(farm(12, zones=4)))
    sheet = openpyxl.load_workbook(tmp_path / "cab.xlsx")["Cab"]
    assert (sheet.page_setup.fitToWidth or 1, sheet.page_setup.fitToHeight or 1) == (1, 1)
    assert sheet.page_setup.orientation == "landscape"
    assert FORMATS["live_name"]["indent"] and FORMATS["live_name"]["shrink"]
