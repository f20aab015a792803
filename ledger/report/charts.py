"""Draw the chart of a table below it; plain columns and lines, the numbers stay above."""

from __future__ import annotations

from math import ceil, floor, log10
from typing import Any

from ledger.report.tables import Table

CHART_ROWS = 17  # rows of a sheet that a chart takes, with a free one after it
SIZE_PX = {"width": 760, "height": 310}
# Differ in lightness as well, so that a black-and-white print can tell them apart.
BAR_INK, BAR_PT = "#111111", 1.25
COLOURS = (
    *("#2F4A3C", "#C2A83E", "#6B7F8C", "#B5651D", "#9AA69F", "#1F4E79"),
    *("#7A2E2E", "#5B8C5A", "#D98E73", "#4B3B6B", "#A3C1AD", "#111111"),
)


def draw(workbook: Any, worksheet: Any, table: Table, first: int) -> None:
    """Put a table's chart below its lines, the first of which is in row ``first`` (from 0)."""
    assert table.chart is not None
    name = worksheet.get_name()
    last = first + len(table.lines) - 1
    chart = workbook.add_chart({"type": table.chart.kind})
    for at, index in enumerate(table.chart.series):
        colour = COLOURS[at % len(COLOURS)]
        series: dict[str, Any] = {
            "name": table.headings[index].text,
            "categories": [name, first, table.chart.categories, last, table.chart.categories],
            "values": [name, first, index, last, index],
        }
        if table.chart.kind == "line":
            series |= {"line": {"color": colour}, "marker": {"type": "automatic"}}
        else:
            series |= {"fill": {"color": colour}, "border": {"none": True}}
        if table.chart.reach:
            series["y_error_bars"] = _error_bars(name, first, last, table.chart.reach)
        chart.add_series(series)
    chart.set_title({"name": table.chart.title, "name_font": {"size": 12}})
    bounds = _bounds(table, table.chart.series[0], table.chart.reach) if table.chart.reach else {}
    chart.set_y_axis({"name": table.chart.axis, "major_gridlines": {"visible": True}, **bounds})
    chart.set_x_axis({"label_position": "low"})
    chart.set_legend({"none": True} if table.chart.reach else {"position": "bottom"})
    chart.set_size(SIZE_PX)
    worksheet.insert_chart(last + 2, 0, chart)


def _bounds(table: Table, at: int, reach: tuple[int, int]) -> dict[str, float]:
    """Ends of an axis that no error bar passes; programs think of the columns alone."""
    lines = [[cells[i] for i in (at, *reach)] for cells in (line.cells for line in table.lines)]
    known = [[float(x) for x in line if isinstance(x, (int, float))] for line in lines]
    ends = [(used - down, used + up) for used, down, up in (k for k in known if len(k) == 3)]
    low, high = min([0.0, *(end[0] for end in ends)]), max([0.0, *(end[1] for end in ends)])
    if low == high:
        return {}
    step = 10.0 ** floor(log10(high - low)) / 2
    return {"min": floor(low / step) * step, "max": ceil(high / step) * step}


def _error_bars(sheet: str, first: int, last: int, reach: tuple[int, int]) -> dict[str, Any]:
    """Bars that reach down and up by what the cells of two columns say."""
    from xlsxwriter.utility import xl_range_formula

    down, up = (f"={xl_range_formula(sheet, first, at, last, at)}" for at in reach)
    bars = {"type": "custom", "minus_values": down, "plus_values": up}
    return bars | {"line": {"color": BAR_INK, "width": BAR_PT}}
