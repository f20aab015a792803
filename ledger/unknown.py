"""Sums and ratios in which unknown stays unknown."""

from __future__ import annotations

from collections.abc import Iterable
from math import fsum


def added(parts: Iterable[float | None]) -> float | None:
    """A sum, or None when a part of it is unknown."""
    found = list(parts)
    known = [part for part in found if part is not None]
    return fsum(known) if len(known) == len(found) else None


def less(one: float | None, other: float | None) -> float | None:
    """A difference, or None when a side of it is unknown."""
    return None if one is None or other is None else one - other


def share(one: float | None, other: float | None) -> float | None:
    """one / other; None when a side is unknown or there is nothing to divide by."""
    return None if one is None or other is None or other <= 0 else one / other
