"""Files that are damaged, dangerous or of another kind: a plain reason each, nothing worse.

Every file goes through the reader in a process of its own kind of limit: the whole module runs
under a cap of address space, so that a reader that is greedy fails.
"""

from __future__ import annotations

import io
import resource
import struct
import time
import zipfile
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

import pytest
from finding_cases import BASE
from workbooks import SHIPPED, codes, document, figures, workbook

from ledger.read import Unreadable, read

MEGABYTE = 1024 * 1024
MOST_MEMORY_BYTES = 1024 * MEGABYTE  # beyond what the tests hold already
MOST_SECONDS = 20
FERTILIZER = "xl/worksheets/sheet11.xml"
SHEET = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
END = b"</sheetData></worksheet>"
Parts = dict[str, bytes]


@pytest.fixture(scope="module", autouse=True)
def bounded() -> Iterator[None]:
    """A cap on memory: what is in use now and one gigabyte."""
    before = resource.getrlimit(resource.RLIMIT_AS)
    pages = int(Path("/proc/self/statm").read_text("utf-8").split()[0])
    cap = pages * resource.getpagesize() + MOST_MEMORY_BYTES
    resource.setrlimit(resource.RLIMIT_AS, (cap, before[1]))
    yield
    resource.setrlimit(resource.RLIMIT_AS, before)


@pytest.fixture(scope="module")
def base() -> bytes:
    return workbook(BASE)


def parts_of(content: bytes) -> Parts:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def packed(parts: Mapping[str, bytes]) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, part in parts.items():
            archive.writestr(name, part)
    return target.getvalue()


def changed(content: bytes, part: str, change: Callable[[bytes], bytes]) -> bytes:
    parts = parts_of(content)
    parts[part] = change(parts[part])
    return packed(parts)


def sheet_part(content: bytes, name: str) -> str:
    """The part of a sheet; a new workbook numbers them in order."""
    names = [sheet.title for sheet in SHIPPED.sheets.values()]
    return f"xl/worksheets/sheet{names.index(name) + 2}.xml"  # the Start page comes first


def refusal(content: bytes) -> str:
    """The reason why a file is not read, given within the time."""
    start = time.process_time()
    with pytest.raises(Unreadable) as caught:
        read(content, SHIPPED)
    assert time.process_time() - start < MOST_SECONDS
    assert caught.value.reason and caught.value.advice
    return caught.value.reason


def in_time(content: bytes) -> set[str]:
    """The codes of what is said of a file that is read, within the time."""
    start = time.process_time()
    said = codes(document(content))
    assert time.process_time() - start < MOST_SECONDS
    return said


# ------------------------------------------------------------------ other kinds of files
COMPOUND = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (COMPOUND + "EncryptedPackage".encode("utf-16-le"), "password-protected"),
        (COMPOUND + "Workbook".encode("utf-16-le"), "old .xls"),
        (COMPOUND, "password-protected or in the old .xls"),
        (b"", "empty"),
        (b"\0" * 4096, "empty"),
        (b"field,area\nHome,40\n", "plain text"),
        (b"<!DOCTYPE html><html><table><tr><td>Home", "web page"),
        (packed({"mimetype": b"x", "content.xml": b"<x/>"}), ".ods file"),
        (packed({"word/document.xml": b"<x/>"}), "some other archive"),
        (packed({"[Content_Types].xml": b"<x/>", "xl/workbook.bin": b""}), ".xlsb"),
        (packed({"[Content_Types].xml": b"<x/>"}), "_rels/.rels is missing"),
    ],
)
def test_other_files_are_named_for_what_they_are(content: bytes, says: str) -> None:
    assert says in refusal(content)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.99])
def test_a_file_that_is_cut_off_says_so(base: bytes, share: float) -> None:
    assert "its end is missing" in refusal(base[: int(len(base) * share)])


