"""Replacing a file on disk whole or not at all, with a backup and respect for open editors."""

from __future__ import annotations

import errno
import glob
import hashlib
import itertools
import os
import secrets
import shutil
import stat
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from ledger.graft.locks import alone, refuse_open
from ledger.graft.package import GraftError

_RETRY_PAUSES_S = (0.05, 0.1, 0.2, 0.35, 0.5)  # a virus scanner lets go within about a second
_NO_FOLDER_SYNC = {errno.EINVAL, errno.ENOTSUP}  # file systems that cannot sync a folder
_CLOSE = "Close the workbook, then run again."
_BACKUPS = "backup"
_UNFINISHED = ".ledger.tmp"
_STALE_S = 600.0  # no run takes this long; another machine may share the folder
_ANY_MAY_WRITE = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH


@dataclass(frozen=True, slots=True, kw_only=True)
class FileStamp:
    """What a file was when it was read: size in bytes, mtime in ns, SHA-256 in hex."""

    size: int
    mtime_ns: int
    sha256: str


def stamp(path: Path) -> FileStamp:
    """The present stamp of a file; OSError when it cannot be read."""
    state = path.stat()
    with path.open("rb") as source:
        digest = hashlib.file_digest(source, "sha256").hexdigest()
    return FileStamp(size=state.st_size, mtime_ns=state.st_mtime_ns, sha256=digest)


def replace_atomically(
    path: Path,
    data: bytes,
    *,
    expected: FileStamp | None,
    force: bool = False,
    backup: bool = True,
) -> Path | None:
    """Put `data` in the place of the file at `path`; returns the backup of what was there.

    None is returned when no backup was wanted or there was nothing to replace (no such file, or
    it holds `data` already, and then it is left alone). A symbolic link stays; its target is
    replaced. `expected` is the stamp from when the file was read (None = do not check).

    GraftError, and the original stays as it is: a spreadsheet program has the file open (`force`
    ignores that), it changed since `expected`, it is write-protected, another run is writing it,
    or the system refuses. Where another program
    holds the file itself, `data` is left beside it as `<stem>.new.xlsx` and the error names it.
    """
    real = path.resolve()
    try:
        for place in () if force else {path, real}:
            refuse_open(place)
        _refuse_changed(real, expected)
        _refuse_protected(real)
        with alone(real):
            _sweep(real)
            return _replaced(real, data, expected, backup)
    except OSError as error:
        reason = f"{path.name} could not be written: {error.strerror or error}."
        raise GraftError(reason, "The file is as it was; check the folder and the disk.") from error


def _replaced(path: Path, data: bytes, expected: FileStamp | None, backup: bool) -> Path | None:
    _refuse_changed(path, expected)  # another run may just have been writing
    if path.exists() and path.read_bytes() == data:
        return None
    kept = _backup(path) if backup and path.exists() else None
    _swap(path, data, expected)
    return kept


def _sweep(path: Path) -> None:
    """Remove what killed runs left: they cannot, and a half-written file is of no use."""
    for folder in (path.parent, path.parent / _BACKUPS):
        for left in folder.glob(f".{glob.escape(path.stem)}.????????{_UNFINISHED}"):
            if time.time() - left.stat().st_mtime > _STALE_S:
                left.unlink(missing_ok=True)


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _refuse_protected(path: Path) -> None:
    # Replacing would go through, since it is the folder that must be writable for that.
    if path.exists() and not path.stat().st_mode & _ANY_MAY_WRITE:
        reason = f"{path.name} is write-protected."
        raise GraftError(reason, "Take the protection off, or write to another file with --out.")


def _refuse_changed(path: Path, expected: FileStamp | None) -> None:
    if expected is None:
        return
    if not path.exists():
        raise GraftError(f"{path.name} is gone since it was read.", "Put it back and run again.")
    if stamp(path) != expected:
        raise GraftError(f"{path.name} changed since it was read.", "Run again on the new state.")


def _backup(path: Path) -> Path:
    data = path.read_bytes()
    digest = _digest(data)
    folder = path.parent / _BACKUPS
    folder.mkdir(exist_ok=True)
    for known in sorted(folder.glob(f"{glob.escape(path.stem)}.*.{digest[:8]}.xlsx")):
        if _digest(known.read_bytes()) == digest:
            return known
    moment = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    names = _numbered(folder / f"{path.stem}.{moment}", f".{digest[:8]}.xlsx")
    target = next(name for name in names if not name.exists())
    with _temporary(target, path.stem, data) as temporary:
        shutil.copymode(path, temporary)
        temporary.rename(target)
    _sync_folder(folder)
    return target


def _numbered(stem: Path, ending: str) -> Iterator[Path]:
    yield stem.with_name(stem.name + ending)
    yield from (stem.with_name(f"{stem.name}{n}{ending}") for n in itertools.count(2))


@contextmanager
def _temporary(target: Path, stem: str, data: bytes) -> Iterator[Path]:
    """A file beside `target` with `data`, down on the disk; it must be moved, or it goes."""
    temporary = target.with_name(f".{stem}.{secrets.token_hex(4)}{_UNFINISHED}")
    _write_new(temporary, data)
    try:
        yield temporary
    finally:
        temporary.unlink(missing_ok=True)


def _write_new(path: Path, data: bytes) -> None:
    """Write a file that must not exist yet down to the disk; leave nothing when that fails."""
    with path.open("xb") as file:
        try:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        except BaseException:
            path.unlink()
            raise


def _swap(path: Path, data: bytes, expected: FileStamp | None) -> None:
    with _temporary(path, path.stem, data) as temporary:
        if path.exists():
            shutil.copymode(path, temporary)
        _refuse_changed(path, expected)
        _replace(temporary, path, data)
    try:
        _sync_folder(path.parent)
    except OSError as error:
        reason = f"{path.name} is replaced, but the disk did not confirm it."
        raise GraftError(reason, "Check that it opens before you rely on it.") from error


def _replace(temporary: Path, path: Path, data: bytes) -> None:
    for pause in (*_RETRY_PAUSES_S, None):
        try:
            temporary.replace(path)
            return
        except PermissionError as error:
            if pause is None:
                raise _left_beside(path, data) from error
            time.sleep(pause)


def _left_beside(path: Path, data: bytes) -> GraftError:
    names = _numbered(path.with_name(f"{path.stem}.new"), ".xlsx")
    beside = next(name for name in names if not name.exists())
    _write_new(beside, data)
    reason = f"Another program holds {path.name}, so the results were saved as {beside.name}."
    return GraftError(reason, f"{_CLOSE} Or keep {beside.name} instead.")


def _sync_folder(folder: Path) -> None:
    if os.name == "nt":  # a folder cannot be opened there; the replace itself is journalled
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in _NO_FOLDER_SYNC:
            raise
    finally:
        os.close(handle)
