"""A workbook that a person made rich goes through ``balance`` with every part as it was.

It is the ledger's own workbook with charts, pictures, notes, a thread of comments, sparklines,
sheets, lists, names and conditional formats of the person's own, in the entry sheets too.
All names and figures are invented.
"""

from __future__ import annotations

import csv
import io
import posixpath
import zipfile
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from finding_cases import BASE
from lxml import etree
from programs import NEEDS_GNUMERIC, NEEDS_OFFICE, SOFFICE, SSCONVERT, gnumeric, office
from small import small
from test_graft_samples import TYPES, edited, line_chart, members, picture, sheet_part
from workbooks import entries_of, put, title, workbook

from ledger import cli, report

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
RELATIONS = "{http://schemas.openxmlformats.org/package/2006/relationships}"
OFFICE_ID = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
OFFICE = "http://schemas.microsoft.com/office"
THREADS = "http://schemas.microsoft.com/office/spreadsheetml/2018/threadedcomments"
PERSON, THREAD = "{11111111-AAAA-4AAA-8AAA-111111111111}", "{22222222-BBBB-4BBB-8BBB-222222222222}"
RESULTS = (
    "Findings",
    "Summary",
    "Field balance",
    "Nitrogen to go",
    "Stores",
    "Farm gate",
    "Strips result",
    "How sure",
    "Postings",
)
EVERY_SHEET = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,true,false,false,-1"

# openpyxl says what it would drop on saving; it only reads here.
pytestmark = pytest.mark.filterwarnings("ignore:.*will be removed")


# ------------------------------------------------------------------------ make
def rich(source: Any = BASE) -> bytes:
    """The workbook of the entries with the person's own additions."""
    add_results = report.add_result_sheets

    def more(book: Any, *arguments: Any, **options: Any) -> None:
        add_results(book, *arguments, **options)
        _own_sheets(book)
        _into_entry_sheet(book, book.get_worksheet_by_name(title("fertilizer")))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(report, "add_result_sheets", more)
        # As entries, not as text: workbooks of a text are kept, and this one is unlike those.
        return _with_threads(workbook(entries_of(source), data=small()))


def _own_sheets(book: Any) -> None:
    own = book.add_worksheet("My prices")
    bold = book.add_format({"bold": True, "bg_color": "#CCEEFF", "num_format": '0.00 "$/t"'})
    own.write_row("A1", ["Urea", "Potash", "Trend"], bold)
    for row in range(1, 9):
        own.write_number(row, 0, 400 + 7 * row, bold)
        own.write_number(row, 1, 300 - 3 * row)
        own.add_sparkline(row, 2, {"range": f"'My prices'!A{row + 1}:B{row + 1}"})
    own.write_formula("A11", "=AVERAGE(A2:A9)", bold, 431.5)
    own.write_comment(
        "A1", f"[Threaded comment]\n\nAsk the dealer {THREAD}", {"author": f"tc={THREAD}"}
    )
    own.write_comment("B1", "from the spring list", {"author": "the grower"})
    own.insert_chart("E2", line_chart(book, "='My prices'!$A$2:$A$9"))
    own.insert_image("E20", "pit.png", {"image_data": picture(40)})
    own.add_table("G1:H4", {"name": "loads", "columns": [{"header": "day"}, {"header": "loads"}]})
    own.data_validation("J2:J9", {"validate": "list", "source": ["yes", "no"]})
    own.conditional_format("A2:A9", {"type": "3_color_scale"})
    own.conditional_format("B2:B9", {"type": "data_bar", "data_bar_2010": True})
    book.define_name("best_price", "='My prices'!$A$2")
    hidden = book.add_worksheet("Notes to self")
    hidden.write_string("A1", "call the lab")
    hidden.hide()
    totals = book.add_chartsheet("My chart")
    totals.set_chart(line_chart(book, "='My prices'!$B$2:$B$9"))


def _into_entry_sheet(book: Any, sheet: Any) -> None:
    sheet.insert_chart("T2", line_chart(book, "='My prices'!$A$2:$A$9"))
    sheet.insert_image("T20", "field.png", {"image_data": picture(90)})
    sheet.insert_textbox("T30", "spread before rain")
    sheet.add_sparkline("S6", {"range": "'My prices'!A2:A9"})
    warn = book.add_format({"font_color": "#AA0000", "italic": True})
    sheet.conditional_format(
        "E6:E99", {"type": "cell", "criteria": ">", "value": 500, "format": warn}
    )