def test_a_document_of_another_kind_is_no_workbook() -> None:
    rels = (
        b'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        b'<Relationship Id="r" Type="x/officeDocument" Target="word/document.xml"/></Relationships>'
    )
    parts = {"[Content_Types].xml": b"<x/>", "_rels/.rels": rels, "word/document.xml": b"<w/>"}
    with_own = {**parts, "word/_rels/document.xml.rels": b"<Relationships/>"}
    assert "another document" in refusal(packed(with_own))


def test_a_strict_workbook_is_asked_to_be_saved_anew(base: bytes) -> None:
    transitional = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    strict = b"http://purl.oclc.org/ooxml/spreadsheetml/main"
    content = changed(base, "xl/workbook.xml", lambda part: part.replace(transitional, strict))
    assert "strict" in refusal(content)


# ----------------------------------------------------------------------- damaged archives
def test_every_byte_flipped_is_refused_or_harmless(base: bytes) -> None:
    plain = document(BASE)["zones"]
    for at in range(50, len(base), len(base) // 40):
        spoilt = base[:at] + bytes([base[at] ^ 0x5A]) + base[at + 1 :]
        try:
            read(spoilt, SHIPPED)
        except Unreadable:
            continue
        assert document(spoilt)["zones"] == plain


def test_a_part_that_stands_twice_is_refused(base: bytes) -> None:
    target = io.BytesIO(base)
    with pytest.warns(UserWarning, match="Duplicate"), zipfile.ZipFile(target, "a") as archive:
        archive.writestr("xl/workbook.xml", b"<x/>")
    assert "xl/workbook.xml twice" in refusal(target.getvalue())
    parts = parts_of(base)
    parts["XL/Workbook.xml"] = parts["xl/workbook.xml"]
    assert "twice" in refusal(packed(parts))


def test_a_part_that_is_missing_or_misspelled_is_named(base: bytes) -> None:
    part = sheet_part(base, "Fertilizer")
    parts = parts_of(base)
    content = parts.pop(part)
    assert f"{part} is missing" in refusal(packed(parts))
    parts[part.upper()] = content
    assert f"is spelled {part.upper()}" in refusal(packed(parts))


def test_a_locked_part_is_a_password(base: bytes) -> None:
    spoilt = bytearray(base)
    at = spoilt.find(b"PK\x01\x02")
    spoilt[at + 8] |= 1  # the flag for encryption in the directory
    assert "password" in refusal(bytes(spoilt))


def test_an_unusual_packing_is_refused(base: bytes) -> None:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_LZMA) as archive:
        for name, part in parts_of(base).items():
            archive.writestr(name, part)
    assert "packed in a way" in refusal(target.getvalue())


def test_a_workbook_cut_off_inside_a_sheet_is_refused(base: bytes) -> None:
    part = sheet_part(base, "Fertilizer")
    for end in (b"</row>", b"</sheetData>", b"</worksheet>"):
        content = changed(base, part, lambda text, end=end: text[: text.rindex(end)])  # type: ignore[misc]
        assert "'Fertilizer'" in refusal(content)


# ------------------------------------------------------------------------------- bombs
def test_entities_are_refused_in_every_part(base: bytes) -> None:
    laughs = b'<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]>'
    for part in ("xl/workbook.xml", "xl/sharedStrings.xml", "xl/styles.xml", FERTILIZER):
        spoilt = changed(base, part, lambda text: text.replace(b"?>", b"?>" + laughs, 1))
        assert f"{part} defines entities" in refusal(spoilt)


def test_entities_behind_a_megabyte_of_comment_are_refused(base: bytes) -> None:
    late = b"<!--" + b"x" * MEGABYTE + b'--><!DOCTYPE x [<!ENTITY a "ha">]>'
    spoilt = changed(base, FERTILIZER, lambda text: text.replace(b"?>", b"?>" + late, 1))
    assert "defines entities" in refusal(spoilt)


