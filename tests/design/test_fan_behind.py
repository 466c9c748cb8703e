"""A fan or pilot light that the regulator feeds: by hand, against the solver, step by step."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from guidegen.calc.discharge import fading_time
from guidegen.design import Design, settle
from guidegen.diagrams.schematic import schematic
from guidegen.errors import SpecError
from guidegen.road import guide_of
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture
from guidegen.values import band
from tests.guide.strict_reader import troubles
from tests.guide.test_solved import far_off, light_of

SPECS = Path(__file__).parents[2] / "specs"
ADAPTER, STEP_UP, BANK = (SPECS / f"{name}.yaml" for name in (
    "herbarium-copy-light", "puppet-wash-light", "boatshed-work-bar"))  # fmt: skip
FAN = "[{fan: fan-12v-40mm, fed_after: regulator}]"
BOTH = "[{fan: fan-12v-40mm, fed_after: regulator}, {pilot: pilot-light-12v, fed_after: regulator}]"
FIXED = {"chain.regulator.output": "11.8 V ± 0.2 V", "chain.regulator.control": "none"}
#: A fan of 9 V at 0.1 A, which is 90 ohm.
SMALL = ("[{fan: {like: fan-12v-40mm, voltage: 9 V, highest_voltage: 10 V, lowest_voltage: 4.5 V},"
         " fed_after: regulator}]")  # fmt: skip
STRONG = ("{like: fan-12v-40mm, voltage: 24 V, highest_voltage: 26.4 V, lowest_voltage: 14 V,"
          " current: 60 mA}")  # fmt: skip


def design_of(spec: Path, changes: dict[str, str]) -> Design:
    return settle(changed(load(spec), changes), mends=False)


def levels(design: Design, *ids: str) -> dict[str, str]:
    return {f.id: f.level for f in design.findings if f.id in ids}


def test_a_resistor_for_the_upper_end_of_the_output() -> None:
    v = design_of(ADAPTER, {**FIXED, "auxiliaries": SMALL}).values
    # 11.8 V + 0.2 V = 12.0 V; (12.0 - 9) / 0.1 = 30 ohm, which E24 has; 12.0 / 120 ohm = 100 mA.
    assert v["fan.dropper"].si == 30
    assert v["fan.at_highest"].si == pytest.approx(9.0)
    assert v["fan.most_current"].si == pytest.approx(0.1)
    assert v["fan.dropper_power"].si == pytest.approx(0.1**2 * 30)
    # At its usual and its least: the full setting, 11.8 V and 11.6 V, over the same divider.
    assert v["fan.usual_current"].si == pytest.approx(11.8 / 120)
    assert v["fan.at_lowest"].si == pytest.approx(11.6 * 90 / 120)


@pytest.mark.parametrize("changes", [{}, FIXED], ids=["control", "fixed"])
def test_its_current_goes_through_the_regulator_once(changes: dict[str, str]) -> None:
    plain = design_of(ADAPTER, {**changes, "auxiliaries": "[]"}).values
    v = design_of(ADAPTER, {**changes, "auxiliaries": FAN}).values
    amps, watts, eta = 11.8 / 120, 11.8**2 / 120, v["regulator.efficiency"].si
    assert v["panel.current"].si == plain["panel.current"].si
    assert v["output.current"].si == pytest.approx(plain["panel.current"].si + amps)
    assert v["input.power"].si - plain["input.power"].si == pytest.approx(watts / eta)
    assert v["input.current"].si - plain["input.current"].si == pytest.approx(watts / eta / 19)
    more = v["input.highest_current"].si - plain["input.highest_current"].si
    assert more == pytest.approx(watts / eta / v["supply.lowest"].si)
    loss = v["regulator.loss"].si - plain["regulator.loss"].si
    assert loss == pytest.approx(watts * (1 / eta - 1))
    # A box with a fan is larger; its air is warmed by all that the regulator loses.
    assert v["box.temperature"].inputs["loss"] is v["regulator.loss"]
    # The worst corner: all of it at the supply's lowest voltage.
    corner = v["corner_one.input"].si - plain["corner_one.input"].si
    assert corner == pytest.approx(watts / eta / v["supply.lowest"].si, rel=1e-6)
    # On the bench sound fans take three quarters of what is marked, between a half and all.
    seen = v["output.loaded_current"].si - plain["panel.loaded_current"].si
    assert seen == pytest.approx(0.75 * amps)
    assert "light_alone.power" not in v


def test_the_current_limit_leaves_room_for_it() -> None:
    design = design_of(ADAPTER, {"auxiliaries": FAN})
    v = design.values
    most = v["panel.current"].si + 12.0 / 120
    assert v["output.highest_current"].si == pytest.approx(most)
    assert v["limit.wanted"].si == pytest.approx(1.1 * most)
    assert v["limit.set"].si >= 1.1 * most
    # A limit that is enough for the rows alone holds the whole light back.
    tight = f"{v['panel.current'].si + 0.05:.3g} A ± 0.01 A"
    held = design_of(ADAPTER, {"auxiliaries": FAN, "chain.regulator.current_limit": tight})
    assert levels(held, "limit-load") == {"limit-load": "advice"}
    alone = design_of(ADAPTER, {"auxiliaries": "[]", "chain.regulator.current_limit": tight})
    assert levels(alone, "limit-load") == {"limit-load": "holds"}


def test_a_rating_that_the_rows_alone_keep_to() -> None:
    rows = design_of(ADAPTER, {"auxiliaries": "[]"}).values["panel.current"]
    module = f"{{like: step-down-36v-8a, current: {band(rows)[1] + 0.03:.4g} A}}"
    found = {fan: levels(design_of(ADAPTER, {"chain.regulator": module, "auxiliaries": fan}),
                         "regulator-current") for fan in ("[]", FAN)}  # fmt: skip
    assert found == {"[]": {"regulator-current": "holds"}, FAN: {"regulator-current": "stop"}}


def test_a_control_whose_low_end_stops_it() -> None:
    slow = "[{fan: {like: fan-12v-40mm, lowest_voltage: 9 V}, fed_after: regulator}]"
    found = settle(changed(load(ADAPTER), {"auxiliaries": slow}))
    [starts] = [one for one in found.findings if one.id == "fan-starts"]
    assert starts.level == "advice"
    assert starts.found is not None
    assert starts.found.si == pytest.approx(band(found.values["control.low_output"])[0])
    assert any(mend.changes.get("auxiliaries.1.fed_after") == "switch" for mend in starts.mends)
    # With the control low it may take nothing, or what it took if it turned.
    low, high = band(found.values["dimmed.low_fan_current"])
    assert low == pytest.approx(0.0, abs=1e-9)
    assert high >= 0.75 * found.values["control.low_output"].si / 120
    assert guide_of(ADAPTER, found).walk.passed


def test_a_step_up_passes_on_what_no_control_holds_back() -> None:
    fan = f"[{{fan: {STRONG}, fed_after: regulator}}]"
    design = design_of(STEP_UP, {"auxiliaries": fan, "rows.1.count": "4"})
    v = design.values
    passed = v["supply.lowest"].si - v["regulator.dropout"].si
    assert v["output.lowest"].si == pytest.approx(max(band(v["control.low_output"])[0], passed))
    assert v["output.highest"].si == pytest.approx(band(v["setting.full"])[1])
    # 12.8 V x 20 Ah x 90 % over light and fan, both through the regulator.
    watts = v["panel.power"].si + v["setting.full"].si ** 2 / 400
    hours = 230.4 / (watts / v["regulator.efficiency"].si)
    assert v["battery.run_time"].si == pytest.approx(hours)
    # The supply's own fuse guards its wires: such a module holds no short back.
    [wires] = [one for one in design.findings if one.id == "fan-wire"]
    assert wires.found is v["fuse.opens_at"]


def test_what_a_broken_control_gives_is_named() -> None:
    upper = {"chain.regulator.control.joins": "in series with trimmer",
             "chain.regulator.current_limit": "none"}  # fmt: skip
    design = design_of(ADAPTER, {**upper, "auxiliaries": FAN})
    v = design.values
    [broken] = [one for one in design.findings if one.id == "beside-fault"]
    assert broken.found is v["fan.at_fault"]
    assert v["fan.at_fault"].si == pytest.approx(v["control.worst_fault_output"].si)
    assert v["fan.at_fault"].si > 13.2
    assert not levels(design_of(ADAPTER, {"auxiliaries": FAN}), "beside-fault")


def test_a_short_at_it_is_what_the_regulator_holds() -> None:
    design = design_of(ADAPTER, {"auxiliaries": FAN})
    [wires] = [one for one in design.findings if one.id == "fan-wire"]
    assert wires.found is design.values["limit.set"]
    assert wires.level == "holds"


def test_between_regulator_and_pulses_it_has_an_even_voltage() -> None:
    design = design_of(BANK, {"auxiliaries": FAN})
    assert design.facts["pulse_width"]
    assert [(w.start, w.end) for w in design.model.wires("fan_wire")] == [
        ("T1:OUT+", "M1:+"), ("T1:OUT-", "M1:-")]  # fmt: skip
    assert {w.start for w in design.model.wires("stage_link")} == {"T1:OUT+", "T1:OUT-"}
    plain = design_of(BANK, {"auxiliaries": "[]"}).values
    watts = design.values["fan.power"].si
    assert design.values["output.power"].si == pytest.approx(plain["load.power"].si + watts)
    # At half of the pulses the fan still takes all of its power.
    drawn = design.values["run.half_drawn"].si - plain["run.half_drawn"].si
    assert drawn == pytest.approx(watts / plain["regulator.efficiency"].si)


def test_a_second_one_hangs_on_the_first(demo: Fixture) -> None:
    """A regulator's screw takes two ends: the feed, and one more."""
    model = settle(changed(demo, {"auxiliaries": BOTH}), mends=False).model
    assert [(w.start, w.end) for w in model.wires("pilot_wire")] == [
        ("M1:+", "P1:+"), ("M1:-", "P1:-")]  # fmt: skip
    apart = BOTH.replace("fed_after: regulator}, {", "fed_after: switch}, {")
    model = settle(changed(demo, {"auxiliaries": apart}), mends=False).model
    assert [(w.start, w.end) for w in model.wires("pilot_wire")] == [
        ("T1:OUT+", "P1:+"), ("T1:OUT-", "P1:-")]  # fmt: skip
    model = settle(changed(demo, {"auxiliaries": SMALL[:-1] + BOTH[BOTH.index(", {"):]}),
                   mends=False).model  # fmt: skip
    [resistor] = model.by_role("dropper")
    assert model.wires("pilot_wire")[0].start == f"{resistor.ref}:1"


