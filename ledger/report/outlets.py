"""The rig in the plan: flow, pressure and speeds of every zone, and one speed for all."""

from __future__ import annotations

from ledger.model import Plan, PlanLine, RigCheck
from ledger.model.ranges import Ranges
from ledger.report.plan_order import WHERE, rough_line, where
from ledger.report.spans import rough
from ledger.report.tables import Cell, Heading, Line, Table
from ledger.report.units import Shown


def rig_table(todo: Plan, ranges: Ranges, shown: Shown) -> Table:
    """What each zone's rate asks of an outlet, and whether it can be had."""
    headings = [
        *WHERE,
        Heading(text=f"Flow per outlet [{shown.label('flow')}]", format="two", width=11),
        Heading(text=f"Pressure [{shown.label('pressure')}]"),
        Heading(text="Within limits", format="text"),
        Heading(text=f"Slowest [{shown.label('speed')}]"),
        Heading(text=f"Fastest [{shown.label('speed')}]"),
        Heading(text=f"Outlet that would fit [{shown.label('flow')}]", format="two", width=11),
    ]
    asked = [line for line in todo.lines if line.rate or line.statement.incomplete]
    lines = [_line(line, ranges, shown) for line in asked]
    note = "The outlet that would fit is given as its flow at the known pressure, known fluid. "
    common = common_speeds(todo, shown)
    return Table(title="Can the rig put it on?", headings=headings, lines=lines, note=note + common)


def common_speeds(todo: Plan, shown: Shown) -> str:
    """The speeds that hold every zone's rate within the pressure limits, in words."""
    rigs = [line.rig for line in todo.lines if line.rig]
    slow = [rig.speed_min for rig in rigs if rig.speed_min is not None]
    fast = [rig.speed_max for rig in rigs if rig.speed_max is not None]
    if not slow or not fast:
        return ""
    known = all(line.rate is not None for line in todo.lines)
    zones = "all zones" if known else "all zones whose rate is known"
    if max(slow) > min(fast):
        return f"No one speed fits {zones}."
    low, high = shown.value("speed", max(slow)), shown.value("speed", min(fast))
    return f"Speeds that fit {zones}: {low:.1f} to {high:.1f} {shown.label('speed')}."


def _line(line: PlanLine, ranges: Ranges, shown: Shown) -> Line:
    rig, when = line.rig, rough_line(line, ranges)
    if line.statement.incomplete:  # no rate is known to ask the outlets for
        return Line(cells=[*where(line), "", "", "incomplete", "", "", ""])
    if rig is None:
        return Line(cells=[*where(line), None, None, "unknown", None, None, ""])
    wanted: Cell = "" if rig.outlet_wanted is None else shown.value("flow", rig.outlet_wanted)
    return Line(
        cells=[
            *where(line),
            rough(shown.value("flow", rig.flow_per_outlet), when),
            rough(shown.value("pressure", rig.pressure), when),
            _fits(rig),
            rough(shown.value("speed", rig.speed_min), when),
            rough(shown.value("speed", rig.speed_max), when),
            rough(wanted, when),
        ]
    )


def _fits(rig: RigCheck) -> str:
    if rig.speed_fits is False:
        return "no speed fits"
    if rig.pressure is None:
        return "speed not given"
    return {True: "yes", False: "no", None: "limits not given"}[rig.pressure_ok]
