"""Many ledgers in one file: the same figures as each by itself, whoever reckons them."""

import os
from collections.abc import Iterator, Sequence
from importlib.util import find_spec
from pathlib import Path
from shutil import copy
from typing import Any

import openpyxl
import pandas as pd
import pytest
from finding_cases import BASE
from workbooks import SHIPPED, cell_of, put, run, set_cell, workbook

from ledger.cli import main
from ledger.combine import Combined, combine
from ledger.combine.engines import LOST, Engine, in_processes, in_turn
from ledger.combine.files import found
from ledger.combine.record import Job, Record, key_of, reckon, record_of
from ledger.combine.rows import COLUMNS
from ledger.combine.spool import Spool

SETTING = "as tested"
Captured = pytest.CaptureFixture[str]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Four ledgers of three farms: one with an error, one a copy of another."""
    folder = tmp_path_factory.mktemp("ledgers")
    for name, rate in (("ash", 60), ("birch", 90), ("cedar", -20)):
        entries = put(put(BASE, "farm", "farm_name", name), "fertilizer", "amount", rate)
        (folder / f"{name}.xlsx").write_bytes(workbook(entries))
    copy(folder / "ash.xlsx", folder / "birch-old.xlsx")
    return folder


@pytest.fixture
def ledgers(made: Path, tmp_path: Path) -> list[Path]:
    """Those, and a file that is no workbook, in a folder of the test's own."""
    for file in made.iterdir():
        copy(file, tmp_path)
    (tmp_path / "aspen.xlsx").write_bytes(b"no workbook")
    return sorted(tmp_path.glob("*.xlsx"))


REMEMBERED: dict[str, Record] = {}


def as_before(jobs: Sequence[Job]) -> Iterator[tuple[Job, Record]]:
    """In turn, but a content that another test reckoned is not reckoned again."""
    for job in jobs:
        if job.key not in REMEMBERED:
            REMEMBERED[job.key] = reckon(job)
        yield job, REMEMBERED[job.key]


def combined(
    files: Sequence[Path], out: Path, engine: Engine = as_before, spool: str = "spool"
) -> Combined:
    place = out.with_name(spool)
    return combine(files, out, SHIPPED, setting=SETTING, spool=place, engine=engine)


def table(file: Path) -> pd.DataFrame:
    frame = pd.read_csv(file, keep_default_na=False, na_values=[""], dtype=str)
    for column, kind in COLUMNS.items():
        if kind == "boolean":
            frame[column] = frame[column].map({"True": True, "False": False})
        wanted: Any = kind
        frame[column] = frame[column].astype("string" if kind == "Int64" else wanted).astype(wanted)
    frame["file"] = frame["file"].map(lambda name: Path(name).name, na_action="ignore")
    return frame


def one(frame: pd.DataFrame, **wanted: str) -> Any:
    for column, value in wanted.items():
        frame = frame[frame[column] == value]
    assert len(frame) == 1, f"{len(frame)} lines for {wanted}"
    return frame.iloc[0]


# -------------------------------------------------------------------- what is in it
def test_every_figure_is_that_of_the_ledger_alone(ledgers: list[Path], tmp_path: Path) -> None:
    combined(ledgers, tmp_path / "all.csv")
    lines = table(tmp_path / "all.csv")
    for name in ("ash", "birch", "cedar"):
        alone = run((tmp_path / f"{name}.xlsx").read_bytes()).results
        pound = SHIPPED.units["lb"].factor
        for nutrient, figures in alone.farm.figures.items():
            line = one(lines, level="farm", farm=name, nutrient=nutrient)
            for figure, mass in figures.items():
                read = line[f"{figure}_total"]
                assert pd.isna(read) if mass is None else read == mass / pound
        statement = alone.statements[0]
        zone = one(lines, level="zone", farm=name, nutrient="N")
        assert (zone["field"], zone["zone"], zone["crop"]) == ("Home", "all", "corn")
        assert zone["removal_total"] == pytest.approx(
            statement.figures["N"]["removal"] * statement.zone.area / pound  # type: ignore[operator]
        )


