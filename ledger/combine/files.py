"""Which files are meant: workbooks, folders of workbooks, lists of paths."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

LIST = ".txt"
BACKUPS = "backup"  # where ``balance`` keeps the workbooks as they were


def found(names: Iterable[Path], *, but: Path) -> list[Path]:
    """The workbooks that are named, each once however often it is named; never ``but``.

    A folder stands for all .xlsx files in and below it but for backups and lock files; a .txt
    file for the paths it lists, one a line, relative to itself. Raises OSError for a list
    that cannot be read; a workbook that is not there is left for the reader to report.
    """
    once: dict[Path, Path] = {}
    for file in _each(names):
        once.setdefault(file.resolve(), file)
    once.pop(but.resolve(), None)
    return list(once.values())


def _each(names: Iterable[Path]) -> Iterator[Path]:
    for name in names:
        if name.is_dir():
            yield from sorted(file for file in name.rglob("*.xlsx") if _is_ledger(file, name))
        elif name.suffix.casefold() == LIST:
            lines = name.read_text("utf-8-sig").splitlines()
            yield from _each(name.parent / line.strip() for line in lines if line.strip())
        else:
            yield name


def _is_ledger(file: Path, folder: Path) -> bool:
    within = file.relative_to(folder).parts
    return BACKUPS not in within[:-1] and not within[-1].startswith(("~$", "."))
