"""The same on Dask: a cluster of one's own instead of worker processes (extra ``dask``).

Workers must see the files under the same paths and have the same version of the ledger.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from typing import Any

from ledger.combine.engines import Done, Engine
from ledger.combine.record import Job, reckon


def client_of(address: str, workers: int | None) -> Any:
    """A client of the cluster at an address; ``local`` starts one of worker processes here."""
    distributed = import_module("distributed")
    if address == "local":
        return distributed.Client(n_workers=workers, dashboard_address=None)
    return distributed.Client(address)


def on_dask(client: Any) -> Engine:
    """An engine on a ``distributed.Client``."""
    as_completed = import_module("distributed").as_completed

    def engine(jobs: Sequence[Job]) -> Done:
        places = {client.submit(reckon, job, pure=False): job for job in jobs}
        for future in as_completed(list(places)):
            yield places.pop(future), future.result()

    return engine
