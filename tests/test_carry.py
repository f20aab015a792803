"""Carry: next year's workbook begins with what lasts, and three years give what a hand gives."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from farms import ONE_FIELD, STANDARD
from lines import farm, lot, past, spread, table
from workbooks import (
    SHIPPED,
    YEAR,
    Entries,
    as_read,
    document,
    entries_of,
    figures,
    parse,
    run,
    workbook,
)

from ledger import pipeline
from ledger.carry import Carried, carry
from ledger.check import check
from ledger.cli import main
from ledger.pipeline import Run

PACK = lot("beef solid", form="solid", per="ton", n_total=14, n_ammonium=4, p2o5=8, k2o=12, s=2)
SPREAD = {"amount": 10, "unit": "ton/ac", "method": "broadcast", "incorporated_after_h": "never"}


def carried(source: str | Entries) -> Carried:
    """What a ledger hands on."""
    return carry(run(source).results, SHIPPED)


def next_entries(source: str | Entries, more: str = "") -> Entries:
    """The entries of the next year, with this year's own added."""
    handed = carried(source)
    entries: Entries = {name: list(rows) for name, rows in handed.entries.items()}
    entries["farm"] = [{**entries["farm"][0], "year": handed.year}]
    for name, rows in parse(more).items():
        entries[name] = [*entries.get(name, []), *rows]
    return entries


def book(entries: Entries) -> Run:
    """Entries of any year taken through the ledger."""
    return run(entries)


# ------------------------------------------------------------------ residual credits
def test_three_years_in_a_row_give_the_hand_calculated_residual() -> None:
    """NE-G1335 (2021): of organic N 0.40 the first year, 0.20 the second, 0.10 the third.

    10 ton/ac of 10 lb organic N a ton is 100 lb/ac organic, in the first and the second year.
    """
    first = entries_of(ONE_FIELD + PACK + spread(**SPREAD) + farm(manure_set="NE-G1335-2021"))
    second = next_entries(first, spread(**{**SPREAD, "date": "2026-10-20"}))
    third = next_entries(second)
    fourth = next_entries(third)
    fifth = next_entries(fourth)
    residuals = [figures(document(e))["residual"] for e in (first, second, third, fourth, fifth)]
    assert residuals == pytest.approx([0, 20, 10 + 20, 10, 0])
    assert "past_manure" not in carried(fourth).entries


def test_a_share_of_total_nitrogen_is_carried_too() -> None:
    """MN-UMN: beef solid broadcast, 0.25 of total N in the second year: 140 x 0.25."""
    second = next_entries(ONE_FIELD + PACK + spread(**SPREAD))
    assert figures(document(second))["residual"] == pytest.approx(35)


def test_phosphate_of_earlier_years_is_carried_for_sets_that_ask() -> None:
    """AB-NMPG: of 80 lb P2O5, 0.20 in the second year and 0.06 in the third."""
    first = ONE_FIELD + PACK + spread(**SPREAD) + farm(manure_set="AB-NMPG")
    second = next_entries(first)
    third = next_entries(second)
    assert figures(document(second), "P2O5")["residual"] == pytest.approx(16)
    assert figures(document(third), "P2O5")["residual"] == pytest.approx(4.8)


def test_carried_figures_have_no_dust_of_conversions() -> None:
    """Pounds a 1000 gallons times gallons an acre: the figure that a person would write."""
    for amount in (3, 3500, 7000, 12500):
        for total in (14, 43, 50):
            source = ONE_FIELD + lot(n_total=total, n_ammonium=10) + spread(amount=amount)
            [line] = carried(source).entries["past_manure"]
            for name, told in (("n_total", total), ("n_organic", total - 10)):
                assert line[name] == round(told * amount / 1000, 6), (amount, total, line[name])


def test_spreadings_of_a_zone_are_added_up_and_zones_kept_apart() -> None:
    handed = carried(STANDARD).entries["past_manure"]
    west = [line for line in handed if line.get("zone") == "west"]
    assert len(west) == 1
    assert west[0]["n_total"] == pytest.approx(192)
    assert west[0]["n_organic"] == pytest.approx(56)
    twice = ONE_FIELD + PACK + spread(**SPREAD)
    entries = entries_of(twice)
    entries["manure_spread"] = entries["manure_spread"] * 2
    assert [line["n_total"] for line in carried(entries).entries["past_manure"]] == pytest.approx(
        [280]
    )


