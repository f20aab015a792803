"""One ledger's record: what ``combine`` keeps of it, as plain data that JSON can hold."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from ledger import definitions as data
from ledger import pipeline
from ledger.findings import GRAVITY
from ledger.model import FIGURES, Definitions, Results, Statement, Total
from ledger.read import Unreadable

Record = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A ledger to reckon: its file, the key of its record, and with which definitions."""

    file: str
    key: str
    setting: str
    templates: Path | None = None


def key_of(content: bytes, setting: str) -> str:
    """What a record is kept under: a digest of the file's content and of the setting."""
    return sha256(sha256(content).digest() + setting.encode()).hexdigest()


def reckon(job: Job) -> Record:
    """The record of a job's file; whatever goes wrong becomes a record that says so.

    ``again`` marks what may go well next time, so that it is not kept.
    """
    try:
        content = Path(job.file).read_bytes()
        if key_of(content, job.setting) != job.key:
            return {**_blank("it changed while it was read; run again"), "again": True}
        return record_of(content, data.load(job.templates))
    except Unreadable as problem:
        return not_read(problem)
    except Exception as problem:  # one bad ledger must not stop a thousand others
        return {**not_read(problem), "again": True}


def record_of(content: bytes, definitions: Definitions) -> Record:
    """The record of a ledger's bytes, masses in kg, areas in ha; raises ``Unreadable``."""
    results = pipeline.run(content, definitions).results
    farm = results.book.farm
    return {
        **_blank(""),
        "farm": farm.text("farm_name"),
        "year": results.book.year,
        "units": results.book.system,
        "manure_set": farm.text("manure_set"),
        "removal_set": farm.text("removal_set"),
        "findings": {**dict.fromkeys(GRAVITY, 0), **_counted(results)},
        "totals": [_total(results.farm, "farm"), _total(results.custom, "custom")],
        "fields": [_total(total, "field") for total in results.fields],
        "zones": [_zone(statement) for statement in results.statements],
    }


def not_read(problem: Exception) -> Record:
    """The record of a file that gave none, with the reason in words."""
    known = isinstance(problem, (Unreadable, OSError))
    return _blank(str(problem) if known else f"{type(problem).__name__}: {problem}")


def _blank(problem: str) -> Record:
    texts = dict.fromkeys(("farm", "units", "manure_set", "removal_set"), "")
    lists: dict[str, list[Any]] = {"totals": [], "fields": [], "zones": []}
    return {
        "problem": problem,
        **texts,
        "year": None,
        "findings": dict.fromkeys(GRAVITY),
        **lists,
    }


def _counted(results: Results) -> Mapping[str, int]:
    return Counter(found.severity for found in results.findings)


def _total(total: Total, level: str) -> Record:
    return {
        "level": level,
        "field": total.name if level == "field" else "",
        "zone": "",
        "crop": "",
        "custom": level == "custom",
        "area": total.area,
        "incomplete": total.incomplete,
        "figures": {n: dict(figures) for n, figures in total.figures.items()},
    }


def _zone(statement: Statement) -> Record:
    zone = statement.zone
    return {
        "level": "zone",
        "field": zone.field,
        "zone": zone.zone,
        "crop": statement.crop,
        "custom": zone.custom,
        "area": zone.area,
        "incomplete": statement.incomplete,
        "figures": {
            nutrient: {figure: _mass(figures[figure], zone.area) for figure in FIGURES}
            for nutrient, figures in statement.figures.items()
        },
    }


def _mass(per_area: float | None, area: float) -> float | None:
    return None if per_area is None else per_area * area
