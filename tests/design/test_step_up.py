"""A battery below the tape's voltage: what a step-up regulator can do, and what it can't."""

from __future__ import annotations

from pathlib import Path

import pytest

from guidegen.design import Design, settle
from guidegen.design.result import Finding
from guidegen.road import guide_of
from guidegen.spec import catalogue_part, load
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

SPEC = Path(__file__).parents[2] / "specs" / "puppet-wash-light.yaml"


@pytest.fixture(scope="module")
def puppet() -> Fixture:
    return load(SPEC)


def settled(puppet: Fixture, **changes: str) -> Design:
    return settle(changed(puppet, changes), mends=False)


def finding(design: Design, name: str, **names: str) -> Finding:
    return next(f for f in design.findings if f.id == name and names.items() <= f.names.items())


def test_the_input_current_is_greatest_at_the_lowest_voltage(puppet: Fixture) -> None:
    design = settled(puppet, **{"chain.regulator.output": "16 V to 24 V",
                                "chain.cut_off.trips_at": "11.2 V",
                                "auxiliaries": "[]"})  # fmt: skip
    # 14.4 W/m over 5 x 1.2 m is 86.4 W at the label's 24 V; 93 % efficiency; 11.2 V at the last:
    # 86.4 / (0.93 x 11.2) = 8.295 A.
    assert design.values["panel.power"].si == pytest.approx(86.4, abs=0.01)
    assert design.values["input.highest_current"].si == pytest.approx(8.295, abs=0.001)


@pytest.mark.parametrize(
    ("part", "level"),
    [
        # 7.96 A flow in and 3.42 A out; with the tape's and the efficiency's tolerance below 10 A.
        ("{like: step-up-60v-10a}", "holds"),
        ("{like: step-up-60v-10a, current: 7 A}", "stop"),
        ("{like: step-up-60v-10a, current: 7 A, current_at: output}", "holds"),
    ],
)
def test_a_module_is_judged_where_its_data_sheet_rates_it(
    puppet: Fixture, part: str, level: str
) -> None:
    design = settled(puppet, **{"chain.regulator": part})
    assert finding(design, "regulator-current").level == level


def test_the_voltages_decide_which_way_a_regulator_steps(puppet: Fixture) -> None:
    up = settled(puppet, **{"chain.regulator": "auto"})
    chosen = next(c for c in up.choices if c.id == "regulator.part")
    assert chosen.chosen == catalogue_part("step-up-60v-10a").label
    pack = "{like: lifepo4-4s-20ah, voltage: 36 V, full_voltage: 42 V, empty_voltage: 30 V}"
    down = settled(puppet, **{"supplies.1.battery": pack, "chain.regulator": "auto",
                              "chain.cut_off.trips_at": "31 V"})  # fmt: skip
    chosen = next(c for c in down.choices if c.id == "regulator.part")
    assert chosen.chosen == catalogue_part("step-down-60v-8a").label


def test_it_passes_its_input_through(puppet: Fixture) -> None:
    design = settled(puppet)
    # Full LiFePO4 of four cells: 14.6 V; less a diode of 0.5 V.
    assert design.values["regulator.passes"].si == pytest.approx(14.1)
    # Seven LEDs of 2.85 V, three quarters of it: about 15 V, so off is dark by a hair.
    assert design.values["tape.glow"].si == pytest.approx(7 * 2.85 * 0.75, abs=0.001)
    assert finding(design, "passes-through").level == "advice"
    assert not finding(design, "passes-through").names["kept"]


@pytest.mark.parametrize(
    ("output", "broken"),
    [
        ("16 V to 23.8 V", set()),
        # Below 14.6 V the control does nothing while the battery is full.
        ("13 V to 23.8 V", {"step-up-low"}),
    ],
)
def test_its_output_stays_above_the_highest_input(
    puppet: Fixture, output: str, broken: set[str]
) -> None:
    design = settled(puppet, **{"chain.regulator.output": output})
    kept = {"step-up-room", "step-up-over", "step-up-low"}
    assert {f.id for f in design.findings if f.id in kept and f.level != "holds"} == broken


def test_a_battery_above_the_tape_stops_it(puppet: Fixture) -> None:
    # Eight cells reach 29.2 V: more than the 23.8 V wanted, and than the 25.2 V that it bears.
    pack = "{like: lifepo4-4s-20ah, voltage: 25.6 V, full_voltage: 29.2 V, empty_voltage: 20 V}"
    design = settled(puppet, **{"supplies.1.battery": pack,
                                "chain.cut_off.trips_at": "22 V"})  # fmt: skip
    stops = {f.id for f in design.findings if f.level == "stop"}
    assert {"step-up-room", "step-up-over"} <= stops


def test_nothing_but_the_fuse_holds_a_short(puppet: Fixture) -> None:
    design = settled(puppet)
    assert not design.facts["current_limit"]
    assert not design.facts["limit_guards"]
    # 15 A open by 1.35 times that (ISO 8820-3).
    for conductor in ("feed", "rail"):
        found = finding(design, "short-behind", conductor=conductor).found
        assert found is not None
        assert found.si == pytest.approx(20.25)
    assert finding(design, "short-in-row").level == "advice"
    thin = settled(puppet, **{"chain.feed.feed": "twin-flex", "chain.feed.size": "1.5 mm²"})
    assert finding(thin, "short-behind", conductor="feed").level == "stop"


def test_a_limit_in_the_spec_protects_nothing(puppet: Fixture) -> None:
    part = "{like: step-up-60v-10a, limit_low: 0.5 A, limit_high: 10 A}"
    design = settled(puppet, **{"chain.regulator": part, "chain.regulator.current_limit": "4 A"})
    assert finding(design, "step-up-limit").level == "advice"
    assert not design.facts["current_limit"]
    assert "limit.set" not in design.values


def test_a_broken_control_is_judged_by_what_the_module_can_give(puppet: Fixture) -> None:
    safe = settled(puppet)
    assert finding(safe, "control-fault").level == "holds"
    control = "{track: auto, joins: in series with trimmer, across_resistor: none}"
    design = settled(puppet, **{"chain.regulator.control": control})
    found = finding(design, "control-fault")
    # An open lead leaves the divider's upper leg infinite: the module goes to its own 60 V, far
    # above its input.
    assert (found.level, found.found and found.found.si) == ("stop", 60.0)


def test_no_step_shorts_its_output(puppet: Fixture) -> None:
    guide = guide_of(SPEC, settle(puppet))
    readings = [r for step in guide.steps for r in step.reads if not r.absent]
    assert readings
    assert all(reading.instrument != "short" for reading in readings)
    assert "limit-set" not in {step.id for step in guide.steps}
    shown = {caution.number for caution in guide.cautions.chosen}
    assert "H52" in shown


@pytest.mark.parametrize(
    ("pack", "kept"),
    [
        # 12.8 V x 20 Ah = 256 Wh; 12.8 V x 10 Ah = 128 Wh.
        ("lifepo4-4s-20ah", False),
        ("{like: lifepo4-4s-20ah, capacity: 10 Ah}", True),
    ],
)
def test_a_battery_by_air(puppet: Fixture, pack: str, kept: bool) -> None:
    found = finding(settled(puppet, **{"supplies.1.battery": pack}), "air-travel")
    assert found.level == "advice"  # the limit is from memory
    assert found.names["kept"] == kept
    ground = settled(puppet, **{"use.surroundings": "[public]"})
    assert "air-travel" not in {f.id for f in ground.findings}
