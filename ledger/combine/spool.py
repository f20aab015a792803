"""Records on disk: one JSON line each, written as soon as it is known.

A run that was stopped leaves whole lines and at most one broken one at the end, which is cut
off. Floats survive JSON to the last bit, so a kept record is as good as a fresh one.
"""

from __future__ import annotations

import json
from io import BufferedRandom
from pathlib import Path
from types import TracebackType
from typing import Any

from ledger.combine.record import Record


class Spool:
    """The records kept in a file, by key; opened with ``with``."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self._places: dict[str, int] = {}
        self._open: BufferedRandom

    def __enter__(self) -> Spool:
        self._file.touch()
        self._open = self._file.open("r+b")
        self._find()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: Any, trace: TracebackType | None
    ) -> None:
        self._open.close()

    def _find(self) -> None:
        """Learn where every record is; cut off what a stopped run left half written."""
        place = 0
        for line in self._open:
            try:
                key = json.loads(line)["key"]
            except (ValueError, KeyError, TypeError):
                break
            if not line.endswith(b"\n"):
                break
            self._places[key] = place
            place += len(line)
        self._open.truncate(place)

    def __contains__(self, key: str) -> bool:
        return key in self._places

    def add(self, key: str, record: Record) -> None:
        """Keep a record for good."""
        self._places[key] = self._open.seek(0, 2)
        line = json.dumps({"key": key, "record": record}, separators=(",", ":"), allow_nan=False)
        self._open.write(line.encode() + b"\n")
        self._open.flush()

    def get(self, key: str) -> Record:
        """A record that is kept; KeyError when it is not."""
        self._open.seek(self._places[key])
        record: Record = json.loads(self._open.readline())["record"]
        return record
