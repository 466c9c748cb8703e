"""Between the ends of the control: dividers by hand, currents by the panel's network."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import log
from pathlib import Path

import pytest

from guidegen.calc.ladder_solve import solve
from guidegen.calc.led_group import dimmed_current
from guidegen.design import settle
from guidegen.design.dimming import STOPS
from guidegen.design.result import Design
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.values import band

SPECS = Path(__file__).parents[2] / "specs"
CASES = {
    "upper leg, across": ("herbarium-copy-light", {}),
    "lower leg": ("puppet-wash-light", {}),
    "in place of the trimmer": (
        "herbarium-copy-light", {"chain.regulator.control.joins": "in place of trimmer"},
    ),
}  # fmt: skip


@cache
def design(name: str) -> Design:
    spec, changes = CASES[name]
    return settle(changed(load(SPECS / f"{spec}.yaml"), changes), mends=False)


@pytest.fixture(params=CASES)
def light(request: pytest.FixtureRequest) -> Design:
    found = design(request.param)
    assert found.complete
    return found


def test_outputs_are_those_of_the_divider(light: Design) -> None:
    """Kirchhoff's laws at the tap, by hand: the same current in both legs."""
    v = {name: value.si for name, value in light.values.items()}
    for name, share in STOPS:
        track = v["control.track"] * share
        if light.facts["control_lower"]:
            track = v["control.track"] - track
        if "control.across" in v:
            track = 1 / (1 / track + 1 / v["control.across"])
        end = v.get("control.end", 0.0)
        upper, lower = v.get("trimmer.setting", 0.0), v["regulator.fixed_resistor"]
        if light.facts["control_lower"]:
            lower = end + track
        else:
            upper += end + track
        current = v["regulator.reference"] / lower
        assert v[f"dimmed.{name}_output"] == pytest.approx(current * (upper + lower))


def test_currents_are_those_of_the_network(light: Design) -> None:
    """The panel's own network at that output: each group for itself, and all of the wiring."""
    net = light.result("solved panel").net
    full = light.values["network.current"].si
    for name, _ in STOPS:
        at = replace(net, volts=light.values[f"dimmed.{name}_output"].si)
        # Its LEDs are the same, its wiring is not put together into one resistance.
        want = float(solve(at).currents.sum()) * light.values["panel.loaded_current"].si / full
        panel = light.values[f"dimmed.{name}_panel"]
        assert panel.si == pytest.approx(want, rel=0.01, abs=0.001 * full)
        low, high = band(panel)
        assert low <= want <= high


def test_the_current_solves_its_equation(light: Design) -> None:
    """The equation of the workings page, put in by hand (25.7 mV from memory: kT/q at 25 °C)."""
    v = {name: value.si for name, value in light.values.items()}
    for name, _ in STOPS:
        current = v[f"dimmed.{name}_panel"]
        share = current / v["panel.rated_current"]
        leds, lost = v["tape.leds_per_group"], v["panel.mean_drop"] / v["panel.current"]
        lit = leds * v["tape.forward_voltage"]
        left = share * (v["tape.voltage"] - lit) + current * lost
        left += leds * v["network.ideality"] * 0.0257 * log(share)
        assert left == pytest.approx(v[f"dimmed.{name}_output"] - lit, abs=0.01)


def test_full_and_dark() -> None:
    given = {"rated_current": 3.0, "rated_voltage": 12.0, "leds": 3, "forward_voltage": 3.0,
             "ideality": 2.0, "drop": 0.3, "at": 3.0}  # fmt: skip
    assert dimmed_current(**given, output=12.3) == pytest.approx(3.0)
    assert dimmed_current(**given, output=3.0) == pytest.approx(0.0, abs=1e-6)
