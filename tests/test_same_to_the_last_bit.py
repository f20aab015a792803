"""Results are the same to the last bit in any order of lines, with workers or without.

That workers and Dask give the same bytes is in test_combine.py.
"""

import random
from typing import Any

import pytest
from bench.ledgers import entries
from farms import STANDARD
from workbooks import Entries, document, parse

PLACES = ("row", "cell", "sheet", "factors", "reasons")


def shuffled(source: Entries, seed: int) -> Entries:
    chance = random.Random(seed)
    return {name: chance.sample(rows, len(rows)) for name, rows in source.items()}


def without_places(item: Any) -> Any:
    """A document without rows, cells and reasons, its lists in an order of their own."""
    if isinstance(item, dict):
        return {key: without_places(value) for key, value in item.items() if key not in PLACES}
    if isinstance(item, list):
        return sorted((without_places(value) for value in item), key=repr)
    return item


def results(source: Entries) -> Any:
    """All results but the findings and what else names cells."""
    whole = document(source)
    return without_places({key: part for key, part in whole.items() if key != "findings"})


@pytest.mark.parametrize("seed", range(3))
def test_no_bit_hangs_on_the_order_of_lines(seed: int) -> None:
    farm = {name: [dict(row) for row in rows] for name, rows in entries(300, seed).items()}
    assert results(farm) == results(shuffled(farm, seed))


@pytest.mark.parametrize("seed", range(3))
def test_no_bit_of_the_standard_farm_hangs_on_the_order_of_lines(seed: int) -> None:
    farm = parse(STANDARD)
    assert results(farm) == results(shuffled(farm, seed))


def test_the_same_seed_makes_the_same_ledger() -> None:
    assert entries(50, 7) == entries(50, 7) != entries(50, 8)
