"""Where the data files lie: inside the installed package, or beside it in a checkout."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

_HERE = Path(__file__).resolve().parent


def templates_folder() -> Path:
    """Return the folder of definitions; raise FileNotFoundError when the install lacks it."""
    for folder in (_HERE / "templates", _HERE.parent / "templates"):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"no templates folder in {_HERE} or beside it")


def digest(folder: Path) -> str:
    """A digest of the names and contents of all files in and below a folder."""
    whole = sha256()
    for file in sorted(folder.rglob("*")):
        if file.is_file():
            whole.update(file.relative_to(folder).as_posix().encode() + b"\0")
            whole.update(sha256(file.read_bytes()).digest())
    return whole.hexdigest()
