"""Charts of *How sure*: error bars that reach by what cells say, grafted like everything else."""

from __future__ import annotations

import io
import re
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from lxml import etree
from openpyxl.utils import range_boundaries
from papers import EXAMPLE
from programs import NEEDS_OFFICE, SOFFICE, office
from workbooks import SHIPPED

from ledger import pipeline
from ledger.build.csv_entries import read_entries
from ledger.graft import verify
from ledger.ground import label

C = {"c": "http://schemas.openxmlformats.org/drawingml/2006/chart"}
SETS = "IA-PMR1003"  # a credit set that prints ranges
RESULTS = (
    *("Findings", "Summary", "Field balance", "Nitrogen to go", "Stores", "Farm gate"),
    *("Strips result", "How sure", "Postings"),
)


@pytest.fixture(scope="module")
def balanced() -> bytes:
    told = read_entries(EXAMPLE, SHIPPED)
    told["farm"] = [{**told["farm"][0], "manure_set": SETS}]
    blank = pipeline.blank(SHIPPED, year=2026, system="us", entries=told)
    return again(blank)


def again(content: bytes) -> bytes:
    return pipeline.with_results(content, pipeline.run(content, SHIPPED), SHIPPED)


def members(content: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def charts(content: bytes) -> dict[str, Any]:
    """The charts that have error bars, by their title."""
    found = {}
    for name, data in members(content).items():
        if name.startswith("xl/charts/chart") and b"errBars" in data:
            root: Any = etree.fromstring(data)
            title = "".join(root.xpath("//c:title//*[local-name()='t']/text()", namespaces=C))
            found[title.split(" [")[0].split(" lb")[0]] = root
    return found


def column(book: Any, formula: str) -> list[Any]:
    """The cells that a formula of a chart names, and that they are on How sure."""
    sheet, cells = formula.rsplit("!", 1)
    assert sheet.strip("'") == "How sure"
    bounds: Any = range_boundaries(cells.replace("$", ""))
    left, top, right, bottom = bounds
    assert left == right
    return [book["How sure"].cell(row, left).value for row in range(top, bottom + 1)]


def formula(root: Any, path: str) -> str:
    (found,) = root.xpath(f"//c:ser/{path}//c:f/text()", namespaces=C)
    return str(found)


@pytest.mark.parametrize(
    ("title", "figure"),
    [
        ("Nitrogen to go", "to_go"),
        ("Nitrogen of manure, usable this year", "manure_credit"),
    ],
)
def test_error_bars_reach_from_low_to_high_by_their_cells(
    balanced: bytes, title: str, figure: str
) -> None:
    root = charts(balanced)[title]
    assert root.xpath("//c:errBars/c:errValType/@val", namespaces=C) == ["cust"]
    assert root.xpath("//c:errBars/c:errBarType/@val", namespaces=C) == ["both"]
    book = openpyxl.load_workbook(io.BytesIO(balanced), data_only=True)
    names, used, down, up = (
        column(book, formula(root, path))
        for path in ("c:cat", "c:val", "c:errBars/c:minus", "c:errBars/c:plus")
    )
    results = pipeline.run(balanced, SHIPPED).results
    ours = [z for z in results.ranges.zones if z.nutrient == "N"]
    told = {label(results.book, z.zone): z.spans[figure] for z in ours}
    factor = SHIPPED.units["lb/ac"].factor
    assert len(names) > 2
    assert any(value > 1 for value in up)
    for name, value, lower, higher in zip(names, used, down, up, strict=True):
        span = told[name]
        assert span is not None
        assert value == pytest.approx(span.used / factor)
        assert value - lower == pytest.approx(span.low / factor)
        assert value + higher == pytest.approx(span.high / factor)


def test_running_balance_again_adds_no_part_and_changes_no_byte(balanced: bytes) -> None:
    twice = again(balanced)
    assert twice == balanced
    assert members(again(twice)).keys() == members(balanced).keys()


def test_charts_come_and_go_with_their_figures_and_leave_nothing_behind(balanced: bytes) -> None:
    """Through openpyxl, which renames parts, and with another credit set in between."""
    book = openpyxl.load_workbook(io.BytesIO(balanced))
    target = io.BytesIO()
    book.save(target)
    once = again(target.getvalue())
    count = [len(parts) for parts in (members(once), members(again(again(once))))]
    assert count[0] == count[1]
    assert len(charts(once)) == len(charts(balanced)) == 2
    assert referenced(once)


def referenced(content: bytes) -> bool:
    """Whether every chart and drawing of a package is named by some relationship."""
    parts = members(content)
    named = b"".join(data for name, data in parts.items() if name.endswith(".rels"))
    drawn = [name for name in parts if re.match(r"xl/(charts|drawings)/[^/]+\.xml$", name)]
    return bool(drawn) and all(name.rsplit("/", 1)[1].encode() in named for name in drawn)


def test_everything_else_keeps_its_bytes(balanced: bytes) -> None:
    told = read_entries(EXAMPLE, SHIPPED)
    before = pipeline.blank(SHIPPED, year=2026, system="us", entries=told)
    after = again(before)
    verify(before, after, RESULTS)
    entries = [name for name, data in members(before).items() if b"#amount" in data]
    assert entries
    assert all(members(after)[name] == members(before)[name] for name in entries)


def test_openpyxl_sees_the_charts(balanced: bytes) -> None:
    sheet = openpyxl.load_workbook(io.BytesIO(balanced))["How sure"]
    assert len(sheet._charts) == 2
    assert all(chart.series[0].errBars for chart in sheet._charts)


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_libreoffice_draws_the_error_bars(balanced: bytes, tmp_path: Path) -> None:
    file = tmp_path / "farm.xlsx"
    file.write_bytes(balanced)
    office(tmp_path / "profile", "ods", tmp_path, [file])
    with zipfile.ZipFile(tmp_path / "farm.ods") as archive:
        told = [archive.read(n) for n in archive.namelist() if n.endswith("content.xml")]
    bars = [data for data in told if b'error-category="cell-range"' in data]
    assert len(bars) == 2
    assert all(b"error-lower-range" in data and b"error-upper-range" in data for data in bars)