def _with_threads(data: bytes) -> bytes:
    """Comment threads with their people, and data of another program, put into the package."""
    sheet = sheet_part(data, "My prices")
    rels = posixpath.join("xl/worksheets/_rels", posixpath.basename(sheet) + ".rels")
    people = (
        f'<personList xmlns="{THREADS}"><person displayName="A. Grower" id="{PERSON}" userId="a"'
        ' providerId="None"/></personList>'
    )
    thread = (
        f'<ThreadedComments xmlns="{THREADS}"><threadedComment ref="A1" dT="2026-03-01T08:00:00.00"'
        f' personId="{PERSON}" id="{THREAD}"><text>Ask the dealer</text></threadedComment>'
        "</ThreadedComments>"
    )
    kinds = {
        "xl/persons/person.xml": "application/vnd.ms-excel.person+xml",
        "xl/threadedComments/threadedComment1.xml": "application/vnd.ms-excel.threadedcomments+xml",
    }
    overrides = "".join(f'<Override PartName="/{p}" ContentType="{k}"/>' for p, k in kinds.items())

    def linked(key: str, kind: str, target: str) -> Any:
        link = f'<Relationship Id="{key}" Type="{kind}" Target="{target}"/></Relationships>'
        return lambda content: content.replace(b"</Relationships>", link.encode())

    return edited(
        data,
        {
            TYPES: lambda content: content.replace(b"</Types>", overrides.encode() + b"</Types>"),
            rels: linked(
                "rId900", f"{OFFICE}/2017/10/relationships/threadedComment",
                "../threadedComments/threadedComment1.xml",
            ),
            "xl/_rels/workbook.xml.rels": linked(
                "rId900", f"{OFFICE}/2017/10/relationships/person", "persons/person.xml"
            ),
            "xl/persons/person.xml": people.encode(),
            "xl/threadedComments/threadedComment1.xml": thread.encode(),
        },
    )  # fmt: skip


# -------------------------------------------------------------------- validity
def faults(data: bytes) -> list[str]:
    """What is wrong with a package, found with nothing of the ledger's own."""
    parts = members(data)
    names = Counter(name.lower() for name in zipfile.ZipFile(io.BytesIO(data)).namelist())
    found = [f"{name} is there {count} times" for name, count in names.items() if count > 1]
    roots = {
        n: etree.fromstring(c) for n, c in parts.items() if n.endswith((".xml", ".rels", ".vml"))
    }
    found += _type_faults(parts, roots[TYPES])
    for name, root in roots.items():
        if name.endswith(".rels"):
            found += _link_faults(name, root, parts)
        elif name.startswith("xl/worksheets/"):
            found += _sheet_faults(name, root, roots)
        elif name.startswith("xl/drawings/") and name.endswith(".xml"):
            found += _twice(name, [n.get("id") for n in root.iter("{*}cNvPr")])
        elif name.startswith("xl/tables/"):
            found += _twice(name, [n.get("id") for n in root.iter("{*}tableColumn")])
    return found + list(_workbook_faults(roots))


def _twice(where: str, values: list[Any]) -> list[str]:
    return [f"{where}: {v} stands {n} times" for v, n in Counter(values).items() if n > 1]


def _type_faults(parts: dict[str, bytes], types: Any) -> Iterator[str]:
    given = {n.get("PartName"): n.get("ContentType") for n in types.iter("{*}Override")}
    by_extension = {n.get("Extension").lower() for n in types.iter("{*}Default")}
    yield from _twice("types", [n.get("PartName") for n in types.iter("{*}Override")])
    yield from _twice("types", [n.get("Extension") for n in types.iter("{*}Default")])
    for name in parts:
        if f"/{name}" not in given and name.rpartition(".")[2].lower() not in by_extension:
            yield f"{name} has no content type"
    yield from (f"{name} is typed and not there" for name in given if name[1:] not in parts)


def _link_faults(name: str, root: Any, parts: dict[str, bytes]) -> Iterator[str]:
    folder, base = posixpath.split(name)
    source = posixpath.join(posixpath.dirname(folder), base.removesuffix(".rels"))
    if source.strip("/") and source not in parts:
        yield f"{name} belongs to no part"
    yield from _twice(name, [link.get("Id") for link in root])
    for link in root:
        target = posixpath.normpath(
            posixpath.join("/", posixpath.dirname(source), link.get("Target"))
        )
        if link.get("TargetMode") != "External" and target[1:] not in parts:
            yield f"{name} leads to {target}, which is not there"
    if source.strip("/"):
        keys = {link.get("Id") for link in root}
        nodes = etree.fromstring(parts[source]).iter("*")
        pairs = [(str(name), str(key)) for node in nodes for name, key in node.attrib.items()]
        used = {key for name, key in pairs if name.startswith(OFFICE_ID[:-2])}
        yield from (f"{source} uses the missing link {key}" for key in used - keys if key)


