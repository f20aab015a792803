"""Where the data files lie: inside the installed package, or beside it in a checkout."""

from __future__ import annotations

from pathlib import Path

_HERE = Path(__file__).resolve().parent


def templates_folder() -> Path:
    """Return the folder of definitions; raise FileNotFoundError when the install lacks it."""
    for folder in (_HERE / "templates", _HERE.parent / "templates"):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"no templates folder in {_HERE} or beside it")
