"""``explain`` of live cells: the figure a formula shows, told by what ``balance`` reckons."""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from time import process_time
from typing import Any

import openpyxl
import pytest
from generated import EXAMPLES
from live_figures import opened
from programs import NEEDS_OFFICE, SOFFICE, office
from workbooks import SHIPPED, run, workbook

from ledger import pipeline
from ledger.build.plan import FIRST_ROW, KEY_ROW
from ledger.cli.new import workbook_for
from ledger.explain import Explanation, NothingThere, explain
from ledger.live.sheets import live_columns
from ledger.pipeline import Run

LIVE = "A live figure: the spreadsheet program reckons it from what is typed"
PARTS = {"to go": ("need", "supply"), "balance": ("applied", "removed")}


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, Run, Any]:
    """The example as LibreOffice saved it, its results, and its values."""
    folder = tmp_path_factory.mktemp("live")
    blank = folder / "farm.xlsx"
    blank.write_bytes(workbook_for(SHIPPED, year=None, units=None, folder=EXAMPLES / "farm"))
    office(folder / "profile", "xlsx", folder / "saved", [blank])
    saved = folder / "saved" / "farm.xlsx"
    content = saved.read_bytes()
    return content, pipeline.run(content, SHIPPED), opened(saved)


def told(farm: tuple[bytes, Run, Any], sheet: str, cell: str) -> Explanation:
    content, done, _ = farm
    return explain(done.reading, done.results, SHIPPED, sheet, cell, content)


def live_cells(book: Any) -> Iterator[tuple[str, str, str, Any]]:
    """Sheet id, column id, address and value of every live cell that shows a number."""
    for sheet_id, columns in live_columns(SHIPPED, "us").items():
        shown = {column.key: column.id for column in columns if column.shown}
        tab = book[SHIPPED.sheets[sheet_id].title]
        keys = {cell.column: shown.get(cell.value) for cell in tab[KEY_ROW + 1]}
        for row in tab.iter_rows(min_row=FIRST_ROW + 1):
            for cell in row:
                column = keys.get(cell.column)
                if column and isinstance(cell.value, int | float):
                    yield sheet_id, column, cell.coordinate, cell.value


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_every_live_number_is_explained(farm: tuple[bytes, Run, Any]) -> None:
    met: set[str] = set()
    for sheet_id, column, cell, value in live_cells(farm[2]):
        explained = told(farm, SHIPPED.sheets[sheet_id].title, cell)
        assert explained.value.split()[0] == f"{value:.7g}", cell
        assert explained.how[0], f"{sheet_id} {column} {cell}"
        met.add(sheet_id)
    assert met >= {"fields", "zones", "crops", "manure_spread", "fertilizer", "harvest", "stores"}


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_of_ground_the_parts_told_give_the_number(farm: tuple[bytes, Run, Any]) -> None:
    tried: dict[str, int] = {}
    for sheet_id, column, cell, value in live_cells(farm[2]):
        figure = column.removeprefix("_").rpartition("_")[0].replace("_", " ")
        of_one = sheet_id == "zones" or figure == "balance"
        if sheet_id in ("fields", "zones") and figure in PARTS and of_one:
            how = told(farm, SHIPPED.sheets[sheet_id].title, cell).how
            assert any(line.startswith(LIVE) for line in how)
            first, second = (number_after(part, how) for part in PARTS[figure])
            assert first - second == pytest.approx(value, rel=1e-4, abs=1e-3)
            tried[sheet_id] = tried.get(sheet_id, 0) + 1
    assert tried.keys() == {"fields", "zones"}


