"""The example workbook on paper: every sheet rendered, nothing cut off, no page empty.

LibreOffice prints the balanced example to PDF; its text is read with pdftotext and its pages
are drawn with pdftoppm. Set LEDGER_PICTURES to a folder to keep the pictures.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from generated import EXAMPLES
from programs import NEEDS_GNUMERIC, NEEDS_OFFICE, SOFFICE, SSCONVERT, gnumeric, office

from ledger import definitions, pipeline
from ledger.cli.new import workbook_for

PDFTOTEXT, PDFTOPPM = shutil.which("pdftotext"), shutil.which("pdftoppm")
NEEDS_POPPLER = "pdftotext and pdftoppm are not installed"
MOST_PAGES = 95
ONE_PAGE = ("Overview", "Cab")
HARDLY_ANYTHING = 40  # characters on a page that is empty but for its footer

pytestmark = [
    pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE),
    pytest.mark.skipif(not (PDFTOTEXT and PDFTOPPM), reason=NEEDS_POPPLER),
]


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The balanced example as LibreOffice prints it."""
    folder = tmp_path_factory.mktemp("printed")
    known = definitions.load()
    blank = workbook_for(known, year=None, units=None, folder=EXAMPLES / "farm")
    file = folder / "farm.xlsx"
    file.write_bytes(pipeline.with_results(blank, pipeline.run(blank, known), known))
    office(folder / "profile", "pdf", folder, [file])
    return folder / "farm.pdf"


@pytest.fixture(scope="module")
def pages(printed: Path) -> list[str]:
    """The text of every page."""
    return pages_of(printed)


def pages_of(printed: Path) -> list[str]:
    assert PDFTOTEXT
    command = [PDFTOTEXT, "-layout", str(printed), "-"]
    text = subprocess.run(command, capture_output=True, check=True, timeout=120).stdout.decode()
    return text.split("\f")[:-1]


def test_no_leaf_is_blank(pages: list[str]) -> None:
    assert [number for number, page in enumerate(pages, start=1) if not page.strip()] == []


def sheet_of(page: str) -> str:
    """The sheet a page is of: the middle of its footer."""
    footer = [line for line in page.splitlines() if line.strip()][-1]
    match = re.search(r"2026\s{2,}(.+?)(\s{2,}Page \d+ of \d+|$)", footer.rstrip())
    return match[1] if match else ""


def test_every_sheet_is_printed(pages: list[str]) -> None:
    named = {sheet_of(page) for page in pages}
    titles = {sheet.title for sheet in definitions.load().sheets.values()}
    assert titles | {"Start", "Overview", "Cab", "Lists", "Reference", "Summary"} <= named


def test_no_number_is_cut_off(pages: list[str]) -> None:
    assert not [sheet_of(page) for page in pages if "###" in page]


def test_no_error_is_shown(pages: list[str]) -> None:
    for page in pages:
        assert not re.search(r"#(N/A|REF!|NAME\?|VALUE!|DIV/0!|NUM!)|Err:5\d\d", page)


def test_no_page_is_empty(pages: list[str]) -> None:
    assert [sheet_of(page) for page in pages if hardly_anything(page)] == []


def hardly_anything(page: str) -> bool:
    lines = [line for line in page.splitlines() if line.strip()][:-1]
    return len("".join("".join(lines).split())) <= HARDLY_ANYTHING


def test_pages_are_few_and_the_cab_sheet_is_one(pages: list[str]) -> None:
    named = [sheet_of(page) for page in pages]
    assert len(pages) <= MOST_PAGES
    for name in ONE_PAGE:
        assert named.count(name) == 1


@pytest.mark.skipif(not SSCONVERT, reason=NEEDS_GNUMERIC)
def test_gnumeric_prints_no_empty_page_of_the_reference(tmp_path: Path) -> None:
    known = definitions.load()
    file = tmp_path / "farm.xlsx"
    file.write_bytes(workbook_for(known, year=None, units=None, folder=EXAMPLES / "farm"))
    gnumeric("-T", "Gnumeric_pdf:pdf_assistant", file, tmp_path / "farm.pdf")
    texts = pages_of(tmp_path / "farm.pdf")
    assert any(page.lstrip().startswith("Reference") for page in texts)
    assert "Reference" not in {sheet_of(page) for page in texts if hardly_anything(page)}


def test_every_page_draws(printed: Path, tmp_path: Path, pages: list[str]) -> None:
    assert PDFTOPPM
    kept = os.environ.get("LEDGER_PICTURES")
    folder = Path(kept) if kept else tmp_path
    folder.mkdir(parents=True, exist_ok=True)
    drawn = str(folder / "page")
    command = [PDFTOPPM, "-r", "90" if kept else "60", "-png", str(printed), drawn]
    subprocess.run(command, check=True, timeout=300)
    assert len(list(folder.glob("page-*.png"))) >= len(pages)
