"""Figures of a person's own, typed beside published ones on the sheet 'Reference'."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from ledger.layout import letter
from ledger.live.figures import PERCENT, SHARE, reference_lines
from ledger.live.reference import KEY, OWN, OWN_HEADING, SHEET_ID
from ledger.model import Definitions, OwnFigure, Percentage
from ledger.read.recognise import RESULT, Suspect
from ledger.read.tab import Tab, is_blank

_PERCENTAGE = re.compile(r"(-?(?:\d+\.?\d*|\.\d+))\s*%")


def own_figures(suspects: Iterable[Suspect], definitions: Definitions) -> tuple[OwnFigure, ...]:
    """Every filled cell of the column for own figures, with the key of its line.

    Sheet, columns and lines are found by their keys, so that sorting and moving do no harm.
    A percentage is a share where the published figure is one.
    """
    sheets = (one.tab for one in suspects if one.likely == f"{RESULT}{SHEET_ID}")
    return tuple(figure for tab in sheets for figure in _figures(tab, definitions))


def _figures(tab: Tab, definitions: Definitions) -> Iterator[OwnFigure]:
    at: Mapping[Any, int] = {}
    for number, cells in tab.lines():
        if not at:
            places = {cell: place for place, cell in cells.items() if cell in (KEY, OWN)}
            at = places if len(places) == 2 else {}
        elif not is_blank(cells.get(at[OWN])) and cells[at[OWN]] != OWN_HEADING:
            key, cell = str(cells.get(at[KEY], "")), cells[at[OWN]]
            value = _number(cell, key, definitions)
            otherwise = isinstance(cell, Percentage) and value == float(cell.rstrip("%"))
            yield OwnFigure(
                key=key,
                value=value,
                sheet=tab.name,
                cell=f"{letter(at[OWN])}{number}",
                shown=cell if otherwise else None,
            )


def _number(cell: Any, key: str, definitions: Definitions) -> Any:
    """What '35%' says in the unit of the figure it replaces; anything else as it is."""
    percentage = _PERCENTAGE.fullmatch(cell.strip()) if isinstance(cell, str) else None
    if percentage is None:
        return cell
    units = {line.key: line.figure.unit for line in reference_lines(definitions)}
    parts = {SHARE: 100, PERCENT: 1}.get(units.get(key, ""))
    return float(percentage[1]) / parts if parts else cell
