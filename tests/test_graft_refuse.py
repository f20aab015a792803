"""What a graft refuses to touch, and the flaws that its verification finds.

Package rules as in ISO/IEC 29500-2; the refusals of strict, signed and macro workbooks are the
project's own decision.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable

import pytest
import xlsxwriter
from test_graft_samples import (
    PLACES,
    TYPES,
    Edit,
    edited,
    line_chart,
    result_sheets,
    rich_workbook,
    swap,
)

from ledger.graft import GraftError, graft, verify

STRICT = "http://purl.oclc.org/ooxml/officeDocument/relationships/officeDocument"
TRANSITIONAL = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument"
SIGNED = "http://schemas.openxmlformats.org/package/2006/relationships/digital-signature/origin"
MAIN_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
MACRO_TYPE = "application/vnd.ms-excel.sheet.macroEnabled.main+xml"
HISTORY = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/revisionHeaders"
HISTORY_LINK = (
    f'<Relationship Id="rId9" Type="{HISTORY}" Target="revisions/revisionHeaders.xml"/>'
    "</Relationships>"
)
SIGNATURE_LINK = f'<Relationship Id="rId9" Type="{SIGNED}" Target="s"/></Relationships>'

UNFIT: dict[str, tuple[Callable[[], bytes], str]] = {
    "strict link": (
        lambda: edited(rich_workbook(), {"_rels/.rels": swap(TRANSITIONAL, STRICT)}),
        "strict",
    ),
    "strict workbook": (
        lambda: edited(
            rich_workbook(),
            {
                "xl/workbook.xml": swap(
                    "http://schemas.openxmlformats.org/spreadsheetml/2006/main",
                    "http://purl.oclc.org/ooxml/spreadsheetml/main",
                )
            },
        ),
        "strict",
    ),
    "signed": (
        lambda: edited(rich_workbook(), {"_rels/.rels": swap("</Relationships>", SIGNATURE_LINK)}),
        "signed",
    ),
    "shared": (
        lambda: edited(
            rich_workbook(),
            {
                "xl/_rels/workbook.xml.rels": swap("</Relationships>", HISTORY_LINK),
                "xl/revisions/revisionHeaders.xml": b"<headers/>",
            },
        ),
        "shared",
    ),
    "signature folder": (lambda: edited(rich_workbook(), {"_xmlsignatures/a": b"x"}), "signed"),
    "duplicate": (lambda: edited(rich_workbook(), {}, twice="xl/workbook.xml"), "twice"),
    "duplicate by case": (lambda: edited(rich_workbook(), {"XL/workbook.xml": b"<x/>"}), "twice"),
    "DTD": (
        lambda: edited(rich_workbook(), {"xl/styles.xml": b"<!DOCTYPE a [<!ENTITY b 'c'>]><a/>"}),
        "DTD",
    ),
    "DTD in UTF-16": (
        lambda: edited(
            rich_workbook(),
            {"xl/styles.xml": "<!DOCTYPE a [<!ENTITY b 'c'>]><a>&b;</a>".encode("utf-16")},
        ),
        "DTD",
    ),
    "no workbook": (lambda: edited(rich_workbook(), {"xl/workbook.xml": None}), "no workbook part"),
    "no styles": (lambda: edited(rich_workbook(), {"xl/styles.xml": None}), "style sheet"),
    "no content types": (lambda: edited(rich_workbook(), {TYPES: None}), r"not an \.xlsx"),
    "broken XML": (lambda: edited(rich_workbook(), {"xl/styles.xml": b"<a>"}), "damaged"),
    "macros": (lambda: edited(rich_workbook(), {TYPES: swap(MAIN_TYPE, MACRO_TYPE)}), "macros"),
    "encrypted": (lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "password"),
    "no zip": (lambda: b"date;field\n", "not a workbook"),
    "empty": (lambda: b"", "not a workbook"),
    "cut short": (lambda: rich_workbook()[:-2000], "not a workbook"),
    "damaged record": (lambda: b"XX" + rich_workbook()[2:], "zip records"),
    "from 1904": (
        lambda: edited(
            rich_workbook(), {"xl/workbook.xml": swap("<workbookPr ", '<workbookPr date1904="1" ')}
        ),
        "1904",
    ),
}


@pytest.mark.parametrize("case", UNFIT)
def test_unfit_workbooks_are_refused(case: str) -> None:
    make, words = UNFIT[case]
    with pytest.raises(GraftError, match=words) as caught:
        graft(make(), result_sheets(), PLACES)
    assert caught.value.reason.endswith(".") and caught.value.advice.endswith(".")
    assert str(caught.value) == f"{caught.value.reason} {caught.value.advice}"


def test_encrypted_members_are_refused() -> None:
    data = bytearray(rich_workbook())
    entry = data.index(b"PK\x01\x02")
    data[entry + 8] |= 1  # general purpose flag, bit 0
    with pytest.raises(GraftError, match="encrypted"):
        graft(bytes(data), result_sheets(), PLACES)


def test_missing_or_doubly_used_places_are_refused() -> None:
    with pytest.raises(GraftError, match="no sheet named 'Sums'"):
        graft(rich_workbook(), result_sheets(), {**PLACES, "Summary": "Sums"})
    with pytest.raises(GraftError, match="same sheet"):
        graft(rich_workbook(), result_sheets(), {**PLACES, "Summary": "to GO"})


def test_a_chart_sheet_is_neither_replaced_nor_added() -> None:
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out)
    book.add_worksheet("To go")
    book.add_chartsheet("Summary").set_chart(line_chart(book, "='To go'!$A$1"))
    book.close()
    with pytest.raises(GraftError, match="'Summary' is no ordinary worksheet"):
        graft(out.getvalue(), result_sheets(), PLACES)
    with pytest.raises(GraftError, match="result is no ordinary worksheet"):
        graft(rich_workbook(), out.getvalue(), {"Summary": None, "To go": None})


def test_results_with_shared_text_or_tables_are_refused() -> None:
    for memory in (True, False):
        out = io.BytesIO()
        book = xlsxwriter.Workbook(out, {"in_memory": memory})
        sheet = book.add_worksheet("Summary")
        if memory:
            sheet.write_string("A1", "shared")
        else:
            sheet.add_table("A1:B3", {"header_row": False})
        book.close()
        with pytest.raises(GraftError, match=r"leans on another part|holds a table"):
            graft(rich_workbook(), out.getvalue(), {"Summary": "Summary"})


def grafted(**edits: Edit | bytes | None) -> bytes:
    names = {
        "book": "xl/workbook.xml",
        "styles": "xl/styles.xml",
        "lists": "xl/worksheets/sheet4.xml",
    }
    after = graft(rich_workbook(), result_sheets(), PLACES)
    return edited(after, {names.get(key, key): edit for key, edit in edits.items()})


FLAWS: dict[str, tuple[Callable[[], bytes], str]] = {
    "changed part": (
        lambda: grafted(lists=swap("sheetData", "sheetDatA")),
        "sheet4.xml would have",
    ),
    "lost part": (lambda: grafted(lists=None), "sheet4.xml would have|missing"),
    "changed workbook": (lambda: grafted(book=swap('name="Lists"', 'name="List"')), "workbook.xml"),
    "missing target": (lambda: grafted(**{"xl/comments2.xml": None}), "which is missing"),
    "retyped part": (
        lambda: grafted(**{TYPES: swap("spreadsheetml.sharedStrings+xml", "drawing+xml")}),
        "content type of xl/sharedStrings.xml",
    ),
    "lost link": (
        lambda: grafted(**{"xl/_rels/workbook.xml.rels": swap('/theme"', '/other"')}),
        "link to theme/theme1.xml",
    ),
    "untyped part": (lambda: grafted(**{"xl/stray.bin": b"x"}), "no content type"),
    "duplicate": (
        lambda: edited(grafted(), {}, twice="xl/workbook.xml"),
        "twice",
    ),
}


@pytest.mark.parametrize("case", FLAWS)
def test_verify_finds_flaws(case: str) -> None:
    make, words = FLAWS[case]
    with pytest.raises(GraftError, match=words):
        verify(rich_workbook(), make(), PLACES.values())


def test_verify_finds_moved_styles_tabs_and_double_sheet_numbers() -> None:
    def push_font(content: bytes) -> bytes:
        return re.sub(rb"(<fonts[^>]*>)", rb"\1<font/>", content)

    with pytest.raises(GraftError, match="styles"):
        verify(rich_workbook(), grafted(styles=push_font), PLACES.values())
    after = graft(rich_workbook(), result_sheets(), {"Summary": None, "To go": None})
    doubled = edited(after, {"xl/workbook.xml": swap('sheetId="6"', 'sheetId="5"')})
    verify(rich_workbook(), after, [])
    renamed = edited(after, {"xl/workbook.xml": swap('name="Lists"', 'name="List"')})
    with pytest.raises(GraftError, match="tabs"):
        verify(rich_workbook(), renamed, [])
    with pytest.raises(GraftError, match="used twice"):
        verify(rich_workbook(), doubled, [])


def test_verify_needs_the_replaced_sheets_named() -> None:
    after = graft(rich_workbook(), result_sheets(), PLACES)
    with pytest.raises(GraftError, match="would have changed"):
        verify(rich_workbook(), after, ["Summary"])


def test_verify_allows_faults_that_were_there_before() -> None:
    dangling = SIGNATURE_LINK.replace(SIGNED, "http://example.org/custom").replace(
        '"s"', '"no.xml"'
    )
    before = edited(rich_workbook(), {"_rels/.rels": swap("</Relationships>", dangling)})
    verify(before, graft(before, result_sheets(), PLACES), PLACES.values())
