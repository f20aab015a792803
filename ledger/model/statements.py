"""Statements: what zones, fields and the farm got, gave and need."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ledger.model.farmyard import Gate, Yard, Years
from ledger.model.journal import Journal
from ledger.model.postings import Factor
from ledger.model.ranges import Ranges
from ledger.model.trials import Trial
from ledger.model.workbook import Book, Finding, Zone

TO_GO = "to_go"  # of several zones: what those that are short still want
FIGURES = (
    "manure",
    "manure_credit",
    "fertilizer",
    "credits",
    "residual",
    "applied",
    "supply",
    "removal",
    "balance",
    "need",
    TO_GO,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """What one zone got, gave and needs: figures by nutrient [kg/ha], None = unknown."""

    zone: Zone
    crop: str
    incomplete: bool
    figures: Mapping[str, Mapping[str, float | None]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Total:
    """Statements rolled up: masses by nutrient and figure [kg], None = unknown."""

    name: str
    area: float
    incomplete: bool
    figures: Mapping[str, Mapping[str, float | None]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What a zone's crop needs [kg/ha by nutrient], how it was reckoned, what is missing.

    ``outright`` holds nutrients whose amount to go is known directly (a nitrate test tells
    what is still needed from its day on) rather than as need less supply. ``missing`` names
    what the nitrogen method wants and was not given. ``reasons`` are for nitrogen,
    ``mineral_reasons`` for the other nutrients.
    """

    method: str
    figures: Mapping[str, float | None]
    reasons: tuple[Factor, ...] = ()
    outright: Mapping[str, float | None] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    mineral_reasons: Mapping[str, tuple[Factor, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class RigCheck:
    """What the outlets must do for one rate (base: L/min, kPa, km/h), and whether they can.

    ``speed_fits`` says whether any speed the person would drive keeps the pressure limits;
    None where the speeds or the limits are not given.
    """

    flow_per_outlet: float | None
    pressure: float | None
    pressure_ok: bool | None
    speed_min: float | None
    speed_max: float | None
    outlet_wanted: float | None
    speed_fits: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanLine:
    """What is left to put on one zone and how (base units; None = unknown).

    ``rate`` is product per area in L/ha, or kg/ha when ``by_volume`` is false. ``reasons``
    holds, for the need, each supply and what is planned, the figures and lines it came from.
    """

    statement: Statement
    method: str
    supplies: Mapping[str, float | None]
    planned: float | None
    product: str
    by_volume: bool
    rate: float | None
    total: float | None
    loads: int | None
    cost: float | None
    rig: RigCheck | None
    remark: str
    reasons: Mapping[str, tuple[Factor, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """All zones together: how much product to order, in how many deliveries, at what cost.

    ``custom`` is the part of ``needed`` that goes on custom ground. ``wants`` tells by figure
    which cells to fill in for it to be known.
    """

    product: str
    by_volume: bool
    needed: float | None
    custom: float
    with_allowance: float | None
    loads: int | None
    deliveries: int | None
    cost: float | None
    hours: float | None
    wants: Mapping[str, Sequence[str]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class NitrogenPrice:
    """What nitrogen costs in one product [$/kg N]; None for a price by volume without density."""

    product: str
    price: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanEnd:
    """Rates by field and zone (base units) and the order, ranged figures at one end."""

    rates: Mapping[tuple[str, str], float | None]
    order: Order


@dataclass(frozen=True, kw_only=True, eq=False)
class Plan:
    """The nitrogen still to go: by zone, as an order, and what nitrogen costs elsewhere.

    ``ends`` holds ``low`` and ``high`` where what is to go has a range somewhere.
    """

    lines: Sequence[PlanLine]
    order: Order | None
    prices: Sequence[NitrogenPrice]
    missing: Sequence[str]
    ends: Mapping[str, PlanEnd] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True, eq=False)
class Results:
    """Everything a report is made from."""

    book: Book
    findings: Sequence[Finding]
    journal: Journal
    statements: Sequence[Statement]
    fields: Sequence[Total]
    farm: Total
    custom: Total
    plan: Plan
    yard: Yard = field(default_factory=Yard)
    gate: Gate = field(default_factory=Gate)
    trials: Sequence[Trial] = ()
    ranges: Ranges = field(default_factory=Ranges)
    years: Years = field(default_factory=Years)
