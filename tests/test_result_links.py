"""Links between result sheets: each leads to the line it names, in the file and in LibreOffice."""

from __future__ import annotations

import io
import re
import urllib.parse
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from lxml import etree
from papers import EXAMPLE
from programs import NEEDS_OFFICE, SOFFICE, office
from workbooks import SHIPPED

from ledger import pipeline
from ledger.cli.new import workbook_for
from ledger.layout import fold
from ledger.pipeline import Run
from ledger.report import result_sheets
from ledger.report.links import joined
from ledger.report.tables import Jump, Line, Link, ResultSheet, Table

LOCATION = re.compile(r"'((?:[^']|'')+)'!\$([A-Z]+)\$(\d+)$")
FIELD, ZONE, ENTRY, ACCOUNT = 2, 3, 1, 4  # columns of Postings, from 0


@pytest.fixture(scope="module")
def balanced() -> tuple[bytes, Run]:
    blank = workbook_for(SHIPPED, year=None, units=None, folder=EXAMPLE)
    done = pipeline.run(blank, SHIPPED)
    return pipeline.with_results(blank, done, SHIPPED), done


@pytest.fixture(scope="module")
def book(balanced: tuple[bytes, Run]) -> Any:
    return openpyxl.load_workbook(io.BytesIO(balanced[0]))


def links(book: Any, sheet: str) -> list[tuple[Any, str, int]]:
    """The cells of a sheet that lead somewhere, with the sheet and the row they lead to."""
    found = []
    for row in book[sheet].iter_rows():
        for cell in row:
            if cell.hyperlink is not None and cell.hyperlink.location:
                match = LOCATION.fullmatch(cell.hyperlink.location)
                assert match, cell.hyperlink.location
                found.append((cell, match[1].replace("''", "'"), int(match[3])))
    return found


def line(book: Any, sheet: str, row: int) -> list[Any]:
    return [cell.value for cell in book[sheet][row]]


def first(book: Any, wanted: dict[int, str]) -> int:
    """The first line of the movements with these texts in these columns."""
    rows = list(book["Postings"].iter_rows(values_only=True))
    start = next(at for at, row in enumerate(rows) if row[:2] == ("Date", "Entry"))
    return next(
        at + 1
        for at, row in enumerate(rows)
        if at > start and all(row[column] == text for column, text in wanted.items())
    )


@pytest.mark.parametrize("sheet", ["Field balance", "Nitrogen to go"])
def test_a_zone_leads_to_the_first_of_its_postings(book: Any, sheet: str) -> None:
    there = [item for item in links(book, sheet) if item[1] == "Postings"]
    assert len(there) > 20
    for cell, _, row in there:
        field = book[sheet].cell(cell.row, 1).value
        assert row == first(book, {FIELD: field, ZONE: cell.value})


def test_every_zone_with_postings_has_its_link(balanced: tuple[bytes, Run], book: Any) -> None:
    zones = {(p.zone.field, p.zone.zone) for p in balanced[1].results.journal.postings}
    there = {(book["Field balance"].cell(cell.row, 1).value, cell.value)
             for cell, _, _ in links(book, "Field balance")}  # fmt: skip
    assert there == {zone for zone in zones if zone[0]}


def test_a_store_leads_to_the_first_line_that_moved_its_manure(
    balanced: tuple[bytes, Run], book: Any
) -> None:
    lots = balanced[1].results.book.named("manure_lots", "lot")
    there = [item for item in links(book, "Stores") if item[1] == "Postings"]
    assert there
    for cell, _, row in there:
        account = line(book, "Postings", row)[ACCOUNT]
        assert account.startswith("store/")
        assert fold(lots[account.removeprefix("store/")].text("store")) == fold(cell.value)


def test_postings_lead_back_to_the_zone_and_to_the_entry(book: Any) -> None:
    there = links(book, "Postings")
    back = [item for item in there if item[1] == "Field balance"]
    assert len(back) > 100
    for cell, sheet, row in back:
        here = line(book, "Postings", cell.row)
        assert line(book, sheet, row)[:2] == [here[FIELD], here[ZONE]]
    entries = [item for item in there if item[1] not in ("Field balance", "Postings")]
    assert len(entries) > 100
    for cell, sheet, row in entries:
        assert cell.value == f"{sheet} {row}"
        assert any(value not in (None, "") for value in line(book, sheet, row))


def test_the_index_names_every_entry_that_posted(balanced: tuple[bytes, Run], book: Any) -> None:
    there = [item for item in links(book, "Postings") if item[1] == "Postings"]
    told = {}
    for cell, _, row in there:
        name = f"{book['Postings'].cell(cell.row, 2).value} {cell.value}"
        assert row == first(book, {ENTRY: name})
        told[name] = row
    rows = [p.entry.row for p in balanced[1].results.journal.postings]
    assert told.keys() == {f"{row.grid.sheet_name} {row.number}" for row in rows}


def test_how_sure_leads_to_the_balance(book: Any) -> None:
    there = links(book, "How sure")
    assert there
    for cell, sheet, row in there:
        field = book["How sure"].cell(cell.row, 1).value
        assert (sheet, line(book, sheet, row)[:2]) == ("Field balance", [field, cell.value])


def test_a_jump_to_nothing_stays_its_text() -> None:
    jump = Jump("all", sheet="other", about=(("field", "Home"),))
    table = Table(title="", headings=(), lines=[Line(cells=[jump])])
    sheet = ResultSheet(id="one", name="One", words=(), tables=[table])
    cell = joined([sheet])[0].tables[0].lines[0].cells[0]
    assert cell == "all"
    assert not isinstance(cell, Link)


def test_links_follow_a_result_sheet_that_was_renamed(balanced: tuple[bytes, Run]) -> None:
    book = openpyxl.load_workbook(io.BytesIO(balanced[0]))
    book["Postings"].title = "Bob's moves"
    target = io.BytesIO()
    book.save(target)
    done = pipeline.run(target.getvalue(), SHIPPED)
    again = openpyxl.load_workbook(
        io.BytesIO(pipeline.with_results(target.getvalue(), done, SHIPPED))
    )
    assert {sheet for _, sheet, _ in links(again, "Nitrogen to go")} == {"Bob's moves"}


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_libreoffice_knows_every_target(balanced: tuple[bytes, Run], tmp_path: Path) -> None:
    file = tmp_path / "farm.xlsx"
    file.write_bytes(balanced[0])
    office(tmp_path / "profile", "fods", tmp_path, [file])
    tree: Any = etree.parse(tmp_path / "farm.fods", etree.XMLParser(huge_tree=True))
    root = tree.getroot()
    spaces = {"t": "urn:oasis:names:tc:opendocument:xmlns:table:1.0"}
    names = set(root.xpath("//t:table/@t:name", namespaces=spaces))
    ours = {sheet.name for sheet in result_sheets(balanced[1].results, SHIPPED)}
    assert ours <= names
    targets = [
        urllib.parse.unquote(href)
        for href in root.xpath("//@*[local-name()='href']")
        if href.startswith("#")
    ]
    assert len(targets) > 400
    for target in targets:
        match = re.fullmatch(r"#\$?'?(.+?)'?\.\$?([A-Z]+)\$?(\d+)", target)
        assert match, target
        assert match[1].replace("''", "'") in names, target
