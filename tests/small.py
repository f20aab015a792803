"""The shipped definitions with few prepared lines: workbooks for tests that are read quickly."""

import tempfile
from functools import cache
from pathlib import Path
from typing import Any

from workbooks import altered

from ledger.model import Definitions

LINES = 8


@cache
def small() -> Definitions:
    """Only the numbers of prepared lines differ; the ledger reads what it makes as any other."""

    def few(settings: Any) -> None:
        settings["prepared_rows"] = LINES
        settings["live_rows"] = dict.fromkeys(settings["live_rows"], LINES)

    with tempfile.TemporaryDirectory() as folder:
        return altered(Path(folder), "settings.json", few)
