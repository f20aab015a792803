"""The loader refuses faults in the data files, each tried on a copy of the shipped folder."""

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any, ClassVar

import pytest
from workbooks import SHIPPED, copied, rewrite

from ledger import definitions, resources
from ledger.definitions import DataFault, data
from ledger.definitions.data import read_json
from ledger.model import Figure
from ledger.units import UnitFault

TEMPLATES = resources.templates_folder()
ALL_FILES = sorted(file for file in TEMPLATES.rglob("*.json") if file.parent.name != "meta")
Change = Callable[[Any], object]
validator_of = data._validator


def one_of_each_kind() -> list[str]:
    """The first file of every kind: kinds share a folder and the beginning of their name."""
    kinds: dict[tuple[str, str], str] = {}
    for file in ALL_FILES:
        alike = file.parent.name in ("removal", "sheets", "sources")
        kind = (file.parent.name, "" if alike else file.name.split("-")[0])
        kinds.setdefault(kind, str(file.relative_to(TEMPLATES)))
    return list(kinds.values())


class Remembered:
    """A validator that looks at equal content once: most files of a copy are as shipped."""

    seen: ClassVar[dict[tuple[str, str], list[Any]]] = {}

    def __init__(self, schema: str) -> None:
        self._schema = schema
        self._validator = validator_of(TEMPLATES, schema)

    def iter_errors(self, content: Any) -> list[Any]:
        key = (self._schema, repr(content))
        if key not in self.seen:
            self.seen[key] = list(self._validator.iter_errors(content))
        return self.seen[key]


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Loading takes a fifth of a second, nearly all of it the schemas."""
    monkeypatch.setattr(data, "_validator", lambda root, schema: Remembered(schema))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return copied(tmp_path)


def refusal(folder: Path) -> str:
    """What the loader says to the copy."""
    with pytest.raises((DataFault, UnitFault)) as caught:
        definitions.load(folder)
    return str(caught.value)


def test_the_shipped_folder_loads() -> None:
    assert SHIPPED.sheets and SHIPPED.nutrients and SHIPPED.manure_sets and SHIPPED.removal_sets


@pytest.mark.parametrize("file", one_of_each_kind())
def test_an_unknown_key_is_refused(folder: Path, file: str) -> None:
    rewrite(folder, file, lambda d: d.update(stray={"b": 1}))
    assert "stray" in refusal(folder)


@pytest.mark.parametrize("file", ["units.json", "sheets/01-farm.json"])
def test_a_key_that_stands_twice_is_refused(folder: Path, file: str) -> None:
    path = folder / file
    path.write_text(path.read_text("utf-8").replace("{", '{"twin": 1, "twin": 2,', 1), "utf-8")
    said = refusal(folder)
    assert "twin stands twice" in said and path.name in said


@pytest.mark.parametrize("file", ["units.json", "sheets/01-farm.json"])
def test_broken_json_is_refused(folder: Path, file: str) -> None:
    path = folder / file
    path.write_text(path.read_text("utf-8").rstrip()[:-1], "utf-8")
    said = refusal(folder)
    assert "not valid JSON" in said and path.name in said


def test_every_data_file_is_read_strictly(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: set[Path] = set()

    def spy(file: Path) -> Any:
        seen.add(file.relative_to(folder))
        return read_json(file)

    monkeypatch.setattr(data, "read_json", spy)
    definitions.load(folder)
    assert seen == {file.relative_to(TEMPLATES) for file in ALL_FILES}


# ------------------------------------------------------------ figures of one file
CORN = "removal/Illinois-2019.json"
MANURE = "manure/set-IA-PMR1003.json"


@pytest.mark.parametrize("key", ["unit", "source", "status"])
@pytest.mark.parametrize(
    ("file", "common"),
    [
        (CORN, lambda d: d["common"]),
        (MANURE, lambda d: d["tables"]["volatilization"]["common"]),
        ("crops.json", lambda d: d["crops"][0]["bushel_weight"]),
        ("crops.json", lambda d: d["crops"][0]["parts"]["grain"]["standard_moisture"]),
        ("products.json", lambda d: d["products"][0]["density"]),
    ],
    ids=["removal", "manure table", "bushel weight", "moisture", "density"],
)
def test_a_figure_without_unit_source_or_status_is_refused(
    folder: Path, file: str, common: Change, key: str
) -> None:
    rewrite(folder, file, lambda d: common(d).pop(key))  # type: ignore[attr-defined]
    assert Path(file).name in refusal(folder)


def first(key: str, **new: object) -> Change:
    """A change of the first item of a list in a file."""
    return lambda d: d[key][0].update(new)


def table_row(name: str, **new: object) -> Change:
    """A change of the first row of a factor table."""
    return lambda d: d["tables"][name]["rows"][0].update(new)


def top(**new: object) -> Change:
    """A change of keys at the top of a file."""
    return lambda d: d.update(new)


REFUSED = [
    ("unknown source, removal", CORN, first("rows", source="nobody"), "nobody"),
    ("unknown source, manure", MANURE, table_row("availability", source="nobody"), "nobody"),
    ("unknown source, product", "products.json", first("products", source="nobody"), "nobody"),
    ("unknown status", CORN, first("rows", status="guessed"), "guessed"),
    ("value below its range", CORN, first("rows", low=0.4), "outside its range"),
    ("value above its range", CORN, first("rows", high=0.3), "outside its range"),
    ("manure value outside", MANURE, table_row("volatilization", value=0.5), "outside its range"),
    ("yield times unit no mass", CORN, first("rows", unit="lb/gal"), "lb/gal"),
    ("no such unit", CORN, first("rows", unit="stone/bu"), "stone/bu"),
    ("no such crop", CORN, first("rows", crop="triffid"), "triffid"),
    ("no such part", CORN, first("rows", part="root"), "root"),
    ("no such nutrient", CORN, first("rows", nutrient="Xe"), "Xe"),
    ("a row twice", CORN, lambda d: d["rows"].append(d["rows"][0]), "stands twice"),
    ("moisture of 120", CORN, first("rows", moisture=120), "moisture"),
    ("main part missing", "crops.json", first("crops", main_part="root"), "root"),
    (
        "density not a density",
        "products.json",
        lambda d: d["products"][0]["density"].update(unit="lb/ac"),
        "lb/ac",
    ),
    ("grade of no nutrient", "products.json", first("products", grade={"Xe": 3}), "Xe"),
    ("share above one", MANURE, table_row("volatilization", value=1.2, high=1.3), "1.2"),
    ("share in percent", MANURE, table_row("volatilization", unit="percent"), "fraction"),
    ("key not of the table", MANURE, table_row("availability", when={"form": "solid"}), "form"),
    ("pool's table missing", MANURE, lambda d: d["tables"].pop("availability"), "availability"),
    ("no such manure", MANURE, lambda d: d["groups"].update(bats=["bat guano"]), "bat guano"),
    ("source of the set", MANURE, top(source="nobody"), "nobody"),
    (
        "availability of no nutrient",
        MANURE,
        lambda d: d["availability"].update(
            Xe=[
                {
                    "year": 1,
                    "value": 1,
                    "unit": "fraction",
                    "source": d["source"],
                    "status": "memory",
                }
            ]
        ),
        "Xe",
    ),
    (
        "unit of no quantity",
        "units.json",
        first("units", pint="pound"),
        "not a area",
    ),
]


@pytest.mark.parametrize(
    ("file", "change", "says"), [case[1:] for case in REFUSED], ids=[case[0] for case in REFUSED]
)
def test_a_faulty_figure_is_refused(folder: Path, file: str, change: Change, says: str) -> None:
    rewrite(folder, file, change)
    assert says in refusal(folder)


def test_factor_rows_that_overlap_are_refused(folder: Path) -> None:
    def widen(data: Any) -> None:
        row = data["tables"]["availability"]["rows"][1]
        assert row["when"]["incorporated_h"] == {"over": 12, "to": 96}
        row["when"]["incorporated_h"] = {"over": 6, "to": 96}

    rewrite(folder, "manure/set-MN-UMN.json", widen)
    assert "set-MN-UMN.json" in refusal(folder)


TWICE = [
    ("crops.json", "crops"),
    ("products.json", "products"),
    ("nutrients.json", "nutrients"),
    ("units.json", "units"),
    ("findings.json", "findings"),
    ("accounts.json", "accounts"),
    ("manure/kinds.json", "kinds"),
]


@pytest.mark.parametrize(("file", "key"), TWICE, ids=[file for file, _ in TWICE])
def test_an_id_that_stands_twice_is_refused(folder: Path, file: str, key: str) -> None:
    rewrite(folder, file, lambda d: d[key].append(d[key][0]))
    assert "twice" in refusal(folder)


@pytest.mark.parametrize("file", ["manure/set-MN-UMN.json", CORN, "sheets/13-credits.json"])
def test_a_file_with_the_id_of_another_is_refused(folder: Path, file: str) -> None:
    path = folder / file
    shutil.copy(path, path.with_name(f"{path.stem}-copy.json"))
    assert "twice" in refusal(folder)


def test_a_source_in_two_files_is_refused(folder: Path) -> None:
    shutil.copy(folder / "sources" / "manure.json", folder / "sources" / "again.json")
    assert "stands in another file too" in refusal(folder)


# ------------------------------------------------------------------------ sheets
SPREAD = "sheets/09-manure_spread.json"
CREDITS = "sheets/13-credits.json"


def column(name: str, **new: object) -> Change:
    """A change of one column of a sheet."""
    return lambda d: d["properties"][name].update(new)


SHEETS = [
    ("required and not there", SPREAD, lambda d: d["required"].append("moon"), "moon"),
    ("looks up no sheet", SPREAD, column("lot", lookup={"sheet": "x", "column": "y"}), "x.y"),
    ("looks up no table", SPREAD, column("lot", lookup={"table": "moons"}), "lookup"),
    ("unit from no column", SPREAD, column("amount", unit_from={"column": "x"}), "'x'"),
    ("no such unit", SPREAD, column("area_covered", unit={"us": "rood", "metric": "ha"}), "rood"),
    ("unit choice unknown", SPREAD, column("unit", enum=["hogshead"]), "hogshead"),
    ("code not in catalogue", SPREAD, lambda d: d["rules"][0].update(code="nil"), "nil"),
    ("no such rule", SPREAD, lambda d: d["rules"][0].update(rule="nil"), "nil"),
    ("no such account", SPREAD, lambda d: d["posting"].update({"from": "moon"}), "moon"),
    ("no such posting", SPREAD, lambda d: d["posting"].update(kind="magic"), "magic"),
    ("unknown keyword", SPREAD, column("lot", colour="red"), "colour"),
    ("no note", SPREAD, lambda d: d["properties"]["lot"].pop("description"), "description"),
    ("no such column type", SPREAD, column("lot", type="colour"), "colour"),
    ("posts no nutrient", CREDITS, lambda d: d["posting"].update(nutrient="Xe"), "Xe"),
    ("posts no column", CREDITS, lambda d: d["posting"].update(amount="moon"), "moon"),
]


@pytest.mark.parametrize(
    ("file", "change", "says"), [case[1:] for case in SHEETS], ids=[case[0] for case in SHEETS]
)
def test_a_faulty_sheet_is_refused(folder: Path, file: str, change: Change, says: str) -> None:
    rewrite(folder, file, change)
    assert says in refusal(folder)


# --------------------------------------------------------------- what is shipped
def shipped_figures() -> list[Figure]:
    """Every figure of the manure sets and removal sets, and of crops and products."""
    found = [f.figure for s in SHIPPED.removal_sets.values() for f in s.figures.values()]
    for chosen in SHIPPED.manure_sets.values():
        found += [row.figure for table in chosen.tables.values() for row in table.rows]
        found += [figure for years in chosen.availability.values() for figure in years.values()]
    found += [crop.bushel_weight for crop in SHIPPED.crops.values() if crop.bushel_weight]
    return found + [p.density for p in SHIPPED.products.values() if p.density]


@pytest.mark.parametrize("sheet", ["manure_lots", "manure_samples"])
def test_only_what_is_stated_as_an_oxide_speaks_of_converting(sheet: str) -> None:
    """2.29 and 1.20 are the molar factors of the nutrients' own file, rounded."""
    notes = {name: SHIPPED.sheets[sheet].by_id[name].note for name in ("p2o5", "k2o", "s")}
    assert "If the slip gives elemental P, convert it first (P x 2.29)" in notes["p2o5"]
    assert "If the slip gives elemental K, convert it first (K x 1.20)" in notes["k2o"]
    assert notes["s"] == "Sulfur, total, stated as S, same unit."


def test_every_figure_names_publisher_title_and_address() -> None:
    assert len(shipped_figures()) > 200
    for figure in shipped_figures():
        source = figure.source
        for part in (source.publisher, source.title, source.address):
            assert part and part in figure.citation()


def test_a_figure_from_memory_says_so() -> None:
    memory = [figure for figure in shipped_figures() if figure.status == "memory"]
    assert memory
    assert all("from memory, check with a local guide" in f.citation() for f in memory)
    verified = [figure for figure in shipped_figures() if figure.status == "verified"]
    assert not any("check with a local guide" in f.citation() for f in verified)
