"""Python shuffles sets of words anew in every run; what is written must not hang on that."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from finding_cases import BASE
from workbooks import SHIPPED, workbook

from ledger import pipeline

ROOT = Path(__file__).parents[1]
# Gate lines that are known only as gaps, each a way of its own.
UNKNOWN = """
## gate
| date | direction | item | amount | unit | from_to |
| 2026-03-01 | in | feed | 3 | ton | mill |
| 2026-03-02 | in | bedding | 4 | ton | mill |
| 2026-03-03 | in | livestock | 5 | ton | sale |
| 2026-03-04 | in | other | 6 | ton | mill |
"""


def told(file: Path, seed: int) -> tuple[str, bytes]:
    """The result document and the workbook that a run with a seed writes."""
    out = file.with_name(f"{seed}.xlsx")
    words = [sys.executable, "-m", "ledger", "balance", str(file), "--json", "--out", str(out)]
    surroundings = {**os.environ, "PYTHONHASHSEED": str(seed), "PYTHONPATH": str(ROOT)}
    done = subprocess.run(words, capture_output=True, text=True, env=surroundings, check=False)
    assert done.returncode in (0, 1), done.stderr
    return done.stdout, out.read_bytes()


@pytest.mark.parametrize("name", ["unknown at the gate", "example"])
def test_a_run_writes_the_same_whatever_the_seed(tmp_path: Path, name: str) -> None:
    content = (ROOT / "examples" / "farm.xlsx").read_bytes()
    file = tmp_path / "farm.xlsx"
    file.write_bytes(content if name == "example" else workbook(BASE + UNKNOWN))
    first, *others = [told(file, seed) for seed in (1, 2, 3)]
    assert all(other == first for other in others)


def test_unknown_gate_lines_stand_in_the_order_of_their_sheet() -> None:
    done = pipeline.run(workbook(BASE + UNKNOWN), SHIPPED)
    names = [line.name for line in done.results.gate.lines if line.direction == "in"]
    wanted = ["Feed", "Bedding", "Animals", "Other goods"]
    assert [name for name in names if name in wanted] == wanted
