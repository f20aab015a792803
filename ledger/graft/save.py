"""Replacing a file on disk whole or not at all, with a backup and respect for open editors."""

from __future__ import annotations

import errno
import glob
import hashlib
import itertools
import os
import re
import secrets
import shutil
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from ledger.graft.package import GraftError

_RETRY_PAUSES_S = (0.05, 0.1, 0.2, 0.35, 0.5)  # a virus scanner lets go within about a second
_NO_FOLDER_SYNC = {errno.EINVAL, errno.ENOTSUP}  # file systems that cannot sync a folder
_CLOSE = "Close the workbook, then run again."


@dataclass(frozen=True, slots=True, kw_only=True)
class FileStamp:
    """What a file was when it was read: size in bytes, mtime in ns, SHA-256 in hex."""

    size: int
    mtime_ns: int
    sha256: str


def stamp(path: Path) -> FileStamp:
    """The present stamp of a file; OSError when it cannot be read."""
    state = path.stat()
    return FileStamp(
        size=state.st_size, mtime_ns=state.st_mtime_ns, sha256=_digest(path.read_bytes())
    )


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
    ignores that), it changed since `expected`, or the system refuses. Where another program
    holds the file itself, `data` is left beside it as `<stem>.new.xlsx` and the error names it.
    """
    real = path.resolve()
    try:
        if not force:
            _refuse_locked({path, real})
        _refuse_changed(real, expected)
        if not real.exists():
            _swap(real, data, expected)
            return None
        if real.read_bytes() == data:
            return None
        kept = _backup(real) if backup else None
        _swap(real, data, expected)
        return kept
    except OSError as error:
        reason = f"{path.name} could not be written: {error.strerror or error}."
        raise GraftError(reason, "The file is as it was; check the folder and the disk.") from error


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _refuse_locked(paths: set[Path]) -> None:
    for path in paths:
        lock = path.with_name(f".~lock.{path.name}#")
        if lock.exists():
            reason = f"{path.name} is open in a spreadsheet program ({_lock_owner(lock)})."
            raise GraftError(reason, f"{_CLOSE} If no program has it open, use force.")
        lock = path.with_name(f"~${path.name}")
        if lock.exists():
            since = datetime.fromtimestamp(lock.stat().st_mtime).isoformat(" ", "minutes")
            reason = f"{path.name} is open in a spreadsheet program (since {since})."
            raise GraftError(reason, f"{_CLOSE} If no program has it open, use force.")


def _lock_owner(lock: Path) -> str:
    # The lock holds "name,login,host,date,profile;", a comma inside a field as "\,".
    text = lock.read_text("utf-8", errors="replace")
    fields = [_printable(field) for field in re.split(r"(?<!\\),", text)]
    owner = next((field for field in fields[:2] if field), "owner unknown")
    since = fields[3] if len(fields) > 3 else "date unknown"
    return f"{owner}, {since}"


def _printable(text: str) -> str:
    return "".join(c for c in text.replace("\\,", ",") if c.isprintable()).strip()


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
    folder = path.parent / "backup"
    folder.mkdir(exist_ok=True)
    for known in sorted(folder.glob(f"{glob.escape(path.stem)}.*.{digest[:8]}.xlsx")):
        if _digest(known.read_bytes()) == digest:
            return known
    moment = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    target = folder / f"{path.stem}.{moment}.{digest[:8]}.xlsx"
    _write_new(target, data)
    shutil.copymode(path, target)
    _sync_folder(folder)
    return target


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
    temporary = path.with_name(f".{path.stem}.{secrets.token_hex(4)}.tmp")
    _write_new(temporary, data)
    try:
        if path.exists():
            shutil.copymode(path, temporary)
        _refuse_changed(path, expected)
        _replace(temporary, path, data)
    finally:
        temporary.unlink(missing_ok=True)
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
    beside = next(name for name in _names_beside(path) if not name.exists())
    _write_new(beside, data)
    reason = f"Another program holds {path.name}, so the results were saved as {beside.name}."
    return GraftError(reason, f"{_CLOSE} Or keep {beside.name} instead.")


def _names_beside(path: Path) -> Iterator[Path]:
    yield path.with_name(f"{path.stem}.new.xlsx")
    yield from (path.with_name(f"{path.stem}.new{n}.xlsx") for n in itertools.count(2))


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
