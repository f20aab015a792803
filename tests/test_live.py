"""Live formulas: what spreadsheet programs reckon is what ``balance`` reckons.

More than 200 drawn farms go through LibreOffice in one launch, some of them through
Gnumeric as well; every figure of every zone, of the farm and of every line is compared.
"""

from __future__ import annotations

import resource
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from drawn_live import drawn, together
from live_figures import disagrees, farm_compared, lines, opened, stores_compared, zones_compared
from programs import NEEDS_GNUMERIC, NEEDS_OFFICE, SOFFICE, SSCONVERT, gnumeric, office
from workbooks import SHIPPED, YEAR, altered, document, edit, figures, run

from ledger import definitions, pipeline, report
from ledger.cli.new import workbook_for
from ledger.model import Definitions, System

EXAMPLE = Path(__file__).parent.parent / "examples" / "farm"
A_WORKBOOK = 18  # farms
SETTINGS: tuple[tuple[System, str, str, str], ...] = tuple(
    (system, manure, removal, legume)
    for system in ("us", "metric")
    for manure, removal, legume in (
        ("MN-UMN", "general", "general"),
        ("MN-UMN", "Iowa-PM1688", "Nebraska-EC117"),
        ("MN-UMN", "Ontario-2025", "Missouri-coop"),
        ("IA-PMR1003", "general", "general"),
        ("AB-NMPG", "IPNI-Missouri-2015", "general"),
        ("NE-G1335-2021", "Illinois-2019", "general"),
    )
)


@dataclass(frozen=True)
class Case:
    """A workbook of drawn farms and the result document of the same bytes."""

    name: str
    content: bytes
    document: Mapping[str, Any]


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Definitions:
    """The shipped definitions with few prepared lines: workbooks grow with their entries."""

    def few(content: dict[str, Any]) -> None:
        content["prepared_rows"] = 8
        content["live_rows"] = {}

    return altered(tmp_path_factory.mktemp("data"), "settings.json", few)


@pytest.fixture(scope="module")
def cases(small: Definitions) -> list[Case]:
    """Workbooks of farms in both unit systems, under every set."""
    many = {system: iter(drawn(A_WORKBOOK * 6, system)) for system in ("us", "metric")}
    found = []
    for number, (system, manure, removal, legume) in enumerate(SETTINGS):
        farms = [farm for _, farm in zip(range(A_WORKBOOK), many[system], strict=False)]
        chosen = {"manure_set": manure, "removal_set": removal, "legume_set": legume}
        tank = {"sidedress_product": "UAN-28", "smallest_pass": 8, "n_method": "yield factor"}
        entries = {**together(farms), "farm": [{"farm_name": "Drawn", **chosen, **tank}]}
        content = pipeline.blank(small, year=YEAR, system=system, entries=entries)
        done = report.document(pipeline.run(content, small).results, small)
        found.append(Case(name=f"drawn{number}", content=content, document=done))
    return found


@pytest.fixture(scope="module")
def recalculated(cases: list[Case], tmp_path_factory: pytest.TempPathFactory) -> list[Any]:
    """The workbooks as LibreOffice reckoned them, all in one launch."""
    if not SOFFICE:
        pytest.skip(NEEDS_OFFICE)
    folder = tmp_path_factory.mktemp("live")
    files = [_written(folder, case) for case in cases]
    office(folder / "profile", "xlsx", folder / "out", files)
    return [opened(folder / "out" / file.name) for file in files]


def _written(folder: Path, case: Case) -> Path:
    file = folder / f"{case.name}.xlsx"
    file.write_bytes(case.content)
    return file


def compared(book: Any, case: Case, data: Definitions) -> Iterator[tuple[str, Any, float | None]]:
    yield from zones_compared(book, case.document, data)
    yield from farm_compared(book, case.document, data)
    yield from stores_compared(book, case.document, data)


def wrong(book: Any, case: Case, data: Definitions) -> list[tuple[str, Any, float | None]]:
    return [found for found in compared(book, case, data) if disagrees(*found[1:])]


def test_there_are_enough_farms_of_both_systems(cases: list[Case]) -> None:
    farms = {(c.name, z["field"].split()[0]) for c in cases for z in c.document["zones"]}
    assert len(farms) >= 200
    assert {c.document["ledger"]["units"] for c in cases} == {"us", "metric"}


def test_live_figures_are_those_of_balance(
    cases: list[Case], recalculated: list[Any], small: Definitions
) -> None:
    for case, book in zip(cases, recalculated, strict=True):
        assert wrong(book, case, small) == [], case.name


