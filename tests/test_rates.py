"""Rates to take further: the table, the guard against formulas, boundaries on the ellipsoid."""

from __future__ import annotations

import builtins
import csv
import json
from math import cos, radians, sin, sqrt
from pathlib import Path
from typing import Any

import pytest
from lines import farm, table
from workbooks import SHIPPED, put, run, workbook

from ledger.cli import main
from ledger.report import rates

GROUND = """
## fields
| field | area |
| Home  | 40   |
| North | 20   |
## zones
| field | zone | area |
| Home  | west | 10   |
| Home  | east | 30   |
## crops
| field | crop | n_entered |
| Home  | corn | 150       |
| North | corn |           |
"""
FARM = farm(sidedress_product="UAN-28") + GROUND
HA_PER_ACRE = 0.40468564224


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "farm.xlsx"
    path.write_bytes(workbook(FARM))
    return path


def balance(*words: object) -> int:
    return main(["balance", *(str(word) for word in words), "--no-write"])


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


# ----------------------------------------------------------------------- table
def test_the_table_has_a_line_a_zone(book: Path, tmp_path: Path) -> None:
    assert balance(book, "--rates", tmp_path / "rates.csv") == 0
    west, east, north = rows(tmp_path / "rates.csv")
    assert list(west) == ["field", "zone", "product", "rate", "unit"]
    assert (west["field"], west["zone"], east["zone"]) == ("Home", "west", "east")
    assert west["product"] == "UAN-28" and west["unit"] == "gal/ac"
    assert float(west["rate"]) == pytest.approx(150 / (10.67 * 0.28), abs=0.0005)
    assert north["rate"] == ""


