"""Find our sheets and their columns, whatever a person did to names, order and place.

A sheet is known by its mark cell, by the workbook's names (or, when they say nothing, its
text property) and by its headings; two must agree. Never by its name, order or position.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ledger import findings
from ledger.layout import heading, letter
from ledger.model import Definitions, Finding, Grid, Sheet, System
from ledger.read.preflight import Inspection
from ledger.read.settle import ENOUGH, Settled, settle
from ledger.read.tab import Line, Tab, on_its_side
from ledger.read.witness import (
    HEADING_SHARE,
    MARK_WORDS,
    NAME_SHARE,
    SYSTEMS,
    Claims,
    Heading,
    Mark,
    all_headings_in,
    claims_of,
    mark_in,
    named_in,
)

RESULT = "="  # before the id in the mark of a result sheet
VALUE = "#value"  # the key of the answers of a sheet of questions


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A worksheet that may be ours: what its mark, names and headings take it for."""

    tab: Tab
    mark: Mark | None
    named: str
    headed: str
    headed_systems: frozenset[System]
    vouched: bool

    @property
    def sheet_id(self) -> str:
        """The sheet that witnesses enough agree on, or nothing."""
        marked = self.mark.sheet_id if self.mark else ""
        votes = Counter(said for said in (marked, self.named, self.headed) if said)
        for sheet_id, count in votes.most_common(1):
            return sheet_id if count + self.vouched >= ENOUGH else ""
        return ""

    @property
    def likely(self) -> str:
        """The sheet that a visible witness takes it for, to ask about."""
        return self.mark.sheet_id if self.mark else self.headed

    @property
    def system(self) -> System | None:
        """The units of its headings, as its mark or the headings themselves say."""
        if self.mark:
            return self.mark.system
        return next(iter(self.headed_systems)) if len(self.headed_systems) == 1 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Spotted:
    """An entry sheet: what it is, where its columns are, and all its lines."""

    sheet: Sheet
    tab: Tab
    grid: Grid
    claims: Claims
    settled: Settled
    lines: Sequence[Line]

    @property
    def top(self) -> int:
        """The row of the keys, or of the headings when the keys are gone (1 when both are)."""
        if self.sheet.layout == "pairs":
            return self.tab.scan.marked[0] if self.tab.scan.marked else 1
        return self.claims.key_line or self.claims.heading_line or 1

    def address(self, place: int) -> str:
        """The cell of the heading that stands at a place."""
        if self.sheet.layout == "pairs":
            return f"A{place}"
        return f"{letter(place)}{self.claims.heading_line or self.top}"


def suspect(tab: Tab, inspection: Inspection, definitions: Definitions) -> Suspect | None:
    """What the witnesses take a worksheet for, or None when it is nothing of ours."""
    top = list(tab.lines(definitions.settings["scanned_rows"]))
    mark = _mark(tab, top, definitions)
    named = _most(
        {s.id: len(named_in(s, tab)) / len(s.columns) for s in definitions.sheets.values()},
        NAME_SHARE,
    )
    headed, systems = _headed(top, definitions)
    if not (mark or headed):
        return None
    spelled = any(text.split()[:1] == [definitions.settings["mark"]] for text in inspection.texts)
    return Suspect(
        tab=tab,
        mark=mark,
        named=named,
        headed=headed,
        headed_systems=systems,
        vouched=spelled and not named,
    )


def _mark(tab: Tab, top: Sequence[Line], definitions: Definitions) -> Mark | None:
    """The first mark of a sheet; the scan knows the rows, wherever they went."""
    rows = set(tab.scan.marked)
    lines = top if rows <= {number for number, _ in top} else tab.lines(max(rows))
    marks = (mark_in(*line, definitions) for line in lines if line[0] in rows)
    known = (mark for mark in marks if mark and _is_known(mark.sheet_id, definitions))
    return next(known, None)


def _is_known(sheet_id: str, definitions: Definitions) -> bool:
    return sheet_id.startswith(RESULT) or sheet_id in definitions.sheets


