"""``balance`` and the file on disk: what it refuses, what it keeps, what stays text.

Whatever goes wrong, the workbook stays as it was and no half file remains beside it.
"""

from __future__ import annotations

import csv
import errno
import json
import os
import resource
import signal
import sys
import threading
import time
import zipfile
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from pathlib import Path

import openpyxl
import pytest
from finding_cases import BASE
from lxml import etree
from programs import NEEDS_OFFICE, SOFFICE, office
from small import small
from test_graft_samples import edited, sheet_part
from test_kill import ended, old
from workbooks import SHIPPED, Entries, parse, title, workbook

from ledger import cli, pipeline
from ledger.graft import GraftError, graft, locks, save

Patch = pytest.MonkeyPatch
Capture = pytest.CaptureFixture[str]
CLEAN, REFUSED = cli.common.CLEAN, cli.common.REFUSED
NAMED = ("fields", "crops", "manure_lots", "manure_spread", "harvest", "people")
FORMULAS = ("=1+1", "+1", "-1", "@x", '=HYPERLINK("http://example.org")')


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    path = tmp_path / "farm.xlsx"
    path.write_bytes(old())
    return path


@pytest.fixture
def untouched(farm: Path) -> Iterator[Path]:
    """The workbook, which must be as before when the test ends, and alone in its folder."""
    before = farm.read_bytes()
    yield farm
    assert farm.read_bytes() == before
    backups = [p for p in farm.parent.rglob("*") if p.is_file() and p != farm]
    assert all(p.parent.name == "backup" and p.read_bytes() == before for p in backups)


def balance(path: Path, *options: str) -> int:
    return cli.main(["balance", str(path), *options])


def wide_owner(name: str) -> bytes:
    """An owner file as spreadsheet programs leave it; the layout is common practice."""
    narrow = bytes([len(name)]) + name.encode("latin-1", "replace")
    wide = len(name).to_bytes(2, "little") + name.encode("utf-16-le")
    return narrow.ljust(55, b" ") + wide.ljust(110, b"\0")


# ---------------------------------------------------------------- open elsewhere
LOCKS = {
    ".~lock.farm.xlsx#": (b",ann,barn,05.11.2025 07:30,file:///prof;", "ann, 05.11.2025"),
    "~$farm.xlsx": (wide_owner("Zoë Łas"), "Zoë Łas, since "),
}


@pytest.mark.parametrize("name", LOCKS)
def test_a_workbook_that_is_open_is_refused_with_its_owner(
    untouched: Path, name: str, capsys: Capture
) -> None:
    content, owner = LOCKS[name]
    lock = untouched.with_name(name)
    lock.write_bytes(content)
    assert balance(untouched) == REFUSED
    said = capsys.readouterr().err
    assert owner in said and "--force" in said
    assert lock.read_bytes() == content
    lock.unlink()


@pytest.mark.parametrize("name", LOCKS)
def test_force_writes_though_it_is_open(farm: Path, name: str) -> None:
    before = farm.read_bytes()
    farm.with_name(name).write_bytes(LOCKS[name][0])
    assert balance(farm, "--force") == CLEAN
    assert farm.read_bytes() != before
    assert farm.with_name(name).exists()


@pytest.mark.parametrize("data", [b"", b"\x05", b"\x03Ann", wide_owner("")])
def test_an_odd_owner_file_is_read_as_far_as_it_goes(
    untouched: Path, data: bytes, capsys: Capture
) -> None:
    lock = untouched.with_name("~$farm.xlsx")
    lock.write_bytes(data)
    assert balance(untouched) == REFUSED
    assert ("Ann, since" if b"Ann" in data else "owner unknown, since") in capsys.readouterr().err
    lock.unlink()


# --------------------------------------------------------------- two runs at once
def test_a_second_run_waits_for_the_first_and_then_gives_way(
    untouched: Path, monkeypatch: Patch, capsys: Capture
) -> None:
    monkeypatch.setattr(locks, "_PATIENCE_S", 0.2)
    with locks.alone(untouched):
        assert balance(untouched) == REFUSED
    assert "Another run of the ledger is writing farm.xlsx" in capsys.readouterr().err


def test_a_second_run_goes_on_when_the_first_is_done(farm: Path) -> None:
    entered = threading.Event()
    leave = threading.Event()

    def hold() -> None:
        with locks.alone(farm):
            entered.set()
            leave.wait(30)

    other = threading.Thread(target=hold)
    other.start()
    entered.wait(30)
    threading.Timer(0.3, leave.set).start()
    assert balance(farm) == CLEAN
    other.join()
    assert sorted(p.name for p in farm.parent.iterdir()) == ["backup", "farm.xlsx"]


def test_a_lock_file_that_a_dead_run_left_locks_nothing(farm: Path) -> None:
    left = farm.with_name(".farm.xlsx.ledger-lock")
    left.write_bytes(b"")
    assert balance(farm) == CLEAN
    assert not left.exists()


