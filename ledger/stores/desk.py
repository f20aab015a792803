"""What the stores stage needs at hand, and the findings it writes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import groupby
from typing import Literal

from ledger import findings
from ledger.model import Book, Definitions, Entry, Finding, Flow, StoreStatement
from ledger.plural import many
from ledger.yard import base_of

SLACK = 1e-9  # converted amounts carry rounding dust


@dataclass(frozen=True, kw_only=True, eq=False)
class StoreDesk:
    """The book, the definitions and what was found."""

    book: Book
    definitions: Definitions
    found: list[Finding] = field(default_factory=list)

    def note(self, code: str, entry: Entry, column: str, **words: object) -> None:
        """Write a finding."""
        self.found.append(findings.finding(self.definitions, code, entry.row, column, **words))

    def base(self, store: Entry) -> str:
        """The base a store is kept in: kg or L."""
        return base_of(store.text("unit"), self.definitions)

    def quantity(self, store: Entry) -> Literal["volume", "mass"]:
        """What a store is kept as."""
        return "volume" if self.base(store) == "L" else "mass"

    def shown(self, amount: float, store: Entry) -> str:
        """An amount as the person keeps this store."""
        unit = store.text("unit")
        return f"{amount / self.definitions.units[unit].factor:,.0f} {unit}"

    def walk(
        self,
        store: Entry,
        opening: float | None,
        capacity: float | None,
        flows: Sequence[Flow],
        left_out: Sequence[Entry],
    ) -> None:
        """Follow the level day by day; point out the first line below empty and above full."""
        if opening is None:
            return
        level, through = opening, opening
        low = high = False
        for flow in _by_day(flows):
            if flow.amount is None:
                return
            level += flow.amount
            through += max(flow.amount, 0.0)
            if level < -through * SLACK and not low:
                low = True
                words = {"read": store.text("store"), "total": self.shown(-level, store)}
                words |= knock_on(left_out)
                self.note("store-overdrawn", flow.entry, "amount", **words)
            if capacity is not None and level > capacity * (1 + SLACK) and not high:
                high = True
                words = {"read": store.text("store"), "total": self.shown(level, store)}
                words |= {"expected": self.shown(capacity, store), **knock_on(left_out)}
                self.note("store-over-full", flow.entry, "amount", **words)

    def off(self, statement: StoreStatement, left_out: Sequence[Entry]) -> None:
        """A level that differs from the books by more than the tolerance."""
        store = statement.entry
        column = "counted" if store.number("counted") is not None else "counted_depth"
        words = {
            "read": statement.name,
            "total": self.shown(statement.counted or 0.0, store),
            "expected": self.shown(statement.expected or 0.0, store),
            "difference": self.shown(statement.difference or 0.0, store),
            "tolerance": f"{statement.tolerance_pct:g}",
            **knock_on(left_out),
        }
        self.note("store-off", store, column, **words)


def knock_on(left_out: Sequence[Entry]) -> dict[str, str]:
    """What a finding about a store says where lines of it are not in its sums; else nothing."""
    if not left_out:
        return {"left_out": "", "first": ""}
    sure = all(line.text("store") or line.text("lot") for line in left_out)
    whose = "of this store" if sure else "that may be of this store"
    verb = "is" if len(left_out) == 1 else "are"
    return {
        "left_out": f"; but {told(left_out)} {whose} {verb} left out for errors, "
        "which may be the cause",
        "first": "Mend the lines that are left out first. ",
    }


def told(lines: Sequence[Entry]) -> str:
    """Lines in words: '2 lines (Manure spread row 6; Store moves row 7)'."""
    places = []
    for sheet, group in groupby(lines, key=lambda entry: entry.row.grid.sheet_name):
        numbers = [str(entry.row.number) for entry in group]
        places.append(f"{sheet} {'row' if len(numbers) == 1 else 'rows'} {', '.join(numbers)}")
    return f"{many(len(lines), 'line')} ({'; '.join(places)})"


def _by_day(flows: Sequence[Flow]) -> list[Flow]:
    """Flows by day; on one day what comes in comes first."""
    return sorted(flows, key=lambda f: (f.day or date.min, (f.amount or 0.0) < 0))
