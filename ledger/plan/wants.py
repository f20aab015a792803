"""Which entries the figures of the order still want: what a person can fill in to know them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ledger.model import Book, Definitions
from ledger.plan.product import Filling

WORK = ("speed", "outlet_spacing", "outlets", "field_efficiency_pct")  # an hour's work takes all

Wants = Mapping[str, Sequence[str]]


def wants_of(book: Book, tank: Filling, definitions: Definitions) -> Wants:
    """By figure of the order the cells that are blank, in words; figures that want none absent.

    What is not liquid is neither counted in tank loads nor in deliveries, and wants nothing.
    """
    blanks = _Blanks(book=book, tank=tank, definitions=definitions)
    loads = blanks.counted("tank_volume")
    refill = loads if book.farm.number("refill_minutes") else []
    found = {
        "loads": loads,
        "deliveries": blanks.counted("delivery_size"),
        "cost": blanks.cost(),
        "hours": [*blanks.farm(*WORK), *refill],
    }
    return {figure: cells for figure, cells in found.items() if cells}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Blanks:
    """Names cells that are blank by their heading and sheet."""

    book: Book
    tank: Filling
    definitions: Definitions

    def farm(self, *columns: str) -> list[str]:
        """Answers of the Farm sheet that are not given."""
        sheet = self.definitions.sheets["farm"]
        blank = (column for column in columns if not self.book.farm.number(column))
        return [f"'{sheet.by_id[column].title}' on {sheet.title}" for column in blank]

    def counted(self, size: str) -> list[str]:
        """What a number of tanks of a size wants."""
        if self.tank.by_volume:
            return self.farm(size)
        return self.product("density") if self.tank.liquid else []

    def cost(self) -> list[str]:
        """The price, what it is for, or the density to turn one into the other."""
        tank = self.tank
        if tank.price is None:
            return self.product("price_per" if tank.price_typed else "price")
        turned = tank.by_volume != tank.priced_by_volume
        return self.product("density") if turned and tank.density is None else []

    def product(self, column: str) -> list[str]:
        """A cell of the product's line that is blank."""
        sheet = self.definitions.sheets["products"]
        return [f"'{sheet.by_id[column].title}' of {self.tank.product} on {sheet.title}"]
