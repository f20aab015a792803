"""Replacing the file: all or nothing, never over a person's open or changed workbook.

The lock file names and the fields of LibreOffice's lock file are measured facts; the `~$` name
of other programs is common practice, no source.
"""

from __future__ import annotations

import errno
import os
import re
import stat
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from ledger.graft import GraftError
from ledger.graft.save import FileStamp, replace_atomically, stamp

OLD, NEW = b"old workbook", b"new workbook, longer"
Patch = pytest.MonkeyPatch


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "my [farm] 2024.xlsx"
    path.write_bytes(OLD)
    return path


def names(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir())


def failing(error: OSError, *, after: int = 0) -> Callable[..., None]:
    """A stand-in for a system call that fails, let through the first `after` times."""
    calls = iter(range(after))

    def call(*_: object, **__: object) -> None:
        if next(calls, None) is None:
            raise error

    return call


def test_replaces_and_backs_up(book: Path) -> None:
    book.chmod(0o640)
    kept = replace_atomically(book, NEW, expected=stamp(book))
    assert book.read_bytes() == NEW
    assert stat.S_IMODE(book.stat().st_mode) == 0o640
    assert kept is not None and kept.read_bytes() == OLD
    assert stat.S_IMODE(kept.stat().st_mode) == 0o640
    assert kept.parent == book.parent / "backup"
    pattern = r"my \[farm\] 2024\.\d{8}T\d{6}Z\.[0-9a-f]{8}\.xlsx"
    assert re.fullmatch(pattern, kept.name)
    assert stamp(kept).sha256.startswith(kept.name.split(".")[-2])
    assert names(book.parent) == ["backup", book.name]


def test_stamp_tells_size_time_and_content(book: Path) -> None:
    taken = stamp(book)
    assert taken.size == len(OLD)
    assert taken.mtime_ns == book.stat().st_mtime_ns
    # SHA-256 of b"abc": FIPS 180-4 example
    book.write_bytes(b"abc")
    assert stamp(book).sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    with pytest.raises(OSError):
        stamp(book.with_name("none.xlsx"))


def test_a_new_file_needs_no_backup(tmp_path: Path) -> None:
    path = tmp_path / "new.xlsx"
    assert replace_atomically(path, NEW, expected=None) is None
    assert path.read_bytes() == NEW
    assert names(tmp_path) == ["new.xlsx"]


def test_backup_can_be_left_out(book: Path) -> None:
    assert replace_atomically(book, NEW, expected=None, backup=False) is None
    assert names(book.parent) == [book.name]


def test_equal_content_is_left_alone(book: Path) -> None:
    before = stamp(book)
    assert replace_atomically(book, OLD, expected=before) is None
    assert stamp(book) == before
    assert names(book.parent) == [book.name]


def test_a_known_backup_is_enough(book: Path) -> None:
    first = replace_atomically(book, NEW, expected=None)
    book.write_bytes(OLD)
    second = replace_atomically(book, b"third", expected=None)
    assert first == second
    assert first is not None and names(first.parent) == [first.name]


def test_a_backup_that_only_looks_right_is_neither_trusted_nor_overwritten(book: Path) -> None:
    folder = book.parent / "backup"
    folder.mkdir()
    false = folder / f"{book.stem}.20200101T000000Z.{stamp(book).sha256[:8]}.xlsx"
    false.write_bytes(b"cut short")
    kept = replace_atomically(book, NEW, expected=None)
    assert false.read_bytes() == b"cut short"
    assert kept is not None and kept != false and kept.read_bytes() == OLD


def test_changed_or_missing_file_is_not_replaced(book: Path) -> None:
    read = stamp(book)
    book.write_bytes(b"edited since")
    with pytest.raises(GraftError, match="changed since it was read"):
        replace_atomically(book, NEW, expected=read, force=True)
    assert book.read_bytes() == b"edited since"
    book.unlink()
    with pytest.raises(GraftError, match="is gone"):
        replace_atomically(book, NEW, expected=read)
    assert names(book.parent) == []


def test_a_touched_file_counts_as_changed(book: Path) -> None:
    read = stamp(book)
    os.utime(book, ns=(1, 1))
    with pytest.raises(GraftError, match="changed since"):
        replace_atomically(book, NEW, expected=read)


def test_change_during_the_write_is_noticed(book: Path, monkeypatch: Patch) -> None:
    real = os.fsync

    def meddle(handle: int) -> None:
        real(handle)
        book.write_bytes(b"saved meanwhile")

    monkeypatch.setattr(os, "fsync", meddle)
    with pytest.raises(GraftError, match="changed since"):
        replace_atomically(book, NEW, expected=stamp(book), backup=False)
    assert book.read_bytes() == b"saved meanwhile"
    assert names(book.parent) == [book.name]


def test_libreoffice_lock_names_owner_and_date(book: Path) -> None:
    lock = book.with_name(f".~lock.{book.name}#")
    lock.write_text("Ann\\, Bo,ann,barn,05.11.2024 07:30,file:///home/ann/prof;", "utf-8")
    with pytest.raises(GraftError, match=r"Ann, Bo, 05\.11\.2024 07:30") as caught:
        replace_atomically(book, NEW, expected=None)
    assert "force" in caught.value.advice
    assert book.read_bytes() == OLD
    assert replace_atomically(book, NEW, expected=None, force=True) is not None
    assert book.read_bytes() == NEW
    assert lock.exists()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (",ann,barn,05.11.2024 07:30,x;", "ann, 05.11.2024 07:30"),
        ("", "owner unknown, date unknown"),
        ("\x1b[31mAnn,a,b,now\n,x", "[31mAnn, now"),
    ],
)
def test_odd_lock_files_are_read_as_far_as_they_go(book: Path, text: str, words: str) -> None:
    book.with_name(f".~lock.{book.name}#").write_text(text, "utf-8")
    with pytest.raises(GraftError, match=re.escape(f"({words})")):
        replace_atomically(book, NEW, expected=None)


