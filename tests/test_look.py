"""The look of the workbook: contrast, kinds of cells told apart, formulas every program knows."""

from __future__ import annotations

import re
import zipfile
from io import BytesIO
from typing import Any

import openpyxl
import pytest
from openpyxl.utils import get_column_letter
from workbooks import SHIPPED, YEAR, entries_of, run

from ledger import look, measure, pipeline
from ledger.build.live import LABEL
from ledger.live.sheets import live_columns
from ledger.live.tables import tables
from ledger.model import System
from ledger.report.plan import plan_sheet
from ledger.report.tables import CROP_WIDTH, METHOD_WIDTH
from ledger.report.units import Shown

AA = 4.5  # WCAG 2.1, criterion 1.4.3: contrast of normal text
AA_GRAPHICS = 3.0  # WCAG 2.1, criterion 1.4.11: parts of graphics
ALLOWED = {
    "SUMIFS", "SUMPRODUCT", "INDEX", "MATCH", "IF", "IFERROR", "ROUND", "MIN", "MAX", "AND", "OR",
    "COUNTIF", "COUNTIFS", "ISNUMBER", "ROW", "SMALL", "SUM",
}  # fmt: skip
WHITE = "#FFFFFF"
RUNNING_OVER = (
    "Where these figures come from", "Publications", "Methods in use and their limits",
)  # fmt: skip
LONGEST_FORMULA = 8_192  # characters; a limit of the file format


# --------------------------------------------------------------------------- contrast
def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.1 defines it."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio as WCAG 2.1 defines it."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_is_reckoned_as_published() -> None:
    """Black on white is 21:1 and #777777 on white 4.48:1, as WCAG's own explanation says."""
    assert contrast("#000000", WHITE) == pytest.approx(21)
    assert contrast("#777777", WHITE) == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("name", look.FORMATS)
def test_every_text_has_contrast_on_its_fill(name: str) -> None:
    form = {**look._BASE, **look.FORMATS[name]}
    assert contrast(form["font_color"], form.get("bg_color", WHITE)) >= AA


def test_chart_colours_stand_out_from_the_paper_or_have_a_pattern() -> None:
    for colour, pattern in look.CHART_COLOURS:
        assert pattern or contrast(colour, WHITE) >= AA_GRAPHICS
    assert len({pattern for _, pattern in look.CHART_COLOURS}) == len(look.CHART_COLOURS)


def test_kinds_of_cells_differ_by_more_than_colour() -> None:
    kinds = ("entry_number", "live_one", "reference", "one", "total_one", "live_heading", "heading")
    plain = [
        tuple(sorted((k, str(v)) for k, v in look.FORMATS[name].items() if "color" not in k))
        for name in kinds
    ]
    differing = {*plain}
    # an entry, a reading and a result differ by fill alone when print is black and white,
    # apart from live figures (slanted, dotted), totals (bold, thick line) and headings
    assert len(differing) >= 5
    assert look.FORMATS["live_one"]["italic"]
    assert look.FORMATS["live_one"]["border"] != look.FORMATS["entry_number"]["border"]


def test_there_is_one_typeface(blank: Any) -> None:
    cells = (c for sheet in blank for row in sheet.iter_rows(max_row=12) for c in row)
    assert {cell.font.name for cell in cells if cell.value is not None} == {look.TYPEFACE}


# --------------------------------------------------------------------------- formulas
@pytest.fixture(scope="module", params=["us", "metric"])
def content(request: pytest.FixtureRequest) -> bytes:
    system: System = request.param
    entries = entries_of("## fields\n| field | area |\n| Home | 40 |")
    return pipeline.blank(SHIPPED, year=YEAR, system=system, entries=entries)


@pytest.fixture(scope="module")
def blank(content: bytes) -> Any:
    return openpyxl.load_workbook(BytesIO(content))


def formulas(content: bytes) -> dict[str, list[str]]:
    """Formula texts by part; shared ones stand once."""
    found = {}
    with zipfile.ZipFile(BytesIO(content)) as package:
        for name in package.namelist():
            if name.startswith("xl/worksheets/sheet"):
                text = package.read(name).decode()
                found[name] = re.findall(r"<f(?: [^>]*[^/])?>([^<]+)</f>", text)
    return found


