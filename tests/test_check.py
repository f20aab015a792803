"""Typing of cells, the row schema with its short cut, lookups, dates."""

from datetime import date, datetime, time
from typing import Any

import pytest
from farms import ONE_FIELD
from finding_cases import BASE, PSNT
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from workbooks import (
    SHIPPED,
    cell_of,
    codes,
    document,
    errors,
    figures,
    put,
    run,
)

from ledger.check.names import Directory
from ledger.check.rows import RowChecker
from ledger.check.values import typed
from ledger.model import Column, Grid, Row, Sheet
from ledger.season import crop_year

NUMBER = Column(id="n", title="N", type="number", note="")
WHOLE = Column(id="w", title="W", type="integer", note="")
HOURS = Column(id="h", title="H", type="number", note="", words=("never",))
DAY = Column(id="d", title="D", type="string", note="", is_date=True)
TEXT = Column(id="t", title="T", type="string", note="")
CHOICE = Column(id="c", title="C", type="string", note="", choices=("injected sweep", "gal/ac"))
NBSP, THIN, NARROW, MINUS = "\u00a0", "\u2009", "\u202f", "\u2212"


@pytest.mark.parametrize(
    ("cell", "number"),
    [
        (40, 40.0),
        (40.5, 40.5),
        ("40", 40.0),
        (" 40.5 ", 40.5),
        ("40,5", 40.5),
        ("0,75", 0.75),
        ("1,2345", 1.2345),
        ("1 234.5", 1234.5),
        (f"1{NBSP}234", 1234.0),
        (f"1{THIN}234,5", 1234.5),
        (f"1{NARROW}234", 1234.0),
        ("1'234", 1234.0),
        ("1,234.5", 1234.5),
        ("1,234,567", 1_234_567.0),
        (f"{MINUS}3", -3.0),
        ("-3", -3.0),
        ("+3", 3.0),
        (".5", 0.5),
        ("4.2e3", 4200.0),
    ],
)
def test_a_number_that_can_only_be_read_one_way_is_read(cell: object, number: float) -> None:
    assert typed(NUMBER, cell) == (number, None)


@pytest.mark.parametrize(
    ("cell", "code"),
    [
        ("1,234", "ambiguous-number"),
        ("-12,500", "ambiguous-number"),
        ("about 40", "not-a-number"),
        ("40 lb", "not-a-number"),
        ("1.234.567", "not-a-number"),
        ("1,23,4", "not-a-number"),
        ("--3", "not-a-number"),
        ("nan", "not-a-number"),
        ("inf", "not-a-number"),
        ("1e999", "not-a-number"),
        ("=5+5", "not-a-number"),
        (True, "not-a-number"),
        (datetime(2026, 5, 1), "not-a-number"),
        (time(12, 0), "not-a-number"),
        (float("nan"), "not-a-number"),
        ("#REF!", "error-cell"),
        ("#DIV/0!", "error-cell"),
        (" #N/A ", "error-cell"),
    ],
)
def test_a_number_that_is_none_or_could_be_two_is_a_problem(cell: object, code: str) -> None:
    value, problem = typed(NUMBER, cell)
    assert value is None
    assert problem is not None and problem[0] == code


def test_words_in_place_of_a_number() -> None:
    assert typed(HOURS, "never") == ("never", None)
    assert typed(HOURS, " Never ") == ("never", None)
    assert typed(HOURS, "6") == (6.0, None)
    _, problem = typed(HOURS, "later")
    assert problem is not None and "never" in str(problem[1]["expected"])


def test_whole_numbers() -> None:
    assert typed(WHOLE, 2026.0) == (2026, None)
    assert typed(WHOLE, "2026") == (2026, None)
    _, problem = typed(WHOLE, 2025.5)
    assert problem is not None and problem[0] == "not-whole"


@pytest.mark.parametrize(
    "cell",
    [
        datetime(2026, 5, 14),
        datetime(2026, 5, 14, 9, 30),
        date(2026, 5, 14),
        "2026-05-14",
        " 2026-5-14 ",
        "2026-05-14T00:00:00",
        46156,  # days since 30 December 1899, as spreadsheet programs count them
        46156.4,
        "5/14/2026",
        "14/5/2026",
        "14.05.2026",
    ],
)
def test_a_date_that_can_only_be_one_day_is_read(cell: object) -> None:
    assert typed(DAY, cell) == (date(2026, 5, 14), None)


def test_a_slashed_date_with_day_and_month_alike_is_one_day() -> None:
    assert typed(DAY, "5/5/2026") == (date(2026, 5, 5), None)