def test_no_third_end_goes_under_the_regulators_screw(demo: Fixture) -> None:
    """Rows that are fed at both ends have two feeds of each pole."""
    crowded = {"rows.1.fed_from": "both ends", "body.board.width": "400 mm", "auxiliaries": FAN}
    found = settle(changed(demo, crowded))
    [one] = [one for one in found.findings if one.id == "screw-crowded"]
    assert one.level == "stop"
    assert {tuple(mend.changes) for mend in one.mends} >= {
        ("rows.1.fed_from",), ("auxiliaries.1.fed_after", "auxiliaries.1.dropper")}  # fmt: skip


def test_a_current_that_goes_with_a_power_of_the_voltage_at_the_low_end() -> None:
    part = ("{like: fan-12v-40mm, current_points: [34 mA at 7 V, 100 mA at 12 V,"
            " 121 mA at 13.2 V]}")  # fmt: skip
    v = design_of(ADAPTER, {"auxiliaries": f"[{{fan: {part}, fed_after: regulator}}]"}).values
    volts = v["control.low_output"].si
    amps = 0.1 * (volts / 12) ** v["fan.exponent"].si
    assert v["dimmed.low_fan_current"].si == pytest.approx(amps)
    assert v["dimmed.low_fan_resistance"].si == pytest.approx(volts / amps)


