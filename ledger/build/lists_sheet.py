"""The sheet 'Lists': the words that drop-downs offer, with what each of them means."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from ledger import measure
from ledger.build.plan import BACK, TITLE_ROW, Plan
from ledger.look import Look, set_up_page
from ledger.model import Column, Crop, Definitions, Figure, Sheet

NAME = "Lists"
HELP = "Words to pick from on the other sheets, and what they stand for. Nothing is typed here."
HEADINGS = ("Word", "In short", "More about it")
WIDTHS = (26.0, 40.0, 100.0)
INLINE_LENGTH = 255  # characters of a list inside a drop-down; a limit of the file format
HELP_ROW, FIRST_SECTION_ROW, LINES_OVER_WORDS, LINES_BETWEEN = 1, 3, 2, 1

Describe = Callable[[str, Definitions], tuple[str, str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One list: its words and what they mean, from row ``first`` on (counted from 0)."""

    key: str
    title: str
    lines: tuple[tuple[str, str, str], ...]
    first: int

    @property
    def source(self) -> str:
        """The cells of the words, as a drop-down refers to them."""
        return f"='{NAME}'!$A${self.first + 1}:$A${self.first + len(self.lines)}"


def choices(plan: Plan, sheet: Sheet, column: Column) -> list[str] | str:
    """A column's choices as a drop-down takes them: the words, or the cells of a long list."""
    if _fits_inline(column):
        return list(column.choices)
    return source(plan, _key(sheet, column))


def source(plan: Plan, key: str) -> str:
    """The cells of a list by its key; KeyError when the sheet has no such list."""
    return {section.key: section.source for section in sections(plan)}[key]


def sections(plan: Plan) -> list[Section]:
    """The lists of the sheet, in order."""
    found: list[Section] = []
    row = FIRST_SECTION_ROW
    for key, title, lines in _lists(plan.definitions):
        first = row + LINES_OVER_WORDS
        found.append(Section(key=key, title=title, lines=lines, first=first))
        row = first + len(lines) + LINES_BETWEEN
    return found


def _lists(
    definitions: Definitions,
) -> Iterator[tuple[str, str, tuple[tuple[str, str, str], ...]]]:
    for table in _tables(definitions):
        title, describe = _TABLES.get(table, (table.replace("_", " ").capitalize(), _plain))
        words = definitions.table(table)
        yield table, title, tuple((word, *describe(word, definitions)) for word in words)
    for sheet in definitions.sheets.values():
        for column in sheet.columns:
            if not _fits_inline(column):
                lines = tuple((word, "", "") for word in column.choices)
                yield _key(sheet, column), f"{sheet.title}: {column.title}", lines


def _tables(definitions: Definitions) -> list[str]:
    """The tables that some column looks up, those described here first and in that order."""
    columns = [column for sheet in definitions.sheets.values() for column in sheet.columns]
    used = [column.lookup.table for column in columns if column.lookup and column.lookup.table]
    ranks = list(_TABLES)
    return sorted(
        dict.fromkeys(used), key=lambda name: ranks.index(name) if name in ranks else len(ranks)
    )


def _fits_inline(column: Column) -> bool:
    text = ",".join(column.choices)
    return len(text) <= INLINE_LENGTH and text.count(",") < max(1, len(column.choices))


def _key(sheet: Sheet, column: Column) -> str:
    return f"{sheet.id}.{column.id}"


def _crop(word: str, definitions: Definitions) -> tuple[str, str]:
    crop = definitions.crops[word]
    units = " or ".join(dict.fromkeys(crop.yield_unit.values()))
    return f"Yield in {units}{', legume' if crop.legume else ''}", "; ".join(_parts(crop))


def _parts(crop: Crop) -> Iterator[str]:
    if crop.bushel_weight:
        yield f"A bushel is {crop.bushel_weight.value:g} lb"
    for part in crop.parts.values():
        moisture = part.standard_moisture
        yield f"{part.id} at {moisture.value:g} % moisture" if moisture else part.id


def _crop_part(word: str, definitions: Definitions) -> tuple[str, str]:
    crops = [crop.id for crop in definitions.crops.values() if word in crop.parts]
    return "Part of a crop", f"Known for {', '.join(crops)}"


