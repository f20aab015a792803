"""Options of the suite: how long the fuzzing runs, and from which seed."""

import pytest

FUZZ_RUNS = 5000


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add ``--fuzz N`` and ``--fuzz-start S``: N mutations, of the seeds from S on."""
    text = f"how many mutated workbooks to try (default {FUZZ_RUNS})"
    parser.addoption("--fuzz", type=int, default=FUZZ_RUNS, metavar="N", help=text)
    parser.addoption(
        "--fuzz-start", type=int, default=0, metavar="S", help="first seed; with --fuzz 1, one case"
    )