@pytest.mark.parametrize(
    "cell", ["5/6/2026", "mid May", "14/5/26", "2026-13-01", "2026-02-30", 2026, True, "", time(1)]
)
def test_a_date_that_is_none_or_could_be_two_is_a_problem(cell: object) -> None:
    value, problem = typed(DAY, cell)
    assert value is None
    assert problem is not None and problem[0] == "not-a-date"


MARCH_OR_MAY = "5 March 2026 (type 2026-03-05) or 3 May 2026 (type 2026-05-03)"


@pytest.mark.parametrize(
    ("cell", "meant"),
    [
        ("5/3/26", MARCH_OR_MAY),
        ("5.3.2026", MARCH_OR_MAY),
        ("13/5/26", "13 May 2026 (type 2026-05-13)"),
        ("5/5/26", "5 May 2026 (type 2026-05-05)"),
    ],
)
def test_a_date_that_could_be_two_is_told_with_both(cell: str, meant: str) -> None:
    found = document(put(BASE, "manure_spread", "date", cell))["findings"]
    (item,) = [f for f in found if f["code"] == "not-a-date"]
    assert item["message"] == f"read '{cell}'; expected a date; this may mean {meant}"


@pytest.mark.parametrize("cell", ["mid May", "31/31/26", "2026-13-01", True])
def test_what_is_no_date_at_all_is_given_no_meaning(cell: object) -> None:
    found = document(put(BASE, "manure_spread", "date", cell))["findings"]
    (item,) = [f for f in found if f["code"] == "not-a-date"]
    assert item["message"].endswith("expected a date")


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        ("  Home  Farm ", "Home Farm"),
        (7.0, "7"),
        (7, "7"),
        (7.5, "7.5"),
        (True, "TRUE"),
        (datetime(2026, 7, 21), "2026-07-21"),
        (f"Long{NBSP}Bottom", "Long Bottom"),
    ],
)
def test_a_name_is_text_whatever_the_cell_holds(cell: object, text: str) -> None:
    assert typed(TEXT, cell) == (text, None)


@pytest.mark.parametrize("cell", ["Injected Sweep", "INJECTED  SWEEP", f"injected{NBSP}sweep"])
def test_a_choice_is_known_in_any_case_and_spacing(cell: str) -> None:
    assert typed(CHOICE, cell) == ("injected sweep", None)


# ------------------------------------------------------------------- whole workbooks
UREA = """
## fertilizer
| date       | pass     | product | field | amount | unit  |
| 2026-04-20 | preplant | urea    | Home  | 200    | lb/ac |
"""


# What cells hold once the reader has them: test_read.py has the same in real workbooks.
@pytest.mark.parametrize("cell", ["200", "200,0", f"2{NBSP}00", 200])
def test_a_rate_kept_as_text_posts_what_the_number_would(cell: object) -> None:
    changed = document(put(ONE_FIELD + UREA, "fertilizer", "amount", cell))
    assert figures(changed)["fertilizer"] == pytest.approx(200 * 0.46)  # grade 46-0-0


@pytest.mark.parametrize(
    ("column", "cell"),
    [
        ("field", "home"),
        ("field", " HOME "),
        ("product", "UREA"),
        ("pass", "Preplant"),
        ("unit", "LB/AC"),
        ("date", "2026-04-20"),
        ("date", 46132),
    ],
)
def test_names_words_and_dates_typed_another_way_post_alike(column: str, cell: object) -> None:
    changed = put(ONE_FIELD + UREA, "fertilizer", column, cell)
    assert not errors(run(changed).results.findings)
    assert document(changed)["postings"] == document(ONE_FIELD + UREA)["postings"]


@pytest.mark.parametrize(
    ("column", "cell", "meant"),
    [("field", "Hmoe", "Home"), ("product", "ureea", "urea"), ("unit", "lb/acre", "lb/ac")],
)
def test_a_slip_of_typing_gets_a_suggestion(column: str, cell: str, meant: str) -> None:
    place = cell_of("fertilizer", column)
    found = document(put(ONE_FIELD + UREA, "fertilizer", column, cell))["findings"]
    said = [item["message"] for item in found if item["cell"] == place]
    assert len(said) == 1
    assert f"'{cell}'" in said[0] and f"did you mean '{meant}'?" in said[0]


def test_a_zone_is_looked_up_among_its_own_field_alone() -> None:
    result = document(
        """
        ## fields
        | field | area |
        | Home  | 40   |
        | Away  | 20   |
        ## zones
        | field | zone | area |
        | Home  | west | 15   |
        | Home  | east | 25   |
        ## fertilizer
        | date       | pass     | product | field | zone | amount | unit  |
        | 2026-04-20 | preplant | urea    | Away  | west | 200    | lb/ac |
        """
    )
    assert "unknown-name" in codes(result)
    said = [f["message"] for f in result["findings"] if f["code"] == "unknown-name"]
    assert "'Away'" in said[0]


