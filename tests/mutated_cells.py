"""Seeded damage to the cells of a workbook, and what of it anybody can see."""

from __future__ import annotations

import copy
import random
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import lru_cache

from lxml import etree
from mutations import (
    DAYS,
    ERROR_CELLS,
    GARBAGE,
    MAIN,
    NUMBERS,
    STRINGS,
    TEXTS,
    Cell,
    Mutation,
    Parts,
    Target,
    pack,
)

from ledger.layout import index_of, letter


def of_cells(chance: random.Random, target: Target) -> Mutation:
    """Change one to three cells of the entry sheets as typing, pasting and sorting can."""
    steps = chance.choice((1, 1, 1, 2, 3))
    parts = dict(target.parts)
    words: list[str] = []
    spoiled: set[Cell] = set()
    for _ in range(steps):
        part, address = chance.choice(sorted(target.filled))
        root = etree.fromstring(parts[part])
        said, must = _WAYS[chance.choice(sorted(_WAYS))](chance, root, part, address, target)
        words.append(f"{part}!{address} {said}")
        spoiled |= {(part, address)} if must and steps == 1 else set()
        parts[part] = etree.tostring(root)
    return Mutation(content=pack(parts), words="; ".join(words), spoiled=frozenset(spoiled))


Said = tuple[str, bool]  # what was done, whether a finding in the cell is a must


def _find(root: etree._Element, address: str) -> etree._Element:
    """The cell of an address, made where it is missing."""
    number = _split(address)[1]
    data = root.find(MAIN + "sheetData")
    assert data is not None
    row = next((r for r in data if r.get("r") == str(number)), None)
    if row is None:
        row = etree.Element(MAIN + "row", r=str(number))
        data.insert(sum(int(r.get("r", "0")) < number for r in data), row)
    cell = next((c for c in row if c.get("r") == address), None)
    if cell is None:
        cell = etree.Element(MAIN + "c", r=address)
        row.insert(sum(_order(c.get("r", "A1")) < _order(address) for c in row), cell)
    return cell


def _split(address: str) -> tuple[str, int]:
    match = re.fullmatch(r"([A-Z]+)(\d+)", address)
    assert match
    return match[1], int(match[2])


def _order(address: str) -> str:
    return _split(address)[0].rjust(3)


def _fill(cell: etree._Element, kind: str, text: str) -> None:
    for child in list(cell):
        cell.remove(child)
    _set_kind(cell, kind)
    holder = etree.SubElement(cell, MAIN + "is") if kind == "inlineStr" else cell
    etree.SubElement(holder, MAIN + ("t" if kind == "inlineStr" else "v")).text = text


def _set_kind(cell: etree._Element, kind: str) -> None:
    if kind:
        cell.set("t", kind)
    elif "t" in cell.attrib:
        del cell.attrib["t"]


def _garbage(
    chance: random.Random, root: etree._Element, part: str, address: str, target: Target
) -> Said:
    text = chance.choice(GARBAGE)
    _fill(_find(root, address), "inlineStr", text)
    return f"became {text!r}", target.filled[part, address]


def _error(
    chance: random.Random, root: etree._Element, part: str, address: str, target: Target
) -> Said:
    text = chance.choice(ERROR_CELLS)
    _fill(_find(root, address), "e", text)
    return f"became {text}", True


def _text(
    chance: random.Random, root: etree._Element, part: str, address: str, target: Target
) -> Said:
    text = chance.choice(TEXTS)
    _fill(_find(root, address), "inlineStr", text)
    return f"became {text!r}", False


def _number(
    chance: random.Random, root: etree._Element, part: str, address: str, target: Target
) -> Said:
    return f"became {_typed(chance, _find(root, address))}", False


def _typed(chance: random.Random, cell: etree._Element) -> str:
    """Fill a cell with a value of any type, mostly one that its type permits."""
    number = chance.choice((*NUMBERS, f"{chance.uniform(-10, 500):.3f}"))
    kind, text = chance.choice(
        (
            ("", number), ("n", number), ("b", chance.choice("01")), ("str", number),
            ("d", chance.choice(DAYS)), ("inlineStr", chance.choice(TEXTS)),
            ("e", chance.choice(ERROR_CELLS)),
            (chance.choice(("s", "b", "n", "d", "e", "x")), chance.choice((number, *TEXTS))),
        )
    )  # fmt: skip
    _fill(cell, kind, text)
    return f"{text!r} of type {kind!r}"


