"""Read a workbook: find our sheets by three witnesses and take their rows as typed.

A stage: ``read(file, definitions) -> (Reading, findings)``. What cannot be opened at all
raises ``Unreadable``; everything else that is wrong is a finding. The way: ``package`` looks
at the file from outside, ``preflight`` and ``scan`` through its parts; ``values`` takes what
the cells hold; ``recognise`` finds sheets and columns, ``copies`` weighs those found twice,
``rows`` takes the lines and ``flaws`` marks what only looks blank.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from ledger import findings
from ledger.model import Definitions, Finding, Grid, Reading, Row, System
from ledger.read import copies
from ledger.read.flaws import UNCOMPUTED, lone_formulas
from ledger.read.overrides import own_figures
from ledger.read.package import Unreadable, open_package
from ledger.read.preflight import Inspection, inspect
from ledger.read.recognise import RESULT, Spotted, Suspect, columns_found, spot, suspect, system_of
from ledger.read.rows import rows_of
from ledger.read.tab import Tab
from ledger.read.values import Values

__all__ = ["Unreadable", "read"]

NEARLY_NONE = 0.15  # of the entry sheets: with fewer a workbook is no ledger
DOUBT = "only one of its mark, its headings and the workbook's names says so"


def read(content: bytes, definitions: Definitions) -> tuple[Reading, list[Finding]]:
    """Rows of every entry sheet in a workbook's bytes, as typed, blank cells left out.

    Sheets and columns are found by hidden keys, workbook names and headings, of which two
    must agree; never by sheet name, order or position. Raises ``Unreadable``.
    """
    inspection = inspect(open_package(content), definitions.settings["mark"])
    values = Values(content)
    looked = (suspect(tab, inspection, definitions) for tab in _tabs(values, inspection))
    suspects = [found for found in looked if found]
    ours = [s for s in suspects if s.sheet_id in definitions.sheets]
    _refuse_others({s.likely for s in suspects} & definitions.sheets.keys(), definitions)
    system = system_of(suspects, inspection)
    spotted = [spot(s, system, definitions) for s in ours if s.system in (system, None)]
    chosen, rows, found = _choose(spotted, inspection, definitions)
    found += _doubtful(suspects, system, definitions)
    found += _missing({*chosen, *(s.likely for s in suspects)}, definitions)
    for one in chosen.values():
        found += columns_found(one, system, definitions)
        found += copies.columns_found(one, definitions)
        found += _lone_formulas(one, rows[one.sheet.id], definitions)
    reading = Reading(
        system=system,
        rows=rows,
        grids=_grids(chosen, definitions),
        result_sheets=_result_sheets(suspects),
        names=values.names,
        own_figures=own_figures(suspects, definitions),
    )
    return reading, [*found, *_remarks(inspection, reading, definitions)]


def _refuse_others(known: Collection[str], definitions: Definitions) -> None:
    """Refuse a workbook with hardly any entry sheet: a list of all that miss would not help."""
    if known and len(known) >= NEARLY_NONE * len(definitions.sheets):
        return
    titles = ", ".join(sorted(definitions.sheets[name].title for name in known))
    has = f"only {titles}" if known else "none"
    raise Unreadable(
        "this looks like a report, a copy for others, a combined or some other workbook, not "
        f"like a ledger: of the ledger's {len(definitions.sheets)} entry sheets, known by their "
        f"marks and headings, it has {has}",
        "Give the workbook that you type into; to begin one, run 'nutrient-ledger new'.",
    )


def _tabs(values: Values, inspection: Inspection) -> Iterator[Tab]:
    for name, scan in inspection.sheets.items():
        pointers = inspection.names.get(name, {})
        yield Tab(name=name, scan=scan, pointers=pointers, values=values)


def _choose(
    spotted: Sequence[Spotted], inspection: Inspection, definitions: Definitions
) -> tuple[dict[str, Spotted], dict[str, Sequence[Row]], list[Finding]]:
    """One worksheet for every entry sheet, its rows, and what is to be said of others."""
    chosen: dict[str, Spotted] = {}
    rows: dict[str, Sequence[Row]] = {}
    found = []
    for sheet_id in definitions.sheets:
        alike = [one for one in spotted if one.sheet.id == sheet_id]
        if not alike:
            continue
        used = chosen[sheet_id] = copies.original(alike)
        read_ = {
            one.tab.name: rows_of(one, definitions, from_1904=inspection.from_1904) for one in alike
        }
        rows[sheet_id] = read_[used.tab.name]
        found += [
            copies.sheet_found(used, one, read_, definitions) for one in alike if one is not used
        ]
    return chosen, rows, found


def _doubtful(
    suspects: Sequence[Suspect], system: System, definitions: Definitions
) -> Iterator[Finding]:
    """Worksheets that look like one of ours and were not read."""
    for one in suspects:
        sheet = definitions.sheets.get(one.likely)
        sure = one.sheet_id == one.likely
        if sheet is None or (sure and one.system in (system, None)):
            continue
        why = f"its headings are not in {system} units as the workbook's are" if sure else DOUBT
        words = {"read": one.tab.name, "expected": sheet.title, "why": why}
        yield findings.at(definitions, "sheet-doubtful", one.tab.name, "A1", **words)


def _missing(known: Collection[str], definitions: Definitions) -> Iterator[Finding]:
    for sheet_id, sheet in definitions.sheets.items():
        if sheet_id not in known:
            code = "sheet-absent" if sheet.optional else "sheet-missing"
            yield findings.at(definitions, code, sheet.title, "", expected=sheet.title)


def _lone_formulas(
    spotted: Spotted, rows: Sequence[Row], definitions: Definitions
) -> Iterator[Finding]:
    for cell in lone_formulas(spotted, rows):
        yield findings.at(definitions, UNCOMPUTED.code, spotted.tab.name, cell)


def _result_sheets(suspects: Sequence[Suspect]) -> dict[str, str]:
    """Our result sheets by id; of two with the same mark the first."""
    marked = [(one.likely, one.tab.name) for one in suspects if one.likely.startswith(RESULT)]
    return {sheet_id.removeprefix(RESULT): name for sheet_id, name in reversed(marked)}


def _remarks(
    inspection: Inspection, reading: Reading, definitions: Definitions
) -> Iterator[Finding]:
    """Notes about the workbook as a whole, pinned to the sheet that describes the farm."""
    sheet = reading.grids["farm"].sheet_name
    if inspection.macros:
        yield findings.at(definitions, "macros", sheet, "A1")
    if inspection.other_files:
        yield findings.at(definitions, "other-files", sheet, "A1")


def _grids(chosen: Mapping[str, Spotted], definitions: Definitions) -> dict[str, Grid]:
    missing = {
        name: Grid(sheet_id=name, sheet_name=sheet.title, letters={}, pair_rows={})
        for name, sheet in definitions.sheets.items()
    }
    return {**missing, **{name: sheet.grid for name, sheet in chosen.items()}}
