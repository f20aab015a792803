"""What people do to a workbook, done by the spreadsheet programs themselves.

LibreOffice does every operation of ``uno_operations`` to all entry sheets of the example
farm; Gnumeric and openpyxl then save some of the results anew. The result document must be
the one of the farm as it was built.
"""

from __future__ import annotations

import os
import signal
import subprocess
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from programs import NEEDS_GNUMERIC, NEEDS_OFFICE, SOFFICE, SSCONVERT, gnumeric, office
from uno_operations import OPERATIONS

from ledger import definitions, pipeline, report
from ledger.cli.new import workbook_for

HERE = Path(__file__).parent
EXAMPLE = HERE.parent / "examples" / "farm"
SYSTEM_PYTHON = Path("/usr/bin/python3")
NEEDS_UNO = "LibreOffice's Python bridge (python3-uno) is not installed"
AT_ONCE = 2  # offices
SECONDS_FOR_ALL = 900  # a third of a minute where nothing else runs
COPIES = {"copy_sheets", "copy_sheets_in_front", "copy_columns"}
GNUMERIC = (
    "plain_save", "rename_sheets", "copy_sheets", "hide_sheets", "insert_column_in_front",
    "move_first_column_behind", "rename_headings", "copy_a_column_and_delete_the_old",
    "insert_rows_above", "sort_everything", "filter_lines", "delete_key_row",
    "move_lines_beyond_the_prepared_area",
)  # fmt: skip
OPENPYXL = ("many_things_at_once", "delete_key_row")
BY_ODS = ("many_things_at_once", "sort_everything")


@cache
def has_uno() -> bool:
    """True when the system's own Python can talk to LibreOffice."""
    if not SYSTEM_PYTHON.exists():
        return False
    asked = [str(SYSTEM_PYTHON), "-c", "import uno"]
    return subprocess.run(asked, capture_output=True, check=False).returncode == 0


@cache
def farm() -> bytes:
    return workbook_for(definitions.load(), year=None, units=None, folder=EXAMPLE)


def document(content: bytes) -> dict[str, Any]:
    """The result document without what says where something stands, in an order of its own."""
    known = definitions.load()
    result = report.document(pipeline.run(content, known).results, known)
    for line in result["plan"]:
        del line["reasons"]  # they name cells, which people move
    for item in result["ranges"]:
        for influence in item["influences"]:
            del influence["origin"]  # of lab slips, their cells
    postings = [(p["account"], p["nutrient"], p["mass"]) for p in result.pop("postings")]
    findings = [(f["severity"], f["code"]) for f in result.pop("findings")]
    return {"result": shuffled(result), "postings": sorted(postings), "findings": sorted(findings)}


def shuffled(part: Any) -> Any:
    """A part of a document with lists sorted, numbers to 12 digits (programs re-spell them)."""
    if isinstance(part, dict):
        return {key: shuffled(value) for key, value in part.items()}
    if isinstance(part, list):
        return sorted((shuffled(item) for item in part), key=repr)
    return float(f"{part:.12g}") if isinstance(part, float) else part


@cache
def plain() -> dict[str, Any]:
    return document(farm())


def assert_same(content: bytes, *, notes: bool = False) -> None:
    """The farm's result document; copies may add notes and nothing else."""
    result = document(content)
    if notes:
        extra = [item for item in result["findings"] if item == ("note", "copy-ignored")]
        assert extra
        result["findings"] = [item for item in result["findings"] if item not in extra]
    assert result["findings"] == plain()["findings"]
    assert result["result"] == plain()["result"]
    assert [p[:2] for p in result["postings"]] == [p[:2] for p in plain()["postings"]]
    masses = [p[2] for p in result["postings"]]
    assert masses == pytest.approx([p[2] for p in plain()["postings"]], rel=1e-9)