def _manure_kind(word: str, definitions: Definitions) -> tuple[str, str]:
    kind = definitions.manure_kinds[word]
    sets = [found.id for found in definitions.manure_sets.values() if word in found.groups]
    known = f"Credit figures in {', '.join(sets)}" if sets else "No credit set has figures for it"
    return f"{kind.species.capitalize()}, {kind.form}", known


def _manure_set(word: str, definitions: Definitions) -> tuple[str, str]:
    found = definitions.manure_sets[word]
    edition = found.edition.rstrip(".")
    return found.title, f"{found.about} Edition: {edition}. {found.source.citation()}"


def _removal_set(word: str, definitions: Definitions) -> tuple[str, str]:
    found = definitions.removal_sets[word]
    return found.title, found.about


def _legume_set(word: str, definitions: Definitions) -> tuple[str, str]:
    found = definitions.need.legume_sets[word]
    return found.title, found.about


def _nitrate_set(word: str, definitions: Definitions) -> tuple[str, str]:
    found = definitions.need.nitrate_sets[word]
    return found.title, found.about


def _herd_kind(word: str, definitions: Definitions) -> tuple[str, str]:
    kind = definitions.herd.kinds[word]
    weight = definitions.herd.animal_unit.value / kind.per_unit.value
    unit = definitions.herd.animal_unit.unit
    return (
        f"{weight:,.0f} {unit} where no weight is typed",
        f"{kind.mass.value:g} {kind.mass.unit}. {kind.mass.citation()}",
    )


def _goods(word: str, definitions: Definitions) -> tuple[str, str]:
    goods = definitions.gate.goods.get(word)
    if goods is None:
        return "Crop", "By the crop removal set, main part"
    held = [f"{e} {f.value:g} %{_recalled(f)}" for e, f in goods.contents.items()]
    dry = goods.dry_matter
    basis = f" of dry matter, {dry.value:g} %{_recalled(dry)} of the weight" if dry else ""
    return goods.item.capitalize(), f"{', '.join(held)}{basis}"


def _recalled(figure: Figure) -> str:
    return " (from memory, check)" if figure.status == "memory" else ""


def _plain(word: str, definitions: Definitions) -> tuple[str, str]:
    """For a table that has no description yet: the words alone."""
    return "", ""


_TABLES: Mapping[str, tuple[str, Describe]] = {
    "crops": ("Crops", _crop),
    "crop_parts": ("Parts of crops", _crop_part),
    "manure_kinds": ("Kinds of manure", _manure_kind),
    "manure_sets": ("Manure credit sets", _manure_set),
    "removal_sets": ("Crop removal sets", _removal_set),
    "legume_sets": ("Legume credit sets", _legume_set),
    "nitrate_sets": ("Nitrate test sets", _nitrate_set),
    "herd_kinds": ("Animals", _herd_kind),
    "goods": ("Goods through the gate", _goods),
}


def write(worksheet: Any, look: Look, plan: Plan) -> None:
    """Write all lists below each other and protect them, without a password."""
    worksheet.hide_gridlines(2)
    for at, width in enumerate(WIDTHS):
        worksheet.set_column(at, at, width)
        worksheet.write_blank(HELP_ROW, at, None, look["help_line"])
    worksheet.set_row(TITLE_ROW, 24)
    worksheet.write_string(TITLE_ROW, 0, NAME, look["title"])
    worksheet.write_url(TITLE_ROW, 1, BACK[0], look["link"], BACK[1])
    worksheet.write_string(HELP_ROW, 0, HELP, look["help_line"])
    for section in sections(plan):
        _section(worksheet, look, section)
    worksheet.freeze_panes(HELP_ROW + 1, 1)
    worksheet.protect()
    set_up_page(worksheet, NAME, plan.footer)


def _section(worksheet: Any, look: Look, section: Section) -> None:
    top = section.first - LINES_OVER_WORDS
    worksheet.set_row(top, 20)
    worksheet.write_string(top, 0, section.title, look["subtitle"])
    for at, text in enumerate(HEADINGS):
        worksheet.write_string(top + 1, at, text, look["heading"])
    for row, line in enumerate(section.lines, start=section.first):
        worksheet.set_row(row, max(map(measure.height, line, WIDTHS)))
        for at, text in enumerate(line):
            worksheet.write_string(row, at, text, look["reference"])
