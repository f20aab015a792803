"""Further lab slips of a manure lot: the lot's figures become the means of all its slips.

What the lot's own line and its lines on Manure samples say of a figure is averaged here, once,
so that posting, stores, reports and the years to come all reckon with one figure. Least and
most, and the cells they stand in, go along as ``Entry.slips``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import fsum
from statistics import median

from ledger import findings
from ledger.model import Definitions, Entry, Finding, Slips, Value
from ledger.yard import analysis_base

LOTS, SAMPLES = "manure_lots", "manure_samples"
PARTS, WHOLE = ("n_ammonium", "n_nitrate"), "n_total"
DUST = 1 + 1e-9  # means of converted figures carry rounding dust
ALIKE_DIGITS = 9  # of kg per kg or L: two slips lie equally far from their middle
TOLERANCE = "manure_sample_tolerance_pct"

Entries = Mapping[str, Sequence[Entry]]
Told = tuple[float, Entry]  # a figure in the base, and the line it stands on


def pooled(
    entries: Entries, definitions: Definitions
) -> tuple[dict[str, Sequence[Entry]], list[Finding]]:
    """The entries with every lot's figures averaged over its slips, and findings about slips.

    A lot with a slip in error is faulty itself: its mean is not known. A blank is no figure.
    """
    pool = _Pool(definitions, entries.get(SAMPLES, ()))
    lots = [pool.lot(entry) for entry in entries.get(LOTS, ())]
    samples = [pool.marked(entry) for entry in entries.get(SAMPLES, ())]
    return {**entries, LOTS: lots, SAMPLES: samples}, pool.found


@dataclass(frozen=True, slots=True)
class _Column:
    """A column that both sheets have, and what the ledger calls its figure."""

    id: str
    title: str
    judged: bool  # whether slips that differ much are pointed out


class _Pool:
    """The further slips by lot; collects what is to be said of them."""

    def __init__(self, definitions: Definitions, samples: Sequence[Entry]) -> None:
        self._definitions = definitions
        self._columns = list(_columns(definitions))
        self._slips: dict[str, list[Entry]] = {}
        self._faulty: set[int] = set()
        self.found: list[Finding] = []
        for sample in samples:
            if sample.text("lot"):
                self._slips.setdefault(sample.text("lot"), []).append(sample)

    def marked(self, sample: Entry) -> Entry:
        """A slip, faulty where its basis does not fit its lot."""
        return replace(sample, faulty=True) if id(sample) in self._faulty else sample

    def lot(self, lot: Entry) -> Entry:
        """A lot with the means of its slips; itself where it has no further ones."""
        slips = self._slips.get(lot.text("lot"), [])
        if not slips or lot.faulty:
            return lot
        self._check_basis(lot, slips)
        if any(slip.faulty or id(slip) in self._faulty for slip in slips):
            return replace(lot, faulty=True)
        values: dict[str, Value] = dict(lot.values)
        told: dict[str, Slips] = {}
        for column in self._columns:
            known = [(x, e) for e in (lot, *slips) if (x := e.number(column.id)) is not None]
            if any(entry is not lot for _, entry in known):
                values[column.id] = fsum(x for x, _ in known) / len(known)
                told[column.id] = _slips(lot, known, column.id)
                self._judge(known, column, lot)
        return self._whole(replace(lot, values=values, slips=told))

    def _check_basis(self, lot: Entry, slips: Sequence[Entry]) -> None:
        stated = [slip for slip in slips if slip.text("per")]
        if stated and not lot.text("per"):
            title = self._definitions.sheets[LOTS].by_id["per"].title
            self._say("basis-missing", lot, "per", expected=title)
            self._faulty.update(id(slip) for slip in slips)
            return
        base = analysis_base(lot, self._definitions)
        for slip in stated:
            if analysis_base(slip, self._definitions) != base:
                words = {"name": lot.text("lot"), "expected": lot.text("per")}
                self._say("sample-basis", slip, "per", read=slip.text("per"), **words)
                self._faulty.add(id(slip))

    def _judge(self, known: Sequence[Told], column: _Column, lot: Entry) -> None:
        """Point out the slip farthest from the middle, where it is far from all others."""
        if not column.judged or len(known) < 2:
            return
        middle = median(x for x, _ in known)
        away = [round(abs(x - middle), ALIKE_DIGITS) for x, _ in known]
        at = max(range(len(known)), key=lambda n: (away[n], n))
        value, slip = known[at]
        others = fsum(x for n, (x, _) in enumerate(known) if n != at) / (len(known) - 1)
        tolerance = self._definitions.settings[TOLERANCE]
        if others and abs(value - others) > others * tolerance / 100 * DUST:
            words = {"read": self._shown(value, column, lot), "nutrient": column.title}
            words |= {"expected": self._shown(others, column, lot), "name": lot.text("lot")}
            self._say("sample-far-off", slip, column.id, tolerance=f"{tolerance:g}", **words)

    def _whole(self, lot: Entry) -> Entry:
        """The lot, faulty where slips with blanks make the parts more than the total."""
        parts = [column for column in PARTS if lot.number(column) is not None]
        total = fsum(lot.number(column) or 0.0 for column in parts)
        limit = lot.number(WHOLE)
        if limit is None or total <= limit * DUST:
            return lot
        column = _Column(WHOLE, "", judged=False)
        words = {name: self._shown(x, column, lot) for name, x in (("read", total),
                 ("expected", limit))}  # fmt: skip
        self._say("ammonium-above-total", lot, parts[0], **words)
        return replace(lot, faulty=True)

    def _shown(self, value: float, column: _Column, lot: Entry) -> str:
        about = self._definitions.sheets[LOTS].by_id[column.id]
        unit = about.unit_of_choice.get(lot.text("per"), "")
        factor = self._definitions.units[unit].factor if unit else 1.0
        return f"{value / factor:.6g} {unit}".strip()

    def _say(self, code: str, entry: Entry, column: str, **words: object) -> None:
        self.found.append(findings.finding(self._definitions, code, entry.row, column, **words))


def _columns(definitions: Definitions) -> Iterator[_Column]:
    """Columns of figures on both sheets; those that are posted are judged."""
    lots, samples = (definitions.sheets[name] for name in (LOTS, SAMPLES))
    posted = {n.columns["lot"] for n in definitions.nutrients.values() if "lot" in n.columns}
    for column in samples.columns:
        if column.is_number and column.id in lots.by_id:
            judged = column.id in {WHOLE, *posted}
            yield _Column(column.id, lots.by_id[column.id].title, judged)


def _slips(lot: Entry, known: Sequence[Told], column: str) -> Slips:
    values = [x for x, _ in known]
    several = len(known) > 1
    return Slips(
        own=lot.number(column),
        low=min(values) if several else None,
        high=max(values) if several else None,
        cells=tuple(f"{e.row.grid.sheet_name}!{e.row.address(column)}" for _, e in known),
    )