def _most(shares: Mapping[str, float], least: float) -> str:
    best = max(shares, key=lambda name: shares[name], default="")
    return best if best and shares[best] >= least else ""


def _headed(top: Sequence[Line], definitions: Definitions) -> tuple[str, frozenset[System]]:
    """The sheet whose headings stand in one of the top lines, and the units they fit."""
    best: dict[str, Mapping[str, Heading]] = {}
    for layout, lines in (("rows", top), ("pairs", on_its_side(list(top)))):
        for _, cells in lines:
            for sheet_id, found in all_headings_in(cells, layout, definitions).items():
                if len(found) > len(best.get(sheet_id, ())):
                    best[sheet_id] = found
    shares = {s.id: len(best.get(s.id, ())) / len(s.columns) for s in definitions.sheets.values()}
    headed = _most(shares, HEADING_SHARE)
    fits = (said.systems for said in best.get(headed, {}).values())
    return headed, frozenset(SYSTEMS).intersection(*fits) if headed else frozenset()


def system_of(suspects: Iterable[Suspect], inspection: Inspection) -> System:
    """The units of a workbook: what most of its sheets, and its text property, say."""
    said = [s.system for s in suspects if s.sheet_id and s.system]
    words = (text.split() for text in inspection.texts)
    said += ["metric" if w[2] == "metric" else "us" for w in words if len(w) == MARK_WORDS - 1]
    return max(SYSTEMS, key=said.count)


def spot(found: Suspect, system: System, definitions: Definitions) -> Spotted:
    """Take an entry sheet's lines and settle where its columns are."""
    sheet = definitions.sheets[found.sheet_id]
    lines = list(found.tab.lines())
    pairs = sheet.layout == "pairs"
    names = named_in(sheet, found.tab)
    claims = claims_of(sheet, on_its_side(lines) if pairs else lines, names, definitions)
    settled = settle(sheet, claims, system)
    return Spotted(
        sheet=sheet,
        tab=found.tab,
        grid=_grid(sheet, found.tab.name, settled, claims, lines),
        claims=claims,
        settled=settled,
        lines=lines,
    )


def _grid(sheet: Sheet, name: str, settled: Settled, claims: Claims, lines: Sequence[Line]) -> Grid:
    if sheet.layout == "rows":
        letters = {column: letter(at) for column, at in settled.places.items()}
        return Grid(sheet_id=sheet.id, sheet_name=name, letters=letters, pair_rows={})
    answers = letter(_answers(claims, lines))
    return Grid(
        sheet_id=sheet.id,
        sheet_name=name,
        letters=dict.fromkeys(sheet.by_id, answers),
        pair_rows=settled.places,
    )


def _answers(claims: Claims, lines: Sequence[Line]) -> int:
    """The column of the answers: the one keyed so, else the one right of the questions."""
    beside = claims.heading_line or claims.key_line + 1
    keyed = [at for _, cells in lines for at, cell in cells.items() if cell == VALUE]
    return beside if beside in keyed or not keyed else keyed[0]


def columns_found(spotted: Spotted, system: System, definitions: Definitions) -> list[Finding]:
    """What must be asked about the columns of a sheet, and which are not there."""
    name, sheet = spotted.tab.name, spotted.sheet
    found = []
    for doubt in spotted.settled.doubts:
        column = sheet.by_id[doubt.column]
        at = spotted.address(doubt.place)
        words = {"read": at, "expected": column.title, "why": doubt.why}
        text = heading(column, system, definitions)
        found.append(findings.at(definitions, "column-doubtful", name, at, **words, heading=text))
    known = {*spotted.settled.places, *(doubt.column for doubt in spotted.settled.doubts)}
    for column in sheet.columns:
        if column.required and column.id not in known:
            place = f"A{spotted.top}"
            found.append(
                findings.at(definitions, "column-missing", name, place, expected=column.title)
            )
    return found