def test_most_figures_that_balance_knows_are_live(
    cases: list[Case], recalculated: list[Any], small: Definitions
) -> None:
    """Words in place of figures must stay the exception they are for the default sets."""
    for case, book in zip(cases, recalculated, strict=True):
        if case.document["ledger"]["manure_set"] == "MN-UMN":
            told = [live for _, live, known in compared(book, case, small) if known is not None]
            assert sum(isinstance(live, (int, float)) for live in told) > 0.9 * len(told)


def test_most_store_levels_that_balance_knows_are_live(
    cases: list[Case], recalculated: list[Any], small: Definitions
) -> None:
    told = [
        live
        for case, book in zip(cases, recalculated, strict=True)
        for _, live, known in stores_compared(book, case.document, small)
        if known is not None
    ]
    assert len(told) > 150
    assert sum(isinstance(live, (int, float)) for live in told) > 0.9 * len(told)


def test_lots_with_several_slips_are_among_the_cases(
    cases: list[Case], recalculated: list[Any], small: Definitions
) -> None:
    """What a lot is said to hold is the factor its postings name, however many slips."""
    title = small.sheets["manure_samples"].title
    means = [
        factor
        for case in cases
        for posting in case.document["postings"]
        for factor in posting["factors"]
        if factor["name"] == "N content" and title in factor["origin"]
    ]
    assert len(means) > 50
    for book in recalculated:
        used = lines(book, small.sheets["manure_lots"].title)
        assert all(line["_used_N"] not in (None, "") for line in used)


def test_every_line_shows_what_it_posts(
    cases: list[Case], recalculated: list[Any], small: Definitions
) -> None:
    for case, book in zip(cases, recalculated, strict=True):
        posted = _posted(case.document)
        for sheet, column, root in LINES:
            for line in lines(book, small.sheets[sheet].title):
                for nutrient in small.nutrients:
                    live = line.get(column.format(nutrient))
                    if isinstance(live, (int, float)):
                        place = (small.sheets[sheet].title, line["row"], nutrient, root)
                        told = posted.get(place, 0.0)
                        assert live * line["_area"] == pytest.approx(told, rel=1e-6, abs=1e-6), (
                            place
                        )


LINES = (
    ("manure_spread", "_total_{}", "store"),
    ("manure_spread", "_credit_{}", "available"),
    ("fertilizer", "_{}", "available"),
    ("harvest", "_{}", "harvest"),
    ("credits", "_{}", "available"),
    ("past_manure", "_{}", "available"),
)


def _posted(document: Mapping[str, Any]) -> dict[tuple[str, int, str, str], float]:
    """Mass that came to the field's available account, left the store or went to harvest."""
    sums: dict[tuple[str, int, str, str], float] = {}
    for posting in document["postings"]:
        steps = posting["account"].split("/")
        root = "available" if steps[-1] == "available" else steps[0]
        mass = -posting["mass"] if root == "store" else posting["mass"]
        key = (posting["sheet"], posting["row"], posting["nutrient"], root)
        sums[key] = sums.get(key, 0.0) + mass
    return sums


@pytest.mark.skipif(not SSCONVERT, reason=NEEDS_GNUMERIC)
def test_gnumeric_reckons_the_same(cases: list[Case], small: Definitions, tmp_path: Path) -> None:
    for case in (cases[0], cases[7]):
        target = tmp_path / f"{case.name}-gnumeric.xlsx"
        gnumeric("--recalc", _written(tmp_path, case), target)
        assert wrong(opened(target), case, small) == [], case.name


# ---------------------------------------------------------------------- the example farm
@cache
def example() -> bytes:
    return workbook_for(definitions.load(), year=None, units=None, folder=EXAMPLE)


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_the_example_farm_is_live(tmp_path: Path) -> None:
    content = example()
    case = Case("example", content, document(content))
    file = _written(tmp_path, case)
    office(tmp_path / "profile", "xlsx", tmp_path / "out", [file])
    book = opened(tmp_path / "out" / file.name)
    assert wrong(book, case, SHIPPED) == []
    rates = {(p["field"], p["zone"]): p["rate"] for p in case.document["plan"]}
    shown = {(z["field"], z["zone"]): z["_rate"] for z in lines(book, "Zones")}
    for place, rate in shown.items():
        assert rate == pytest.approx(rates[place], rel=1e-6)