def test_owner_file_of_other_programs_refuses_too(book: Path) -> None:
    lock = book.with_name(f"~${book.name}")
    lock.write_bytes(b"\x03Ann")
    with pytest.raises(GraftError, match=r"open in a spreadsheet program \(Ann, since \d{4}-"):
        replace_atomically(book, NEW, expected=None)
    assert book.read_bytes() == OLD


def test_links_stay_links_and_locks_beside_the_target_count(book: Path, tmp_path: Path) -> None:
    link = tmp_path / "link.xlsx"
    link.symlink_to(book)
    replace_atomically(link, NEW, expected=stamp(book))
    assert link.is_symlink() and book.read_bytes() == NEW
    book.with_name(f".~lock.{book.name}#").write_text("Ann,,,", "utf-8")
    with pytest.raises(GraftError, match="open in"):
        replace_atomically(link, OLD, expected=None)


@pytest.mark.parametrize("call", ["replace", "fsync"])
def test_failing_system_leaves_the_original(book: Path, monkeypatch: Patch, call: str) -> None:
    monkeypatch.setattr(os, call, failing(OSError(errno.ENOSPC, "No space left")))
    with pytest.raises(GraftError, match="No space left"):
        replace_atomically(book, NEW, expected=None, backup=False)
    assert book.read_bytes() == OLD
    assert names(book.parent) == [book.name]


def test_failing_backup_leaves_the_original_and_no_half_backup(
    book: Path, monkeypatch: Patch
) -> None:
    monkeypatch.setattr(os, "fsync", failing(OSError(errno.EIO, "Disk error")))
    with pytest.raises(GraftError, match="Disk error"):
        replace_atomically(book, NEW, expected=None)
    assert book.read_bytes() == OLD
    assert names(book.parent / "backup") == []


def test_folder_that_cannot_be_written_leaves_the_original(book: Path, monkeypatch: Patch) -> None:
    def refuse(self: Path, *_: object, **__: object) -> None:
        raise PermissionError(errno.EACCES, "Permission denied", str(self))

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(GraftError, match="Permission denied"):
        replace_atomically(book, NEW, expected=None, backup=False)
    monkeypatch.undo()
    assert book.read_bytes() == OLD
    assert names(book.parent) == [book.name]


def test_interruption_removes_the_temporary_file(book: Path, monkeypatch: Patch) -> None:
    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", interrupt)
    with pytest.raises(KeyboardInterrupt):
        replace_atomically(book, NEW, expected=None, backup=False)
    assert names(book.parent) == [book.name]


def test_held_file_is_tried_again(book: Path, monkeypatch: Patch) -> None:
    pauses: list[float] = []
    real, refusals = os.replace, iter(range(5))

    def held(source: Path, target: Path) -> None:
        if next(refusals, None) is not None:
            raise PermissionError(errno.EACCES, "held")
        real(source, target)

    monkeypatch.setattr(time, "sleep", pauses.append)
    monkeypatch.setattr(os, "replace", held)
    replace_atomically(book, NEW, expected=None, backup=False)
    assert book.read_bytes() == NEW
    assert pauses == sorted(pauses) and len(pauses) == 5
    assert pauses[0] >= 0.05 and pauses[-1] <= 0.5


def test_held_to_the_end_saves_beside_it(book: Path, monkeypatch: Patch) -> None:
    monkeypatch.setattr(time, "sleep", lambda _: None)
    monkeypatch.setattr(os, "replace", failing(PermissionError(errno.EACCES, "held")))
    for beside in ("my [farm] 2024.new.xlsx", "my [farm] 2024.new2.xlsx"):
        with pytest.raises(GraftError, match=re.escape(beside)):
            replace_atomically(book, NEW, expected=None, backup=False)
        assert book.with_name(beside).read_bytes() == NEW
    assert book.read_bytes() == OLD
    assert len(names(book.parent)) == 3


@pytest.mark.skipif(os.name == "nt", reason="a folder cannot be synced on Windows")
@pytest.mark.parametrize(("number", "fails"), [(errno.EINVAL, False), (errno.EIO, True)])
def test_folder_sync(book: Path, monkeypatch: Patch, number: int, fails: bool) -> None:
    monkeypatch.setattr(os, "fsync", failing(OSError(number, "sync"), after=1))
    if fails:
        with pytest.raises(GraftError, match="disk did not confirm"):
            replace_atomically(book, NEW, expected=None, backup=False)
    else:
        replace_atomically(book, NEW, expected=None, backup=False)
    assert book.read_bytes() == NEW


def test_stamps_compare_by_value() -> None:
    first = FileStamp(size=1, mtime_ns=2, sha256="a")
    assert first == FileStamp(size=1, mtime_ns=2, sha256="a")
    assert first != FileStamp(size=1, mtime_ns=2, sha256="b")
