"""Who else has a workbook: a spreadsheet program, or another run of the ledger.

Spreadsheet programs leave a file beside a workbook that they have open. Two kinds are known:
`.~lock.NAME#` (text with commas) and `~$NAME` (the owner's name behind its length, once in an
8-bit and once in a 16-bit spelling). The second layout is common practice, no source.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from ledger.graft.package import GraftError

_CLOSE = "Close the workbook, then run again."
_FORCE = f"{_CLOSE} If no program has it open, use --force."
_WIDE_NAME_AT_BYTE = 55  # of a `~$` file: two bytes of length in characters, then the name
_PATIENCE_S = 5.0  # a run holds the lock while it writes, a fraction of a second
_PAUSE_S = 0.05
_HELD = {errno.EAGAIN, errno.EACCES, errno.EDEADLK}
_NO_LOCKS = {errno.ENOLCK, errno.ENOTSUP, errno.ENOSYS}  # some network drives

if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


def refuse_open(path: Path) -> None:
    """GraftError with the owner's name when a spreadsheet program has the workbook open."""
    for name, owner in ((f".~lock.{path.name}#", _text_owner), (f"~${path.name}", _owner)):
        lock = path.with_name(name)
        if lock.exists():
            reason = f"{path.name} is open in a spreadsheet program ({owner(lock)})."
            raise GraftError(reason, _FORCE)


def _text_owner(lock: Path) -> str:
    # The lock holds "name,login,host,date,profile;", a comma inside a field as "\,".
    text = lock.read_text("utf-8", errors="replace")
    fields = [_printable(field) for field in re.split(r"(?<!\\),", text)]
    owner = next((field for field in fields[:2] if field), "owner unknown")
    since = fields[3] if len(fields) > 3 else "date unknown"
    return f"{owner}, {since}"


def _owner(lock: Path) -> str:
    since = datetime.fromtimestamp(lock.stat().st_mtime).isoformat(" ", "minutes")
    try:
        owner = _name_in(lock.read_bytes())
    except PermissionError:  # the program that made the file may keep others from reading it
        owner = ""
    return f"{owner or 'owner unknown'}, since {since}"


def _name_in(data: bytes) -> str:
    at = _WIDE_NAME_AT_BYTE
    size = 2 * int.from_bytes(data[at : at + 2], "little")
    wide = data[at + 2 : at + 2 + size].decode("utf-16-le", errors="replace")
    return _printable(wide) or _printable(data[1 : 1 + sum(data[:1])].decode("latin-1"))


def _printable(text: str) -> str:
    return "".join(c for c in text.replace("\\,", ",") if c.isprintable()).strip()


@contextmanager
def alone(path: Path) -> Iterator[None]:
    """Keep other runs of the ledger from writing the workbook; GraftError when one keeps us.

    The lock is the system's, on a file of ours beside the workbook that is removed afterwards.
    The system lets go of it when a run is killed, so that a file left behind locks nothing and
    the next run takes it over. On a drive without such locks nothing is kept.
    """
    lock = path.with_name(f".{path.name}.ledger-lock")
    handle = _wait(lock, path.name)
    try:
        yield
    finally:
        if sys.platform == "win32":  # an open file cannot be removed there
            os.close(handle)
            with contextlib.suppress(PermissionError):  # another run has it already
                lock.unlink(missing_ok=True)
        else:
            lock.unlink(missing_ok=True)
            os.close(handle)


def _wait(lock: Path, name: str) -> int:
    end = time.monotonic() + _PATIENCE_S
    while (handle := _take(lock)) is None:
        if time.monotonic() > end:
            reason = f"Another run of the ledger is writing {name}."
            raise GraftError(reason, "Wait until it is done, then run again.")
        time.sleep(_PAUSE_S)
    return handle


def _take(lock: Path) -> int | None:
    """An open handle of the locked file, None while another run has it."""
    handle = os.open(lock, os.O_RDWR | os.O_CREAT, 0o666)
    try:
        _lock(handle)
    except OSError as error:
        if error.errno not in _HELD | _NO_LOCKS:
            os.close(handle)
            raise
        if error.errno in _HELD:
            os.close(handle)
            return None
    if _still_there(lock, handle):
        return handle
    os.close(handle)
    return None


def _still_there(lock: Path, handle: int) -> bool:
    """False when the run before removed the file between our opening and locking it."""
    try:
        return os.path.samestat(lock.stat(), os.fstat(handle))
    except FileNotFoundError:
        return False
