"""The sheet *Farm gate*."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from typing import Any

from ledger.model import FIXATION, Compared, Gate, GateFigures, Masses, Results
from ledger.model.ranges import WHOLE_FARM
from ledger.report.spans import MARKED, rough
from ledger.report.tables import Cell, Chart, Heading, Line, ResultSheet, Table
from ledger.report.units import Shown
from ledger.unknown import share

WAYS = {"in": "In", "out": "Out", "stock": "Stock change"}
DIRECTIONS = {  # what each figure of the balance is made of
    "inputs": ("in", "stock"),
    "outputs": ("out",),
    "stock": ("stock",),
    "balance": tuple(WAYS),
}
NO_UNIT = (("unit", ""),)  # a line of a table of masses that holds none
KG_A_TONNE, KG_A_HUNDRED = 1000.0, 100.0


def gate_sheet(results: Results, shown: Shown) -> ResultSheet:
    """What crossed the gate, the balance with and without fixation, how it meets the fields."""
    gate = results.gate
    words = [
        "In - out - stock change = balance. Feed grown and fed at home never crosses the gate. "
        "Fertilizer counts as used; custom ground is left out.",
        "Contents and fixation are book figures unless you typed an analysis; many are from "
        "memory: check them with a tag, an analysis or a local guide.",
        MARKED,
    ]
    if gate.incomplete:
        words.append("INCOMPLETE: lines with errors are missing from these sums; see Findings.")
    tables = [
        _lines_table(gate, shown),
        _balance_table(gate, shown),
        _element_table(gate, shown),
        _meeting_table(results, shown),
    ]
    if any(line.name == FIXATION for line in gate.lines):
        tables.append(_fixation_table(shown))
    if gate.compared:
        tables.append(_compared_table(gate, shown))
    return ResultSheet(id="farm-gate", name="Farm gate", words=words, tables=tables)


def _headings(first: str, second: str, shown: Shown, format_: str) -> list[Heading]:
    return [
        Heading(text=first, format="text", width=30),
        Heading(text=second, format="text", width=22),
        *(
            Heading(text=n, format=format_, width=12, about=(("nutrient", n),))
            for n in shown.definitions.nutrients
        ),
    ]


def _masses(masses: Masses, reach: Collection[str], shown: Shown) -> list[Cell]:
    return [rough(shown.value("mass", masses[n]), n in reach) for n in shown.definitions.nutrients]


def reaching(gate: Gate, nutrient: str, *ways: str, fixation: bool = False) -> bool:
    """Whether what crossed the gate some ways hangs on figures with a range."""
    return any(
        nutrient in line.ranged and line.direction in ways and (fixation or line.name != FIXATION)
        for line in gate.lines
    )


def _lines_table(gate: Gate, shown: Shown) -> Table:
    lines = [
        Line(
            cells=[line.name, WAYS[line.direction], *_masses(line.masses, line.ranged, shown)],
            about=(("gate", f"{line.direction}|{line.name}"),),
        )
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

    def line(name: str, value: Callable[[GateFigures], float | None], *ways: str,
             **more: Any) -> Line:  # fmt: skip
        cells = (
            rough(value(own), reaching(gate, n, *(ways or WAYS), fixation=bool(words)))
            for n, own in figures.items()
        )
        return Line(cells=[name, said, *cells], **more)

    def mass(figure: str, quantity: str = "mass") -> Callable[[GateFigures], float | None]:
        return lambda own: shown.value(quantity, getattr(own, figure))

    yield line("In", mass("inputs"), "in", "stock")
    yield line("Out", mass("outputs"), "out")
    yield line("Stock change", mass("stock"), "stock")
    yield line("Balance", mass("balance"), kind="total")
    per = shown.label("mass per area")
    yield line(
        f"Balance [{per}]",
        lambda own: shown.value("mass per area", share(own.balance, gate.area)),
        format="one",
        about=(("unit", per),),
    )
    if gate.milk:
        yield line(
            "Balance a hundredweight of milk [lb], or kg a 100 kg",
            lambda own: share(own.balance, gate.milk / KG_A_HUNDRED),
            format="two",
            about=(("unit", shown.label("mass")),),
        )
    yield line("Ratio", lambda own: own.ratio, format="two", about=NO_UNIT)
    yield line("Efficiency", lambda own: own.efficiency, format="two", about=NO_UNIT)


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
                    rough(
                        shown.value(
                            "mass per area", share(_element(gate, n.id, figure, shown), gate.area)
                        ),
                        reaching(gate, n.id, *DIRECTIONS[figure]),
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


def _meeting_table(results: Results, shown: Shown) -> Table:
    gate, nutrients = results.gate, list(shown.definitions.nutrients)
    fields = [n for n in nutrients if results.ranges.of(WHOLE_FARM, n, "balance")]
    steps = {gate.meeting[0][0]: fields} if gate.meeting else {}
    for step, nutrient in gate.ranged:
        steps.setdefault(step, []).append(nutrient)
    lines = [
        Line(
            cells=[name, "", *_masses(masses, steps.get(name, ()), shown)],
            about=(("step", name),),
        )
        for name, masses in gate.meeting
    ]
    balance = {n: figures.balance for n, figures in gate.figures.items()}
    reach = [n for n in nutrients if reaching(gate, n, *WAYS)]
    last = ["Balance at the gate", "without fixation", *_masses(balance, reach, shown)]
    lines.append(Line(kind="total", cells=last))
    reach = [n for n in nutrients if any(n in some for name, some in steps.items())]
    lines.append(Line(cells=["Of it not explained", "", *_masses(gate.unexplained, reach, shown)]))
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


def _compared_table(gate: Gate, shown: Shown) -> Table:
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
                rough(item.own, _own_reach(gate, item, shown)),
                item.benchmark.figure.unit,
                f"{item.benchmark.figure.note} {item.benchmark.figure.citation()}".strip(),
            ]
        )
        for item in gate.compared
    ]
    note = "Figures of other places and years, for a sense of size. They are no limits."
    return Table(title="What was found elsewhere", headings=headings, lines=lines, note=note)


def _own_reach(gate: Gate, item: Compared, shown: Shown) -> bool:
    about, known = item.benchmark, shown.definitions.nutrients.values()
    nutrients = [n.id for n in known if n.elemental_symbol == about.nutrient]
    fixation = bool(about.with_fixation)
    return any(reaching(gate, nutrient, *WAYS, fixation=fixation) for nutrient in nutrients)
