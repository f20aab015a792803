"""Figures of a person's own, typed beside published ones on the sheet 'Reference'."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from ledger.layout import letter
from ledger.live.reference import KEY, OWN, OWN_HEADING, SHEET_ID
from ledger.model import OwnFigure
from ledger.read.recognise import RESULT, Suspect
from ledger.read.tab import Tab, is_blank


def own_figures(suspects: Iterable[Suspect]) -> tuple[OwnFigure, ...]:
    """Every filled cell of the column for own figures, with the key of its line.

    Sheet, columns and lines are found by their keys, so that sorting and moving do no harm.
    """
    sheets = (one.tab for one in suspects if one.likely == f"{RESULT}{SHEET_ID}")
    return tuple(figure for tab in sheets for figure in _figures(tab))


def _figures(tab: Tab) -> Iterator[OwnFigure]:
    at: Mapping[Any, int] = {}
    for number, cells in tab.lines():
        if not at:
            places = {cell: place for place, cell in cells.items() if cell in (KEY, OWN)}
            at = places if len(places) == 2 else {}
        elif not is_blank(cells.get(at[OWN])) and cells[at[OWN]] != OWN_HEADING:
            yield OwnFigure(
                key=str(cells.get(at[KEY], "")),
                value=cells[at[OWN]],
                sheet=tab.name,
                cell=f"{letter(at[OWN])}{number}",
            )
