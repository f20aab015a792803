"""The copy for a landlord and the statement for a customer: what they hold."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from farms import STANDARD
from lines import cut, farm, lot, spread
from lines import table as lines_of
from papers import annual, example, labelled, opened, rows, shared, table, text_of
from programs import NEEDS_GNUMERIC, NEEDS_OFFICE, SOFFICE, SSCONVERT, gnumeric, office
from small import small
from workbooks import Entries, cell_of, edit, entries_of, put, workbook

from ledger import pipeline
from ledger.cli import main

EXAMPLE = example()
LANDLORD, TENANT_PAYS, CUSTOMER = "Isolde Prack", "Corwin Tash", "Bram Yeltsman"


@pytest.fixture(scope="module")
def landlord() -> bytes:
    return shared(EXAMPLE, LANDLORD)


@pytest.fixture(scope="module")
def customer() -> bytes:
    return shared(EXAMPLE, CUSTOMER)


def test_sheets_of_a_landlords_copy(landlord: bytes) -> None:
    assert opened(landlord).sheetnames == [
        "Your ground",
        "Crops and tests",
        "Manure and fertilizer",
        "Field balance",
        "Cautions and sources",
    ]


def test_who_for_and_who_from(landlord: bytes) -> None:
    words = text_of(landlord, ["Your ground"])
    assert "For Isolde Prack, 555-0142." in words
    assert "From Ninebark Draw Farm, Wren Halvard. Crop year 2026." in words
    assert "Only your own ground is in this copy." in words
    assert "The lease and your agreements say what is owed" in words


def test_fields_are_theirs_and_no_others(landlord: bytes) -> None:
    fields = [line[0] for line in table(landlord, "Your ground", "Fields")[1:]]
    assert fields == ["Alder Bottom", "Long Slant"]


def test_mined_and_built_up_in_pounds_and_dollars(landlord: bytes) -> None:
    totals = labelled(landlord, "Your ground", "All of your ground")["Balance (applied - removed)"]
    lines = labelled(landlord, "Your ground", "Mined or built up")
    assert list(lines) == ["Nutrient", "P2O5", "K2O", "S"]
    mass, said, price, worth = lines["P2O5"]
    masses = [cell for cell in totals if isinstance(cell, (int, float))]  # a range beside each
    assert mass == pytest.approx(masses[1])
    assert (said, price) == ("built up", pytest.approx(0.66))  # examples/farm/farm.csv
    assert worth == pytest.approx(mass * 0.66)
    assert lines["S"][1] == "mined"
    assert lines["S"][3] < 0


def test_a_balance_that_may_be_mined_or_built_up_is_not_called_either() -> None:
    """80 to 120 lb/ac of P2O5 by two slips; 290 bu take 290 x 0.37 lb (Illinois 2019): 107.3."""
    slip = {"lot": "Pit", "sampled": "2025-10-02", "p2o5": 30, "per": "1000 gal"}
    source = (
        "## fields\n| field | area | owner |\n| Home | 40 | R. Moser |\n"
        "## people\n| name | role |\n| R. Moser | landlord |\n"
        + (lot(p2o5=20) + lines_of("manure_samples", slip) + spread())
        + cut(**{"yield": 290})
        + farm(price_p2o5=0.5, removal_set="Illinois-2019")
    )
    lines = labelled(shared(source, "R. Moser"), "Your ground", "Mined or built up")
    _, *told = lines["P2O5"]
    assert told == ["from 1,092 mined to 508 built up", 0.5, "-546 to 254"]


def test_cost_share_of_fertilizer_and_manure(landlord: bytes) -> None:
    lines = labelled(landlord, "Your ground", "Shared costs")
    share, fertilizer, part, manure, manure_part = lines["Long Slant"]
    # 2.5 ton at $690 and 3.25 ton at $438 (examples/farm); her share is 40 percent
    assert fertilizer == pytest.approx(2.5 * 690 + 3.25 * 438)
    assert share == 40
    assert part == pytest.approx(fertilizer * 0.4)
    assert manure == manure_part == 0
    both = [lines[name][2] for name in ("Alder Bottom", "Long Slant")]
    assert lines["Total"][2] == pytest.approx(sum(both))


def test_lime_and_build_up_that_is_left(landlord: bytes) -> None:
    # straight line: lime of $2,940 after 2 of 5 crops; $3,100 after 3 of 4, 60 percent paid
    lines = labelled(landlord, "Your ground", "Lime and build-up")
    assert lines["Lime"][-1] == pytest.approx(2940 * 3 / 5)
    assert lines["Phosphate build-up"][-1] == pytest.approx(3100 * 1 / 4 * 0.6)
    assert "Tile repair" not in lines


def test_soil_tests_harvest_and_work_are_there(landlord: bytes) -> None:
    tests = table(landlord, "Crops and tests", "Soil tests")
    assert len(tests) == 1 + 4
    assert len(table(landlord, "Crops and tests", "Harvest")) == 1 + 2
    put_on = table(landlord, "Manure and fertilizer", "Manure: what was put on")
    assert len(put_on) == 1 + 2
    date, field, zone = put_on[1][1:4]
    assert (date, field, zone) == (datetime(2025, 11, 4), "Alder Bottom", "hose side")
    how = table(landlord, "Manure and fertilizer", "Manure: how and by whom")
    assert "injected sweep" in how[1]
    assert any("Gable Hill crew" in str(cell) for cell in how[1])


def test_a_cash_rent_landlord_shares_no_cost() -> None:
    copy = shared(EXAMPLE, TENANT_PAYS)
    assert "No cost is shared on your ground." in text_of(copy, ["Your ground"])
    lines = labelled(copy, "Your ground", "Lime and build-up")
    assert lines["Tile repair"][-1] == pytest.approx(1850 * 13 / 15 * 0.5)


# -------------------------------------------------------------------- customer
def test_a_statement_of_custom_work(customer: bytes) -> None:
    assert opened(customer).sheetnames == ["Custom work", "Cautions and sources"]
    lines = table(customer, "Custom work", "Statement of work")
    assert lines[1] == [
        datetime(2026, 6, 12),
        "Yeltsman West",
        "UAN-32",
        pytest.approx(41),
        pytest.approx(11.5),
        pytest.approx(471.5),
    ]
    total = [cell for cell in lines[2] if cell != ""]
    assert total == ["Total", pytest.approx(41), pytest.approx(471.5)]
    put_on = table(customer, "Custom work", "Fertilizer: what was put on")[1]
    assert pytest.approx(905) in [c for c in put_on if isinstance(c, (int, float))]
    assert pytest.approx(905 / 41) in [c for c in put_on if isinstance(c, (int, float))]
    assert "N 32, P2O5 0, K2O 0, S 0 %" in put_on


def test_a_charge_that_is_not_given_is_unknown() -> None:
    lines = EXAMPLE["fertilizer"]
    uncharged = {
        **EXAMPLE,
        "fertilizer": [{k: v for k, v in line.items() if k != "charge"} for line in lines],
    }
    statement = table(shared(uncharged, CUSTOMER), "Custom work", "Statement of work")
    assert statement[1][-2:] == ["unknown", "unknown"]
    assert statement[2][-1] == "unknown"


def both(entries: Entries) -> Entries:
    """A landlord who is a customer too."""
    fields = [dict(line) for line in entries["fields"]]
    for line in fields:
        if line["field"] == "Yeltsman West":
            line["owner"] = LANDLORD
    return {**entries, "fields": fields}


def test_a_landlord_who_is_a_customer_gets_both() -> None:
    copy = shared(both(EXAMPLE), LANDLORD)
    assert opened(copy).sheetnames[0] == "Your ground"
    assert "Custom work" in opened(copy).sheetnames
    assert [line[0] for line in table(copy, "Your ground", "Shared costs")[1:]] == [
        "Alder Bottom",
        "Long Slant",
        "Total",
    ]
    assert "Yeltsman West" not in str(table(copy, "Manure and fertilizer", "Fertilizer"))


# ----------------------------------------------------------------------- faults
def test_a_line_with_an_error_is_left_out_and_said() -> None:
    spoilt = put(STANDARD, "fertilizer", "amount", -5, line=2)
    copy = shared(spoilt, "R. Moser")
    assert "INCOMPLETE" in text_of(copy, ["Your ground"])
    work = table(copy, "Manure and fertilizer", "Fertilizer: what was put on")
    assert len(work) == 1 + 2
    assert "INCOMPLETE" not in text_of(shared(STANDARD, "R. Moser"))
    assert "INCOMPLETE" not in text_of(shared(spoilt, "A. Abel"))


def test_text_like_a_formula_stays_text() -> None:
    copy = shared(put(STANDARD, "fields", "legal", "=1+1", line=2), "R. Moser")
    assert "=1+1" in text_of(copy)
    for sheet in opened(copy):
        assert not [c for row in sheet.iter_rows() for c in row if c.data_type == "f"]


def test_same_ledger_same_bytes(landlord: bytes) -> None:
    assert shared(example(), LANDLORD) == landlord
    assert opened(landlord).properties.created == datetime(2000, 1, 1)


# ---------------------------------------------------------------------- command
@pytest.fixture
def ledger(tmp_path: Path) -> Path:
    file = tmp_path / "farm.xlsx"
    file.write_bytes(workbook(STANDARD))
    return file


def test_command_writes_beside_the_ledger(ledger: Path) -> None:
    before = ledger.read_bytes()
    assert main(["share", str(ledger), "--with", "r.  MOSER"]) == 0
    assert rows(ledger.with_name("farm-r-moser.xlsx").read_bytes(), "Your ground")
    assert ledger.read_bytes() == before


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--with", "R. Mosr"], "did you mean 'R. Moser'?"),
        (["--with", "Nobody at all"], "Nobody on the People sheet"),
    ],
)
def test_command_refuses_who_is_not_known(
    ledger: Path, arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["share", str(ledger), *arguments]) == 2
    assert says in capsys.readouterr().err
    assert list(ledger.parent.iterdir()) == [ledger]


def test_command_refuses_a_person_without_ground(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    entries = entries_of(STANDARD)
    file = tmp_path / "farm.xlsx"
    file.write_bytes(workbook({**entries, "people": [*entries["people"], {"name": "Ned"}]}))
    assert main(["share", str(file), "--with", "Ned"]) == 2
    assert "names Ned as the owner" in capsys.readouterr().err


def test_command_never_writes_over_the_ledger(
    ledger: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = ledger.read_bytes()
    arguments = ["share", str(ledger), "--with", "R. Moser", "--out", str(ledger), "--force"]
    assert main(arguments) == 2
    assert "the ledger itself" in capsys.readouterr().err
    assert ledger.read_bytes() == before


def test_command_says_that_lines_have_errors(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "farm.xlsx"
    file.write_bytes(workbook(put(STANDARD, "fertilizer", "amount", -5, line=2)))
    assert main(["share", str(file), "--with", "R. Moser"]) == 1
    assert "with errors, which are not in it: 1." in capsys.readouterr().err


# --------------------------------------------------------------------- programs
@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_copies_open_in_libreoffice_and_lose_nothing(
    tmp_path: Path, landlord: bytes, customer: bytes
) -> None:
    papers = {"landlord": landlord, "customer": customer, "report": annual(EXAMPLE, money=True)}
    for name, content in papers.items():
        (tmp_path / f"{name}.xlsx").write_bytes(content)
    files = [tmp_path / f"{name}.xlsx" for name in papers]
    office(tmp_path / "profile", "xlsx", tmp_path / "saved", files)
    for name, content in papers.items():
        saved = (tmp_path / "saved" / f"{name}.xlsx").read_bytes()
        for sheet in opened(content).sheetnames:
            assert _plain(rows(saved, sheet)) == _plain(rows(content, sheet)), (name, sheet)


@pytest.mark.skipif(not SSCONVERT, reason=NEEDS_GNUMERIC)
def test_a_copy_opens_in_gnumeric_and_loses_nothing(tmp_path: Path, landlord: bytes) -> None:
    (tmp_path / "copy.xlsx").write_bytes(landlord)
    gnumeric(tmp_path / "copy.xlsx", tmp_path / "saved.xlsx")
    saved = (tmp_path / "saved.xlsx").read_bytes()
    for sheet in opened(landlord).sheetnames:
        assert _plain(rows(saved, sheet)) == _plain(rows(landlord, sheet)), sheet


def _plain(lines: list[list[object]]) -> list[list[str]]:
    """Cells as text, numbers to nine digits, empty cells and rows left out."""
    told = [
        [f"{c:.9g}" if isinstance(c, (int, float)) else str(c) for c in line if c != ""]
        for line in lines
    ]
    return [line for line in told if line]


# ------------------------------------------------------------------------ trend
@pytest.fixture(scope="module")
def two_years(tmp_path_factory: pytest.TempPathFactory) -> dict[int, Path]:
    """The example farm, and the same a year before: enough for a running balance."""
    folder = tmp_path_factory.mktemp("years")
    files = {2026: folder / "this.xlsx", 2025: folder / "last.xlsx"}
    for year, file in files.items():
        farm = [{**EXAMPLE["farm"][0], "year": year}]
        lines = {
            sheet: [
                {k: a_year_before(v) if year == 2025 and k == "date" else v for k, v in row.items()}
                for row in rows_
            ]
            for sheet, rows_ in EXAMPLE.items()
        }
        file.write_bytes(of_year(year, {**lines, "farm": farm, "past_manure": []}))
    return files


def of_year(year: int, entries: Entries) -> bytes:
    return pipeline.blank(small(), year=year, system="us", entries=entries)


def a_year_before(day: object) -> object:
    assert isinstance(day, (datetime, date))
    return day - timedelta(days=365)


def test_a_landlord_sees_the_trend_of_their_ground_alone(two_years: dict[int, Path]) -> None:
    out = two_years[2026].with_name("copy.xlsx")
    command = ["share", str(two_years[2026]), "--with", LANDLORD, "--out", str(out)]
    assert main([*command, "--with-years", str(two_years[2025])]) == 0
    copy = out.read_bytes()
    assert "Trend" in opened(copy).sheetnames
    words = text_of(copy, ["Trend"])
    assert "Crop years 2025, 2026" in words and "Long Slant" in words
    for other in ("Windmill Eighty", "Stony Knob", "Stack 24"):
        assert other not in words
    [heading, first, second] = table(copy, "Trend", "Phosphate (P2O5), running balance [lb/ac]")[:3]
    assert heading[0] == "Crop year" and (first[0], second[0]) == ("2025", "2026")
    at = heading.index("Long Slant")
    assert second[at] == pytest.approx(2 * first[at], abs=0.2)  # the same year twice


def test_a_year_in_which_the_ground_was_not_theirs_is_said(
    two_years: dict[int, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = tmp_path / "before.xlsx"
    entries = {**EXAMPLE, "farm": [{**EXAMPLE["farm"][0], "year": 2024}]}
    entries["fields"] = [{**row, "owner": None} for row in EXAMPLE["fields"]]
    before.write_bytes(of_year(2024, entries))
    out = tmp_path / "copy.xlsx"
    main(["share", str(two_years[2026]), "--with", LANDLORD, "--out", str(out),
          "--with-years", str(before)])  # fmt: skip
    assert f"the workbook of 2024 has no ground of {LANDLORD}" in capsys.readouterr().err
    assert "Crop years 2026." in text_of(out.read_bytes(), ["Trend"])


def test_a_customer_gets_no_trend_and_that_is_said(
    two_years: dict[int, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "copy.xlsx"
    command = ["share", str(two_years[2026]), "--with", CUSTOMER, "--out", str(out)]
    main([*command, "--with-years", str(two_years[2025])])
    assert "Trend" not in opened(out.read_bytes()).sheetnames
    assert "has no sheet Trend" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda content: b"no workbook", "not a complete .xlsx workbook"),
        (lambda content: edit(content, _without_year), "states no sound crop year"),
    ],
)
def test_another_year_that_cannot_be_told_is_refused_by_its_name(
    two_years: dict[int, Path],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    spoil: Callable[[bytes], bytes],
    says: str,
) -> None:
    odd = tmp_path / "odd.xlsx"
    odd.write_bytes(spoil(two_years[2025].read_bytes()))
    command = ["share", str(two_years[2026]), "--with", LANDLORD, "--with-years", str(odd)]
    assert main([*command, "--out", str(tmp_path / "copy.xlsx")]) == 2
    told = capsys.readouterr().err
    assert says in told and str(odd) in told
    assert not (tmp_path / "copy.xlsx").exists()


def _without_year(book: Any) -> None:
    book["Farm"][cell_of("farm", "year")] = None
