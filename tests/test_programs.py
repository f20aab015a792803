"""The example farm through real spreadsheet programs: the result document stays the same.

LibreOffice and Gnumeric open the built workbook and save it anew, in .xlsx and by way of .ods;
what they saved is then read and balanced.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from programs import NEEDS_GNUMERIC, NEEDS_OFFICE, SOFFICE, SSCONVERT, gnumeric, office
from small import small

from ledger import definitions, pipeline, report
from ledger.cli.new import workbook_for

EXAMPLE = Path(__file__).parent.parent / "examples" / "farm"
WAYS = ("libreoffice", "libreoffice by ods", "gnumeric", "gnumeric by ods")


def document(content: bytes) -> dict[str, Any]:
    """The result document without the row numbers of postings, which programs may shift."""
    known = definitions.load()
    return report.document(pipeline.run(content, known).results, known)


def assert_same(found: Any, wanted: Any, place: str = "") -> None:
    """Equal documents; numbers to 1e-12, since programs re-spell decimals."""
    if isinstance(wanted, Mapping):
        assert found.keys() == wanted.keys(), place
        for key in wanted:
            assert_same(found[key], wanted[key], f"{place}/{key}")
    elif isinstance(wanted, list):
        assert len(found) == len(wanted), place
        for index, (one, other) in enumerate(zip(found, wanted, strict=True)):
            assert_same(one, other, f"{place}/{index}")
    elif isinstance(wanted, float):
        assert found == pytest.approx(wanted, rel=1e-12, abs=1e-12), place
    else:
        assert found == wanted, place


@pytest.fixture(scope="module")
def built() -> bytes:
    return workbook_for(definitions.load(), year=None, units=None, folder=EXAMPLE)


@pytest.fixture(scope="module")
def short() -> bytes:
    """The example with few prepared lines: Gnumeric takes minutes to open a large .ods."""
    return workbook_for(small(), year=None, units=None, folder=EXAMPLE)


@pytest.fixture(scope="module")
def saved(tmp_path_factory: pytest.TempPathFactory, built: bytes, short: bytes) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("programs")
    farm = folder / "farm.xlsx"
    farm.write_bytes(built)
    found = {}
    if SOFFICE:
        profile = folder / "profile"
        office(profile, "xlsx", folder / "xlsx", [farm])
        office(profile, "ods", folder / "ods", [farm])
        office(profile, "xlsx", folder / "back", [folder / "ods" / "farm.ods"])
        found["libreoffice"] = folder / "xlsx" / "farm.xlsx"
        found["libreoffice by ods"] = folder / "back" / "farm.xlsx"
    if SSCONVERT:
        gnumeric(farm, folder / "g.xlsx")
        (folder / "short.xlsx").write_bytes(short)
        gnumeric(folder / "short.xlsx", folder / "g.ods")
        gnumeric(folder / "g.ods", folder / "h.xlsx")
        found["gnumeric"] = folder / "g.xlsx"
        found["gnumeric by ods"] = folder / "h.xlsx"
    return found


@pytest.mark.parametrize("way", WAYS)
def test_saved_by_a_program_gives_the_same_result(
    way: str, saved: dict[str, Path], built: bytes
) -> None:
    if way not in saved:
        pytest.skip(NEEDS_OFFICE if way.startswith("libre") else NEEDS_GNUMERIC)
    assert_same(document(saved[way].read_bytes()), document(built))


@pytest.mark.parametrize("way", WAYS)
def test_results_go_into_a_workbook_saved_by_a_program(way: str, saved: dict[str, Path]) -> None:
    if way not in saved:
        pytest.skip(NEEDS_OFFICE if way.startswith("libre") else NEEDS_GNUMERIC)
    known = definitions.load()
    content = saved[way].read_bytes()
    once = pipeline.with_results(content, pipeline.run(content, known), known)
    twice = pipeline.with_results(once, pipeline.run(once, known), known)
    assert once == twice
    assert_same(document(once), document(content))
