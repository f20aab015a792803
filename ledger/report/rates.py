"""Rates a person can take further: a plain table (CSV), and fields with their rates (GeoJSON).

The geometry is checked against the workbook's areas on the ellipsoid, with pyproj, which is
an extra: flat-earth reckoning would be wrong by percents, and only a library knows better.
GeoJSON is RFC 7946: WGS 84 longitude and latitude in degrees.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import fsum
from typing import Any

from ledger.ground import label
from ledger.layout import fold
from ledger.model import Book, Definitions, PlanLine, Results, Zone
from ledger.report.units import Shown

COLUMNS = ("field", "zone", "product", "rate", "unit")
DECIMALS = 3
STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")
AREA_TOLERANCE_PCT = 2.0
M2_PER_HA = 10_000.0
LONGEST_LONGITUDE_DEG, LONGEST_LATITUDE_DEG = 180.0, 90.0
GEODETIC = ("CRS84", "EPSG::4326", "EPSG:4326")


class BoundaryFault(ValueError):
    """A boundary file that cannot be used; the text says why."""


class NoGeodesy(Exception):
    """pyproj is not installed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Boundaries:
    """What a boundary file gave: the file with rates in it, and what to tell the person."""

    content: Mapping[str, Any]
    remarks: Sequence[str]


# ----------------------------------------------------------------------- table
def rate_items(results: Results, definitions: Definitions) -> list[dict[str, Any]]:
    """Field, zone, product, rate and unit of every zone with a crop.

    The rate is None where it is unknown, or where a line with an error is missing from it.
    """
    shown = Shown(definitions=definitions, system=results.book.system)
    return [_item(line, shown) for line in results.plan.lines]


def _item(line: PlanLine, shown: Shown) -> dict[str, Any]:
    quantity = "volume per area" if line.by_volume else "mass per area"
    rate = shown.value(quantity, line.rate)
    return {
        "field": line.statement.zone.field,
        "zone": line.statement.zone.zone,
        "product": line.product,
        "rate": None if rate is None else round(rate, DECIMALS),
        "unit": shown.label(quantity) if line.product else "",
    }


def rates_csv(items: Sequence[Mapping[str, Any]]) -> str:
    """The rates as CSV; a text that a spreadsheet would run as a formula gets an apostrophe."""
    target = io.StringIO(newline="")
    writer = csv.writer(target)
    writer.writerow(COLUMNS)
    for item in items:
        writer.writerow([_guarded(item[column]) for column in COLUMNS])
    return target.getvalue()


def _guarded(cell: object) -> object:
    if isinstance(cell, str) and cell.startswith(STARTS_A_FORMULA):
        return f"'{cell}"
    return "" if cell is None else cell


def without_rate(results: Results, items: Sequence[Mapping[str, Any]]) -> list[str]:
    """The zones whose rate is not known, as a person calls them."""
    return [
        f"'{label(results.book, line.statement.zone)}'"
        for line, item in zip(results.plan.lines, items, strict=True)
        if item["rate"] is None
    ]


# ------------------------------------------------------------------ boundaries
def with_rates(
    content: Any, results: Results, definitions: Definitions, items: Sequence[Mapping[str, Any]]
) -> Boundaries:
    """A feature collection with product, rate and unit written to the features of zones.

    Features are known by their properties ``field`` and ``zone`` (blank where the
    field is one zone).
    Remarks name areas that differ by more than the tolerance, and what matched nothing.
    Raises ``BoundaryFault`` for what is not GeoJSON in degrees, ``NoGeodesy`` without pyproj.
    """
    features = _features(content)
    shown = Shown(definitions=definitions, system=results.book.system)
    rates = {(item["field"], item["zone"]): item for item in items}
    zones = _zones_of(features, results.book)
    remarks = [
        *_strays(features, zones),
        *_area_remarks(features, zones, results.book, shown),
        *_undrawn(zones, results.book),
    ]
    done = [
        _rated(feature, rates.get((zone.field, zone.zone)) if zone else None)
        for feature, zone in zip(features, zones, strict=True)
    ]
    return Boundaries(content={**content, "features": done}, remarks=remarks)


def _features(content: Any) -> list[Mapping[str, Any]]:
    if not isinstance(content, dict) or content.get("type") != "FeatureCollection":
        raise BoundaryFault("it is not a GeoJSON FeatureCollection")
    named = str(((content.get("crs") or {}).get("properties") or {}).get("name", GEODETIC[0]))
    if not named.endswith(GEODETIC):
        raise BoundaryFault(f"its coordinates are in {named}; save it as WGS 84 degrees")
    features = content.get("features")
    if not isinstance(features, list) or not all(isinstance(f, dict) for f in features):
        raise BoundaryFault("it has no list of features")
    return features


