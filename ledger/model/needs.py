"""Nouns of crop need: methods, nitrate tests, legume credits, soil-test frameworks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from ledger.model.coefficients import FactorTable
from ledger.model.figures import Figure, Source


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedMethod:
    """A way to reckon nitrogen need, and which credits are inside its answer already."""

    id: str
    about: str
    contains: frozenset[str]
    limits: str
    source: Source
    status: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LegumeSet:
    """Credits for the crop before, by year since, crop, stand and soil."""

    id: str
    title: str
    about: str
    table: FactorTable
    same_as: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class NitrateSet:
    """One published way to read a pre-sidedress nitrate test."""

    id: str
    title: str
    form: Literal["linear", "steps", "history"]
    about: str
    crop: str
    contains: frozenset[str]
    critical: FactorTable | None = None
    slope: Figure | None = None
    steps: tuple[tuple[float, Figure], ...] = ()
    per_yield: Figure | None = None
    none_from: Figure | None = None
    history: Mapping[str, Figure] = field(default_factory=dict)
    previous_crop: Mapping[str, Figure] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class SoilTestLevel:
    """Critical level, maintenance limit and fixed addition for some crops (and CEC)."""

    crops: tuple[str, ...]
    cec: Mapping[str, float] | None
    critical: Figure
    limit: Figure
    addition: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class SoilTestSet:
    """A soil-test framework for phosphate and potash; figures of one extractant only."""

    id: str
    title: str
    about: str
    extractant: str
    levels: Mapping[str, tuple[SoilTestLevel, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedBook:
    """Everything in ``templates/need``."""

    methods: Mapping[str, NeedMethod]
    ec117: Mapping[str, Figure]
    ec117_crop: str
    nitrate_sets: Mapping[str, NitrateSet]
    legume_sets: Mapping[str, LegumeSet]
    soil_tests: SoilTestSet
    nitrate_mass: Figure
    nitrate_layer: Figure
    yield_factors: Mapping[str, Figure]
    presidedress: Mapping[str, Figure]