def test_all_stands_for_the_whole_field_in_a_zone_column() -> None:
    plain = document(ONE_FIELD + UREA)
    named = document(put(ONE_FIELD + UREA, "fertilizer", "zone", "all"))
    assert named["zones"] == plain["zones"]


@pytest.mark.parametrize(
    ("day", "inside"),
    [("2025-06-30", False), ("2025-07-01", True), ("2026-12-31", True), ("2027-01-01", False)],
)
def test_the_crop_year_runs_from_july_before_to_december(day: str, inside: bool) -> None:
    found = codes(document(ONE_FIELD + UREA.replace("2026-04-20", day)))
    assert ("date-outside-year" not in found) is inside
    assert crop_year(2026, SHIPPED) == (date(2025, 7, 1), date(2026, 12, 31))


@pytest.mark.parametrize("year", [None, 0, -5, 10_000, "soon"])
def test_a_ledger_without_a_sound_year_is_told_so(year: object) -> None:
    """With a nitrate sample, which counts in its own crop year alone."""
    source = put(BASE + PSNT, "farm", "n_method", "pre-sidedress nitrate")
    found = run(put(source, "farm", "year", " " if year is None else year))
    at_fault = [f.cell for f in found.results.findings if f.severity == "error"]
    assert cell_of("farm", "year") in at_fault


# ------------------------------------------------- the short cut past the row schema
POOL: list[Any] = [
    0, 1, -1, 2026, 40, 100.5, 1e9, 0.0, True, "1", "40,5", "1,234", "never", "urea", "Home",
    "corn", "grain", "gal/ac", "lb/ac", "ton", "bales", "us", "metric", "broadcast", "liquid",
    "owned", "self", "2026-04-20", "3/3/2026", "#REF!", "gallon an acre", datetime(2026, 4, 20),
]  # fmt: skip
NO_NAMES = Directory({}, SHIPPED)
SHEETS = list(SHIPPED.sheets.values())


def row_of(sheet: Sheet, cells: dict[str, Any]) -> Row:
    """A row as the reader hands it on."""
    grid = Grid(sheet_id=sheet.id, sheet_name=sheet.title, letters={}, pair_rows={})
    return Row(grid=grid, number=6, cells=cells)


@st.composite
def sheet_rows(draw: st.DrawFn) -> tuple[Sheet, list[dict[str, Any]]]:
    sheet = draw(st.sampled_from(SHEETS))
    usual = {c.id: list(c.choices) + POOL for c in sheet.columns}
    names = [c.id for c in sheet.columns]
    required = {c.id: st.sampled_from(usual[c.id]) for c in sheet.columns if c.required}
    others = {n: st.sampled_from(usual[n]) for n in names if n not in required}
    rows = st.fixed_dictionaries(required, optional=others)
    return sheet, draw(st.lists(rows, min_size=1, max_size=8))


@settings(deadline=None, max_examples=150)
@given(sheet_rows())
def test_the_short_cut_finds_what_the_schema_alone_finds(
    drawn: tuple[Sheet, list[dict[str, Any]]],
) -> None:
    sheet, rows = drawn
    seasoned = RowChecker(SHIPPED, NO_NAMES, "us")
    for cells in rows:
        row = row_of(sheet, cells)
        entry, found = seasoned.entry(sheet, row)
        assert (entry, found) == RowChecker(SHIPPED, NO_NAMES, "us").entry(sheet, row)


SCHEMA_CODES = {"required-blank", "still-to-choose", "unknown-word", "too-small", "too-large"}


@settings(deadline=None, max_examples=150)
@given(sheet_rows())
def test_schema_findings_are_those_of_jsonschema(
    drawn: tuple[Sheet, list[dict[str, Any]]],
) -> None:
    sheet, rows = drawn
    seasoned = RowChecker(SHIPPED, NO_NAMES, "us")
    validator = Draft202012Validator(sheet.schema)
    for cells in rows:
        good = {k: v for k, v in cells.items() if typed(sheet.by_id[k], v)[1] is None}
        values = {k: typed(sheet.by_id[k], v)[0] for k, v in good.items()}
        plain = {k: v.isoformat() if isinstance(v, date) else v for k, v in values.items()}
        _, found = seasoned.entry(sheet, row_of(sheet, good))
        said = [item for item in found if item.code in SCHEMA_CODES]
        assert len(said) == len(list(validator.iter_errors(plain)))


def test_row_schemas_constrain_cells_one_by_one() -> None:
    for sheet in SHEETS:
        known = {"$schema", "type", "required", "properties", "additionalProperties"}
        assert set(sheet.schema) == known, sheet.id