def test_a_drive_without_locks_is_written_to_all_the_same(farm: Path, monkeypatch: Patch) -> None:
    def refuse(handle: int) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(locks, "_lock", refuse)
    assert balance(farm) == CLEAN
    assert sorted(p.name for p in farm.parent.iterdir()) == ["backup", "farm.xlsx"]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_many_runs_at_once_leave_one_whole_result(farm: Path) -> None:
    old = farm.read_bytes()
    new = pipeline.with_results(old, pipeline.run(old, SHIPPED), SHIPPED)
    stamped = save.stamp(farm)
    runs = [_forked(lambda: _write(farm, new, stamped)) for _ in range(12)]
    codes = [ended(run) for run in runs]
    assert codes.count(CLEAN) == 1 and codes.count(REFUSED) == 11
    assert farm.read_bytes() == new
    assert [p.read_bytes() for p in farm.parent.glob("backup/*")] == [old]
    assert sorted(p.name for p in farm.parent.iterdir()) == ["backup", "farm.xlsx"]


def _write(farm: Path, new: bytes, stamped: save.FileStamp) -> int:
    try:
        save.replace_atomically(farm, new, expected=stamped)
    except GraftError as refusal:
        return REFUSED if "changed since" in refusal.reason else 99
    return CLEAN


def _forked(work: Callable[[], int]) -> int:
    """Do some work in a child; returns its process id, its exit code tells the outcome."""
    pid = os.fork()
    if pid:
        return pid
    try:
        os._exit(work())
    finally:
        os._exit(99)


# ------------------------------------------------------------------ changed since
def test_a_workbook_saved_meanwhile_is_left_alone(
    farm: Path, monkeypatch: Patch, capsys: Capture
) -> None:
    saved = workbook(BASE.replace("4000", "4500"), data=small())
    whole = pipeline.put_sheets

    def meanwhile(*arguments: object) -> bytes:
        farm.write_bytes(saved)
        return whole(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(pipeline, "put_sheets", meanwhile)
    assert balance(farm) == REFUSED
    assert "changed since it was read" in capsys.readouterr().err
    assert farm.read_bytes() == saved
    assert [p.name for p in farm.parent.iterdir()] == ["farm.xlsx"]


def test_a_part_that_would_change_stops_the_writing(
    untouched: Path, monkeypatch: Patch, capsys: Capture
) -> None:

    def spoil(*arguments: object) -> bytes:
        after = graft(*arguments)  # type: ignore[arg-type]
        return edited(after, {"xl/theme/theme1.xml": lambda content: content + b" "})

    monkeypatch.setattr(pipeline, "graft", spoil)
    assert balance(untouched) == REFUSED
    assert "theme1.xml would have changed" in capsys.readouterr().err


def test_every_backup_is_kept(farm: Path) -> None:
    states = []
    for amount in (4000, 4100, 4200, 4300, 4000):
        farm.write_bytes(workbook(BASE.replace("4000", str(amount)), data=small()))
        states.append(farm.read_bytes())
        assert balance(farm) == CLEAN
    kept = [p.read_bytes() for p in farm.parent.glob("backup/farm.*.xlsx")]
    assert sorted(kept) == sorted(set(states))


def test_two_backups_of_one_second_do_not_meet(farm: Path, monkeypatch: Patch) -> None:
    monkeypatch.setattr(save, "_digest", lambda data: "0" * 64)
    first = save.replace_atomically(farm, b"one", expected=None)
    assert first is not None
    first.write_bytes(b"edited by hand")
    monkeypatch.undo()
    monkeypatch.setattr(save, "_digest", lambda data: "0" * 8 + str(hash(data)))
    second = save.replace_atomically(farm, b"two", expected=None)
    assert first.read_bytes() == b"edited by hand"
    assert second is not None and second != first and second.read_bytes() == b"one"


# -------------------------------------------------------------- what refuses us
def test_a_write_protected_workbook_stays(untouched: Path, capsys: Capture) -> None:
    untouched.chmod(0o444)
    assert balance(untouched, "--force") == REFUSED
    assert "write-protected" in capsys.readouterr().err
    untouched.chmod(0o644)


CALLS = {"make a file": "open", "write it down": "fsync", "replace": "replace", "list": "mkdir"}


@pytest.mark.parametrize("number", [errno.EACCES, errno.ENOSPC])
@pytest.mark.parametrize("call", CALLS.values(), ids=list(CALLS))
def test_a_system_that_refuses_leaves_the_workbook(
    untouched: Path, monkeypatch: Patch, capsys: Capture, call: str, number: int
) -> None:
    real = getattr(os, call)

    def refuse(first: object, *rest: object, **options: object) -> object:
        if call != "fsync" and not str(first).startswith(str(untouched.parent)):
            return real(first, *rest, **options)  # other files are none of ours
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(time, "sleep", lambda _: None)
    monkeypatch.setattr(os, call, refuse)
    code = balance(untouched)
    monkeypatch.undo()
    assert code == REFUSED
    said = capsys.readouterr().err
    beside = untouched.with_name("farm.new.xlsx")
    if call == "replace" and number == errno.EACCES:  # somebody holds the file: saved beside it
        assert beside.name in said
        beside.unlink()
    else:
        assert os.strerror(number) in said and "as it was" in said


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and limits on files")
@pytest.mark.parametrize("room", [0, 4096, 60_000])
def test_a_disk_that_is_full_leaves_the_workbook(untouched: Path, room: int) -> None:
    def limited() -> int:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))
        sys.stdout = sys.stderr = Path(os.devnull).open("w")  # noqa: SIM115
        return balance(untouched)

    assert untouched.stat().st_size > room
    assert ended(_forked(limited)) == REFUSED


