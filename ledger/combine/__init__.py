"""Combine: many ledgers in one workbook, CSV or Parquet file.

The way: ``files`` finds the ledgers; ``record`` reckons one of them, a pure function of its
bytes, so that any engine can map it; ``engines`` maps it over all, here, in worker processes
or (``on_dask``) on Dask; ``spool`` keeps every record on disk as soon as it is made, so that
an interrupted run goes on where it was and memory does not grow; ``rows`` makes lines of
records and ``write`` writes them.

The result does not hang on the order of the files nor on who reckoned them: records stand in
the order of their files' names, and sums are made with ``math.fsum``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from ledger.combine.engines import Engine, in_turn
from ledger.combine.record import Job, key_of, not_read
from ledger.combine.rows import Records
from ledger.combine.spool import Spool
from ledger.combine.write import write
from ledger.model import Definitions, System

__all__ = ["Combined", "combine"]

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Combined:
    """What became of the ledgers: all, reckoned in this run, problems by file.

    ``with_errors`` are the files of ledgers with errors, ``no_year`` of those that do not tell
    their crop year.
    """

    files: int
    reckoned: int
    with_errors: Sequence[str]
    problems: Sequence[tuple[str, str]]
    no_year: Sequence[str] = ()


def combine(
    files: Iterable[Path],
    out: Path,
    definitions: Definitions,
    *,
    setting: str,
    spool: Path,
    templates: Path | None = None,
    system: System | None = None,
    engine: Engine = in_turn,
    progress: Progress = lambda done, total: None,
) -> Combined:
    """Reckon ledgers and write their statements into ``out`` (.xlsx, .csv or .parquet).

    ``spool`` keeps the records for the next run; ``setting`` names what they hang on besides
    the content of a file (tool, definitions). A ledger that cannot be read is listed with its
    problem and stops nothing. Raises OSError when ``out`` or ``spool`` cannot be written.
    """
    with Spool(spool) as kept:
        jobs, problems = _jobs(files, setting, templates)
        todo = list({job.key: job for job in jobs if job.key not in kept}.values())
        for done, (job, record) in enumerate(engine(todo), start=1):
            if record.get("again"):
                problems[job.file] = record["problem"]
            else:
                kept.add(job.key, record)
            progress(done, len(todo))
        records = Records(jobs, problems, kept)
        write(records, out, definitions, system)
        return _told(records, len(todo))


def _jobs(
    files: Iterable[Path], setting: str, templates: Path | None
) -> tuple[list[Job], dict[str, str]]:
    """A job a file that can be opened, by name; what is wrong with the others."""
    jobs, problems = [], {}
    for name, file in sorted({file.as_posix(): file for file in files}.items()):
        try:
            key = key_of(file.read_bytes(), setting)
        except OSError as problem:
            problems[name] = not_read(problem)["problem"]
        else:
            jobs.append(Job(file=name, key=key, setting=setting, templates=templates))
    return jobs, problems


def _told(records: Records, reckoned: int) -> Combined:
    read = [(name, record) for name, record in records if not records.copied(name)]
    return Combined(
        files=sum(1 for _ in records),
        reckoned=reckoned,
        with_errors=[name for name, record in read if record["findings"]["error"]],
        problems=[(name, record["problem"]) for name, record in read if record["problem"]],
        no_year=[name for name, record in read if not (record["problem"] or record["year"])],
    )
