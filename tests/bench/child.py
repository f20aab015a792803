"""One measurement in a process of its own, so that its peak memory is its own too.

``python child.py WHAT FILE`` prints a JSON object of processor seconds by stage, and ``peak``
in MB. WHAT is ``floor`` (openpyxl's read-only iteration over all cells), ``check`` (all stages,
for their findings) or ``balance`` (the same, and the file written); each is the whole command.
Imports and definitions are loaded before the clock starts; start-up is measured apart.
"""

from __future__ import annotations

import json
import resource
import sys
import tempfile
import warnings
from collections.abc import Callable
from pathlib import Path
from time import process_time
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))

MB = 1024  # ru_maxrss is in kB on Linux
STAGES = (
    *("read", "check", "post", "need", "balance", "plan", "stores", "gate", "review", "strips"),
    *("ranges", "graft", "verify"),
)
Times = dict[str, float]


def floor(file: Path) -> Times:
    import openpyxl

    warnings.filterwarnings("ignore", category=UserWarning, module="openpyxl")
    start = process_time()
    workbook: Any = openpyxl.load_workbook(file, read_only=True, data_only=True)
    for worksheet in workbook.worksheets:
        worksheet.reset_dimensions()
        for _ in worksheet.iter_rows(values_only=True):
            pass
    return {"floor": process_time() - start}


def check(file: Path) -> Times:
    from ledger import definitions, pipeline
    from ledger.collector import at_rest

    known = definitions.load()
    with at_rest():  # as the command itself
        start = process_time()
        pipeline.run(file.read_bytes(), known)
        return {"whole": process_time() - start}


def balance(file: Path) -> Times:
    from ledger import definitions, pipeline, report
    from ledger.collector import at_rest
    from ledger.graft.save import replace_atomically

    known = definitions.load()
    times: Times = {}
    for name in STAGES:
        setattr(pipeline, name, timed(name, getattr(pipeline, name), times))
    report.result_sheets = timed("tables", report.result_sheets, times)
    package = report.result_package
    entered: Any = lambda *given: _Entered(package(*given), times)  # noqa: E731
    report.result_package = entered
    with tempfile.TemporaryDirectory() as folder, at_rest():  # as the command itself
        start = process_time()
        content = file.read_bytes()
        done = pipeline.run(content, known)
        sheets = pipeline.ready_sheets(done, known)
        del done
        after = pipeline.put_sheets(content, sheets, known)
        replace_atomically(Path(folder) / "out.xlsx", after, expected=None)
        return {**times, "whole": process_time() - start}


def timed(name: str, stage: Callable[..., Any], times: Times) -> Callable[..., Any]:
    """The stage, its processor time added up under its name."""

    def measured(*given: Any, **named: Any) -> Any:
        start = process_time()
        try:
            return stage(*given, **named)
        finally:
            times[name] = times.get(name, 0.0) + process_time() - start

    return measured


class _Entered:
    """A context whose entering is timed: there the result sheets are written."""

    def __init__(self, context: Any, times: Times) -> None:
        self._enter = timed("sheets", context.__enter__, times)
        self._context = context

    def __enter__(self) -> Any:
        return self._enter()

    def __exit__(self, *raised: Any) -> Any:
        return self._context.__exit__(*raised)


MEASURES: dict[str, Callable[[Path], Times]] = {"floor": floor, "check": check, "balance": balance}

if __name__ == "__main__":
    found = MEASURES[sys.argv[1]](Path(sys.argv[2]))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / MB
    print(json.dumps({**found, "peak": peak}))
