"""The lines, cells and publications that every figure of the plan was reckoned from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ledger.model import Factor, Factors, Need, Postings, Zone
from ledger.plan.supplies import Lines
from ledger.reach import any_ranged, reach


class Reasons(Mapping[str, Factors]):
    """Factors by figure; those of lines are made when asked for, of their postings.

    Kept they would take 15 MB at 100,000 lines, and postings know all they say.
    """

    __slots__ = ("_area", "_told")

    def __init__(self, told: Mapping[str, Factors | Postings], area: float) -> None:
        self._told = told
        self._area = area

    def __getitem__(self, figure: str) -> Factors:
        told = self._told[figure]
        return _of_lines(told, self._area) if isinstance(told, Postings) else told

    def __iter__(self) -> Iterator[str]:
        return iter(self._told)

    def __len__(self) -> int:
        return len(self._told)

    def __contains__(self, figure: object) -> bool:
        return figure in self._told  # nothing need be made to know that


def reasons(
    zone: Zone, need: Need | None, supplies: Mapping[str, Postings], coming: Lines
) -> Reasons:
    """What every figure of a zone was reckoned from: cells, lines and publications."""
    found: dict[str, Factors | Postings] = {}
    if need and need.reasons:
        found["need"] = need.reasons
    found |= supplies
    if need:
        found |= {f"{n} need": told for n, told in need.mineral_reasons.items()}
    if planned := coming.postings.get(zone):
        found["planned"] = planned
    return Reasons(found, zone.area)


def _of_lines(postings: Postings, area: float) -> Factors:
    """Lines of the workbook with what each gave [kg/ha], and the publications behind them."""
    lines: list[Factor] = []
    moved = zip(postings.entries, postings.masses, postings.asked(_ends), strict=True)
    for entry, mass, ends in moved:
        place = f"{entry.row.grid.sheet_name}!{entry.row.address('field')}"
        used = mass / area
        low, high = (used * ends[0], used * ends[1]) if ends and mass else (None, None)
        line = Factor(name="line", value=used, unit="kg/ha", origin=place, low=low, high=high)
        lines.append(line)
    cited = (factor for basis in postings.bases for factor in basis if factor.published)
    return (*lines, *dict.fromkeys(cited))


def _ends(factors: Factors) -> tuple[float, float] | None:
    """How what a line gave changes with its figures at their ends; None for a point."""
    return (reach(factors, "low"), reach(factors, "high")) if any_ranged(factors) else None
