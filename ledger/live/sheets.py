"""The live columns of every entry sheet, by sheet id."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ledger.live.columns import LiveColumn
from ledger.live.credits import credit_columns, past_columns
from ledger.live.crops import crop_columns
from ledger.live.fertilizer import fertilizer_columns
from ledger.live.ground import field_columns, zone_columns
from ledger.live.harvest import harvest_columns
from ledger.live.lots import lot_columns, sample_columns
from ledger.live.manure import spread_columns
from ledger.live.stores import move_columns, store_columns
from ledger.model import Definitions, System

Columns = Mapping[str, Sequence[LiveColumn]]


def live_columns(definitions: Definitions, system: System) -> Columns:
    """Live columns by sheet id; a sheet that is not listed has none."""
    sheets = definitions.sheets
    return {
        "fields": field_columns(sheets["fields"], definitions, system),
        "zones": zone_columns(definitions, system),
        "crops": crop_columns(definitions, system),
        "manure_lots": lot_columns(definitions),
        "manure_samples": sample_columns(definitions),
        "manure_spread": spread_columns(sheets["manure_spread"], definitions, system),
        "fertilizer": fertilizer_columns(sheets["fertilizer"], definitions, system),
        "harvest": harvest_columns(sheets["harvest"], definitions, system),
        "credits": credit_columns(sheets["credits"], definitions, system),
        "stores": store_columns(definitions, system),
        "store_moves": move_columns(sheets["store_moves"]),
        "past_manure": past_columns(sheets["past_manure"], definitions, system),
    }
