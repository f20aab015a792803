"""Options of the suite: seeded draws, how long the fuzzing runs, and from which seed."""

import pytest
from hypothesis import settings

FUZZ_RUNS = 5000

# What hypothesis draws hangs on the test alone: the same change passes or fails everywhere.
settings.register_profile("seeded", derandomize=True)
settings.load_profile("seeded")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add ``--fuzz N`` and ``--fuzz-start S``: N mutations, of the seeds from S on."""
    text = f"how many mutated workbooks to try (default {FUZZ_RUNS})"
    parser.addoption("--fuzz", type=int, default=FUZZ_RUNS, metavar="N", help=text)
    parser.addoption(
        "--fuzz-start", type=int, default=0, metavar="S", help="first seed; with --fuzz 1, one case"
    )
