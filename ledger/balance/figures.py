"""Which figure of a statement a posting counts to, and how the others follow from them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import fsum

from ledger.model import Kind, Posting

PRIMARY = ("manure", "manure_credit", "fertilizer", "credits", "residual", "removal")
SIGNS = {"manure": -1}  # counted where it leaves the store
STREAM_FIGURE: Mapping[str, str] = {
    "fertilizer": "fertilizer",
    "credits": "credits",
    "residual": "residual",
}


def figure_of(posting: Posting) -> tuple[str, float] | None:
    """The primary figure a posting counts to, and the mass it adds [kg]; None for contra sides."""
    figure = counted_to(posting)
    return (figure, SIGNS.get(figure, 1) * posting.mass) if figure else None


def total_of(figure: str, masses: Iterable[float]) -> float:
    """Masses of postings added up to a primary figure [kg]."""
    return SIGNS.get(figure, 1) * fsum(masses) + 0.0  # no zero with a minus


def place_of(kind: Kind) -> tuple[str, str, str, str]:
    """Field, zone, nutrient and primary figure that a kind of posting counts to."""
    return kind.zone.field, kind.zone.zone, kind.nutrient, counted_to(kind)


def counted_to(posting: Kind | Posting) -> str:
    """The primary figure a kind of posting counts to; nothing for contra sides.

    Manure is counted where it leaves the store, so that what the air takes is part of the
    total; its credit is what reaches the available account. Removal is counted at the harvest.
    """
    account, stream = posting.account, posting.stream
    if account.root == "field":
        if account.path[-1] != "available":
            return ""
        return "manure_credit" if stream == "manure" else STREAM_FIGURE.get(stream, "")
    if stream == "manure":
        return "manure" if account.root != "air" else ""
    return "removal" if stream == "removal" else ""


def plus(*parts: float | None) -> float | None:
    """A sum that is unknown when any part of it is."""
    total = 0.0
    for part in parts:
        if part is None:
            return None
        total += part
    return total


def complete(primary: Mapping[str, float | None]) -> dict[str, float | None]:
    """Add the derived figures to the primary ones and the need.

    applied = manure + fertilizer; supply = manure credit + fertilizer + credits + residual;
    balance = applied - removal; to go = need - supply (negative is over, never clamped).
    """
    p = primary
    applied = plus(p["manure"], p["fertilizer"])
    supply = plus(p["manure_credit"], p["fertilizer"], p["credits"], p["residual"])
    return {
        **p,
        "applied": applied,
        "supply": supply,
        "balance": minus(applied, p["removal"]),
        "to_go": minus(p["need"], supply),
    }


def minus(first: float | None, second: float | None) -> float | None:
    """A difference that is unknown when either side is."""
    return None if first is None or second is None else first - second
