"""What in ``examples/`` is made by the program: run ``python tests/generated.py`` to make it anew.

``tests/test_examples.py`` fails when what is committed differs from what this makes.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from math import prod
from pathlib import Path

import record_items_page

from ledger import definitions, pipeline, report, resources
from ledger.cli.new import workbook_for
from ledger.contents import part_name
from ledger.definitions import checked
from ledger.ground import shares
from ledger.layout import heading
from ledger.model import (
    Column,
    Definitions,
    Factor,
    Figure,
    NitrateSet,
    Posting,
    Results,
)
from ledger.report.units import Shown

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
            _figure_line(f"{part_name(crop, part)} {nutrient}", entry.figure)
            for (crop, part, nutrient), entry in removal.figures.items()
        ]
    lines += ["\n## Need and credits\n", *_HEAD, *_need_lines(known)]
    lines += ["\n## Stores, herd, farm gate and soil-test change\n", *_HEAD, *_yard_lines(known)]
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


def _yard_lines(known: Definitions) -> Iterator[str]:
    for kind in known.herd.kinds.values():
        yield _figure_line(f"{kind.id}: head an animal unit", kind.per_unit)
        yield _figure_line(f"{kind.id}: manure", kind.mass)
        for state, figures in (("excreted", kind.excreted), ("kept", kind.kept)):
            for element, figure in figures.items():
                yield _figure_line(f"{kind.id}: {element} {state}", figure)
    for name in ("animal_unit", "slurry_density", "store_tolerance"):
        yield _figure_line(name, getattr(known.herd, name))
    for goods in known.gate.goods.values():
        if goods.dry_matter:
            yield _figure_line(f"{goods.id}: dry matter", goods.dry_matter)
        for element, figure in goods.contents.items():
            yield _figure_line(f"{goods.id}: {element}", figure)
    for crop, figure in known.gate.fixation.items():
        yield _figure_line(f"{crop}: nitrogen fixed", figure)
    for item in known.gate.benchmarks:
        yield _figure_line(f"{item.place}: {item.nutrient} {item.measure}", item.figure)
    for rule in known.soil_changes:
        yield _figure_line(f"soil test by {rule.nutrient}", rule.figure)


def _need_lines(known: Definitions) -> Iterator[str]:
    need = known.need
    single = (
        ("EC117", need.ec117),
        ("yield factor", need.yield_factors),
        ("pre-sidedress test", need.presidedress),
    )
    for title, figures in single:
        for name, figure in figures.items():
            yield _figure_line(f"{title} {name}", figure)
    for legume in need.legume_sets.values():
        for row in legume.table.rows:
            yield _figure_line(f"legume credit {legume.id}: {_when(row.when)}", row.figure)
    for test in need.nitrate_sets.values():
        yield from _nitrate_lines(test)
    for nutrient, levels in need.soil_tests.levels.items():
        for level in levels:
            for name in ("critical", "limit", "addition"):
                crops = ", ".join(level.crops)
                title = f"{need.soil_tests.id} {nutrient} {name} ({crops}) {_band(level.cec or '')}"
                yield _figure_line(title, getattr(level, name))


def _nitrate_lines(test: NitrateSet) -> Iterator[str]:
    for row in test.critical.rows if test.critical else ():
        yield _figure_line(f"{test.id} critical level: {_when(row.when)}", row.figure)
    for to, figure in test.steps:
        yield _figure_line(f"{test.id} deduction to {to:g} ppm", figure)
    single = {"slope": test.slope, "per yield": test.per_yield, "none from": test.none_from}
    for name, one in {**single, **test.history, **test.previous_crop}.items():
        if one is not None:
            yield _figure_line(f"{test.id} {name}", one)


BY_HAND = ("Alder Bottom", "hose side")


def by_hand_page(known: Definitions) -> str:
    """One zone's nitrogen worked by hand from the factors, next to what the ledger prints."""
    blank = workbook_for(known, year=None, units=None, folder=EXAMPLES / "farm")
    results = pipeline.run(blank, known).results
    shown = Shown(definitions=known, system=results.book.system)
    field, zone = BY_HAND
    statement = next(s for s in results.statements if (s.zone.field, s.zone.zone) == BY_HAND)
    lines = [f"# {field}, {zone}: nitrogen by hand\n", MADE]
    lines.append(
        "Each line of the record is worked in the ledger's base (kilograms, litres, hectares): "
        "the factors multiplied. Beside it stands what the ledger posted.\n"
    )
    lines.append("| line | by hand | gives [kg] | posted [kg] | posted [lb] |")
    lines.append("|---|---|---|---|---|")
    lines += list(_worked_lines(results, shown))
    lines += ["\n| figure | lb/ac |", "|---|---|"]
    for figure, value in statement.figures["N"].items():
        told = shown.value("mass per area", value)
        said = "unknown" if told is None else f"{told:.4f}"
        lines.append(f"| {figure.replace('_', ' ')} | {said} |")
    lines.append("\n## Whose figures\n")
    origins = dict.fromkeys(
        f"{factor.name}: {factor.value:.7g} {factor.unit} ({factor.origin})"
        for posting in _of_zone(results)
        for factor in posting.factors
    )
    return "\n".join([*lines, *(f"- {origin}" for origin in origins)]) + "\n"


def _of_zone(results: Results) -> list[Posting]:
    return [
        p
        for p in results.journal.postings
        if (p.zone.field, p.zone.zone) == BY_HAND
        and p.nutrient == "N"
        and p.account.root == "field"
        and p.account.path[-1] == "available"
    ]


def _worked_lines(results: Results, shown: Shown) -> Iterator[str]:
    for posting in _of_zone(results):
        factors = [_plain(factor) for factor in posting.factors]
        for share in shares(posting.entry, results.book):
            if share.zone == posting.zone and share.part < 1:
                factors.append(("this zone's share of the field", share.part))
        product = prod(value for _, value in factors)
        text = " x ".join(f"{value:.7g} ({name})" for name, value in factors)
        row = posting.entry.row
        line = f"{row.grid.sheet_name} row {row.number}"
        pounds = shown.value("mass", posting.mass)
        yield f"| {line} | {text} | {product:.4f} | {posting.mass:.4f} | {pounds:.4f} |"


def _plain(factor: Factor) -> tuple[str, float]:
    share = 0.01 if factor.unit == "percent" else 1.0
    return f"{factor.name}, {factor.unit}", factor.value * share


PAGES = {
    "record-items.md": record_items_page.page,
    "by-hand.md": by_hand_page,
    "columns.md": columns_page,
    "findings.md": findings_page,
    "coefficients.md": coefficients_page,
    "farm-expected.json": summary,
}


def main() -> None:
    """Write everything anew."""
    checked.RECORD.unlink(missing_ok=True)
    known = definitions.load()
    factors = {unit.id: unit.factor for unit in known.units.values()}
    checked.RECORD.write_text(checked.record(resources.templates_folder(), factors), "utf-8")
    for name, make in PAGES.items():
        (EXAMPLES / name).write_text(make(known), "utf-8")
    (EXAMPLES / "farm.xlsx").write_bytes(workbook(known))


if __name__ == "__main__":
    main()
