"""What checks by hand and eye are held against: forces of pull tests, gaps, a known cell."""

from __future__ import annotations

from dataclasses import replace
from math import ceil

from guidegen.calc import checks, making
from guidegen.calc.air import GRAVITY
from guidegen.calc.balance import MetrePerSecondSquared
from guidegen.calc.tables import source
from guidegen.design.model import Model
from guidegen.design.result import PRACTICE, Desk, Section
from guidegen.errors import RangeError
from guidegen.kinds import (
    Count,
    FineMetre,
    Kilogram,
    LongMetre,
    LuxReach,
    Metre,
    PullForce,
    Ratio,
)
from guidegen.spec.model import Fixture
from guidegen.values import band

#: Wires whose joints bear a pull; those on a tape's pads and on a module's are pulled gently.
PULLED = ("battery_wire", "supply_lead", "lead", "link", "stage_link", "feed", "fan_wire",
          "pilot_wire")  # fmt: skip
#: A pull that a soldered pad of tape bears, and a push that a part in its place bears. [kg].
PAD_PULL, PUSH = 0.1, 1.0
#: Pull on a wire thinner than those of the table, over its copper: as the thinnest there. [N/m²].
THIN_PULL = 10 / 0.2e-6
#: How far a lead may slip in its wall under its pull. [m].
SLIP = 0.002
SLIP_SOURCE = "IEC 60598-1, test of a cord anchorage, from memory"
#: Gap that an eye finds at a square or between pieces. [m].
GAP = 0.0005
#: How far a sheet or strip may be off its planned thickness before the plan is made anew. [m].
OFF = 0.0005
#: Two diagonals of what is glued. [m].
DIAGONALS = 0.002
#: A finger of the test finger's width. [m].
FINGER = 0.012
FINGER_SOURCE = "IEC 61032 test finger, from memory"
#: Of the hung load to the light's mass.
LOAD = 3.0
THREADS = 5
#: How far apart points may lie for a usual pair of leads of a metre each, the meter lying beside
#: one of them. [m].
PROBES_REACH = 1.0
#: Wires that lie between supply and light: fault finding reads along them, end to end.
OUTSIDE = ("battery_wire", "supply_lead", "lead")


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle what the checks of the steps are held against, and what their tools must reach."""
    desk = Desk("checks", fixture, before)
    model: Model = desk.result("circuit")
    _pulls(desk, model)
    desk.given("check.pad_pull", Kilogram, PAD_PULL, "project default")
    desk.given("check.push", Kilogram, PUSH, "project default")
    desk.given("check.gap", FineMetre, GAP, "project default")
    desk.given("check.diagonals", FineMetre, DIAGONALS, "project default")
    desk.given("check.thickness", FineMetre, OFF, "project default")
    desk.given("check.finger", FineMetre, FINGER, FINGER_SOURCE)
    desk.given("meter.reach", Metre, PROBES_REACH, PRACTICE)
    if desk.fact("mount"):
        factor = desk.given("mount.test_factor", Ratio, LOAD, "project default")
        desk.work("mount.pull_load", making.pull_load, mass=desk["body.mass"], factor=factor)
        desk.given("mount.turns", Count, THREADS, PRACTICE)
    _tools(desk, model)
    return desk.section()


def _pull_of(area: float) -> tuple[float, str]:
    """Force of the pull on a wire, and its source; the standard begins at 0.2 mm²."""
    try:
        return checks.clamped_pull(area), source("pulls")
    except RangeError:
        return THIN_PULL * area, "project default: below the table of IEC 60999-1"


def _pulls(desk: Desk, model: Model) -> None:
    """A pull for the thinnest wire of each role, and one for the lead where it enters."""
    gravity = desk.given("check.gravity", MetrePerSecondSquared, GRAVITY, "ISO 80000-3")
    for role in PULLED:
        areas = [wire.size for wire in model.wires(role)]
        if not areas:
            continue
        thinnest = min(areas, key=lambda area: area.si)
        force = desk.given(f"{role}.pull_force", PullForce, *_pull_of(thinnest.si))
        desk.work(f"{role}.pull", checks.hung, force=force, gravity=gravity)
    for role, entry in (("lead", "tie"), ("feed", "feed_tie")):
        wires = model.wires(role)
        if not wires or not model.by_role(entry):
            continue
        # Two panels have a cable each, and a tie each.
        ties = sum(part.count for part in model.by_role(entry))
        cores = desk.given(f"{role}.anchored_cores", Count, ceil(len(wires) / ties),
                           "counted in the model")  # fmt: skip
        area = desk.work(f"{role}.anchored_area", checks.together, one=wires[0].size, cores=cores)
        force = desk.given(f"{role}.anchored_force", PullForce, checks.anchored_pull(area.si),
                           source("pulls"))  # fmt: skip
        desk.work(f"{role}.anchored_pull", checks.hung, force=force, gravity=gravity)
        if "check.slip" not in desk:
            desk.given("check.slip", FineMetre, SLIP, SLIP_SOURCE)


def _tools(desk: Desk, model: Model) -> None:
    """What the bench supply must give and the rule must reach, in any step of the guide."""
    start = desk["bench.start" if "bench.start" in desk else "supply.voltage"]
    own = desk["supply.highest" if desk.fact("battery") else "supply.voltage"]
    desk.work("bench.supply_voltage", checks.highest_voltage, row=desk["tape.voltage"],
              start=start, own=own)  # fmt: skip
    short = desk["bench.limit_short" if "bench.limit_short" in desk else "bench.limit"]
    desk.work("bench.supply_current", checks.highest_limit, row=desk["row.sample_limit"],
              test=desk["bench.limit"], full=desk["bench.limit_full"], short=short)  # fmt: skip
    desk.work("rule.reach", checks.rule_reach, diagonal=desk["board.diagonal"],
              distance=desk["light.axis_distance"])  # fmt: skip
    axis, field = (
        desk.given(
            f"lux.{name}", LuxReach, band(desk[value])[1], f"upper end of the band of {value}"
        )
        for name, value in (("axis", "light.axis_illuminance"), ("field", "light.nine_greatest"))
    )
    desk.work("lux.reach", checks.lux_reach, axis=axis, field=field)
    outside = sum(wire.length.si for wire in model.conductors
                  if wire.polarity == "+" and wire.role in OUTSIDE)  # fmt: skip
    desk.work("extension.reach", checks.extension_reach, diagonal=desk["rule.reach"],
              leads=desk.given("extension.leads", LongMetre, outside,
                               "counted in the model"))  # fmt: skip
    heaviest = max((value for name, value in desk.values.items()
                    if name.endswith(("_pull", ".pull"))), key=lambda value: value.si)  # fmt: skip
    desk.put(replace(heaviest, name="scale.reach"))
