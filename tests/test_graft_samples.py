"""Sample workbooks for the graft tests, and a check that they hold what those tests rely on.

All names and figures are invented.
"""

from __future__ import annotations

import io
import re
import struct
import zipfile
import zlib
from collections.abc import Callable, Mapping
from datetime import datetime

import openpyxl
import pytest
import xlsxwriter

Edit = Callable[[bytes], bytes]
PLACES = {"Summary": "Summary", "To go": "To go"}
TYPES = "[Content_Types].xml"


def picture(shade: int) -> io.BytesIO:
    """A grey picture of one pixel as PNG."""
    chunks = [(b"IHDR", struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0))]
    chunks += [(b"IDAT", zlib.compress(bytes([0, shade]))), (b"IEND", b"")]
    packed = (
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in chunks
    )
    return io.BytesIO(b"\x89PNG\r\n\x1a\n" + b"".join(packed))


def rich_workbook(**options: object) -> bytes:
    """A person's workbook: entry sheet with all trimmings, two result sheets, a hidden sheet."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, options)
    book.set_properties({"created": datetime(2024, 4, 1)})
    book.set_custom_property("TemplateId", "ledger")
    _entry_sheet(book, book.add_worksheet("Spreading"))
    summary = book.add_worksheet("Summary")
    summary.write_string("A1", "empty so far", book.add_format({"italic": True}))
    old = book.add_chart({"type": "pie"})
    old.add_series({"values": "=Spreading!$C$2:$C$4"})
    summary.insert_chart("D2", old)
    summary.insert_image("H2", "old.png", {"image_data": picture(10)})
    book.add_worksheet("To go")
    hidden = book.add_worksheet("Lists")
    hidden.write_column("A1", ["north", "south"])
    hidden.insert_image("C1", "both.png", {"image_data": picture(200)})
    summary.insert_image("H9", "both.png", {"image_data": picture(200)})
    hidden.hide()
    book.define_name("zones", "=Lists!$A$1:$A$2")
    book.close()
    return out.getvalue()


def _entry_sheet(book: xlsxwriter.Workbook, sheet: xlsxwriter.worksheet.Worksheet) -> None:
    rate = book.add_format({"num_format": '0.0 "gal/ac"', "bg_color": "#EEEEEE", "locked": False})
    sheet.add_table("A1:C4", {"name": "spread", "columns": [{"header": h} for h in "xyz"]})
    for row in (1, 2, 3):
        sheet.write_number(row, 2, 1000.5 * row, rate)
    sheet.write_formula("E1", "=SUM(C2:C4)", None, 6003)
    sheet.write_rich_string("E2", "half ", book.add_format({"bold": True}), "bold")
    sheet.data_validation("A2:A99", {"validate": "list", "source": "=zones"})
    sheet.conditional_format("C2:C4", {"type": "data_bar", "data_bar_2010": True})
    warn = book.add_format({"font_color": "#AA0000"})
    sheet.conditional_format("C2:C4", {"type": "cell", "criteria": ">", "value": 1, "format": warn})
    sheet.write_comment("C1", "as spread", {"author": "the grower"})
    sheet.insert_textbox("G2", "Fill in from left to right")
    sheet.insert_chart("G9", line_chart(book, "=Spreading!$C$2:$C$4"))
    sheet.protect("", {"format_cells": True})
    sheet.freeze_panes(1, 0)


def line_chart(book: xlsxwriter.Workbook, values: str) -> xlsxwriter.chart.Chart:
    chart = book.add_chart({"type": "line"})
    chart.add_series({"values": values})
    return chart


def result_sheets(*, fancy: bool = True, names: tuple[str, str] = ("Summary", "To go")) -> bytes:
    """Two result sheets as the ledger makes them; plain ones when not `fancy`."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"constant_memory": True})
    first, second = (book.add_worksheet(name) for name in names)
    mass = book.add_format({"num_format": '#,##0.0 "lb"', "bold": True, "border": 1})
    first.write_string(0, 0, "Nitrogen", book.add_format({"bold": True, "bg_color": "#DDEEDD"}))
    first.write_number(0, 1, 1234.5, mass)
    first.write_formula(0, 2, "=B1*2", None, 2469)
    first.write_number(0, 3, 1088, mass)
    if fancy:
        _trim(book, first, f"='{names[0]}'!$B$1:$B$1")
        second.write_comment("A1", "per acre", {"author": "ledger"})
        second.insert_image("E3", "new.png", {"image_data": picture(99)})
    second.write_number(0, 0, -3.25, book.add_format({"num_format": "0.00"}))
    second.write_url(1, 0, f"internal:'{names[0]}'!B1", None, "see there")
    book.close()
    return out.getvalue()


