"""Fuzzing: whatever happens to a workbook, no traceback, and no total changes in silence.

A few fields of the example farm are damaged in thousands of seeded ways and taken through the
pipeline. Either the workbook is refused in plain words, or its figures are as before, or there
is a finding more, or every cell that was read differently is one that the workbook itself
shows differently (``mutated_cells.visible``, which shares no code with the ledger).

``pytest tests/test_fuzz.py --fuzz 200000`` runs longer; ``--fuzz 1 --fuzz-start 4711`` one case.
"""

from __future__ import annotations

import json
import math
import os
import random
import signal
import traceback
from collections import Counter
from collections.abc import Iterable, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache
from multiprocessing import get_context
from pathlib import Path
from typing import Literal

import pytest
from mutated_cells import of_cells, visible
from mutations import Cell, Mutation, Target, of_bytes, of_xml, pack, sheet_parts, slimmed, unpack
from small import small
from workbooks import Entries

from ledger import pipeline, report
from ledger.build.csv_entries import read_entries
from ledger.graft import GraftError
from ledger.model import Definitions, Results
from ledger.read import Unreadable

EXAMPLE = Path(__file__).parent.parent / "examples" / "farm"
FIELDS = ("Kiln Forty", "Alder Bottom", "Heron Meadow", "Badger Strip")
LINES = 6  # of the example kept on every sheet
LIMIT_S = 20  # of the processor for one workbook; most take a tenth of a second
WRITTEN = 20  # every so many cases the results are also put into the workbook
SAME = 1e-9  # relative: the order of rows may change the last digits of a sum

Figures = Mapping[tuple[str, str, str, str], float | None]  # statement, zone, nutrient, figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of a workbook: its figures, its findings, its cells as they were read."""

    figures: Figures
    findings: Counter[tuple[str, str, str]]
    cells: Mapping[Cell, object]  # by sheet id and address


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """An undamaged workbook and what comes of it."""

    definitions: Definitions
    target: Target
    outcome: Outcome
    sheet_of_part: Mapping[str, str]


# ---------------------------------------------------------------------- ground
@cache
def ground(form: Literal["whole", "slim"]) -> Ground:
    """A few fields of the example as a whole workbook, or with nothing but its entry sheets."""
    data = small()
    entries = _few(read_entries(EXAMPLE, data))
    parts = unpack(pipeline.blank(data, year=2026, system="us", entries=entries))
    if form == "slim":
        parts = slimmed(parts, {data.sheets[name].title for name in data.sheets})
    done = pipeline.run(pack(parts), data)
    ids = {grid.sheet_name: sheet_id for sheet_id, grid in done.reading.grids.items()}
    sheets = {part: ids[name] for name, part in sheet_parts(parts).items() if name in ids}
    part_of = {sheet_id: part for part, sheet_id in sheets.items()}
    filled = {
        (part_of[sheet_id], row.address(name)): column.is_number or column.is_date
        for sheet_id, rows in done.reading.rows.items()
        for row in rows
        for name in row.cells
        for column in [data.sheets[sheet_id].by_id[name]]
    }
    target = Target(parts=parts, filled=filled)
    return Ground(definitions=data, target=target, outcome=_outcome(done), sheet_of_part=sheets)


def _few(entries: Entries) -> Entries:
    """The first lines about a few of the fields."""
    return {
        sheet_id: [dict(row) for row in rows if row.get("field", FIELDS[0]) in FIELDS][:LINES]
        for sheet_id, rows in entries.items()
    }


# --------------------------------------------------------------------- outcome
def _outcome(done: pipeline.Run) -> Outcome:
    cells = {
        (sheet_id, row.address(name)): cell
        for sheet_id, rows in done.reading.rows.items()
        for row in rows
        for name, cell in row.cells.items()
    }
    json.dumps(report.document(done.results, small()), allow_nan=False)
    found = Counter((f.code, f.sheet, f.cell) for f in done.results.findings)
    return Outcome(figures=_figures(done.results), findings=found, cells=cells)


def _figures(results: Results) -> Figures:
    statements = [("farm", "", results.farm.figures), ("custom", "", results.custom.figures)]
    statements += [(s.zone.field, s.zone.zone, s.figures) for s in results.statements]
    return {
        (name, part, nutrient, figure): value
        for name, part, statement in statements
        for nutrient, figures in statement.items()
        for figure, value in figures.items()
    }


