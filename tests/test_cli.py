"""The commands: exit codes, what goes to stdout and what to stderr, what is refused."""

import csv
import json
import subprocess
import sys
from datetime import date
from pathlib import Path
from zipfile import ZipFile

import openpyxl
import pytest
from farms import STANDARD, standard
from finding_cases import BASE
from jsonschema import Draft202012Validator
from workbooks import Entries, cell_of, copied, document, put, rewrite, run, workbook

from ledger import pipeline, resources
from ledger.cli import main
from ledger.definitions.data import read_json

SCHEMA = read_json(resources.templates_folder() / "meta" / "result.schema.json")
Captured = pytest.CaptureFixture[str]


@pytest.fixture
def clean(tmp_path: Path) -> Path:
    return saved(tmp_path / "clean.xlsx", BASE)


@pytest.fixture
def spoilt(tmp_path: Path) -> Path:
    return saved(tmp_path / "spoilt.xlsx", put(BASE, "fertilizer", "amount", -20))


def saved(file: Path, source: str | Entries) -> Path:
    file.write_bytes(workbook(source))
    return file


# -------------------------------------------------------------------------------- new
def test_new_makes_a_workbook_that_can_be_checked(tmp_path: Path, capsys: Captured) -> None:
    file = tmp_path / "farm.xlsx"
    assert main(["new", str(file), "--year", "2027", "--units", "metric"]) == 0
    said = capsys.readouterr()
    assert said.out == "" and str(file) in said.err
    farm = openpyxl.load_workbook(file)["Farm"]
    assert farm[cell_of("farm", "year")].value == 2027
    assert farm[cell_of("farm", "units")].value == "metric"
    assert main(["check", str(file)]) == 1  # the farm has no name yet
    assert "'Farm name'" in capsys.readouterr().out


def test_new_takes_this_year_unless_told(tmp_path: Path) -> None:
    file = tmp_path / "farm.xlsx"
    assert main(["new", str(file)]) == 0
    farm = openpyxl.load_workbook(file)["Farm"]
    assert farm[cell_of("farm", "year")].value == date.today().year
    assert farm[cell_of("farm", "units")].value == "us"


@pytest.mark.parametrize(("year", "code"), [(1950, 2), (0, 2), (1989, 2), (1990, 0), (2100, 0),
                                           (2101, 2)])  # fmt: skip
def test_new_takes_the_years_that_check_takes(
    year: int, code: int, tmp_path: Path, capsys: Captured
) -> None:
    file = tmp_path / "farm.xlsx"
    assert main(["new", str(file), "--year", str(year)]) == code
    said = capsys.readouterr().err
    assert file.exists() == (code == 0)
    assert (f"--year reads {year}; expected a crop year from 1990 to 2100" in said) == (code == 2)
    if file.exists():
        main(["check", str(file)])
        assert "Crop year" not in capsys.readouterr().out


def test_new_refuses_a_far_year_of_the_entries(tmp_path: Path, capsys: Captured) -> None:
    (tmp_path / "farm.csv").write_text("farm_name,year\nWillow Bend,1950\n")
    assert main(["new", str(tmp_path / "farm.xlsx"), "--entries", str(tmp_path)]) == 2
    assert "farm.csv: year reads 1950" in capsys.readouterr().err


def test_new_never_overwrites(clean: Path, capsys: Captured) -> None:
    before = clean.read_bytes()
    assert main(["new", str(clean)]) == 2
    assert "is there already" in capsys.readouterr().err
    assert clean.read_bytes() == before


def test_new_into_a_folder_that_is_not_there_is_refused(tmp_path: Path, capsys: Captured) -> None:
    assert main(["new", str(tmp_path / "no" / "farm.xlsx")]) == 2
    assert "Traceback" not in capsys.readouterr().err


def test_new_fills_in_entries(tmp_path: Path) -> None:
    folder = tmp_path / "entries"
    folder.mkdir()
    rows = {
        "farm": [["farm_name", "year", "units"], ["Willow Bend", "2025", "us"]],
        "fields": [["field", "area"], ["Home", "40"]],
        "fertilizer": [
            ["date", "pass", "product", "field", "amount", "unit"],
            ["2025-04-20", "preplant", "urea", "Home", "100", "lb/ac"],
        ],
    }
    for name, lines in rows.items():
        with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as target:
            csv.writer(target).writerows(lines)
    file = tmp_path / "farm.xlsx"
    assert main(["new", str(file), "--entries", str(folder)]) == 0
    result = document(file.read_bytes())
    assert result["ledger"]["farm"] == "Willow Bend"
    assert result["ledger"]["year"] == 2025
    assert result["zones"][0]["nutrients"]["N"]["fertilizer"] == pytest.approx(46)


