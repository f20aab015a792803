"""The example farm and the pages made from the data are what the program makes now."""

from __future__ import annotations

import hashlib
import json
import re
from collections import Counter
from pathlib import Path

import pytest
from generated import EXAMPLES, PAGES, workbook
from pictures import PICTURES, stamp_of

from ledger import definitions, pipeline

README = Path(__file__).parent.parent / "README.md"
ANEW = "run `python tests/generated.py` and look at what changed"


@pytest.mark.parametrize("name", PAGES)
def test_page_is_what_the_data_makes(name: str) -> None:
    assert (EXAMPLES / name).read_text("utf-8") == PAGES[name](definitions.load()), ANEW


def test_workbook_is_byte_for_byte_what_the_build_makes() -> None:
    assert (EXAMPLES / "farm.xlsx").read_bytes() == workbook(definitions.load()), ANEW


def test_example_has_no_errors_and_fills_every_sheet() -> None:
    known = definitions.load()
    done = pipeline.run((EXAMPLES / "farm.xlsx").read_bytes(), known)
    assert done.clean
    assert set(known.sheets) == {name for name, rows in done.reading.rows.items() if rows}


def test_the_readme_tells_of_many_ledgers_in_one_place() -> None:
    paragraphs = README.read_text("utf-8").split("\n\n")
    assert len([text for text in paragraphs if "Parquet" in text]) == 1


def test_balancing_the_committed_example_changes_nothing() -> None:
    known = definitions.load()
    content = (EXAMPLES / "farm.xlsx").read_bytes()
    assert pipeline.with_results(content, pipeline.run(content, known), known) == content


def test_expected_summary_is_whole() -> None:
    expected = json.loads((EXAMPLES / "farm-expected.json").read_text("utf-8"))
    assert expected["farm"]["area"] > 0
    assert not expected["farm"]["incomplete"]
    assert len(expected["zones"]) >= 9


COUNT_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen",
)  # fmt: skip
WHAT_THE_CHECK_SAYS = {  # how often each finding is in the example, and where the page tells of it
    "analysis-missing": (1, "*Stack 24* has no sulfur on its slip"),
    "removal-missing": (4, "Four hay lines have no sulfur figure"),
    "rig-out-of-range": (1, "check strip on Alder Bottom wants a rate"),
    "manure-sample-old": (1, "spread 393 days later"),
    "soil-test-old": (1, "soil test of Gatepost Hay is of 2021"),
    "unfit-ground": (1, "when it was wet"),
    "over-limit": (1, "Silo Field got 113.8 lb an acre"),
    "planned-over": (1, "line of Long Slant, still *planned*, would put it 32.6 lb"),
    "over-need": (2, "Windmill Eighty and Stony Knob have more P2O5"),
    "no-harvest": (4, "three zones of Alder Bottom and the hired field"),
    "from-memory": (7, "(two lines), and so do a maintenance limit for Long Slant and the "
                        "contents of four lines of Bought and sold"),
    "moisture-assumed": (1, "a hay moisture was left blank"),
    "set-ends": (1, "beyond the years the credit set covers"),
    "record-item-missing": (3, "Three remind of blank cells"),
}  # fmt: skip


def test_the_page_tells_of_every_finding_of_the_example() -> None:
    known = definitions.load()
    found = pipeline.run((EXAMPLES / "farm.xlsx").read_bytes(), known).results.findings
    page = " ".join((EXAMPLES / "README.md").read_text("utf-8").split())
    assert Counter(f.code for f in found) == {c: n for c, (n, _) in WHAT_THE_CHECK_SAYS.items()}
    assert [words for _, words in WHAT_THE_CHECK_SAYS.values() if words not in page] == []
    number = Counter(f.severity for f in found)
    errors, warnings, notes = (COUNT_WORDS[number[g]] for g in ("error", "warning", "note"))
    assert f"{errors.capitalize()} errors, {warnings} warnings, {notes} notes." in page


def test_readme_has_exactly_two_set_up_commands() -> None:
    text = README.read_text("utf-8")
    commands = re.findall(r"^    (?:python3 -m venv|\.venv/bin/pip) .*$", text, re.M)
    assert len(commands) == 2
    assert "--entries examples/farm" in commands[0]
    assert commands[1].endswith("-m pytest")


def test_the_page_by_hand_gives_what_the_ledger_posts() -> None:
    text = (EXAMPLES / "by-hand.md").read_text("utf-8")
    worked = re.findall(r"\| (-?[\d.]+) \| (-?[\d.]+) \| (-?[\d.]+) \|$", text, re.M)
    assert len(worked) >= 5
    for by_hand, posted, _ in worked:
        assert float(by_hand) == pytest.approx(float(posted), abs=2e-4)


@pytest.mark.parametrize("picture", PICTURES)
def test_pictures_of_the_readme_are_of_this_workbook(picture: str) -> None:
    stamp = hashlib.sha256((EXAMPLES / "farm.xlsx").read_bytes()).hexdigest()
    assert stamp_of((EXAMPLES / picture).read_bytes()) == stamp, "run `python tests/pictures.py`"
    assert f"examples/{picture}" in README.read_text("utf-8")
