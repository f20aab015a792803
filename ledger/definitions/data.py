"""Reading data files strictly: no duplicate keys, no unknown keys, no number without a unit.

Faults in our own data are raised at once; only faults in a person's workbook are collected.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from ledger.definitions.checked import recorded
from ledger.model import Figure, Source


class DataFault(Exception):
    """A fault in a file of ``templates/``; the message names file, place and remedy."""


def read_json(file: Path) -> Any:
    """Read a JSON file; raise ``DataFault`` for broken JSON or a key that stands twice."""

    def pairs(items: list[tuple[str, Any]]) -> dict[str, Any]:
        seen = dict(items)
        if len(seen) < len(items):
            keys = [key for key, _ in items]
            twice = sorted({key for key in keys if keys.count(key) > 1})
            raise DataFault(f"{file.name}: key {', '.join(twice)} stands twice; remove one")
        return seen

    try:
        return json.loads(file.read_text("utf-8"), object_pairs_hook=pairs)
    except json.JSONDecodeError as problem:
        raise DataFault(f"{file.name}: not valid JSON: {problem}") from problem


def read_checked(file: Path, schema: str) -> Any:
    """Read a JSON file and hold it against ``meta/<schema>.schema.json`` beside it.

    Files that are on record as sound are read only.
    """
    content = read_json(file)
    root = _root(file)
    if recorded(root) is not None:
        return content
    errors = sorted(_validator(root, schema).iter_errors(content), key=str)
    if errors:
        error = errors[0]
        place = "/".join(str(step) for step in error.absolute_path) or "top"
        raise DataFault(f"{file.name}: at {place}: {error.message}")
    return content


def _root(file: Path) -> Path:
    return next(folder for folder in file.parents if (folder / "meta").is_dir())


@cache
def _validator(root: Path, schema: str) -> Any:
    from jsonschema import Draft202012Validator
    from referencing import Registry, Resource

    schemas = {path.name: json.loads(path.read_text("utf-8")) for path in root.glob("meta/*.json")}
    registry: Any = Registry().with_resources(
        [(name, Resource.from_contents(content)) for name, content in schemas.items()]
    )
    return Draft202012Validator(schemas[f"{schema}.schema.json"], registry=registry)


def figure(
    data: Mapping[str, Any],
    sources: Mapping[str, Source],
    place: str,
    common: Mapping[str, Any] | None = None,
) -> Figure:
    """Build a ``Figure`` from a row merged over its table's ``common`` keys.

    Raises ``DataFault`` naming ``place`` when unit, source or status is missing or unknown,
    or when the value lies outside its own range.
    """
    keys = ("value", "low", "high", "unit", "source", "page", "status", "note")
    merged = {key: value for key, value in {**(common or {}), **data}.items() if key in keys}
    for needed in ("value", "unit", "source", "status"):
        if merged.get(needed) in (None, ""):
            raise DataFault(f"{place}: {needed} is missing; every figure needs it")
    source = find_source(sources, str(merged["source"]), place)
    low, high = merged.get("low"), merged.get("high")
    if (low is not None and low > merged["value"]) or (high is not None and high < merged["value"]):
        raise DataFault(f"{place}: {merged['value']} lies outside its range {low} to {high}")
    return Figure(**{**merged, "source": source})


def find_source(sources: Mapping[str, Source], name: str, place: str) -> Source:
    """The publication with this id; ``DataFault`` when ``templates/sources/`` lacks it."""
    if name not in sources:
        raise DataFault(f"{place}: source {name!r} is not in templates/sources/")
    return sources[name]


def load_sources(root: Path) -> dict[str, Source]:
    """All publications of ``templates/sources/*.json`` by id."""
    sources: dict[str, Source] = {}
    for file in sorted(root.glob("sources/*.json")):
        for name, content in read_checked(file, "sources").items():
            if name in sources:
                raise DataFault(f"{file.name}: source {name!r} stands in another file too")
            sources[name] = Source(id=name, **content)
    return sources


def by_id(items: Iterable[Any], place: str) -> dict[str, Any]:
    """Items by their ``id`` (a key or an attribute), in order; ``DataFault`` when one is twice."""
    found: dict[str, Any] = {}
    for item in items:
        name = item["id"] if isinstance(item, Mapping) else item.id
        if name in found:
            raise DataFault(f"{place}: {name!r} stands twice; remove one or rename it")
        found[name] = item
    return found
