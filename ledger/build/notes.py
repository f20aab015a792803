"""Cell notes, always with an author (some programs cannot read one without) and sized to fit."""

from __future__ import annotations

from typing import Any

from ledger.look import TYPEFACE
from ledger.measure import lines

AUTHOR = "Nutrient ledger"
WIDTH_PX, LINE_PX, MARGIN_PX, CHARACTERS_A_LINE = 320, 16, 12, 42


def write_note(worksheet: Any, row: int, at: int, text: str) -> None:
    """Put a note on a cell."""
    height = lines(text, CHARACTERS_A_LINE) * LINE_PX + MARGIN_PX
    look = {"font_name": TYPEFACE, "font_size": 10}
    worksheet.write_comment(
        row, at, text, {"author": AUTHOR, "width": WIDTH_PX, "height": height, **look}
    )
