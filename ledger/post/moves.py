"""Store moves: manure made, brought, given away or lost, by the analysis of its lot."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ledger.ground import FARM, Share
from ledger.model import Account, Entry, Typed
from ledger.post.amounts import in_base
from ledger.post.desk import Desk, account, each_nutrient
from ledger.yard import analysis_base, base_of, lots_in

WHOLE_FARM = Share(zone=FARM, area=FARM.area, part=1.0)
OTHER_SIDE: Mapping[str, tuple[int, Account]] = {
    "produced": (1, Account("herd", ("manure",))),
    "imported": (1, Account("gate", ("in", "manure"))),
    "exported": (-1, Account("gate", ("out", "manure"))),
    "lost": (-1, Account("lost", ("manure",))),
}


def post_store_move(
    entry: Entry, parts: Sequence[Share], rule: Mapping[str, Any], desk: Desk
) -> None:
    """Post one move between a store and the herd, the gate or what is lost.

    A move whose lot is not clear leaves its nutrients unknown.
    """
    lot = lot_of(entry, desk)
    if lot is None:
        desk.note("store-lot-unclear", entry, "lot")
        for nutrient in desk.definitions.nutrients:
            desk.gap([WHOLE_FARM], nutrient, entry, rule["stream"])
        return
    _post(entry, lot, rule, desk)


def lot_of(entry: Entry, desk: Desk) -> Entry | None:
    """The lot a move names, or the only one that lies in its store."""
    if entry.text("lot"):
        named = desk.named["manure_lots"].get(entry.text("lot"))
        return named if named is not None and not named.faulty else None
    lots = lots_in(desk.book, entry.text("store"))
    return lots[0] if len(lots) == 1 else None


def _post(entry: Entry, lot: Entry, rule: Mapping[str, Any], desk: Desk) -> None:
    wanted = analysis_base(lot, desk.definitions)
    typed, base = entry.number("amount") or 0.0, base_of(entry.text("unit"), desk.definitions)
    amount, density = in_base(typed, base, wanted, entry, lot, lot.text("lot"), desk)
    sign, other = OTHER_SIDE[entry.text("kind")]
    store = account("store", lot.text("lot"))
    told = Typed("amount", base, "amount")
    for nutrient, column in [("N", "n_total"), *((n, c) for n, c, _ in each_nutrient(desk, "lot"))]:
        content = lot.number(column)
        if content is None:
            desk.gap([WHOLE_FARM], nutrient, entry, rule["stream"])
            continue
        mass = sign * amount * content
        held = desk.told(f"{nutrient} content", lot, column, content, f"kg/{wanted}")
        flows = {other: -mass, store: mass}
        desk.move(entry, WHOLE_FARM, nutrient, flows, (told, *density, held), rule["stream"])
