"""Quick ways come to the same as thorough ones: lines of result sheets, rows of a scan.

``report/quick.py`` writes into XlsxWriter's own file of rows; ``read/scan.py`` takes a plain
row as a whole. Both are held here against the slow way.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Sequence
from datetime import date
from io import BytesIO
from pathlib import Path
from textwrap import wrap

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from workbooks import SHIPPED

from ledger import measure
from ledger.read import scan, tokens
from ledger.read.package import Unreadable
from ledger.read.scan import scan_sheet
from ledger.read.tokens import Clues
from ledger.report.quick import QuickDesk, QuickLines
from ledger.report.reckoned import LINE_LENGTH, parted
from ledger.report.tables import Cell, Heading, Line, Link, ResultSheet, Table
from ledger.report.write import result_package

EXAMPLE = Path(__file__).parents[1] / "examples" / "farm.xlsx"
FORMATS = ("one", "text", "wrapped", "whole", "date", "money")
TEXTS = st.text(max_size=40) | st.sampled_from(
    [
        *(" kept ", "a<b>&c", "tab\tline\n", "_x000A_", "\x07bell", "", "\ufffe", "=1+1"),
        *("é" * 40_000, "\U0001f33d" * 16_384),
    ]
)
SHEET = "xl/worksheets/sheet1.xml"
LINKS = re.compile(b"<hyperlinks>(.*)</hyperlinks>", re.DOTALL)
CELLS = st.one_of(
    st.none(),
    TEXTS,
    st.integers(-(10**9), 10**9),
    st.floats(allow_nan=False, allow_infinity=False),
    st.dates(date(1950, 1, 1), date(2090, 1, 1)),
    st.builds(
        Link,
        text=TEXTS.filter(lambda text: "\x07" not in text) | st.just("Fields 7"),
        sheet=st.sampled_from(["Fields", 'Bob\'s <old> & "new"']),
        cell=st.sampled_from(["A7", "AB12", ""]),
    ),
)
LINES = st.builds(
    Line,
    cells=st.lists(CELLS, min_size=len(FORMATS), max_size=len(FORMATS)),
    kind=st.sampled_from(["plain", "total", "error", "warning", "note"]),
    format=st.sampled_from(["", "two"]),
)


# -------------------------------------------------------------------- writing
def package(lines: Sequence[Line]) -> dict[str, bytes]:
    headings = [Heading(text=name, format=name, width=14) for name in FORMATS]
    table = Table(title="Some", headings=headings, lines=lines)
    sheet = ResultSheet(id="some", name="Some", words=["A word."], tables=[table, table])
    with result_package([sheet], "us", SHIPPED, "Farm 2026") as made:
        with zipfile.ZipFile(BytesIO(made.content)) as archive:
            names = [name for name in archive.namelist() if name != "docProps/core.xml"]  # the time
            parts = {name: archive.read(name) for name in names}
        (own,) = made.apart.values()
        inside = LINKS.search(parts[SHEET])
        parts[SHEET] = LINKS.sub(b"", parts[SHEET])
        links = inside[1] if inside else own.links
        return parts | {"rows": own.rows.read_bytes(), "links": links}


@settings(max_examples=40, deadline=None)
@given(st.lists(LINES, max_size=6))
def test_quick_lines_are_those_of_xlsxwriter(lines: list[Line]) -> None:
    quick = package(lines)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(QuickLines, "write", lambda self, row, line, linked, formats: False)
        assert quick == package(lines)


def test_no_cell_holds_an_infinite_figure() -> None:
    cells: list[Cell] = [float("inf")] * len(FORMATS)
    with pytest.raises(ValueError, match="no cell can hold"):
        package([Line(cells=cells)])


@pytest.mark.parametrize("failing", ["write", "taken"])
def test_nothing_is_left_where_writing_stops_half_way(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: str
) -> None:
    def full(*_: object) -> None:
        raise OSError("no space left")

    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    place = QuickLines if failing == "write" else QuickDesk
    monkeypatch.setattr(place, failing, full)
    with pytest.raises(OSError, match="no space left"):
        package([Line(cells=["words"] * len(FORMATS))])
    assert not list(tmp_path.iterdir())


# ------------------------------------------------------------- wrapped texts
WORDS = st.text(alphabet="ab, -\u00e9\u2013\t\n\u00a0", max_size=250)


@given(WORDS, st.floats(0.5, 60))
def test_short_texts_take_as_many_lines_as_when_wrapped(text: str, width: float) -> None:
    room = max(1, int(width / measure.SLIM))
    wrapped = sum(max(1, len(wrap(part, room))) for part in text.split("\n"))
    assert measure.lines(text, width) == wrapped


@given(WORDS)
def test_short_texts_part_as_when_wrapped(text: str) -> None:
    whole = wrap(text, LINE_LENGTH, break_long_words=False, break_on_hyphens=False)
    assert parted(text) == (whole or [""])


# ------------------------------------------------------------------- scanning
def sheets() -> list[bytes]:
    with zipfile.ZipFile(EXAMPLE) as archive:
        names = [n for n in archive.namelist() if n.startswith("xl/worksheets/sheet")]
        return [archive.read(name) for name in names]


SHEETS = sheets()
SLOW = re.compile(tokens._TOKEN.replace(b"(?P<head>", b"(?P<bare>(?!))?(?P<row>(?!))?(?P<head>", 1))
ODD = (
    *(b'<c r="B7" t="s"><v>7</v></c>', b'<c r="C7"><v>x1</v></c>', b'<c r="D7" s="3"><v>0</v></c>'),
    *(b'<c r="E7"><f>1+1</f><v></v></c>', b'<c r="F7"><f>1+1</f><v>0</v></c>', b"<c><v>1</v></c>"),
    *(b'<c r="SZ7"><v>4</v></c>', b'<c r="XFD7"/>', b'<c r="G7" t="e"><v>#N/A</v></c>'),
    *(b"<row/>", b"</row>", b'<row r="3">', b'<x:c r="A9"><x:v>1</x:v></x:c>', b"<v>", b"</c>"),
    b'<c r="H7" t="inlineStr"><is><t> MARK a</t></is></c>',
    b'<c r="I7" t="inlineStr"><is><t>word</t></is></c>',
    b'<c r="K7"><f>1+1</f><v></v></c><c r="L7" s="4" t="n"><f t="shared" si="1"/><v></v></c>',
    *(b'<c r="M7"><v></v></c>', b'<c r="N7" t="str"><f>A1</f><v></v></c>'),
    b'<c r="J7" t="str"><f t="shared" si="1"/><v>word</v></c>',
)


def seen(content: bytes, clues: Clues, size: int) -> object:
    chunks = (content[at : at + size] for at in range(0, len(content), size))
    try:
        return scan_sheet(chunks, "Some", clues)
    except Unreadable as refusal:
        return str(refusal)


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_plain_rows_are_scanned_as_their_cells_are(data: st.DataObject) -> None:
    content = data.draw(st.sampled_from(SHEETS))[:20_000]
    for _ in range(data.draw(st.integers(0, 4))):
        tags = [tag.start() for tag in re.finditer(rb"<(?:row|c|/row)\b", content)]
        at = data.draw(st.sampled_from(tags or [0]))
        content = content[:at] + data.draw(st.sampled_from(ODD)) + content[at:]
    clues = Clues(
        mark=b"MARK",
        marks=data.draw(st.sampled_from([frozenset(), frozenset({b"7", b"12"})])),
        percents=data.draw(st.sampled_from([frozenset(), frozenset({b"3", b"20"})])),
        never_computed=data.draw(st.booleans()),
    )
    size = data.draw(st.sampled_from([300, 5_000, 1 << 20]))
    content += b"</sheetData></worksheet>"
    quick = seen(content, clues, size)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(scan, "tokens", lambda clues: SLOW)
        assert quick == seen(content, clues, size)
