"""Put a person's own figures in place of published ones, for posting, need and formulas alike."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import isfinite

from ledger import findings
from ledger.live.figures import ReferenceLine, reference_lines, walk
from ledger.model import Definitions, Figure, Finding, OwnFigure, Source

OWN_SOURCE = "your own figure"


def with_own_figures(
    definitions: Definitions, own: Sequence[OwnFigure]
) -> tuple[Definitions, list[Finding]]:
    """The definitions with every fitting figure replaced, and findings on the others."""
    if not own:
        return definitions, []
    lines = {line.key: line for line in reference_lines(definitions)}
    found = [item for figure in own if (item := _unfit(figure, lines, definitions))]
    unfit = {(item.sheet, item.cell) for item in found}
    fitting = {one.key: one for one in own if (one.sheet, one.cell) not in unfit}
    found += [item for one in fitting.values() for item in _percentage(one, definitions)]

    def put(key: str, group: str, words: str, figure: Figure) -> Figure:
        return _own(figure, fitting[key]) if key in fitting else figure

    return walk(definitions, put), found


def _own(figure: Figure, own: OwnFigure) -> Figure:
    place = f"{own.sheet}!{own.cell}"
    source = Source(id="own", title=OWN_SOURCE, publisher="", published="", address=place)
    return replace(
        figure,
        value=float(own.value),
        source=source,
        status="verified",
        page="",
        note="",
        low=None,
        high=None,
    )


def _unfit(
    own: OwnFigure, lines: Mapping[str, ReferenceLine], definitions: Definitions
) -> Finding | None:
    line = lines.get(own.key)
    if line is None:
        words = {"read": own.value, "expected": own.key}
        return findings.at(definitions, "own-figure-unknown", own.sheet, own.cell, **words)
    if _fits(own.value, *line.limits):
        return None
    words = {"read": own.value, "expected": _range(line), "name": f"{line.group}, {line.words}"}
    return findings.at(definitions, "own-figure-unfit", own.sheet, own.cell, **words)


def _percentage(own: OwnFigure, definitions: Definitions) -> Iterator[Finding]:
    """Formulas take what the cell keeps: 0.042 where it shows 4.2%."""
    if own.shown:
        words = {"read": own.shown, "expected": f"{own.value:g}", "kept": f"{own.value / 100:g}"}
        code = "percent-kept-as-share"
        yield findings.at(definitions, code, own.sheet, own.cell, more="", **words)


def _fits(value: object, low: float | None, high: float | None) -> bool:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not isfinite(value):
        return False
    return (low is None or value >= low) and (high is None or value <= high)


def _range(line: ReferenceLine) -> str:
    low, high = line.limits
    if low is None:
        return "a number"
    return f"a number of {low:g} or more" if high is None else f"a number from {low:g} to {high:g}"
