"""Where the sheet 'Reference' holds what: its columns, its lines, the figure in use of each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ledger.live.figures import reference_lines
from ledger.live.shown import shown_factor
from ledger.model import Definitions, Figure, System

NAME = "Reference"
SHEET_ID = "reference"
KEY, OWN = "#key", "#own"  # the keys that the reader finds the two columns by
COLUMNS = (
    "group",
    "words",
    "value",
    "unit",
    "own",
    "use",
    "low",
    "high",
    "status",
    "source",
    "key",
)
OWN_HEADING = "Your own"
FIRST_LINE = 6  # counted from 1
UNITS = "Units"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line of the sheet: a published figure, or a unit, which nobody can put differently."""

    key: str
    group: str
    words: str
    value: float
    unit: str
    figure: Figure | None = None
    limits: tuple[float | None, float | None] = (None, None)


def lines(definitions: Definitions, system: System) -> list[Line]:
    """All lines of the sheet in order."""
    published = [
        Line(
            key=line.key,
            group=line.group,
            words=line.words,
            value=line.figure.value,
            unit=line.figure.unit,
            figure=line.figure,
            limits=line.limits,
        )
        for line in reference_lines(definitions)
    ]
    return [*published, *_units(definitions, system)]


def unit_key(unit: str) -> str:
    """The key of a unit's factor."""
    return f"unit|{unit}"


def _units(definitions: Definitions, system: System) -> Iterator[Line]:
    shown = definitions.shown_in[system]
    for unit, about in definitions.units.items():
        own = shown.get(about.quantity, "")
        yield Line(
            key=unit_key(unit),
            group=UNITS,
            words=f"1 {unit}",
            value=shown_factor(unit, definitions, system),
            unit=own or about.quantity,
        )
