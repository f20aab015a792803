"""Append-only merge of cell styles: existing indexes of the workbook never move.

Element names and their order follow ISO/IEC 29500-1, 18.8 (Styles).
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass

from lxml import etree

from ledger.graft.package import MAIN, parse, serialise

_ORDER = (
    "numFmts", "fonts", "fills", "borders", "cellStyleXfs", "cellXfs",
    "cellStyles", "dxfs", "tableStyles", "colors", "extLst",
)  # fmt: skip
_FIRST_OWN_FORMAT = 164  # lower number format ids are built in and mean the same everywhere
_XF_PARTS = {"fontId": "fonts", "fillId": "fills", "borderId": "borders"}

Prepare = Callable[[etree._Element], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class StyleMap:
    """Where the cell styles and conditional formats of the results went: old -> new index."""

    cells: Mapping[str, str]
    conditional: Mapping[str, str]


def merge(base: bytes, extra: bytes) -> tuple[bytes, StyleMap]:
    """Add to the style sheet `base` what `extra` has and `base` lacks.

    Returns the style sheet (the very same bytes when nothing is new) and the index map. The
    default font and cell style of `extra` become those of `base`, so that the result sheets
    look like the rest of the workbook. GraftError when a style sheet is damaged.
    """
    old, new = parse(base, "styles.xml"), parse(extra, "styles.xml")
    size = _size(old)
    formats = _merge_formats(old, new)
    kept = {"fonts": 1, "fills": 0, "borders": 0}
    parts = {name: _merge_list(old, new, name, kept=count) for name, count in kept.items()}
    cells = _merge_list(old, new, "cellXfs", _xf_preparer(formats, parts), kept=1)
    conditional = _merge_list(old, new, "dxfs", _dxf_preparer(formats))
    merged = base if _size(old) == size else serialise(old)
    return merged, StyleMap(cells=cells, conditional=conditional)


def _size(root: etree._Element) -> int:
    return sum(1 for _ in root.iter())


def _key(node: etree._Element) -> Hashable:
    # Two entries are equal when tags, attributes and children are, whatever their prefixes.
    children = tuple(_key(child) for child in node.iterchildren("*"))
    return (node.tag, frozenset(node.attrib.items()), (node.text or "").strip(), children)


def _entries(root: etree._Element, name: str) -> list[etree._Element]:
    container = root.find(MAIN + name)
    return [] if container is None else list(container.iterchildren("*"))


def _container(root: etree._Element, name: str) -> etree._Element:
    found = root.find(MAIN + name)
    if found is not None:
        return found
    made = etree.Element(MAIN + name)
    later = [root.find(MAIN + other) for other in _ORDER[_ORDER.index(name) + 1 :]]
    after = next((node for node in later if node is not None), None)
    if after is None:
        root.append(made)
    else:
        after.addprevious(made)
    return made


def _append(root: etree._Element, name: str, node: etree._Element) -> None:
    container = _container(root, name)
    node.tail = None
    container.append(node)
    container.set("count", str(len(_entries(root, name))))


def _merge_list(
    old: etree._Element,
    new: etree._Element,
    name: str,
    prepare: Prepare = lambda node: None,
    kept: int = 0,
) -> dict[str, str]:
    """Old -> new index of the entries of one list; the first `kept` take those of `old`."""
    known: dict[Hashable, str] = {}
    for index, node in enumerate(_entries(old, name)):
        known.setdefault(_key(node), str(index))
    places = {str(index): str(index) for index in range(kept)}
    for index, source in enumerate(_entries(new, name)[kept:], start=kept):
        node = copy.deepcopy(source)
        prepare(node)
        if _key(node) not in known:
            known[_key(node)] = str(len(_entries(old, name)))
            _append(old, name, node)
        places[str(index)] = known[_key(node)]
    return places


def _merge_formats(old: etree._Element, new: etree._Element) -> Callable[[str, str | None], str]:
    """Merge number formats; the function returned gives the new id of an id (and its code)."""
    by_code = {
        n.get("formatCode"): n.get("numFmtId", "") for n in reversed(_entries(old, "numFmts"))
    }
    codes = {n.get("numFmtId"): n.get("formatCode") for n in _entries(new, "numFmts")}

    def place(number: str, code: str | None = None) -> str:
        code = code or codes.get(number)
        if code is None or int(number) < _FIRST_OWN_FORMAT:
            return number
        if code not in by_code:
            taken = [int(i) for i in by_code.values() if i.isdecimal()]
            by_code[code] = str(max([_FIRST_OWN_FORMAT - 1, *taken]) + 1)
            node = etree.Element(MAIN + "numFmt", numFmtId=by_code[code], formatCode=code)
            _append(old, "numFmts", node)
        return by_code[code]

    return place


def _xf_preparer(
    formats: Callable[[str, str | None], str], parts: Mapping[str, Mapping[str, str]]
) -> Prepare:
    def prepare(node: etree._Element) -> None:
        node.set("numFmtId", formats(node.get("numFmtId", "0"), None))
        for attribute, name in _XF_PARTS.items():
            node.set(attribute, parts[name].get(node.get(attribute, "0"), "0"))
        node.set("xfId", "0")  # named styles stay out: an xf states its whole look itself

    return prepare


def _dxf_preparer(formats: Callable[[str, str | None], str]) -> Prepare:
    def prepare(node: etree._Element) -> None:
        for number in node.iter(MAIN + "numFmt"):
            number.set("numFmtId", formats(number.get("numFmtId", "0"), number.get("formatCode")))

    return prepare
