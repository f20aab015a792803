"""What in ``examples/`` is made by the program: run ``python tests/generated.py`` to make it anew.

``tests/test_examples.py`` fails when what is committed differs from what this makes.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from ledger import definitions, pipeline, report
from ledger.cli.new import workbook_for
from ledger.layout import heading
from ledger.model import Column, Definitions, Figure

EXAMPLES = Path(__file__).parent.parent / "examples"
MADE = "Made from the data by `tests/generated.py`; change the data, not this page.\n"


def workbook(known: Definitions) -> bytes:
    """The example workbook, filled in and balanced."""
    blank = workbook_for(known, year=None, units=None, folder=EXAMPLES / "farm")
    return pipeline.with_results(blank, pipeline.run(blank, known), known)


def summary(known: Definitions) -> str:
    """The expected result beside the entries: everything but the postings, rounded to 6 digits."""
    blank = workbook_for(known, year=None, units=None, folder=EXAMPLES / "farm")
    document = report.document(pipeline.run(blank, known).results, known)
    del document["postings"]
    del document["ledger"]["tool_version"]
    return json.dumps(_rounded(document), indent=1, ensure_ascii=False) + "\n"


def _rounded(item: object) -> object:
    if isinstance(item, dict):
        return {key: _rounded(value) for key, value in item.items()}
    if isinstance(item, list):
        return [_rounded(value) for value in item]
    # + 0.0 turns a negative zero into zero
    return float(f"{item:.6g}") + 0.0 if isinstance(item, float) else item


def columns_page(known: Definitions) -> str:
    """Every column of every entry sheet: the data dictionary."""
    lines = ["# Columns of the workbook\n", MADE]
    for sheet in known.sheets.values():
        lines += [f"\n## {sheet.title} (`{sheet.id}`)\n", sheet.help + "\n"]
        lines.append("| column | heading (US) | heading (metric) | takes | note |")
        lines.append("|---|---|---|---|---|")
        lines += [_column_line(column, known) for column in sheet.columns]
    return "\n".join(lines) + "\n"


def _column_line(column: Column, known: Definitions) -> str:
    us, metric = heading(column, "us", known), heading(column, "metric", known)
    cells = (f"`{column.id}`", us, metric, _takes(column), column.note)
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _takes(column: Column) -> str:
    if column.choices:
        return ", ".join(column.choices)
    if column.lookup:
        where = column.lookup.table or f"{column.lookup.sheet}.{column.lookup.column}"
        return f"a name from {where}"
    kind = "a date" if column.is_date else "a number" if column.is_number else "text"
    return " or ".join((kind, *column.words))


def findings_page(known: Definitions) -> str:
    """The catalogue of findings."""
    lines = ["# Findings\n", MADE, "| code | gravity | says | what to do | for example |"]
    lines.append("|---|---|---|---|---|")
    for kind in known.findings.values():
        cells = (f"`{kind.code}`", kind.severity, kind.message, kind.fix, kind.example)
        lines.append("| " + " | ".join(cells) + " |")
    return "\n".join(lines) + "\n"


def coefficients_page(known: Definitions) -> str:
    """Every figure the ledger reckons with, and where it was read."""
    lines = ["# Coefficients and their sources\n", MADE]
    for chosen in known.manure_sets.values():
        lines += [f"\n## Manure: {chosen.id}, {chosen.title}\n", chosen.about + "\n", *_HEAD]
        lines += [
            _figure_line(f"{name.replace('_', ' ')}: {_when(row.when)}", row.figure)
            for name, table in chosen.tables.items()
            for row in table.rows
        ]
        lines += [
            _figure_line(f"{nutrient} available, year {year}", figure)
            for nutrient, years in chosen.availability.items()
            for year, figure in years.items()
        ]
    for removal in known.removal_sets.values():
        lines += [f"\n## Removal: {removal.id}, {removal.title}\n", removal.about + "\n", *_HEAD]
        lines += [
            _figure_line(" ".join(key), entry.figure) for key, entry in removal.figures.items()
        ]
    lines += ["\n## Need and credits\n", *_HEAD, *_need_lines(known)]
    return "\n".join(lines) + "\n"


_HEAD = ("| figure | value | low to high | unit | status | source |", "|---|---|---|---|---|---|")


def _when(conditions: object) -> str:
    assert hasattr(conditions, "items")
    said = (f"{key} {_band(value)}" for key, value in conditions.items())
    return ", ".join(said) or "always"


def _band(value: object) -> str:
    if not isinstance(value, dict):
        return str(value)
    return " ".join(f"{bound} {limit}" for bound, limit in value.items())


def _figure_line(name: str, figure: Figure) -> str:
    span = "" if figure.low is None else f"{figure.low:g} to {figure.high:g}"
    cells = (
        name.replace("_", " "),
        f"{figure.value:g}",
        span,
        figure.unit,
        figure.status,
        figure.source.citation(figure.page),
    )
    return "| " + " | ".join(cells) + " |"


def _need_lines(known: Definitions) -> Iterator[str]:
    need = known.need
    for name, figure in need.ec117.items():
        yield _figure_line(f"EC117 {name}", figure)
    for legume in need.legume_sets.values():
        for row in legume.table.rows:
            yield _figure_line(f"legume credit {legume.id}: {_when(row.when)}", row.figure)
    for test in need.nitrate_sets.values():
        for row in test.critical.rows if test.critical else ():
            yield _figure_line(f"{test.id} critical level: {_when(row.when)}", row.figure)
        for to, figure in test.steps:
            yield _figure_line(f"{test.id} deduction to {to:g} ppm", figure)
        single = {"slope": test.slope, "per yield": test.per_yield, "none from": test.none_from}
        for name, one in {**single, **test.history, **test.previous_crop}.items():
            if one is not None:
                yield _figure_line(f"{test.id} {name}", one)
    for nutrient, levels in need.soil_tests.levels.items():
        for level in levels:
            for name in ("critical", "limit", "addition"):
                crops = ", ".join(level.crops)
                title = f"{need.soil_tests.id} {nutrient} {name} ({crops}) {_band(level.cec or '')}"
                yield _figure_line(title, getattr(level, name))


PAGES = {
    "columns.md": columns_page,
    "findings.md": findings_page,
    "coefficients.md": coefficients_page,
    "farm-expected.json": summary,
}


def main() -> None:
    """Write everything anew."""
    known = definitions.load()
    for name, make in PAGES.items():
        (EXAMPLES / name).write_text(make(known), "utf-8")
    (EXAMPLES / "farm.xlsx").write_bytes(workbook(known))


if __name__ == "__main__":
    main()
