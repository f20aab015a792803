"""``explain``: every number of every result sheet, and the cells that were typed."""

from __future__ import annotations

import io
import json
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from farms import STANDARD
from generated import EXAMPLES
from workbooks import workbook

from ledger import definitions, pipeline
from ledger.cli import main
from ledger.cli.new import workbook_for
from ledger.explain import NothingThere, explain, split_address
from ledger.explain.places import places
from ledger.pipeline import Run
from ledger.report import result_sheets
from ledger.report.tables import UNKNOWN, Link

KNOWN = definitions.load()


@pytest.fixture(scope="module")
def example() -> tuple[bytes, Run]:
    blank = workbook_for(KNOWN, year=None, units=None, folder=EXAMPLES / "farm")
    content = pipeline.with_results(blank, pipeline.run(blank, KNOWN), KNOWN)
    return content, pipeline.run(content, KNOWN)


@pytest.fixture(scope="module")
def written(example: tuple[bytes, Run]) -> Any:
    return openpyxl.load_workbook(io.BytesIO(example[0]))


def test_places_are_where_the_writer_put_them(example: tuple[bytes, Run], written: Any) -> None:
    for sheet in result_sheets(example[1].results, KNOWN):
        tab = written[example[1].reading.result_sheets[sheet.id]]
        found = places(sheet)
        assert found or not any(table.lines for table in sheet.tables)
        for cell, place in found.items():
            wanted: Any = place.value.text if isinstance(place.value, Link) else place.value
            read: Any = tab[cell].value
            if isinstance(wanted, float):
                assert read == pytest.approx(wanted, rel=1e-12), f"{sheet.name}!{cell}"
            elif isinstance(wanted, date):
                assert read.date() == wanted
            else:
                assert str(read or "") == str(UNKNOWN if wanted is None else wanted or "")


def test_every_number_of_every_result_sheet_is_explained(
    example: tuple[bytes, Run], written: Any
) -> None:
    done = example[1]
    walked = 0
    for sheet in result_sheets(done.results, KNOWN):
        name = done.reading.result_sheets[sheet.id]
        for row in written[name].iter_rows():
            for cell in row:
                if isinstance(cell.value, (int, float)):
                    told = explain(done.reading, done.results, KNOWN, name, cell.coordinate, b"")
                    assert told.how, f"{name}!{cell.coordinate}"
                    walked += 1
    assert walked > 1000


def test_every_range_is_explained_by_its_ends(example: tuple[bytes, Run]) -> None:
    done = example[1]
    walked: dict[str, int] = {}
    for sheet in result_sheets(done.results, KNOWN):
        name = done.reading.result_sheets[sheet.id]
        for cell, place in places(sheet).items():
            keys = {**dict(place.line.about), **dict(place.heading.about)}
            if "range" in keys and place.value != "" and "figure" in keys:
                text = told(done, name, cell)
                ends = "every figure that has a range at one end" in text
                assert ends or "No figure that it hangs on has a range" in text, f"{name}!{cell}"
                walked[name] = walked.get(name, 0) + ends
    assert walked.keys() >= {"Summary", "Field balance", "Nitrogen to go", "How sure"}
    assert sum(walked.values()) > 200


def told(done: Run, sheet: str, cell: str) -> str:
    return "\n".join(explain(done.reading, done.results, KNOWN, sheet, cell, b"").lines())


def cell_with(written: Any, sheet: str, *texts: str, heading: str, title: str) -> str:
    """The cell below a heading of the table with a title, in the line that begins with texts."""
    inside, column = False, None
    for row in written[sheet].iter_rows():
        values = [cell.value for cell in row]
        inside = inside or (isinstance(values[0], str) and title in values[0])
        if inside and heading in values:
            column = values.index(heading)
        elif inside and column is not None and values[: len(texts)] == list(texts):
            return str(row[column].coordinate)
    raise AssertionError(f"no such cell on {sheet}")


