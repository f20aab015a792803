"""A record of the last full check, so that data files known to be sound are not checked again.

``checked.json`` beside this module holds a digest of all data files and what pint made of
their units. While a folder has that digest, loading it needs neither pint nor the schemas
(measured: a quarter of the processor time). A folder that differs in one byte is checked in
full. ``tests/generated.py`` writes the record; a test proves it true.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from ledger import resources

RECORD = Path(__file__).with_name("checked.json")


@cache
def recorded(root: Path) -> Mapping[str, float] | None:
    """Factors of all units as recorded for these very data files; None when others were."""
    if not RECORD.is_file():
        return None
    record = json.loads(RECORD.read_text("utf-8"))
    factors: Mapping[str, float] = record["factors"]
    return factors if record["digest"] == resources.digest(root) else None


def record(root: Path, factors: Mapping[str, float]) -> str:
    """The text of the record of a folder that was checked in full."""
    content = {"digest": resources.digest(root), "factors": dict(factors)}
    return json.dumps(content, indent=1) + "\n"
