"""Seeded damage to a workbook: cells by direct XML edit, any part's XML, the bytes of the zip.

A mutation is a function ``(random, parts) -> Mutation``; the same seed gives the same bytes.
``visible`` reads the cells of the damaged parts with nothing of the ledger's own, so that a
test can tell what anybody who opens the workbook would see changed.
"""

from __future__ import annotations

import copy
import io
import random
import zipfile
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field

from lxml import etree

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
KEY = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
STRINGS = "xl/sharedStrings.xml"
ERROR_CELLS = ("#REF!", "#N/A", "#NAME?", "#VALUE!", "#DIV/0!", "#NUM!", "#NULL!")
GARBAGE = ("abc", "n/a", "??", "12 or 13", "1/2", "--", "½", "1.2.3", "0x10", "~40", "#amount")
TEXTS = (
    *GARBAGE, "=1+1", "+1", "-1", "@x", "1,234", "12,5", "1 000", "1e5", "1e999", "nan", "inf",
    "١٢", "４０", "\u00a0", "  ", "-0", "TRUE", "corn", "all", "Home", "lb/ac", "{read}", "%s",
    "nutrient-ledger 1 us fields", "2026-02-30", "03/04/2026", "x" * 400, "\U0001f404", "a/b", "'",
)  # fmt: skip
NUMBERS = (
    "0", "-1", "1", "7.5", "1e308", "-1e308", "1e-300", "1E400", "46000", "46000.5", "2026", "3",
    "1048577", "99999999999", "0.1", "100", "1000000", "-0", "0001", "0.30000000000000004",
)  # fmt: skip
DAYS = ("2026-05-01", "2026-05-01T12:30:00", "1899-12-31", "9999-12-31", "2025-11-03T00:00:00Z")
Parts = Mapping[str, bytes]
Cell = tuple[str, str]  # part, address


@dataclass(frozen=True, slots=True, kw_only=True)
class Mutation:
    """Damaged workbook bytes, what was done, and the cells where a finding is a must."""

    content: bytes
    words: str
    spoiled: frozenset[Cell] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """What there is to damage: parts, and the filled cells with True for number and date."""

    parts: Parts
    filled: Mapping[Cell, bool] = field(default_factory=dict)


# ------------------------------------------------------------------------- zip
def unpack(content: bytes) -> dict[str, bytes]:
    """The members of a zip by name."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def pack(parts: Parts, method: int = zipfile.ZIP_STORED) -> bytes:
    """A zip of the members, with no clock in it."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        for name, content in parts.items():
            info = zipfile.ZipInfo(name, (2020, 2, 2, 2, 2, 2))
            info.compress_type = method
            archive.writestr(info, content)
    return out.getvalue()


def sheet_parts(parts: Parts) -> dict[str, str]:
    """Sheet parts by tab name."""
    book = etree.fromstring(parts["xl/workbook.xml"])
    links = etree.fromstring(parts["xl/_rels/workbook.xml.rels"])
    targets = {str(link.get("Id")): f"xl/{link.get('Target')}" for link in links}
    return {str(s.get("name")): targets[str(s.get(KEY))] for s in book.iter(MAIN + "sheet")}


def slimmed(parts: Parts, keep: Collection[str]) -> dict[str, bytes]:
    """The package with the typed cells of the sheets in ``keep`` alone: it is read quickly.

    Formulas, empty cells and products that nothing names are left out as well.
    """
    book = etree.fromstring(parts["xl/workbook.xml"])
    kept = {name: part for name, part in sheet_parts(parts).items() if name in keep}
    for node in list(book.iter(MAIN + "sheet", MAIN + "definedNames")):
        if node.get("name") not in keep:
            node.getparent().remove(node)  # type: ignore[union-attr]
    extras = ("xl/worksheets", "xl/drawings", "xl/comments")
    slim = {name: content for name, content in parts.items() if not name.startswith(extras)}
    roots = {part: _cells_alone(parts[part]) for part in kept.values()}
    _drop_products(roots[kept["Products"]], [r for p, r in roots.items() if p != kept["Products"]])
    slim[STRINGS] = _few_strings(parts[STRINGS], list(roots.values()))
    slim["xl/workbook.xml"] = etree.tostring(book)
    return slim | {part: etree.tostring(root) for part, root in roots.items()}


def _cells_alone(content: bytes) -> etree._Element:
    root = etree.fromstring(content)
    for child in list(root):
        if child.tag != MAIN + "sheetData":
            root.remove(child)
    for row in list(root.iter(MAIN + "row")):
        row[:] = [cell for cell in row if len(cell) and cell[0].tag != MAIN + "f"]
        if not len(row):
            row.getparent().remove(row)  # type: ignore[union-attr]
    return root


def _drop_products(products: etree._Element, others: Sequence[etree._Element]) -> None:
    named = {c[0].text for root in others for c in root.iter(MAIN + "c") if c.get("t") == "s"}
    for row in list(products.iter(MAIN + "row"))[5:]:
        if len(row) and len(row[0]) and row[0][0].text not in named:
            row.getparent().remove(row)  # type: ignore[union-attr]


def _few_strings(content: bytes, sheets: Sequence[etree._Element]) -> bytes:
    """The strings that the sheets use; their cells follow to the new numbers."""
    root = etree.fromstring(content)
    items, numbers = list(root), dict[str, str]()
    for cell in (c for sheet in sheets for c in sheet.iter(MAIN + "c") if c.get("t") == "s"):
        old = str(cell[0].text)
        cell[0].text = numbers.setdefault(old, str(len(numbers)))
    root[:] = [items[int(old)] for old in numbers]
    return etree.tostring(root)