@pytest.mark.parametrize(
    ("name", "text"),
    [("filds.csv", "field,area\nHome,40\n"), ("fields.csv", "field,acres\nHome,40\n")],
    ids=["no such sheet", "no such column"],
)
def test_new_refuses_entries_it_does_not_know(
    tmp_path: Path, capsys: Captured, name: str, text: str
) -> None:
    folder = tmp_path / "entries"
    folder.mkdir()
    (folder / name).write_text(text, "utf-8")
    file = tmp_path / "farm.xlsx"
    assert main(["new", str(file), "--entries", str(folder)]) == 2
    assert name in capsys.readouterr().err
    assert not file.exists()


# ------------------------------------------------------------------------------ check
def test_check_of_a_clean_workbook(clean: Path, capsys: Captured) -> None:
    before = clean.read_bytes()
    assert main(["check", str(clean)]) == 0
    said = capsys.readouterr()
    assert said.out == "" and "Nothing to mend" in said.err
    assert clean.read_bytes() == before


def test_warnings_alone_are_no_failure(tmp_path: Path, capsys: Captured) -> None:
    file = saved(tmp_path / "farm.xlsx", put(BASE, "manure_lots", "s", None))
    assert main(["check", str(file)]) == 0
    said = capsys.readouterr()
    assert "analysis-missing" in said.out and "1 warning" in said.err


def test_check_says_place_reason_and_remedy(spoilt: Path, capsys: Captured) -> None:
    before = spoilt.read_bytes()
    assert main(["check", str(spoilt)]) == 1
    said = capsys.readouterr()
    assert said.out.startswith("error: Fertilizer!F6: read -20; expected more than 0.")
    assert "1 error" in said.err
    assert spoilt.read_bytes() == before


