"""Manure: total by analysis, split into what the crop can use, what stays, what is lost."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ledger.formulas import organic_nitrogen, split_pool
from ledger.ground import Share, covered_area
from ledger.lookup import KEY_COLUMNS, NoAnswer, find, keys_of
from ledger.model import Basis, Entry, Factor, Figure, PoolTerm
from ledger.post.amounts import in_base, measure_of
from ledger.post.desk import Desk, account, each_nutrient, material
from ledger.post.manure_slips import usable_at_ends
from ledger.post.recipe import Lack, Way, follow, recipe_of
from ledger.yard import analysis_base

# All that a split asks of a line itself: lines alike in these follow one recipe.
SPREADING = tuple(column for column in KEY_COLUMNS.values() if column != "lot")
CREDIT = ("manure_credit",)  # the figure that is unknown where a split is


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """Where a nutrient of an application goes, as shares of its total, and on what grounds."""

    available: float = 0.0
    reserve: float = 0.0
    air: float = 0.0
    undivided: float = 0.0
    factors: tuple[Factor, ...] = ()


UNKNOWN = Split(undivided=1.0)


def post_manure(entry: Entry, parts: Sequence[Share], rule: Mapping[str, Any], desk: Desk) -> None:
    """Post one spreading line: out of the store, into the zones' accounts and the air."""
    lot = material(entry, "manure_lots", rule["material"], desk)
    area = covered_area(parts)
    measure = measure_of(entry, lot, desk)
    drawn = measure.total(entry, area)
    desk.draws.add(entry, lot, drawn, measure.base)
    wanted = analysis_base(lot, desk.definitions)
    amount, density = in_base(drawn, measure.base, wanted, entry, lot, lot.text("lot"), desk)
    key = (id(measure), len(parts), *map(entry.get, SPREADING))
    recipe = desk.recipes.get(key)
    if recipe is None:
        told = (*measure.told, *density)
        found = list(_ways(entry, lot, wanted, told, rule, desk))
        recipe = recipe_of(found, len(parts), rule["stream"], desk)
        if Lack("N", CREDIT) not in found:  # each line that cannot be answered has own findings
            desk.recipes[key] = recipe
    follow(recipe, entry, parts, amount, area, desk)


def _ways(
    entry: Entry, lot: Entry, wanted: str, told: Basis, rule: Mapping[str, Any], desk: Desk
) -> Iterator[Way | Lack]:
    """Every nutrient by analysis; what leaves the store does not hang on how it is split."""
    name = entry.text("lot")
    for nutrient, column in [("N", "n_total"), *((n, c) for n, c, _ in each_nutrient(desk, "lot"))]:
        content = lot.number(column)
        if content is None:
            _analysis_missing(lot, column, nutrient, desk)
            yield Lack(nutrient, ("manure", *CREDIT))
            continue
        split = split_nitrogen(entry, lot, desk) if nutrient == "N" else share_of(nutrient, desk)
        if split.undivided:
            yield Lack(nutrient, CREDIT)
        held = (*told, desk.told(f"{nutrient} content", lot, column, content, f"kg/{wanted}"))
        yield Way(
            nutrient=nutrient,
            content=content,
            source=account(rule["from"], name),
            into={
                "available": split.available,
                "reserve": split.reserve,
                "undivided": split.undivided,
                account(rule["lost_to"], "ammonia", name): split.air,
            },
            held=held,
            divided=(*held, *split.factors),
        )


def _analysis_missing(lot: Entry, column: str, nutrient: str, desk: Desk) -> None:
    title = desk.definitions.sheets["manure_lots"].by_id[column].title
    desk.note("analysis-missing", lot, column, name=lot.text("lot"), nutrient=title)


def share_of(nutrient: str, desk: Desk) -> Split:
    """Phosphate, potash, sulfur: a flat share in year one, the rest held in reserve."""
    years = desk.manure_set.availability.get(nutrient, {})
    if 1 not in years:
        words = {"set": desk.manure_set.id, "read": nutrient, "nutrient": nutrient}
        desk.note("set-cannot-answer", desk.book.farm, "manure_set", **words)
        return UNKNOWN
    figure = years[1]
    factor = desk.published(f"{nutrient} available in year 1", figure)
    return Split(available=figure.value, reserve=1 - figure.value, factors=(factor,))


