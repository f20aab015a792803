"""Moving sheets, with their drawings, charts, pictures and notes, from one package to another."""

from __future__ import annotations

import itertools
import posixpath
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lxml import etree

from ledger.apart import Apart
from ledger.graft.content import OWN_FAULT, rename_reference, restyled, with_names
from ledger.graft.members import Content
from ledger.graft.package import (
    MAIN,
    OFFICE,
    RELATION,
    GraftError,
    Package,
    Relationship,
    rels_name,
    serialise,
)
from ledger.graft.styles import StyleMap

_MOVABLE = {"drawing", "chart", "image", "comments", "vmlDrawing", "hyperlink"}
_SHEET_NAME_LIMIT = 31  # characters, ISO/IEC 29500-1 18.2.19 (sheet)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tab:
    """One sheet as workbook.xml lists it; `selected` tells the tab that is on top."""

    name: str
    number: str
    role: str
    part: str
    selected: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """Where one result sheet goes: from part `source` of the results to part `part`."""

    source: str
    source_name: str
    part: str
    name: str
    number: str | None  # sheetId of the sheet replaced, None for a new sheet
    selected: bool


def tabs(package: Package) -> list[Tab]:
    """The sheets of a workbook in tab order."""
    root = package.xml(package.workbook)
    links = {link.key: link for link in package.relationships(package.workbook)}
    view = root.find(f"{MAIN}bookViews/{MAIN}workbookView")
    active = "0" if view is None else view.get("activeTab", "0")
    return [
        _tab(node, links.get(node.get(OFFICE + "id", "")), str(index) == active)
        for index, node in enumerate(root.iterfind(f"{MAIN}sheets/{MAIN}sheet"))
    ]


def _tab(node: etree._Element, link: Relationship | None, selected: bool) -> Tab:
    name = node.get("name", "")
    if link is None or link.part is None:
        advice = "Open the file in a spreadsheet program and save it again."
        raise GraftError(f"The sheet {name!r} is listed but missing from the file.", advice)
    number = node.get("sheetId", "")
    return Tab(name=name, number=number, role=link.role, part=link.part, selected=selected)


def assign(book: Package, results: Package, places: Mapping[str, str | None]) -> list[Slot]:
    """One slot for each result sheet; GraftError when a place is missing or taken twice."""
    ours = {tab.name: tab for tab in tabs(results)}
    if set(ours) != set(places):
        raise GraftError("The result sheets and their places do not match.", OWN_FAULT)
    if {tab.role for tab in ours.values()} != {"worksheet"}:
        raise GraftError("A result is no ordinary worksheet.", OWN_FAULT)
    theirs = {tab.name.casefold(): tab for tab in tabs(book)}
    names, parts = set(theirs), set(book.folded)
    slots = []
    for tab in ours.values():
        wanted = places[tab.name]
        slots.append(
            _new_slot(tab, book, names, parts) if wanted is None else _old_slot(tab, wanted, theirs)
        )
    if len({slot.part for slot in slots}) < len(slots):
        raise GraftError("Two result sheets were to replace the same sheet.", OWN_FAULT)
    return slots


def _old_slot(tab: Tab, wanted: str, theirs: Mapping[str, Tab]) -> Slot:
    found = theirs.get(wanted.casefold())
    if found is None:
        advice = "Give the sheet its name back, or let it be added as a new sheet."
        raise GraftError(f"The workbook has no sheet named {wanted!r}.", advice)
    if found.role != "worksheet":
        advice = "Rename or delete that sheet, then run again."
        raise GraftError(f"The sheet {wanted!r} is no ordinary worksheet.", advice)
    return Slot(
        source=tab.part,
        source_name=tab.name,
        part=found.part,
        name=found.name,
        number=found.number,
        selected=found.selected,
    )


def _new_slot(tab: Tab, book: Package, names: set[str], parts: set[str]) -> Slot:
    folder = posixpath.dirname(book.workbook)
    part = _free_part(posixpath.join(folder, "worksheets/sheet1.xml"), parts)
    name = _free_name(tab.name, names)
    return Slot(
        source=tab.part, source_name=tab.name, part=part, name=name, number=None, selected=False
    )


def _free_name(wanted: str, taken: set[str]) -> str:
    endings = itertools.chain([""], (f" ({n})" for n in itertools.count(2)))
    names = (wanted[: _SHEET_NAME_LIMIT - len(ending)] + ending for ending in endings)
    name = next(name for name in names if name.casefold() not in taken)
    taken.add(name.casefold())
    return name


def _free_part(wanted: str, taken: set[str]) -> str:
    base, dot, extension = wanted.rpartition(".")
    stem = base.rstrip("0123456789")
    names = (f"{stem}{n}{dot}{extension}" for n in itertools.count(1))
    name = next(name for name in names if name.lower() not in taken)
    taken.add(name.lower())
    return name


