"""A long sheet read some rows at a time holds what it holds when it is read as a whole."""

from __future__ import annotations

import zipfile
from collections.abc import Iterator
from dataclasses import replace
from io import BytesIO
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from workbooks import SHIPPED

from ledger.read import preflight, segments, values
from ledger.read.package import Unreadable, open_package
from ledger.read.preflight import inspect
from ledger.read.scan import SheetScan
from ledger.read.segments import Segments
from ledger.read.values import Line, Values

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
KINDS = "application/vnd.openxmlformats-officedocument.spreadsheetml"
PARTS = {
    "[Content_Types].xml": '<Types xmlns="http://schemas.openxmlformats.org/package/2006/'
    'content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package'
    '.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override '
    f'PartName="/xl/workbook.xml" ContentType="{KINDS}.sheet.main+xml"/><Override '
    f'PartName="/xl/worksheets/odd name.xml" ContentType="{KINDS}.worksheet+xml"/><Override '
    f'PartName="/xl/styles.xml" ContentType="{KINDS}.styles+xml"/><Override '
    f'PartName="/xl/sharedStrings.xml" ContentType="{KINDS}.sharedStrings+xml"/></Types>',
    "_rels/.rels": '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/'
    f'relationships"><Relationship Id="rId1" Type="{LINKS}/officeDocument" '
    'Target="xl/workbook.xml"/></Relationships>',
    "xl/_rels/workbook.xml.rels": '<Relationships xmlns="http://schemas.openxmlformats.org/'
    f'package/2006/relationships"><Relationship Id="rId9" Type="{LINKS}/worksheet" '
    f'Target="worksheets/odd name.xml"/><Relationship Id="rId2" Type="{LINKS}/styles" '
    f'Target="styles.xml"/><Relationship Id="rId3" Type="{LINKS}/sharedStrings" '
    'Target="sharedStrings.xml"/></Relationships>',
    "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{LINKS}"><workbookPr date1904="DAYS"/>'
    '<sheets><sheet name="Long &amp; odd" sheetId="1" r:id="rId9"/></sheets></workbook>',
    "xl/styles.xml": f'<styleSheet xmlns="{MAIN}"><cellXfs count="3"><xf numFmtId="0"/>'
    '<xf numFmtId="14" applyNumberFormat="1"/><xf numFmtId="10"/></cellXfs></styleSheet>',
    "xl/sharedStrings.xml": f'<sst xmlns="{MAIN}"><si><t>North</t></si><si><r><t>rich</t></r>'
    "<r><t>-text</t></r></si><si><t>#ledger 1 us fields</t></si></sst>",
}
NAME = "Long & odd"
HEAD = '<cols><col min="1" max="3" width="9"/></cols>'
CELLS = (
    *("<v>4</v>", "<v>2.5</v>", "<f>1+1</f><v>2</v>", "<v>1E+3</v>", ""),
    *(' t="s"|<v>0</v>', ' t="s"|<v>1</v>', ' t="s"|<v>2</v>', ' t="e"|<v>#N/A</v>'),
    *(' s="1"|<v>45000</v>', ' s="1"|<v>45000.25</v>', ' s="2"|<v>0.32</v>', ' t="b"|<v>1</v>'),
    *(' t="str"|<f>A1</f><v>words</v>', ' t="str"|<f>A1</f><v></v>', "<f>1+1</f>"),
    ' t="inlineStr"|<is><t>in &lt;line&gt;</t></is>',
)


def package(rows: str, *, days: str = "0", root: str = "", prefix: str = "") -> bytes:
    """A workbook with one sheet, whose rows are given as they stand in its part."""
    names = f"xmlns:{prefix[:-1]}" if prefix else "xmlns"
    head = f'<{prefix}worksheet {names}="{MAIN}"{root}>' + HEAD.replace("<", f"<{prefix}").replace(
        f"<{prefix}/", f"</{prefix}"
    )
    sheet = f"{head}<{prefix}sheetData>{rows}</{prefix}sheetData></{prefix}worksheet>"
    file = BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in PARTS.items():
            archive.writestr(name, text.replace("DAYS", days))
        archive.writestr("xl/worksheets/odd name.xml", f'<?xml version="1.0"?>{sheet}')
    return file.getvalue()


def row(number: int, cells: dict[int, str]) -> str:
    inside = ""
    for at, cell in sorted(cells.items()):
        attributes, _, content = cell.rpartition("|")
        inside += f'<c r="{chr(65 + at)}{number}"{attributes}>{content}</c>'
    return f'<row r="{number}">{inside}</row>'


def plain(count: int = 60, first: int = 3) -> list[str]:
    """Rows of all kinds of cells, some of them blank."""
    return [
        row(n, {at: CELLS[(n * 5 + at * 3) % len(CELLS)] for at in range(n % 4, 6)})
        for n in range(first, first + count)
        if n % 9
    ]


