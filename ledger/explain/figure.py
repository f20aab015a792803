"""Explain a figure of a statement: its parts, range, postings, and where its factors are from."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from ledger.balance.figures import PRIMARY, figure_of
from ledger.explain.telling import (
    Explanation,
    factor_line,
    number,
    told_factors,
    told_postings,
)
from ledger.model import TO_GO, Posting, Results, Total, Zone
from ledger.model.ranges import CUSTOM_WORK, WHOLE_FARM, Scope
from ledger.plan.supplies import supply_of
from ledger.report.units import Shown

PARTS = {
    "applied": ("manure", "fertilizer"),
    "supply": ("manure_credit", "fertilizer", "credits", "residual"),
    "balance": ("applied", "removal"),
    "to_go": ("need", "supply"),
}
NAMES = {"removal": "removed", "manure_credit": "usable manure", "residual": "earlier manure"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A figure of a zone, a field, the farm or custom work; of one pass where one is named.

    ``per_area`` says whether it is shown as mass per area; those of zones always are.
    """

    scope: Scope
    nutrient: str
    figure: str
    one_pass: str = ""
    per_area: bool = False

    @property
    def of_zone(self) -> bool:
        """Whether it is a figure of one zone."""
        return len(self.scope) == 2


def explain_figure(
    asked: Asked, where: str, said: str, results: Results, shown: Shown, *, ranged: bool = False
) -> Explanation:
    """The figure's formula with its parts, its range, its postings and its sources.

    ``ranged`` says that the cell is a range, so that one without a range says so.
    """
    wanted = _counts(asked)
    postings = [posting for posting in results.journal.postings if wanted(posting)]
    reach = _reach(asked, results, shown)
    if not reach and ranged:
        reach = ["No figure that it hangs on has a range."]
    none = [] if postings or asked.figure not in PRIMARY else ["No line of the workbook gives any."]
    words = _words(asked, shown)
    return Explanation(
        where=where,
        value=said,
        how=[words, *none, *reach, *_parts(asked, results, shown)],
        postings=told_postings(postings, shown),
        sources=[*told_factors(postings, shown), *_reasons(asked, results, shown)],
    )


def _words(asked: Asked, shown: Shown) -> str:
    told = shown.definitions.derivations
    several = not asked.of_zone and asked.figure in told.totals
    return told.totals[asked.figure] if several else told.figures[asked.figure]


def _counts(asked: Asked) -> Callable[[Posting], bool]:
    primary = _primary(asked.figure)

    def counts(posting: Posting) -> bool:
        told = figure_of(posting)
        if posting.nutrient != asked.nutrient or told is None or told[0] not in primary:
            return False
        if not _within(posting.zone, asked.scope):
            return False
        return not asked.one_pass or supply_of(posting, posting.entry) == asked.one_pass

    return counts


def _within(zone: Zone, scope: Scope) -> bool:
    if scope in (WHOLE_FARM, CUSTOM_WORK):
        return zone.custom == (scope == CUSTOM_WORK)
    return _place(zone)[: len(scope)] == scope


def _place(zone: Zone) -> Scope:
    return (zone.field, zone.zone)


def _primary(figure: str) -> set[str]:
    if figure in PRIMARY:
        return {figure}
    return {name for part in PARTS.get(figure, ()) for name in _primary(part)}


# --------------------------------------------------------------- parts and range
def _parts(asked: Asked, results: Results, shown: Shown) -> list[str]:
    if asked.figure == TO_GO and not asked.of_zone:
        return _short(asked, results, shown)
    figures, over = _figures(asked, results)
    return [
        f"{NAMES.get(part, part)} = {_told(figures.get(part), over, asked, shown)}"
        for part in (PARTS.get(asked.figure, ()) if figures else ())
    ]


def _short(asked: Asked, results: Results, shown: Shown) -> list[str]:
    """The zones that are short, each with what it still wants."""
    return [
        f"{', '.join(_place(s.zone))}: {number(shown.value('mass', mass), shown.label('mass'))}"
        for s in results.statements
        if _within(s.zone, asked.scope)
        and (to_go := s.figures[asked.nutrient][TO_GO]) is not None
        and (mass := to_go * s.zone.area) > 0
    ]


def _reach(asked: Asked, results: Results, shown: Shown) -> list[str]:
    """Low, used and high of a figure whose sources give a range, in words."""
    span = results.ranges.of(asked.scope, asked.nutrient, asked.figure)
    if span is None or asked.one_pass:
        return []
    over = _figures(asked, results)[1]
    ends = {"low": span.low, "used": span.used, "high": span.high}
    told = (f"{name} {_told(end, over, asked, shown)}" for name, end in ends.items())
    return [f"{', '.join(told)}: every figure that has a range at one end."]


def _told(base: float | None, over: float, asked: Asked, shown: Shown) -> str:
    """A figure in the unit of the cell; ``over`` is the area [ha] that a mass is shown over."""
    quantity = "mass per area" if asked.of_zone or asked.per_area else "mass"
    value = None if base is None or not over else base / over
    return number(shown.value(quantity, value), shown.label(quantity))


def _figures(asked: Asked, results: Results) -> tuple[Mapping[str, float | None], float]:
    """All figures of the scope, and what they are shown over: an area [ha], or 1."""
    if asked.of_zone:
        for statement in results.statements:
            if _place(statement.zone) == asked.scope:
                return statement.figures[asked.nutrient], 1.0
    totals: dict[Scope, Total] = {(t.name,): t for t in results.fields}
    totals |= {WHOLE_FARM: results.farm, CUSTOM_WORK: results.custom}
    total = totals.get(asked.scope)
    if total is None:
        return {}, 1.0
    return total.figures[asked.nutrient], total.area if asked.per_area else 1.0


def _reasons(asked: Asked, results: Results, shown: Shown) -> list[str]:
    """Where a need comes from: the plan line of the zone names its reasons."""
    if asked.figure not in ("need", "to_go"):
        return []
    key = "need" if asked.nutrient == "N" else f"{asked.nutrient} need"
    factors = dict.fromkeys(
        factor
        for line in results.plan.lines
        if asked.scope and _place(line.statement.zone)[: len(asked.scope)] == asked.scope
        for factor in line.reasons.get(key, ())
    )
    return [factor_line(factor, shown) for factor in factors]
