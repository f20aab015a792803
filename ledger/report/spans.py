"""How ranges are shown on sheets: a thin text beside a figure, or a sign behind it.

The spans themselves come with the results (``Results.ranges``); nothing is reckoned here but
their words.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from ledger.look import SIGN
from ledger.model import Entry
from ledger.model.ranges import Ranges, Scope, Span
from ledger.report.tables import Cell, Heading, Rough
from ledger.report.units import Shown

RANGE = ", range"  # how the heading of a range beside a figure ends
RANGE_WIDTH = 11  # characters of the usual size; the text is smaller
WIDE = 10.0  # of the unit shown: ends further apart than this need no decimals
BESIDE = (
    "Range: from low to high, with every figure that has one (published, or of several lab slips) "
    "at one end. Blank: the sources print none."
)


def marked(where: str) -> str:
    """What the sign after a number means and where the range is found, in a sentence."""
    return f"{SIGN} after a number: it hangs on figures with a range, which stands {where}."


MARKED = marked("on the sheet How sure")
MARKED_ON_PAPER = marked(
    "beside the analysis, on Field balance, or else in the workbook on How sure and Postings"
)


def rough(value: Cell, when: object) -> Cell:
    """A number with the sign behind it when there is a range; everything else as it is."""
    if when and isinstance(value, (int, float)):
        return Rough(value)
    return value


def several_slips(lot: Entry) -> bool:
    """Whether figures of a lot are means of lab slips that differ."""
    return any(slips.low != slips.high for slips in (lot.slips or {}).values())


def told(low: float, high: float, decimals: int | None = None) -> str:
    """A range in as many digits as its width asks for."""
    digits = (0 if high - low >= WIDE else 1) if decimals is None else decimals
    ends = (f"{round(end, digits) + 0.0:,.{digits}f}" for end in (low, high))
    return " to ".join(ends)


def span_text(span: Span | None, shown: Shown, quantity: str, area: float = 1.0) -> str:
    """A span in the unit it is shown in, over an area if one is given; blank without one."""
    if span is None or not area:
        return ""
    low, high = (shown.value(quantity, end / area) or 0.0 for end in (span.low, span.high))
    return told(low, high)


def figure_cells(
    value: Cell, span: Span | None, column: bool, shown: Shown, area: float = 1.0
) -> list[Cell]:
    """A figure per area with its range beside it, or with the sign where it has no column."""
    if column:
        return [value, span_text(span, shown, "mass per area", area)]
    return [rough(value, span)]


def ranged(
    ranges: Ranges, figures: Iterable[str], scopes: Iterable[Scope], nutrients: Iterable[str]
) -> frozenset[str]:
    """Those of the figures that have a range somewhere, so that a column beside them is due."""
    where = [(scope, nutrient) for scope in scopes for nutrient in nutrients]
    return frozenset(f for f in figures if any(ranges.of(s, n, f) for s, n in where))


def beside(heading: Heading) -> list[Heading]:
    """A heading and that of the range beside it."""
    about = (*heading.about, ("range", "beside"))
    text = heading.text + RANGE
    return [heading, replace(heading, text=text, format="range", width=RANGE_WIDTH, about=about)]


def with_ranges(headings: Sequence[Heading], columns: frozenset[str]) -> list[Heading]:
    """Headings of figures, those in ``columns`` with their ranges beside them."""
    found: list[Heading] = []
    for heading in headings:
        figure = dict(heading.about).get("figure")
        found += beside(heading) if figure in columns else [heading]
    return found