def of_bytes(chance: random.Random, target: Target) -> Mutation:
    """Flip, cut, splice or repeat bytes of the whole file."""
    data = bytearray(pack(target.parts, zipfile.ZIP_DEFLATED))
    words = []
    for _ in range(chance.choice((1, 1, 1, 2, 8))):
        if data:
            words.append(_spoil(chance, data))
    return Mutation(content=bytes(data), words=f"zip: {', '.join(words)}")


def _spoil(chance: random.Random, data: bytearray) -> str:
    way = chance.choice(("flip", "flip", "flip", "truncate", "drop", "repeat", "splice", "insert"))
    tail = chance.random() < 0.5  # the directory at the end is small, and what matters most
    start = chance.randrange(max(0, len(data) - 6000) if tail else 0, len(data))
    end = min(len(data), start + chance.choice((1, 2, 16, 300, 5000)))
    if way == "flip":
        data[start] ^= 1 << chance.randrange(8)
    elif way == "truncate":
        del data[start:]
    elif way == "drop":
        del data[start:end]
    elif way == "repeat":
        data[end:end] = data[start:end]
    elif way == "splice":
        source = chance.randrange(len(data))
        data[start:end] = data[source : source + end - start]
    else:
        data[start:start] = chance.randbytes(end - start)
    return f"{way} {start}..{end}"


# ------------------------------------------------------------------------- XML
def of_xml(chance: random.Random, target: Target) -> Mutation:
    """Damage the XML of one part, or the part as a whole."""
    name = chance.choice(list(target.parts))
    parts = dict(target.parts)
    root = etree.fromstring(parts[name])
    if chance.random() < 0.15:
        words = _spoil_part(chance, parts, name)
    else:
        words = _spoil_element(chance, root)
        parts[name] = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)
    return Mutation(content=pack(parts), words=f"{name}: {words}")


def _spoil_part(chance: random.Random, parts: dict[str, bytes], name: str) -> str:
    way = chance.choice(
        ("drop", "empty", "truncate", "swap", "byte", "utf-16", "twice an attribute")
    )
    content = parts[name]
    other = chance.choice(list(parts))
    at = chance.randrange(len(content))
    if way == "drop":
        del parts[name]
    elif way == "swap":
        parts[name], parts[other] = parts[other], content
    else:
        flipped = (
            content[:at] + bytes([content[at] ^ (1 << chance.randrange(8))]) + content[at + 1 :]
        )
        wide = content.decode("utf-8").replace("UTF-8", "UTF-16").encode("utf-16")
        parts[name] = {
            "empty": b"", "truncate": content[:at], "byte": flipped, "utf-16": wide,
            "twice an attribute": content.replace(b' r="', b' r="1" r="', 1),
        }[way]  # fmt: skip
    return f"{way} at {at} with {other}"


def _spoil_element(chance: random.Random, root: etree._Element) -> str:
    nodes = list(root.iter("*"))
    node = chance.choice(nodes)
    where = root.getroottree().getpath(node)
    ways: list[Callable[[random.Random, etree._Element, Sequence[etree._Element]], str]] = [
        _drop, _repeat, _move, _retext, _reattribute, _reattribute, _unattribute, _retag,
    ]  # fmt: skip
    return f"{where} {chance.choice(ways)(chance, node, nodes)}"


def _drop(chance: random.Random, node: etree._Element, nodes: Sequence[etree._Element]) -> str:
    parent = node.getparent()
    if parent is not None:
        parent.remove(node)
    return "dropped"


def _repeat(chance: random.Random, node: etree._Element, nodes: Sequence[etree._Element]) -> str:
    if node.getparent() is not None:
        node.addnext(copy.deepcopy(node))
    return "repeated"


def _move(chance: random.Random, node: etree._Element, nodes: Sequence[etree._Element]) -> str:
    other = chance.choice(nodes)
    if node not in {other, *other.iterancestors()}:
        other.append(node)
    return f"moved into {other.tag}"


def _retext(chance: random.Random, node: etree._Element, nodes: Sequence[etree._Element]) -> str:
    full = [n for n in nodes if n.text] or [node]
    chosen = chance.choice(full)
    chosen.text = chance.choice((*NUMBERS, *TEXTS, str(chance.randrange(3000)), ""))
    return f"text of {chosen.tag} became {chosen.text!r}"


def _reattribute(
    chance: random.Random, node: etree._Element, nodes: Sequence[etree._Element]
) -> str:
    given = [n for n in nodes if n.attrib]
    if not given:
        return "has no attribute"
    chosen = node if node.attrib else chance.choice(given)
    name = chance.choice(sorted(map(str, chosen.attrib)))
    text = str(chosen.get(name))
    others = [str(n.get(name)) for n in given if n.get(name) is not None]
    at = chance.randrange(max(1, len(text)))
    flipped = text[:at] + chance.choice("0123456789ABZxyz-. ") + text[at + 1 :]
    new = chance.choice(
        (flipped, flipped, flipped, chance.choice(others), *chance.sample(NUMBERS, 2))
    )
    chosen.set(name, new)
    return f"{name} of {chosen.tag} from {text!r} to {new!r}"


def _unattribute(
    chance: random.Random, node: etree._Element, nodes: Sequence[etree._Element]
) -> str:
    given = [n for n in nodes if n.attrib]
    if not given:
        return "has no attribute"
    chosen = node if node.attrib else chance.choice(given)
    name = chance.choice(sorted(map(str, chosen.attrib)))
    del chosen.attrib[name]
    return f"lost {name} of {chosen.tag}"


def _retag(chance: random.Random, node: etree._Element, nodes: Sequence[etree._Element]) -> str:
    node.tag = chance.choice([str(n.tag) for n in nodes] + [str(node.tag) + "x"])
    return f"became {node.tag}"
