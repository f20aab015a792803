"""Putting result sheets into a person's workbook without touching anything else in it.

`graft` makes the new workbook bytes, `verify` proves that only the result sheets changed, and
`ledger.graft.save.replace_atomically` puts them in the place of the file.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from types import MappingProxyType

from lxml import etree

from ledger.apart import Apart
from ledger.graft.members import Content
from ledger.graft.package import (
    CONTENT_TYPES,
    MAIN,
    STRICT,
    GraftError,
    Package,
    content_type,
    declare,
    rels_name,
    serialise,
    undeclare,
)
from ledger.graft.sheets import assign, edit_workbook, move, plan_moves, stale_chain, tabs
from ledger.graft.styles import merge

__all__ = ["GraftError", "graft", "verify"]

_AS_XLSX = "Save the file as an ordinary .xlsx workbook, then run again."
_KEEP = "Nothing was written; please report this."
_TRUE = {"1", "true"}  # the two spellings of an XML Schema boolean
_STYLE_LISTS = ("numFmts", "fonts", "fills", "borders", "cellStyleXfs", "cellXfs", "dxfs")


def graft(
    workbook: bytes,
    results: bytes,
    places: Mapping[str, str | None],
    apart: Mapping[str, Apart] = MappingProxyType({}),
) -> bytes:
    """Put every sheet of `results` into `workbook`; returns the bytes of the new workbook.

    `results` is an .xlsx made by XlsxWriter with `constant_memory=True` (and not `in_memory`,
    which overrides it), so that its text is inline; `apart` are rows and links of sheets that
    have no rows there. `places` names for each of its sheets the sheet of `workbook` it replaces,
    which keeps its tab name, position, number and visibility; None adds a sheet at the end, under
    its own name or that name with a number. Formulas, charts and links of the results follow.

    Changed are the sheet parts with what belongs to them alone, [Content_Types].xml, the style
    sheet where a style is new (existing indexes stay), workbook.xml where a sheet is new; a
    calculation chain that lists cells of a replaced sheet is dropped. Other members keep their
    very bytes; the same results and sheets again give the same bytes.

    Not moved, because they live in workbook.xml: names, print areas, print titles and autofilters
    of `results`. A formula elsewhere that reads a result keeps its value until it is recalculated.

    GraftError: no .xlsx, password, strict OOXML, signature, macros, DTD, duplicate members,
    shared-workbook history, no such sheet, or another date system than the results have.
    """
    book, source = Package.open(workbook), Package.open(results)
    _check_editable(book)
    _check_dates(book, source)
    slots = assign(book, source, places)
    dropped = _private(book, frozenset(slot.part for slot in slots if slot.number))
    chain = stale_chain(book, slots)
    changes: dict[str, Content | None] = dict.fromkeys([*dropped, *([chain] if chain else [])])
    moves = plan_moves(source, slots, set(book.members) - dropped)
    style_part, style_source = _styles(book), _styles(source)
    merged, style_map = merge(book.read(style_part), source.read(style_source))
    changes |= move(source, slots, moves, style_map, apart)
    changes |= {style_part: merged} | edit_workbook(book, slots, chain)
    changes[CONTENT_TYPES] = _content_types(book, source, changes, moves)
    return book.rewrite(changes)


def _check_editable(book: Package) -> None:
    kinds = {link.kind for link in book.relationships()}
    if any(STRICT in kind for kind in kinds):
        raise GraftError("The file is a strict OOXML workbook.", _AS_XLSX)
    if any("digital-signature" in kind for kind in kinds) or _has(book, "_xmlsignatures/"):
        reason = "The workbook is digitally signed and any change would void the signature."
        raise GraftError(reason, "Remove the signature, or write the results to another file.")
    _check_workbook_part(book)


def _check_workbook_part(book: Package) -> None:
    if STRICT in str(book.xml(book.workbook).tag):
        raise GraftError("The file is a strict OOXML workbook.", _AS_XLSX)
    kind = content_type(book.xml(CONTENT_TYPES), book.workbook) or ""
    if "macroenabled" in kind.lower() or book.linked("vbaProject"):
        raise GraftError("The workbook holds macros, which are never written to.", _AS_XLSX)
    if "spreadsheetml" not in kind:
        raise GraftError("The file is not an .xlsx workbook.", _AS_XLSX)
    if book.linked("revisionHeaders"):
        raise GraftError("The workbook is shared and tracks changes.", "Stop sharing it first.")


def _has(book: Package, folder: str) -> bool:
    return any(name.startswith(folder) for name in book.folded)


def _check_dates(book: Package, results: Package) -> None:
    if _from_1904(book) != _from_1904(results):
        reason = "The workbook counts dates from another year (1900 or 1904) than the results do."
        raise GraftError(reason, "Change the date system in the settings of the workbook.")


def _from_1904(package: Package) -> bool:
    settings = package.xml(package.workbook).find(MAIN + "workbookPr")
    return settings is not None and settings.get("date1904") in _TRUE


def _styles(package: Package) -> str:
    part = package.linked("styles")
    if part is None:
        raise GraftError("The workbook has no style sheet.", "Open it, save it, then run again.")
    return part


def _private(book: Package, replaced: frozenset[str]) -> set[str]:
    """Members that only the sheets `replaced` need, their .rels with them."""
    parts = book.reach() - book.reach(cut=replaced)
    rels = {book.folded.get(rels_name(part).lower()) for part in parts | replaced}
    return parts | {name for name in rels if name}


def _content_types(
    book: Package,
    results: Package,
    changes: Mapping[str, Content | None],
    moves: Mapping[str, str],
) -> bytes:
    types, source = book.xml(CONTENT_TYPES), results.xml(CONTENT_TYPES)
    before = etree.tostring(types)
    for name, content in changes.items():
        if content is None:
            undeclare(types, name)
    origins = {target: part for part, target in moves.items()}
    origins |= {rels_name(target): rels_name(part) for target, part in origins.items()}
    for name in changes:
        if name in origins:
            _declare_like(types, name, source, origins[name])
    return book.read(CONTENT_TYPES) if etree.tostring(types) == before else serialise(types)


def _declare_like(types: etree._Element, name: str, source: etree._Element, origin: str) -> None:
    kind = content_type(source, origin)
    extension = content_type(source, "." + origin.rpartition(".")[2])
    declare(types, name, kind or "application/xml", by_extension=kind == extension)


def verify(before: bytes, after: bytes, replaced: Collection[str]) -> None:
    """Prove that `after` is `before` with only the sheets named in `replaced` exchanged.

    `replaced` are tab names; sheets added at the end need no mention. GraftError when another
    member differs, an existing tab, relationship, content type or style index moved, or the
    package got a fault that it did not have: a relationship without target, a part without
    content type, a sheet number used twice. (Duplicate members are refused on opening.)
    """
    old, new = Package.open(before), Package.open(after)
    sheets = frozenset(tab.part for tab in tabs(old) if tab.name in replaced)
    _check_members(old, new, _free(old, new, sheets))
    _check_lists(old, new)
    _check_style_order(old, new)
    faults = _faults(new) - _faults(old)
    if faults:
        raise GraftError(f"The new workbook would have a fault: {min(faults)}.", _KEEP)


def _free(old: Package, new: Package, sheets: frozenset[str]) -> set[str]:
    """Members that a graft may change or drop."""
    free = {CONTENT_TYPES, _styles(old), *sheets, *_private(old, sheets)}
    free |= {name for name in [old.linked("calcChain")] if name and not new.linked("calcChain")}
    free.add(old.folded[rels_name(old.workbook).lower()])
    return free | ({old.workbook} if len(tabs(new)) > len(tabs(old)) else set())


def _check_members(old: Package, new: Package, free: set[str]) -> None:
    kinds, new_kinds = old.xml(CONTENT_TYPES), new.xml(CONTENT_TYPES)
    for name in old.members.keys() - free:
        if name not in new.members or not _same(old, new, name):
            raise GraftError(f"The part {name} would have changed.", _KEEP)
        if content_type(kinds, name) != content_type(new_kinds, name):
            raise GraftError(f"The content type of {name} would have changed.", _KEEP)


def _same(old: Package, new: Package, name: str) -> bool:
    # Equal packed bytes need no unpacking; only otherwise are the contents compared.
    return old.record(name) == new.record(name) or old.read(name) == new.read(name)


def _check_lists(old: Package, new: Package) -> None:
    if tabs(new)[: len(tabs(old))] != tabs(old):
        raise GraftError("The tabs of the workbook would have changed.", _KEEP)
    links = set(new.relationships(new.workbook))
    for link in old.relationships(old.workbook):
        if link not in links and link.role != "calcChain":
            raise GraftError(f"The link to {link.target} would have been lost.", _KEEP)


def _check_style_order(old: Package, new: Package) -> None:
    for name in _STYLE_LISTS:
        entries, grown = _style_entries(old, name), _style_entries(new, name)
        if grown[: len(entries)] != entries:
            raise GraftError(f"Existing styles ({name}) would have moved.", _KEEP)


def _style_entries(package: Package, name: str) -> list[bytes]:
    found = package.xml(_styles(package)).find(MAIN + name)
    nodes: Sequence[etree._Element] = [] if found is None else list(found.iterchildren("*"))
    return [etree.tostring(node, with_tail=False) for node in nodes]


def _faults(package: Package) -> set[str]:
    types = package.xml(CONTENT_TYPES)
    parts = [name for name in package.members if name != CONTENT_TYPES and name[-1] != "/"]
    links = {name: package.relationships(name) for name in ["", *parts]}
    faults = {f"{name} has no content type" for name in parts if not content_type(types, name)}
    for name, targets in links.items():
        missing = {k.target for k in targets if k.part and k.part not in package.members}
        faults |= {f"{name} leads to {target}, which is missing" for target in missing}
    numbers = [tab.number for tab in tabs(package)]
    return faults | {f"sheet number {n} is used twice" for n in numbers if numbers.count(n) > 1}