def test_findings_are_counted_and_a_bad_ledger_stops_nothing(
    ledgers: list[Path], tmp_path: Path
) -> None:
    done = combined(ledgers, tmp_path / "all.csv")
    lines = table(tmp_path / "all.csv")
    assert (done.files, done.reckoned, len(done.with_errors)) == (5, 4, 1)
    assert [Path(name).name for name, _ in done.problems] == ["aspen.xlsx"]
    assert "not a complete .xlsx" in one(lines, level="file", file="aspen.xlsx")["problem"]
    assert one(lines, level="file", file="cedar.xlsx")["errors"] == 1
    assert one(lines, level="farm", farm="cedar", nutrient="N")["incomplete"]
    assert not one(lines, level="farm", farm="ash", nutrient="N")["incomplete"]


def test_a_copy_is_listed_and_counted_once(ledgers: list[Path], tmp_path: Path) -> None:
    combined(ledgers, tmp_path / "all.csv")
    lines = table(tmp_path / "all.csv")
    assert "copy of" in one(lines, level="file", file="birch-old.xlsx")["problem"]
    farms = lines[(lines["level"] == "farm") & (lines["nutrient"] == "N")]
    assert sorted(farms["farm"]) == ["ash", "birch", "cedar"]
    everything = one(lines, level="all", nutrient="N")
    assert everything["farm"] == "3 farms" and everything["incomplete"]
    assert everything["manure_total"] == pytest.approx(farms["manure_total"].sum())


def test_what_one_farm_does_not_know_is_unknown_of_all(tmp_path: Path) -> None:
    blank = put(BASE, "manure_lots", "n_total", None)
    for name, entries in (("known", BASE), ("unknown", blank)):
        (tmp_path / f"{name}.xlsx").write_bytes(workbook(entries))
    combined(sorted(tmp_path.glob("*.xlsx")), tmp_path / "all.csv")
    lines = table(tmp_path / "all.csv")
    assert pd.isna(one(lines, level="all", nutrient="N")["manure_total"])
    assert one(lines, level="all", nutrient="P2O5")["manure_total"] > 0


def test_workbook_csv_and_parquet_hold_the_same(ledgers: list[Path], tmp_path: Path) -> None:
    pytest.importorskip("pyarrow", reason="pyarrow (extra 'parquet') is not installed")
    for kind in ("xlsx", "csv", "parquet"):
        combined(ledgers, tmp_path / f"all.{kind}")
    stored = pd.read_parquet(tmp_path / "all.parquet")
    lines = table(tmp_path / "all.csv")
    assert list(stored.columns) == list(lines.columns)
    assert stored["balance_total"].equals(lines["balance_total"])
    book = openpyxl.load_workbook(tmp_path / "all.xlsx")
    zones = list(book["Zones"].iter_rows(values_only=True))
    written = [line[zones[0].index("Removal [lb]")] for line in zones[1:]]
    assert written == list(lines[lines["level"] == "zone"]["removal_total"])
    assert len(list(book["Ledgers"].iter_rows())) == 1 + len(ledgers)


# ---------------------------------------------------------- who reckons does not matter
def test_neither_order_nor_workers_change_a_byte(ledgers: list[Path], tmp_path: Path) -> None:
    combined(ledgers, tmp_path / "a.csv", spool="a")
    combined([*reversed(ledgers), ledgers[2]], tmp_path / "b.csv", spool="b")
    combined(ledgers, tmp_path / "c.csv", in_processes(2), spool="c")
    assert (tmp_path / "a.csv").read_bytes() == (tmp_path / "b.csv").read_bytes()
    assert (tmp_path / "a.csv").read_bytes() == (tmp_path / "c.csv").read_bytes()


@pytest.fixture
def client() -> Iterator[Any]:
    if find_spec("distributed") is None:
        pytest.skip("dask (extra 'dask') is not installed")
    import distributed

    with distributed.Client(  # type: ignore[no-untyped-call]
        processes=False, n_workers=1, threads_per_worker=2, dashboard_address=None
    ) as client:
        yield client


