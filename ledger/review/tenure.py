"""Ground of a customer that is not marked as custom work."""

from __future__ import annotations

from collections.abc import Iterator

from ledger import findings
from ledger.model import Book, Definitions, Finding


def customers_ground(book: Book, definitions: Definitions) -> Iterator[Finding]:
    """A finding for each field of a customer that counts with the farm's own and rented ground."""
    people = book.entries.get("people", ())
    customers = {p.text("name") for p in people if p.text("role") == "customer"}
    for entry in book.entries.get("fields", ()):
        owner = entry.text("owner")
        if owner in customers and entry.text("tenure") != "custom":
            words = {"name": entry.text("field"), "read": owner}
            yield findings.finding(definitions, "owner-is-customer", entry.row, "tenure", **words)
