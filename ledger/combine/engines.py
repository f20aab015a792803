"""Who reckons: this process, or several worker processes. Any engine gives the same records.

An engine takes jobs and yields each with its record, in any order; ``reckon`` never raises.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context

from ledger.combine.record import Job, Record, not_read, reckon

Done = Iterator[tuple[Job, Record]]
Engine = Callable[[Sequence[Job]], Done]
LOST = "the process that read it ended; the file may need more memory than there is"


def in_turn(jobs: Sequence[Job]) -> Done:
    """One after the other, in this process."""
    for job in jobs:
        yield job, reckon(job)


def in_processes(workers: int) -> Engine:
    """In so many worker processes."""

    def engine(jobs: Sequence[Job]) -> Done:
        left = dict(enumerate(jobs))
        for at, record in _shared_out(jobs, workers):
            yield left.pop(at), record
        for job in left.values():  # a worker died; who killed it is found by going one by one
            yield next(((job, r) for _, r in _shared_out([job], 1)), (job, _lost()))

    return engine


def _shared_out(jobs: Sequence[Job], workers: int) -> Iterator[tuple[int, Record]]:
    """The place and record of every job, until a worker dies."""
    if not jobs:
        return
    spawn = get_context("spawn")  # the same on every system; no state of this process leaks in
    with ProcessPoolExecutor(min(workers, len(jobs)), mp_context=spawn) as pool:
        places: dict[Future[Record], int] = {pool.submit(reckon, j): n for n, j in enumerate(jobs)}
        for future in as_completed(places):
            try:
                yield places.pop(future), future.result()
            except BrokenProcessPool:
                return


def _lost() -> Record:
    return {**not_read(OSError(LOST)), "again": True}
