"""What things cost and are worth [$]; None is unknown, and an unknown price stays unknown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from ledger.formulas import nutrient_value, price_per_nutrient, residual_price
from ledger.model import Book, Definitions, Entry, Statement
from ledger.model.ranges import Ranges
from ledger.report.work import Work, total_of
from ledger.season import crop_year

PERCENT = 100
NO_RANGES = Ranges()


def price_base(product: Entry, definitions: Definitions) -> str:
    """What a product's price is for in the base: ``kg`` or ``L``."""
    column = definitions.sheets["products"].by_id["price"]
    unit = column.unit_of_choice.get(product.text("price_per"), "")
    volume = unit and definitions.units[unit].quantity == "price of volume"
    return "L" if volume else "kg"


def price_per_mass(product: Entry, definitions: Definitions) -> float | None:
    """A product's price by weight [$/kg]; priced by volume, it needs the density.

    Reference: UW-Extension FertMath and Purdue: $/lb = $/gal / (density x grade).
    """
    price, density = product.number("price"), product.number("density")
    if price is None or price_base(product, definitions) == "kg":
        return price
    return price / density if density else None


def cost_of(work: Work, definitions: Definitions) -> float | None:
    """What the product of a line cost [$]; None without price, amount or a needed density."""
    product = work.material
    if work.kind != "product" or product is None or work.amount is None or work.entry.faulty:
        return None
    price = product.number("price")
    if price is None:
        return None
    if price_base(product, definitions) == work.base:
        return work.amount * price
    density = product.number("density")
    if density is None:
        return None
    return work.amount * price * (density if work.base == "L" else 1 / density)


def charge_of(work: Work) -> float | None:
    """What custom work on a line is charged at [$]: charge per area times the area covered."""
    charge = work.entry.number("charge")
    return None if charge is None or work.entry.faulty else charge * work.area


def nutrient_prices(book: Book, definitions: Definitions) -> dict[str, float | None]:
    """The Farm sheet's price of each nutrient [$/kg]."""
    return {
        nutrient.id: book.farm.number(nutrient.columns["price"])
        for nutrient in definitions.nutrients.values()
        if "price" in nutrient.columns
    }


def grades(product: Entry, definitions: Definitions) -> dict[str, float | None]:
    """Content of each nutrient in a product as a fraction by weight."""
    found: dict[str, float | None] = {}
    for nutrient in definitions.nutrients.values():
        if "product" in nutrient.columns:
            percent = product.number(nutrient.columns["product"])
            found[nutrient.id] = None if percent is None else percent / PERCENT
    return found


def alone(product: Entry, nutrient: str, definitions: Definitions) -> float | None:
    """Price of one nutrient were it to bear the product's whole price [$/kg]; None unknown."""
    price, grade = price_per_mass(product, definitions), grades(product, definitions)[nutrient]
    return None if price is None or not grade else price_per_nutrient(price, grade)


def beside(
    product: Entry, nutrient: str, prices: Mapping[str, float | None], definitions: Definitions
) -> float | None:
    """Price of one nutrient, the others in the product paid at the given prices [$/kg].

    Reference: NMSU Guide A-133 (Flynn), method for a product with two nutrients.
    """
    price, found = price_per_mass(product, definitions), grades(product, definitions)
    grade = found[nutrient]
    others = {name: part for name, part in found.items() if name != nutrient}
    worth = nutrient_value(others, prices)
    if price is None or not grade or worth is None:
        return None
    return residual_price(price, fraction=grade, other_fraction=1.0, other_price=worth)


@dataclass(frozen=True, slots=True, kw_only=True)
class ManureValue:
    """Fertilizer-equivalent value of manure [$]: what the field can use, and all of it.

    ``ranged`` says whether it hangs on figures with a range.
    """

    usable: float | None
    everything: float | None
    ranged: bool = False


def manure_value(
    statements: Sequence[Statement],
    prices: Mapping[str, float | None],
    ranges: Ranges = NO_RANGES,
) -> ManureValue:
    """Value of the manure on some zones, at prices of nutrients [$/kg].

    Everything: all that this year's crop could take up by the credit set. Usable: no more of
    a nutrient than the crop wants (its need; for a nutrient without one, what harvest took).
    Reference: Penn State and UNL: a nutrient not otherwise bought has no value that year.
    """
    priced = [name for name in prices if all(name in s.figures for s in statements)]
    everything = {n: total_of([_mass(s, n, "manure_credit") for s in statements]) for n in priced}
    usable = {n: total_of([usable_mass(s, n) for s in statements]) for n in priced}
    return ManureValue(
        usable=nutrient_value(usable, prices),
        everything=nutrient_value(everything, prices),
        ranged=any(_ranged(s, n, ranges) for s in statements for n in priced if prices[n]),
    )


def _ranged(statement: Statement, nutrient: str, ranges: Ranges) -> bool:
    """Whether the credit of a zone, or what it is held against, has a range."""
    scope = (statement.zone.field, statement.zone.zone)
    figures = ("manure_credit", "need", "removal")
    credited = statement.figures[nutrient]["manure_credit"] != 0
    return credited and any(ranges.of(scope, nutrient, figure) for figure in figures)


def usable_mass(statement: Statement, nutrient: str) -> float | None:
    """Manure credit of a zone, but no more than the crop wants [kg]."""
    credit = _mass(statement, nutrient, "manure_credit")
    if credit == 0:
        return 0.0
    wanted = _mass(statement, nutrient, "need")
    if wanted is None:
        wanted = _mass(statement, nutrient, "removal") or None
    return None if credit is None or wanted is None else min(credit, max(wanted, 0.0))


def _mass(statement: Statement, nutrient: str, figure: str) -> float | None:
    value = statement.figures[nutrient][figure]
    return None if value is None else value * statement.zone.area


def balance_value(mass: float | None, price: float | None) -> float | None:
    """What was built up (+) or mined (-) is worth [$]: mass [kg] x price [$/kg]."""
    if mass == 0:
        return 0.0
    return None if mass is None or price is None else mass * price


def part_of_cost(cost: float | None, percent: float | None) -> float | None:
    """A person's part of a cost by their share; None when either is unknown, none of it is none."""
    if percent == 0:
        return 0.0
    return None if cost is None or percent is None else cost * percent / PERCENT


def crops_taken(day: date, year: int, definitions: Definitions) -> int:
    """Crops an improvement has served by the end of a crop year, its first one included."""
    if day.year > year:
        return 0  # not yet made; and the calendar's last year has none after it
    starts_next, _ = crop_year(day.year + 1, definitions)
    first = day.year + 1 if day >= starts_next else day.year
    return max(0, year - first + 1)


def unused_value(
    cost: float, life_years: float, taken: float, tenant_pct: float | None
) -> float | None:
    """The tenant's part of what is left of an improvement, in a straight line [$].

    Reference: Iowa State C2-07 (2023): straight line over the agreed life.
    """
    left = max(0.0, 1 - taken / life_years)
    return part_of_cost(cost * left, tenant_pct)