def split_nitrogen(entry: Entry, lot: Entry, desk: Desk) -> Split:
    """Split total N by the chosen set: every pool's retained and released shares.

    Returns shares of total N. What the set cannot answer is a finding, and the whole of the
    nitrogen then stays ``undivided``: on the field's books, its credit unknown.
    """
    pools = _pools(lot, desk)
    if pools is None:
        return UNKNOWN
    total = pools["total"]
    if not total:
        return Split(available=1.0)
    terms = desk.manure_set.nitrogen
    parts = [_term(term, pools[term.pool] / total, entry, lot, desk) for term in terms]
    known = [part for part in parts if part is not None]
    if len(known) < len(parts):
        return UNKNOWN
    available = sum(part.available for part in known)
    credits: dict[str, float] = {
        term.pool: part.available * total / pools[term.pool]
        for term, part in zip(terms, known, strict=True)
        if pools[term.pool]
    }
    return Split(
        available=available,
        reserve=sum(part.reserve for part in known),
        air=sum(part.air for part in known),
        factors=(
            *(factor for part in known for factor in part.factors),
            *usable_at_ends(lot, credits, available),
        ),
    )


def _pools(lot: Entry, desk: Desk) -> dict[str, float] | None:
    """The nitrogen pools of a lot that the set asks for; None when the slip lacks one."""
    wanted = {term.pool for term in desk.manure_set.nitrogen}
    total, ammonium = lot.number("n_total"), lot.number("n_ammonium")
    nitrate = lot.number("n_nitrate") or 0.0
    if total is None or (ammonium is None and wanted & {"ammonium", "organic"}):
        column = "n_total" if total is None else "n_ammonium"
        _analysis_missing(lot, column, "N", desk)
        return None
    ammonium = ammonium or 0.0
    organic = organic_nitrogen(total, ammonium, nitrate)
    return {"total": total, "ammonium": ammonium, "nitrate": nitrate, "organic": organic}


def _term(term: PoolTerm, share: float, entry: Entry, lot: Entry, desk: Desk) -> Split | None:
    if not share:
        return Split()
    retained = _figure(term.retain, term, entry, lot, desk)
    released = _figure(term.release, term, entry, lot, desk)
    if isinstance(retained, NoAnswer) or isinstance(released, NoAnswer):
        return None
    kept = retained.value if retained else 1.0
    freed = released.value if released else 1.0
    available, reserve, air = split_pool(share, retained=kept, released=freed)
    if term.rest == "air":
        later = min(reserve, share * kept * _later(term, entry, lot, desk))
        reserve, air = later, air + reserve - later
    named = [(f"{term.pool} N retained", retained), (f"{term.pool} N released", released)]
    factors = tuple(desk.published(name, figure) for name, figure in named if figure)
    return Split(available=available, reserve=reserve, air=air, factors=factors)


def _figure(
    table: str | None, term: PoolTerm, entry: Entry, lot: Entry, desk: Desk
) -> Figure | NoAnswer | None:
    if table is None:
        return None
    chosen = desk.manure_set
    kind = desk.definitions.manure_kinds.get(lot.text("kind"))
    found = find(chosen.tables[table], keys_of(entry, lot, kind, chosen, 1))
    if isinstance(found, NoAnswer):
        _report(found, entry, desk)
    return found


def _report(answer: NoAnswer, entry: Entry, desk: Desk) -> None:
    words = {"set": desk.manure_set.id, "nutrient": "N"}
    column = KEY_COLUMNS.get(answer.missing_key, "")
    if column and answer.missing_key != "group":
        sheet = desk.definitions.sheets[entry.row.grid.sheet_id]
        desk.note("set-key-missing", entry, column, expected=sheet.by_id[column].title, **words)
        return
    case = answer.case or answer.missing_key.replace("_", " ").replace("group", "this kind")
    desk.note("set-cannot-answer", entry, "method", read=case, **words)


def _later(term: PoolTerm, entry: Entry, lot: Entry, desk: Desk) -> float:
    """What the set expects of the pool in later years together, as a share of what is kept."""
    if term.release is None:
        return 0.0
    chosen = desk.manure_set
    kind = desk.definitions.manure_kinds.get(lot.text("kind"))
    table = chosen.tables[term.release]
    years = range(2, chosen.years + 1)
    found = [find(table, keys_of(entry, lot, kind, chosen, year)) for year in years]
    return sum(figure.value for figure in found if isinstance(figure, Figure))