def test_check_as_json_is_json_alone(spoilt: Path, capsys: Captured) -> None:
    assert main(["check", str(spoilt), "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert found == document(spoilt.read_bytes())["findings"]


# ---------------------------------------------------------------------------- balance
def test_balance_writes_its_sheets_and_keeps_a_copy(tmp_path: Path, capsys: Captured) -> None:
    file = tmp_path / "farm.xlsx"
    file.write_bytes(standard())
    expected = 0 if run(standard()).clean else 1
    assert main(["balance", str(file)]) == expected == 0
    assert "Wrote the result sheets" in capsys.readouterr().err
    book = openpyxl.load_workbook(file)
    cells = [c.value for row in book["Field balance"].iter_rows() for c in row]
    assert "Long Bottom" in cells and "west" in cells
    assert document(file.read_bytes()) == document(STANDARD)
    copies = [path for path in tmp_path.rglob("*.xlsx") if path != file]
    assert [path.read_bytes() for path in copies] == [standard()]


def test_balance_twice_gives_the_same_workbook(clean: Path) -> None:
    assert main(["balance", str(clean)]) == 0
    once = ZipFile(clean)
    first = {name: once.read(name) for name in once.namelist()}
    assert main(["balance", str(clean)]) == 0
    again = ZipFile(clean)
    assert sorted(again.namelist()) == sorted(first)
    assert {name: again.read(name) for name in again.namelist()} == first


def test_balance_as_json_is_json_alone_and_writes_nothing(
    clean: Path, tmp_path: Path, capsys: Captured
) -> None:
    before = clean.read_bytes()
    assert main(["balance", str(clean), "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    Draft202012Validator(SCHEMA).validate(result)
    assert result == document(before)
    assert clean.read_bytes() == before
    assert list(tmp_path.iterdir()) == [clean]


def test_balance_with_errors_says_so_and_still_writes(spoilt: Path, capsys: Captured) -> None:
    assert main(["balance", str(spoilt)]) == 1
    assert "too-small" in capsys.readouterr().out
    cells = [c.value for row in openpyxl.load_workbook(spoilt)["Summary"].iter_rows() for c in row]
    assert any("INCOMPLETE" in str(cell) for cell in cells)


def test_balance_into_a_copy_leaves_the_original(clean: Path, tmp_path: Path) -> None:
    before, out = clean.read_bytes(), tmp_path / "out.xlsx"
    assert main(["balance", str(clean), "--out", str(out)]) == 0
    assert clean.read_bytes() == before
    assert document(out.read_bytes()) == document(before)


def test_balance_does_not_overwrite_another_file(
    clean: Path, tmp_path: Path, capsys: Captured
) -> None:
    out = tmp_path / "precious.xlsx"
    out.write_text("precious")
    assert main(["balance", str(clean), "--out", str(out)]) == 2
    assert "is there already" in capsys.readouterr().err
    assert out.read_text() == "precious"


def test_balance_without_writing_changes_nothing(clean: Path, tmp_path: Path) -> None:
    before = clean.read_bytes()
    assert main(["balance", str(clean), "--no-write"]) == 0
    assert clean.read_bytes() == before
    assert list(tmp_path.iterdir()) == [clean]


# -------------------------------------------------------------------- what is refused
UNREADABLE: dict[str, bytes] = {
    "empty": b"",
    "words": b"field,area\nHome,40\n",
    "old": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 2048,
    "cut off": standard()[:5000],
    "cut off late": standard()[:-200],
}


@pytest.mark.parametrize("command", ["check", "balance"])
@pytest.mark.parametrize("kind", UNREADABLE)
def test_an_unreadable_file_is_refused_in_words(
    command: str, kind: str, tmp_path: Path, capsys: Captured
) -> None:
    file = tmp_path / "farm.xlsx"
    file.write_bytes(UNREADABLE[kind])
    assert main([command, str(file)]) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.strip() and "Traceback" not in said.err
    assert file.read_bytes() == UNREADABLE[kind]


@pytest.mark.parametrize("command", ["check", "balance"])
def test_a_missing_file_a_folder_and_a_foreign_zip_are_refused(
    command: str, tmp_path: Path, capsys: Captured
) -> None:
    foreign = tmp_path / "notes.xlsx"
    with ZipFile(foreign, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
    for file in (tmp_path / "none.xlsx", tmp_path, foreign):
        assert main([command, str(file)]) == 2
        said = capsys.readouterr()
        assert said.out == "" and said.err.strip()


def test_a_fault_in_other_definitions_is_said_in_words(
    clean: Path, tmp_path: Path, capsys: Captured
) -> None:
    templates = copied(tmp_path)
    rewrite(templates, "nutrients.json", lambda d: d.update(stray=1))
    assert main(["check", str(clean), "--templates", str(templates)]) == 2
    assert "stray" in capsys.readouterr().err
    assert main(["check", str(clean), "--templates", str(tmp_path)]) == 2
    assert "holds no definitions" in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [[], ["moon"], ["check"], ["new", "x.xlsx", "--units", "x"]])
def test_a_wrong_command_line_is_refused(arguments: list[str], capsys: Captured) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(arguments)
    assert stopped.value.code == 2
    assert "usage" in capsys.readouterr().err


# ------------------------------------------------------------------------ as a program
HEAVY = ("pandas", "pint", "openpyxl", "xlsxwriter", "jsonschema")


def test_help_answers_without_heavy_libraries() -> None:
    code = (
        "import runpy, sys\n"
        "sys.argv = ['ledger', '--help']\n"
        "try: runpy.run_module('ledger', run_name='__main__')\n"
        "except SystemExit as stop: assert not stop.code\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=30
    )
    assert "balance" in done.stdout and "Local rules" in done.stdout
    assert done.stderr.strip() == "[]"


def test_the_module_runs_as_a_program(spoilt: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "ledger", "check", str(spoilt), "--json"],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert done.returncode == 1
    assert [item["code"] for item in json.loads(done.stdout)] == ["too-small"]


def test_a_fault_of_the_program_is_told_in_words_and_shown_on_request(
    clean: Path, capsys: Captured, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise ZeroDivisionError("made for this test")

    monkeypatch.setattr(pipeline, "run", fail)
    before = clean.read_bytes()
    assert main(["balance", str(clean)]) == 2
    told = capsys.readouterr().err
    assert "The program itself failed (ZeroDivisionError: made for this test" in told
    assert "Traceback" not in told and clean.read_bytes() == before
    monkeypatch.setenv("LEDGER_TRACE", "1")
    with pytest.raises(ZeroDivisionError):
        main(["balance", str(clean)])


def test_a_run_that_is_stopped_says_so(
    clean: Path, capsys: Captured, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(pipeline, "run", stop)
    assert main(["check", str(clean)]) == 2
    assert "Stopped." in capsys.readouterr().err


def test_a_huge_file_is_refused_unread(tmp_path: Path, capsys: Captured) -> None:
    huge = tmp_path / "huge.xlsx"
    with huge.open("wb") as target:
        target.truncate(300 * 1024**2)  # of nothing: it takes no room on the disk
    for command in (["check"], ["balance"], ["export", "--out", str(tmp_path / "out")]):
        assert main([command[0], str(huge), *command[1:]]) == 2
        assert "which no ledger has" in capsys.readouterr().err
