"""Package surgery: what changes, what stays byte for byte.

The rules tested are those of the Open Packaging Conventions and SpreadsheetML (ISO/IEC 29500-1
and -2).
"""

from __future__ import annotations

import io
import itertools
import re
import zipfile

import openpyxl
import pytest
import xlsxwriter
from test_graft_samples import (
    PLACES,
    SOURCES,
    TYPES,
    Edit,
    edited,
    members,
    picture,
    result_sheets,
    rich_workbook,
    sheet_part,
    swap,
)

from ledger.graft import GraftError, graft, verify
from ledger.graft.package import Package


@pytest.fixture(params=SOURCES)
def workbook(request: pytest.FixtureRequest) -> bytes:
    return SOURCES[request.param]()


def private_names(data: bytes, sheet: str) -> set[str]:
    """Members the sheet points at, directly or through its drawing."""
    part = sheet_part(data, sheet)
    folder, base = part.rsplit("/", 1)
    rels = f"{folder}/_rels/{base}.rels"
    text = members(data).get(rels, b"").decode()
    found = {f"xl/{t}" for t in re.findall(r'Target="(?:\.\./|/xl/)([^"]+)"', text)} | {rels}
    for drawing in {name for name in found if "/drawing" in name}:
        inner = drawing.replace("drawings/", "drawings/_rels/") + ".rels"
        text = members(data).get(inner, b"").decode()
        found |= {f"xl/{t}" for t in re.findall(r'Target="(?:\.\./|/xl/)([^"]+)"', text)} | {inner}
    return found


def test_everything_but_the_result_sheets_keeps_its_bytes_and_place(workbook: bytes) -> None:
    after = graft(workbook, result_sheets(), PLACES)
    verify(workbook, after, PLACES.values())
    may_change = {TYPES, "xl/styles.xml", sheet_part(workbook, "Summary")}
    may_change |= {sheet_part(workbook, "To go")} | private_names(workbook, "Summary")
    stay = [name for name in members(workbook) if name not in may_change]
    assert len(stay) >= 14
    old, new = Package.open(workbook), Package.open(after)
    for name in stay:
        assert new.record(name) == old.record(name), name
        for field in ("date_time", "flag_bits", "extra", "external_attr", "create_system"):
            infos = old.members[name].info, new.members[name].info
            assert getattr(infos[0], field) == getattr(infos[1], field)
    assert [name for name in new.members if name in stay] == stay
    assert zipfile.ZipFile(io.BytesIO(after)).testzip() is None


def test_second_run_gives_the_same_bytes(workbook: bytes) -> None:
    once = graft(workbook, result_sheets(), PLACES)
    assert once != workbook
    assert graft(once, result_sheets(), PLACES) == once


def test_fancy_plain_fancy_comes_back_to_the_same_parts(workbook: bytes) -> None:
    once = graft(workbook, result_sheets(), PLACES)
    plain = graft(once, result_sheets(fancy=False), PLACES)
    first, third = members(once), members(graft(plain, result_sheets(), PLACES))
    types = [sorted(re.findall(rb"<[^>]+>", parts.pop(TYPES))) for parts in (first, third)]
    assert first == third
    assert types[0] == types[1]


def test_values_formats_and_trimmings_arrive(workbook: bytes) -> None:
    book = openpyxl.load_workbook(io.BytesIO(graft(workbook, result_sheets(), PLACES)))
    assert book.sheetnames == ["Spreading", "Summary", "To go", "Lists"]
    first, second = book["Summary"], book["To go"]
    assert first["A1"].value == "Nitrogen" and first["A1"].font.bold
    assert first["A1"].fill.fgColor.rgb == "FFDDEEDD"
    assert first["B1"].value == 1234.5
    assert first["B1"].number_format == '#,##0.0 "lb"'
    assert first["B1"].border.left.style == "thin"
    assert first["C1"].value == "=B1*2"
    assert second["A1"].value == -3.25 and second["A1"].number_format == "0.00"
    assert second["A2"].hyperlink is not None
    assert second["A2"].hyperlink.location == "'Summary'!B1"
    assert first["A2"].hyperlink is not None
    assert first["A2"].hyperlink.target == "https://example.org/Summary!A1"
    assert first["B1"].comment is not None and "all fields" in first["B1"].comment.text


def test_conditional_format_keeps_its_look(workbook: bytes) -> None:
    book = openpyxl.load_workbook(io.BytesIO(graft(workbook, result_sheets(), PLACES)))
    rules = [rule for found in book["Summary"].conditional_formatting for rule in found.rules]
    assert [rule.dxf.font.color.rgb for rule in rules] == ["FFC00000"]
    assert rules[0].dxf.numFmt.formatCode == '0.0 "over"'


def test_chart_and_picture_of_the_result_survive(workbook: bytes) -> None:
    after = graft(workbook, result_sheets(), PLACES)
    parts = members(after)
    charts = [c for n, c in parts.items() if n.startswith("xl/charts/") and b"Summary" in c]
    assert len(charts) == 1
    assert b"<c:f>Summary!$B$1:$B$1</c:f>" in charts[0] or b"'Summary'!$B$1:$B$1" in charts[0]
    assert picture(99).getvalue() in parts.values()
    types = parts[TYPES].decode()
    assert 'Extension="png"' in types or ".png" in types


def test_old_private_parts_go_and_shared_ones_stay() -> None:
    before = rich_workbook()
    after = graft(before, result_sheets(fancy=False), PLACES)
    gone = members(before).keys() - members(after).keys()
    assert {"xl/drawings/drawing2.xml", "xl/charts/chart2.xml"} <= gone
    left = members(after).values()
    assert picture(10).getvalue() not in left
    assert picture(200).getvalue() in left
    types = members(after)[TYPES].decode()
    assert not any(name in types for name in gone)


