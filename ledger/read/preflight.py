"""Look a workbook's package through before openpyxl opens it.

``inspect`` streams every part that will be parsed once, in bounded memory, and refuses with
a plain reason what would harm (entities, bombs) or be misread (strict files, rows out of
order). What can be read but must be known besides the cells' values it returns.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from posixpath import dirname, join, normpath
from typing import Any
from zlib import error as DeflateError

from ledger.layout import index_of
from ledger.read.package import AS_XLSX, Unreadable, damaged
from ledger.read.percents import percent_styles
from ledger.read.scan import MOST_MARKUP, SheetScan, marked_texts, scan_sheet
from ledger.read.tokens import Clues

CHUNK_BYTES = 256 * 1024
MOST_PART_BYTES = 48 * 1024 * 1024  # of a part other than a sheet
CONTENT_TYPES = "[Content_Types].xml"
STRICT = b"purl.oclc.org/ooxml"
RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_ENCODING = re.compile(rb"<\?xml[^>]*?encoding\s*=\s*[\"']([\w.-]+)")
_NAME = re.compile(r"(?:'((?:[^']|'')+)'|([^'!]+))!\$?([A-Za-z]{1,3})\$?(\d+)")
_OTHER_FILE = re.compile(r"xl/externallinks/[^/]+\.xml")

Place = tuple[int, int]  # row from 1, column from 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspection:
    """What a package holds besides the values of its cells.

    ``names`` are the cells that workbook names point at: sheet name -> name in lower case ->
    place. ``texts`` are the workbook's own text properties; ``frame`` the parts that all sheets
    need to be read.
    """

    sheets: Mapping[str, SheetScan]
    names: Mapping[str, Mapping[str, Place]]
    texts: tuple[str, ...]
    frame: tuple[str, ...]
    from_1904: bool
    macros: bool
    other_files: bool


def inspect(archive: zipfile.ZipFile, mark: str) -> Inspection:
    """Look a package through for the ledger whose mark is given; raises ``Unreadable``."""
    try:
        return _inspect(_Parts(archive), mark)
    except (zipfile.BadZipFile, DeflateError, EOFError, NotImplementedError) as problem:
        raise damaged(problem) from problem
    except (KeyError, ValueError, OSError) as problem:
        raise damaged(f"{type(problem).__name__}: {problem}") from problem


def _inspect(parts: _Parts, mark: str) -> Inspection:
    root = parts.relations("")
    workbook_part = next((t for kind, t in root.values() if kind == "officeDocument"), None)
    if workbook_part is None:
        raise Unreadable("the file holds no workbook", AS_XLSX)
    workbook = parts.xml(workbook_part)
    if "spreadsheetml" not in workbook.tag:
        raise Unreadable("the file holds no workbook but another document", AS_XLSX)
    relations = parts.relations(workbook_part)
    texts = [t for kind, t in relations.values() if kind == "sharedStrings"]
    marks = marked_texts(parts.stream(texts[0]), mark.encode()) if texts else frozenset()
    styles = [t for kind, t in relations.values() if kind == "styles"]
    clues = Clues(
        mark=mark.encode(),
        marks=marks,
        percents=percent_styles(parts.xml(styles[0])) if styles else frozenset(),
        never_computed=_uncomputed(workbook),
    )
    sheets = _sheets(parts, workbook, relations, clues)
    parts.look_at_the_rest()
    properties = [t for kind, t in root.values() if kind == "custom-properties"]
    return Inspection(
        sheets=sheets,
        names=_names(workbook),
        texts=tuple(text for part in properties for text in parts.xml(part).itertext()),
        frame=(
            CONTENT_TYPES,
            _relations_part(""),
            workbook_part,
            _relations_part(workbook_part),
            *texts[:1],
            *styles[:1],
        ),
        from_1904=_setting(workbook, "workbookPr", "date1904") in ("1", "true"),
        macros=parts.has_macros(),
        other_files=any(_OTHER_FILE.fullmatch(name) for name in parts.folded),
    )


def _sheets(
    parts: _Parts, workbook: Any, relations: Mapping[str, tuple[str, str]], clues: Clues
) -> dict[str, SheetScan]:
    found = {}
    for sheet in workbook.iter("{*}sheet"):
        kind, part = relations[sheet.get(RELATION)]
        if kind == "worksheet":
            name = sheet.get("name")
            found[name] = replace(scan_sheet(parts.stream(part), name, clues), part=part)
    return found


def _names(workbook: Any) -> dict[str, dict[str, Place]]:
    names: dict[str, dict[str, Place]] = {}
    for name in workbook.iter("{*}definedName"):
        target = _NAME.fullmatch((name.text or "").strip())
        if target:
            sheet = (target[1] or target[2]).replace("''", "'")
            place = (int(target[4]), index_of(target[3].upper()))
            names.setdefault(sheet, {})[name.get("name", "").casefold()] = place
    return names


def _setting(workbook: Any, element: str, attribute: str) -> str:
    found = workbook.find("{*}" + element)
    return "" if found is None else found.get(attribute, "")


def _uncomputed(workbook: Any) -> bool:
    """Libraries ask for a calculation on opening; a program that saved has done it."""
    return _setting(workbook, "calcPr", "fullCalcOnLoad") in ("1", "true")


class _Parts:
    """The parts of a package, each looked at as it is read."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive
        self._seen: set[str] = set()
        self.folded = {name.casefold(): name for name in archive.namelist()}

    def stream(self, part: str) -> Iterator[bytes]:
        """A part in chunks, refusing what no parser must be given."""
        self._seen.add(part)
        before = b""
        with self._archive.open(self._named(part)) as source:
            for chunk in iter(lambda: source.read(CHUNK_BYTES), b""):
                if not before:
                    _look_at_start(part, chunk)
                if b"<!DOCTYPE" in chunk or b"<!DOCTYPE" in before[-16:] + chunk[:16]:
                    raise Unreadable(
                        f"the part {part} defines entities, which no workbook needs", AS_XLSX
                    )
                before = chunk
                yield chunk

    def xml(self, part: str) -> Any:
        """A small part, parsed."""
        from lxml import etree

        content = b"".join(self._small(part))
        try:
            return etree.fromstring(content, etree.XMLParser(resolve_entities=False))
        except etree.XMLSyntaxError as problem:
            raise damaged(f"{part}: {problem}") from problem

    def relations(self, part: str) -> dict[str, tuple[str, str]]:
        """What a part ('' is the package) refers to: id -> last word of the kind, part."""
        folder, links = dirname(part), {}
        for link in self.xml(_relations_part(part)):
            if link.get("TargetMode") != "External":
                target = normpath(join("/", folder, link.get("Target", ""))).lstrip("/")
                links[link.get("Id", "")] = (link.get("Type", "").rsplit("/", 1)[-1], target)
        return links

    def look_at_the_rest(self) -> None:
        """Go through the other parts, which may be opened with the workbook."""
        for name in self.folded.values():
            if name not in self._seen and name.casefold().endswith((".xml", ".rels", ".vml")):
                for _ in self._small(name):
                    pass

    def has_macros(self) -> bool:
        """True when the workbook carries macros or says that it may."""
        project = any(name.endswith("vbaproject.bin") for name in self.folded)
        return project or b"macroEnabled" in b"".join(self._small(CONTENT_TYPES))

    def _small(self, part: str) -> Iterator[bytes]:
        size = markup = 0
        for chunk in self.stream(part):
            size, markup = size + len(chunk), markup + chunk.count(b"<")
            if size > MOST_PART_BYTES or markup > MOST_MARKUP:
                raise Unreadable(f"the part {part} is larger than any program writes it", AS_XLSX)
            yield chunk

    def _named(self, part: str) -> str:
        if part in self._archive.namelist():
            return part
        spelled = self.folded.get(part.casefold())
        if spelled:
            raise damaged(f"the part {part} is spelled {spelled}")
        raise damaged(f"the part {part} is missing")


def _relations_part(part: str) -> str:
    """The part that holds what a part ('' is the package) refers to."""
    return join(dirname(part), "_rels", f"{part.rsplit('/', 1)[-1]}.rels")


def _look_at_start(part: str, chunk: bytes) -> None:
    start = chunk[:2048]
    encoding = _ENCODING.match(start.removeprefix(b"\xef\xbb\xbf").lstrip())
    known = encoding is None or encoding[1].lower() in (b"utf-8", b"us-ascii", b"ascii")
    if b"\0" in start or not known:
        raise Unreadable(f"the part {part} is not written in UTF-8", AS_XLSX)
    if STRICT in start:
        raise Unreadable(
            "the file is a strict OOXML workbook",
            "Save it as an ordinary .xlsx workbook (not 'strict') and try again.",
        )