def test_it_is_counted_in_the_time_of_a_battery_that_fades() -> None:
    """Along a flat curve: 10 Ah, of 10 V, over (9 V x 1 A + 2 W) / 0.9 + 1 W."""
    flat = ((10.0, 1.0), (10.0, 0.0))
    found = fading_time(
        down_to=0.0, error=0.0, leads=0.0, dropout=0.0, ceiling=9.0, threshold=5.0, full=9.0,
        current=1.0, loss=0.0, duty=1.0, efficiency=0.9, beside=1.0, behind=2.0,
        capacity=10 * 3600, rated_time=3600.0, exponent=1.0, rating=5.0, curve=flat,
    )  # fmt: skip
    assert found == pytest.approx(10 * 3600 * 10 / (11 / 0.9 + 1))


#: Designs whose whole guide is walked, their readings solved as networks.
CASES = {
    "control": (ADAPTER, {"auxiliaries": FAN}),
    "fixed": (ADAPTER, {**FIXED, "auxiliaries": FAN}),
    "resistor": (ADAPTER, {**FIXED, "auxiliaries": SMALL}),
    "both": (ADAPTER, {"auxiliaries": BOTH}),
    "step-up": (STEP_UP, {"auxiliaries": f"[{{fan: {STRONG}, fed_after: regulator}}]",
                          "rows.1.count": "4", "light.target": "(left out)"}),
    "pulses": (BANK, {"auxiliaries": BOTH}),
}  # fmt: skip