def _delete(
    chance: random.Random, root: etree._Element, part: str, address: str, target: Target
) -> Said:
    cell = _find(root, address)
    row = cell.getparent()
    assert row is not None
    row.remove(cell)
    return "deleted", False


def _swap(
    chance: random.Random, root: etree._Element, part: str, address: str, target: Target
) -> Said:
    other = chance.choice([a for p, a in sorted(target.filled) if p == part])
    one, two = _find(root, address), _find(root, other)
    contents = copy.deepcopy(list(one)), copy.deepcopy(list(two))
    kinds = one.get("t"), two.get("t")
    for cell, children, kind in ((one, contents[1], kinds[1]), (two, contents[0], kinds[0])):
        cell[:] = children
        _set_kind(cell, kind or "")
    return f"swapped with {other}", False


def _stray(
    chance: random.Random, root: etree._Element, part: str, address: str, target: Target
) -> Said:
    place = f"{_split(address)[0]}{chance.randrange(1, 40)}"
    return f"gave {place} {_typed(chance, _find(root, place))}", False


def _repeat_row(
    chance: random.Random, root: etree._Element, part: str, address: str, target: Target
) -> Said:
    data = root.find(MAIN + "sheetData")
    assert data is not None
    number = _split(address)[1]
    row = copy.deepcopy(next(r for r in data if r.get("r") == str(number)))
    last = max(int(r.get("r", "0")) for r in data) + 1
    row.set("r", str(last))
    for cell in row:
        cell.set("r", f"{_split(cell.get('r', 'A1'))[0]}{last}")
    data.append(row)
    return f"its row again as {last}", False


def _delete_row(
    chance: random.Random, root: etree._Element, part: str, address: str, target: Target
) -> Said:
    row = _find(root, address).getparent()
    data = root.find(MAIN + "sheetData")
    assert row is not None and data is not None
    data.remove(row)
    return "its row deleted", False


_WAYS: dict[str, Callable[[random.Random, etree._Element, str, str, Target], Said]] = {
    "garbage": _garbage,
    "error": _error,
    "text": _text,
    "number": _number,
    "delete": _delete,
    "swap": _swap,
    "stray": _stray,
    "repeat row": _repeat_row,
    "delete row": _delete_row,
}


# --------------------------------------------------------------------- visible
HOLDERS = tuple(MAIN + name for name in ("f", "v", "is"))  # programs show no other element


def _shown(cell: etree._Element) -> str:
    return "".join(str(text) for child in cell.iter(*HOLDERS) for text in child.itertext())


def visible(parts: Parts) -> Mapping[Cell, object]:
    """Every cell of every sheet part as the XML says: type, style, formula and text.

    Knows nothing of the ledger. Parts that are no XML have no cells.
    """
    strings = _strings(parts.get(STRINGS, b""))
    cells: dict[Cell, object] = {}
    for name, content in parts.items():
        if name.startswith("xl/worksheets/sheet"):
            for address, kind, style, text in _cells(content):
                known = kind == "s" and text.isdecimal() and int(text) < len(strings)
                shown = ("text", strings[int(text)]) if known else (kind, text)
                cells[name, address] = (style, *shown)
    return cells


@lru_cache(maxsize=400)
def _strings(content: bytes) -> list[str]:
    try:
        root = etree.fromstring(content)
    except etree.XMLSyntaxError:
        return []
    return ["".join(t.text or "" for t in item.iter(MAIN + "t")) for item in root]


@lru_cache(maxsize=400)
def _cells(content: bytes) -> list[tuple[str, str, str, str]]:
    try:
        root = etree.fromstring(content)
    except etree.XMLSyntaxError:
        return []
    return [
        (address, c.get("t", "n"), c.get("s", ""), _shown(c))
        for row, number in _placed(root.iter(MAIN + "row"))
        for address, c in _addressed(row, number)
    ]


def _placed(rows: Iterable[etree._Element]) -> Iterator[tuple[etree._Element, str]]:
    """Rows with their numbers; one that states none comes after the one before."""
    number = "0"
    for row in rows:
        number = row.get("r") or (str(int(number) + 1) if number.isdecimal() else "")
        yield row, number


def _addressed(row: etree._Element, number: str) -> Iterator[tuple[str, etree._Element]]:
    """The cells of a row; one that states no address comes after the one before."""
    at = 0
    for cell in row.iter(MAIN + "c"):
        address = cell.get("r") or f"{letter(at)}{number}"
        letters = address.rstrip("0123456789")
        at = index_of(letters) + 1 if letters.isalpha() and letters.isascii() else at + 1
        yield address, cell
