"""Names: tabs, sheet names inside formulas and links, and part names.

Sheet names as in ISO/IEC 29500-1, part names as in ISO/IEC 29500-2.
"""

from __future__ import annotations

import io

import openpyxl
import pytest
import xlsxwriter
from test_graft_samples import (
    PLACES,
    SOURCES,
    Edit,
    edited,
    members,
    result_sheets,
    rich_workbook,
    sheet_part,
    swap,
)

from ledger.graft import graft, verify
from ledger.graft.content import rename_reference


@pytest.fixture(params=SOURCES)
def workbook(request: pytest.FixtureRequest) -> bytes:
    return SOURCES[request.param]()


def test_new_sheet_comes_last_under_a_free_name(workbook: bytes) -> None:
    places = {"Summary": None, "To go": "To go"}
    after = graft(workbook, result_sheets(), places)
    verify(workbook, after, ["To go"])
    book = openpyxl.load_workbook(io.BytesIO(after))
    assert book.sheetnames == ["Spreading", "Summary", "To go", "Lists", "Summary (2)"]
    assert book["Summary"]["A1"].value == "empty so far"
    assert book["Summary (2)"]["B1"].value == 1234.5
    assert book["To go"]["A2"].hyperlink is not None
    assert book["To go"]["A2"].hyperlink.location == "'Summary (2)'!B1"
    again = graft(after, result_sheets(), {"Summary": "Summary (2)", "To go": "To go"})
    assert again == after


def test_hidden_and_position_stay_and_references_follow_the_tab_name() -> None:
    before = rich_workbook()
    after = graft(before, result_sheets(), {"Summary": "Lists", "To go": "To go"})
    assert members(after)["xl/workbook.xml"] == members(before)["xl/workbook.xml"]
    book = openpyxl.load_workbook(io.BytesIO(after))
    assert book["Lists"].sheet_state == "hidden"
    assert book["To go"]["A2"].hyperlink is not None
    assert book["To go"]["A2"].hyperlink.location == "'Lists'!B1"
    joined = b"".join(content for name, content in members(after).items() if "chart" in name)
    assert b"'Lists'!$B$1:$B$1" in joined
    drawings = b"".join(content for name, content in members(after).items() if "drawing" in name)
    assert b"textlink=\"'Lists'!$B$1\"" in drawings
    rels = b"".join(content for name, content in members(after).items() if "sheets/_rels" in name)
    assert b'Target="https://example.org/Summary!A1"' in rels


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("Summary!A1+1", "'My sum'!A1+1"),
        ("'Summary'!A1", "'My sum'!A1"),
        ("SUM(Summary!A1,'To go'!B2)", "SUM('My sum'!A1,'It''s left'!B2)"),
        ('"Summary!A1"&Summary!A1', "\"Summary!A1\"&'My sum'!A1"),
        ("OldSummary!A1", "OldSummary!A1"),
        ("[1]Summary!A1", "[1]Summary!A1"),
        ("#Summary!A1", "#'My sum'!A1"),
    ],
)
def test_sheet_names_in_formulas(formula: str, expected: str) -> None:
    renamed = {"Summary": "My sum", "To go": "It's left"}
    assert rename_reference(formula, renamed) == expected


def test_links_into_other_files_do_not_follow_a_renamed_sheet() -> None:
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"constant_memory": True})
    sheet = book.add_worksheet("Summary")
    sheet.write_url(0, 0, "external:other.xlsx#Summary!A1", None, "last year")
    sheet.write_url(1, 0, "internal:Summary!A1", None, "top")
    book.close()
    after = graft(rich_workbook(), out.getvalue(), {"Summary": "Lists"})
    part = members(after)[sheet_part(after, "Lists")]
    assert b'location="Summary!A1"' in part
    assert b"location=\"'Lists'!A1\"" in part


def test_escaped_part_names_are_found() -> None:
    content = members(rich_workbook())["xl/styles.xml"]
    edits: dict[str, Edit | bytes | None] = {"xl/styles.xml": None, "xl/my styles.xml": content}
    edits["xl/_rels/workbook.xml.rels"] = swap('"styles.xml"', '"my%20styles.xml"')
    after = members(graft(edited(rich_workbook(), edits), result_sheets(), PLACES))
    assert len(after["xl/my styles.xml"]) > len(content)


def test_a_part_whose_name_differs_in_case_is_found() -> None:
    content = members(rich_workbook())["xl/styles.xml"]
    before = edited(rich_workbook(), {"xl/styles.xml": None, "xl/Styles.xml": content})
    after = graft(before, result_sheets(), PLACES)
    assert "xl/styles.xml" not in members(after)
    assert len(members(after)["xl/Styles.xml"]) > len(content)