def test_only_the_active_tab_is_selected() -> None:
    after = graft(rich_workbook(), result_sheets(), PLACES)
    selected = [n for n, c in members(after).items() if b'tabSelected="1"' in c]
    assert selected == ["xl/worksheets/sheet1.xml"]
    active = edited(
        rich_workbook(),
        {"xl/workbook.xml": swap("<workbookView ", '<workbookView activeTab="1" ')},
    )
    part = members(graft(active, result_sheets(), PLACES))[sheet_part(active, "Summary")]
    assert b'tabSelected="1"' in part


def chained(number: int) -> bytes:
    """The workbook with a calculation chain that lists a cell of the given sheet number."""
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.calcChain+xml"
    role = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/calcChain"
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    override = f'<Override PartName="/xl/calcChain.xml" ContentType="{kind}"/></Types>'
    link = f'<Relationship Id="rId99" Type="{role}" Target="calcChain.xml"/></Relationships>'
    chain = f'<calcChain xmlns="{main}"><c r="E1" i="1"/><c r="A1" i="{number}"/></calcChain>'
    edits: dict[str, Edit | bytes | None] = {
        TYPES: swap("</Types>", override),
        "xl/_rels/workbook.xml.rels": swap("</Relationships>", link),
        "xl/calcChain.xml": chain.encode(),
    }
    return edited(rich_workbook(), edits)


def test_chain_that_lists_a_replaced_sheet_is_dropped() -> None:
    after = graft(chained(2), result_sheets(), PLACES)
    verify(chained(2), after, PLACES.values())
    parts = members(after)
    assert "xl/calcChain.xml" not in parts
    assert b"calcChain" not in parts[TYPES] + parts["xl/_rels/workbook.xml.rels"]
    assert parts["xl/workbook.xml"] == members(chained(2))["xl/workbook.xml"]
    assert graft(after, result_sheets(), PLACES) == after


def test_chain_of_other_sheets_stays() -> None:
    after = graft(chained(4), result_sheets(), PLACES)
    parts, before = members(after), members(chained(4))
    for name in ("xl/calcChain.xml", "xl/_rels/workbook.xml.rels"):
        assert parts[name] == before[name]


def test_styles_that_are_known_leave_the_style_sheet_alone() -> None:
    once = graft(rich_workbook(), result_sheets(), PLACES)
    before = edited(once, {})
    after = graft(before, result_sheets(fancy=False), PLACES)
    assert members(after)["xl/styles.xml"] == members(before)["xl/styles.xml"]


def test_results_that_are_there_already_change_nothing_whatever_packed_them() -> None:
    once = graft(rich_workbook(), result_sheets(), PLACES)
    packed_anew = edited(once, {})
    assert graft(packed_anew, result_sheets(), PLACES) == packed_anew


def test_own_members_carry_neither_clock_nor_system() -> None:
    package = Package.open(graft(rich_workbook(), result_sheets(), PLACES))
    info = package.members["xl/worksheets/sheet2.xml"].info
    assert info.date_time == (1980, 1, 1, 0, 0, 0)
    assert info.create_system == 0


def test_pictures_are_typed_by_extension_where_that_is_free() -> None:
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out)
    book.add_worksheet("Summary")
    book.add_worksheet("To go")
    book.close()
    parts = members(graft(out.getvalue(), result_sheets(), PLACES))
    assert b'<Default Extension="png" ContentType="image/png"/>' in parts[TYPES]
    assert b'<Default Extension="vml"' in parts[TYPES]
    taken = edited(
        out.getvalue(),
        {TYPES: swap("<Default ", '<Default Extension="png" ContentType="text/plain"/><Default ')},
    )
    parts = members(graft(taken, result_sheets(), PLACES))
    assert b'<Override PartName="/xl/media/image1.png" ContentType="image/png"/>' in parts[TYPES]


def test_archive_comment_stays() -> None:
    out = io.BytesIO(rich_workbook())
    with zipfile.ZipFile(out, "a") as archive:
        archive.comment = b"kept by hand"
    after = graft(out.getvalue(), result_sheets(), PLACES)
    assert zipfile.ZipFile(io.BytesIO(after)).comment == b"kept by hand"


def test_empty_places_need_empty_results() -> None:
    with pytest.raises(GraftError, match="do not match"):
        graft(rich_workbook(), result_sheets(), {})


def test_records_with_data_descriptors_are_copied_whole() -> None:
    class OneWay(io.BytesIO):
        """A stream that cannot seek makes zipfile write data descriptors."""

        def seekable(self) -> bool:
            return False

        def seek(self, *where: int) -> int:
            raise io.UnsupportedOperation

    out = OneWay()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as streamed:
        for name, content in members(rich_workbook()).items():
            streamed.writestr(name, content)
    before = out.getvalue()
    assert zipfile.ZipFile(io.BytesIO(before)).infolist()[0].flag_bits & 8
    after = graft(before, result_sheets(), PLACES)
    verify(before, after, PLACES.values())
    assert zipfile.ZipFile(io.BytesIO(after)).testzip() is None


def test_many_runs_with_changing_results_do_not_pile_up_parts() -> None:
    data = rich_workbook()
    counts = []
    for fancy in itertools.islice(itertools.cycle([True, False]), 6):
        data = graft(data, result_sheets(fancy=fancy), PLACES)
        counts.append(len(members(data)))
    assert counts[::2] == [counts[0]] * 3 and counts[1::2] == [counts[1]] * 3
