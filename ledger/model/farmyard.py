"""What is reckoned of stores, of the farm gate and of several years together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from ledger.model.figures import Figure
from ledger.model.livestock import Benchmark
from ledger.model.workbook import Entry

Masses = Mapping[str, float | None]
FIXATION = "Nitrogen fixed by legumes"  # the name of the gate's only estimated line


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """Manure that a line put into (+) or took out of (-) a store, in the store's base."""

    day: date | None
    kind: str
    amount: float | None
    entry: Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreStatement:
    """One store over the year, in litres (quantity ``volume``) or kilograms (``mass``).

    opening + made + brought - spread - sold - lost = closing; None is unknown. ``expected``
    is what the books give for the day of counting and ``difference`` counted - expected;
    ``estimate`` is what the herd should have made, ``implied`` what the count says it made.
    ``holds`` is the closing amount times the latest analysis [kg]; ``sums`` add up the ``flows``,
    without the lines ``left_out`` for errors.
    """

    name: str
    entry: Entry
    quantity: Literal["volume", "mass"]
    unit: str
    opening: float | None
    sums: Mapping[str, float | None]
    closing: float | None
    capacity: float | None
    counted: float | None
    counted_date: date | None
    expected: float | None
    difference: float | None
    tolerance_pct: float
    within: bool | None
    estimate: float | None
    implied: float | None
    lots: Sequence[str]
    holds: Masses
    flows: Sequence[Flow] = ()
    left_out: Sequence[Entry] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class HerdEstimate:
    """What one herd line should have made by the book [kg], nutrients as excreted and kept."""

    entry: Entry
    mass: float
    excreted: Masses
    kept: Masses


@dataclass(frozen=True, kw_only=True, eq=False)
class Yard:
    """All stores and the herd."""

    stores: Sequence[StoreStatement] = ()
    herd: Sequence[HerdEstimate] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class GateLine:
    """Something that crossed the gate (or changed in stock) [kg by nutrient].

    ``ranged`` are the nutrients whose mass hangs on figures with a range.
    """

    direction: Literal["in", "out", "stock"]
    name: str
    masses: Masses
    ranged: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class GateFigures:
    """A nutrient at the gate [kg]; balance = inputs - outputs - stock change."""

    inputs: float | None
    outputs: float | None
    stock: float | None
    balance: float | None
    ratio: float | None
    efficiency: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """A published figure beside the farm's own, in the published unit."""

    benchmark: Benchmark
    own: float | None


@dataclass(frozen=True, kw_only=True, eq=False)
class Gate:
    """The farm gate: its lines, figures by nutrient, and how it meets the sum of fields.

    ``with_fixation`` differs from ``figures`` in nitrogen alone. ``meeting`` lists the steps
    [kg] from the sum of the field balances to the gate's balance; ``unexplained`` is the part
    of them that nothing recorded explains. ``ranged`` holds steps and their nutrients that hang
    on figures with a range.
    """

    area: float = 0.0
    milk: float = 0.0
    incomplete: bool = False
    lines: Sequence[GateLine] = ()
    figures: Mapping[str, GateFigures] = field(default_factory=dict)
    with_fixation: Mapping[str, GateFigures] = field(default_factory=dict)
    meeting: Sequence[tuple[str, Masses]] = ()
    unexplained: Masses = field(default_factory=dict)
    ranged: frozenset[tuple[str, str]] = frozenset()
    compared: Sequence[Compared] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Expectation:
    """What a published rule makes of a balance: ppm of soil test, from low to high."""

    figure: Figure
    low: float
    value: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneYear:
    """A zone in one year: its crop, balances [kg/ha], running sums, tests taken by then.

    ``ranged`` are the nutrients whose running balance hangs on figures with a range;
    ``standing`` says that its crop is not harvested yet.
    """

    year: int
    crop: str
    incomplete: bool
    balance: Masses
    running: Masses
    removal: Masses
    ranged: frozenset[str] = frozenset()
    standing: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SoilTestPoint:
    """One routine soil test: day, test column, extractant, ppm."""

    day: date
    test: str
    method: str
    ppm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneYears:
    """A zone over several years.

    ``banked`` is the running phosphate balance in years of average removal; ``expected``
    the soil-test change that published rules make of the running balances, by nutrient.
    """

    field: str
    zone: str
    area: float
    years: Sequence[ZoneYear]
    tests: Sequence[SoilTestPoint]
    banked: float | None
    expected: Mapping[str, Sequence[Expectation]]


@dataclass(frozen=True, slots=True, kw_only=True)
class LotYears:
    """Nitrogen of a lot applied in one year [kg]: total = used + left + air + undivided.

    ``used`` counts its own year and what later years freed since; ``ranged`` says whether the
    parts hang on figures with a range.
    """

    year: int
    lot: str
    total: float
    used: float
    left: float
    air: float
    undivided: float
    ranged: bool = False


@dataclass(frozen=True, kw_only=True, eq=False)
class Years:
    """Several years of one farm side by side."""

    years: Sequence[int] = ()
    zones: Sequence[ZoneYears] = ()
    lots: Sequence[LotYears] = ()
