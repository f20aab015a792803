"""Explain a cell of a result sheet: the figure it is, how it follows, the postings behind it."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

from ledger.balance.figures import PRIMARY, figure_of
from ledger.explain.places import Place, places
from ledger.explain.telling import (
    Explanation,
    NothingThere,
    factor_line,
    number,
    told_factors,
    told_postings,
)
from ledger.model import Definitions, Posting, Results, Total
from ledger.report.results import result_sheets
from ledger.report.tables import Link
from ledger.report.units import Shown

HOW = {
    "manure": "Everything the manure held, by amount and analysis, what the air takes included.",
    "manure_credit": "What of the manure this year's crop can use, by the credit set.",
    "fertilizer": "Product times density (for volumes) times grade, all passes.",
    "credits": "Other credits: the crop before, nitrate in soil and water, and the Credits sheet.",
    "residual": "What earlier years' manure still gives, by the credit set.",
    "applied": "applied = manure + fertilizer",
    "supply": "supply = usable manure + fertilizer + credits + earlier manure",
    "removal": "Harvest at the figure's moisture times its content, by analysis or by the book.",
    "balance": "balance = applied - removed",
    "need": "What the crop wants, by the method chosen; see the sheet Nitrogen to go.",
    "to_go": "to go = need - supply; below zero the zone is over",
}
PARTS = {
    "applied": ("manure", "fertilizer"),
    "supply": ("manure_credit", "fertilizer", "credits", "residual"),
    "balance": ("applied", "removal"),
    "to_go": ("need", "supply"),
}


def explain_result(
    results: Results, definitions: Definitions, sheet_id: str, name: str, cell: str
) -> Explanation:
    """How a cell of a result sheet follows; ``NothingThere`` when the sheet has none there."""
    place = _placed(results, definitions).get(sheet_id, {}).get(cell)
    if place is None:
        raise NothingThere(f"{name}!{cell} holds no figure of the ledger")
    shown = Shown(definitions=definitions, system=results.book.system)
    value = place.value.text if isinstance(place.value, Link) else place.value
    said = number(value) if isinstance(value, float) or value is None else str(value)
    where = f"{name}!{cell} ({place.told})"
    about = _about(place)
    if about is None:
        return Explanation(where=where, value=said, how=_from_words(place))
    scope, nutrient, figure = about
    wanted = _counts(results, scope, nutrient, figure)
    postings = [posting for posting in results.journal.postings if wanted(posting)]
    reach = _reach(results, scope, nutrient, figure, shown)
    if not reach and "range" in dict(place.heading.about):
        reach = ["No figure that it hangs on has a range."]
    return Explanation(
        where=where,
        value=said,
        how=[HOW[figure], *reach, *_parts(results, scope, nutrient, figure, shown)],
        postings=told_postings(postings, shown),
        sources=[
            *told_factors(postings, shown),
            *_reasons(results, scope, nutrient, figure, shown),
        ],
    )


@lru_cache(maxsize=4)
def _placed(results: Results, definitions: Definitions) -> dict[str, dict[str, Place]]:
    """All places of all result sheets, reckoned once however many cells are asked for."""
    return {sheet.id: places(sheet) for sheet in result_sheets(results, definitions)}


Scope = tuple[str, ...]


def _about(place: Place) -> tuple[Scope, str, str] | None:
    """(scope, nutrient, figure) of a cell, put together from its line and its heading."""
    keys = {**dict(place.line.about), **dict(place.heading.about)}
    if "nutrient" not in keys or keys.get("figure") not in HOW:
        return None
    scope = tuple(keys[key] for key in ("field", "zone") if key in keys)
    return scope, keys["nutrient"], keys["figure"]


def _counts(
    results: Results, scope: Scope, nutrient: str, figure: str
) -> Callable[[Posting], bool]:
    primary = _primary(figure)

    def counts(posting: Posting) -> bool:
        told = figure_of(posting)
        place = (posting.zone.field, posting.zone.zone)[: len(scope)]
        inside = place == scope and (bool(scope) or not posting.zone.custom)
        return inside and posting.nutrient == nutrient and told is not None and told[0] in primary

    return counts


def _primary(figure: str) -> set[str]:
    if figure in PRIMARY:
        return {figure}
    return {name for part in PARTS.get(figure, ()) for name in _primary(part)}


def _parts(results: Results, scope: Scope, nutrient: str, figure: str, shown: Shown) -> list[str]:
    found = _figures(results, scope, nutrient)
    if found is None or figure not in PARTS:
        return []
    figures, quantity = found
    unit = shown.label(quantity)
    return [
        f"{part.replace('_', ' ')} = {number(shown.value(quantity, figures[part]), unit)}"
        for part in PARTS[figure]
    ]


def _reach(results: Results, scope: Scope, nutrient: str, figure: str, shown: Shown) -> list[str]:
    """Low, used and high of a figure whose sources give a range, in words."""
    span = results.ranges.of(scope, nutrient, figure)
    if span is None:
        return []
    quantity = "mass per area" if len(scope) == 2 else "mass"
    ends = {"low": span.low, "used": span.used, "high": span.high}
    unit = shown.label(quantity)
    told = (f"{name} {number(shown.value(quantity, x), unit)}" for name, x in ends.items())
    return [f"{', '.join(told)}: every figure that has a range at one end."]


def _figures(
    results: Results, scope: Scope, nutrient: str
) -> tuple[dict[str, float | None], str] | None:
    if len(scope) == 2:
        for statement in results.statements:
            if (statement.zone.field, statement.zone.zone) == scope:
                return dict(statement.figures[nutrient]), "mass per area"
    totals: dict[Scope, Total] = {(t.name,): t for t in results.fields}
    totals[()] = results.farm
    total = totals.get(scope)
    return (dict(total.figures[nutrient]), "mass") if total else None


def _reasons(results: Results, scope: Scope, nutrient: str, figure: str, shown: Shown) -> list[str]:
    """Where a need comes from: the plan line of the zone names its reasons."""
    if figure not in ("need", "to_go"):
        return []
    key = "need" if nutrient == "N" else f"{nutrient} need"
    factors = dict.fromkeys(
        factor
        for line in results.plan.lines
        if (line.statement.zone.field, line.statement.zone.zone) == scope
        for factor in line.reasons.get(key, ())
    )
    return [factor_line(factor, shown) for factor in factors]


def _from_words(place: Place) -> list[str]:
    words = [place.table.note] if place.table.note else []
    return [f"{place.heading.text or 'Value'} of {place.label or 'this line'}.", *words]