def test_an_unknown_ammonium_leaves_the_organic_part_blank() -> None:
    unknown = lot("beef solid", form="solid", per="ton", n_ammonium=None)
    line = carried(ONE_FIELD + unknown + spread(**SPREAD)).entries["past_manure"][0]
    assert line["n_total"] == pytest.approx(500)
    assert "n_organic" not in line


def test_planned_manure_is_no_history() -> None:
    assert (
        "past_manure" not in carried(ONE_FIELD + PACK + spread(**SPREAD, status="planned")).entries
    )


# --------------------------------------------------------------------- what goes over
def test_lists_go_over_as_they_were_typed() -> None:
    handed = carried(STANDARD).entries
    typed = parse(STANDARD)
    for name in ("people", "fields", "zones", "manure_lots"):
        assert handed[name] == typed[name]
    assert "fertilizer" not in handed and "harvest" not in handed and "credits" not in handed


def test_the_farms_answers_go_over_but_the_year() -> None:
    handed = carried(STANDARD)
    assert handed.year == YEAR + 1
    assert handed.entries["farm"][0]["operator"] == "A. Abel"
    assert "year" not in handed.entries["farm"][0]


def test_this_years_crop_becomes_the_crop_before() -> None:
    crops = table("crops", {"field": "Home", "crop": "corn", "previous_crop": "alfalfa",
                            "stand": "fair", "soil": "sandy", "yield_goal": 190})  # fmt: skip
    assert carried(ONE_FIELD + crops).entries["crops"] == [
        {"field": "Home", "soil": "sandy", "stand": "fair", "previous_crop": "corn",
         "crop_before": "alfalfa"}
    ]  # fmt: skip


def test_hay_stands_on() -> None:
    handed = carried(ONE_FIELD + table("crops", {"field": "Home", "crop": "alfalfa"}))
    assert handed.entries["crops"] == [
        {"field": "Home", "crop": "alfalfa", "previous_crop": "alfalfa"}
    ]


def test_a_crop_still_to_choose_is_no_error() -> None:
    entries = next_entries(ONE_FIELD + table("crops", {"field": "Home", "crop": "corn"}))
    result = document(entries)
    found = [(f["code"], f["severity"]) for f in result["findings"]]
    assert found == [("still-to-choose", "warning")]
    assert result["zones"][0]["incomplete"]


@pytest.mark.parametrize(
    ("taken", "kind", "limit", "goes_over"),
    [
        ("2024-10-29", "routine", 4, True),
        ("2022-12-20", "routine", 4, False),
        ("2010-05-01", "routine", None, True),
        ("2026-06-05", "pre-sidedress nitrate", 4, False),
        ("2026-04-01", "preplant nitrate", None, False),
    ],
)
def test_soil_tests_go_over_while_they_are_in_date(
    taken: str, kind: str, limit: float | None, goes_over: bool
) -> None:
    test = {"field": "Home", "date": taken, "sample_kind": kind, "p_ppm": 25, "p_method": "Olsen",
            "nitrate_ppm": 10, "nitrate_depth": 12}  # fmt: skip
    handed = carried(ONE_FIELD + farm(soil_test_max_age=limit) + table("soil_tests", test))
    assert ("soil_tests" in handed.entries) is goes_over
    assert sum(handed.sheets["soil_tests"].dropped.values()) == (not goes_over)


def test_a_closing_becomes_an_opening_the_day_after() -> None:
    stores = table("stores", {"store": "Deep", "unit": "gal", "shape": "box", "length": 100,
                              "width": 40, "opening": 200_000})  # fmt: skip
    handed = carried(ONE_FIELD + lot(store="Deep") + stores + spread()).entries["stores"]
    assert handed == [
        {"store": "Deep", "unit": "gal", "shape": "box", "length": 100, "width": 40,
         "opening": pytest.approx(40_000), "opening_date": date(2025, 11, 4)}
    ]  # fmt: skip


