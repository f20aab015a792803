"""Merging style sheets: append only, equal entries shared, indexes remapped.

Lists and attributes as in ISO/IEC 29500-1, 18.8; the sheets are invented.
"""

from __future__ import annotations

import re

import pytest

from ledger.graft import GraftError
from ledger.graft.styles import merge

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
FONT = '<font><sz val="10"/><name val="Plain"/></font>'
BOLD = '<font><b/><sz val="11"/></font>'
XF = '<xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/>'
FILLS = (
    '<fills count="2"><fill><patternFill patternType="none"/></fill>'
    '<fill><patternFill patternType="gray125"/></fill></fills>'
)
BORDERS = '<borders count="1"><border><left/></border></borders>'


def sheet(*, fonts: str = FONT, formats: str = "", cells: str = XF, rest: str = "") -> bytes:
    return (
        f'<styleSheet xmlns="{MAIN}">{formats}<fonts count="1">{fonts}</fonts>{FILLS}{BORDERS}'
        f"<cellXfs>{cells}</cellXfs><cellStyles/>{rest}<extLst/></styleSheet>"
    ).encode()


def xf(font: int = 0, number: int = 0) -> str:
    return f'<xf numFmtId="{number}" fontId="{font}" fillId="0" borderId="0" xfId="0"/>'


def formats(*pairs: tuple[int, str]) -> str:
    nodes = "".join(f'<numFmt numFmtId="{n}" formatCode="{code}"/>' for n, code in pairs)
    return f'<numFmts count="{len(pairs)}">{nodes}</numFmts>'


def test_nothing_new_gives_the_same_bytes() -> None:
    base = sheet(fonts=FONT + BOLD, cells=XF + xf(1))
    merged, places = merge(base, sheet(fonts=FONT + BOLD, cells=XF + xf(1)))
    assert merged is base
    assert places.cells == {"0": "0", "1": "1"}


def test_default_font_and_style_become_those_of_the_workbook() -> None:
    other = '<font><sz val="11"/><name val="Other"/></font>'
    base = sheet()
    merged, places = merge(base, sheet(fonts=other))
    assert merged == base
    assert places.cells == {"0": "0"}


def test_new_entries_come_after_the_old_and_counts_follow() -> None:
    base = sheet(cells=XF + xf(0, 9))
    merged, places = merge(base, sheet(fonts=FONT + BOLD, cells=XF + xf(1)))
    assert places.cells == {"0": "0", "1": "2"}
    text = merged.decode()
    assert f'<fonts count="2">{FONT}{BOLD}</fonts>' in text
    assert f'<cellXfs count="3">{XF}{xf(0, 9)}{xf(1)}</cellXfs>' in text


def test_number_formats_share_codes_and_never_reuse_an_id() -> None:
    base = sheet(formats=formats((164, "0.0"), (170, "0.00 x")))
    extra = sheet(
        formats=formats((164, "0.00 x"), (165, "0 lb")), cells=XF + xf(0, 164) + xf(0, 165)
    )
    merged, places = merge(base, extra)
    text = merged.decode()
    assert formats((164, "0.0"), (170, "0.00 x"), (171, "0 lb")) in text
    assert xf(0, 170) + xf(0, 171) in text
    assert places.cells == {"0": "0", "1": "1", "2": "2"}


def test_missing_lists_are_made_where_the_schema_wants_them() -> None:
    look = '<dxf><font><b/></font><numFmt numFmtId="165" formatCode="0 t"/></dxf>'
    extra = sheet(formats=formats((164, "0 lb")), cells=xf(0, 164) * 2, rest=f"<dxfs>{look}</dxfs>")
    merged, places = merge(sheet(), extra)
    order = re.findall(r"<(numFmts|fonts|cellXfs|cellStyles|dxfs|extLst)\b", merged.decode())
    assert order == ["numFmts", "fonts", "cellXfs", "cellStyles", "dxfs", "extLst"]
    assert places.conditional == {"0": "0"}
    codes = dict(re.findall(r'numFmtId="(\d+)" formatCode="([^"]+)"/>(?!</dxf>)', merged.decode()))
    assert sorted(codes.values()) == ["0 lb", "0 t"]
    assert len(codes) == 2
    again, _ = merge(merged, extra)
    assert again == merged


def test_prefixes_do_not_make_a_difference() -> None:
    base = re.sub(rb"<(/?)(?=[a-zA-Z])", rb"<\1m:", sheet(fonts=FONT + BOLD, cells=XF + xf(1)))
    base = base.replace(b"xmlns=", b"xmlns:m=")
    merged, places = merge(base, sheet(fonts=FONT + BOLD, cells=XF + xf(1)))
    assert merged is base
    assert places.cells["1"] == "1"


def test_named_styles_of_the_results_are_not_carried_over() -> None:
    linked = '<xf numFmtId="0" fontId="1" fillId="0" borderId="0" xfId="7"/>'
    merged, _ = merge(sheet(), sheet(fonts=FONT + BOLD, cells=XF + linked))
    assert xf(1).encode() in merged
    assert b'xfId="7"' not in merged


def test_damaged_style_sheet_is_refused() -> None:
    with pytest.raises(GraftError, match="damaged"):
        merge(b"<styleSheet>", sheet())