def test_dask_gives_the_same_bytes(client: Any, ledgers: list[Path], tmp_path: Path) -> None:
    from ledger.combine.on_dask import on_dask

    combined(ledgers, tmp_path / "a.csv", spool="a")
    done = combined(ledgers, tmp_path / "b.csv", on_dask(client), spool="b")
    assert done.reckoned == 4
    assert (tmp_path / "a.csv").read_bytes() == (tmp_path / "b.csv").read_bytes()


class Deadly(Job):
    """A job that ends the process it is handed to."""

    def __reduce__(self) -> tuple[Any, ...]:
        return os._exit, (9,)


def test_a_worker_that_dies_takes_only_its_own_ledger_along(ledgers: list[Path]) -> None:
    good = next(job_of(file) for file in ledgers if file.stem == "ash")
    bad = Deadly(file="deadly.xlsx", key="", setting=SETTING)
    records = {job.file: record for job, record in in_processes(2)([bad, good])}
    assert LOST in records["deadly.xlsx"]["problem"]
    assert records[good.file]["farm"] == "ash"


def job_of(file: Path) -> Job:
    return Job(file=str(file), key=key_of(file.read_bytes(), SETTING), setting=SETTING)


# ------------------------------------------------------------------------ going on
def test_unchanged_files_are_not_reckoned_again(ledgers: list[Path], tmp_path: Path) -> None:
    combined(ledgers, tmp_path / "all.csv")
    first = (tmp_path / "all.csv").read_bytes()
    assert combined(ledgers, tmp_path / "all.csv").reckoned == 0
    assert (tmp_path / "all.csv").read_bytes() == first
    (tmp_path / "birch.xlsx").write_bytes(workbook(BASE))
    assert combined(ledgers, tmp_path / "all.csv").reckoned == 1


def test_a_stopped_run_goes_on_where_it_was(ledgers: list[Path], tmp_path: Path) -> None:
    combined(ledgers, tmp_path / "all.csv")
    whole = (tmp_path / "spool").read_bytes().splitlines(keepends=True)
    (tmp_path / "spool").write_bytes(b"".join(whole[:2]) + whole[2][:100])
    assert combined(ledgers, tmp_path / "again.csv").reckoned == 2
    assert (tmp_path / "again.csv").read_bytes() == (tmp_path / "all.csv").read_bytes()


def test_a_record_survives_the_disk_to_the_last_bit(made: Path, tmp_path: Path) -> None:
    record = record_of((made / "ash.xlsx").read_bytes(), SHIPPED)
    with Spool(tmp_path / "spool") as kept:
        kept.add("ash", record)
    with Spool(tmp_path / "spool") as kept:
        assert kept.get("ash") == record


def test_a_file_that_changes_meanwhile_is_not_taken_for_the_other(
    ledgers: list[Path], tmp_path: Path
) -> None:
    def slow(jobs: Sequence[Job]) -> Iterator[tuple[Job, Any]]:
        (tmp_path / "ash.xlsx").write_bytes(workbook(BASE))
        yield from in_turn(jobs)

    done = combined([tmp_path / "ash.xlsx"], tmp_path / "all.csv", slow)
    assert "changed while it was read" in done.problems[0][1]
    assert combined([tmp_path / "ash.xlsx"], tmp_path / "all.csv").problems == []