def _zones_of(features: Sequence[Mapping[str, Any]], book: Book) -> list[Zone | None]:
    """The zone that each feature bounds; None for one the workbook does not know."""
    known: dict[tuple[str, str], Zone] = {}
    for group in book.zones.values():
        for zone in group:
            known[fold(zone.field), fold(zone.zone)] = zone
            if len(group) == 1:
                known[fold(zone.field), ""] = zone
    return [known.get((fold(_name(f, "field")), fold(_name(f, "zone")))) for f in features]


def _name(feature: Mapping[str, Any], key: str) -> str:
    """A property of a feature as text; blank when it has none."""
    properties = feature.get("properties")
    found = properties.get(key) if isinstance(properties, dict) else None
    return "" if found is None else str(found)


def _strays(features: Sequence[Mapping[str, Any]], zones: Sequence[Zone | None]) -> Iterator[str]:
    for number, (feature, zone) in enumerate(zip(features, zones, strict=True), start=1):
        if zone is None:
            names = [_name(feature, key) for key in ("field", "zone")]
            said = ", ".join(filter(None, names)) or "no property 'field'"
            yield f"boundary {number} ({said}) is no field and zone of the workbook"


def _undrawn(zones: Sequence[Zone | None], book: Book) -> Iterator[str]:
    for group in book.zones.values():
        yield from (f"no boundary for '{label(book, z)}'" for z in group if z not in zones)


def _area_remarks(
    features: Sequence[Mapping[str, Any]],
    zones: Sequence[Zone | None],
    book: Book,
    shown: Shown,
) -> Iterator[str]:
    drawn: dict[Zone, list[float]] = {}
    for feature, zone in zip(features, zones, strict=True):
        if zone is not None:
            drawn.setdefault(zone, []).append(area(feature.get("geometry")))
    for zone, parts in drawn.items():
        measured = fsum(parts)
        off_pct = (measured / zone.area - 1) * 100
        if abs(off_pct) > AREA_TOLERANCE_PCT:
            unit = shown.label("area")
            yield (
                f"'{label(book, zone)}': the boundary holds "
                f"{shown.value('area', measured):.2f} {unit}, the workbook says "
                f"{shown.value('area', zone.area):.2f} {unit} ({off_pct:+.1f} percent)"
            )


def _rated(feature: Mapping[str, Any], item: Mapping[str, Any] | None) -> dict[str, Any]:
    if item is None:
        return dict(feature)
    written = {name: item[name] for name in ("product", "rate", "unit")}
    return {**feature, "properties": {**feature["properties"], **written}}


# -------------------------------------------------------------------- geometry
def area(geometry: Any) -> float:
    """Area of a Polygon or MultiPolygon on the WGS 84 ellipsoid [ha], holes taken out."""
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    if kind not in ("Polygon", "MultiPolygon"):
        raise BoundaryFault(f"a boundary is a {kind or 'blank'}; only polygons have an area")
    rings = geometry.get("coordinates") or []
    polygons = [rings] if kind == "Polygon" else rings
    return fsum(_polygon(polygon) for polygon in polygons) / M2_PER_HA


def _polygon(rings: Sequence[Any]) -> float:
    areas = [_ring(ring) for ring in rings]
    return areas[0] - fsum(areas[1:]) if areas else 0.0


def _ring(ring: Any) -> float:
    """Area inside a ring [m2], whichever way round it runs."""
    try:
        from pyproj import Geod
    except ImportError as missing:
        raise NoGeodesy() from missing
    try:
        degrees = [(float(position[0]), float(position[1])) for position in ring]
    except (TypeError, ValueError, IndexError) as problem:
        raise BoundaryFault(f"a position is not a pair of numbers: {problem}") from problem
    if any(abs(x) > LONGEST_LONGITUDE_DEG or abs(y) > LONGEST_LATITUDE_DEG for x, y in degrees):
        raise BoundaryFault("its positions are not degrees; save it as WGS 84 degrees")
    longitudes, latitudes = [x for x, _ in degrees], [y for _, y in degrees]
    signed, _ = Geod(ellps="WGS84").polygon_area_perimeter(longitudes, latitudes)
    return abs(float(signed))
