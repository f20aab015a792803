"""The sheet *Stores* and the ``stores`` of the JSON document."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import Any

from ledger.layout import fold
from ledger.model import HerdEstimate, Results, StoreStatement
from ledger.report.spans import marked, rough, several_slips
from ledger.report.tables import Cell, Chart, Heading, Jump, Line, ResultSheet, Table
from ledger.report.units import Shown

KINDS = {"made": "Made", "brought": "Brought", "spread": "Spread", "sold": "Sold", "lost": "Lost"}

WORDS_WIDTH = 120  # characters; longer lines would shrink the print


def stores_sheet(results: Results, shown: Shown) -> ResultSheet:
    """Every store: what was in it, in and out, what is left, what was measured, the herd."""
    yard = results.yard
    words = [
        "Opening + made + brought - spread - sold - lost = closing. A measured level changes "
        "nothing in the books; the difference is shown, and pointed out beyond the tolerance.",
        "The herd's estimate is manure as excreted; bedding, wash water and rain come on top.",
    ]
    if any(several_slips(lot) for lot in results.book.entries.get("manure_lots", ())):
        words.append(marked("with the analysis of its lot"))
    words += _sources(results, shown)
    if not yard.stores:
        words.append("No store is on the sheet Manure stores yet.")
    tables = [_flows_table(yard.stores, shown), _levels_table(yard.stores, shown)]
    if yard.stores:
        tables.append(_holds_table(results, shown))
    if yard.herd:
        tables.append(_herd_table(yard.herd, shown))
    return ResultSheet(id="stores", name="Stores", words=words, tables=tables)


def _sources(results: Results, shown: Shown) -> list[str]:
    """The published and recalled figures of this sheet, with their sources, in short lines."""
    herd = shown.definitions.herd
    kind = next(iter(herd.kinds.values()))
    density, tolerance = herd.slurry_density, herd.store_tolerance
    texts = [
        f"Weight of slurry {density.value:g} {density.unit}: {density.citation()}.",
        f"Manure of animals: {kind.mass.citation()}.",
    ]
    if results.book.farm.number("store_tolerance_pct") is None:
        said = f"Tolerance {tolerance.value:g} percent of what went through"
        texts.insert(0, f"{said}: {tolerance.citation()}.")
    return [line for text in texts for line in wrap(text, WORDS_WIDTH)]


def amount(base: float | None, statement: StoreStatement, shown: Shown) -> float | None:
    """An amount in the unit that its store is kept in."""
    factor = shown.definitions.units[statement.unit].factor
    return None if base is None else base / factor


def _flows_table(stores: Sequence[StoreStatement], shown: Shown) -> Table:
    headings = [
        Heading(text="Store", format="text", width=20),
        Heading(text="In", format="text", width=8),
        Heading(text="Opening", format="whole", width=12),
        *(Heading(text=text, format="whole", width=12) for text in KINDS.values()),
        Heading(text="Closing", format="whole", width=12),
        Heading(text="Full at", format="whole", width=12),
    ]
    lines = [_flows_line(one, shown) for one in stores]
    chart = Chart(title="In and out of the stores", categories=0, series=tuple(range(2, 9)))
    note = " ".join(_left_out(one) for one in stores if one.left_out)
    title = "What went in and out"
    return Table(title=title, headings=headings, lines=lines, chart=chart, note=note)


def _left_out(one: StoreStatement) -> str:
    """Which lines the sums of a store miss."""
    places = ", ".join(f"{e.row.grid.sheet_name} row {e.row.number}" for e in one.left_out)
    return f"{one.name} is incomplete; left out for errors: {places}."


def _flows_line(one: StoreStatement, shown: Shown) -> Line:
    full: Cell = "" if one.capacity is None else amount(one.capacity, one, shown)
    return Line(
        cells=[
            Jump(one.name, sheet="postings", about=(("store", fold(one.name)),)),
            one.unit,
            amount(one.opening, one, shown),
            *(amount(one.sums[kind], one, shown) for kind in KINDS),
            amount(one.closing, one, shown),
            full,
        ]
    )


def _levels_table(stores: Sequence[StoreStatement], shown: Shown) -> Table:
    headings = [
        Heading(text="Store", format="text", width=20),
        Heading(text="In", format="text", width=8),
        Heading(text="Measured on", format="date", width=12),
        Heading(text="Measured", format="whole", width=12),
        Heading(text="By the books", format="whole", width=12),
        Heading(text="Difference", format="whole", width=12),
        Heading(text="Within tolerance", format="text", width=12),
        Heading(text="Made, by the lines", format="whole", width=12),
        Heading(text="Made, by the level", format="whole", width=12),
        Heading(text="Made, by the herd", format="whole", width=12),
    ]
    lines = [_level_line(one, shown) for one in stores]
    return Table(title="What was measured", headings=headings, lines=lines)


def _level_line(one: StoreStatement, shown: Shown) -> Line:
    said = {True: "yes", False: "no", None: ""}[one.within]
    measured = one.counted is not None and one.counted_date is not None
    level: list[Cell] = [amount(x, one, shown) for x in (one.counted, one.expected, one.difference)]
    herd: Cell = "" if one.estimate is None else amount(one.estimate, one, shown)
    return Line(
        cells=[
            one.name,
            one.unit,
            one.counted_date or "",
            *(level if measured else ["", "", ""]),
            f"{said} ({one.tolerance_pct:g} %)" if said else "",
            amount(one.sums["made"], one, shown),
            amount(one.implied, one, shown) if measured else "",
            herd,
        ]
    )


def _holds_table(results: Results, shown: Shown) -> Table:
    stores, nutrients = results.yard.stores, list(shown.definitions.nutrients)
    lots = results.book.entries.get("manure_lots", ())
    ranged = {lot.text("lot") for lot in lots if several_slips(lot)}
    headings = [
        Heading(text="Store", format="text", width=20),
        Heading(text="Lots", format="text", width=16),
        *(
            Heading(text=f"{n} [{shown.label('mass')}]", format="whole", width=12)
            for n in nutrients
        ),
    ]
    lines = [
        Line(
            cells=[
                one.name,
                ", ".join(one.lots),
                *(
                    rough(shown.value("mass", one.holds.get(n)), ranged & set(one.lots))
                    for n in nutrients
                ),
            ]
        )
        for one in stores
    ]
    note = "What is left times the analysis sampled last."
    return Table(title="What the rest holds", headings=headings, lines=lines, note=note)


def _herd_table(herd: Sequence[HerdEstimate], shown: Shown) -> Table:
    nutrients = list(shown.definitions.nutrients)
    unit = shown.label("mass")
    headings = [
        Heading(text="Kind", format="text", width=20),
        Heading(text="Head", format="whole", width=8),
        Heading(text="Days", format="whole", width=12),
        Heading(text=f"Manure [{unit}]", format="whole", width=12),
        *(Heading(text=f"{n} excreted [{unit}]", format="whole", width=12) for n in nutrients),
        *(Heading(text=f"{n} left [{unit}]", format="whole", width=12) for n in nutrients),
        Heading(text="Store", format="text", width=16),
    ]
    lines = [_herd_line(one, nutrients, shown) for one in herd]
    note = "Left: after losses in barn and store, when it is spread."
    return Table(title="What the herd should make", headings=headings, lines=lines, note=note)


def _herd_line(one: HerdEstimate, nutrients: Sequence[str], shown: Shown) -> Line:
    return Line(
        cells=[
            one.entry.text("kind"),
            one.entry.number("head"),
            one.entry.number("days"),
            shown.value("mass", one.mass),
            *(shown.value("mass", one.excreted[n]) for n in nutrients),
            *(shown.value("mass", one.kept[n]) for n in nutrients),
            one.entry.text("store"),
        ]
    )


# ----------------------------------------------------------------------- JSON
def store_items(results: Results, shown: Shown) -> list[dict[str, Any]]:
    """The ``stores`` of the result document; amounts in the unit the store is kept in."""
    return [_item(one, shown) for one in results.yard.stores]


def _item(one: StoreStatement, shown: Shown) -> dict[str, Any]:
    amounts = {
        "opening": one.opening,
        **{kind: one.sums[kind] for kind in KINDS},
        "closing": one.closing,
        "capacity": one.capacity,
        "counted": one.counted,
        "expected": one.expected,
        "difference": one.difference,
        "made_by_herd": one.estimate,
        "made_by_level": one.implied,
    }
    return {
        "store": one.name,
        "unit": one.unit,
        **{key: amount(value, one, shown) for key, value in amounts.items()},
        "counted_date": one.counted_date.isoformat() if one.counted_date else None,
        "tolerance_pct": one.tolerance_pct,
        "within_tolerance": one.within,
        "lots": list(one.lots),
        "nutrients_total": {n: shown.value("mass", mass) for n, mass in one.holds.items()},
    }
