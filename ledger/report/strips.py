"""The sheet *Strips result* and the strips of the JSON document."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ledger.model.trials import Comparison, Trial
from ledger.report.tables import Cell, Heading, Line, ResultSheet, Table
from ledger.report.units import Shown

WORDS = (
    "Differences are of treatments in the same block; the interval says how far the truth may lie "
    "from the figure.",
    "'Not told apart from zero' does not mean no effect: the strips were too few, or too uneven, "
    "to see one of this size.",
)


def strips_sheet(trials: Sequence[Trial], shown: Shown) -> ResultSheet:
    """A pair of tables a trial: treatments, and each against the first."""
    tables = [
        table for trial in trials for table in (_treatments(trial), _comparisons(trial, shown))
    ]
    words = [*WORDS] if trials else ["No strips were entered."]
    return ResultSheet(id="strips-result", name="Strips result", words=words, tables=tables)


def _treatments(trial: Trial) -> Table:
    headings = [
        Heading(text="Treatment", format="text", width=24),
        Heading(text="Strips", format="whole", width=8),
        Heading(text=f"Mean yield [{trial.unit}]", width=14),
        Heading(text="Yield per unit of N", format="two", width=14),
    ]
    lines = [
        Line(
            cells=[t.name, t.strips, t.mean, _partial_productivity(t.mean, t.n_rate)],
            about=(("trial", trial.name), ("treatments", t.name)),
        )
        for t in trial.treatments
    ]
    return Table(
        title=f"{trial.name} ({trial.field})", headings=headings, lines=lines, note=_note(trial)
    )


def _note(trial: Trial) -> str:
    if trial.cv_pct is None or trial.lsd is None or trial.p_treatments is None:
        return f"{trial.blocks} blocks; treatments are not repeated enough for an error."
    lost = f", {trial.lost} strips lost" if trial.lost else ""
    return (
        f"{trial.blocks} blocks{lost}; CV {trial.cv_pct:.1f} %; least significant difference "
        f"{trial.lsd:.1f} {trial.unit}; p of treatments {trial.p_treatments:.3f}."
    )


def _partial_productivity(mean: float | None, rate: float | None) -> Cell:
    return "" if rate is None or not rate else (None if mean is None else mean / rate)


def _comparisons(trial: Trial, shown: Shown) -> Table:
    area = shown.label("area")
    headings = [
        Heading(text="Against the first", format="text", width=24),
        Heading(text=f"Difference [{trial.unit}]", width=11),
        Heading(text="Standard error", format="two", width=11),
        Heading(text="From", width=9),
        Heading(text="To", width=9),
        Heading(text="p", format="two", width=8),
        Heading(text=f"Gain [$/{area}]", format="money", width=11),
        Heading(text="From", format="money", width=9),
        Heading(text="To", format="money", width=9),
        Heading(text="Blocks for the wished difference", format="whole", width=12),
        Heading(text="Yield gained per unit of N", format="two", width=12),
        Heading(text="N recovered", format="two", width=10),
        Heading(text="In words", format="wrapped", width=60),
    ]
    lines = [
        Line(
            cells=_cells(item),
            about=(("trial", trial.name), ("treatments", f"{item.against}|{item.treatment}")),
        )
        for item in trial.comparisons
    ]
    return Table(title="", headings=headings, lines=lines)


def _cells(item: Comparison) -> list[Cell]:
    optional = (
        item.gain,
        item.gain_low,
        item.gain_high,
        item.blocks_wanted,
        item.agronomic_efficiency,
        item.recovery,
    )
    return [
        item.treatment,
        item.difference,
        item.standard_error,
        item.low,
        item.high,
        item.p_value,
        *("" if value is None else value for value in optional),
        item.words,
    ]


def strips_items(trials: Sequence[Trial]) -> list[dict[str, Any]]:
    """The ``strips`` of the result document; yields in the crop's unit, money per area."""
    return [
        {
            "trial": trial.name,
            "field": trial.field,
            "unit": trial.unit,
            "confidence_pct": trial.confidence_pct,
            "blocks": trial.blocks,
            "lost": trial.lost,
            "mean": trial.mean,
            "cv_pct": trial.cv_pct,
            "lsd": trial.lsd,
            "p_treatments": trial.p_treatments,
            "treatments": [
                {"treatment": t.name, "strips": t.strips, "mean": t.mean} for t in trial.treatments
            ],
            "comparisons": [_item(item) for item in trial.comparisons],
        }
        for trial in trials
    ]


def _item(item: Comparison) -> dict[str, Any]:
    return {name: getattr(item, name) for name in Comparison.__dataclass_fields__}
