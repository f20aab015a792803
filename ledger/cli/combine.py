"""``combine``: the statements of many ledgers in one workbook, CSV or Parquet file."""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ledger import __version__
from ledger.cli.common import (
    CLEAN,
    ERRORS,
    REFUSED,
    Refusal,
    add_templates,
    load_definitions,
    progress,
    say,
)
from ledger.plural import many

if TYPE_CHECKING:
    from ledger.combine import Combined
    from ledger.combine.engines import Engine

KINDS = (".xlsx", ".csv", ".parquet")
MOST_TOLD = 20


def add(commands: Any) -> None:
    does = "the statements of many ledgers in one workbook, CSV or Parquet file"
    parser = commands.add_parser("combine", help=does, description=does)
    what = "workbooks, folders of them, or a .txt file that lists them"
    parser.add_argument("files", type=Path, nargs="+", metavar="FILE", help=what)
    out = "file to write: .xlsx, .csv or .parquet"
    parser.add_argument("--out", type=Path, required=True, metavar="FILE", help=out)
    parser.add_argument("--units", choices=("us", "metric"), help="units to write in")
    workers = "worker processes (default: one a processor)"
    parser.add_argument("--workers", type=int, metavar="N", help=workers)
    dask = "reckon on a Dask cluster: its address, or 'local' (needs the extra 'dask')"
    parser.add_argument("--dask", metavar="ADDRESS", help=dask)
    fresh = "reckon all again, also files that have not changed"
    parser.add_argument("--fresh", action="store_true", help=fresh)
    parser.add_argument("--force", action="store_true", help="replace the file to write")
    add_templates(parser)
    parser.set_defaults(command=_run)


def _run(options: argparse.Namespace) -> int:
    from ledger import resources
    from ledger.combine import combine
    from ledger.combine.files import found

    _refuse(options)
    definitions = load_definitions(options)
    files = found(options.files, but=options.out)
    if not files:
        raise Refusal("no workbook (.xlsx) was found there")
    spool = options.out.with_name(f".{options.out.stem}.combined.jsonl")
    if options.fresh:
        spool.unlink(missing_ok=True)
    folder = options.templates or resources.templates_folder()
    with _engine(options, len(files)) as engine:
        done = combine(
            files,
            options.out,
            definitions,
            setting=f"{__version__} {resources.digest(folder)}",
            spool=spool,
            templates=options.templates,
            system=options.units,
            engine=engine,
            progress=lambda number, total: progress(f"{number} of {total}"),
        )
    return _told(done, options.out)


def _refuse(options: argparse.Namespace) -> None:
    kind = options.out.suffix.casefold()
    if kind not in KINDS:
        raise Refusal(f"{options.out}: name a file that ends in {', '.join(KINDS)}")
    if options.out.exists() and not options.force:
        raise Refusal(f"{options.out} is there already; choose another name or add --force")
    if options.workers is not None and options.workers < 1:
        raise Refusal("--workers must be 1 or more")
    if kind == ".parquet":
        _needs("pyarrow", "parquet")
    if options.dask:
        _needs("distributed", "dask")


def _needs(library: str, extra: str) -> None:
    if find_spec(library) is None:
        raise Refusal(f"{library} is missing: pip install -e '.[{extra}]'")


@contextmanager
def _engine(options: argparse.Namespace, files: int) -> Iterator[Engine]:
    """Who reckons; a Dask client is closed afterwards."""
    from ledger.combine.engines import in_processes, in_turn

    if options.dask:
        from ledger.combine.on_dask import client_of, on_dask

        with client_of(options.dask, options.workers) as client:
            yield on_dask(client)
        return
    workers = min(options.workers or os.cpu_count() or 1, files)
    yield in_processes(workers) if workers > 1 else in_turn


def _told(done: Combined, out: Path) -> int:
    from ledger.combine.rows import NO_YEAR

    reckoned = f"{done.reckoned} {'was' if done.reckoned == 1 else 'were'} reckoned in this run"
    say(f"Wrote {many(done.files, 'ledger')} into {out}; {reckoned}.")
    if done.with_errors:
        have = "has" if len(done.with_errors) == 1 else "have"
        say(f"{len(done.with_errors)} {have} errors, so lines are missing from the sums:")
    _some([f"errors: {name}" for name in done.with_errors], f"{out} counts the errors of each")
    _some([f"no year: {name}: {NO_YEAR}" for name in done.no_year], f"their year is blank in {out}")
    problems = [f"not in it: {name}: {problem}" for name, problem in done.problems]
    _some(problems, f"they are listed in {out}")
    if len(done.problems) == done.files:
        return REFUSED
    return ERRORS if done.with_errors or done.problems else CLEAN


def _some(told: Sequence[str], rest: str) -> None:
    for text in told[:MOST_TOLD]:
        say(text)
    if len(told) > MOST_TOLD:
        say(f"and {len(told) - MOST_TOLD} more; {rest}.")