def scanned(content: bytes) -> tuple[SheetScan, tuple[str, ...]]:
    inspection = inspect(open_package(content), SHIPPED.settings["mark"])
    return inspection.sheets[NAME], inspection.frame


def both_ways(content: bytes) -> tuple[int, list[Line], list[Line]]:
    """How many segments there are, the lines by them and the lines of the whole."""
    scan, frame = scanned(content)
    cut = Segments(content, frame)
    count = sum(1 for _ in cut.workbooks(scan)) if cut.is_cut(scan) else 0
    by_segments = list(Values(content, frame).lines(NAME, scan, 10**6))
    return count, by_segments, list(Values(content).lines(NAME, scan, 10**6))


@pytest.fixture(autouse=True)
def small(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Rows by the handful, as if they were thousands."""
    cut_small(monkeypatch, chunk=300, segment=500)
    yield


def cut_small(patch: pytest.MonkeyPatch, *, chunk: int, segment: int) -> None:
    patch.setattr(preflight, "CHUNK_BYTES", chunk)
    patch.setattr(segments, "LONG", 10)
    patch.setattr(segments, "SEGMENT_BYTES", segment)
    patch.setattr(segments, "FRAME_TIMES", 0)
    patch.setattr(segments, "PIECE_BYTES", 64)


CUT = {
    "plain": package("".join(plain())),
    "from 1904": package("".join(plain()), days="1"),
    "whitespace": package("\n  ".join(["", *plain(), ""])),
    "single quotes": package("".join(plain()).replace('"', "'")),
    "more attributes": package(
        "".join(plain()).replace("<row r=", '<row spans="1:6" x14ac:dyDescent="0.25" r='),
        root=' xmlns:x14ac="http://schemas.microsoft.com/office/spreadsheetml/2009/9/ac"',
    ),
    "far right": package("".join([*plain(), row(200, {0: "<v>1</v>"}).replace("A200", "SZ200")])),
    "formulas below": package(
        "".join([*plain(), *(row(n, {0: "<f>1</f>"}) for n in range(90, 99))])
    ),
    "far down": package("".join([*plain(), row(90_000, {2: "<v>1</v>"})])),
    "cells without address": package("".join(plain()).replace('<c r="B', '<c q="B')),
    "some rows without number": package(
        "".join(row(n, {1: "<v>1</v>"}) + "<row><c><v>1</v></c></row>" for n in range(1, 99, 2))
    ),
    "prefix": package(
        "".join(plain()).replace("<", "<x:").replace("<x:/", "</x:"), prefix="x:"
    ),
}  # fmt: skip
LEFT_WHOLE = {
    "rows without number": package("<row><c><v>1</v></c><c><v>7.5</v></c></row>" * 99),
    "a cell of another row": package(
        "".join([*plain(), row(99, {0: "<v>1</v>"}).replace("A99", "A5"), *plain(30, 100)])
    ),
    "short": package(row(1, {2: "<v>1</v>"}) + row(2, {3: "<v>1</v>"}) + " " * 9_000),
}
INSIDE = "".join(plain(30, 4000))
STUMBLING = {
    "comment": package("".join([*plain(), "<!-- ", *plain(30, 100), " -->", *plain(9, 200)])),
    "instruction": package("".join([*plain(), "<?x ", *plain(30, 100), " ?>", *plain(9, 200)])),
    "verbatim": package(
        "".join(
            [
                *plain(),
                '<row r="99"><c r="A99" t="inlineStr"><is><t><![CDATA[',
                *("so <row r='100' it goes on " for _ in range(40)),
                "]]></t></is></c></row>",
                *plain(30, 200),
            ]
        )
    ),
    "an error of another program": package(
        "".join([*plain(), '<row r="99"><c r="A99" t="e"><v>#ODD!</v></c></row>', *plain(30, 200)])
    ),
}


@pytest.mark.parametrize("content", CUT.values(), ids=CUT)
def test_segments_hold_what_the_whole_holds(
    content: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    count, by_segments, whole = both_ways(content)
    assert count > 4
    assert by_segments == whole
    assert len(whole) > 50
    scan, frame = scanned(content)
    monkeypatch.setattr(Values, "_whole", None)  # nor is the whole read besides
    assert list(Values(content, frame).lines(NAME, scan, 10**6)) == whole


@pytest.mark.parametrize("content", LEFT_WHOLE.values(), ids=LEFT_WHOLE)
def test_sheets_that_must_not_be_cut_are_not(content: bytes) -> None:
    count, by_segments, whole = both_ways(content)
    assert count == 0
    assert by_segments == whole


@pytest.mark.parametrize("content", STUMBLING.values(), ids=STUMBLING)
def test_where_a_segment_stumbles_the_whole_is_read(content: bytes) -> None:
    scan, frame = scanned(content)
    read = Values(content, frame)
    with pytest.raises(read._stumbles):
        list(read._in_segments(NAME, scan))
    _, by_segments, whole = both_ways(content)
    assert by_segments == whole
    assert {number for number, _ in whole} > {4, 200}


def test_a_text_that_is_not_there_is_refused_in_segments_too() -> None:
    content = package("".join([*plain(), row(99, {0: ' t="s"|<v>77</v>'}), *plain(30, 200)]))
    scan, frame = scanned(content)
    for given_frame in (frame, ()):
        with pytest.raises(Unreadable, match="damaged"):
            list(Values(content, given_frame).lines(NAME, scan, 10**6))


def test_a_look_at_the_top_takes_the_first_segment_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    content = CUT["plain"]
    cut_small(monkeypatch, chunk=700, segment=900)
    scan, frame = scanned(content)
    opened: list[Any] = []
    inner = values._opened

    def counted(file: BytesIO) -> Any:
        opened.append(file)
        return inner(file)

    monkeypatch.setattr(values, "_opened", counted)
    read = Values(content, frame)
    assert [number for number, _ in read.lines(NAME, scan, 4)] == [3, 4]
    assert len(opened) == 2  # the workbook and its first segment
    assert len(opened[1].getvalue()) < len(b"".join(t.encode() for t in PARTS.values())) + 3_000


def test_segments_are_larger_where_there_are_many_texts(monkeypatch: pytest.MonkeyPatch) -> None:
    scan, frame = scanned(CUT["plain"])
    count = sum(1 for _ in Segments(CUT["plain"], frame).workbooks(scan))
    monkeypatch.setattr(segments, "FRAME_TIMES", 1)
    assert 1 < sum(1 for _ in Segments(CUT["plain"], frame).workbooks(scan)) < count
    assert Segments(CUT["plain"], frame).is_cut(scan)
    monkeypatch.setattr(segments, "MOST_BYTES", 900)
    assert not Segments(CUT["plain"], frame).is_cut(scan)


@settings(max_examples=120, deadline=None)
@given(st.data())
def test_wherever_it_is_cut_a_sheet_reads_alike(data: st.DataObject) -> None:
    numbers = sorted(data.draw(st.sets(st.integers(1, 60), min_size=5, max_size=40)))
    cells = st.dictionaries(st.integers(0, 8), st.sampled_from(CELLS), max_size=5)
    rows = [row(number, data.draw(cells)) for number in numbers]
    rows = [one.replace(f' r="{n}"', "", data.draw(st.sampled_from([0, 0, 0, 1])))
            if before == n - 1 else one
            for one, n, before in zip(rows, numbers, [0, *numbers], strict=False)]  # fmt: skip
    between = data.draw(st.sampled_from(["", "\n", "<!-- a word -->"]))
    content = package(between.join(rows), days=data.draw(st.sampled_from(["0", "1"])))
    with pytest.MonkeyPatch.context() as patch:
        cut_small(
            patch, chunk=data.draw(st.integers(100, 900)), segment=data.draw(st.integers(1, 900))
        )
        _, by_segments, whole = both_ways(content)
    assert by_segments == whole


def test_a_picture_that_is_damaged_is_nothing_to_the_reader() -> None:
    """Nor is it to a short workbook; the parts that cells are read from alone are opened."""
    file = BytesIO(CUT["plain"])
    with zipfile.ZipFile(file, "a") as archive:
        archive.writestr("xl/media/image1.png", b"a picture" * 100)
    content = file.getvalue().replace(b"a picture" * 100, b"a wrecked" + b"a picture" * 99)
    inspection = inspect(open_package(content), SHIPPED.settings["mark"])
    scan = inspection.sheets[NAME]
    assert Segments(content, inspection.frame).is_cut(scan)
    by_segments = Values(content, inspection.frame, [scan]).lines(NAME, scan, 10**6)
    assert list(by_segments) == list(Values(content).lines(NAME, scan, 10**6))


def test_the_workbook_without_what_is_cut_has_the_other_sheets() -> None:
    scan, frame = scanned(CUT["plain"])
    cut = Segments(CUT["plain"], frame)
    short = replace(scan, part="xl/worksheets/odd name.xml", cuts=[])
    assert cut.without_cut([short]).getvalue() == CUT["plain"]
    with zipfile.ZipFile(cut.without_cut([scan])) as rest:
        assert sorted(rest.namelist()) == sorted(frame)
    with zipfile.ZipFile(cut.without_cut([scan, short])) as rest:
        assert sorted(rest.namelist()) == sorted([*frame, short.part])
