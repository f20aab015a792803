"""How much is in a store: an amount as typed, or a depth and the shape."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from ledger.formulas import Basin, basin_volume, box_volume, tank_volume
from ledger.model import Entry
from ledger.stores.desk import StoreDesk
from ledger.yard import converted


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelReader:
    """Reads the levels of one store."""

    entry: Entry
    lots: Sequence[Entry]
    desk: StoreDesk

    def amount(self, column: str, depth_column: str) -> float | None:
        """An amount in the store's base [L or kg]: typed, or by depth; None when neither."""
        typed = self.entry.number(column)
        if typed is not None:
            return typed
        depth = self.entry.number(depth_column)
        return None if depth is None else self._at(depth, depth_column)

    def capacity(self) -> float | None:
        """What the store holds at its full depth, where shape and depth are told."""
        depth = self.entry.number("depth")
        if depth is None or not self.entry.text("shape"):
            return None
        return self._at(depth, "depth")

    def _at(self, depth: float, column: str) -> float | None:
        store = self.entry
        try:
            cubic_metres = SHAPES[store.text("shape")](store, depth)
        except ValueError as problem:
            words = {"read": self._shown(depth), "expected": str(problem)}
            self.desk.note("store-depth", store, column, **words)
            return None
        units = self.desk.definitions.units
        volume = cubic_metres * units["m3"].factor
        found = converted(volume, "L", self.desk.base(store), next(iter(self.lots), None))
        if found is None:
            words = {"name": store.text("store"), "expected": store.text("unit")}
            self.desk.note("store-unit", store, column, read="volume", **words)
        return found

    def _shown(self, depth: float) -> str:
        unit = self.desk.definitions.sheets["stores"].by_id["depth"].unit[self.desk.book.system]
        return f"{depth / self.desk.definitions.units[unit].factor:g} {unit}"


def _size(store: Entry, column: str) -> float:
    return store.number(column) or 0.0


def _box(store: Entry, depth: float) -> float:
    return box_volume(_size(store, "length"), _size(store, "width"), depth)


def _tank(store: Entry, depth: float) -> float:
    return tank_volume(_size(store, "diameter"), depth)


def _basin(store: Entry, depth: float) -> float:
    full = Basin(_size(store, "length"), _size(store, "width"))
    return basin_volume(full, _size(store, "depth"), depth, _size(store, "side_slope"))


SHAPES: Mapping[str, Callable[[Entry, float], float]] = {
    "box": _box,
    "round tank": _tank,
    "sloped basin": _basin,
}
