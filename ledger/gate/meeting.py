"""How the gate and the sum of the fields meet: through stores, herd and crops kept.

The steps are sums of postings, so they add up to the gate's balance exactly. What is left in
the herd is not explained by any line: losses in barn and store, and errors.
"""

from __future__ import annotations

from collections.abc import Sequence

from ledger.gate.lines import AIR, WATER, Gatekeeper, grouped, reaching
from ledger.model import Entry, GateLine, Kind, Masses, Posting, Total, Zone
from ledger.unknown import added

FIELDS = "Sum of the fields: applied - removed"
UNFIELDED = "Irrigation water and deposition, which the field balances leave out"
STORES = "More put into stores than taken out"
LOST = "Lost from stores"
CROPS = "Crops kept, or their use not told"
HERD = "Herd: feed, animals and bedding in, less animals, milk and manure out"
HOME = "Home manure out of stores that are not kept (shown with a minus)"
STEPS = (STORES, LOST, CROPS, HERD, HOME)
UNEXPLAINED = (HERD, HOME)
USED_AT_HOME = ("fed", "bedding")
BY_ORIGIN = {"kept": STORES, "home": HOME}
BY_MOVE = {"produced": [STORES, HERD], "lost": [STORES, LOST]}
Step = tuple[str, Masses]


def meeting_of(keeper: Gatekeeper, farm: Total, lines: Sequence[GateLine]) -> list[Step]:
    """The steps from the field balances to the gate's balance without fixation [kg]."""
    nutrients = keeper.definitions.nutrients
    beside = [line.masses for line in lines if line.name in (WATER, AIR)]
    sums = grouped(
        keeper,
        lambda kind, entry: step_of(kind, entry, keeper),
        lambda entry, stream, zone: _steps_of_gap(entry, stream, zone, keeper),
    )
    nothing: Masses = dict.fromkeys(nutrients, 0.0)
    return [
        (FIELDS, {n: farm.figures[n]["balance"] for n in nutrients}),
        (UNFIELDED, {n: added(masses[n] for masses in beside) for n in nutrients}),
        *((step, sums.get(step, nothing)) for step in STEPS),
    ]


def reaching_steps(keeper: Gatekeeper) -> frozenset[tuple[str, str]]:
    """The steps and nutrients that hang on figures with a range; the fields tell their own."""
    return frozenset(reaching(keeper, lambda kind, entry: step_of(kind, entry, keeper)))


def unexplained_of(steps: Sequence[Step]) -> Masses:
    """The part of the way that no line explains [kg]."""
    parts = [masses for name, masses in steps if name in UNEXPLAINED]
    return {n: added(masses[n] for masses in parts) for n in steps[0][1]}


def step_of(kind: Kind | Posting, entry: Entry, keeper: Gatekeeper) -> str | None:
    """The step that a posting belongs to: one at most, so nothing counts twice."""
    root = kind.account.root
    if root == "store":
        return BY_ORIGIN.get(keeper.origin(kind.account.path[0]))
    if root == "harvest":
        sold_by_ticket = kind.stream == "gate"
        return CROPS if sold_by_ticket else _use(entry, kind.zone)
    return {"lost": LOST, "herd": HERD}.get(root)


def _use(entry: Entry, zone: Zone) -> str | None:
    """Where harvested nutrients went that did not leave through the gate."""
    use = entry.text("use")
    if zone.custom or use == "sold":
        return None
    return HERD if use in USED_AT_HOME else CROPS


def _steps_of_gap(entry: Entry, stream: str, zone: Zone, keeper: Gatekeeper) -> list[str]:
    if stream == "manure":
        step = BY_ORIGIN.get(keeper.origin(entry.text("lot")))
    elif stream == "removal":
        step = _use(entry, zone)
    elif stream == "gate":
        step = CROPS if entry.text("item") == "crop" else HERD
    else:
        return BY_MOVE.get(entry.text("kind"), [STORES]) if stream == "store" else []
    return [step] if step else []
