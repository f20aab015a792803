"""What an error of a line means beyond that line, said with the error itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from string import Formatter

from ledger.model import Definitions, Entry, Finding


def with_consequences(
    found: Sequence[Finding], entries: Mapping[str, Sequence[Entry]], definitions: Definitions
) -> list[Finding]:
    """The findings, errors of a sheet with ``error_means`` telling what they leave out."""
    told = {
        (entry.row.grid.sheet_name, entry.row.number): words
        for sheet in definitions.sheets.values()
        if sheet.error_means
        for entry in entries.get(sheet.id, ())
        if (words := _filled(sheet.error_means, entry))
    }
    return [_with(item, told.get((item.sheet, _row(item.cell)), "")) for item in found]


def _filled(text: str, entry: Entry) -> str:
    """The text with the line's own words; nothing where one of them is blank or at fault."""
    names = [name for _, name, _, _ in Formatter().parse(text) if name]
    words = {name: entry.text(name) for name in names}
    return text.format(**words) if all(words.values()) else ""


def _row(cell: str) -> int:
    return int(cell.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ") or 0)


def _with(item: Finding, words: str) -> Finding:
    if item.severity != "error" or not words:
        return item
    return replace(item, fix=f"{item.fix} {words}")
