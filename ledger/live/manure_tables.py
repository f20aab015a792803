"""Tables of manure: which share a set credits for every case that a line can state.

A set is live when its nitrogen is one share of the total found by kind, method, hours and
form. Sets that split ammonium from organic nitrogen are left to the balance command.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from ledger.live.figures import availability_key, table_key
from ledger.live.words import HOURS, KIND
from ledger.lookup import NoAnswer, find, keys_of
from ledger.model import (
    Definitions,
    Entry,
    Figure,
    Grid,
    ManureSet,
    PoolTerm,
    Row,
    Value,
)

Pair = tuple[str | float, ...]
ASKED = {"year", "group", "placement", "incorporated_h", "form", "composted"}
FORMS = ("liquid", "solid")
_GRID = Grid(sheet_id="", sheet_name="", letters={}, pair_rows={})


def _line(**values: Value) -> Entry:
    """A line that says this much, to search with."""
    return Entry(row=Row(grid=_GRID, number=0, cells={}), values=values)


def _shares_of_total(chosen: ManureSet) -> bool:
    terms = chosen.nitrogen
    keys = {key for table in chosen.tables.values() for row in table.rows for key in row.when}
    return len(terms) == 1 and terms[0].pool == "total" and keys <= ASKED


def _live_sets(definitions: Definitions) -> list[ManureSet]:
    return [chosen for chosen in definitions.manure_sets.values() if _shares_of_total(chosen)]


def hours(definitions: Definitions) -> list[float]:
    """Every number of hours at which some live set changes its answer."""
    bands = [
        row.when["incorporated_h"]
        for chosen in _live_sets(definitions)
        for table in chosen.tables.values()
        for row in table.rows
        if "incorporated_h" in row.when
    ]
    return sorted({float(edge) for band in bands for edge in band.values()})


def steps(definitions: Definitions) -> int:
    """The step of manure that was never worked in, beyond all hours."""
    return 2 * len(hours(definitions))


def _examples(definitions: Definitions) -> list[tuple[str, float | str | None]]:
    """(step, hours that lie in it): between edges, and on them; blank for hours not typed."""
    edges = hours(definitions)
    found: list[tuple[str, float | str | None]] = [("", None)]
    for at, edge in enumerate(edges):
        below = (edges[at - 1] + edge) / 2 if at else edge / 2
        found += [(str(2 * at), below), (str(2 * at + 1), edge)]
    return [*found, (str(2 * len(edges)), "never")]


def manure(definitions: Definitions) -> Iterator[Pair]:
    """Key of set, kind, method, step of hours, form -> the share of total N credited."""
    methods = definitions.sheets["manure_spread"].by_id["method"].choices
    cases = list(product(definitions.manure_kinds, methods, _examples(definitions), FORMS))
    for chosen in _live_sets(definitions):
        for kind, method, (step, when), form in cases:
            told: dict[str, Value] = {"method": method}
            if when is not None:
                told["incorporated_after_h"] = when
            share = _share(chosen, _line(**told), _line(kind=kind, form=form), definitions)
            if share:
                yield "|".join((chosen.id, kind, method, step, form)), share


def _share(chosen: ManureSet, line: Entry, lot: Entry, definitions: Definitions) -> str:
    """The share as a formula, the word for what the line lacks, or nothing."""
    kind = definitions.manure_kinds[lot.text("kind")]
    keys = keys_of(line, lot, kind, chosen, 1)
    term = chosen.nitrogen[0]
    parts = []
    for name in filter(None, (term.retain, term.release)):
        found = find(chosen.tables[name], keys)
        if isinstance(found, NoAnswer):
            return HOURS if found.missing_key == "incorporated_h" else ""
        parts.append(_cell(chosen, name, found))
    return "=" + "*".join(parts)


def _cell(chosen: ManureSet, name: str, figure: Figure) -> str:
    rows = chosen.tables[name].rows
    row = next(row for row in rows if row.figure is figure)
    return f"[ref.{table_key(f'manure|{chosen.id}|{name}', row.when)}]"


def available(definitions: Definitions) -> Iterator[Pair]:
    """Key of set, nutrient, year -> the share available in that year."""
    for chosen in definitions.manure_sets.values():
        for nutrient, years in chosen.availability.items():
            for year in years:
                key = availability_key(chosen.id, nutrient, year)
                yield "|".join((chosen.id, nutrient, str(year))), f"=[ref.{key}]"


def _releasing(chosen: ManureSet) -> PoolTerm | None:
    """The one pool that later years free, where nothing but kind and year decide on it."""
    terms = [term for term in chosen.nitrogen if term.release is not None]
    if len(terms) != 1 or terms[0].retain is not None:
        return None
    table = chosen.tables[terms[0].release or ""]
    later = [row.when for row in table.rows if row.when.get("year") != 1]
    return terms[0] if all(set(when) <= {"year", "group", "composted"} for when in later) else None


def past_pools(definitions: Definitions) -> Iterator[Pair]:
    """Set -> how many years it credits, and the pool its later years are shares of."""
    for chosen in definitions.manure_sets.values():
        term = _releasing(chosen)
        yield chosen.id, float(chosen.years), term.pool if term else "total"


def past(definitions: Definitions) -> Iterator[Pair]:
    """Key of set, year since, kind -> the share of the pool that year frees."""
    for chosen in definitions.manure_sets.values():
        term = _releasing(chosen)
        if term is None:
            continue
        for year, kind in product(range(2, chosen.years + 1), ("", *definitions.manure_kinds)):
            line = _line(kind=kind)
            keys = keys_of(line, line, definitions.manure_kinds.get(kind), chosen, year)
            found = find(chosen.tables[term.release or ""], keys)
            share: str | float = KIND if not kind else 0.0
            if isinstance(found, Figure):
                share = "=" + _cell(chosen, term.release or "", found)
            yield "|".join((chosen.id, str(year), kind)), share
