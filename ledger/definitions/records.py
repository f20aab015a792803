"""Load the record items of ``templates/records.json``."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ledger.definitions.data import DataFault, by_id, find_source, read_checked
from ledger.model import Kept, RecordItem, RecordPlace, Sheet, Source

FILE = "records.json"


def load_records(
    root: Path, sheets: Mapping[str, Sheet], sources: Mapping[str, Source]
) -> tuple[RecordItem, ...]:
    """All record items, in the order of the file.

    Raises ``DataFault`` for a source, sheet, column or word that does not exist, and for two
    items in one column: they would be pointed out twice.
    """
    data = read_checked(root / FILE, "records")
    items = tuple(_item(raw, sources) for raw in by_id(data["items"], FILE).values())
    seen: dict[tuple[str, str], str] = {}
    for item in items:
        for place in item.places:
            _check_place(place, sheets, f"{FILE}: {item.id}")
            if seen.setdefault((place.sheet, place.column), item.id) != item.id:
                raise DataFault(f"{FILE}: {item.id}: {place.column} holds another item already")
    return items


def _item(raw: Mapping[str, Any], sources: Mapping[str, Source]) -> RecordItem:
    entered = isinstance(raw["kept"], list)
    kept: Kept = "entered" if entered else raw["kept"]
    source = find_source(sources, raw["source"], f"{FILE}: {raw['id']}")
    places = tuple(_place(place) for place in raw["kept"]) if entered else ()
    return RecordItem(**{**raw, "kept": kept, "places": places, "source": source})


def _place(raw: Mapping[str, Any]) -> RecordPlace:
    when = {column: tuple(words) for column, words in raw.get("when", {}).items()}
    return RecordPlace(sheet=raw["sheet"], column=raw["column"], when=when)


def _check_place(place: RecordPlace, sheets: Mapping[str, Sheet], where: str) -> None:
    if place.sheet not in sheets:
        raise DataFault(f"{where}: there is no sheet {place.sheet!r}")
    columns = sheets[place.sheet].by_id
    for name in (place.column, *place.when):
        if name not in columns:
            raise DataFault(f"{where}: the sheet {place.sheet} has no column {name!r}")
    for name, words in place.when.items():
        strange = set(words) - {"", *columns[name].choices}
        if strange:
            raise DataFault(f"{where}: {name} never says {', '.join(sorted(strange))!r}")
