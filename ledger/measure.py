"""How much room a text needs, in character widths and points.

Spreadsheet programs measure text with fonts that are not at hand here, and often replace
the typeface; so these are estimates on the generous side.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from textwrap import wrap

LINE_PT = 15.0
ROW_MARGIN_PT = 3.0
ONE_LINE_PT = LINE_PT + ROW_MARGIN_PT
BOLD = 1.15  # width of a bold character, in widths of the column unit (one digit)
SLIM = 0.87  # the same for running text
LARGE = 1.7  # the same for the title's type size
FILTER_BUTTON = 3  # characters


@lru_cache(maxsize=20_000)  # wrapping the same notes again took a fifth of a build
def lines(text: str, width: float) -> int:
    """Number of lines a text takes in a cell that is ``width`` characters wide."""
    room = max(1, int(width / SLIM))
    if len(text) <= room and text.isprintable():
        return 1  # as ``wrap`` would say (measured: a tenth of the time of writing result sheets)
    return sum(max(1, len(wrap(part, room))) for part in text.split("\n"))


def height(text: str, width: float) -> float:
    """Height of a row [points] that shows a wrapped text whole."""
    return lines(text, width) * LINE_PT + ROW_MARGIN_PT


def column_width(wanted: float, heading: str, choices: Sequence[str]) -> float:
    """A width as wanted, but never too narrow for the heading's longest word or a choice."""
    word = max(len(word) for word in heading.split())
    choice = max((len(choice) for choice in choices), default=0)
    return max(wanted, round(word * BOLD + FILTER_BUTTON, 1), float(choice + FILTER_BUTTON))


def heading_height(texts_and_widths: list[tuple[str, float]]) -> float:
    """Height of a heading row [points]."""
    return max(
        height(text, (width - FILTER_BUTTON) * SLIM / BOLD) for text, width in texts_and_widths
    )