def _sheet_faults(name: str, root: Any, roots: Mapping[str, Any]) -> Iterator[str]:
    styles, strings = roots["xl/styles.xml"], roots["xl/sharedStrings.xml"]
    looks = len(styles.find(MAIN + "cellXfs"))
    differences = styles.find(MAIN + "dxfs")
    cells = list(root.iter(MAIN + "c"))
    yield from _twice(name, [c.get("r") for c in cells])
    yield from _twice(name, [r.get("r") for r in root.iter(MAIN + "row")])
    for cell in cells:
        if int(cell.get("s", "0")) >= looks:
            yield f"{name}!{cell.get('r')} has a style that is not there"
        if cell.get("t") == "s" and int(cell[0].text) >= len(strings):
            yield f"{name}!{cell.get('r')} has a text that is not there"
    for rule in root.iter(MAIN + "cfRule"):
        if rule.get("dxfId") and int(rule.get("dxfId")) >= len(differences):
            yield f"{name} has a rule with a format that is not there"


def _workbook_faults(roots: dict[str, Any]) -> Iterator[str]:
    book = roots["xl/workbook.xml"]
    sheets = list(book.iter(MAIN + "sheet"))
    for key in ("sheetId", OFFICE_ID):
        yield from _twice("sheets", [sheet.get(key) for sheet in sheets])
    yield from _twice("sheets", [sheet.get("name").lower() for sheet in sheets])
    names = [
        (n.get("name").lower(), n.get("localSheetId")) for n in book.iter(MAIN + "definedName")
    ]
    yield from _twice("names", names)
    tables = [root for name, root in roots.items() if name.startswith("xl/tables/")]
    yield from _twice("tables", [table.get("id") for table in tables])
    yield from _twice("tables", [table.get("displayName") for table in tables])


# ----------------------------------------------------------------------- tests
@pytest.fixture(scope="module")
def before() -> bytes:
    return rich()