@pytest.mark.parametrize("name", [*CASES][:: 1 if os.environ.get("GUIDEGEN_THOROUGH") else 2])
def test_its_guide_is_walked_and_law_and_solver_agree(name: str) -> None:
    spec, changes = CASES[name]
    case = light_of(spec, changes)
    assert case.walk().findings == ()
    assert far_off(case) == []
    order = [step.id for step in case.steps]
    turns = "fan-turns-behind" if "fan-turns-behind" in order else "fan-turns"
    output = next(step for step in ("upper-end-set", "fixed-output-set") if step in order)
    names = ("fan-wired-behind", "fan-read-cold", output, "fan-joined", "fan-checked", turns)
    # No voltage reaches it before the output is set, and the panel comes after it.
    fed = next(step for step in ("feed-screwed", "dimmer-joined") if step in order)
    places = [order.index(step) for step in (*names, fed, "first-light")]
    assert places == sorted(places)
    guide = guide_of(spec, case.design)
    assert guide.walk.passed
    assert [one for one in troubles(guide) if "joints-scanned" not in one] == []


def test_rows_are_drawn_with_what_feeds_them() -> None:
    for spec, changes in CASES.values():
        design = design_of(spec, changes)
        figures = schematic(design)
        last = " ".join(re.sub(r"<[^>]+>", "", text)
                        for text in re.findall(r"<text.*?</text>", figures[-1].svg))  # fmt: skip
        every = " ".join(figure.svg for figure in figures)
        feeder = design.model.wires("feed")[0].start.split(":")[0]
        assert feeder in last.split()
        assert "not drawn" not in every
        for wire in (*design.model.wires("fan_wire"), *design.model.wires("pilot_wire")):
            assert wire.ref in every


def test_where_there_is_no_regulator_it_is_refused(demo: Fixture) -> None:
    straight = {"supplies.1": "{adapter: adapter-12v-60w}", "chain.regulator": "none"}
    with pytest.raises(SpecError, match="no regulator to feed a fan after"):
        changed(demo, {**straight, "auxiliaries": FAN})


def test_a_step_up_behind_its_cut_off_needs_no_fan_to_be_walked() -> None:
    """Behind an open cut-off nothing but the module's own input held its voltage."""
    assert light_of(STEP_UP, {"auxiliaries": "[]"}).walk().findings == ()