def plan_moves(results: Package, slots: Sequence[Slot], kept: set[str]) -> dict[str, str]:
    """Name in the results -> name in the workbook of every part that has to move.

    `kept` are the members that stay; the new names depend on them alone, so that a second run
    finds the same ones.
    """
    moves = {slot.source: slot.part for slot in slots}
    taken = {name.lower() for name in kept} | {slot.part.lower() for slot in slots}
    private = results.closure(set(moves))
    for part in results.members:
        if part in private and part not in moves:
            moves[part] = _free_part(part, taken)
    return moves


def move(
    results: Package,
    slots: Sequence[Slot],
    moves: Mapping[str, str],
    styles: StyleMap,
    apart: Mapping[str, Apart],
) -> dict[str, Content]:
    """The moved parts and their .rels under their new names.

    `apart` is what of sheets stands by itself, by the sheet's name. GraftError when the results
    hold what cannot be moved (shared strings, tables, ...).
    """
    sheets = {slot.source: slot for slot in slots}
    renamed = {s.source_name: s.name for s in slots if s.name != s.source_name}
    moved: dict[str, Content] = {}
    for part, target in moves.items():
        content = results.read(part)
        if part in sheets:
            moved[target] = _sheet(content, sheets[part], styles, renamed, apart)
        elif renamed and part.endswith(".xml"):
            moved[target] = with_names(content, part, renamed)
        else:
            moved[target] = content
    rels = {moves[part]: results.relationships(part) for part in moves}
    return moved | {rels_name(p): _rels(k, p, moves, renamed) for p, k in rels.items() if k}


def _sheet(
    content: bytes,
    slot: Slot,
    styles: StyleMap,
    renamed: Mapping[str, str],
    apart: Mapping[str, Apart],
) -> Content:
    own = apart.get(slot.source_name)
    pieces = restyled(content, slot.source, styles, renamed, selected=slot.selected, apart=own)
    return pieces if own else b"".join(pieces)


def _rels(
    links: Sequence[Relationship], part: str, moves: Mapping[str, str], renamed: Mapping[str, str]
) -> bytes:
    root = etree.fromstring(f'<Relationships xmlns="{RELATION[1:-1]}"/>')
    for link in links:
        if link.role not in _MOVABLE:
            raise GraftError(f"A result sheet holds a {link.role}.", OWN_FAULT)
        target = link.target
        if link.part:
            target = posixpath.relpath(moves[link.part], posixpath.dirname(part))
        elif target.startswith("#"):
            target = rename_reference(target, renamed)
        node = etree.SubElement(root, RELATION + "Relationship")
        node.attrib.update({"Id": link.key, "Type": link.kind, "Target": target})
        if link.mode:
            node.set("TargetMode", link.mode)
    return serialise(root)


def stale_chain(book: Package, slots: Sequence[Slot]) -> str | None:
    """The calculation chain when it lists cells of a replaced sheet, else None.

    A chain that lists a cell without formula makes a spreadsheet program report damage; without
    a chain it builds a new one.
    """
    chain = book.linked("calcChain")
    replaced = {slot.number for slot in slots}
    if chain is None:
        return None
    numbers = (node.get("i") for node in book.xml(chain).iter(MAIN + "c"))
    return chain if any(number in replaced for number in numbers if number) else None


def edit_workbook(book: Package, slots: Sequence[Slot], chain: str | None) -> dict[str, bytes]:
    """workbook.xml and its .rels with the new sheets added and `chain` gone, where needed."""
    new = [slot for slot in slots if slot.number is None]
    if not new and chain is None:
        return {}
    rels_part = book.folded[rels_name(book.workbook).lower()]
    rels, root = book.xml(rels_part), book.xml(book.workbook)
    stale = {k.key for k in book.relationships(book.workbook) if chain and k.part == chain}
    for node in [node for node in rels if node.get("Id") in stale]:
        rels.remove(node)
    for slot in new:
        _list_sheet(root, slot, _link_sheet(rels, book, slot))
    edited = {rels_part: serialise(rels)}
    return edited | ({book.workbook: serialise(root)} if new else {})


def _link_sheet(rels: etree._Element, book: Package, slot: Slot) -> str:
    taken = {node.get("Id") for node in rels}
    key = next(key for n in itertools.count(1) if (key := f"rId{n}") not in taken)
    node = etree.SubElement(rels, RELATION + "Relationship", Id=key)
    node.set("Type", OFFICE[1:-1] + "/worksheet")
    node.set("Target", posixpath.relpath(slot.part, posixpath.dirname(book.workbook)))
    return key


def _list_sheet(root: etree._Element, slot: Slot, key: str) -> None:
    sheets = root.find(MAIN + "sheets")
    if sheets is None:
        raise GraftError("The workbook lists no sheets.", "Save it again as .xlsx.")
    numbers = [node.get("sheetId", "") for node in sheets]
    number = max((int(n) for n in numbers if n.isdecimal()), default=0) + 1
    node = etree.SubElement(sheets, MAIN + "sheet", name=slot.name, sheetId=str(number))
    node.set(OFFICE + "id", key)
