"""The fan: where it hangs, what it gets, and what it takes from everything else."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest

from guidegen.calc import fan as calc
from guidegen.design import Design, settle
from guidegen.diagrams.schematic import schematic
from guidegen.errors import SpecError
from guidegen.road import guide_of
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture
from tests.design.by_hand import share_of_rated

SPEC = Path(__file__).parents[2] / "specs" / "puppet-wash-light.yaml"
FAN = "[{fan: fan-12v-40mm, fed_after: switch}]"


def with_fan(demo: Fixture, fan: str = FAN, **more: str) -> Design:
    return settle(changed(demo, {"auxiliaries": fan, **more}), mends=False)


def levels(design: Design, *ids: str) -> dict[str, str]:
    return {f.id: f.level for f in design.findings if f.id in ids}


def test_series_resistor_of_a_handbook_case() -> None:
    # A fan of 12 V and 0.10 A on 19 V: 70 ohm, 0.70 W (Ohm's law, by hand).
    least = calc.least_dropper(highest=19, rated=12, current=0.1)
    assert least == pytest.approx(70)
    assert calc.dropper_power(current=0.1, dropper=70) == pytest.approx(0.7)
    # IEC 60063, E24: ... 68, 75, 82 ...
    assert calc.next_dropper(least) == 75
    assert calc.fan_voltage(voltage=19, fan=120, dropper=70) == pytest.approx(12)


def test_what_hangs_before_the_cut_off_empties_the_battery() -> None:
    for stage, told in (("switch", {"beside-cut-off": "advice"}), ("cut_off", {})):
        changes = {"auxiliaries.fan.fed_after": stage}
        design = settle(changed(load(SPEC), changes), mends=False)
        assert levels(design, "beside-cut-off") == told


@pytest.mark.parametrize(("least", "found"), [(26, 27), (27, 27), (91.5, 100), (1, 1), (0.95, 1)])
def test_next_preferred_value(least: float, found: float) -> None:
    assert calc.next_dropper(least) == pytest.approx(found)


def test_a_fan_above_its_voltage_gets_a_resistor(demo: Fixture) -> None:
    values = with_fan(demo).values
    # 19 V + 5 % = 19.95 V; (19.95 - 12) / 0.1 = 79.5 ohm, in E24 82 ohm; 12 V / 0.1 A = 120 ohm.
    assert values["fan.dropper"].si == 82
    assert values["fan.at_highest"].si == pytest.approx(19.95 * 120 / 202, abs=0.01)
    assert values["fan.most_current"].si == pytest.approx(19.95 / 202, abs=1e-4)
    assert values["fan.dropper_power"].si == pytest.approx((19.95 / 202) ** 2 * 82, abs=1e-3)


def test_without_it_the_fan_gets_too_much(demo: Fixture) -> None:
    design = with_fan(demo, "[{fan: fan-12v-40mm, fed_after: switch, dropper: none}]")
    assert levels(design, "fan-voltage", "fan-starts") == {
        "fan-voltage": "stop", "fan-starts": "holds",
    }  # fmt: skip
    design = with_fan(demo, "[{fan: fan-12v-40mm, fed_after: switch, dropper: 470 ohm}]")
    # 18.05 V x 120 / 590 = 3.7 V: it stands still, and nothing counts on it.
    assert levels(design, "fan-voltage", "fan-starts") == {
        "fan-voltage": "holds", "fan-starts": "advice",
    }  # fmt: skip


def test_a_current_that_goes_with_a_power_of_the_voltage() -> None:
    """Of a square law behind a resistor: R I v²/V² + v = U is a quadratic equation, by hand."""
    points = tuple((0.1 * (volts / 12) ** 2, volts) for volts in (7.0, 9.0, 12.0, 13.2))
    assert calc.power_exponent(points) == pytest.approx(2.0)
    # Two points with scatter against the library's own fit.
    scattered = ((0.041, 7.0), (0.066, 9.0), (0.1, 12.0), (0.118, 13.2))
    volts, amps = (np.log([point[k] for point in scattered]) for k in (1, 0))
    assert calc.power_exponent(scattered) == pytest.approx(np.polyfit(volts, amps, 1)[0])
    share = 27 * 0.1 / 144
    wanted = (math.sqrt(1 + 4 * share * 14.6) - 1) / (2 * share)
    found = calc.behind_dropper(source=14.6, rated=12, current=0.1, exponent=2, dropper=27)
    assert found == pytest.approx(wanted, rel=1e-12)
    # An exponent of 1 is the divider of two resistances.
    plain = calc.behind_dropper(source=14.6, rated=12, current=0.1, exponent=1, dropper=27)
    assert plain == pytest.approx(calc.fan_voltage(voltage=14.6, fan=120, dropper=27))


def test_its_points_decide_start_heat_and_what_it_takes() -> None:
    part = ("{like: fan-12v-40mm, current_points: [34 mA at 7 V, 100 mA at 12 V,"
            " 121 mA at 13.2 V]}")  # fmt: skip
    plain = settle(load(SPEC), mends=False).values
    design = settle(changed(load(SPEC), {"auxiliaries.1.fan": part}), mends=False)
    v = design.values
    assert v["fan.exponent"].si == pytest.approx(2.0, abs=0.01)
    # At its lowest supply it takes less than a resistance would, so more voltage is left for it.
    assert v["fan.at_lowest"].si > plain["fan.at_lowest"].si
    for end, name in (("highest", "most_current"), ("voltage", "usual_current")):
        volts = v[f"fan.at_{end}"].si
        amps = 0.1 * (volts / 12) ** v["fan.exponent"].si
        assert v[f"fan.{name}"].si == pytest.approx(amps)
        assert volts + 27 * amps == pytest.approx(v[f"supply.{end}"].si)
    assert v["fan.dropper_power"].si == pytest.approx(27 * v["fan.most_current"].si ** 2)
    walk = guide_of(SPEC, design).walk
    assert walk.passed
    with pytest.raises(SpecError, match="do not rise together"):
        changed(load(SPEC), {"auxiliaries.1.fan": "{like: fan-12v-40mm, current_points:"
                             " [90 mA at 7 V, 80 mA at 12 V]}"})  # fmt: skip


def test_what_it_takes_counts_for_the_supply() -> None:
    puppet = load(SPEC)
    plain = settle(changed(puppet, {"auxiliaries": "[]"}), mends=False).values
    found = settle(puppet, mends=False).values
    # (14.6 - 12) / 0.1 = 26 ohm, in E24 27 ohm; 14.6 V / (120 + 27) ohm = 99 mA.
    more = found["input.highest_current"].si - plain["input.highest_current"].si
    assert more == pytest.approx(14.6 / 147, abs=1e-4)
    # Five rows of 1.2 m at 14.4 W/m and 24 V, seven LEDs of 2.85 V a group, at 23.8 V.
    light = 23.8 * 5 * 1.2 * 14.4 / 24 * share_of_rated(23.8, 24, 7, 2.85)
    # 12.8 V x 20 Ah x 0.9 over the light's power / 0.93 and the fan's 12.8² / 147 W.
    load_power = light / 0.93 + 12.8**2 / 147
    assert found["battery.run_time"].si == pytest.approx(230.4 / load_power, abs=0.002)
    assert found["regulator.current"].si == plain["regulator.current"].si


def test_what_it_blows_out_comes_in_again() -> None:
    """An opening of 38 mm is (38/10)² = 14.4 holes of 10 mm."""
    assert calc.inlet_holes(opening=0.038, hole=0.010) == 15
    model = settle(load(SPEC), mends=False).model
    [fan] = model.by_role("fan")
    walls = [part for part in model.by_role("wall") if part.solid]
    inlets = {part.ref: [hole for hole in part.solid.holes if hole.role == "inlet"]
              for part in walls}  # fmt: skip
    opening = next(hole for part in walls for hole in part.solid.holes if hole.role == "fan")
    [home] = [ref for ref, holes in inlets.items() if holes]
    area = sum(hole.width.si**2 for hole in inlets[home])
    assert area >= opening.width.si**2
    # In another wall than the fan's, in the half of the box away from it.
    assert home != fan.on
    middle = next(part.solid.middle[0] for part in walls if part.ref == home)
    side = fan.solid.middle[0] < middle
    assert all((hole.at[0] > middle - 0.03) == side for hole in inlets[home])


def test_its_wires_hang_before_the_regulator(demo: Fixture) -> None:
    model = with_fan(demo).model
    (dropper,) = model.by_role("dropper")
    assert [(w.start, w.end, w.polarity) for w in model.wires("fan_wire")] == [
        ("Q1:2", f"{dropper.ref}:1", "+"), (f"{dropper.ref}:2", "M1:+", "+"),
        ("T1:IN-", "M1:-", "-"),
    ]  # fmt: skip
    assert {part.role: part.on for part in model.parts}["fan_guard"] == "M1"
    refs = [part.ref for part in model.parts]
    assert len(set(refs)) == len(refs)


@pytest.mark.parametrize(
    ("fan", "said"),
    [
        ("[{fan: fan-12v-40mm, fed_after: pulse_width}]", "never fed behind a pulse-width"),
        ("[{fan: fan-12v-40mm, fed_after: cut_off}]", "no cut-off to feed a fan after"),
        ("[{fan: fan-12v-40mm}, {fan: fan-12v-40mm}]", "a second fan"),
        ("[{pilot: lamp}]", "no pilot light 'lamp'"),
        ("[{lamp: pilot-light-12v}]", "'lamp' is nothing that hangs beside the rows"),
        ("[{pilot: pilot-light-24v}, {pilot: pilot-light-24v}]", "a second pilot"),
        ("[{pilot: pilot-light-24v, fed_after: pulse_width}]", "pilot light is never fed behind"),
        ("[fan]", "Accepted"),
        ("fan-12v-40mm", "this is no list"),
        ("[{fan: switch-dc-6a}]", "fan"),
    ],
)
def test_what_can_not_be_is_refused(demo: Fixture, fan: str, said: str) -> None:
    with pytest.raises(SpecError, match=said):
        changed(demo, {"auxiliaries": fan})


def test_the_guide_reads_it_cold_and_sees_it_turn() -> None:
    guide = guide_of(SPEC, settle(load(SPEC)))
    order = [step.id for step in guide.steps]
    names = (
        "fan-fitted",
        "fan-wired",
        "fan-read-cold",
        "upper-end-set",
        "fan-turns",
        "feed-screwed",
        "feed-checked",
        "first-light",
    )
    places = [order.index(name) for name in names]
    assert places == sorted(places)
    assert "H34" in {caution.number for caution in guide.cautions.chosen}
    assert "fan-still" in {fault.id for fault in guide.faults}


def test_the_schematic_shows_it_through_its_resistor() -> None:
    design = settle(load(SPEC), mends=False)
    figures = schematic(design)
    words = [re.sub(r"<[^>]+>", "", text) for figure in figures
             for text in re.findall(r"<text.*?</text>", figure.svg)]  # fmt: skip
    said = " ".join(words)
    wires = [wire.ref for wire in design.model.wires("fan_wire")]
    assert len(wires) == 3
    for name in ("R3 27", "M1", *wires):
        assert name in said, name
    assert "not drawn" not in said


def test_a_resistor_that_gets_warm_is_held_beside_what_it_serves() -> None:
    model = settle(load(SPEC), mends=False).model
    resistor, held = model.by_role("dropper")[0], model.by_role("dropper_base")
    assert [(part.on, part.count) for part in held] == [(resistor.on, 2)]