def test_formulas_use_only_what_every_program_knows(content: bytes) -> None:
    texts = [text for part in formulas(content).values() for text in part]
    assert len(texts) > 1000
    for text in texts:
        bare = re.sub(r'"[^"]*"|\'[^\']*\'', "", text.replace("&quot;", '"'))
        assert set(re.findall(r"([A-Z][A-Z0-9.]*)\(", bare)) <= ALLOWED, text
        assert "[" not in bare  # no structured reference, no other file
        assert "{" not in bare  # no array
        assert len(text) <= LONGEST_FORMULA
        assert bare.count("(") - bare.count(")") == 0


def test_no_formula_has_a_false_value_or_an_error(content: bytes) -> None:
    with zipfile.ZipFile(BytesIO(content)) as package:
        for name in package.namelist():
            if name.startswith("xl/worksheets/sheet"):
                text = package.read(name).decode()
                values = re.findall(r"<f[^>]*?(?:/>|>[^<]*</f>)<v>([^<]*)</v>", text)
                assert set(values) <= {""}, name


def test_live_cells_are_locked_and_refuse_typing(blank: Any) -> None:
    for sheet_id, columns in live_columns(SHIPPED, "us").items():
        sheet = SHIPPED.sheets[sheet_id]
        worksheet = blank[sheet.title]
        shown = [column for column in columns if column.shown]
        if not shown:
            continue
        first = len(sheet.columns) + 2
        cell = worksheet.cell(6, first)
        assert cell.protection.locked
        assert worksheet.cell(1, first).value == LABEL
        (guard,) = [
            v for v in worksheet.data_validations.dataValidation if cell.coordinate in v.sqref
        ]
        assert guard.formula1 == "FALSE"
        assert not worksheet.protection.sheet  # lines can be sorted, added and deleted


def test_helpers_are_hidden_and_shown_columns_are_not(blank: Any) -> None:
    for sheet_id, columns in live_columns(SHIPPED, "us").items():
        sheet = SHIPPED.sheets[sheet_id]
        worksheet = blank[sheet.title]
        for at, column in enumerate(columns, start=len(sheet.columns) + 2):
            letters = get_column_letter(at)
            group = next(
                d
                for d in worksheet.column_dimensions.values()
                if (d.min or 0) <= at <= (d.max or 0) or d.index == letters
            )
            assert bool(group.hidden) is not column.shown, (sheet_id, column.id)
            if column.shown:
                assert worksheet.cell(5, at).comment.text == column.note


def test_live_headings_have_a_unit_or_need_none(blank: Any) -> None:
    for columns in live_columns(SHIPPED, "us").values():
        assert all(c.unit or c.id == "_mend" for c in columns if c.shown)


def test_keys_of_every_table_stand_once() -> None:
    """INDEX and MATCH take the first of two lines; the second would be dead."""
    for table in tables(SHIPPED, "us"):
        keys = [line[0] for line in table.rows]
        assert len(keys) == len(set(keys)), table.id


# ------------------------------------------------------------------- widths and overflow
def test_the_longest_names_of_crops_and_methods_fit_their_columns() -> None:
    for names, width in ((SHIPPED.crops, CROP_WIDTH), (SHIPPED.need.methods, METHOD_WIDTH)):
        longest = max(map(len, names))
        assert longest * measure.SLIM + 1 <= width  # a character of indent


def test_a_text_that_runs_over_its_column_crosses_no_border() -> None:
    """Where the figures of the plan come from, the publications and the methods."""
    results = run("## fields\n| field | area |\n| Home | 40 |").results
    tables = plan_sheet(results, Shown(definitions=SHIPPED, system="us")).tables
    running = {t.title: t.headings[-1] for t in tables if t.title in RUNNING_OVER}
    assert set(running) == set(RUNNING_OVER)
    for heading in running.values():
        assert not {"border", "bg_color", "right"} & set(look.FORMATS[heading.format])
