"""Strips: what side-by-side strips tell, with how sure it is.

A stage: ``strips(book, definitions) -> (trials, findings)``. The statistics are those of a
randomised block design fitted by least squares, so that lost strips and unequal
numbers need no special case; with two treatments in full pairs it is the paired t test.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import fsum

from ledger import findings
from ledger.ground import crop_entry
from ledger.model import Book, Definitions, Entry, Finding
from ledger.model.trials import Comparison, Treatment, Trial
from ledger.strips.fit import Fit, fit_blocks
from ledger.strips.words import said

__all__ = ["strips"]


def strips(book: Book, definitions: Definitions) -> tuple[list[Trial], list[Finding]]:
    """Every trial of the Strips sheet, in the order they are first named."""
    trials: dict[str, list[Entry]] = {}
    for entry in book.entries.get("strips", ()):
        if not entry.faulty:
            trials.setdefault(entry.text("trial"), []).append(entry)
    worked = [_trial(name, lines, book, definitions) for name, lines in trials.items()]
    return worked, [f for trial in worked for f in _remarks(trial, definitions)]


def _trial(name: str, lines: Sequence[Entry], book: Book, definitions: Definitions) -> Trial:
    harvested = [line for line in lines if line.number("yield") is not None]
    names = list(dict.fromkeys(line.text("treatment") for line in lines))
    usual = definitions.settings["trial_confidence_pct"]
    confidence = book.farm.number("trial_confidence_pct") or float(usual)
    fit = fit_blocks(
        [line.number("yield") or 0.0 for line in harvested],
        [line.text("treatment") for line in harvested],
        [line.text("block") for line in harvested],
        confidence / 100,
    )
    per_area = definitions.units[definitions.shown_in[book.system]["mass per area"]].factor
    treatments = [_treatment(t, lines, per_area) for t in names]
    unit = _unit(lines[0], book, definitions)
    area_unit = definitions.shown_in[book.system]["area"]
    return Trial(
        name=name,
        field=lines[0].text("field"),
        unit=unit,
        confidence_pct=confidence,
        blocks=len({line.text("block") for line in lines}),
        treatments=treatments,
        comparisons=[
            _comparison(treatment, treatments[0], lines, fit, unit, area_unit, confidence)
            for treatment in treatments[1:]
        ],
        mean=fit.mean,
        cv_pct=fit.cv_pct,
        lsd=fit.lsd,
        p_treatments=fit.p_treatments,
        lost=len(lines) - len(harvested),
        first=lines[0],
    )


def _treatment(name: str, lines: Sequence[Entry], per_area: float) -> Treatment:
    """Means of a treatment; nitrogen in the ledger's own unit, as the yields are."""
    own = [line for line in lines if line.text("treatment") == name]
    yields = _known(own, "yield")
    return Treatment(
        name=name,
        strips=len(yields),
        mean=_mean(yields),
        n_rate=_mean([rate / per_area for rate in _known(own, "n_rate")]),
        n_removed=_mean([mass / per_area for mass in _known(own, "n_removed")]),
        cost=_mean(_known(own, "cost")),
    )


def _known(lines: Sequence[Entry], column: str) -> list[float]:
    return [value for line in lines if (value := line.number(column)) is not None]


def _mean(values: Sequence[float]) -> float | None:
    return fsum(values) / len(values) if values else None


def _unit(line: Entry, book: Book, definitions: Definitions) -> str:
    for zone in book.zones.get(line.text("field"), ()):
        crop = crop_entry(book, zone)
        if crop and not crop.faulty:
            return definitions.crops[crop.text("crop")].yield_unit[book.system]
    return "yield units"


def _comparison(
    treatment: Treatment,
    base: Treatment,
    lines: Sequence[Entry],
    fit: Fit,
    unit: str,
    area_unit: str,
    confidence: float,
) -> Comparison:
    effect = fit.effects.get((treatment.name, base.name))
    gains = _gains(treatment, base, lines, effect.bounds if effect else (None, None, None))
    wished = next(iter(_known(lines, "wished")), None)
    difference = effect.difference if effect else _minus(treatment.mean, base.mean)
    return Comparison(
        treatment=treatment.name,
        against=base.name,
        difference=difference,
        standard_error=effect.standard_error if effect else None,
        low=effect.low if effect else None,
        high=effect.high if effect else None,
        p_value=effect.p_value if effect else None,
        gain=gains[0],
        gain_low=gains[1],
        gain_high=gains[2],
        blocks_wanted=fit.blocks_for(wished) if wished else None,
        agronomic_efficiency=_per_nitrogen(difference, treatment, base),
        recovery=_per_nitrogen(_minus(treatment.n_removed, base.n_removed), treatment, base),
        words=said(treatment.name, base.name, effect, difference, unit, confidence, fit),
    )


def _minus(one: float | None, other: float | None) -> float | None:
    return None if one is None or other is None else one - other


def _gains(
    treatment: Treatment,
    base: Treatment,
    lines: Sequence[Entry],
    bounds: Sequence[float | None],
) -> list[float | None]:
    """Money per area: yield gain times price, less what the treatment costs more."""
    price = next(iter(_known(lines, "crop_price")), None)
    more = _minus(treatment.cost, base.cost)
    if price is None or more is None:
        return [None, None, None]
    return [None if value is None else value * price - more for value in bounds]


def _per_nitrogen(amount: float | None, treatment: Treatment, base: Treatment) -> float | None:
    """An amount per unit of nitrogen that the treatment had more than the base."""
    more = _minus(treatment.n_rate, base.n_rate)
    return None if amount is None or not more else amount / more


def _remarks(trial: Trial, definitions: Definitions) -> list[Finding]:
    words: Mapping[str, object] = {"read": trial.name}
    row = trial.first.row
    if len(trial.treatments) < 2:
        return [findings.finding(definitions, "one-treatment", row, "treatment", **words)]
    if trial.cv_pct is None:
        return [findings.finding(definitions, "not-replicated", row, "block", **words)]
    return []
