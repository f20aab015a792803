"""The sheet *Farm gate* and the ``gate`` of the JSON document."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from ledger.model import FIXATION, Gate, GateFigures, GateLine, Masses, Results
from ledger.report.tables import Cell, Chart, Heading, Line, ResultSheet, Table
from ledger.report.units import Shown
from ledger.unknown import share

WAYS = {"in": "In", "out": "Out", "stock": "Stock change"}
KG_A_TONNE, KG_A_HUNDRED = 1000.0, 100.0


def gate_sheet(results: Results, shown: Shown) -> ResultSheet:
    """What crossed the gate, the balance with and without fixation, how it meets the fields."""
    gate = results.gate
    words = [
        "In - out - stock change = balance. Feed grown and fed at home never crosses the gate. "
        "Fertilizer counts as used; custom ground is left out.",
        "Contents and fixation are book figures unless you typed an analysis; many are from "
        "memory: check them with a tag, an analysis or a local guide.",
    ]
    if gate.incomplete:
        words.append("INCOMPLETE: lines with errors are missing from these sums; see Findings.")
    tables = [
        _lines_table(gate, shown),
        _balance_table(gate, shown),
        _element_table(gate, shown),
        _meeting_table(gate, shown),
    ]
    if any(line.name == FIXATION for line in gate.lines):
        tables.append(_fixation_table(shown))
    if gate.compared:
        tables.append(_compared_table(gate))
    return ResultSheet(id="farm-gate", name="Farm gate", words=words, tables=tables)


def _headings(first: str, second: str, shown: Shown, format_: str) -> list[Heading]:
    return [
        Heading(text=first, format="text", width=30),
        Heading(text=second, format="text", width=22),
        *(Heading(text=n, format=format_, width=12) for n in shown.definitions.nutrients),
    ]


def _masses(masses: Masses, shown: Shown) -> list[Cell]:
    return [shown.value("mass", masses[n]) for n in shown.definitions.nutrients]


def _lines_table(gate: Gate, shown: Shown) -> Table:
    lines = [
        Line(cells=[line.name, WAYS[line.direction], *_masses(line.masses, shown)])
        for line in gate.lines
    ]
    columns = tuple(range(2, 2 + len(shown.definitions.nutrients)))
    return Table(
        title=f"Through the gate [{shown.label('mass')}]",
        headings=_headings("What", "Way", shown, "whole"),
        lines=lines,
        chart=Chart(
            title="Through the gate", categories=0, series=columns, axis=shown.label("mass")
        ),
    )


def _fixation_table(shown: Shown) -> Table:
    """What the estimate of fixation rests on."""
    headings = [
        Heading(text="Crop", format="text", width=30),
        Heading(text="Unit of yield", format="text", width=22),
        Heading(text="Fixed", width=12),
        Heading(text="Low", width=12),
        Heading(text="High", width=12),
        Heading(text="", format="text", width=12),
        Heading(text="Remark and source", format="wrapped", width=80),
    ]
    lines = [
        Line(
            cells=[
                crop,
                figure.unit,
                figure.value,
                "" if figure.low is None else figure.low,
                "" if figure.high is None else figure.high,
                "",
                f"{figure.note} {figure.citation()}".strip(),
            ]
        )
        for crop, figure in shown.definitions.gate.fixation.items()
    ]
    return Table(title="Fixation, a rough estimate by yield", headings=headings, lines=lines)


def _balance_table(gate: Gate, shown: Shown) -> Table:
    lines = list(_balance_lines(gate.figures, "", gate, shown))
    nitrogen = {**gate.figures, **{n: f for n, f in gate.with_fixation.items() if n == "N"}}
    lines += _balance_lines(nitrogen, "with fixation", gate, shown)
    note = "Ratio: in / out; efficiency: out / in; stock of feed counts to what came in."
    return Table(
        title=f"Balance [{shown.label('mass')}]",
        headings=_headings("", "Nitrogen", shown, "whole"),
        lines=lines,
        note=note,
    )


def _balance_lines(
    figures: Mapping[str, GateFigures], words: str, gate: Gate, shown: Shown
) -> Iterator[Line]:
    said = words or "without fixation"

    def line(name: str, cells: list[Cell], **more: Any) -> Line:
        return Line(cells=[name, said, *cells], **more)

    own = [figures[n] for n in figures]
    yield line("In", [shown.value("mass", f.inputs) for f in own])
    yield line("Out", [shown.value("mass", f.outputs) for f in own])
    yield line("Stock change", [shown.value("mass", f.stock) for f in own])
    yield line("Balance", [shown.value("mass", f.balance) for f in own], kind="total")
    per = [shown.value("mass per area", share(f.balance, gate.area)) for f in own]
    yield line(f"Balance [{shown.label('mass per area')}]", [*per], format="one")
    if gate.milk:
        per_milk = [share(f.balance, gate.milk / KG_A_HUNDRED) for f in own]
        yield line(
            "Balance a hundredweight of milk [lb], or kg a 100 kg", [*per_milk], format="two"
        )
    yield line("Ratio", [f.ratio for f in own], format="two")
    yield line("Efficiency", [f.efficiency for f in own], format="two")


def _element_table(gate: Gate, shown: Shown) -> Table:
    """The same per area, phosphorus and potassium as the elements, as guides print it."""
    nutrients = shown.definitions.nutrients.values()
    headings = [
        Heading(text="", format="text", width=30),
        Heading(text="", format="text", width=22),
        *(Heading(text=n.elemental_symbol, format="one", width=12) for n in nutrients),
    ]
    rows = {"In": "inputs", "Out": "outputs", "Stock change": "stock", "Balance": "balance"}
    lines = [
        Line(
            kind="total" if name == "Balance" else "plain",
            cells=[
                name,
                "without fixation",
                *(
                    shown.value(
                        "mass per area", share(_element(gate, n.id, figure, shown), gate.area)
                    )
                    for n in nutrients
                ),
            ],
        )
        for name, figure in rows.items()
    ]
    unit = shown.label("mass per area")
    return Table(title=f"Per area, as elements [{unit}]", headings=headings, lines=lines)


def _element(gate: Gate, nutrient: str, figure: str, shown: Shown) -> float | None:
    mass: float | None = getattr(gate.figures[nutrient], figure)
    factor = shown.definitions.nutrients[nutrient].elemental_factor
    return None if mass is None else mass / factor


def _meeting_table(gate: Gate, shown: Shown) -> Table:
    lines = [Line(cells=[name, "", *_masses(masses, shown)]) for name, masses in gate.meeting]
    balance = {n: figures.balance for n, figures in gate.figures.items()}
    lines.append(
        Line(
            kind="total",
            cells=["Balance at the gate", "without fixation", *_masses(balance, shown)],
        )
    )
    lines.append(Line(cells=["Of it not explained", "", *_masses(gate.unexplained, shown)]))
    note = (
        "Not explained: what entered the herd and left it on no line, and manure spread that no "
        "line says was made. Ammonia from barn and store is part of it, and so are errors."
    )
    return Table(
        title=f"From the fields to the gate [{shown.label('mass')}]",
        headings=[
            Heading(text="Step", format="wrapped", width=30),
            *_headings("Step", "", shown, "whole")[1:],
        ],
        lines=lines,
        note=note,
    )


def _compared_table(gate: Gate) -> Table:
    headings = [
        Heading(text="Where", format="text", width=30),
        Heading(text="What", format="text", width=22),
        Heading(text="From", format="two", width=12),
        Heading(text="To, or mean", format="two", width=12),
        Heading(text="This farm", format="two", width=12),
        Heading(text="Unit", format="text", width=12),
        Heading(text="Remark and source", format="wrapped", width=80),
    ]
    lines = [
        Line(
            cells=[
                item.benchmark.place,
                f"{item.benchmark.nutrient} {item.benchmark.measure}",
                "" if item.benchmark.figure.low is None else item.benchmark.figure.low,
                item.benchmark.figure.high or item.benchmark.figure.value,
                item.own,
                item.benchmark.figure.unit,
                f"{item.benchmark.figure.note} {item.benchmark.figure.citation()}".strip(),
            ]
        )
        for item in gate.compared
    ]
    note = "Figures of other places and years, for a sense of size. They are no limits."
    return Table(title="What was found elsewhere", headings=headings, lines=lines, note=note)


# ----------------------------------------------------------------------- JSON
def gate_item(results: Results, shown: Shown) -> dict[str, Any]:
    """The ``gate`` of the result document."""
    gate = results.gate
    return {
        "area": shown.value("area", gate.area),
        "incomplete": gate.incomplete,
        "milk_total": shown.value("mass", gate.milk),
        "lines": [_line_item(line, shown) for line in gate.lines],
        "nutrients": {n: _figures_item(f, gate, shown) for n, f in gate.figures.items()},
        "with_fixation": {n: _figures_item(f, gate, shown) for n, f in gate.with_fixation.items()},
        "reconciliation": [
            {"step": name, "masses_total": _mass_items(masses, shown)}
            for name, masses in gate.meeting
        ],
        "unexplained_total": _mass_items(gate.unexplained, shown),
        "benchmarks": [
            {
                "place": item.benchmark.place,
                "measure": item.benchmark.measure,
                "nutrient": item.benchmark.nutrient,
                "per": item.benchmark.per,
                "with_fixation": item.benchmark.with_fixation,
                "low": item.benchmark.figure.low,
                "value": item.benchmark.figure.value,
                "high": item.benchmark.figure.high,
                "unit": item.benchmark.figure.unit,
                "own": item.own,
                "source": item.benchmark.figure.citation(),
            }
            for item in gate.compared
        ],
    }


def _mass_items(masses: Masses, shown: Shown) -> dict[str, float | None]:
    return {n: shown.value("mass", mass) for n, mass in masses.items()}


def _line_item(line: GateLine, shown: Shown) -> dict[str, Any]:
    return {
        "direction": line.direction,
        "name": line.name,
        "masses_total": _mass_items(line.masses, shown),
    }


def _figures_item(figures: GateFigures, gate: Gate, shown: Shown) -> dict[str, float | None]:
    return {
        "inputs_total": shown.value("mass", figures.inputs),
        "outputs_total": shown.value("mass", figures.outputs),
        "stock_change_total": shown.value("mass", figures.stock),
        "balance_total": shown.value("mass", figures.balance),
        "balance": shown.value("mass per area", share(figures.balance, gate.area)),
        "balance_per_100_milk": share(figures.balance, gate.milk / KG_A_HUNDRED),
        "ratio": figures.ratio,
        "efficiency": figures.efficiency,
    }
