"""Which cell styles show a number as a percentage.

A spreadsheet program turns a typed 32% into 0.32 shown as 32 %; who reads the bare value
would take a third of a percent.
"""

from __future__ import annotations

import re
from typing import Any

from ledger.model import Percentage

BUILT_IN = {"9", "10"}  # number formats 0% and 0.00% (ECMA-376 part 1, 18.8.30)
_NOT_SHOWN = re.compile(r'"[^"]*"|\\.|\[[^\]]*\]|_.|\*.')  # literals, colours, fillers


def percent_styles(styles: Any) -> frozenset[bytes]:
    """The numbers, as cells refer to them, of styles of a parsed style part that show percent."""
    formats = styles.iterfind("{*}numFmts/{*}numFmt")  # those of conditional looks count apart
    codes = {f.get("numFmtId"): f.get("formatCode", "") for f in formats}
    percents = BUILT_IN | {name for name, code in codes.items() if "%" in _NOT_SHOWN.sub("", code)}
    used = styles.find("{*}cellXfs")
    return frozenset(
        b"%d" % at
        for at, style in enumerate(() if used is None else used)
        if style.get("numFmtId") in percents
    )


def as_shown(number: Any) -> Any:
    """A number as a percent format shows it, in words: 0.32 is '32%'; anything else as it is."""
    is_number = isinstance(number, (int, float)) and not isinstance(number, bool)
    return Percentage(f"{number * 100:.12g}%") if is_number else number
