"""Grafted workbooks in real spreadsheet programs, and workbooks those programs saved.

LibreOffice is started twice for the whole module with a profile of its own; results are judged
by what was written, not by the return code.
"""

from __future__ import annotations

import csv
import io
from pathlib import Path

import openpyxl
import pytest
from programs import NEEDS_GNUMERIC, NEEDS_OFFICE, SOFFICE, SSCONVERT, gnumeric, office
from test_graft_samples import PLACES, members, result_sheets, rich_workbook, through_openpyxl

from ledger.graft import graft, verify

SAVERS = ["xlsxwriter", "openpyxl", "libreoffice", "gnumeric"]
# LibreOffice's CSV filter options: token 9 = values as shown, token 12 = sheet (-1 for all)
EVERY_SHEET = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,true,false,false,-1"
SHOWN = ["Nitrogen", "1,234.5 lb", "2469", "1,088.0 lb"]
# Gnumeric also shows the number format that the conditional format brings for the second cell.
SHOWN_CONDITIONAL = ["Nitrogen", "1234.5 over", "2469", "1,088.0 lb"]


def rows(path: Path) -> list[list[str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


@pytest.fixture(scope="module")
def saved(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The rich workbook as each program present saves it."""
    folder = tmp_path_factory.mktemp("saved")
    plain = folder / "rich.xlsx"
    plain.write_bytes(rich_workbook())
    found = {"xlsxwriter": rich_workbook(), "openpyxl": through_openpyxl(rich_workbook())}
    if SOFFICE:
        office(folder / "profile", "xlsx", folder / "office", [plain])
        found["libreoffice"] = (folder / "office" / "rich.xlsx").read_bytes()
    if SSCONVERT:
        gnumeric(plain, folder / "gnumeric.xlsx")
        found["gnumeric"] = (folder / "gnumeric.xlsx").read_bytes()
    return found


@pytest.fixture(scope="module")
def grafted(saved: dict[str, bytes]) -> dict[str, bytes]:
    return {name: graft(data, result_sheets(), PLACES) for name, data in saved.items()}


@pytest.fixture(scope="module")
def shown(tmp_path_factory: pytest.TempPathFactory, grafted: dict[str, bytes]) -> Path:
    """A folder with `<saver>-<sheet>.csv` of every grafted workbook, by LibreOffice."""
    if not SOFFICE:
        pytest.skip(NEEDS_OFFICE)
    folder = tmp_path_factory.mktemp("shown")
    files = [folder / f"{name}.xlsx" for name in grafted]
    for file in files:
        file.write_bytes(grafted[file.stem])
    office(folder / "profile", EVERY_SHEET, folder / "csv", files)
    return folder / "csv"


@pytest.fixture(params=SAVERS)
def saver(request: pytest.FixtureRequest) -> str:
    name = str(request.param)
    if name == "libreoffice" and not SOFFICE:
        pytest.skip(NEEDS_OFFICE)
    if name == "gnumeric" and not SSCONVERT:
        pytest.skip(NEEDS_GNUMERIC)
    return name


def test_every_saver_is_verified_and_idempotent(
    saver: str, saved: dict[str, bytes], grafted: dict[str, bytes]
) -> None:
    verify(saved[saver], grafted[saver], PLACES.values())
    assert graft(grafted[saver], result_sheets(), PLACES) == grafted[saver]
    before, after = members(saved[saver]), members(grafted[saver])
    same = [name for name, content in before.items() if after.get(name) == content]
    assert {"xl/workbook.xml", "xl/_rels/workbook.xml.rels", "_rels/.rels"} <= set(same)
    assert "xl/worksheets/sheet1.xml" in same
    assert len(same) >= len(before) - 14


def test_new_sheets_in_every_saver(saver: str, saved: dict[str, bytes]) -> None:
    after = graft(saved[saver], result_sheets(), {"Summary": None, "To go": None})
    verify(saved[saver], after, [])
    names = openpyxl.load_workbook(io.BytesIO(after), read_only=True).sheetnames
    old = ["Spreading", "Summary", "To go", "Lists"]
    assert names == [*old, "Summary (2)", "To go (2)"]


def test_openpyxl_reads_every_saver(saver: str, grafted: dict[str, bytes]) -> None:
    book = openpyxl.load_workbook(io.BytesIO(grafted[saver]), read_only=True)
    first = next(book["Summary"].iter_rows(max_row=1))
    assert [cell.value for cell in first] == ["Nitrogen", 1234.5, "=B1*2", 1088]
    assert first[1].number_format == '#,##0.0 "lb"'
    assert first[0].font.b and first[1].font.b
    book = openpyxl.load_workbook(io.BytesIO(grafted[saver]), read_only=True, data_only=True)
    assert book["Spreading"]["E1"].value == (None if saver == "openpyxl" else 6003)


def test_libreoffice_shows_values_and_formats(saver: str, shown: Path) -> None:
    assert rows(shown / f"{saver}-Summary.csv")[0][:4] == SHOWN
    assert rows(shown / f"{saver}-To go.csv")[0][0] == "-3.25"
    assert rows(shown / f"{saver}-Spreading.csv")[1][2] == "1000.5 gal/ac"


@pytest.mark.skipif(not SSCONVERT, reason=NEEDS_GNUMERIC)
def test_gnumeric_shows_values_and_formats(
    saver: str, grafted: dict[str, bytes], tmp_path: Path
) -> None:
    source = tmp_path / "book.xlsx"
    source.write_bytes(grafted[saver])
    gnumeric("-S", "-O", "format=preserve", source, tmp_path / "%s.txt")
    texts = {path.stem: path.read_text("utf-8") for path in tmp_path.glob("*.txt")}
    assert next(csv.reader(texts["Summary"].splitlines()))[:4] == SHOWN_CONDITIONAL
    assert texts["To go"].replace("\N{MINUS SIGN}", "-").startswith("-3.25")
    assert "1000.5 gal/ac" in texts["Spreading"]


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_result_sheets_survive_a_save_by_libreoffice(
    grafted: dict[str, bytes], tmp_path: Path
) -> None:
    source = tmp_path / "book.xlsx"
    source.write_bytes(grafted["xlsxwriter"])
    office(tmp_path / "profile", "xlsx", tmp_path / "again", [source])
    data = (tmp_path / "again" / "book.xlsx").read_bytes()
    book = openpyxl.load_workbook(io.BytesIO(data))
    first = book["Summary"]
    assert first["B1"].value == 1234.5
    assert first["B1"].comment is not None and "all fields" in first["B1"].comment.text
    assert len(first._charts) == 1
    verify(data, graft(data, result_sheets(fancy=False), PLACES), PLACES.values())
