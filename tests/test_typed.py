"""A workbook filled by hand in LibreOffice, cell by cell, gives right live figures and results."""

from __future__ import annotations

import json
import os
import signal
import subprocess
from pathlib import Path

import pytest
from farms import STANDARD
from live_figures import disagrees, farm_compared, opened, zones_compared
from programs import NEEDS_OFFICE, SOFFICE
from test_operations import HERE, NEEDS_UNO, SYSTEM_PYTHON, has_uno
from workbooks import BOOK, SHIPPED, Entries, cell_of, document, entries_of, title, workbook

Typed = list[tuple[str, str, str]]


def by_hand(entries: Entries) -> Typed:
    """Every cell as a person would type it; own products go below the book's."""
    return [
        (title(sheet), cell_of(sheet, column, number + (BOOK if sheet == "products" else 0)), text)
        for sheet, rows in entries.items()
        for number, row in enumerate(rows, start=1)
        for column, cell in row.items()
        if (text := _text(cell)) and (sheet, column) not in (("farm", "year"), ("farm", "units"))
    ]


def _text(cell: object) -> str:
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return str(cell)[:10] if hasattr(cell, "isoformat") else str(cell)


def type_in(folder: Path, content: bytes, typed: Typed) -> Path:
    """Let an office open the workbook, type, and save it anew."""
    assert SOFFICE
    blank, asked, out = folder / "blank.xlsx", folder / "typed.json", folder / "out.xlsx"
    blank.write_bytes(content)
    asked.write_text(json.dumps(typed), "utf-8")
    pipe = f"ledgertyping{os.getpid()}"
    flags = ["--headless", "--norestore", "--nologo", f"--accept=pipe,name={pipe};urp;"]
    profile = (folder / "profile").as_uri()
    server = subprocess.Popen(
        [SOFFICE, f"-env:UserInstallation={profile}", *flags],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    client: list[str | Path] = [SYSTEM_PYTHON, HERE / "uno_typing.py", pipe, blank, asked, out]
    try:
        done = subprocess.run(client, capture_output=True, text=True, timeout=300, check=False)
        assert done.returncode == 0, done.stderr
        server.wait(timeout=30)
    finally:
        if server.poll() is None:  # soffice is a script: its children go with it
            os.killpg(server.pid, signal.SIGKILL)
    return out


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    if not SOFFICE:
        pytest.skip(NEEDS_OFFICE)
    if not has_uno():
        pytest.skip(NEEDS_UNO)
    empty: Entries = {}
    typed = by_hand(entries_of(STANDARD))
    assert len(typed) > 100
    return type_in(tmp_path_factory.mktemp("typed"), workbook(empty), typed)


def test_typed_by_hand_gives_the_same_balance(filled: Path) -> None:
    found, wanted = document(filled.read_bytes()), document(workbook(STANDARD))
    assert found["findings"] == wanted["findings"]
    for one, other in zip(found["zones"], wanted["zones"], strict=True):
        assert (one["field"], one["zone"]) == (other["field"], other["zone"])
        for nutrient, figures in other["nutrients"].items():
            for figure, told in figures.items():
                same = told if told is None else pytest.approx(told, rel=1e-9, abs=1e-9)
                assert one["nutrients"][nutrient][figure] == same


def test_typed_by_hand_gives_right_live_figures(filled: Path) -> None:
    told = document(filled.read_bytes())
    book = opened(filled)
    compared = [
        *zones_compared(book, told, SHIPPED),
        *farm_compared(book, told, SHIPPED),
    ]
    assert len(compared) > 100
    assert [item for item in compared if disagrees(*item[1:])] == []