# ------------------------------------------------------------------- size and what is missed
RECALCULATION_S = 3.0  # of processor time, beyond starting the program


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_five_hundred_lines_are_reckoned_within_the_time(tmp_path: Path) -> None:
    names = [f"F{number}" for number in range(60)]
    dated = {"date": date(2026, 4, 1)}
    fed = {"pass": "other", "product": "urea", "amount": 100.0, "unit": "lb/ac"}
    cut = {"crop": "corn", "part": "grain", "yield": 20.0, "unit": "bu/ac"}
    entries: Any = {
        "fields": [{"field": name, "area": 40.0} for name in names],
        "crops": [{"field": name, "crop": "corn", "n_entered": 150.0} for name in names],
        "fertilizer": [{**dated, **fed, "field": names[n % 60]} for n in range(500)],
        "harvest": [{**dated, **cut, "field": names[n % 60]} for n in range(500)],
    }
    content = pipeline.blank(SHIPPED, year=YEAR, system="us", entries=entries)
    nothing = tmp_path / "nothing.csv"
    nothing.write_text("1\n", "utf-8")
    full = _written(tmp_path, Case("full", content, {}))
    office(tmp_path / "profile", "csv", tmp_path / "out", [nothing])  # makes the profile
    start = _processor_time(tmp_path, nothing)
    assert _processor_time(tmp_path, full) - start < RECALCULATION_S


def _processor_time(folder: Path, file: Path) -> float:
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
    office(folder / "profile", "csv", folder / "out", [file])
    return resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_a_line_without_live_figures_is_counted(small: Definitions, tmp_path: Path) -> None:
    def below(book: Any) -> None:
        book["Fertilizer"]["D100"] = "Home"

    file = _written(tmp_path, Case("missed", edit(_blank(small), below), {}))
    office(tmp_path / "profile", "xlsx", tmp_path / "out", [file])
    sheet = opened(tmp_path / "out" / file.name)["Overview"]
    told = {row[0]: row[1] for row in sheet.iter_rows(max_row=14, max_col=2, values_only=True)}
    assert told["Lines without live figures"] == 1


# ------------------------------------------------------------------- figures of one's own
HOME = """
## fields
| field | area |
| Home  | 40   |
## manure_lots
| lot | kind       | form   | n_total | p2o5 | k2o | s | per      |
| Pit | hog liquid | liquid | 50      | 20   | 30  | 5 | 1000 gal |
## manure_spread
| date       | lot | field | amount | unit   | method         |
| 2025-11-03 | Pit | Home  | 4000   | gal/ac | injected sweep |
"""
SWEEP = "manure|MN-UMN|availability|year=1|group=swine|placement=sweep"


def test_a_figure_of_ones_own_is_used_and_named_as_origin(small: Definitions) -> None:
    content = pipeline.blank(small, year=YEAR, system="us", entries=_entries(), own={SWEEP: 0.5})
    done = document(content, data=small)
    assert figures(done)["manure_credit"] == pytest.approx(100)
    assert figures(document(_blank(small), data=small))["manure_credit"] == pytest.approx(160)
    origins = {f["origin"] for p in done["postings"] for f in p["factors"]}
    assert any("your own figure" in o and "Reference!E" in o for o in origins)


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_formulas_and_balance_obey_one_figure(small: Definitions, tmp_path: Path) -> None:
    content = pipeline.blank(small, year=YEAR, system="us", entries=_entries(), own={SWEEP: 0.5})
    case = Case("own", content, document(content, data=small))
    file = _written(tmp_path, case)
    office(tmp_path / "profile", "xlsx", tmp_path / "out", [file])
    book = opened(tmp_path / "out" / file.name)
    assert wrong(book, case, small) == []
    assert lines(book, "Manure spread")[0]["_credit_N"] == pytest.approx(100)


@pytest.mark.parametrize("typed", [1.5, -0.1, "a half", True])
def test_a_share_beyond_its_range_is_refused_and_the_published_one_stays(
    typed: object, small: Definitions
) -> None:
    content = _blank(small)

    def change(book: Any) -> None:
        sheet = book["Reference"]
        row = next(c.row for c in sheet["K"] if c.value == SWEEP)
        sheet[f"E{row}"] = typed

    done = run(edit(content, change), data=small)
    assert [f.code for f in done.results.findings if f.severity == "error"] == ["own-figure-unfit"]
    shown = report.document(done.results, small)
    assert figures(shown)["manure_credit"] == pytest.approx(160)


def _entries() -> Any:
    from workbooks import entries_of

    return entries_of(HOME)


def _blank(data: Definitions) -> bytes:
    return pipeline.blank(data, year=YEAR, system="us", entries=_entries())