@pytest.fixture(scope="module")
def farm(before: bytes, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The rich workbook after ``balance``."""
    path = tmp_path_factory.mktemp("rich") / "farm.xlsx"
    path.write_bytes(before)
    assert cli.main(["balance", str(path)]) == cli.common.CLEAN
    return path


def ours(data: bytes) -> set[str]:
    """The parts that the ledger may write: its sheets, their links, styles, content types."""
    sheets = {sheet_part(data, name) for name in RESULTS}
    rels = {f"xl/worksheets/_rels/{posixpath.basename(part)}.rels" for part in sheets}
    return sheets | rels | {TYPES, "xl/styles.xml"}


def test_the_workbook_is_as_rich_as_it_should_be(before: bytes) -> None:
    parts = members(before)
    for kind, count in {
        "xl/charts/chart": 3, "xl/media/": 2, "xl/comments": 2, "xl/threadedComments/": 1,
        "xl/persons/": 1, "xl/tables/": 1, "xl/chartsheets/sheet": 1, "xl/drawings/drawing": 3,
    }.items():  # fmt: skip
        assert sum(name.startswith(kind) for name in parts) >= count, kind
    own = parts[sheet_part(before, "My prices")] + parts[sheet_part(before, title("fertilizer"))]
    for word in (b"sparkline", b"dataValidation", b"cfRule", b"x14:dataBar"):
        assert word in own
    assert b"best_price" in parts["xl/workbook.xml"]
    assert not faults(before)


def test_every_part_of_the_persons_own_is_byte_for_byte_the_same(before: bytes, farm: Path) -> None:
    old, new = members(before), members(farm.read_bytes())
    changed = {name for name in old.keys() | new.keys() if old.get(name) != new.get(name)}
    drawn = {n for n in new.keys() - old.keys() if n.startswith(("xl/charts/", "xl/drawings/"))}
    assert changed <= ours(before) | drawn  # the result sheets' own charts are new parts
    assert {sheet_part(before, name) for name in ("Summary", "Field balance")} <= changed
    with zipfile.ZipFile(io.BytesIO(before)) as first, zipfile.ZipFile(farm) as second:
        for name in old.keys() - changed:
            assert first.getinfo(name).date_time == second.getinfo(name).date_time


def test_the_package_is_valid(before: bytes, farm: Path) -> None:
    assert not faults(farm.read_bytes())


@pytest.mark.parametrize(
    ("part", "old", "new"),
    [
        ("xl/workbook.xml", b'sheetId="2"', b'sheetId="1"'),
        ("xl/_rels/workbook.xml.rels", b'Id="rId2"', b'Id="rId1"'),
        ("xl/_rels/workbook.xml.rels", b"persons/person.xml", b"persons/nobody.xml"),
        (TYPES, b"/xl/persons/person.xml", b"/xl/persons/nobody.xml"),
        (TYPES, b'Extension="vml"', b'Extension="vmm"'),
        ("xl/workbook.xml", b'name="best_price"', b'name="_xlnm._FilterDatabase" localSheetId="3"'),
        ("xl/tables/table1.xml", b'id="2" name="loads"', b'id="1" name="loads"'),
    ],
)
def test_the_look_at_the_package_finds_faults(
    before: bytes, part: str, old: bytes, new: bytes
) -> None:
    assert old in members(before)[part]
    assert faults(edited(before, {part: lambda content: content.replace(old, new, 1)}))


def test_styles_of_the_person_keep_their_numbers(before: bytes, farm: Path) -> None:
    old, new = (members(data)["xl/styles.xml"] for data in (before, farm.read_bytes()))
    for name in ("fonts", "fills", "borders", "cellXfs", "dxfs"):
        lists = [list(etree.fromstring(styles).find(MAIN + name)) for styles in (old, new)]  # type: ignore[arg-type]
        first, second = ([etree.tostring(n, method="c14n") for n in nodes] for nodes in lists)
        assert second[: len(first)] == first, name


def test_running_again_changes_nothing_and_a_change_comes_through(
    before: bytes, farm: Path
) -> None:
    once = farm.read_bytes()
    assert cli.main(["balance", str(farm)]) == cli.common.CLEAN
    assert farm.read_bytes() == once
    other = farm.with_name("other.xlsx")
    other.write_bytes(rich(put(BASE, "fertilizer", "amount", 120)))
    assert cli.main(["balance", str(other)]) == cli.common.CLEAN
    names = (sheet_part(once, "Summary"), sheet_part(once, "My prices"))
    summary, own = ([members(d)[n] for d in (once, other.read_bytes())] for n in names)
    assert summary[0] != summary[1]
    assert own[0] == own[1]


def test_openpyxl_reads_what_is_the_persons_and_what_is_ours(farm: Path) -> None:
    book = openpyxl.load_workbook(farm, data_only=True)
    assert book["My prices"]["A11"].value == 431.5
    assert book["My prices"]["B1"].comment is not None
    assert "spring list" in book["My prices"]["B1"].comment.text
    assert "best_price" in book.defined_names
    assert any("Home" in map(str, row) for row in book["Field balance"].values)


@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_libreoffice_opens_it(farm: Path, tmp_path: Path) -> None:
    office(tmp_path / "profile", "xlsx", tmp_path / "xlsx", [farm])
    office(tmp_path / "profile", EVERY_SHEET, tmp_path / "csv", [farm])
    opened = tmp_path / "xlsx" / farm.name
    book = openpyxl.load_workbook(opened)
    assert {"My prices", "My chart", *RESULTS} <= set(book.sheetnames)
    assert len(book["My prices"]._charts) == 1 and len(book[title("fertilizer")]._charts) == 1
    assert sum(name.startswith("xl/media/") for name in members(opened.read_bytes())) >= 2
    with (tmp_path / "csv" / "farm-My prices.csv").open(encoding="utf-8", newline="") as lines:
        assert next(csv.reader(lines))[:2] == ["Urea", "Potash"]
    assert "Home" in (tmp_path / "csv" / "farm-Field balance.csv").read_text("utf-8")


@pytest.mark.skipif(not SSCONVERT, reason=NEEDS_GNUMERIC)
def test_gnumeric_opens_it(farm: Path, tmp_path: Path) -> None:
    gnumeric("-S", farm, tmp_path / "%s.csv")
    own = (tmp_path / "My prices.csv").read_text("utf-8")
    assert own.startswith("Urea,Potash") and "431.5" in own
    assert "Home" in (tmp_path / "Field balance.csv").read_text("utf-8")
