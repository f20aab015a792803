"""Which figure of a statement a posting counts to, and how the others follow from them."""

from __future__ import annotations

from collections.abc import Mapping

from ledger.model import Kind, Posting

PRIMARY = ("manure", "manure_credit", "fertilizer", "credits", "residual", "removal")
STREAM_FIGURE: Mapping[str, str] = {
    "fertilizer": "fertilizer",
    "credits": "credits",
    "residual": "residual",
}


def figure_of(posting: Posting) -> tuple[str, float] | None:
    """The primary figure a posting counts to, and the mass it adds [kg]; None for contra sides."""
    counted = counted_to(posting)
    return (counted[0], counted[1] * posting.mass) if counted else None


def counted_to(posting: Kind | Posting) -> tuple[str, int] | None:
    """The primary figure a kind of posting counts to, and the sign with which it does.

    Manure is counted where it leaves the store, so that what the air takes is part of the
    total; its credit is what reaches the available account. Removal is counted at the harvest.
    """
    account, stream = posting.account, posting.stream
    if account.root == "field":
        if account.path[-1] != "available":
            return None
        if stream == "manure":
            return "manure_credit", 1
        return (STREAM_FIGURE[stream], 1) if stream in STREAM_FIGURE else None
    if stream == "manure":
        return ("manure", -1) if account.root != "air" else None
    return ("removal", 1) if stream == "removal" else None


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
