"""The first sheet: what the workbook is, how to fill it, where things are, what to heed.

No cell here may begin with the words that marks begin with, or the reader would take the
page for one of its sheets (there is a test for that).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from ledger import measure
from ledger.build import cab_sheet, lists_sheet, overview_sheet, reference_sheet
from ledger.build.plan import START, Plan
from ledger.layout import help_line
from ledger.look import Look, set_up_page

WIDTHS = (24.0, 104.0)
RESULT_HELP = "A result sheet. The balance command fills it and replaces all of it each time."

RESULT_WORDS = {
    "Findings": "Result: what to mend, with a link to each cell.",
    "Summary": "Result: the whole farm, applied, usable, removed and balance.",
    "Field balance": "Result: every zone, nutrient by nutrient.",
    "Nitrogen to go": "Result: need, supplies, what is left, gallons, loads, order, and the rig.",
    "Stores": "Result: what every pit and stack made, gave and should hold.",
    "Farm gate": "Result: what came on the farm and what left it.",
    "Strips result": "Result: what strips side by side say, and how sure that is.",
    "How sure": "Result: low, used and high, and what moves a figure most.",
    "Postings": "Result: every pound, with the cell or the publication behind it.",
}

WHAT = (
    "One crop year of your whole farm: every load of manure, every pass with fertilizer and "
    "everything the harvest carried off, a line each. From these lines the ledger works out "
    "what each field got, what it gave and what it still needs, and keeps the figure and the "
    "source behind every number."
)
LOCAL = (
    "Local rules and the product label come first. They decide how much, when, where and how "
    "far from the well. This workbook only does the sums."
)
STEPS = (
    "Begin with {farm}: a name, and whose published figures you go by. A blank answer does no "
    "harm until a figure needs it.",
    "List {people} and {fields}, and {zones} where a field is not treated alike. Spell a name "
    "once; after that you pick it from a list. Ground where you only do the work is held as "
    "'custom'.",
    "Fill in {crops} for this year, {soil_tests} and {manure_lots} from the lab slips, and "
    "{past_manure} for ground that had manure before. Look over {products}: your dealer's tag "
    "beats a book figure.",
    "As the season goes, write one line a job in {manure_spread}, {fertilizer} and {harvest}, "
    "and in {credits} what came from elsewhere; a pass still to come is 'planned'. What is put on "
    "after the harvest belongs in the workbook of the crop it is for, mostly next year's. Leave "
    "blank what you do not know; a zero says there was none.",
    "Save and close, then run 'nutrient-ledger check FILE' (FILE is the name of this workbook). "
    "It names each cell that needs a second look. Mend those, then run the balance.",
)
RESULTS = (
    "They come from the command 'nutrient-ledger balance FILE'. It reads the entry sheets, "
    "leaves them as they are and writes the result sheets anew, so nothing typed on a result "
    "sheet lasts. Until the first run they are empty."
)
WHO = (
    "Nothing leaves this file by itself. But whoever opens it sees all of it: every field, "
    "every owner, every price. Hand a landlord or customer a copy that holds only their ground."
)
FREEDOM = (
    "Sort, filter, hide, move and rename columns as you like, add columns and sheets of your "
    "own. Only leave the hidden row above the headings in place: it tells the ledger which "
    "column is which."
)
LEGEND = (
    ("required", "Needed*", "Dark heading with a star: the line does not count without it."),
    ("heading", "Heading", "Green heading: fill in if you have it. Rest on it to read its note."),
    ("entry", "Yours", "Pale, thin border: type or pick here."),
    ("reference", "To read", "Grey-green: words and lists of the ledger."),
    (
        "live_heading",
        "Live",
        "Slanted on grey-blue, dotted: worked out as you type, or a word for what is missing.",
    ),
    ("text", "Result", "Grey: worked out by the ledger."),
    ("total_text", "Total", "Bold below a thick line: a sum."),
    ("error", "error", "Bold on red: left out of the sums until it is mended."),
    ("warning", "warning", "Yellow: counted, but look at it."),
    ("note", "note", "Blue: good to know."),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of the page: two texts with their formats, perhaps a sheet to go to."""

    left: str
    right: str = ""
    looks: tuple[str, str] = ("strong", "paragraph")
    sheet: str = ""


def write(worksheet: Any, look: Look, plan: Plan, sheet_names: Sequence[str]) -> None:
    """Write the page with links to the sheets named, in their order."""
    worksheet.hide_gridlines(2)
    for at, width in enumerate(WIDTHS):
        worksheet.set_column(at, at, width)
    worksheet.set_row(0, 28)
    worksheet.write_string(0, 0, plan.title, look["title"])
    for row, line in enumerate(_lines(plan, sheet_names), start=1):
        _write(worksheet, look, row, line)
    set_up_page(worksheet, START, plan.footer)
    worksheet.activate()


def _lines(plan: Plan, sheet_names: Sequence[str]) -> Iterator[Line]:
    yield Line(left="What this is", right=WHAT)
    yield Line(left="First of all", right=LOCAL, looks=("strong", "caution"))
    yield from _section("Five steps", _steps(plan))
    yield from _section("The sheets", _links(plan, sheet_names))
    yield from _section("Good to know", _remarks(plan))
    legend = (Line(left=a, right=b, looks=(form, "paragraph")) for form, a, b in LEGEND)
    yield from _section("What the colours and borders mean", legend)
    cautions = plan.definitions.settings["cautions"]
    looks = ("strong", "caution")
    yield from _section("Take care", (Line(left="", right=text, looks=looks) for text in cautions))


def _section(title: str, lines: Iterator[Line]) -> Iterator[Line]:
    yield Line(left="")
    yield Line(left=title, looks=("subtitle", "plain"))
    yield from lines


def _steps(plan: Plan) -> Iterator[Line]:
    titles = {sheet.id: sheet.title for sheet in plan.definitions.sheets.values()}
    for number, text in enumerate(STEPS, start=1):
        yield Line(left=f"Step {number}", right=text.format_map(titles))


def _links(plan: Plan, sheet_names: Sequence[str]) -> Iterator[Line]:
    about = {sheet.title: help_line(sheet) for sheet in plan.definitions.sheets.values()}
    about |= {
        lists_sheet.NAME: lists_sheet.HELP,
        overview_sheet.NAME: overview_sheet.HELP,
        cab_sheet.NAME: cab_sheet.HELP,
        reference_sheet.NAME: reference_sheet.HELP,
    }
    for name in sheet_names:
        if name != START:
            text = about.get(name) or RESULT_WORDS.get(name, RESULT_HELP)
            yield Line(left=name, right=text, looks=("link", "paragraph"), sheet=name)


def _remarks(plan: Plan) -> Iterator[Line]:
    yield Line(left="Result sheets", right=RESULTS)
    yield Line(left="Who sees what", right=WHO)
    yield Line(left="Your own order", right=FREEDOM)
    yield Line(left="The crop year", right=str(plan.definitions.settings["crop_year_note"]))


def _write(worksheet: Any, look: Look, row: int, line: Line) -> None:
    worksheet.set_row(row, measure.height(line.right or line.left, WIDTHS[bool(line.right)]))
    if line.sheet:
        quoted = line.sheet.replace("'", "''")
        worksheet.write_url(row, 0, f"internal:'{quoted}'!A1", look[line.looks[0]], line.left)
    elif line.left:
        worksheet.write_string(row, 0, line.left, look[line.looks[0]])
    if line.right:
        worksheet.write_string(row, 1, line.right, look[line.looks[1]])
