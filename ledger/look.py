"""How every sheet of the ledger looks: one typeface, a restrained palette, few formats.

Entry, reference and result cells differ by border and fill as well as by colour, so that
they can be told apart in a black-and-white print. Contrast of every text on its fill is at
least 7:1 (WCAG AAA); tests/test_look.py reckons it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

TYPEFACE = "Calibri"
INK = "#1F2A24"
QUIET = "#46524B"
HEADING_FILL = "#2F4A3C"
HEADING_INK = "#FFFFFF"
REQUIRED_FILL = "#21372C"
ENTRY_FILL = "#FFFDF5"
HELP_FILL = "#EEF1EA"
RESULT_FILL = "#F3F5F7"
TOTAL_FILL = "#DDE3DC"
ERROR_FILL = "#F6D9D2"
WARNING_FILL = "#FBEFC9"
NOTE_FILL = "#E4ECF3"
LINE = "#9AA69F"
LIVE_FILL = "#E9EEF3"
LIVE_HEADING_FILL = "#D3DDE6"
CHART_COLOURS = (  # colour and pattern, so that a print in black tells them apart
    ("#2F4A3C", ""),
    ("#C2A83E", "wide_upward_diagonal"),
    ("#46678A", "dark_horizontal"),
    ("#8A4B3C", "percent_25"),
)
TAB_START = HEADING_FILL
TAB_ENTRY = "#C2A83E"
TAB_LISTS = LINE

_BASE: Mapping[str, Any] = {
    "font_name": TYPEFACE,
    "font_size": 11,
    "font_color": INK,
    "valign": "top",
}
_CELL: Mapping[str, Any] = {"border": 1, "border_color": LINE}
_ENTRY: Mapping[str, Any] = {**_CELL, "bg_color": ENTRY_FILL, "locked": False}
_LEFT: Mapping[str, Any] = {"align": "left", "indent": 1}
_LIVE: Mapping[str, Any] = {
    **_CELL,
    "border": 4,
    "bg_color": LIVE_FILL,
    "italic": True,
    "align": "right",
}
_RESULT: Mapping[str, Any] = {**_CELL, "bg_color": RESULT_FILL}
_TOTAL: Mapping[str, Any] = {**_CELL, "bg_color": TOTAL_FILL, "bold": True, "top": 2}
_HEADING: Mapping[str, Any] = {
    **_CELL,
    "bold": True,
    "font_color": HEADING_INK,
    "bg_color": HEADING_FILL,
    "text_wrap": True,
    "valign": "vcenter",
}

SIGN = "~"  # after a number whose range stands elsewhere; before it, it reads as a minus
NUMBERS = {"whole": "#,##0", "one": "#,##0.0", "two": "#,##0.00", "money": "#,##0.00"}


def _rough(number: str) -> str:
    """A number format with the sign behind it."""
    return f'{number}" {SIGN}"'


FORMATS: Mapping[str, Mapping[str, Any]] = {
    "plain": {},
    "title": {"bold": True, "font_size": 16},
    "subtitle": {"bold": True, "font_size": 13},
    "strong": {"bold": True},
    "help_line": {"italic": True, "font_color": QUIET, "bg_color": HELP_FILL},
    "help": {"italic": True, "font_color": QUIET, "bg_color": HELP_FILL, "text_wrap": True},
    "paragraph": {"text_wrap": True},
    "caution": {"text_wrap": True, "bg_color": WARNING_FILL, "left": 5, **_LEFT},
    "key": {"font_color": QUIET, "font_size": 8},
    "unseen": {"font_size": 1, "num_format": ";;;"},
    "link": {"font_color": "#1F4E79", "underline": 1},
    "heading": {**_HEADING},
    "required": {**_HEADING, "bg_color": REQUIRED_FILL},
    "entry": {**_ENTRY, **_LEFT},
    "entry_text": {**_ENTRY, **_LEFT, "num_format": "@", "text_wrap": True},
    "answer": {**_ENTRY, **_LEFT},
    "entry_density": {**_ENTRY, "num_format": "0.00##"},
    "entry_date": {**_ENTRY, **_LEFT, "num_format": "yyyy-mm-dd"},
    "entry_number": {**_ENTRY, "num_format": "General"},
    "pencil": {"border": 1, "border_color": LINE},
    "live_heading": {
        **_HEADING,
        "bg_color": LIVE_HEADING_FILL,
        "font_color": INK,
        "italic": True,
        "top": 6,
    },
    "live_label": {"italic": True, "font_color": QUIET},
    "live_whole": {**_LIVE, "num_format": "#,##0"},
    "live_one": {**_LIVE, "num_format": "#,##0.0"},
    "live_two": {**_LIVE, "num_format": "#,##0.00"},
    "live_figure": {**_LIVE, "num_format": "General"},
    "live_text": {**_LIVE, "align": "left", "shrink": True},
    "live_name": {**_LIVE, **_LEFT, "shrink": True},
    "live_total": {**_LIVE, "bold": True, "top": 2, "num_format": "#,##0"},
    "own_figure": {**_ENTRY, "num_format": "General"},
    "figure": {**_CELL, "bg_color": HELP_FILL, "num_format": "General", "align": "right"},
    "label": {**_CELL, "bg_color": HELP_FILL},
    "reference": {**_CELL, "bg_color": HELP_FILL, "text_wrap": True},
    "text": {**_RESULT, **_LEFT},
    "wrapped": {**_RESULT, "text_wrap": True, **_LEFT},
    "date": {**_RESULT, "num_format": "yyyy-mm-dd", "align": "left"},
    "running": {**_LEFT},  # a long text that runs over the free cells to its right: no border
    "words": {**_RESULT, "text_wrap": True, **_LEFT},
    "day": {**_RESULT, "num_format": "yyyy-mm-dd", **_LEFT},
    "whole": {**_RESULT, "num_format": "#,##0"},
    "one": {**_RESULT, "num_format": "#,##0.0"},
    "two": {**_RESULT, "num_format": "#,##0.00"},
    "money": {**_RESULT, "num_format": "#,##0.00"},
    "unknown": {**_RESULT, "italic": True, "font_color": QUIET, "align": "right"},
    "result_link": {**_RESULT, **_LEFT, "font_color": "#1F4E79", "underline": 1},
    "total_text": {**_TOTAL},
    "total_one": {**_TOTAL, "num_format": "#,##0.0"},
    "total_whole": {**_TOTAL, "num_format": "#,##0"},
    "total_money": {**_TOTAL, "num_format": "#,##0.00"},
    "total_unknown": {**_TOTAL, "italic": True, "align": "right"},
    "range": {**_RESULT, "font_size": 9, "font_color": QUIET, "align": "center"},
    "total_range": {**_TOTAL, "font_size": 9, "bold": False, "align": "center"},
    **{f"rough_{name}": {**_RESULT, "num_format": _rough(of)} for name, of in NUMBERS.items()},
    **{f"total_rough_{name}": {**_TOTAL, "num_format": _rough(of)} for name, of in NUMBERS.items()},
    "error": {**_RESULT, "bg_color": ERROR_FILL, "bold": True},
    "warning": {**_RESULT, "bg_color": WARNING_FILL},
    "note": {**_RESULT, "bg_color": NOTE_FILL},
}


class Look:
    """The formats of one XlsxWriter workbook, made when first asked for."""

    def __init__(self, workbook: Any) -> None:
        self._workbook = workbook
        self._made: dict[str, Any] = {}

    def __getitem__(self, name: str) -> Any:
        if name not in self._made:
            self._made[name] = self._workbook.add_format({**_BASE, **FORMATS[name]})
        return self._made[name]


def set_up_page(
    worksheet: Any, title: str, footer: str, repeat_row: int | None = None, fit: bool = True
) -> None:
    """Print set-up that every sheet shares: landscape, one page wide, titles, footer.

    Without ``fit`` the sheet prints at full size; fitting would blow a narrow one up.
    """
    worksheet.set_landscape()
    worksheet.set_paper(1)
    if fit:
        worksheet.fit_to_pages(1, 0)
    worksheet.set_margins(left=0.5, right=0.5, top=0.7, bottom=0.7)
    worksheet.set_footer(f"&L{footer}&C{title}&RPage &P of &N")
    if repeat_row is not None:
        worksheet.repeat_rows(repeat_row)
