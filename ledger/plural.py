"""Numbers of things in words."""

from __future__ import annotations


def many(count: int, thing: str) -> str:
    """'1 line', '2 lines': a count with its thing, which takes a plain s."""
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"
