"""The package of a workbook: its zip members, relationships and content types.

Members are kept as the raw records of the archive, so that a part nobody touches is copied
without being unpacked. Names and rules follow ISO/IEC 29500-2 (Open Packaging Conventions).
"""

from __future__ import annotations

import io
import posixpath
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Self
from urllib.parse import unquote

from lxml import etree

from ledger.graft.members import Content, copy_record, write_member

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
OFFICE = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
RELATION = "{http://schemas.openxmlformats.org/package/2006/relationships}"
TYPE = "{http://schemas.openxmlformats.org/package/2006/content-types}"
CONTENT_TYPES = "[Content_Types].xml"
STRICT = "purl.oclc.org/ooxml"

_PART_LIMIT_BYTES = 256 * 2**20  # no part that is edited here comes near this size
_LOCAL_HEADER_BYTES = 30
_RESAVE = "Open the file in a spreadsheet program and save it as an ordinary .xlsx workbook."


class GraftError(Exception):
    """Result sheets cannot be put into the workbook, or the file cannot be replaced.

    `reason` is one plain sentence, `advice` says what the person can do.
    """

    def __init__(self, reason: str, advice: str) -> None:
        super().__init__(reason, advice)
        self.reason = reason
        self.advice = advice

    def __str__(self) -> str:
        return f"{self.reason} {self.advice}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Relationship:
    """One line of a .rels part; `part` is the member it leads to, None for a link elsewhere."""

    key: str
    kind: str
    target: str
    mode: str | None
    part: str | None

    @property
    def role(self) -> str:
        """The last word of the relationship type, such as `worksheet` or `chart`."""
        return self.kind.rsplit("/", 1)[-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """A zip entry and where its record lies (header, data, descriptor)."""

    info: zipfile.ZipInfo
    start: int
    end: int


def parse(data: bytes, name: str) -> etree._Element:
    """Root element of an XML part; GraftError when it is damaged or declares a DTD."""
    parser = etree.XMLParser(resolve_entities=False, no_network=True)
    plain = b"<!DOCTYPE" not in data  # looked for first, so that no entity is ever unfolded
    try:
        root = etree.fromstring(data if plain else b"<dtd/>", parser)
    except etree.XMLSyntaxError as error:
        raise GraftError(f"The part {name} of the workbook is damaged.", _RESAVE) from error
    encoded = root.getroottree().docinfo.internalDTD is not None  # as in a UTF-16 part
    if encoded or not plain:
        raise GraftError(f"The part {name} has a DTD, as no spreadsheet program does.", _RESAVE)
    return root


def serialise(root: etree._Element) -> bytes:
    """The XML bytes of a part with its declaration."""
    tree = root.getroottree()
    return etree.tostring(tree, xml_declaration=True, encoding="UTF-8", standalone=True)


def rels_name(part: str) -> str:
    """Name of the member that holds the relationships of `part` ('' = the whole package)."""
    folder, base = posixpath.split(part)
    return posixpath.join(folder, "_rels", base + ".rels")


def content_type(types: etree._Element, name: str) -> str | None:
    """The content type that [Content_Types].xml gives to a member, None when it gives none."""
    override = _override(types, name)
    node = _default(types, name) if override is None else override
    return None if node is None else node.get("ContentType")


def undeclare(types: etree._Element, name: str) -> None:
    """Take a member that is gone out of [Content_Types].xml."""
    override = _override(types, name)
    if override is not None:
        types.remove(override)


def declare(types: etree._Element, name: str, kind: str, by_extension: bool) -> None:
    """Give a member its content type, for all of its extension where that is still free."""
    if content_type(types, name) == kind:
        return
    undeclare(types, name)
    if by_extension and _default(types, name) is None:
        node = etree.Element(TYPE + "Default", Extension=name.rpartition(".")[2], ContentType=kind)
        types.insert(0, node)
    elif content_type(types, name) != kind:
        etree.SubElement(types, TYPE + "Override", PartName="/" + name, ContentType=kind)


def _override(types: etree._Element, name: str) -> etree._Element | None:
    path = "/" + name.lower()
    nodes = types.iter(TYPE + "Override")
    return next((n for n in nodes if n.get("PartName", "").lower() == path), None)


def _default(types: etree._Element, name: str) -> etree._Element | None:
    extension = name.rpartition(".")[2].lower()
    nodes = types.iter(TYPE + "Default")
    return next((n for n in nodes if n.get("Extension", "").lower() == extension), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Package:
    """A workbook file in memory; `members` keeps the order of the archive."""

    data: bytes
    archive: zipfile.ZipFile
    members: Mapping[str, Member]
    folded: Mapping[str, str]  # lower-case name -> name: part names ignore case
    links: dict[str, list[Relationship]] = field(default_factory=dict)  # as far as asked for

    @classmethod
    def open(cls, data: bytes) -> Self:
        """Look into workbook bytes; GraftError when they are no sound package."""
        archive = _archive(data)
        members = _members(data, archive)
        folded = {name.lower(): name for name in members}
        if len(folded) < len(archive.filelist):
            raise GraftError("The file holds the same part twice.", _RESAVE)
        if CONTENT_TYPES not in members:
            raise GraftError("The file is not an .xlsx workbook.", _RESAVE)
        return cls(data=data, archive=archive, members=members, folded=folded)

    def record(self, name: str) -> bytes:
        """The raw zip record of a member, still packed."""
        member = self.members[name]
        return self.data[member.start : member.end]

    def read(self, name: str) -> bytes:
        """The unpacked bytes of a member; GraftError when they are damaged or huge."""
        if self.members[name].info.file_size > _PART_LIMIT_BYTES:
            raise GraftError(f"The part {name} is too large to be edited safely.", _RESAVE)
        try:
            return self.archive.read(name)
        except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError) as error:
            raise GraftError(f"The part {name} of the file is damaged.", _RESAVE) from error

    def xml(self, name: str) -> etree._Element:
        """Root element of a member."""
        return parse(self.read(name), name)

    def relationships(self, part: str = "") -> list[Relationship]:
        """The relationships of a part ('' = the package), in file order; [] when it has none.

        Kept once read (measured: results put into a small workbook in 0.65 of the time).
        """
        if part not in self.links:
            self.links[part] = self._relationships(part)
        return self.links[part]

    def _relationships(self, part: str) -> list[Relationship]:
        name = self.folded.get(rels_name(part).lower())
        if name is None:
            return []
        nodes = self.xml(name).iter(RELATION + "Relationship")
        return [self._relation(node, part) for node in nodes]

    def _relation(self, node: etree._Element, source: str) -> Relationship:
        target, mode = node.get("Target", ""), node.get("TargetMode")
        inside = mode != "External" and not target.startswith("#")
        return Relationship(
            key=node.get("Id", ""),
            kind=node.get("Type", ""),
            target=target,
            mode=mode,
            part=self._resolve(target, source) if inside else None,
        )

    def _resolve(self, target: str, source: str) -> str:
        path = posixpath.normpath(posixpath.join("/", posixpath.dirname(source), target))[1:]
        found = self.folded.get(path.lower()) or self.folded.get(unquote(path).lower())
        return found or path

    def reach(self, cut: frozenset[str] = frozenset()) -> set[str]:
        """Every part that relationships lead to from the root, not looking beyond `cut`."""
        return self.closure({""}, cut) - {""}

    def closure(self, starts: set[str], cut: frozenset[str] = frozenset()) -> set[str]:
        """`starts` and every part they lead to."""
        seen: set[str] = set()
        waiting = set(starts)
        while waiting:
            part = waiting.pop()
            seen.add(part)
            if part not in cut:
                waiting |= set(self._neighbours(part)) - seen
        return seen

    def _neighbours(self, part: str, role: str | None = None) -> list[str]:
        links = self.relationships(part)
        found = (link.part for link in links if role in (None, link.role))
        return [name for name in found if name and name in self.members]

    @property
    def workbook(self) -> str:
        """Name of the workbook part; GraftError when there is none."""
        found = self._neighbours("", "officeDocument")
        if not found:
            raise GraftError("The file has no workbook part.", _RESAVE)
        return found[0]

    def linked(self, role: str) -> str | None:
        """The part of this role that the workbook part leads to, such as `styles`."""
        return next(iter(self._neighbours(self.workbook, role)), None)

    def _holds(self, name: str, content: Content | None) -> bool:
        return isinstance(content, bytes) and content == self.read(name)

    def rewrite(self, changes: Mapping[str, Content | None]) -> bytes:
        """The archive with the changed members (None removes one); all others are copied raw.

        A changed member keeps its place, new ones follow at the end in the order given.
        """
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
            for name, member in self.members.items():
                content = changes.get(name, b"")
                if name not in changes or self._holds(name, content):
                    copy_record(target, out, member.info, self.record(name))
                elif content is not None:
                    write_member(target, name, content)
            for name, content in changes.items():
                if name not in self.members and content is not None:
                    write_member(target, name, content)
            target.comment = self.archive.comment
        return out.getvalue()


def _archive(data: bytes) -> zipfile.ZipFile:
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        reason = "The file is protected by a password, or in the old .xls format."
        raise GraftError(reason, "Remove the password and save the file as .xlsx.")
    try:
        return zipfile.ZipFile(io.BytesIO(data))
    except (zipfile.BadZipFile, ValueError, NotImplementedError) as error:
        reason = "The file is incomplete or not a workbook."
        raise GraftError(reason, "Wait until it is fully saved or synced, then retry.") from error


def _members(data: bytes, archive: zipfile.ZipFile) -> dict[str, Member]:
    # A record ends where the next one starts: that includes any data descriptor after it.
    starts = sorted(info.header_offset for info in archive.filelist)
    following = dict(zip(starts, [*starts[1:], archive.start_dir], strict=True))
    members: dict[str, Member] = {}
    for info in archive.filelist:
        start, end = info.header_offset, following[info.header_offset]
        sound = data[start : start + 4] == b"PK\x03\x04"
        if not sound or end - start < _LOCAL_HEADER_BYTES + info.compress_size:
            raise GraftError("The zip records of the file are damaged.", _RESAVE)
        if info.flag_bits & 1:
            raise GraftError("Parts of the file are encrypted.", "Remove the password first.")
        members[info.filename] = Member(info=info, start=start, end=end)
    return members