def test_a_zone_without_a_rate_is_named(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    balance(book, "--rates", tmp_path / "rates.csv")
    assert "no rate is known for 'North'" in capsys.readouterr().err


def test_a_zone_with_a_faulty_line_gets_no_rate() -> None:
    fed = table("fertilizer", {
        "date": "2026-04-20", "pass": "planter", "product": "UAN-28", "field": "Home",
        "zone": "west", "amount": -5, "unit": "gal/ac",
    })  # fmt: skip
    items = rates.rate_items(run(FARM + fed).results, SHIPPED)
    assert [item["rate"] is None for item in items] == [True, False, True]


@pytest.mark.parametrize("start", ["=", "+", "-", "@"])
def test_a_text_that_looks_like_a_formula_is_guarded(start: str) -> None:
    name = f"{start}HYPERLINK(1)"
    entries = put(put(FARM, "fields", "field", name, 2), "crops", "field", name, 2)
    text = rates.rates_csv(rates.rate_items(run(entries).results, SHIPPED))
    assert list(csv.reader(text.splitlines()))[3][0] == f"'{name}"


def test_a_file_that_is_there_is_not_replaced_unasked(book: Path, tmp_path: Path) -> None:
    target = tmp_path / "rates.csv"
    target.write_text("mine", "utf-8")
    assert balance(book, "--rates", target) == 2
    assert target.read_text("utf-8") == "mine"
    assert balance(book, "--rates", target, "--force") == 0
    assert "UAN-28" in target.read_text("utf-8")


def test_the_workbook_is_never_replaced_by_rates(book: Path) -> None:
    before = book.read_bytes()
    assert balance(book, "--rates", book, "--force") == 2
    assert book.read_bytes() == before


# ------------------------------------------------------------------ boundaries
def side(hectares: float, latitude: float) -> tuple[float, float]:
    """Degrees of longitude and latitude of a square of an area, from the ellipsoid's radii.

    WGS 84 (a = 6378137 m, 1/f = 298.257223563): M = a (1-e2) / w^3, N = a / w with
    w = sqrt(1 - e2 sin2), the textbook radii of curvature; exact enough for a field.
    """
    flat = 1 / 298.257223563
    e2, s = flat * (2 - flat), sin(radians(latitude))
    w = sqrt(1 - e2 * s * s)
    along, across = 6378137 * (1 - e2) / w**3, 6378137 / w
    metres = sqrt(hectares * 10_000)
    return metres / radians(across * cos(radians(latitude))), metres / radians(along)


def square(acres: float, *, latitude: float = 42.0, east: float = -93.0) -> list[list[float]]:
    dx, dy = side(acres * HA_PER_ACRE, latitude)
    south = latitude - dy / 2
    corners = [(0, 0), (1, 0), (1, 1), (0, 1), (0, 0)]
    return [[east + x * dx, south + y * dy] for x, y in corners]


def feature(field: object, zone: object, *rings: list[list[float]], **more: object) -> Any:
    return {
        "type": "Feature",
        "properties": {"field": field, "zone": zone, **more},
        "geometry": {"type": "Polygon", "coordinates": list(rings)},
    }


def drawn(path: Path, *features: Any, **more: object) -> Path:
    content = {"type": "FeatureCollection", "features": list(features), **more}
    path.write_text(json.dumps(content), "utf-8")
    return path


GOOD = (
    feature("Home", "west", square(10), colour="red"),
    feature("home", "East", square(30)),
    feature("North", None, square(20)),
)


@pytest.mark.parametrize("latitude", [0.0, 42.0, -35.0])
def test_area_on_the_ellipsoid(latitude: float) -> None:
    ring = square(160, latitude=latitude)
    shape = {"type": "Polygon", "coordinates": [ring]}
    assert rates.area(shape) == pytest.approx(160 * HA_PER_ACRE, rel=1e-5)
    back = {"type": "MultiPolygon", "coordinates": [[ring[::-1]], [ring]]}
    assert rates.area(back) == pytest.approx(2 * 160 * HA_PER_ACRE, rel=1e-5)


def test_a_hole_is_taken_out() -> None:
    shape = {"type": "Polygon", "coordinates": [square(40), square(4)]}
    assert rates.area(shape) == pytest.approx(36 * HA_PER_ACRE, rel=1e-5)


def test_rates_are_written_to_the_boundaries(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = drawn(tmp_path / "fields.geojson", *GOOD, name="my farm")
    before = file.read_text("utf-8")
    assert balance(book, "--rates", tmp_path / "rates.csv", "--boundaries", file) == 0
    content = json.loads((tmp_path / "rates.geojson").read_text("utf-8"))
    west, _, north = (one["properties"] for one in content["features"])
    assert west["rate"] == pytest.approx(150 / (10.67 * 0.28), abs=0.0005)
    assert (west["product"], west["unit"], west["colour"]) == ("UAN-28", "gal/ac", "red")
    assert north["rate"] is None
    assert content["name"] == "my farm"
    assert [f["geometry"] for f in content["features"]] == [f["geometry"] for f in GOOD]
    assert file.read_text("utf-8") == before
    assert "boundary" not in capsys.readouterr().err.replace("boundaries", "")


@pytest.mark.parametrize(("acres", "said"), [(10.1, False), (10.3, True), (9.7, True)])
def test_an_area_that_differs_is_pointed_out(
    acres: float, said: bool, book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = drawn(tmp_path / "f.geojson", feature("Home", "west", square(acres)), *GOOD[1:])
    balance(book, "--boundaries", file)
    assert (f"holds {acres:.2f} ac" in capsys.readouterr().err) is said


def test_what_matches_nothing_is_named(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bare = {"type": "Feature", "properties": None, "geometry": None}
    file = drawn(tmp_path / "f.geojson", GOOD[0], feature("South", "", square(5)), bare)
    balance(book, "--boundaries", file)
    err = capsys.readouterr().err
    assert "boundary 2 (South)" in err and "boundary 3 (no property 'field')" in err
    assert "no boundary for 'Home, east'" in err and "no boundary for 'North'" in err


POINT = {"type": "Point", "coordinates": [0, 0]}
WORDS: Any = [["a", "b"]]
FLAT = [[x * 1e5, y * 1e5] for x, y in square(10)]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("{", "cannot be used"),
        ("[]", "FeatureCollection"),
        ({"type": "FeatureCollection", "features": 3}, "no list of features"),
        ({"features": [{**GOOD[0], "geometry": POINT}]}, "Point"),
        ({"features": [feature("Home", "west", FLAT)]}, "not degrees"),
        ({"features": [feature("Home", "west", WORDS)]}, "not a pair of numbers"),
        ({"features": [], "crs": {"properties": {"name": "EPSG:26915"}}}, "EPSG:26915"),
    ],
)
def test_a_file_that_cannot_be_used_stops_before_anything_is_written(
    content: Any, said: str, book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file, before = tmp_path / "f.geojson", book.read_bytes()
    whole = {"type": "FeatureCollection", **content} if isinstance(content, dict) else content
    file.write_text(whole if isinstance(whole, str) else json.dumps(whole), "utf-8")
    code = main(
        ["balance", str(book), "--rates", str(tmp_path / "r.csv"), "--boundaries", str(file)]
    )
    assert code == 2 and said in capsys.readouterr().err
    assert not (tmp_path / "r.csv").exists() and book.read_bytes() == before


def test_without_the_library_it_says_what_to_install(
    book: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    usual = builtins.__import__

    def missing(name: str, *rest: Any, **more: Any) -> Any:
        if name == "pyproj":
            raise ImportError(name)
        return usual(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", missing)
    code = balance(book, "--boundaries", drawn(tmp_path / "f.geojson", *GOOD))
    assert code == 2
    assert "pip install -e '.[geo]'" in capsys.readouterr().err