# ----------------------------------------------------------------- text stays text
def _named(texts: Sequence[str]) -> Entries:
    """The base ledger once for every text, which is the name of field, lot, person and notes."""
    entries: Entries = {"farm": [{"farm_name": texts[0], "operator": texts[0]}]}
    entries["people"] = [{"name": text, "role": "self", "contact": text} for text in texts]
    for sheet_id, rows in parse(BASE).items():
        columns = SHIPPED.sheets[sheet_id].by_id
        notes = {"notes": "notes"} if "notes" in columns else {}
        entries[sheet_id] = [
            {name: text if cell in ("Home", "Pit", "notes") else cell for name, cell in cells}
            for row in rows
            for text in texts
            for cells in [(row | notes).items()]
        ]
    return entries


def _as_csv(folder: Path, entries: Entries) -> Path:
    folder.mkdir()
    for sheet_id, rows in entries.items():
        with (folder / f"{sheet_id}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, list(rows[0]))
            writer.writeheader()
            writer.writerows(rows)
    return folder


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workbook made by ``new`` with dangerous texts for names, and balanced."""
    folder = tmp_path_factory.mktemp("text")
    farm = folder / "farm.xlsx"
    entries = _as_csv(folder / "entries", _named(FORMULAS))
    assert cli.main(["new", str(farm), "--year", "2026", "--entries", str(entries)]) == CLEAN
    assert balance(farm, "--rates", str(folder / "rates.csv")) == CLEAN
    return farm


@cache
def _opened(farm: Path) -> openpyxl.Workbook:
    return openpyxl.load_workbook(farm)


def _kinds(farm: Path, sheet: str) -> dict[str, set[str]]:
    """The data types of the cells that hold each of the texts."""
    cells = [c for row in _opened(farm)[sheet] for c in row]
    return {text: {c.data_type for c in cells if c.value == text} for text in FORMULAS}


@pytest.mark.parametrize("sheet", [*map(title, NAMED), "Field balance", "Postings"])
def test_text_that_looks_like_a_formula_is_written_as_text(written: Path, sheet: str) -> None:
    book = zipfile.ZipFile(written)
    root = etree.fromstring(book.read(sheet_part(written.read_bytes(), sheet)))
    formulas = {f"={formula.text}" for formula in root.iter("{*}f")}
    assert not formulas & set(FORMULAS)
    assert all(kinds == {"s"} for kinds in _kinds(written, sheet).values())


def test_names_that_look_like_formulas_give_the_same_figures(
    written: Path, capsys: Capture
) -> None:
    plain = written.with_name("plain.xlsx")
    plain.write_bytes(workbook(_named("ABCDE"), data=small()))
    documents = []
    for path in (written, plain):
        capsys.readouterr()
        assert balance(path, "--json") == CLEAN
        documents.append(json.loads(capsys.readouterr().out))
    assert [zone["field"] for zone in documents[0]["zones"]] == list(FORMULAS)
    assert documents[0]["farm"]["nutrients"] == documents[1]["farm"]["nutrients"]
    assert documents[0]["farm"]["nutrients"]["N"]["applied_total"] > 0


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_libreoffice_shows_the_text_and_reckons_nothing(written: Path) -> None:
    folder = written.parent
    office(folder / "profile", "xlsx", folder / "opened", [written])
    book = openpyxl.load_workbook(folder / "opened" / written.name, data_only=True)
    for name in (title("fields"), title("manure_lots"), "Field balance", "Nitrogen to go"):
        values = [cell for row in book[name].values for cell in row]
        assert set(FORMULAS) <= set(values), name


def test_csv_is_guarded(written: Path) -> None:
    assert cli.main(["export", str(written), "--out", str(written.parent / "export")]) == CLEAN
    files = [*written.parent.glob("*.csv"), *(written.parent / "export").glob("*.csv")]
    seen = set()
    for file in files:
        with file.open(encoding="utf-8", newline="") as lines:
            cells = {cell for row in csv.reader(lines) for cell in row}
        assert not cells & set(FORMULAS), file.name
        seen |= cells & {f"'{text}" for text in FORMULAS}
    assert len(files) > 2 and len(seen) == len(FORMULAS)
