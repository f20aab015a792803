"""The page that says where each record item stands in the annual report, made from the data.

Run ``python tests/record_items_page.py`` from the checkout after a change of records.json.
"""

from __future__ import annotations

from pathlib import Path

from ledger import definitions
from ledger.model import Definitions, RecordItem
from ledger.report.record_places import places_of

PAGE = Path(__file__).parent.parent / "examples" / "record-items.md"
HEAD = """# Record items and where the annual report shows them

Rules on manure and fertilizer ask for much the same things in different words. This page lists
what was met in the rules that were read, one rule that asks for it, how long such records are
usually kept, the sheet of the workbook it is typed on, and the sheet of the annual report
(`nutrient-ledger report`) that shows it. *not covered* means that the ledger has no place for it:
keep that paper elsewhere. It is no list of any one place and no legal advice; the office that asks
for your report has the form that counts.

This page is made from `templates/records.json`; `tests/test_report_annual.py` checks that every
item that is typed really shows up on the sheet named here.

| item | typed on | in the report | kept | a rule that asks for it |
|---|---|---|---|---|
"""


def page(known: Definitions) -> str:
    """The page as Markdown."""
    return HEAD + "\n".join(_line(item, known) for item in known.records) + "\n"


def _line(item: RecordItem, known: Definitions) -> str:
    titles = dict.fromkeys(
        f"{known.sheets[p.sheet].title}: {known.sheets[p.sheet].by_id[p.column].title}"
        for p in item.places
    )
    typed = "; ".join(titles) or item.kept
    cells = (item.words, typed, places_of(item), item.years, item.citation())
    return "| " + " | ".join(cell.replace("|", "/") for cell in cells) + " |"


if __name__ == "__main__":
    PAGE.write_text(page(definitions.load()), "utf-8")