def _same(one: Figures, other: Figures) -> bool:
    return one.keys() == other.keys() and all(
        value == other[name]
        or (
            value is not None
            and (twin := other[name]) is not None
            and math.isclose(value, twin, rel_tol=SAME, abs_tol=SAME)
        )
        for name, value in one.items()
    )


# ----------------------------------------------------------------------- judge
def mutation(seed: int) -> tuple[Ground, Mutation]:
    """The damage of a seed: mostly cells, then XML, then bytes of the zip."""
    chance = random.Random(seed)
    kind = chance.random()
    base = ground("slim" if kind < 0.85 else "whole")
    way = of_cells if kind < 0.65 else of_xml if kind < 0.90 else of_bytes
    return base, way(chance, base.target)


def complaint(seed: int) -> str | None:
    """What is wrong with how the ledger takes the damage of a seed, or None."""
    base, damage = mutation(seed)
    signal.signal(signal.SIGVTALRM, _too_long)
    signal.setitimer(signal.ITIMER_VIRTUAL, LIMIT_S)
    try:
        found = _judged(base, damage, written=seed % WRITTEN == 0)
    except Exception:
        found = traceback.format_exc()
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
    return found and f"seed {seed}: {damage.words}\n{found}"


def _too_long(*_: object) -> None:
    raise TimeoutError(f"more than {LIMIT_S} s of work")


def _judged(base: Ground, damage: Mutation, *, written: bool) -> str | None:
    try:
        done = pipeline.run(damage.content, base.definitions)
    except Unreadable:
        return "a spoiled cell made the workbook unreadable" if damage.spoiled else None
    after = _outcome(done)
    if written:
        _write(damage.content, done)
    more = after.findings - base.outcome.findings
    blamed = {(sheet, cell) for _, sheet, cell in more}
    for part, address in damage.spoiled:
        title = base.definitions.sheets[base.sheet_of_part[part]].title
        if (title, address) not in blamed:
            return f"no finding in the spoiled cell {title}!{address}, but {sorted(more)}"
    if more or _same(after.figures, base.outcome.figures):
        return None
    silent = _read_differently(base, after) - _seen_differently(base, damage)
    return f"totals changed in silence; read differently: {sorted(silent)}" if silent else None


def _read_differently(base: Ground, after: Outcome) -> set[Cell]:
    before = base.outcome.cells
    return {c for c in before.keys() | after.cells if before.get(c) != after.cells.get(c)}


def _seen_differently(base: Ground, damage: Mutation) -> set[Cell]:
    before = visible(base.target.parts)
    after = visible(unpack(damage.content))
    return {
        (base.sheet_of_part[part], address)
        for part, address in before.keys() | after.keys()
        if part in base.sheet_of_part and before.get((part, address)) != after.get((part, address))
    }


def _write(content: bytes, done: pipeline.Run) -> None:
    """Put the results into the damaged workbook: refused, or the figures stay as they are."""
    try:
        after = pipeline.with_results(content, done, small())
    except GraftError:
        return
    again = pipeline.run(after, small())
    assert _same(_figures(again.results), _figures(done.results)), "writing changed the figures"


def _complaints(seeds: Iterable[int]) -> list[str]:
    return [found for found in map(complaint, seeds) if found]


# ----------------------------------------------------------------------- tests
def test_the_workbooks_to_damage_are_worth_it() -> None:
    whole, slim = ground("whole"), ground("slim")
    assert _same(whole.outcome.figures, slim.outcome.figures)
    assert len(slim.target.filled) > 150
    assert sum(bool(value) for value in slim.outcome.figures.values()) > 30
    assert {sheet for _, sheet in slim.sheet_of_part.items()} == set(small().sheets)


def test_a_seed_gives_the_same_damage_again() -> None:
    for seed in range(40):
        assert mutation(seed) == mutation(seed)
        assert mutation(seed)[1].content != pack(mutation(seed)[0].target.parts)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_no_damage_gives_a_traceback_or_a_silent_change(request: pytest.FixtureRequest) -> None:
    start, count = request.config.getoption("--fuzz-start"), request.config.getoption("--fuzz")
    workers = min(os.cpu_count() or 1, count)
    ground("whole"), ground("slim")
    shares = [range(start + n, start + count, workers) for n in range(workers)]
    with ProcessPoolExecutor(workers, get_context("fork")) as pool:
        found = [text for share in pool.map(_complaints, shares) for text in share]
    assert not found, f"{len(found)} of {count}:\n" + "\n".join(found[:20])
