"""``balance`` killed at any moment: the workbook is the old one or the new one, and whole.

Children are forked from a process that has everything loaded and has reckoned the results
before, so that a kill hits the writing rather than the start of Python; some children do the
whole work. SIGKILL leaves a program no chance to tidy up.
"""

from __future__ import annotations

import os
import random
import re
import signal
import sys
import time
from collections.abc import Callable
from functools import cache
from pathlib import Path
from types import FrameType
from typing import Any

import pytest
from finding_cases import BASE
from small import small
from workbooks import SHIPPED, workbook

from ledger import cli, definitions, pipeline
from ledger.graft import locks, save

KILLS, WHOLE_WORK = 200, 15  # random kills, and how many of them hit the whole work
LONG_AGO_S = 3600.0
OWN_LEFTOVERS = re.compile(r"\.farm\.[0-9a-f]{8}\.ledger\.tmp|\.farm\.xlsx\.ledger-lock")
CODE = {sys.modules[m.__name__].__file__ for m in (save, locks)}

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and SIGKILL")
Trace = Callable[[FrameType, str, Any], Any]


@cache
def old() -> bytes:
    return workbook(BASE, data=small())


@cache
def reckoned() -> tuple[pipeline.Run, bytes]:
    """The run over the old workbook, and the new workbook."""
    done = pipeline.run(old(), SHIPPED)
    return done, pipeline.with_results(old(), done, SHIPPED)


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    assert reckoned()[1] != old()
    path = tmp_path / "farm.xlsx"
    path.write_bytes(old())
    assert cli.main(["balance", str(path)]) == cli.common.CLEAN  # so that all is loaded
    assert path.read_bytes() == reckoned()[1]
    reset(path)
    return path


def fork(farm: Path, *, reckon: bool, before: Callable[[], None]) -> int:
    """Start ``balance`` in a child; ``before`` runs there first. Returns its process id."""
    pid = os.fork()
    if pid:
        return pid
    try:
        sys.stdout = sys.stderr = Path(os.devnull).open("w")  # noqa: SIM115
        if not reckon:
            done, new = reckoned()
            vars(definitions).update(load=lambda *_: SHIPPED)
            vars(pipeline).update(
                run=lambda *_: done, ready_sheets=lambda *_: None, put_sheets=lambda *_: new
            )
        before()
        os._exit(cli.main(["balance", str(farm)]))
    finally:
        os._exit(99)


def ended(pid: int) -> int:
    """Wait for a child; its exit code, below zero when a signal ended it."""
    return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])


def look(farm: Path) -> str:
    """Which workbook is there; fails unless it and its backups are whole and the rest is ours."""
    content = farm.read_bytes()
    assert content in (old(), reckoned()[1]), f"a half workbook of {len(content)} bytes"
    for other in farm.parent.rglob("*"):
        if other.suffix == ".xlsx" and not other.name.startswith("."):
            assert other == farm or other.read_bytes() == old(), f"{other.name} is not whole"
        elif other.is_file():
            assert OWN_LEFTOVERS.fullmatch(other.name), f"{other.name} is nothing we know"
    return "old" if content == old() else "new"


def left(farm: Path) -> list[Path]:
    """Files that are neither the workbook nor a backup."""
    return [p for p in farm.parent.rglob(".*") if OWN_LEFTOVERS.fullmatch(p.name)]


def recover(farm: Path) -> None:
    """The next run takes over, as if long after: it writes, and it clears away what was left."""
    for path in left(farm):
        os.utime(path, (time.time() - LONG_AGO_S,) * 2)
    assert ended(fork(farm, reckon=False, before=lambda: None)) == cli.common.CLEAN
    assert look(farm) == "new"
    assert not left(farm)


def reset(farm: Path) -> None:
    for path in left(farm):
        path.unlink()
    farm.write_bytes(old())


def test_a_kill_at_a_random_moment_leaves_a_whole_workbook(farm: Path) -> None:
    chance = random.Random(2026)
    lasts = {reckon: _duration(farm, reckon=reckon) for reckon in (False, True)}
    seen: list[str] = []
    for attempt in range(KILLS * 10):
        reset(farm)
        reckon = attempt % (KILLS // WHOLE_WORK) == 0
        pid = fork(farm, reckon=reckon, before=lambda: None)
        time.sleep(chance.uniform(0, 1.1 * lasts[reckon]))
        os.kill(pid, signal.SIGKILL)
        if ended(pid) == -signal.SIGKILL:
            seen.append(look(farm))
        if len(seen) % 20 == 1:
            recover(farm)
        if len(seen) == KILLS:
            break
    assert len(seen) == KILLS
    assert seen.count("old") >= KILLS // 20


def _duration(farm: Path, *, reckon: bool) -> float:
    """Seconds that a run takes when nobody kills it."""
    start = time.monotonic()
    assert ended(fork(farm, reckon=reckon, before=lambda: None)) == cli.common.CLEAN
    assert look(farm) == "new"
    reset(farm)
    return time.monotonic() - start


def test_a_kill_at_every_line_of_the_writing_leaves_a_whole_workbook(farm: Path) -> None:
    seen = []
    for line in range(1, 2000):
        reset(farm)
        for backup in farm.parent.glob("backup/*"):
            backup.unlink()
        code = ended(fork(farm, reckon=False, before=lambda line=line: _die_at(line)))  # type: ignore[misc]
        seen.append(look(farm))
        if code != -signal.SIGKILL:
            assert code == cli.common.CLEAN
            break
        if line % 20 == 0:
            recover(farm)
    else:
        pytest.fail("the writing never came to an end")
    assert len(seen) > 60
    turn = seen.index("new")
    assert 20 < turn < len(seen) - 5
    assert set(seen[turn:]) == {"new"}


def _die_at(line: int) -> None:
    """Have this process killed before the n-th line that the writing modules execute."""
    count, write = iter(range(1, line)), save.replace_atomically

    def trace(frame: FrameType, event: str, argument: object) -> Trace | None:
        if frame.f_code.co_filename not in CODE:
            return None
        if event == "line" and next(count, None) is None:
            os.kill(os.getpid(), signal.SIGKILL)
        return trace

    def traced(*arguments: Any, **options: Any) -> Path | None:
        sys.settrace(trace)
        return write(*arguments, **options)

    save.replace_atomically = traced
