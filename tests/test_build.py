"""The new workbook: what a person sees, what the reader gets back, what CSV files may hold.

Sources: the limits of drop-down lists (255 characters), message titles (32) and messages (255)
are those of the file format (ISO/IEC 29500-1, dataValidation), from memory. The pound and the
US gallon are exact by definition (see us_units.py). The rest is the ledger's own contract.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from io import BytesIO
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl.utils import range_boundaries
from us_units import LB_GAL

from ledger.build import new_workbook
from ledger.build.csv_entries import EntryFileFault, read_entries
from ledger.definitions import load
from ledger.layout import example_line, fold, heading, help_line, mark
from ledger.live.sheets import live_columns
from ledger.model import Column, Definitions, Sheet, System
from ledger.read import read

SYSTEMS: tuple[System, ...] = ("us", "metric")
YEAR = 2026
SOFFICE, SSCONVERT = shutil.which("soffice"), shutil.which("ssconvert")
Entries = Mapping[str, Sequence[Mapping[str, object]]]


def no_results(workbook: Any, look: Any) -> None:
    """In place of the report, which adds its sheets here."""


def build(system: System = "us", entries: Entries | None = None, **changes: Any) -> bytes:
    few = {**load().settings, "live_rows": dict.fromkeys(load().sheets, 8)}  # for quickness
    definitions = replace(load(), **{"settings": few, **changes})
    return new_workbook(
        definitions, year=YEAR, system=system, entries=entries or {}, results=no_results
    )


def opened(content: bytes) -> Any:
    return openpyxl.load_workbook(BytesIO(content))


@pytest.fixture(scope="module")
def definitions() -> Definitions:
    return load()


@pytest.fixture(scope="module", params=SYSTEMS)
def blank(request: pytest.FixtureRequest) -> tuple[System, Any]:
    system: System = request.param
    return system, opened(build(system))


def row_sheets() -> list[Sheet]:
    return [sheet for sheet in load().sheets.values() if sheet.layout == "rows"]


# ------------------------------------------------------------------------ look
def test_the_same_arguments_give_the_same_bytes() -> None:
    entries = {"fields": [{"field": "Long Bottom", "area": 61.5}]}
    assert build(entries=entries) == build(entries=entries)
    assert build(entries=entries) != build()


def test_every_column_has_key_heading_and_note(
    blank: tuple[System, Any], definitions: Definitions
) -> None:
    system, workbook = blank
    for sheet in row_sheets():
        worksheet = workbook[sheet.title]
        assert worksheet["A1"].value == sheet.title
        assert worksheet["A2"].value == help_line(sheet)
        assert worksheet["A3"].value == example_line(sheet)
        assert worksheet.row_dimensions[4].hidden
        keys = [cell.value for cell in worksheet[4]]
        expected = [f"#{column.id}" for column in sheet.columns]
        live = [column.key for column in live_columns(definitions, system).get(sheet.id, ())]
        assert keys == [*expected, mark(sheet.id, system, definitions), *live]
        for column, cell in zip(sheet.columns, worksheet[5], strict=False):
            assert cell.value == heading(column, system, definitions)
            assert column.note in cell.comment.text
            assert cell.comment.author == "Nutrient ledger"


def test_every_farm_question_has_key_heading_note_and_default(
    blank: tuple[System, Any], definitions: Definitions
) -> None:
    system, workbook = blank
    farm, worksheet = definitions.sheets["farm"], workbook["Farm"]
    assert worksheet.column_dimensions["A"].hidden
    assert [worksheet["A4"].value, worksheet["C4"].value] == [
        mark("farm", system, definitions),
        "#value",
    ]
    for row, column in enumerate(farm.columns, start=6):
        assert worksheet.cell(row, 1).value == f"#{column.id}"
        assert worksheet.cell(row, 2).value == heading(column, system, definitions)
        assert worksheet.cell(row, 4).value.startswith(column.note)
        if column.default:
            assert worksheet.cell(row, 3).value == column.default


def test_headings_are_not_narrower_than_their_words_and_stay_in_sight(
    blank: tuple[System, Any],
) -> None:
    _, workbook = blank
    for sheet in row_sheets():
        worksheet = workbook[sheet.title]
        assert worksheet.freeze_panes.endswith("6") and worksheet.freeze_panes > "A6"
        for cell in worksheet[5]:
            if cell.value:
                width = worksheet.column_dimensions[cell.column_letter].width
                assert width > max(map(len, cell.value.split()))


def test_entry_cells_are_column_formats_so_that_the_file_stays_small() -> None:
    content = build()
    assert len(content) < 300_000
    worksheet = opened(content)["Fertilizer"]
    assert worksheet.max_row < 20  # eight lines of live figures, none of blank entry cells
    assert worksheet["A9"].value is None
    assert not worksheet.column_dimensions["A"].protection.locked
    assert worksheet.column_dimensions["A"].number_format == "yyyy-mm-dd"
    assert worksheet.column_dimensions["C"].number_format == "@"


def test_only_sheets_without_entries_are_protected_and_without_a_password(
    blank: tuple[System, Any],
) -> None:
    _, workbook = blank
    locked = {sheet.title for sheet in workbook if sheet.protection.sheet}
    assert locked == {"Overview", "Cab", "Lists", "Reference"}
    assert all(workbook[name].protection.password is None for name in locked)
    assert not workbook["Reference"]["E6"].protection.locked


def test_every_sheet_prints_landscape_and_one_page_wide_at_most(
    blank: tuple[System, Any],
) -> None:
    _, workbook = blank
    for sheet in workbook:
        assert sheet.page_setup.orientation == "landscape", sheet.title
        assert sheet.page_setup.fitToWidth in (None, 1), sheet.title


@pytest.mark.parametrize(("count", "pages"), [(0, 1), (30, 1), (31, 0), (45, 0)])
def test_the_overview_prints_every_field_on_one_page_or_more(count: int, pages: int) -> None:
    fields = [{"field": f"Field {number}", "area": 10} for number in range(1, count + 1)]
    sheet = opened(build(entries={"fields": fields}))["Overview"]
    assert sheet.page_setup.fitToHeight in ((None, 1) if pages else (0,))
    assert bool(sheet.print_title_rows) != bool(pages)
    last = int(sheet.print_area.rsplit("$", 1)[1])
    headings = next(cell.row for cell in sheet["A"] if cell.value == "Field")
    assert last - headings >= max(count, 30)


def test_names_and_property_are_second_witnesses(
    blank: tuple[System, Any], definitions: Definitions
) -> None:
    system, workbook = blank
    for sheet in definitions.sheets.values():
        for column in sheet.columns:
            name = workbook.defined_names[f"ledger_{sheet.id}_{column.id}"]
            ((title, cell),) = name.destinations
            found = workbook[title][cell.replace("$", "")].value
            assert found == heading(column, system, definitions)
    (written,) = [p for p in workbook.custom_doc_props.props if p.name == "Ledger template"]
    assert written.value == f"nutrient-ledger {definitions.version} {system}"


def test_the_foot_of_a_page_names_farm_and_year_and_doubles_an_ampersand() -> None:
    content = build(entries={"farm": [{"farm_name": "Smith & Sons"}]})
    with zipfile.ZipFile(BytesIO(content)) as package:
        sheet = package.read("xl/worksheets/sheet1.xml").decode()
    assert "&amp;LSmith &amp;&amp; Sons 2026&amp;C" in sheet


# ----------------------------------------------------------------------- Start
def test_start_links_to_every_sheet_and_result_sheets_come_last() -> None:
    def results(workbook: Any, look: Any) -> None:
        workbook.add_worksheet("Bob's results")

    workbook = opened(new_workbook(load(), year=YEAR, system="us", entries={}, results=results))
    titles = [sheet.title for sheet in load().sheets.values()]
    ours = ["Overview", "Cab", "Lists", "Reference"]
    assert workbook.sheetnames == ["Start", *titles, *ours, "Bob's results"]
    links = {
        cell.value: cell.hyperlink.location
        for row in workbook["Start"]
        for cell in row
        if cell.hyperlink
    }
    quoted = {name: name.replace("'", "''") for name in workbook.sheetnames[1:]}
    assert links == {name: f"'{text}'!A1" for name, text in quoted.items()}
    for name in (*titles, *ours):
        back = [c.hyperlink.location for r in workbook[name]["A1:H1"] for c in r if c.hyperlink]
        assert back == ["'Start'!A1"]


def test_start_says_what_comes_first_and_every_caution(blank: tuple[System, Any]) -> None:
    _, workbook = blank
    words = [cell.value for row in workbook["Start"] for cell in row if cell.value]
    text = "\n".join(words)
    assert set(load().settings["cautions"]) <= set(words)
    assert "Local rules and the product label come first" in text
    assert "nutrient-ledger balance FILE" in text
    assert [word for word in words if word.startswith("Step ")] == [
        f"Step {n}" for n in range(1, 6)
    ]


def test_only_entry_sheets_carry_a_mark(blank: tuple[System, Any]) -> None:
    _, workbook = blank
    for name in ("Start", "Lists"):
        words = [str(cell.value) for row in workbook[name] for cell in row if cell.value]
        assert not [word for word in words if word.startswith("nutrient-ledger")]


# ------------------------------------------------------------------ drop-downs
def validation(worksheet: Any, cell: str) -> Any:
    (found,) = [v for v in worksheet.data_validations.dataValidation if cell in v.sqref]
    return found


def words_in(workbook: Any, formula: str) -> list[Any]:
    title, cells = formula.split("!")
    rows = workbook[title.strip("'")][cells.replace("$", "")]
    return [cell.value for row in rows for cell in row]


def columns_of_rows() -> list[tuple[Sheet, Column, str]]:
    return [
        (sheet, column, f"{openpyxl.utils.get_column_letter(at)}")
        for sheet in row_sheets()
        for at, column in enumerate(sheet.columns, start=1)
    ]


def test_choices_stop_suggestions_inform_and_names_warn(
    blank: tuple[System, Any], definitions: Definitions
) -> None:
    _, workbook = blank
    for sheet, column, at in columns_of_rows():
        found = validation(workbook[sheet.title], f"{at}505")
        if column.choices:
            assert found.formula1 == f'"{",".join(column.choices)}"'
            assert found.errorStyle is None  # the default: stop
        elif column.suggestions:
            assert found.formula1 == f'"{",".join(column.suggestions)}"'
            assert found.errorStyle == "information"
        elif column.lookup and column.lookup.table:
            assert words_in(workbook, found.formula1) == list(
                definitions.table(column.lookup.table)
            )
            assert found.errorStyle == "warning"
        elif column.lookup:
            other = definitions.sheets[column.lookup.sheet]
            title, cells = found.formula1.split("!")
            left, top, right, bottom = range_boundaries(cells)
            assert title.strip("'") == other.title and (top, bottom) == (6, 505)
            assert left == right == 1 + list(other.by_id).index(column.lookup.column)
            assert found.errorStyle == "warning"


@pytest.mark.parametrize(
    ("sheet", "cell", "kind", "operator", "limits"),
    [
        ("People", "D6", "decimal", None, ("0", "100")),
        ("Fields", "B6", "decimal", "greaterThan", ("0", None)),
        ("Manure lots", "G6", "decimal", "greaterThanOrEqual", ("0", None)),
        ("Past manure", "A6", "whole", None, ("1990", "2100")),
        ("Harvest", "I6", "custom", None, ("AND(ISNUMBER(I6),I6>=0,I6<100)", None)),
        ("Credits", "D6", "custom", None, ("AND(ISNUMBER(D6))", None)),
    ],
)
def test_numbers_are_held_to_the_limits_of_their_definition(
    blank: tuple[System, Any],
    sheet: str,
    cell: str,
    kind: str,
    operator: str | None,
    limits: tuple[str, str | None],
) -> None:
    found = validation(blank[1][sheet], cell)
    assert (found.type, found.operator) == (kind, operator)
    assert (found.formula1, found.formula2) == limits


def test_days_are_held_to_the_crop_year(blank: tuple[System, Any]) -> None:
    def serial(day: date) -> str:
        return str((day - date(1899, 12, 30)).days)

    found = validation(blank[1]["Fertilizer"], "A6")
    assert (found.type, found.errorStyle) == ("date", "warning")
    first, last = date(YEAR - 1, 7, 1), date(YEAR, 12, 31)
    assert (found.formula1, found.formula2) == (serial(first), serial(last))
    sampled = validation(blank[1]["Manure lots"], "E6")
    assert (sampled.operator, sampled.formula1) == ("greaterThanOrEqual", serial(date(1970, 1, 1)))


def test_a_column_that_also_takes_a_word_has_a_hint_only(blank: tuple[System, Any]) -> None:
    found = validation(blank[1]["Manure spread"], "J6")
    assert (found.type, found.formula1) == (None, None)
    assert "never" in found.prompt


def test_messages_fit_the_file_format(blank: tuple[System, Any]) -> None:
    _, workbook = blank
    sheets = [workbook[sheet.title] for sheet in load().sheets.values()]
    every = [v for sheet in sheets for v in sheet.data_validations.dataValidation]
    found = [v for v in every if v.formula1 != "FALSE"]  # that one guards the live figures
    assert len(found) == sum(len(sheet.columns) for sheet in load().sheets.values())
    for one in [*found, *workbook["Reference"].data_validations.dataValidation]:
        assert 0 < len(one.promptTitle) <= 32 and 0 < len(one.prompt) <= 255
        assert 0 < len(one.errorTitle) <= 32 and 0 < len(one.error) <= 255


@pytest.mark.parametrize(
    "choices", [tuple(f"a rather long word {n}" for n in range(20)), ("here, there", "nowhere")]
)
def test_choices_too_long_or_with_commas_stand_on_the_lists(choices: tuple[str, ...]) -> None:
    sheets = dict(load().sheets)
    people = sheets["people"]
    changed = [replace(c, choices=choices) if c.id == "role" else c for c in people.columns]
    sheets["people"] = replace(people, columns=tuple(changed))
    workbook = opened(build(sheets=sheets))
    assert words_in(workbook, validation(workbook["People"], "B6").formula1) == list(choices)


# --------------------------------------------------------------------- entries
def sample(column: Column) -> object:
    if column.is_date:
        return date(2026, 4, 24)
    if column.is_number:
        return 2024.0 if column.type == "integer" else 12.25
    return column.choices[0] if column.choices else f"some {column.id}"


def full_entries() -> dict[str, list[dict[str, object]]]:
    """Two lines a sheet: one with every column filled, one with the needed columns alone."""
    return {
        sheet.id: [
            {c.id: sample(c) for c in sheet.columns},
            {c.id: sample(c) for c in sheet.columns if c.required},
        ][: 1 if sheet.layout == "pairs" else 2]
        for sheet in load().sheets.values()
    }


def read_back(content: bytes) -> dict[str, list[dict[str, object]]]:
    reading, found = read(content, load())
    assert found == []
    return {
        sheet: [{k: plain(v) for k, v in row.cells.items()} for row in rows]
        for sheet, rows in reading.rows.items()
    }


def plain(value: object) -> object:
    return value.date() if isinstance(value, datetime) else value


@pytest.mark.parametrize("system", SYSTEMS)
def test_what_was_filled_in_is_read_back(system: System) -> None:
    entries = full_entries()
    reading, _ = read(build(system, entries), load())
    assert reading.system == system
    found = read_back(build(system, entries))
    expected = {**entries, "farm": [{**entries["farm"][0], "year": YEAR, "units": system}]}
    own = found["products"][len(load().products) :]
    assert {**found, "products": own} == expected


@pytest.mark.parametrize("system", SYSTEMS)
def test_an_empty_workbook_reads_as_empty(system: System) -> None:
    found = read_back(build(system))
    filled = {name for name, rows in found.items() if rows}
    assert filled == {"farm", "products"}
    defaults = {c.id: c.default for c in load().sheets["farm"].columns if c.default}
    assert found["farm"] == [{**defaults, "year": YEAR, "units": system}]


TEXTS = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=40).filter(
    lambda text: "_x" not in text and not text.startswith("#")
)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(rows=st.lists(st.tuples(TEXTS, st.integers(1, 10**9), TEXTS), max_size=25))
def test_any_text_comes_back_as_it_was(rows: list[tuple[str, int, str]]) -> None:
    entries = [{"field": f, "area": area / 1000, "notes": n} for f, area, n in rows]
    assert read_back(build(entries={"fields": entries}))["fields"] == entries


@pytest.mark.parametrize(
    "text", ["=1+1", '=HYPERLINK("http://x")', "+1", "-1", "@SUM(A1)", "{=1}", "http://x.example"]
)
def test_a_text_that_looks_like_a_formula_stays_a_text(text: str) -> None:
    content = build(entries={"fields": [{"field": text, "area": 1.0, "notes": text}]})
    worksheet = opened(content)["Fields"]
    for cell in (worksheet["A6"], worksheet["G6"]):
        assert (cell.value, cell.data_type, cell.hyperlink) == (text, "s", None)


def test_more_lines_than_prepared_are_written_and_their_names_offered() -> None:
    rows = [{"field": f"F{n}", "area": 1.0} for n in range(700)]
    content = build(entries={"fields": rows})
    assert len(read_back(content)["fields"]) == 700
    workbook = opened(content)
    assert validation(workbook["Crops"], "A6").formula1 == "'Fields'!$A$6:$A$705"
    assert validation(workbook["Fields"], "B705").type == "decimal"


@pytest.mark.parametrize(
    ("entries", "said"),
    [
        ({"feilds": [{}]}, "feilds"),
        ({"fields": [{"feild": "x"}]}, "feild"),
        ({"fields": [{"field": "x" * 40_000}]}, "too long"),
        ({"fields": [{"field": "x", "area": float("inf")}]}, "inf"),
        ({"fields": [{"field": ["x"]}]}, "no text, number or date"),
    ],
)
def test_what_a_workbook_cannot_hold_is_refused(entries: Entries, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        build(entries=entries)


# -------------------------------------------------------------------- products
def product(content: bytes, name: str) -> dict[str, object]:
    (line,) = [row for row in read_back(content)["products"] if fold(str(row["product"])) == name]
    return line


def test_book_products_stand_with_their_published_figures() -> None:
    assert product(build(), "uan-32") == {
        "product": "UAN-32",
        "n_pct": 32,
        "p2o5_pct": 0,
        "k2o_pct": 0,
        "s_pct": 0,
        "form": "liquid",
        "density": 11.06,  # lb/gal: University of Nebraska, sprayer calibration, Table 1
    }
    density = product(build("metric"), "uan-32")["density"]
    assert density == pytest.approx(11.06 * LB_GAL, rel=1e-12)


def test_every_book_product_has_a_note_with_source_status_and_range() -> None:
    worksheet = opened(build())["Products"]
    for row, book in enumerate(load().products.values(), start=6):
        text = worksheet.cell(row, 1).comment.text
        assert worksheet.cell(row, 1).value == book.id
        assert book.source.title in text and f"({book.status})" in text
        if book.density and book.density.low is not None:
            assert f"range {book.density.low:g} to {book.density.high:g}" in text


def test_own_lines_override_book_products_cell_by_cell_or_follow_them() -> None:
    rows = [
        {"product": "uan-32", "density": 11.1, "price": 0.2},
        {"product": "Dealer blend", "n_pct": 28.0},
    ]
    content = build(entries={"products": rows})
    line = product(content, "uan-32")
    assert (line["product"], line["n_pct"], line["density"]) == ("uan-32", 32, 11.1)
    assert read_back(content)["products"][-1] == rows[-1]
    assert len(read_back(content)["products"]) == len(load().products) + 1


# ------------------------------------------------------------------- CSV files
def folder_with(tmp_path: Path, **files: str | bytes) -> Path:
    for name, content in files.items():
        raw = content if isinstance(content, bytes) else content.encode("utf-8")
        (tmp_path / name.replace("__", ".")).write_bytes(raw)
    return tmp_path


@pytest.mark.parametrize("start", [b"", b"\xef\xbb\xbf"])
def test_csv_files_give_texts_numbers_and_dates(tmp_path: Path, start: bytes) -> None:
    lines = (
        "date,lot,amount,incorporated_after_h,wind\r\n"
        '2025-11-03,7,4200,never," NW, 5"\r\n'
        ",,,,\r\n"
        '11/3/2025,=A1,"4,200",2.5\r\n'
        "2025-02-30,x,nan,1e400,\r\n"
    )
    folder = folder_with(tmp_path, manure_spread__csv=start + lines.encode(), README__md="words")
    assert read_entries(folder, load(), "us") == {
        "manure_spread": [
            {
                "date": date(2025, 11, 3),
                "lot": "7",
                "amount": 4200.0,
                "incorporated_after_h": "never",
                "wind": " NW, 5",
            },
            {"date": "11/3/2025", "lot": "=A1", "amount": "4,200", "incorporated_after_h": 2.5},
            {"date": "2025-02-30", "lot": "x", "amount": "nan", "incorporated_after_h": "1e400"},
        ]
    }


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("feilds__csv", "field\nx\n", r"feilds\.csv.*did you mean 'fields\.csv'.*farm\.csv"),
        ("fields__xlsx", "x", r"fields\.xlsx.*expected one of"),
        ("fields__csv", "feild,area\nx,1\n", r"fields\.csv.*'feild'.*'field'.*expected.*owner"),
        ("fields__csv", "field;area\nx;1\n", r"'field;area'.*separated by commas"),
        ("fields__csv", "field,area,field\nx,1,y\n", r"fields\.csv.*'field' stands twice"),
        ("fields__csv", "field,area\nx,1,2\n", r"fields\.csv: line 2 has 3 cells; expected 2"),
        ("fields__csv", "", r"fields\.csv: no headers; expected one of field"),
        ("fields__csv", b"field\nM\xfchle\n", r"fields\.csv: not UTF-8"),
        ("fields__csv", 'field\n"x\n', r"fields\.csv: not a whole CSV file"),
        ("fields__csv", f"field\n{'x' * 32_768}\n", r"line 2, field: 32768 characters"),
        ("farm__csv", "farm_name\na\nb\n", r"farm\.csv: 2 lines.*expected one"),
        ("farm__csv", "farm_name,units\na,Metric\n", r"farm\.csv: units reads 'Metric'.*'us'"),
    ],
)
def test_csv_faults_name_the_file_and_what_is_expected(
    tmp_path: Path, name: str, content: str | bytes, said: str
) -> None:
    with pytest.raises(EntryFileFault, match=said):
        read_entries(folder_with(tmp_path, **{name: content}), load(), "us")


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(EntryFileFault, match="nowhere"):
        read_entries(tmp_path / "nowhere", load(), "us")


# -------------------------------------------------------------------- programs
@pytest.mark.skipif(SSCONVERT is None, reason="Gnumeric (ssconvert) is not installed")
def test_gnumeric_opens_and_saves_it_without_loss(tmp_path: Path) -> None:
    assert SSCONVERT
    before, after = tmp_path / "new.xlsx", tmp_path / "saved.xlsx"
    before.write_bytes(build(entries=full_entries()))
    subprocess.run([SSCONVERT, str(before), str(after)], capture_output=True, check=False)
    assert read_back(after.read_bytes()) == read_back(before.read_bytes())


@pytest.mark.skipif(SOFFICE is None, reason="LibreOffice (soffice) is not installed")
def test_libreoffice_opens_and_saves_it_without_loss(tmp_path: Path) -> None:
    assert SOFFICE
    before = tmp_path / "new.xlsx"
    before.write_bytes(build("us", full_entries()))
    profile = f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"
    command = [SOFFICE, profile, "--headless", "--convert-to", "xlsx", "--outdir"]
    folder = str(tmp_path / "out")
    subprocess.run([*command, folder, str(before)], capture_output=True, check=False, timeout=180)
    after = (tmp_path / "out" / "new.xlsx").read_bytes()
    assert read_back(after) == read_back(before.read_bytes())
    kept = validation(opened(after)["Crops"], "A6")
    assert (kept.type, kept.errorStyle) == ("list", "warning")


def test_the_ground_of_a_farm_is_called_alike_on_the_overview_in_findings_and_the_readme() -> None:
    lines = opened(build())["Overview"].iter_rows(values_only=True)
    overview = [str(cell) for line in lines for cell in line if cell]
    messages = [kind.message for kind in load().findings.values()]
    readme = (Path(__file__).parent.parent / "README.md").read_text("utf-8").splitlines()
    for texts in (overview, messages, readme):
        said = [t for t in texts if re.search(r"\b(own|rented) ground", t, re.IGNORECASE)]
        assert said and all("own and rented ground" in text.lower() for text in said)