def test_a_balance_names_its_parts_postings_and_sources(
    example: tuple[bytes, Run], written: Any
) -> None:
    done = example[1]
    cell = cell_with(
        written, "Field balance", "Kiln Forty", "all", heading="Balance", title="Nitrogen (N)"
    )
    text = told(done, "Field balance", cell)
    assert "balance = applied - removed" in text
    assert "removed = " in text
    assert "Manure spread row" in text
    assert "Harvest row" in text
    assert "University" in text


def test_a_typed_cell_tells_what_its_line_posted_and_a_lot_where_it_was_used(
    example: tuple[bytes, Run],
) -> None:
    done = example[1]
    spread = done.results.book.entries["manure_spread"][0]
    text = told(done, "Manure spread", spread.row.address("amount"))
    assert "for each nutrient they add up to zero" in text
    assert "store/" in text
    lot = done.results.book.entries["manure_lots"][0]
    text = told(done, "Manure lots", lot.row.address("n_total"))
    assert "was a factor of" in text
    assert f"Manure lots!{lot.row.address('n_total')}" in text


def test_an_answer_whose_line_is_gone_from_the_farm_sheet_stands_nowhere() -> None:
    book = openpyxl.load_workbook(io.BytesIO(workbook(STANDARD)))
    tab = book["Farm"]
    (gone,) = [cell.row for cell in tab["A"] if cell.value == "#smallest_pass"]
    tab.delete_rows(gone)
    out = io.BytesIO()
    book.save(out)
    content = out.getvalue()
    done = pipeline.run(content, KNOWN)
    assert done.reading.grids["farm"].letters.keys() >= {"smallest_pass"}
    for row in range(1, tab.max_row + 1):
        try:
            found = explain(done.reading, done.results, KNOWN, "Farm", f"C{row}", content)
        except NothingThere:
            continue
        assert "Least worth a pass" not in found.value


NO_CELLS = """nonsense Summary Summary!12 A1 Fields!A² Fields!A1:B3 Fields!A0 Fields!ABCD1
Fields!A99999999999999999999"""


@pytest.mark.parametrize("address", NO_CELLS.split())
def test_an_address_that_is_none_is_refused(address: str) -> None:
    with pytest.raises(NothingThere, match="is not a cell"):
        split_address(address)


def test_addresses_may_be_quoted_and_absolute() -> None:
    assert split_address("'Field balance'!$g$12") == ("Field balance", "G12")
    assert split_address("'Bob''s'!A1") == ("Bob's", "A1")


def test_the_command_prints_lines_or_json(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "farm.xlsx"
    file.write_bytes(workbook(STANDARD))
    done = pipeline.run(file.read_bytes(), KNOWN)
    line = done.results.book.entries["fertilizer"][0]
    address = f"Fertilizer!{line.row.address('amount')}"
    assert main(["explain", str(file), address]) == 0
    assert "Postings:" in capsys.readouterr().out
    assert main(["explain", str(file), address, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["postings"]
    assert main(["explain", str(file), "Fertilizer!ZZ999"]) == 2
    assert "holds nothing" in capsys.readouterr().err


def test_sets_side_by_side(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "farm.xlsx"
    file.write_bytes(workbook(STANDARD))
    assert main(["compare-sets", str(file), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [item["id"] for item in found["sets"]] == list(KNOWN.manure_sets)
    manured = [zone for zone in found["zones"] if zone["total_n"]]
    assert manured
    for zone in manured:
        known = [v for v in zone["manure_credit"].values() if v is not None]
        assert all(0 <= value <= zone["total_n"] for value in known)
        if len(known) > 1:
            assert zone["spread"] == pytest.approx(max(known) - min(known))
    assert main(["compare-sets", str(file)]) == 0
    text = capsys.readouterr().out
    _, _, why = text.partition("Why they differ:\n")
    for item in found["sets"]:
        assert item["about"].split(". ")[0] in " ".join(why.split())
    assert max(map(len, why.splitlines())) <= 100
    assert "unknown" in text
