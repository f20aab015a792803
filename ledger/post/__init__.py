"""Post entries: every line moves masses of nutrients between accounts, and sums to zero.

A stage: ``post(book, definitions) -> (Journal, findings)``. Planned lines do not post;
lines with errors post nothing and leave a gap, so that statements know they are not whole.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from ledger.ground import Share, shares
from ledger.model import Book, Definitions, Entry, Finding, Gap, Journal, Postings
from ledger.post.desk import CannotPost, Desk
from ledger.post.gate import post_gate
from ledger.post.harvest import post_harvest
from ledger.post.manure import post_manure
from ledger.post.moves import post_store_move
from ledger.post.previous import post_previous_crop, post_soil_nitrate
from ledger.post.product import post_product
from ledger.post.residual import post_residual
from ledger.post.transfer import post_transfer

__all__ = ["post"]

Poster = Callable[[Entry, Sequence[Share], Mapping[str, Any], Desk], None]
POSTERS: Mapping[str, Poster] = {
    "manure": post_manure,
    "product": post_product,
    "harvest": post_harvest,
    "transfer": post_transfer,
    "residual": post_residual,
    "previous_crop": post_previous_crop,
    "soil_nitrate": post_soil_nitrate,
    "store_move": post_store_move,
    "gate": post_gate,
}
NAMED = {"manure_lots": "lot", "products": "product"}


def post(
    book: Book, definitions: Definitions, *, planned: bool = False
) -> tuple[Journal, list[Finding]]:
    """Post every applied line of every sheet whose definition has a posting rule.

    With ``planned`` the planned lines are posted instead, to a journal of their own.
    """
    desk = Desk(
        book=book,
        definitions=definitions,
        manure_set=_chosen(book, "manure_set", definitions, definitions.manure_sets),
        legume_set=_chosen(book, "legume_set", definitions, definitions.need.legume_sets),
        removal_set=_chosen(book, "removal_set", definitions, definitions.removal_sets),
        named={sheet: book.named(sheet, column) for sheet, column in NAMED.items()},
    )
    for name, sheet in definitions.sheets.items():
        if sheet.posting is None:
            continue
        of_field = "field" in sheet.by_id
        for entry in book.entries.get(name, ()):
            if (entry.get("status") == "planned") == planned:
                _post_entry(entry, of_field, sheet.posting, desk)
    postings = Postings.written(desk.pen)
    journal = Journal(postings=postings, gaps=desk.gaps, draws=desk.draws, cuts=desk.cuts)
    return journal, list(desk.found.values())


def _chosen(book: Book, column: str, definitions: Definitions, known: Mapping[str, Any]) -> Any:
    """The set the Farm sheet names, or the default where its cell is at fault."""
    default = definitions.sheets["farm"].by_id[column].default
    return known.get(book.farm.text(column), known[default])


def _post_entry(entry: Entry, of_field: bool, rule: Mapping[str, Any], desk: Desk) -> None:
    """Post a line to the ground it is for, if its sheet has fields."""
    try:
        parts = shares(entry, desk.book) if of_field else ()
        if entry.faulty or (of_field and not parts):
            raise CannotPost()
        POSTERS[rule["kind"]](entry, parts, rule, desk)
    except CannotPost:
        _leave_gap(entry, desk)


def _leave_gap(entry: Entry, desk: Desk) -> None:
    """Mark the zones the line names (all of the field's when that is as much as it says)."""
    for share in shares(entry, desk.book):
        for nutrient in desk.definitions.nutrients:
            desk.gaps.append(
                Gap(zone=share.zone, nutrient=nutrient, figures=(), unknown=False, entry=entry)
            )
