"""What a comparison says, in plain words."""

from __future__ import annotations

from ledger.strips.fit import Effect, Fit


def said(
    treatment: str,
    base: str,
    effect: Effect | None,
    difference: float | None,
    unit: str,
    confidence_pct: float,
    fit: Fit,
) -> str:
    """One sentence: how much more or less, how sure, and whether it is told apart from zero."""
    if difference is None:
        return f"No yield of '{treatment}' and '{base}' to set side by side."
    more = "more" if difference >= 0 else "less"
    start = f"'{treatment}' yielded {abs(difference):.1f} {unit} {more} than '{base}'"
    if effect is None:
        return f"{start}; without repeated blocks nothing can be said of how sure that is."
    span = f"{confidence_pct:g} % interval {effect.low:.1f} to {effect.high:.1f}"
    told = (
        "told apart from zero" if effect.low > 0 or effect.high < 0 else "not told apart from zero"
    )
    return f"{start}, {span}: {told} with {fit.blocks} blocks."
