"""How fast the ledger is, as ratios to what merely reading the same workbook takes.

    python tests/bench/measure.py                  time and memory by size, start-up
    python tests/bench/measure.py --combine 1000   many ledgers against a plain loop

Figures are medians of processor time, floor and ledger measured in turn in one run, so that
they hold on a busy machine too. No test asserts an absolute time. This process itself stays
small: Linux counts what a parent held when it started a child to the child's peak memory.
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import tempfile
from math import log
from pathlib import Path
from statistics import median
from time import perf_counter

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent)]

SIZES = (1_000, 10_000, 100_000)
SMALL = 20
Runs = dict[str, list[float]]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--rows", type=int, nargs="+", default=SIZES, help="application lines")
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--combine", type=int, default=0, metavar="N", help="ledgers to combine")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        if options.combine:
            combined(Path(folder), options.combine)
        else:
            sizes(Path(folder), options.rows, options.runs)
            start_up(Path(folder), options.runs)


# --------------------------------------------------------------------- by size
def sizes(folder: Path, rows: list[int], runs: int) -> None:
    print("    rows what                s  /floor  peak MB  /floor  slope")
    before: dict[str, tuple[int, float]] = {}
    for size in rows:
        file = made(folder / f"{size}.xlsx", size)
        found: dict[str, Runs] = {what: {} for what in ("floor", "check", "balance")}
        for _ in range(runs):
            for what, kept in found.items():
                for name, value in one(what, file).items():
                    kept.setdefault(name, []).append(value)
        table(size, found, before)


def made(file: Path, rows: int) -> Path:
    """The workbook of a ledger with so many application lines, made by a process of its own."""
    asked = [sys.executable, str(HERE / "ledgers.py"), str(file), str(rows)]
    subprocess.run(asked, check=True)
    return file


def one(what: str, file: Path) -> dict[str, float]:
    """One measurement in a process of its own."""
    asked = [sys.executable, str(HERE / "child.py"), what, str(file)]
    printed = subprocess.run(asked, check=True, capture_output=True, text=True).stdout
    found: dict[str, float] = json.loads(printed)
    return found


def table(size: int, found: dict[str, Runs], before: dict[str, tuple[int, float]]) -> None:
    middle = {w: {name: median(v) for name, v in runs.items()} for w, runs in found.items()}
    floor, least = middle["floor"]["floor"], middle["floor"]["peak"]
    lines = [("floor", floor, least)]
    stages = (item for item in middle["balance"].items() if item[0] not in ("whole", "peak"))
    lines += [(f"  {name}", seconds, 0.0) for name, seconds in stages]
    lines += [("check", middle["check"]["whole"], middle["check"]["peak"])]
    lines += [("balance", middle["balance"]["whole"], middle["balance"]["peak"])]
    for name, seconds, peak in lines:
        memory = f"{peak:8.0f} {peak / least:7.2f}" if peak else " " * 16
        print(f"{size:8} {name:<12} {seconds:8.2f} {seconds / floor:7.2f} {memory}", end=" ")
        print(slope(before.get(name), size, seconds))
        before[name] = (size, seconds)


def slope(before: tuple[int, float] | None, size: int, seconds: float) -> str:
    """The exponent of growth since the size before: 1 is in proportion."""
    if before is None or not before[1] or not seconds:
        return ""
    return f"{log(seconds / before[1]) / log(size / before[0]):6.2f}"


# -------------------------------------------------------------------- start-up
def start_up(folder: Path, runs: int) -> None:
    small = str(made(folder / "small.xlsx", SMALL))
    ledger = [sys.executable, "-m", "ledger"]
    asked = {
        "bare Python": [sys.executable, "-c", "pass"],
        "--help": [*ledger, "--help"],
        "check, small farm": [*ledger, "check", small],
        "balance, small farm": [*ledger, "balance", small],
    }
    print("\nstart-up, imports and all: processor s, elapsed s")
    for name, words in asked.items():
        measured = [spent(words) for _ in range(runs)]
        cpu, wall = (median(values) for values in zip(*measured, strict=True))
        print(f"{name:<22} {cpu:6.2f} {wall:6.2f}")


def spent(words: list[str]) -> tuple[float, float]:
    """Processor and elapsed seconds of a command."""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), perf_counter()
    subprocess.run(words, check=True, capture_output=True, cwd=HERE.parents[1])
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return cpu, perf_counter() - start


# --------------------------------------------------------------------- combine
def combined(folder: Path, ledgers: int) -> None:
    """Elapsed time of combining against a plain loop, and what memory a second half adds."""
    from bench.ledgers import workbook
    from ledger import definitions, pipeline
    from ledger.combine import combine
    from ledger.combine.engines import Engine, in_processes, in_turn

    known = definitions.load()
    files = [folder / f"{n:05}.xlsx" for n in range(ledgers)]
    for seed, file in enumerate(files):
        file.write_bytes(workbook(SMALL, known, seed))

    def loop() -> None:
        for file in files:
            pipeline.run(file.read_bytes(), known)

    def whole(engine: Engine, some: list[Path], name: str) -> None:
        spool, out = folder / f"{name}.jsonl", folder / f"{name}.csv"
        combine(some, out, known, setting="bench", spool=spool, engine=engine)

    plain = elapsed(loop)
    print(f"{ledgers} ledgers of {SMALL} lines; a plain loop takes {plain:.1f} s")
    for name, engine in (("in turn", in_turn), ("2 workers", in_processes(2))):
        whole(engine, files[: ledgers // 2], f"half {name}")
        half = peak_mb()
        took = elapsed(lambda e=engine, n=name: whole(e, files, n))
        print(f"{name:<12} {took:7.1f} s  {plain / took:5.2f} x the loop's throughput", end="")
        print(f"  peak {peak_mb():.0f} MB, {peak_mb() - half:+.0f} for twice as many")


def elapsed(work: object) -> float:
    start = perf_counter()
    assert callable(work)
    work()
    return perf_counter() - start


def peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


if __name__ == "__main__":
    main()
