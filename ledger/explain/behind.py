"""What lies behind a cell that belongs to no statement: postings, lines and publications."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from ledger.explain.derived import bare
from ledger.explain.places import Place
from ledger.explain.telling import factor_line, number, typed_cell
from ledger.gate.lines import Gatekeeper, crossing
from ledger.gate.meeting import step_of
from ledger.layout import fold
from ledger.model import Definitions, Figure, HerdEstimate, Posting, Results
from ledger.report.stores import KINDS, amount
from ledger.report.units import Shown

Keys = Mapping[str, str]
AS_TYPED = ("Head", "Days")
ALSO = {kind: ("Made, by the lines",) if kind == "made" else () for kind in KINDS}
STRIP_COLUMNS = ("yield", "n_rate", "n_removed", "cost", "crop_price", "wished")


# -------------------------------------------------------------------- postings
def postings_behind(keys: Keys, results: Results, definitions: Definitions) -> list[Posting]:
    """The postings that a cell of the sheets Farm gate or Postings adds up."""
    keeper = Gatekeeper(book=results.book, journal=results.journal, definitions=definitions)
    test, nutrient = _test(keys, keeper), keys.get("nutrient")
    if test is None or nutrient is None:
        return []
    return [p for p in results.journal.postings if p.nutrient == nutrient and test(p)]


def _test(keys: Keys, keeper: Gatekeeper) -> Callable[[Posting], bool] | None:
    if "gate" in keys:
        return lambda posting: (
            "|".join(crossing(posting, posting.entry, keeper) or ()) == keys["gate"]
        )
    if "step" in keys:
        return lambda posting: step_of(posting, posting.entry, keeper) == keys["step"]
    if "account" in keys:
        return lambda posting: _on_line(posting, keys)
    return None


def _on_line(posting: Posting, keys: Keys) -> bool:
    """Whether a line of the sheet Postings counts a posting: of one entry, or of a sheet."""
    zone, grid = posting.zone, posting.entry.row.grid
    if "all lines of" in keys:
        same = grid.sheet_name == keys["all lines of"]
    else:
        same = f"{grid.sheet_name} {posting.entry.row.number}" == keys["entry"]
    place = (zone.field, zone.zone, str(posting.account))
    return same and place == (keys["field"], keys["zone"], keys["account"])


# ----------------------------------------------------------------------- lines
def lines_behind(
    place: Place, keys: Keys, sheet_id: str, results: Results, shown: Shown
) -> Sequence[str]:
    """Lines of entry sheets that post nothing of the cell and yet make it."""
    if "trial" in keys:
        return list(_strips(keys, results, shown))
    if sheet_id == "stores":
        return [*_store_lines(place, results, shown), *_analyses(place, results, shown)]
    return ()


def _strips(keys: Keys, results: Results, shown: Shown) -> Iterator[str]:
    treatments = keys["treatments"].split("|")
    for entry in results.book.entries.get("strips", ()):
        if entry.text("trial") == keys["trial"] and entry.text("treatment") in treatments:
            row = entry.row
            told = (
                typed_cell(entry, column, results.book.system, shown.definitions)
                for column in STRIP_COLUMNS
                if column in row.cells
            )
            where = f"block {entry.text('block')}, {entry.text('treatment')}"
            yield f"{row.grid.sheet_name} row {row.number}, {where}: {'; '.join(told)}"


def _store_lines(place: Place, results: Results, shown: Shown) -> Iterator[str]:
    """What went in and out of the store by line, or the lines of the herd."""
    for kind, title in KINDS.items():
        for statement in results.yard.stores:
            for flow in statement.flows if place.heading.text in (title, *ALSO[kind]) else ():
                if flow.kind == kind and fold(statement.name) == fold(place.head):
                    row = flow.entry.row
                    told = number(amount(flow.amount, statement, shown), statement.unit)
                    yield f"{flow.day or ''} {row.grid.sheet_name} row {row.number}: {told}".strip()
    for estimate in herd_lines(place, results):
        row = estimate.entry.row
        told = number(shown.value("mass", estimate.mass), shown.label("mass"))
        yield f"{row.grid.sheet_name} row {row.number}: {estimate.entry.text('kind')}, {told}"


def _analyses(place: Place, results: Results, shown: Shown) -> Iterator[str]:
    """The analyses of the lots that what is left in a store is reckoned with."""
    if "rest holds" not in place.table.title:
        return
    columns = {n.id: n.columns.get("lot", "") for n in shown.definitions.nutrients.values()}
    column = {**columns, "N": "n_total"}.get(bare(place.heading.text), "")
    for lot in results.book.entries.get("manure_lots", ()):
        if column and lot.text("lot") in place.second.split(", "):
            told = typed_cell(lot, column, results.book.system, shown.definitions)
            yield f"{lot.text('lot')}: {told}"


def herd_lines(place: Place, results: Results) -> list[HerdEstimate]:
    """The lines of the herd that a cell of the sheet Stores hangs on."""
    by_kind = "herd should make" in place.table.title
    by_store = place.heading.text == "Made, by the herd"
    return [
        one
        for one in results.yard.herd
        if (by_kind and one.entry.text("kind") == place.head)
        or (by_store and fold(one.entry.text("store")) == fold(place.head))
    ]


# --------------------------------------------------------------------- sources
def sources_behind(place: Place, sheet_id: str, results: Results, shown: Shown) -> list[str]:
    """Figures with cell or publication behind a cell that no posting makes."""
    if sheet_id == "stores":
        herd = herd_lines(place, results)
        told = (line for one in herd for line in _herd_figures(one, place, shown))
        return list(dict.fromkeys(told))
    if sheet_id == "nitrogen-to-go":
        return _plan_reasons(place, results, shown)
    return []


def _herd_figures(estimate: HerdEstimate, place: Place, shown: Shown) -> Iterator[str]:
    """The published figures of a kind of animal that the cell's column is reckoned with."""
    if place.heading.text in AS_TYPED:
        return
    kind = shown.definitions.herd.kinds[estimate.entry.text("kind")]
    named: dict[str, Figure] = {"head a unit of weight": kind.per_unit, "manure": kind.mass}
    for part, figures in {"excreted": kind.excreted, "left": kind.kept}.items():
        for nutrient in shown.definitions.nutrients.values():
            words = f"{nutrient.id} {part}"
            if place.heading.text.startswith(words) and nutrient.elemental_symbol in figures:
                named[words] = figures[nutrient.elemental_symbol]
    for name, figure in named.items():
        yield f"{kind.id}, {name}: {figure.value:g} {figure.unit} - {figure.citation()}"


def _plan_reasons(place: Place, results: Results, shown: Shown) -> list[str]:
    """What a figure of a zone was reckoned from, where the plan keeps it by that name."""
    texts = (cell for cell in place.line.cells[2:] if isinstance(cell, str))
    names = {place.heading.text.casefold(), *(text.casefold() for text in texts)}
    return [
        factor_line(factor, shown)
        for line in results.plan.lines
        if (line.statement.zone.field, line.statement.zone.zone) == (place.head, place.second)
        for figure, factors in line.reasons.items()
        if figure.casefold() in names
        for factor in factors
    ]