def number_after(name: str, how: Any) -> float:
    (found,) = [match for line in how if (match := re.match(rf"{name} = (-?[\d.e+-]+)", line))]
    return float(found[1])


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_of_a_line_its_own_postings_are_told(farm: tuple[bytes, Run, Any]) -> None:
    tried = 0
    for sheet_id, column, cell, value in live_cells(farm[2]):
        if sheet_id in ("manure_spread", "fertilizer", "harvest") and value:
            title = SHIPPED.sheets[sheet_id].title
            postings = told(farm, title, cell).postings
            row = re.sub(r"\D", "", cell)
            nutrient = column.rpartition("_")[2]
            assert postings
            assert all(f"{title} row {row}: " in line for line in postings)
            assert all(f" {nutrient} -> " in line for line in postings)
            tried += 1
    assert tried > 50


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_the_overview_tells_farm_and_fields(farm: tuple[bytes, Run, Any]) -> None:
    tab = farm[2]["Overview"]
    heads: dict[int, str] = {}
    tried = {"farm": 0, "field": 0}
    for row in tab.iter_rows():
        for cell in row[:12]:
            if row[0].value in ("Whole farm", "Field"):
                heads[cell.column] = str(cell.value)
            figure = next(
                (f for f in ("balance", "Balance") if f in heads.get(cell.column, "")), ""
            )
            if figure and isinstance(cell.value, int | float) and row[0].value:
                how = told(farm, "Overview", cell.coordinate).how
                parts = (number_after(part, how) for part in PARTS["balance"])
                assert next(parts) - next(parts) == pytest.approx(cell.value, rel=1e-4, abs=1e-3)
                tried["farm" if figure == "Balance" else "field"] += 1
    assert tried["farm"] >= 3
    assert tried["field"] > 10


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_a_reference_cell_tells_its_source(farm: tuple[bytes, Run, Any]) -> None:
    tab = farm[2]["Reference"]
    cell = next(c for c in tab["C"] if isinstance(c.value, int | float))
    explained = told(farm, "Reference", cell.coordinate)
    assert explained.value.split()[0] == f"{cell.value:.7g}"
    assert str(tab[f"J{cell.row}"].value).partition(". ")[0].rstrip(".") in explained.sources[0]


def test_without_its_key_a_live_column_is_known_by_its_heading() -> None:
    source = "## fields\n| field | area |\n| Home | 40 |\n"
    content = without_keys(workbook(source), "Fields")
    done = run(content)
    explained = explain(done.reading, done.results, SHIPPED, "Fields", "O6", content)
    assert "balance" in explained.where
    assert explained.value.startswith("not reckoned yet")


def test_a_stray_cell_far_out_keeps_nobody_waiting() -> None:
    source = "## fields\n| field | area |\n| Home | 40 |\n"
    content = with_stray_cell(workbook(source), "Fields", "XFD1048576")
    done = run(content)
    began = process_time()
    explained = explain(done.reading, done.results, SHIPPED, "Fields", "O6", content)
    assert process_time() - began < 20
    assert "balance" in explained.where


def with_stray_cell(content: bytes, sheet: str, cell: str) -> bytes:
    book = openpyxl.load_workbook(BytesIO(content))
    book[sheet][cell] = "x"
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def without_keys(content: bytes, sheet: str) -> bytes:
    """The live columns' hidden keys rubbed out, those of the entries left."""
    book = openpyxl.load_workbook(BytesIO(content))
    for cell in book[sheet][KEY_ROW + 1]:
        if str(cell.value).startswith("=live"):
            cell.value = None
    out = BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.mark.parametrize(
    ("sheet", "cell", "words"),
    [
        ("Lists", "A1", "nothing is entered or reckoned"),
        ("Fields", "ZZ99", "holds nothing that was entered"),
        ("Reference", "A1", "is no figure"),
        ("Overview", "A1", "is no figure"),
        ("Nowhere", "A1", "no sheet of the workbook"),
    ],
)
def test_where_nothing_is_it_says_so(sheet: str, cell: str, words: str) -> None:
    content = workbook("## fields\n| field | area |\n| Home | 40 |\n")
    done = run(content)
    with pytest.raises(NothingThere, match=words):
        explain(done.reading, done.results, SHIPPED, sheet, cell, content)


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_what_is_to_go_on_a_field_is_told_by_the_zones_that_are_short(
    farm: tuple[bytes, Run, Any],
) -> None:
    tab = farm[2]["Fields"]
    row = next(r for r in range(1, 40) if tab[f"A{r}"].value == "Alder Bottom")
    (column,) = [c.column_letter for c in tab[KEY_ROW + 1] if c.value == "=live_to_go_N"]
    how = told(farm, "Fields", f"{column}{row}").how
    zones = [float(line.split(": ")[1].split()[0]) for line in how if "Alder Bottom, " in line]
    assert len(zones) == 3
    area = tab[f"B{row}"].value
    assert sum(zones) / area == pytest.approx(tab[f"{column}{row}"].value, rel=1e-5)


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_the_figures_one_drives_by_are_told_on_the_cab_sheet(farm: tuple[bytes, Run, Any]) -> None:
    tab, tried = farm[2]["Cab"], 0
    for row in tab.iter_rows(min_row=7, max_col=8):
        for name, _, nitrogen, product in (row[:4], row[4:]):
            if isinstance(nitrogen.value, int | float):
                explained = told(farm, "Cab", nitrogen.coordinate)
                assert name.value in explained.where
                need, supply = (number_after(part, explained.how) for part in PARTS["to go"])
                assert need - supply == pytest.approx(nitrogen.value, rel=1e-4, abs=1e-3)
                assert told(farm, "Cab", product.coordinate).how[0].startswith("Nitrogen still")
                tried += 1
    assert tried > 5
