"""What an entry sheet looks like: headings with units, help lines, marks, cell letters.

Shared by the builder, which writes these texts, and the reader, which recognises them.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

from ledger.model import Column, Definitions, Sheet, System


def heading(column: Column, system: System, definitions: Definitions) -> str:
    """The heading a person sees: the farmer's words and the unit in brackets."""
    star = "*" if column.required else ""
    unit = heading_unit(column, system, definitions)
    return f"{column.title}{star} [{unit}]" if unit else f"{column.title}{star}"


def heading_unit(column: Column, system: System, definitions: Definitions) -> str:
    """The unit text of a heading, or nothing when the column has none of its own."""
    if column.per_crop_yield:
        return _crop_units(system, definitions)
    if column.per_yield:
        return f"{column.unit[system]} a " + " or ".join(_yield_words(system, definitions))
    if column.unit_by_form:
        return " or ".join(column.unit_by_form[system].values())
    return column.unit.get(system, "")


def _crop_units(system: System, definitions: Definitions) -> str:
    units = dict.fromkeys(crop.yield_unit[system] for crop in definitions.crops.values())
    return " or ".join(units)


def _yield_words(system: System, definitions: Definitions) -> list[str]:
    units = (crop.yield_unit[system] for crop in definitions.crops.values())
    return list(dict.fromkeys(unit.split("/")[0] for unit in units))


def help_line(sheet: Sheet) -> str:
    """The first line below a sheet's title: what goes here."""
    return sheet.help


def example_line(sheet: Sheet) -> str:
    """The second line: one filled line in words."""
    return f"For example: {sheet.example}"


def mark(sheet_id: str, system: System, definitions: Definitions) -> str:
    """The text of a sheet's mark cell."""
    return f"{definitions.settings['mark']} {definitions.version} {system} {sheet_id}"


def fold(text: str) -> str:
    """A text as it is compared: compatibility forms, case and runs of spaces made alike."""
    return _fold(text)


@lru_cache(maxsize=100_000)
def _fold(text: str) -> str:
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())


def letter(index: int) -> str:
    """The letters of a column counted from 0: 0 is A, 26 is AA."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


@lru_cache(maxsize=2_000)
def index_of(letters: str) -> int:
    """The number of a column counted from 0: A is 0, AA is 26."""
    number = 0
    for one in letters:
        number = number * 26 + ord(one) - ord("A") + 1
    return number - 1
