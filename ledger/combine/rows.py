"""Lines of the combined tables: a file, a farm, a field, a zone a line and nutrient."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import fsum
from typing import Any

from ledger.combine.record import Job, Record, not_read
from ledger.combine.spool import Spool
from ledger.model import FIGURES
from ledger.plural import many
from ledger.report.units import Shown

Row = dict[str, Any]
TOTALS = tuple(f"{figure}_total" for figure in FIGURES)
COUNTS: Mapping[str, str] = {"errors": "error", "warnings": "warning", "notes": "note"}
COLUMNS: Mapping[str, str] = {
    **dict.fromkeys(("level", "file", "farm"), "string"),
    "year": "Int64",
    **dict.fromkeys(("field", "zone", "crop"), "string"),
    **dict.fromkeys(("custom", "incomplete"), "boolean"),
    "area": "float64",
    "area_unit": "string",
    "nutrient": "string",
    **dict.fromkeys(TOTALS, "float64"),
    "mass_unit": "string",
    **dict.fromkeys(COUNTS, "Int64"),
    **dict.fromkeys(("manure_set", "removal_set", "problem"), "string"),
}
NO_YEAR = (
    "the crop year on its Farm sheet is blank or at fault; it is in no sum of all farms until "
    "that is mended"
)
LEVELS = ("file", "all", "farm", "custom", "field", "zone")


class Records:
    """The record of every file, in the order of names; read from disk one at a time."""

    def __init__(self, jobs: Sequence[Job], problems: Mapping[str, str], kept: Spool) -> None:
        self._keys = {job.file: job.key for job in jobs}
        self._problems = problems
        self._kept = kept
        self._first: dict[str, str] = {}
        for name in sorted(self._keys):
            self._first.setdefault(self._keys[name], name)

    def __iter__(self) -> Iterator[tuple[str, Record]]:
        for name in sorted({*self._keys, *self._problems}):
            yield name, self._record(name)

    def copied(self, name: str) -> str:
        """The file of which another is a copy to the last byte, or nothing."""
        first = self._first.get(self._keys.get(name, ""), name)
        return "" if first == name else first

    def _record(self, name: str) -> Record:
        if name in self._problems:
            return not_read(OSError(self._problems[name]))
        if first := self.copied(name):
            if first in self._problems:
                return not_read(OSError(self._problems[first]))
            return {**self._kept.get(self._keys[name]), **_NOTHING, "problem": f"copy of {first}"}
        return self._kept.get(self._keys[name])


_NOTHING: Mapping[str, list[Any]] = {"totals": [], "fields": [], "zones": []}


def rows(records: Records, level: str, shown: Shown) -> Iterator[Row]:
    """The lines of one level, missing values None."""
    if level == "file":
        return (_file(name, record) for name, record in records)
    if level == "all":
        return iter(_all(records, shown))
    part = {"field": "fields", "zone": "zones"}.get(level, "totals")
    return (
        row
        for name, record in records
        for item in record[part]
        if item["level"] == level and item["area"]
        for row in _nutrients(name, record, item, shown)
    )


def _file(name: str, record: Record) -> Row:
    counts = {column: record["findings"][gravity] for column, gravity in COUNTS.items()}
    problem = record["problem"] or ("" if record["year"] else NO_YEAR)
    return {**_head("file", name, record), **counts, "problem": problem}


def _head(level: str, name: str, record: Record) -> Row:
    keys = ("farm", "year", "manure_set", "removal_set")
    row = {**dict.fromkeys(COLUMNS), **{key: record[key] for key in keys}}
    return {**row, "level": level, "file": name, "year": record["year"] or None}


def _nutrients(name: str, record: Record, item: Record, shown: Shown) -> Iterator[Row]:
    head = {
        **_head(item["level"], name, record),
        **{key: item[key] for key in ("field", "zone", "crop", "custom", "incomplete")},
        **_area(item["area"], shown),
    }
    for nutrient, figures in item["figures"].items():
        yield {**head, "nutrient": nutrient, **_masses(figures, shown)}


def _area(area: float, shown: Shown) -> Row:
    return {
        "area": shown.value("area", area),
        "area_unit": shown.label("area"),
        "mass_unit": shown.label("mass"),
    }


def _masses(figures: Mapping[str, float | None], shown: Shown) -> Row:
    return {f"{figure}_total": shown.value("mass", figures[figure]) for figure in FIGURES}


def _all(records: Records, shown: Shown) -> Iterator[Row]:
    """All farms of a crop year together; what one farm does not know is unknown.

    A ledger that does not tell its year is in none of them: which one is not known.
    """
    years: dict[int, list[Record]] = {}
    for _, record in records:
        for total in record["totals"] if record["year"] else ():
            if total["level"] == "farm" and total["area"]:
                years.setdefault(record["year"], []).append(total)
    for year, totals in sorted(years.items()):
        head = {
            **dict.fromkeys(COLUMNS),
            **{"level": "all", "year": year, "farm": many(len(totals), "farm")},
            "incomplete": any(total["incomplete"] for total in totals),
            **_area(fsum(total["area"] for total in totals), shown),
        }
        for nutrient in totals[0]["figures"]:
            figures = [total["figures"][nutrient] for total in totals]
            sums = {figure: _sum([f[figure] for f in figures]) for figure in FIGURES}
            yield {**head, "nutrient": nutrient, **_masses(sums, shown)}


def _sum(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return fsum(known) if len(known) == len(values) else None