@pytest.mark.parametrize("encoding", ["utf-16", "cp037", "utf-7"])
def test_parts_in_another_encoding_are_refused(base: bytes, encoding: str) -> None:
    def encode(part: bytes) -> bytes:
        text = part.decode().replace('encoding="UTF-8"', f'encoding="{encoding}"')
        return text.encode() if encoding == "utf-7" else text.encode(encoding)

    said = refusal(changed(base, "xl/workbook.xml", encode))
    assert "UTF-8" in said or "damaged" in said


def test_a_bomb_is_refused_by_what_it_says_of_itself(base: bytes) -> None:
    blanks = b" " * (32 * MEGABYTE)
    parts = parts_of(base) | {f"xl/media/{n}.xml": blanks for n in range(13)}
    assert "unpacks to more than" in refusal(packed(parts))


def test_a_part_larger_than_it_says_is_refused(base: bytes) -> None:
    spoilt = bytearray(base)
    at = spoilt.find(b"PK\x01\x02")
    struct.pack_into("<I", spoilt, at + 24, 10)  # the size it says it has
    assert "damaged" in refusal(bytes(spoilt))


def test_blanks_without_end_in_a_sheet_are_refused(base: bytes) -> None:
    blanks = b" " * (64 * MEGABYTE)
    content = changed(base, FERTILIZER, lambda part: part.replace(b"<row", blanks + b"<row", 1))
    assert "more than 8 MB" in refusal(content)


def test_one_endless_text_is_refused(base: bytes) -> None:
    text = b"<si><t>" + b"x" * (64 * MEGABYTE) + b"</t></si></sst>"
    content = changed(base, "xl/sharedStrings.xml", lambda part: part.replace(b"</sst>", text))
    assert "more than 8 MB" in refusal(content)


def test_styles_without_end_are_refused(base: bytes) -> None:
    fonts = b"<font/>" * 500_000
    content = changed(
        base, "xl/styles.xml", lambda part: part.replace(b"</fonts>", fonts + b"</fonts>")
    )
    assert "styles.xml is larger" in refusal(content)


def test_more_cells_than_can_be_read_are_refused_naming_the_cell(base: bytes) -> None:
    row = b"<row>" + b"<c><v>1</v></c>" * 100 + b"</row>"
    content = changed(base, "xl/worksheets/sheet1.xml", lambda _: SHEET + row * 20_100 + END)
    said = refusal(content)
    assert "passes 2000000 cells" in said and "CV20001" in said and "'Start'" in said


def test_many_parts_are_refused(base: bytes) -> None:
    assert "too many parts" in refusal(
        packed(parts_of(base) | {f"xl/media/{n}": b"" for n in range(5_100)})
    )


# -------------------------------------------------- what is odd and must be read all the same
def put_row(part: bytes, row: bytes) -> bytes:
    return part.replace(b"</sheetData>", row + b"</sheetData>")


@pytest.mark.parametrize("cell", ["XFD1048576", "AAA900"])
def test_stray_cells_far_away_do_no_harm(base: bytes, cell: str) -> None:
    number = cell.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    row = f'<row r="{number}"><c r="{cell}"><v>1</v></c></row>'.encode()
    parts = parts_of(base)
    for sheet in SHIPPED.sheets.values():
        part = sheet_part(base, sheet.title)
        parts[part] = put_row(parts[part], row)
    assert in_time(packed(parts)) == set()


def test_a_stray_cell_in_a_column_of_the_ledger_is_a_line(base: bytes) -> None:
    row = b'<row r="1048576"><c r="A1048576"><v>46132</v></c></row>'
    content = changed(base, sheet_part(base, "Fertilizer"), lambda part: put_row(part, row))
    assert in_time(content) == {"required-blank"}


def test_an_empty_last_row_does_no_harm(base: bytes) -> None:
    parts = parts_of(base)
    for sheet in SHIPPED.sheets.values():
        part = sheet_part(base, sheet.title)
        parts[part] = put_row(parts[part], b'<row r="1048576" hidden="1"/>')
    assert in_time(packed(parts)) == set()


