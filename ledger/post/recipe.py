"""Recipes: what a unit of a material moves, worked out once for all lines that put it on alike.

Lines of one material, put on the same way, differ in their ground, their amount and the entry
alone. What differs by ground is worked out once a ground (measured, both together: posting
takes 0.3 of the time).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import compress
from operator import mul
from typing import NamedTuple

from ledger.ground import Share, ground_of
from ledger.model import Account, Basis, Entry, Zone
from ledger.post.desk import Desk, field_account

Place = str | Account  # a part of a zone (``available``), or an account outside the fields


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """The way of one nutrient: how much a unit of the material holds, and where it goes.

    ``into`` tells the fraction of the whole that comes to each place; ``held`` is what the
    whole is reckoned with, and ``divided`` what the fractions are.
    """

    nutrient: str
    content: float
    source: Account
    into: Mapping[Place, float]
    held: Basis
    divided: Basis


class Lack(NamedTuple):
    """A nutrient that cannot be told, and the figures that are unknown for it."""

    nutrient: str
    figures: tuple[str, ...]


class Route(NamedTuple):
    """A way without what is nothing of any amount."""

    nutrient: str
    content: float
    source: Account
    places: Sequence[Place]
    fractions: Sequence[float]


class Recipe(NamedTuple):
    """Routes of all nutrients, the basis of every posting on ``zones`` zones, and what lacks.

    Recipes with the same ``pattern`` make postings of the same kinds on the same ground.
    """

    routes: Sequence[Route]
    stream: str
    zones: int
    bases: Sequence[int]
    lacks: Sequence[Lack]
    pattern: int


class Ground(NamedTuple):
    """The kinds of the postings on some zones, and the part that each posting's zone is."""

    kinds: Sequence[int]
    parts: Sequence[float]


def recipe_of(found: Iterable[Way | Lack], zones: int, stream: str, desk: Desk) -> Recipe:
    """The recipe of a material for lines on so many zones."""
    found = list(found)
    routes: list[Route] = []
    bases: list[int] = []
    for way in (way for way in found if isinstance(way, Way) and way.content):
        into = {place: fraction for place, fraction in way.into.items() if fraction}
        routes.append(Route(way.nutrient, way.content, way.source, [*into], [*into.values()]))
        held, divided = desk.pen.basis(way.held), desk.pen.basis(way.divided)
        bases += [held, *[divided] * len(into)] * zones
    told = (stream, *((one.nutrient, one.source, *one.places) for one in routes))
    return Recipe(
        routes=routes,
        stream=stream,
        zones=zones,
        bases=tuple(bases),
        lacks=[lack for lack in found if isinstance(lack, Lack)],
        pattern=desk.patterns.setdefault(told, len(desk.patterns)),
    )


def follow(
    recipe: Recipe, entry: Entry, parts: Sequence[Share], amount: float, area: float, desk: Desk
) -> None:
    """Post an amount of the material by its recipe; the line covers an area [ha].

    Kinds, bases and masses stand in one order: by route, then by zone, then the source and the
    places it goes to.
    """
    for lack in recipe.lacks:
        desk.gap(parts, lack.nutrient, entry, *lack.figures)
    key = (recipe.pattern, *ground_of(parts))  # zones are shared by area, whatever is covered
    if key not in desk.grounds:
        desk.grounds[key] = _ground(recipe, parts, desk)
    kinds, cut = desk.grounds[key]
    whole: list[float] = []
    for _, content, _, _, fractions in recipe.routes:
        total = amount * content
        inward = [total * fraction for fraction in fractions]
        whole += [-sum(inward), *inward] * recipe.zones
    masses = list(map(mul, whole, cut))
    if all(whole):
        desk.pen.write(entry, area, kinds, recipe.bases, masses)
    else:  # an amount of nothing
        kept = (tuple(compress(column, whole)) for column in (kinds, recipe.bases, masses))
        desk.pen.write(entry, area, *kept)


def _ground(recipe: Recipe, parts: Sequence[Share], desk: Desk) -> Ground:
    kinds: list[int] = []
    cut: list[float] = []
    for route in recipe.routes:
        for share in parts:
            accounts = [route.source, *(_account(place, share.zone) for place in route.places)]
            nutrient, stream = route.nutrient, recipe.stream
            kinds += [desk.pen.kind(one, nutrient, stream, share.zone) for one in accounts]
            cut += [share.part] * len(accounts)
    return Ground(tuple(kinds), tuple(cut))


def _account(place: Place, zone: Zone) -> Account:
    return field_account(zone, place) if isinstance(place, str) else place
