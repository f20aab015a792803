"""Published figures about animals and what crosses the farm gate."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ledger.model.figures import Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class HerdKind:
    """A kind of animal: head a unit of live weight, manure a unit and year, its contents.

    ``excreted`` and ``kept`` (what is left after storage and handling) hold figures by
    element.
    """

    id: str
    per_unit: Figure
    mass: Figure
    excreted: Mapping[str, Figure]
    kept: Mapping[str, Figure]


@dataclass(frozen=True, slots=True, kw_only=True)
class HerdBook:
    """Everything in ``templates/herd.json``."""

    about: str
    animal_unit: Figure
    slurry_density: Figure
    store_tolerance: Figure
    kinds: Mapping[str, HerdKind]


@dataclass(frozen=True, slots=True, kw_only=True)
class Goods:
    """What a feed, an animal or a product holds: percent by element.

    The percentages are of the weight, or of its dry matter where ``dry_matter`` is given.
    """

    id: str
    item: str
    dry_matter: Figure | None
    contents: Mapping[str, Figure]


@dataclass(frozen=True, slots=True, kw_only=True)
class Benchmark:
    """A published farm-gate figure with its place; never a verdict.

    ``with_fixation`` is None where the difference does not matter or is not told.
    """

    place: str
    measure: str
    nutrient: str
    per: str
    figure: Figure
    with_fixation: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class GateBook:
    """Everything in ``templates/gate.json``; fixation by crop, per unit of its yield."""

    about: str
    goods: Mapping[str, Goods]
    fixation: Mapping[str, Figure]
    benchmarks: Sequence[Benchmark]


@dataclass(frozen=True, slots=True, kw_only=True)
class SoilChange:
    """How much of a nutrient moves a soil test by one ppm, by one published rule."""

    nutrient: str
    test: str
    figure: Figure