@pytest.mark.parametrize("ref", [b"A1", b"A1:B2", b"A1:XFD1048576"])
def test_a_dimension_that_lies_is_not_believed(base: bytes, ref: bytes) -> None:
    def lie(part: bytes) -> bytes:
        head, _, rest = part.partition(b'<dimension ref="')
        return head + b'<dimension ref="' + ref + rest[rest.index(b'"') :]

    content = changed(base, sheet_part(base, "Fertilizer"), lie)
    assert in_time(content) == set()
    assert figures(document(content)) == figures(document(BASE))


def test_rows_after_the_end_of_the_sheet_are_refused(base: bytes) -> None:
    def cut_in_two(part: bytes) -> bytes:
        return part.replace(b'<row r="7"', b'</sheetData><sheetData><row r="7"', 1)

    content = changed(base, sheet_part(base, "Fertilizer"), cut_in_two)
    assert "the sheet 'Fertilizer' has rows in two places" in refusal(content)


def test_rows_out_of_their_place_are_refused(base: bytes) -> None:
    row = b'<row r="2"><c r="A2"><v>1</v></c></row>'
    content = changed(base, sheet_part(base, "Fertilizer"), lambda part: put_row(part, row))
    assert "row 2 of the sheet 'Fertilizer' is out of its place" in refusal(content)


@pytest.mark.parametrize("number", [b"NaN", b"INF", b"-INF", b"1_0", b"0x10", b"&#49;"])
def test_what_is_no_number_in_a_number_cell_is_named(base: bytes, number: bytes) -> None:
    row = b'<row r="90"><c r="F90"><v>' + number + b"</v></c></row>"
    content = changed(base, sheet_part(base, "Fertilizer"), lambda part: put_row(part, row))
    assert "cell F90 of the sheet 'Fertilizer'" in refusal(content)


def test_a_text_that_is_not_there_is_a_refusal_with_the_sheet(base: bytes) -> None:
    row = b'<row r="90"><c r="F90" t="s"><v>99999999</v></c></row>'
    content = changed(base, sheet_part(base, "Fertilizer"), lambda part: put_row(part, row))
    assert "'Fertilizer'" in refusal(content)


@pytest.mark.parametrize("number", [b"1.2.3", b"1e400", b"--1", b"1e"])
def test_what_only_looks_like_a_number_is_reported_in_its_cell(base: bytes, number: bytes) -> None:
    row = b'<row r="90"><c r="F90"><v>' + number + b"</v></c></row>"
    content = changed(base, sheet_part(base, "Fertilizer"), lambda part: put_row(part, row))
    found = [(f["code"], f["cell"]) for f in document(content)["findings"]]
    assert ("not-a-number", "F90") in found


def test_macros_are_read_and_noted(base: bytes) -> None:
    plain = b"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
    macros = b"application/vnd.ms-excel.sheet.macroEnabled.main+xml"
    parts = parts_of(changed(base, "[Content_Types].xml", lambda p: p.replace(plain, macros)))
    assert codes(document(packed(parts))) == {"macros"}
    parts["xl/vbaProject.bin"] = b"\0"
    assert codes(document(packed(parts))) == {"macros"}


def test_links_to_other_files_are_noted(base: bytes) -> None:
    link = b'<externalLink xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"/>'
    parts = parts_of(base) | {"xl/externalLinks/externalLink1.xml": link}
    assert codes(document(packed(parts))) == {"other-files"}


def test_a_note_without_an_author_does_no_harm(base: bytes) -> None:
    parts = {
        name: part.replace(b"<authors><author></author></authors>", b"<authors/>")
        if name.startswith("xl/comments")
        else part
        for name, part in parts_of(base).items()
    }
    assert codes(document(packed(parts))) == set()
