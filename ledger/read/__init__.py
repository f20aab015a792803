"""Read a workbook: find our sheets by three witnesses and take their rows as typed.

A stage: ``read(file, definitions) -> (Reading, findings)``. What cannot be opened at all
raises ``Unreadable``; everything else that is wrong is a finding. The way: ``package`` looks
at the file from outside, ``preflight`` and ``scan`` through its parts; ``values`` takes what
the cells hold; ``recognise`` finds sheets and columns, ``copies`` weighs those found twice,
``rows`` takes the lines and ``flaws`` marks what only looks blank.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

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
    values = Values(content, inspection.frame, inspection.sheets.values())
    suspects = list(_suspects(values, inspection, definitions))
    ours = [s for s in suspects if s.sheet_id in definitions.sheets]
    _refuse_others({s.likely for s in suspects} & definitions.sheets.keys(), definitions)
    system = system_of(suspects, inspection)
    read_ = [_take(s, system, inspection, definitions) for s in ours if s.system in (system, None)]
    chosen, found = _choose(read_, definitions)
    found += _doubtful(suspects, system, definitions)
    found += _missing({*chosen, *(s.likely for s in suspects)}, definitions)
    for one in chosen.values():
        found += columns_found(one.spotted, system, definitions)
        found += one.twins_found
        found += _lone_formulas(one.spotted, one.rows, definitions)
    reading = Reading(
        system=system,
        rows={sheet_id: one.rows for sheet_id, one in chosen.items()},
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


def _suspects(
    values: Values, inspection: Inspection, definitions: Definitions
) -> Iterator[Suspect]:
    """The sheets that may be ours; the lines of entry sheets are kept, to be read once."""
    for tab in _tabs(values, inspection):
        found = suspect(tab, inspection, definitions)
        if found:
            if found.sheet_id in definitions.sheets:
                tab.keep()
            yield found


@dataclass(frozen=True, slots=True, kw_only=True)
class _Read:
    """An entry sheet that was read: its rows, and what is to be said of columns found twice."""

    spotted: Spotted
    rows: Sequence[Row]
    twins_found: Sequence[Finding]


def _take(
    found: Suspect, system: System, inspection: Inspection, definitions: Definitions
) -> _Read:
    """The rows of a sheet, whose lines go at once."""
    spotted = spot(found, system, definitions)
    rows = rows_of(spotted, definitions, from_1904=inspection.from_1904)
    twins_found = copies.columns_found(spotted, definitions)
    found.tab.let_go()
    return _Read(spotted=replace(spotted, lines=()), rows=rows, twins_found=twins_found)


def _tabs(values: Values, inspection: Inspection) -> Iterator[Tab]:
    for name, scan in inspection.sheets.items():
        pointers = inspection.names.get(name, {})
        yield Tab(name=name, scan=scan, pointers=pointers, values=values)


def _choose(
    read_: Sequence[_Read], definitions: Definitions
) -> tuple[dict[str, _Read], list[Finding]]:
    """One worksheet for every entry sheet, and what is to be said of others."""
    chosen: dict[str, _Read] = {}
    found = []
    for sheet_id in definitions.sheets:
        alike = {one.spotted.tab.name: one for one in read_ if one.spotted.sheet.id == sheet_id}
        if not alike:
            continue
        used = copies.original([one.spotted for one in alike.values()])
        chosen[sheet_id] = alike[used.tab.name]
        rows = {name: one.rows for name, one in alike.items()}
        found += [
            copies.sheet_found(used, one.spotted, rows, definitions)
            for one in alike.values()
            if one.spotted is not used
        ]
    return chosen, found


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


def _grids(chosen: Mapping[str, _Read], definitions: Definitions) -> dict[str, Grid]:
    missing = {
        name: Grid(sheet_id=name, sheet_name=sheet.title, letters={}, pair_rows={})
        for name, sheet in definitions.sheets.items()
    }
    return {**missing, **{name: one.spotted.grid for name, one in chosen.items()}}
