"""Base figures in the units a person reads: the one place where results are converted."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ledger.model import Definitions, Factor, System

PER_HECTARE = "/ha"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """Turns base figures into the ledger's own units (lb, ac, gal or kg, ha, L)."""

    definitions: Definitions
    system: System

    def label(self, quantity: str) -> str:
        """The unit that a quantity is shown in."""
        return self.definitions.shown_in[self.system][quantity]

    def value(self, quantity: str, base: float | None) -> float | None:
        """A base figure in the unit it is shown in; unknown stays unknown."""
        if base is None:
            return None
        return base / self.definitions.units[self.label(quantity)].factor

    def factor(self, factor: Factor) -> tuple[float, str]:
        """A factor in the ledger's own unit; published figures stay as they were printed."""
        unit = self.definitions.units.get(factor.unit)
        own = self.definitions.shown_in[self.system]
        counted, mark, _ = factor.unit.rpartition(PER_HECTARE)
        if mark and unit is None:  # bushels or bales, which have no base of their own
            area = self.label("area")
            return factor.value * self.definitions.units[area].factor, f"{counted}/{area}"
        if unit is None or unit.factor != 1.0 or unit.quantity not in own:
            return factor.value, factor.unit
        label = own[unit.quantity]
        return factor.value / self.definitions.units[label].factor, label

    def ends(self, factor: Factor) -> tuple[float, float] | None:
        """The low and high end of a factor in the unit that ``factor`` gives it in."""
        if factor.low is None or factor.high is None:
            return None
        scale = self.factor(replace(factor, value=1.0))[0]
        return factor.low * scale, factor.high * scale
