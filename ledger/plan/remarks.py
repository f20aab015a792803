"""Remarks: in words what is unknown, over, too little or beyond the rig on a zone."""

from __future__ import annotations

from collections.abc import Iterator

from ledger.model import Crop, Need, RigCheck, Statement
from ledger.plan.planned import excess
from ledger.plan.supplies import Lines, faulty_lines, unknown_supplies

GROUND = "a line of this field on Fields or Zones has an error; it counts as typed"


def remark(
    statement: Statement,
    need: Need | None,
    lines: Lines,
    crop: Crop | None,
    rig: RigCheck | None,
    planned: float | None,
    least: float,
) -> str:
    """Everything worth saying about a zone in one line.

    ``planned`` is what passes still to come would give and ``least`` the smallest pass [kg/ha].
    """
    to_go = statement.figures["N"]["to_go"]
    parts = [*_incomplete(statement, lines), *_unknown(statement, need, lines, crop)]
    if to_go is not None and to_go < 0:
        parts.append("over: nothing more to put on")
    elif to_go is not None and 0 < to_go < least:
        parts.append("too little for a pass")
    if excess(statement, planned):
        parts.append("over with what is planned")
    return "; ".join([*parts, *_rig(rig)])


def _incomplete(statement: Statement, lines: Lines) -> Iterator[str]:
    if statement.incomplete:
        names = faulty_lines(statement, lines)
        missing = f"a line with an error is missing ({names})" if names else GROUND
        yield f"incomplete: {missing}"


def _unknown(
    statement: Statement, need: Need | None, lines: Lines, crop: Crop | None
) -> Iterator[str]:
    if need and need.figures["N"] is None and need.missing:
        yield f"need unknown: it wants {', '.join(need.missing)}"
    elif need and need.figures["N"] is None and crop and crop.legume:
        yield f"no need reckoned: {crop.id} fetches its own nitrogen"
    if supplies := unknown_supplies(statement, lines):
        yield f"supply unknown: {', '.join(supplies)}"


def _rig(rig: RigCheck | None) -> Iterator[str]:
    if rig and rig.speed_fits is False:
        yield "no speed fits: see the outlet that would"
    elif rig and rig.pressure_ok is False:
        yield "the planned speed does not fit: see the speeds and the outlet that would"
