"""What the recipe tests share: a copy of the data with a source of its own, new files."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from workbooks import Document, Entries, copied, document, workbook

from ledger.model import Definitions

SOURCE = {
    "title": "An invented guide",
    "publisher": "An invented publisher",
    "published": "2026",
    "address": "page 1",
}


def with_source(folder: Path) -> Path:
    """A copy of the data with a source of its own: the first recipe."""
    copy = copied(folder)
    write(copy, "sources/recipes.json", {"invented": SOURCE})
    return copy


def write(templates: Path, file: str, content: Any) -> None:
    """Add a file to the copy."""
    assert not (templates / file).exists()
    (templates / file).write_text(json.dumps(content), "utf-8")


def add_line(templates: Path, file: str, after: str, line: str) -> None:
    """Add one line to a file's text, below the last line that holds a text."""
    path = templates / file
    lines = path.read_text("utf-8").splitlines()
    at = max(n for n, text in enumerate(lines) if after in text)
    path.write_text("\n".join([*lines[: at + 1], line, *lines[at + 1 :]]), "utf-8")


def figure(value: float, unit: str) -> dict[str, Any]:
    """A figure from the invented source."""
    return {"value": value, "unit": unit, "source": "invented", "status": "memory"}


def through(source: str | Entries, data: Definitions) -> Document:
    """The document of a real workbook made and read with the changed data."""
    return document(workbook(source, data=data), data=data)
