"""Corners of supply and control against every point between them; run times."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest

from guidegen.calc import battery
from guidegen.design import Design, settle
from guidegen.design.solved_curve import curve
from guidegen.spec import load
from guidegen.spec.changes import changed
from tests.design.by_hand import share_of_rated

SPECS = Path(__file__).parents[2] / "specs"


def designed(spec: str, **changes: str) -> Design:
    fixture = load(SPECS / f"{spec}.yaml")
    named = {key.replace("__", "."): text for key, text in changes.items()}
    return settle(changed(fixture, named) if named else fixture, mends=False)


DESIGNS = {
    "step down": lambda: designed("herbarium-copy-light"),
    "step up, fan": lambda: designed("puppet-wash-light"),
    "bank, pulses": lambda: designed("boatshed-work-bar"),
    "tape straight on the adapter": lambda: designed(
        "herbarium-copy-light", supplies__1="{adapter: adapter-12v-60w}", chain__regulator="none"),
}  # fmt: skip


def current(design: Design, volts: float, setting: float) -> float:
    """From the supply, by Ohm, Kirchhoff and Shockley alone."""
    v = {name: value.si for name, value in design.values.items()}
    tape = setting
    if not design.facts["regulator"]:
        tape = volts
    elif design.facts["step_up"]:
        tape = max(setting, volts - v["regulator.dropout"])
    else:
        tape = min(setting, volts - v["leads.drop"] - v["regulator.dropout"])
    share = share_of_rated(tape, v["tape.voltage"], v["tape.leds_per_group"],
                           v["tape.forward_voltage"])  # fmt: skip
    one = share * v["tape.power"] * v["tape.increment"] / v["tape.voltage"]
    amps = one * v["row.groups"] * v["row.count"]
    power = tape * amps + v.get("pulse_width.loss", 0.0)
    return (power / v.get("regulator.efficiency", 1.0) + v.get("fan.power", 0.0)) / volts


@pytest.mark.parametrize("name", DESIGNS)
def test_no_point_of_the_window_passes_its_corners(name: str) -> None:
    design = DESIGNS[name]()
    v = {key: value.si for key, value in design.values.items()}
    corners = {(one.supply, one.control): v[f"corner_{one.number}.input"]
               for one in design.result("corners")}  # fmt: skip
    settings = {"full": v["setting.full"], "low": v.get("control.low_output", v["setting.low"])}
    for (supply, control), amps in corners.items():
        expected = current(design, v[f"supply.{supply}"], settings[control])
        assert amps == pytest.approx(expected, rel=1e-9), (supply, control)
    grid = itertools.product(np.linspace(v["supply.lowest"], v["supply.highest"], 41),
                             np.linspace(settings["low"], settings["full"], 41))  # fmt: skip
    most = max(current(design, volts, setting) for volts, setting in grid)
    assert most == pytest.approx(max(corners.values()), rel=1e-9)


def test_a_regulator_without_room_follows_its_input() -> None:
    """10.8 V less 1.5 V and the lead: a full setting of 11.8 V is not reached."""
    design = designed("herbarium-copy-light", supplies__1="{adapter: adapter-12v-60w}")
    v = design.values
    assert v["corner_one.output"].si == pytest.approx(
        v["supply.lowest"].si - 1.5 - v["leads.drop"].si)  # fmt: skip
    assert v["corner_one.light"].si < 1


def test_a_step_up_gives_no_less_than_its_input() -> None:
    design = designed("puppet-wash-light", chain__regulator__output="13 V to 23.8 V")
    v = design.values
    assert v["corner_four.output"].si == pytest.approx(14.6 - 0.5)
    # At its lowest the supply passes 10.7 V: the control's own low end, of E24 values, is above.
    assert v["supply.lowest"].si - 0.5 < 13.0
    assert v["corner_three.output"].si == v["control.low_output"].si
    assert v["corner_three.output"].si == pytest.approx(13.0, abs=0.1)


def test_dimmed_power_against_the_solved_curve() -> None:
    """The network of every group, its exponential LEDs and wiring, gives much the same."""
    design = designed("puppet-wash-light")
    solved = {point.light: point.watts for point in curve(design)}
    full = design.values["run.full_load"].si / solved[1.0]
    for ending, share in (("three_quarters", 0.75), ("half", 0.5), ("quarter", 0.25)):
        mine = design.values[f"run.{ending}_load"].si / full
        assert mine == pytest.approx(solved[share], rel=0.04), ending


def test_a_lead_acid_battery_by_peukert() -> None:
    """Peukert t = H·(C/(I·H))^k: 100 Ah at 20 h, k 1.2, 10 A: 8.7055 h (law of 1897, Bode)."""
    figures = {"rated_time": 20.0, "capacity": 100.0, "exponent": 1.2}
    assert battery.lead_acid_time(current=10.0, **figures) == pytest.approx(8.7055, rel=1e-4)
    # Slower than its rating it gives what it holds, and no more.
    assert battery.lead_acid_time(current=2.5, **figures) == 40.0
    design = designed("boatshed-work-bar", supplies__1__bank__capacity="10 Ah")
    v = {key: value.si for key, value in design.values.items()}
    amps = (v["panel.power"] + v["pulse_width.loss"]) / v["regulator.efficiency"] / 24
    hours = 0.5 * 20 * (10 / (amps * 20)) ** 1.2
    assert v["battery.run_time"] == pytest.approx(hours, rel=1e-9)
    assert hours < 0.8 * 0.5 * 10 / amps