def test_a_measured_level_opens_the_new_year_moved_on_by_what_came_after() -> None:
    stores = table("stores", {"store": "Deep", "unit": "gal", "opening": 200_000,
                              "counted": 50_000, "counted_date": "2026-01-01"})  # fmt: skip
    moved = table("store_moves", {"date": "2026-02-01", "store": "Deep", "kind": "produced",
                                  "amount": 7_000, "unit": "gal"})  # fmt: skip
    source = ONE_FIELD + lot(store="Deep") + stores + spread() + moved
    opening = carried(source).entries["stores"][0]
    assert opening["opening"] == pytest.approx(57_000)
    assert opening["opening_date"] == date(2026, 2, 2)


def test_an_unknown_closing_is_left_to_be_measured() -> None:
    stores = table("stores", {"store": "Deep", "unit": "gal"})
    handed = carried(ONE_FIELD + lot(store="Deep") + stores)
    assert handed.entries["stores"] == [{"store": "Deep", "unit": "gal"}]
    assert any("Deep" in line for line in handed.told(SHIPPED))


def test_stock_at_the_end_is_stock_at_the_start() -> None:
    gate = table("gate", {"date": "2026-12-31", "direction": "on hand at end", "item": "feed",
                          "what": "shelled corn", "amount": 40, "unit": "ton"})  # fmt: skip
    line = carried(ONE_FIELD + gate).entries["gate"][0]
    assert (line["direction"], line["amount"]) == ("on hand at start", 40)


def test_earlier_manure_beyond_the_sets_reach_is_dropped_and_told() -> None:
    handed = carried(ONE_FIELD + past(year=2024) + past(year=2025).split("\n", 3)[3])
    assert [line["year"] for line in handed.entries["past_manure"]] == [2025]
    assert any("look-back" in line for line in handed.told(SHIPPED))


# ------------------------------------------------------------------------ the command
@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A sound ledger in a file."""
    file = tmp_path / "old.xlsx"
    file.write_bytes(workbook(STANDARD))
    return file


def test_the_command_makes_a_workbook_and_leaves_the_old_one(
    old: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before, new = old.read_bytes(), tmp_path / "new.xlsx"
    assert main(["carry", str(old), str(new)]) == 0
    assert old.read_bytes() == before
    said = capsys.readouterr().out
    assert "Past manure: 4 carried" in said
    assert "Fertilizer: 0 carried; 4 dropped" in said
    done = pipeline.run(new.read_bytes(), SHIPPED)
    assert done.results.book.year == YEAR + 1
    assert done.clean
    assert same_entries(done, next_entries(STANDARD))


def same_entries(done: Run, entries: Entries) -> bool:
    """Whether a workbook that was read holds these entries."""
    expected, _ = check(as_read(entries), SHIPPED)
    plain: list[list[Any]] = [
        [entry.values for entry in one.entries["past_manure"]]
        for one in (done.results.book, expected)
    ]
    return bool(
        len(plain[0]) == len(plain[1]) > 0
        and all(
            a == pytest.approx(b) for a, b in zip(*(map(numbers, p) for p in plain), strict=True)
        )
    )


def numbers(values: dict[str, Any]) -> dict[str, float]:
    return {name: cell for name, cell in values.items() if isinstance(cell, (int, float))}


def test_the_command_carries_twice_in_a_row(old: Path, tmp_path: Path) -> None:
    second, third = tmp_path / "second.xlsx", tmp_path / "third.xlsx"
    assert main(["carry", str(old), str(second)]) == 0
    assert main(["carry", str(second), str(third)]) == 0
    assert pipeline.run(third.read_bytes(), SHIPPED).results.book.year == YEAR + 2


def test_the_command_refuses_a_name_that_is_taken(old: Path, tmp_path: Path) -> None:
    taken = tmp_path / "taken.xlsx"
    taken.write_text("mine")
    assert main(["carry", str(old), str(taken)]) == 2
    assert taken.read_text() == "mine"


def test_the_command_refuses_errors_unless_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source, new = tmp_path / "bad.xlsx", tmp_path / "new.xlsx"
    source.write_bytes(workbook(ONE_FIELD + PACK + spread(**{**SPREAD, "amount": -1})))
    assert main(["carry", str(source), str(new)]) == 2
    assert not new.exists()
    assert "--despite-errors" in capsys.readouterr().err
    assert main(["carry", str(source), str(new), "--despite-errors"]) == 0
    assert new.exists()