def test_of_many_ledgers_with_something_to_tell_some_are_named_and_the_rest_counted(
    tmp_path: Path, capsys: Captured, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ledger.cli.combine.MOST_TOLD", 1)
    for name in ("elm", "fir", "oak"):
        ledger = workbook(put(BASE, "farm", "farm_name", name))
        bare = set_cell(ledger, "Farm", cell_of("farm", "year"), None)
        (tmp_path / f"{name}.xlsx").write_bytes(bare)
        (tmp_path / f"{name} bad.xlsx").write_bytes(f"no {name}".encode())
    out = tmp_path / "all.csv"
    assert main(["combine", str(tmp_path), "--out", str(out), "--workers", "1"]) == 1
    said = capsys.readouterr().err.splitlines()
    for kind in ("errors: ", "no year: ", "not in it: "):
        (at,) = [n for n, line in enumerate(said) if line.startswith(kind)]
        assert said[at + 1].startswith("and 2 more; ")


@pytest.mark.parametrize("year", [None, "this year"])
def test_a_ledger_without_a_year_has_none_and_is_in_no_sum_of_a_year(
    tmp_path: Path, capsys: Captured, year: object
) -> None:
    content = set_cell(workbook(put(BASE, "farm", "farm_name", "elm")), "Farm",
                       cell_of("farm", "year"), year)  # fmt: skip
    (tmp_path / "elm.xlsx").write_bytes(content)
    (tmp_path / "fir.xlsx").write_bytes(workbook(put(BASE, "farm", "farm_name", "fir")))
    out = tmp_path / "all.csv"
    assert main(["combine", str(tmp_path), "--out", str(out), "--workers", "1"]) == 1
    assert "no year: " in (said := capsys.readouterr().err) and "elm.xlsx: the crop year" in said
    assert "1 has errors" in said and "2 ledgers" in said
    assert [line for line in said.splitlines() if line.startswith("errors: ")] == [
        f"errors: {(tmp_path / 'elm.xlsx').as_posix()}"
    ]
    lines = table(out)
    assert lines.loc[lines["farm"] == "elm", "year"].isna().all()
    assert "crop year on its Farm sheet" in one(lines, level="file", farm="elm")["problem"]
    assert pd.isna(one(lines, level="file", farm="fir")["problem"])
    everyone = one(lines, level="all", nutrient="N")
    assert (everyone["year"], everyone["farm"]) == (2026, "1 farm")


# --------------------------------------------------------------------- the command
def test_folders_lists_and_files_are_found_once(tmp_path: Path) -> None:
    names = ("a.xlsx", "b.xlsx", "~$a.xlsx", "sub/c.xlsx", "backup/a-old.xlsx", "all.xlsx")
    for name in names:
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(b"")
    (tmp_path / "list.txt").write_text("b.xlsx\n\nsub/c.xlsx\n", "utf-8")
    files = found([tmp_path / "list.txt", tmp_path], but=tmp_path / "all.xlsx")
    assert [file.name for file in files] == ["b.xlsx", "c.xlsx", "a.xlsx"]


def test_the_command_says_what_became_of_each(
    ledgers: list[Path], tmp_path: Path, capsys: Captured
) -> None:
    out = tmp_path / "out" / "all.xlsx"
    out.parent.mkdir()
    asked = ["combine", *map(str, ledgers[:2]), "--out", str(out), "--workers", "1"]
    assert main(asked) == 1
    said = capsys.readouterr()
    assert said.out == "" and "aspen.xlsx" in said.err and "2 ledgers" in said.err
    assert main(asked) == 2 and "--force" in capsys.readouterr().err
    assert main([*asked, "--force"]) == 1 and "0 were reckoned" in capsys.readouterr().err
    assert main([*asked, "--force", "--fresh"]) == 1
    assert "2 were reckoned" in capsys.readouterr().err


def test_the_command_refuses_kinds_it_cannot_write(tmp_path: Path, capsys: Captured) -> None:
    assert main(["combine", str(tmp_path), "--out", str(tmp_path / "all.doc")]) == 2
    assert ".parquet" in capsys.readouterr().err
    assert main(["combine", str(tmp_path), "--out", str(tmp_path / "all.csv")]) == 2
    assert "no workbook" in capsys.readouterr().err


def test_what_parquet_wants_is_said_as_the_readme_says_it(
    tmp_path: Path, capsys: Captured, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ledger.cli.combine.find_spec", lambda library: None)
    assert main(["combine", str(tmp_path), "--out", str(tmp_path / "all.parquet")]) == 2
    wanted = "pip install -e '.[parquet]'"
    assert wanted in capsys.readouterr().err
    assert wanted in (Path(__file__).parent.parent / "README.md").read_text("utf-8")
