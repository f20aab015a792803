"""Where printed pages end, by the least that a page takes: programs and typefaces differ.

A break stands before what would part there; a program whose page takes more has no reason to
part it later.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

PIXELS_A_CHARACTER = 7  # of the usual typeface
CELL_MARGIN_PX = 5
PAGE_WIDTH_PX = 960  # 10 in of a landscape page
PAGE_HEIGHT_PT = 511  # 7.1 in of it
SAFE = 0.95  # programs differ in what they get on a page
LEAST_LINES = 3  # of a longer table that is begun at the foot of a page


def room_of(width_px: float) -> float:
    """Points that a page holds at the scale that makes it one page wide."""
    scale = min(1.0, PAGE_WIDTH_PX / width_px) if width_px else 1.0
    return PAGE_HEIGHT_PT * SAFE / scale


def kept(heights: Sequence[float], most: float) -> float:
    """Height of the lines that stay with their headings: all up to ``most``, else a few."""
    return whole if (whole := sum(heights)) <= most else sum(heights[:LEAST_LINES])


@dataclass(slots=True, kw_only=True)
class Pages:
    """How much of a page is used [points], and the rows that begin one."""

    room: float
    used: float = 0.0
    breaks: list[int] = field(default_factory=list)

    def fits(self, height: float) -> bool:
        """Whether rows of this height are still on the page."""
        return self.used + height <= self.room

    def turn(self, row: int) -> None:
        """Begin a new page with a row."""
        self.breaks.append(row)
        self.used = 0.0

    def add(self, height: float) -> None:
        """Use up some of the page, or of several."""
        self.used = (self.used + height) % self.room
