"""Rows that result sheets have in files by themselves come to the same as rows in them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from test_graft_samples import PLACES, edited, members, result_sheets, rich_workbook

from ledger.graft import GraftError, content, graft, verify

ROWS = re.compile(rb"(?<=<sheetData>).*(?=</sheetData>)", re.DOTALL)
SHEETS = {"Summary": "xl/worksheets/sheet1.xml", "To go": "xl/worksheets/sheet2.xml"}


def apart(results: bytes, folder: Path) -> tuple[bytes, dict[str, Path]]:
    """The results with the rows of all sheets in files."""
    files = {}
    for name, part in SHEETS.items():
        found = ROWS.search(members(results)[part])
        assert found and b"<row " in found[0]
        files[name] = folder / name
        files[name].write_bytes(found[0])
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


def test_formulas_in_files_cannot_follow_a_name(tmp_path: Path) -> None:
    bare, files = apart(result_sheets(), tmp_path)
    with pytest.raises(GraftError, match="holds a formula"):
        graft(rich_workbook(), bare, {"Summary": "Lists", "To go": "To go"}, files)


def test_cells_that_lean_on_other_parts_are_refused_in_files_too(tmp_path: Path) -> None:
    bare, files = apart(result_sheets(), tmp_path)
    files["To go"].write_bytes(b'<row r="1"><c r="A1" t="s"><v>0</v></c></row>')
    with pytest.raises(GraftError, match="leans on another part"):
        graft(rich_workbook(), bare, PLACES, files)
