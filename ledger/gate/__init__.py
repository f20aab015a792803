"""The farm gate: what came in, what went out, what was left, from the same postings.

A stage: ``gate(book, journal, farm, definitions) -> (Gate, findings)``. Feed grown and fed at
home never crosses the gate; hay that is sold does. Custom ground stays outside.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import fsum

from ledger import findings
from ledger.gate.compare import compared
from ledger.gate.fixation import fixed
from ledger.gate.lines import Gatekeeper, gate_lines
from ledger.gate.meeting import meeting_of, reaching_steps, unexplained_of
from ledger.model import (
    FIXATION,
    Book,
    Definitions,
    Finding,
    Gate,
    GateFigures,
    GateLine,
    Journal,
    Total,
)
from ledger.unknown import added, less, share

__all__ = ["gate"]

BOUGHT_STOCK = ("Feed", "Bedding", "Other goods")


def gate(
    book: Book, journal: Journal, farm: Total, definitions: Definitions
) -> tuple[Gate, list[Finding]]:
    """The balance at the gate [kg by nutrient], unknown where a part is not told.

    ``farm`` gives the own ground's area and the sum of its field balances.
    """
    keeper = Gatekeeper(book=book, journal=journal, definitions=definitions)
    lines = gate_lines(keeper)
    nutrients = list(definitions.nutrients)
    plain = {n: _figures(lines, n) for n in nutrients}
    fixation = _fixation(keeper)
    meeting = meeting_of(keeper, farm, lines)
    result = Gate(
        area=farm.area,
        milk=_milk(book, definitions),
        incomplete=farm.incomplete,
        lines=[*lines, fixation] if fixation.masses["N"] != 0 else lines,
        figures=plain,
        with_fixation={n: _figures([*lines, fixation], n) for n in nutrients},
        meeting=meeting,
        unexplained=unexplained_of(meeting),
        ranged=reaching_steps(keeper),
    )
    return replace(result, compared=compared(result, definitions)), _sold_twice(book, definitions)


def _fixation(keeper: Gatekeeper) -> GateLine:
    """A line of its own, since it is an estimate and shown with and without."""
    none = dict.fromkeys(keeper.definitions.nutrients, 0.0)
    masses = {**none, **fixed(keeper)}
    ranged = any(f.low != f.high for f in keeper.definitions.gate.fixation.values())
    reach = frozenset(n for n, mass in masses.items() if mass and ranged)
    return GateLine(direction="in", name=FIXATION, masses=masses, ranged=reach)


def _figures(lines: Sequence[GateLine], nutrient: str) -> GateFigures:
    """Sums of a nutrient; stock of bought goods lowers the inputs used, other stock is made."""
    inputs = added(line.masses[nutrient] for line in lines if line.direction == "in")
    outputs = added(line.masses[nutrient] for line in lines if line.direction == "out")
    stocks = [line for line in lines if line.direction == "stock"]
    bought = added(x.masses[nutrient] for x in stocks if x.name in BOUGHT_STOCK)
    made = added(x.masses[nutrient] for x in stocks if x.name not in BOUGHT_STOCK)
    used, given = less(inputs, bought), added((outputs, made))
    return GateFigures(
        inputs=inputs,
        outputs=outputs,
        stock=added((bought, made)),
        balance=less(used, given),
        ratio=share(used, given),
        efficiency=share(given, used),
    )


def _milk(book: Book, definitions: Definitions) -> float:
    """Milk that left the farm [kg]."""
    return fsum(
        entry.number("amount") or 0.0
        for entry in book.entries.get("gate", ())
        if not entry.faulty
        and (entry.text("direction"), entry.text("item")) == ("out", "milk")
        and definitions.units[entry.text("unit")].quantity == "mass"
    )


def _sold_twice(book: Book, definitions: Definitions) -> list[Finding]:
    """Crops sold by ticket that the Harvest sheet marks as sold too."""
    sold = {e.text("crop") for e in book.entries.get("harvest", ()) if e.text("use") == "sold"}
    return [
        findings.finding(definitions, "sold-twice", entry.row, "what", read=entry.text("what"))
        for entry in book.entries.get("gate", ())
        if (entry.text("direction"), entry.text("item")) == ("out", "crop")
        and entry.text("what") in sold
    ]
