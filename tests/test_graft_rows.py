"""Rows that result sheets have in files by themselves come to the same as rows in them."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import openpyxl
import pytest
from test_graft_samples import PLACES, edited, members, result_sheets, rich_workbook

from ledger.apart import Apart
from ledger.graft import GraftError, content, graft, verify

ROWS = re.compile(rb"(?<=<sheetData>).*(?=</sheetData>)", re.DOTALL)
SHEETS = {"Summary": "xl/worksheets/sheet1.xml", "To go": "xl/worksheets/sheet2.xml"}


def apart(results: bytes, folder: Path) -> tuple[bytes, dict[str, Apart]]:
    """The results with the rows of all sheets in files."""
    files = {}
    for name, part in SHEETS.items():
        found = ROWS.search(members(results)[part])
        assert found and b"<row " in found[0]
        files[name] = Apart(rows=folder / name)
        files[name].rows.write_bytes(found[0])
    bare = edited(results, dict.fromkeys(SHEETS.values(), lambda xml: ROWS.sub(b"", xml)))
    return bare, files


@pytest.mark.parametrize("block_bytes", [1, 40, 100, 1024 * 1024])
def test_rows_in_files_come_to_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, block_bytes: int
) -> None:
    before, results = rich_workbook(), result_sheets()
    bare, files = apart(results, tmp_path)
    monkeypatch.setattr(content, "BLOCK_BYTES", block_bytes)
    after = graft(before, bare, PLACES, files)
    assert members(after) == members(graft(before, results, PLACES))
    verify(before, after, PLACES.values())
    assert graft(after, bare, PLACES, files) == after


def test_the_file_is_the_same_to_the_byte_whichever_way(tmp_path: Path) -> None:
    bare, files = apart(result_sheets(), tmp_path)
    after = graft(rich_workbook(), bare, PLACES, files)
    assert after == graft(rich_workbook(), result_sheets(), PLACES)


LINK = b'<hyperlink ref="A1" location="&apos;Summary&apos;!$B$1" display="all"/>'


@pytest.mark.parametrize("fancy", [True, False])
@pytest.mark.parametrize("place", ["Summary", "Lists"])
def test_links_apart_are_links(tmp_path: Path, fancy: bool, place: str) -> None:
    """Beside those that a sheet has already, and after a sheet that goes by another name."""
    bare, files = apart(result_sheets(fancy=fancy), tmp_path)
    files["Summary"].rows.write_bytes(b'<row r="1"><c r="A1"><v>1</v></c></row>')
    files = {name: replace(own, links=LINK) for name, own in files.items()}
    after = graft(rich_workbook(), bare, {"Summary": place, "To go": "To go"}, files)
    book = openpyxl.load_workbook(BytesIO(after))
    for name in (place, "To go"):
        link = book[name]["A1"].hyperlink
        assert link is not None and link.location == f"'{place}'!$B$1"
    assert book["To go"]["A2"].hyperlink is not None
    if fancy:
        assert book[place]["A2"].hyperlink is not None


def test_formulas_in_files_cannot_follow_a_name(tmp_path: Path) -> None:
    bare, files = apart(result_sheets(), tmp_path)
    with pytest.raises(GraftError, match="holds a formula"):
        graft(rich_workbook(), bare, {"Summary": "Lists", "To go": "To go"}, files)


def test_cells_that_lean_on_other_parts_are_refused_in_files_too(tmp_path: Path) -> None:
    bare, files = apart(result_sheets(), tmp_path)
    files["To go"].rows.write_bytes(b'<row r="1"><c r="A1" t="s"><v>0</v></c></row>')
    with pytest.raises(GraftError, match="leans on another part"):
        graft(rich_workbook(), bare, PLACES, files)
