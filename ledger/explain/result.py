"""Explain a cell of a result sheet: the figure it is, how it follows, the postings behind it."""

from __future__ import annotations

from functools import lru_cache

from ledger.explain.behind import lines_behind, postings_behind, sources_behind
from ledger.explain.derived import derivation_of, is_range, operand_lines, unit_of
from ledger.explain.figure import Asked, explain_figure
from ledger.explain.places import Place, places
from ledger.explain.telling import (
    Explanation,
    NothingThere,
    number,
    told_factors,
    told_postings,
)
from ledger.model import FIGURES, Definitions, Results
from ledger.model.ranges import CUSTOM_WORK
from ledger.report.results import result_sheets
from ledger.report.tables import Link
from ledger.report.units import Shown

LOW_TO_HIGH = (
    "From low to high, with every figure that has a range at one end; blank where both ends give "
    "the same."
)


def explain_result(
    results: Results, definitions: Definitions, sheet_id: str, name: str, cell: str
) -> Explanation:
    """How a cell of a result sheet follows; ``NothingThere`` when the sheet has none there."""
    place = _placed(results, definitions).get(sheet_id, {}).get(cell)
    if place is None:
        raise NothingThere(f"{name}!{cell} holds no figure of the ledger{_hint(sheet_id, results)}")
    shown = Shown(definitions=definitions, system=results.book.system)
    value = place.value.text if isinstance(place.value, Link) else place.value
    if value is None or isinstance(value, int | float):
        said = number(value, unit_of(place))
    else:
        said = str(value)
    where = f"{name}!{cell} ({place.told})"
    asked = asked_of(place, shown)
    if asked is None:
        return _derived(place, sheet_id, where, said, results, shown)
    return explain_figure(asked, where, said, results, shown, ranged=is_range(place))


def _hint(sheet_id: str, results: Results) -> str:
    if sheet_id == "years" and not results.years.years:
        return "; name the other years' workbooks with --with-years"
    return ""


@lru_cache(maxsize=4)
def _placed(results: Results, definitions: Definitions) -> dict[str, dict[str, Place]]:
    """All places of all result sheets, reckoned once however many cells are asked for."""
    return {sheet.id: places(sheet) for sheet in result_sheets(results, definitions)}


def asked_of(place: Place, shown: Shown) -> Asked | None:
    """The figure of a statement that a cell is, put together from its line and its heading."""
    keys = {**dict(place.line.about), **dict(place.heading.about)}
    if "nutrient" not in keys or keys.get("figure") not in FIGURES:
        return None
    scope = tuple(keys[key] for key in ("field", "zone") if key in keys)
    return Asked(
        scope=CUSTOM_WORK if keys.get("ground") == "custom" else scope,
        nutrient=keys["nutrient"],
        figure=keys["figure"],
        one_pass=keys.get("pass", ""),
        per_area=unit_of(place) == shown.label("mass per area"),
    )


def _derived(
    place: Place, sheet_id: str, where: str, said: str, results: Results, shown: Shown
) -> Explanation:
    """A cell by the derivation of its table; one of words alone by its heading and line."""
    definitions = shown.definitions
    derivation = derivation_of(place, sheet_id, definitions)
    if derivation is None:
        return Explanation(where=where, value=said, how=_from_words(place))
    keys = {**dict(place.line.about), **dict(place.heading.about)}
    around = _placed(results, definitions)[sheet_id]
    postings = postings_behind(keys, results, definitions)
    return Explanation(
        where=where,
        value=said,
        how=[
            derivation.how,
            *([LOW_TO_HIGH] if is_range(place) else []),
            *operand_lines(derivation, place, around, results.book, definitions),
            *filter(None, [place.table.note]),
        ],
        postings=told_postings(postings, shown),
        entries=lines_behind(place, keys, sheet_id, results, shown),
        sources=[
            *told_factors(postings, shown),
            *sources_behind(place, sheet_id, results, shown),
        ],
    )


def _from_words(place: Place) -> list[str]:
    words = [place.table.note] if place.table.note else []
    if place.heading is place.table.headings[0]:
        return ["What the line is about; ask for a figure beside it.", *words]
    if not place.label:
        return ["Words of a line; ask for a figure beside them.", *words]
    return [f"{place.heading.text or 'Value'} of {place.label}.", *words]
