"""Where the figures of the plan come from: lines, cells, publications, and the methods in use.

Long texts run over the narrow columns of the sheet, so they are cut into lines that print;
a publication is named once, below, and by its number elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from textwrap import wrap
from typing import Any

from ledger.model import Factor, LegumeSet, NeedMethod, NitrateSet, Plan, PlanLine, Results
from ledger.model.ranges import Ranges
from ledger.reach import any_ranged
from ledger.report.spans import rough
from ledger.report.tables import Cell, Heading, Line, Table
from ledger.report.units import Shown

NITRATE_TEST = "pre-sidedress nitrate"
LINE_LENGTH = 105  # characters that run over the columns of the sheet to the right
SPARED = 2  # lines take less room than the words that they are left out
Numbers = Mapping[str, int]


def reason_items(line: PlanLine, shown: Shown) -> list[dict[str, Any]]:
    """The ``reasons`` of a zone in the result document: figure, name, value, unit, origin."""
    items = []
    for figure, factors in line.reasons.items():
        for factor in factors:
            value, unit = shown.factor(factor)
            told = {"name": factor.name, "value": value, "unit": unit, "origin": factor.origin}
            items.append({"figure": figure, **told})
    return items


# ------------------------------------------------------------------- reasons
def reason_tables(todo: Plan, ranges: Ranges, shown: Shown) -> list[Table]:
    """One line a figure, its value and what it was reckoned from; then the publications."""
    numbers: dict[str, int] = {}
    headings = [
        Heading(text="Field", format="text", width=18),
        Heading(text="Zone", format="text", width=14),
        Heading(text=shown.label("mass per area"), width=9),
        Heading(text="Figure", format="text", width=13),
        Heading(text="Reckoned from", format="running", width=15),
    ]
    lines = [
        part
        for line in todo.lines
        for figure, value, text in _figures(line, numbers, ranges, shown)
        for part in cut([line.statement.zone.field, line.statement.zone.zone, value, figure], text)
    ]
    return [
        Table(title="Where these figures come from", headings=headings, lines=lines),
        publications_table(numbers),
    ]


def numbered(factors: Iterable[Factor], numbers: dict[str, int] | None = None) -> dict[str, int]:
    """Every publication that factors came from, numbered as they are met (after ``numbers``)."""
    numbers = {} if numbers is None else numbers
    for factor in factors:
        if factor.published:
            numbers.setdefault(factor.origin, len(numbers) + 1)
    return numbers


def publications_table(numbers: Numbers) -> Table:
    """The publications by the numbers they are named by above."""
    cited = [Heading(text="Number", format="text", width=11), Heading(text="", format="running")]
    lines = [part for text, n in numbers.items() for part in cut([f"[{n}]"], text)]
    return Table(title="Publications", headings=cited, lines=lines)


def _figures(
    line: PlanLine, numbers: dict[str, int], ranges: Ranges, shown: Shown
) -> Iterator[tuple[str, Cell, str]]:
    values = {"need": line.statement.figures["N"]["need"], **line.supplies}
    values["planned"] = line.planned
    values |= {f"{n} need": all_["need"] for n, all_ in line.statement.figures.items()}
    zone = line.statement.zone
    reach = {"need"} if ranges.of((zone.field, zone.zone), "N", "need") else set()
    for figure, factors in line.reasons.items():
        numbered(factors, numbers)
        when = figure in reach or any_ranged(factors)
        value = rough(shown.value("mass per area", values.get(figure)), when)
        title = figure[0].upper() + figure[1:]
        yield title, value, "; ".join(_in_short(factors, numbers, shown))


def _in_short(factors: Sequence[Factor], numbers: Numbers, shown: Shown) -> list[str]:
    """Lines and cells up to the number in the settings and how many more; publications all.

    Nobody reads a hundred lines beside a figure; ``explain`` of the figure tells every one.
    """
    most = shown.definitions.settings["reasons_most"]
    own = [factor for factor in factors if not factor.published]
    if len(own) <= most + SPARED:
        return [*told(factors, numbers, shown)]
    cited = [factor for factor in factors if factor.published]
    more = f"and {len(own) - most} more, told by 'nutrient-ledger explain' of this figure"
    return [*told(own[:most], numbers, shown), more, *told(cited, numbers, shown)]


def told(factors: Iterable[Factor], numbers: Numbers, shown: Shown) -> Iterator[str]:
    """Factors of one origin together, so that it is named once."""
    for origin, group in groupby(factors, key=lambda factor: factor.origin):
        place = f"[{numbers[origin]}]" if origin in numbers else f"({origin})"
        yield f"{', '.join(_figure(factor, shown) for factor in group)} {place}"


def _figure(factor: Factor, shown: Shown) -> str:
    value, unit = shown.factor(factor)
    ends = shown.ends(factor)
    usual = "" if ends is None else f", range {ends[0]:.6g} to {ends[1]:.6g}"
    return f"{factor.name} {value:.6g} {unit}{usual}"


def cut(cells: Sequence[Cell], text: str) -> Iterator[Line]:
    """Lines that hold a long text after other cells; those stand in the first line alone."""
    parts = parted(text)
    yield Line(cells=[*cells, parts[0]])
    for part in parts[1:]:
        yield Line(cells=[*("" for _ in cells), part])


def parted(text: str) -> list[str]:
    """A text in parts that fit a line; one that does so whole needs no looking for a place."""
    if len(text) <= LINE_LENGTH and text.isprintable():
        return [text.rstrip()]
    return wrap(text, LINE_LENGTH, break_long_words=False, break_on_hyphens=False) or [""]


# ------------------------------------------------------------------- methods
def methods_table(results: Results, shown: Shown) -> Table:
    """The nitrogen methods and sets in use: what they are, hold already, and where they end."""
    need = shown.definitions.need
    used = dict.fromkeys(line.method for line in results.plan.lines if line.method)
    lines: list[Line] = []
    for name in used:
        lines += _method_lines(need.methods[name])
    if NITRATE_TEST in used:
        lines += _set_lines("nitrate test", _chosen(results, "nitrate_set", need.nitrate_sets))
    if any("other credits" in line.reasons for line in results.plan.lines):
        legumes = _chosen(results, "legume_set", need.legume_sets)
        lines += _set_lines("legume credits", legumes)
    headings = [
        Heading(text="Method", format="text", width=18),
        Heading(text="", format="text", width=14),
        Heading(text="", format="running", width=9),
    ]
    return Table(title="Methods in use and their limits", headings=headings, lines=lines)


def _chosen(results: Results, column: str, known: Mapping[str, Any]) -> Any:
    """The set the Farm sheet names; the check has put the default where it is blank."""
    return known.get(results.book.farm.text(column)) or next(iter(known.values()))


def _method_lines(method: NeedMethod) -> Iterator[Line]:
    contains = ", ".join(sorted(method.contains)) or "no credit"
    memory = " (from memory, check with a local guide)" if method.status == "memory" else ""
    yield from cut([method.id, "what it is"], method.about)
    yield from cut(["", "contains already"], contains)
    yield from cut(["", "limits"], method.limits)
    yield from cut(["", "source"], method.source.citation() + memory)


def _set_lines(kind: str, chosen: NitrateSet | LegumeSet) -> Iterator[Line]:
    yield from cut([kind, "set"], f"{chosen.id}: {chosen.title}")
    yield from cut(["", "about"], chosen.about)
