"""What is asked once for many postings is what asking each of them would give."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from dataclasses import replace
from math import fsum
from pathlib import Path

import pytest
from bench.ledgers import entries
from farms import STANDARD
from lines import ZONED, cut, fed, lot, spread
from workbooks import SHIPPED, Source, run

from ledger.balance.figures import PRIMARY, SIGNS, counted_to
from ledger.gate.lines import Gatekeeper, crossing
from ledger.gate.meeting import STEPS, step_of
from ledger.ground import shares
from ledger.lookup import keys_of
from ledger.model import AREA, Entry, Factor, Finding, Gap, Posting, Results, Zone
from ledger.post import post
from ledger.post.desk import Desk, account
from ledger.post.manure import SPREADING
from ledger.reach import is_ranged, reach

EXAMPLE = Path(__file__).parents[1] / "examples" / "farm.xlsx"
MADE_UP = {name: [dict(line) for line in group] for name, group in entries(300, 3).items()}
ZONES = ZONED + lot() + spread() + spread(zone="west") + spread(area_covered=10)
ZONES += fed() + fed(zone="west") + fed(area_covered=5) + cut() + cut(zone="west")
UNANSWERED = ZONED + lot() + spread(method="broadcast") + spread(method="broadcast", zone="west")
FARMS: dict[str, Source] = {
    "zones": ZONES,
    "example": EXAMPLE.read_bytes(),
    "standard": STANDARD,
    "made up": MADE_UP,
    "ranged set": {**MADE_UP, "farm": [{**MADE_UP["farm"][0], "manure_set": "IA-PMR1003"}]},
}


@pytest.fixture(scope="module", params=FARMS)
def results(request: pytest.FixtureRequest) -> Results:
    return run(FARMS[request.param]).results


def by(
    key: Callable[[Posting], Hashable], postings: Iterable[Posting]
) -> dict[Hashable, list[Posting]]:
    groups: dict[Hashable, list[Posting]] = {}
    for posting in postings:
        groups.setdefault(key(posting), []).append(posting)
    return groups


# ------------------------------------------------------------------------- journal
def test_masses_groups_and_lines_of_a_journal(results: Results) -> None:
    postings = results.journal.postings
    assert {k: list(m) for k, m in postings.masses_by(lambda kind: kind.account).items()} == {
        account: [p.mass for p in own] for account, own in by(lambda p: p.account, postings).items()
    }
    some = postings[1::2]
    divided = some.divided(lambda kind, entry: (kind.stream, entry.text("pass")))
    by_hand = by(lambda p: (p.stream, p.entry.text("pass")), some)
    assert list(divided) == list(by_hand)
    assert {key: list(own) for key, own in divided.items()} == by_hand
    assert [(id(entry), moved) for entry, moved in postings.moved_by_line()] == [
        (entry, sum(abs(p.mass) for p in own))
        for entry, own in by(lambda p: id(p.entry), postings).items()
    ]


def test_bases_are_the_factors_that_are_not_typed_in_the_line(results: Results) -> None:
    published = {f for p in results.journal.postings for f in p.factors if f.published}
    assert published == {f for b in results.journal.postings.bases for f in b if f.published}
    for posting, basis in zip(
        results.journal.postings, results.journal.postings.asked(lambda told: told), strict=True
    ):
        assert [f for f in posting.factors if f in basis] == list(basis)
        row = posting.entry.row
        for factor in set(posting.factors) - set(basis):
            assert factor.origin in {f"{row.grid.sheet_name}!{row.address(c)}" for c in row.cells}


# --------------------------------------------------------------------------- posting
def test_a_recipe_gives_every_share_of_a_line_its_part(results: Results) -> None:
    """Amount times content, cut by area: what the lot says times what its line put on."""
    lots = results.book.named("manure_lots", "lot")
    drawn = {id(draw.entry): draw for draw in results.journal.draws}
    left = [
        p for p in results.journal.postings if p.account.root == "store" and id(p.entry) in drawn
    ]
    assert left
    for posting in left:
        draw, lot = drawn[id(posting.entry)], lots[posting.entry.text("lot")]
        [part] = [s.part for s in shares(posting.entry, results.book) if s.zone is posting.zone]
        column = {"N": "n_total"}.get(posting.nutrient, posting.nutrient.lower())
        density = [f.value for f in posting.factors if f.name == "density"]
        amount = draw.amount * (density[0] if density and draw.base == "L" else 1)
        amount /= density[0] if density and draw.base == "kg" else 1
        assert posting.mass == pytest.approx(-amount * (lot.number(column) or 0) * part)


@pytest.mark.parametrize("name", [*FARMS, "unanswered"])
def test_a_line_posts_what_it_would_post_alone(name: str) -> None:
    """What is kept of earlier lines holds for later ones: postings, gaps and findings."""
    book = run(FARMS.get(name, UNANSWERED)).results.book
    others = {sheet.id: () for sheet in SHIPPED.sheets.values() if sheet.posting}
    material = {sheet: book.entries.get(sheet, ()) for sheet in ("manure_spread", "fertilizer")}
    whole, found = post(replace(book, entries={**book.entries, **others, **material}), SHIPPED)
    postings, gaps, told = list[Posting](), list[Gap](), dict[Finding, None]()
    for sheet, lines in material.items():
        for line in lines:
            alone = replace(book, entries={**book.entries, **others, sheet: [line]})
            journal, own = post(alone, SHIPPED)
            postings += journal.postings
            gaps += journal.gaps
            told |= dict.fromkeys(own)
    assert list(whole.postings) == postings
    assert list(whole.gaps) == gaps
    assert found == list(told)
    assert bool(found) or name != "unanswered"


# ------------------------------------------------------------------------------ gate
def test_lines_and_steps_of_the_gate(results: Results) -> None:
    keeper = Gatekeeper(book=results.book, journal=results.journal, definitions=SHIPPED)
    outside = [p for p in results.journal.postings if p.account.root != "field"]
    ways = by(lambda p: crossing(p, p.entry, keeper), outside)
    lines = {(line.direction, line.name): line for line in results.gate.lines}
    assert [key for key in ways if key] and {key for key in ways if key} <= set(lines)
    in_one_direction = [line.name for line in results.gate.lines if line.direction == "out"]
    met = [way[1] for way in ways if isinstance(way, tuple) and way[0] == "out"]
    assert [name for name in in_one_direction if name in met] == met  # in the order of the first
    steps = by(lambda p: step_of(p, p.entry, keeper), outside)
    told = dict(results.gate.meeting)
    for nutrient in SHIPPED.nutrients:
        for way, own in ways.items():
            if way:
                line = lines[way]  # type: ignore[index]
                assert line.masses[nutrient] in (
                    None,
                    abs(_sum(own, nutrient)),
                    _sum(own, nutrient),
                )
                assert (nutrient in line.ranged) is any(
                    is_ranged(p) for p in own if p.nutrient == nutrient
                )
        for step in STEPS:
            own = steps.get(step, [])
            assert told[step][nutrient] in (None, _sum(own, nutrient))
            assert ((step, nutrient) in results.gate.ranged) is any(
                is_ranged(p) for p in own if p.nutrient == nutrient
            )


def _sum(postings: Iterable[Posting], nutrient: str) -> float:
    return fsum(p.mass for p in postings if p.nutrient == nutrient)


# ----------------------------------------------------------------- balance and ranges
def test_figures_and_their_ends(results: Results) -> None:
    whole = by(lambda p: (p.zone, p.nutrient, counted_to(p)), results.journal.postings)
    statements = {
        (s.zone, n): figures for s in results.statements for n, figures in s.figures.items()
    }
    for item in results.ranges.zones:
        for figure in PRIMARY:
            own, span = whole.get((item.zone, item.nutrient, figure), []), item.spans[figure]
            if span is None:
                assert statements[item.zone, item.nutrient][figure] is None
                continue
            sign, area = SIGNS.get(figure, 1), item.zone.area
            assert span.used == statements[item.zone, item.nutrient][figure]
            assert span.used == (sign * fsum(p.mass for p in own) + 0.0) / area
            for end, told in (("low", span.low), ("high", span.high)):
                ends = [p.mass * reach(p.factors, end) for p in own]
                assert told == (sign * fsum(ends) + 0.0) / area


def test_what_moves_a_figure_most(results: Results) -> None:
    postings = by(lambda p: (p.zone, p.nutrient), results.journal.postings)
    for item in results.ranges.zones:
        widths: dict[tuple[str, str], dict[str, float]] = {}
        for p in postings.get((item.zone, item.nutrient), []):
            for f in p.factors if counted_to(p) else ():
                if f.low is not None and f.high is not None and f.value:
                    width = abs((f.high - f.low) / f.value * p.mass) / item.zone.area
                    by_figure = widths.setdefault((f.name, f.origin), {})
                    by_figure[counted_to(p)] = by_figure.get(counted_to(p), 0.0) + width
        told = {(i.name, i.origin): i.width for i in item.influences if "in the need" not in i.name}
        assert told == {key: max(own.values()) for key, own in widths.items() if max(own.values())}


# ------------------------------------------------------------------------------- plan
def test_reasons_of_the_plan_are_its_lines_and_their_publications(results: Results) -> None:
    streams = {"residual": "earlier manure", "credits": "other credits", "manure": "manure"}
    for line in results.plan.lines:
        zone = line.statement.zone
        own = [
            p
            for p in results.journal.postings
            if p.zone == zone and p.nutrient == "N" and p.stream != "removal"
            if p.account.root == "field" and p.account.path[-1] == "available"
        ]
        groups = by(lambda p: streams.get(p.stream) or p.entry.text("pass") or "other", own)
        told = {figure: line.reasons[figure] for figure in line.reasons if "need" not in figure}
        told.pop("planned", None)
        assert told == {name: _told(group, zone) for name, group in groups.items()}
        assert list(told) == list(groups)
        assert all(figure in line.reasons for figure in line.reasons)
        assert "no such supply" not in line.reasons


def _told(postings: Iterable[Posting], zone: Zone) -> tuple[Factor, ...]:
    lines, published = [], dict[Factor, None]()
    for p in postings:
        used = p.mass / zone.area
        ends = {e: used * reach(p.factors, e) for e in ("low", "high")} if is_ranged(p) else {}
        origin = f"{p.entry.row.grid.sheet_name}!{p.entry.row.address('field')}"
        lines.append(Factor(name="line", value=used, unit="kg/ha", origin=origin, **ends))
        published |= dict.fromkeys(f for f in p.factors if f.published)
    return (*lines, *published)


class Asked:
    """An entry that notes which of its cells are asked for."""

    def __init__(self, entry: Entry) -> None:
        self._entry = entry
        self.columns: set[str] = set()

    def get(self, column: str) -> object:
        self.columns.add(column)
        return self._entry.get(column)

    def text(self, column: str, default: str = "") -> str:
        self.columns.add(column)
        return self._entry.text(column, default)

    def number(self, column: str) -> float | None:
        self.columns.add(column)
        return self._entry.number(column)


def test_a_split_asks_nothing_of_a_line_but_what_lines_alike_share() -> None:
    """A recipe is kept for all lines alike in these cells: another would make it stale."""
    done = run(ZONED + lot("hog liquid") + spread(amount=3000, incorporated_after_h=12))
    [entry] = done.results.book.entries["manure_spread"]
    [manure] = done.results.book.entries["manure_lots"]
    for chosen in SHIPPED.manure_sets.values():
        for kind in SHIPPED.manure_kinds.values():
            asked = Asked(entry)
            keys_of(asked, manure, kind, chosen, 1)  # type: ignore[arg-type]
            assert asked.columns <= set(SPREADING)


def test_a_posting_that_names_an_area_must_be_given_one() -> None:
    done = run(ZONED + lot("hog liquid") + spread(amount=3000))
    book = done.results.book
    [entry] = book.entries["manure_spread"]
    [share, *_] = shares(entry, book)
    [manure_set, *_] = SHIPPED.manure_sets.values()
    [removal_set, *_] = SHIPPED.removal_sets.values()
    [legume_set, *_] = SHIPPED.need.legume_sets.values()
    desk = Desk(
        book=book,
        definitions=SHIPPED,
        manure_set=manure_set,
        removal_set=removal_set,
        legume_set=legume_set,
        named={},
    )
    flows = {account("dealer"): -1.0, account("air", "ammonia"): 1.0}
    with pytest.raises(AssertionError, match="names an area"):
        desk.move(entry, share, "N", flows, (AREA,), "manure")