def _trim(book: xlsxwriter.Workbook, sheet: xlsxwriter.worksheet.Worksheet, values: str) -> None:
    over = book.add_format({"font_color": "#C00000", "num_format": '0.0 "over"'})
    rule = {"type": "cell", "criteria": ">", "value": 1000, "format": over}
    sheet.conditional_format("B1:B1", rule)
    sheet.insert_chart("D2", line_chart(book, values))
    sheet.insert_textbox("D20", "total", {"textlink": values[:-5]})
    sheet.write_comment("B1", "all fields", {"author": "ledger"})
    sheet.write_url(1, 0, "https://example.org/Summary!A1")


def through_openpyxl(data: bytes) -> bytes:
    """The workbook as openpyxl saves it, with relationship targets from the root."""
    out = io.BytesIO()
    book = openpyxl.load_workbook(io.BytesIO(data))
    book.save(out)
    return out.getvalue()


def edited(data: bytes, edits: Mapping[str, Edit | bytes | None], twice: str = "") -> bytes:
    """The archive with members replaced, added (bytes) or removed (None), one perhaps twice."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for name in dict.fromkeys([*old.namelist(), *edits]):
            edit = edits.get(name, bytes)
            if edit is not None:
                content = edit if isinstance(edit, bytes) else edit(old.read(name))
                new.writestr(zipfile.ZipInfo(name, (2020, 2, 2, 2, 2, 2)), content)
        if twice:
            with pytest.warns(UserWarning, match="Duplicate"):
                new.writestr(twice, b"again")
    return out.getvalue()


def swap(old: str, new: str) -> Edit:
    """An edit that must find `old`."""

    def edit(content: bytes) -> bytes:
        assert old.encode() in content
        return content.replace(old.encode(), new.encode())

    return edit


def with_prefix(content: bytes) -> bytes:
    """workbook.xml with a prefix for the main namespace, as some exporters write it."""
    tags = re.sub(rb"<(/?)(?=[a-zA-Z])", rb"<\1x:", content)
    return tags.replace(b"xmlns=", b"xmlns:x=")


def members(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def sheet_part(data: bytes, name: str) -> str:
    """The part that holds the named sheet, found independently of the code under test."""
    parts = members(data)
    book, rels = parts["xl/workbook.xml"].decode(), parts["xl/_rels/workbook.xml.rels"].decode()
    node = next(n for n in re.findall(r"<(?:x:)?sheet [^>]*>", book) if f'name="{name}"' in n)
    match = re.search(r'r:id="(\w+)"', node)
    assert match
    link = next(n for n in re.findall(r"<Relationship [^>]*>", rels) if f'"{match[1]}"' in n)
    target = re.search(r'Target="(?:/xl/)?([^"]+)"', link)
    assert target
    return "xl/" + target[1]


SOURCES: dict[str, Callable[[], bytes]] = {
    "xlsxwriter": rich_workbook,
    "openpyxl": lambda: through_openpyxl(rich_workbook()),
    "prefixed": lambda: edited(rich_workbook(), {"xl/workbook.xml": with_prefix}),
}


@pytest.mark.parametrize("name", SOURCES)
def test_samples_hold_what_the_tests_rely_on(name: str) -> None:
    data = SOURCES[name]()
    book = openpyxl.load_workbook(io.BytesIO(data))
    assert book.sheetnames == ["Spreading", "Summary", "To go", "Lists"]
    assert list(book["Spreading"].tables) == ["spread"]
    assert book["Spreading"].protection.sheet
    assert book["Lists"].sheet_state == "hidden"
    parts = members(data)
    assert sum(name.startswith("xl/charts/chart") for name in parts) == 2
    assert "xl/drawings/drawing2.xml" in parts


def test_results_have_inline_text_only() -> None:
    parts = members(result_sheets())
    sheets = [content for name, content in parts.items() if "/sheet" in name]
    assert any(b't="inlineStr"' in content for content in sheets)
    assert not any(b't="s"' in content for content in sheets)
