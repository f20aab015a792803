"""The product of the last pass: rates, loads and cost from its grade, density and price."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.formulas import loads_needed, product_mass_rate, product_volume_rate
from ledger.model import Book

LIQUID = "liquid"  # gas under pressure is bought and metered by weight


@dataclass(frozen=True, slots=True, kw_only=True)
class Filling:
    """What goes in the tank (or the spreader); base units."""

    product: str
    fraction: float
    density: float | None
    by_volume: bool
    usable: float | None
    price: float | None
    priced_by_volume: bool
    price_typed: bool  # also where what it is for is not told, which leaves it unknown
    liquid: bool

    def rate(self, nitrogen: float) -> float:
        """Product per area for an amount of nitrogen [kg/ha]: L/ha, or kg/ha when dry."""
        if self.by_volume and self.density is not None:
            return product_volume_rate(nitrogen, self.fraction, self.density)
        return product_mass_rate(nitrogen, self.fraction)

    def loads(self, total: float) -> int | None:
        """Tank loads for a total volume; unknown without a tank volume."""
        return loads_needed(total, self.usable) if self.usable and self.by_volume else None

    def cost(self, total: float) -> float | None:
        """Cost of a total of product; unknown without a price, or without the density for it."""
        if self.price is None:
            return None
        if self.by_volume == self.priced_by_volume:
            return total * self.price
        if self.density is None:
            return None
        return total * self.price * (self.density if self.by_volume else 1 / self.density)


def filling(book: Book) -> Filling | None:
    """The sidedress product of the Farm sheet, or None when it is blank or has no nitrogen."""
    name = book.farm.text("sidedress_product")
    product = book.named("products", "product").get(name)
    if product is None or product.faulty or not product.number("n_pct"):
        return None
    density = product.number("density")
    liquid = product.text("form", LIQUID) == LIQUID
    return Filling(
        product=name,
        fraction=(product.number("n_pct") or 0.0) / 100,
        density=density,
        by_volume=liquid and density is not None,
        usable=book.farm.number("tank_volume"),
        price=product.number("price"),
        priced_by_volume=product.text("price_per") in ("gal", "L"),
        price_typed="price" in product.row.cells,
        liquid=liquid,
    )