# ------------------------------------------------------------------------ the programs
def operate(folder: Path, number: int, names: list[str]) -> None:
    """Let one office do some of the operations; judged by the files that it leaves."""
    assert SOFFICE
    pipe = f"ledger{number}{abs(hash(folder))}"
    profile = (folder / f"profile{number}").as_uri()
    flags = ["--headless", "--norestore", "--nologo", f"--accept=pipe,name={pipe};urp;"]
    server = subprocess.Popen(
        [SOFFICE, f"-env:UserInstallation={profile}", *flags],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    own = folder / f"farm{number}.xlsx"  # an office locks what it has open
    own.write_bytes(farm())
    client: list[str | Path] = [SYSTEM_PYTHON, HERE / "uno_operations.py", pipe, folder]
    try:
        done = subprocess.run(
            [*client, own, *names],
            capture_output=True, text=True, timeout=SECONDS_FOR_ALL, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        server.wait(timeout=30)
    finally:
        if server.poll() is None:  # soffice is a script: its children go with it
            os.killpg(server.pid, signal.SIGKILL)


@pytest.fixture(scope="module")
def operated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    if not SOFFICE:
        pytest.skip(NEEDS_OFFICE)
    if not has_uno():
        pytest.skip(NEEDS_UNO)
    folder = tmp_path_factory.mktemp("operations")
    names = list(OPERATIONS)
    with ThreadPoolExecutor(AT_ONCE) as offices:
        list(offices.map(operate, *zip(*share(folder, names), strict=True)))
    return folder


def share(folder: Path, names: list[str]) -> list[tuple[Path, int, list[str]]]:
    return [(folder, number, names[number::AT_ONCE]) for number in range(AT_ONCE)]


# --------------------------------------------------------------------------- the tests
def test_there_are_operations_enough() -> None:
    assert len(OPERATIONS) >= 20
    assert {*GNUMERIC, *OPENPYXL, *BY_ODS, *COPIES} <= OPERATIONS.keys()


@pytest.mark.parametrize("name", OPERATIONS)
def test_an_operation_in_libreoffice_changes_no_result(name: str, operated: Path) -> None:
    assert_same((operated / f"{name}.xlsx").read_bytes(), notes=name in COPIES)


def test_the_operations_did_something(operated: Path) -> None:
    seen = {name: looks(operated / f"{name}.xlsx") for name in OPERATIONS}
    alike = {name for name, look in seen.items() if look == seen["plain_save"]}
    assert alike - {"delete_a_row"} == {"plain_save"}  # that row was blank


def looks(file: Path) -> object:
    """What a person would see changed: sheets, rows, columns, cells, what is hidden."""
    book = openpyxl.load_workbook(file)
    return [
        (
            sheet.title,
            sheet.sheet_state,
            sheet.protection.sheet,
            sorted(at for at, row in sheet.row_dimensions.items() if row.hidden),
            sorted(at for at, column in sheet.column_dimensions.items() if column.hidden),
            list(sheet.iter_rows(values_only=True)),
        )
        for sheet in book.worksheets
        if sheet.title not in ("Start", "Lists")
    ]


@pytest.mark.parametrize("name", GNUMERIC)
def test_an_operation_saved_by_gnumeric_changes_no_result(name: str, operated: Path) -> None:
    if not SSCONVERT:
        pytest.skip(NEEDS_GNUMERIC)
    saved = operated / f"{name}.gnumeric.xlsx"
    gnumeric(operated / f"{name}.xlsx", saved)
    assert_same(saved.read_bytes(), notes=name in COPIES)


@pytest.mark.parametrize("name", OPENPYXL)
def test_an_operation_saved_by_openpyxl_changes_no_result(name: str, operated: Path) -> None:
    target = BytesIO()
    openpyxl.load_workbook(operated / f"{name}.xlsx").save(target)
    assert_same(target.getvalue())


def test_operations_saved_by_way_of_ods_change_no_result(operated: Path) -> None:
    files = [operated / f"{name}.xlsx" for name in BY_ODS]
    profile = operated / "profile"
    office(profile, "ods", operated / "ods", files)
    office(profile, "xlsx", operated / "back", [operated / "ods" / f"{n}.ods" for n in BY_ODS])
    for name in BY_ODS:
        assert_same((operated / "back" / f"{name}.xlsx").read_bytes())
