"""Sums of a store's flows: up to the end, and up to the day it was measured."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from ledger.model import Entry, Flow
from ledger.stores.desk import StoreDesk
from ledger.unknown import added, less
from ledger.yard import analysis_base, converted

KINDS = ("made", "brought", "spread", "sold", "lost")
INWARD = ("made", "brought")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sums:
    """What went in and out by kind, all as positive amounts, and what that leaves."""

    opening: float | None
    amounts: Mapping[str, float | None]

    @property
    def closing(self) -> float | None:
        """opening + made + brought - spread - sold - lost; below zero is an answer."""
        return self._add(None)

    @property
    def through(self) -> float | None:
        """What was there and came in: the measure of a tolerance."""
        return added((self.opening, *(self.amounts[kind] for kind in INWARD)))

    def implied(self, counted: float | None) -> float | None:
        """What must have been made for the measured level to be right."""
        return less(counted, self._add("made"))

    def _add(self, leaving_out: str | None) -> float | None:
        parts = [self.opening]
        for kind in KINDS:
            amount = 0.0 if kind == leaving_out else self.amounts[kind]
            parts.append(amount if amount is None or kind in INWARD else -amount)
        return added(parts)


def sums_of(opening: float | None, flows: Sequence[Flow]) -> Sums:
    """Sums of all flows."""
    return Sums(opening=opening, amounts={kind: _sum(kind, flows) for kind in KINDS})


def _sum(kind: str, flows: Sequence[Flow]) -> float | None:
    amounts = (flow.amount for flow in flows if flow.kind == kind)
    return added(None if amount is None else abs(amount) for amount in amounts)


def expected_on(day: date, opening: float | None, flows: Sequence[Flow]) -> Sums:
    """Sums up to the end of a day."""
    return sums_of(opening, [flow for flow in flows if flow.day is None or flow.day <= day])


def tolerance_of(desk: StoreDesk) -> float:
    """How far a level may differ [percent]: the farm's own answer, or the rule of thumb."""
    own = desk.book.farm.number("store_tolerance_pct")
    return desk.definitions.herd.store_tolerance.value if own is None else own


def contents(
    closing: float | None, lots: Sequence[Entry], base: str, desk: StoreDesk
) -> dict[str, float | None]:
    """Nutrients in what is left [kg]: the amount times the analysis sampled last."""
    lot = max(lots, key=lambda one: one.day("sampled") or date.min, default=None)
    columns = {"N": "n_total"}
    for nutrient in desk.definitions.nutrients.values():
        if "lot" in nutrient.columns:
            columns[nutrient.id] = nutrient.columns["lot"]
    amount = None
    if lot is not None and closing is not None:
        amount = converted(closing, base, analysis_base(lot, desk.definitions), lot)
    return {n: _times(amount, lot, column) for n, column in columns.items()}


def _times(amount: float | None, lot: Entry | None, column: str) -> float | None:
    content = lot.number(column) if lot is not None else None
    return None if amount is None or content is None else amount * content
