"""Refusal of impossible input, shared by every formula.

Each check takes named numbers and raises ValueError with a sentence that names the culprit.
A number that is not finite fails every check, so an unknown never slips through as a value.
"""

from __future__ import annotations

from collections.abc import Callable, Sized
from math import inf

WHOLE_PCT = 100.0


def _check(amounts: dict[str, float], holds: Callable[[float], bool], rule: str) -> None:
    for name, amount in amounts.items():
        if not holds(amount):
            raise ValueError(f"{name.replace('_', ' ')} must be {rule}, not {amount}")


def not_negative(**amounts: float) -> None:
    """Refuse anything below zero."""
    _check(amounts, lambda amount: 0 <= amount < inf, "zero or more")


def positive(**amounts: float) -> None:
    """Refuse zero and anything below it."""
    _check(amounts, lambda amount: 0 < amount < inf, "more than zero")


def fraction(**amounts: float) -> None:
    """Refuse anything outside 0 to 1."""
    _check(amounts, lambda amount: 0 <= amount <= 1, "a fraction from 0 to 1")


def part(**amounts: float) -> None:
    """Refuse anything outside 0 to 1, and zero too: it is about to divide."""
    _check(amounts, lambda amount: 0 < amount <= 1, "a fraction above 0 and up to 1")


def moisture(**amounts: float) -> None:
    """Refuse a wet-basis water content outside 0 to below 100 percent."""
    _check(amounts, lambda amount: 0 <= amount < WHOLE_PCT, "from 0 to below 100 percent")


def same_length(**lists: Sized) -> None:
    """Refuse lists that do not pair up, and lists with nothing in them."""
    lengths = {name: len(items) for name, items in lists.items()}
    if len(set(lengths.values())) != 1 or 0 in lengths.values():
        raise ValueError(f"lists must be of one length and not empty, not {lengths}")


def ordered(lower_name: str, lower: float, upper_name: str, upper: float) -> None:
    """Refuse a range whose lower end lies above its upper end."""
    if not lower <= upper:
        raise ValueError(f"{lower_name} {lower} must not lie above {upper_name} {upper}")
