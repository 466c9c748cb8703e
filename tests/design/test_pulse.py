"""A pulse-width stage in a design: what it is judged by, and what is told of the pole it opens."""

from __future__ import annotations

import pytest

from guidegen.design import Finding, settle
from guidegen.errors import SpecError
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

BEHIND = {
    "chain.regulator.output": "11.8 V ± 0.2 V",
    "chain.regulator.control": "none",
    "chain.+pulse_width": "pulse-width-30v-8a",
}


def pulsed(demo: Fixture, **more: str) -> Fixture:
    return changed(demo, {**BEHIND, **{key.replace("__", "."): v for key, v in more.items()}})


def finding(fixture: Fixture, id: str, mends: bool = False) -> Finding:
    return next(f for f in settle(fixture, mends=mends).findings if f.id == id)


# IEEE 1789-2015 as usually quoted (from memory): of light that goes out between pulses, 100 % deep,
# low risk is 0.08 % a hertz, so 1250 Hz; no effect is 0.0333 % a hertz, up to 3000 Hz.
@pytest.mark.parametrize(
    ("frequency", "tools", "low_risk", "no_effect"),
    [
        ("1249 Hz", False, "advice", "advice"),
        ("1249 Hz", True, "stop", "advice"),
        ("1251 Hz", True, "advice", "advice"),
        ("3001 Hz", True, "advice", "advice"),
        ("4 kHz ± 30 %", True, "advice", "advice"),
    ],
)
def test_flicker_is_judged_by_the_lowest_frequency(
    demo: Fixture, frequency: str, tools: bool, low_risk: str, no_effect: str
) -> None:
    around = "[rotating tools]" if tools else "[public]"
    fixture = pulsed(demo, chain__pulse_width__frequency=frequency, use__surroundings=around)
    design = settle(fixture, mends=False)
    found = {f.id: f for f in design.findings}
    assert found["flicker-low-risk"].level == low_risk
    assert found["flicker-no-effect"].level == no_effect
    lowest = design.values["pulse_width.lowest_frequency"].si
    # A line from memory proves nothing by being kept: it stays advice, and says that it is kept.
    assert found["flicker-low-risk"].names["kept"] is (lowest >= 1250)
    assert found["flicker-no-effect"].names["kept"] is (lowest >= 3000)
    assert design.facts["flicker_risk"] is (lowest < 1250)


def test_slow_pulses_at_tools_are_mended_by_faster_ones(demo: Fixture) -> None:
    slow = pulsed(
        demo, chain__pulse_width="pulse-width-35v-5a", use__surroundings="[rotating tools]"
    )
    (mend,) = finding(slow, "flicker-low-risk", mends=True).mends
    assert mend.changes["chain.pulse_width.frequency"] == "at least 3000 Hz"
    after = settle(changed(slow, mend.changes), mends=False)
    # Of the two in the catalogue only the one of 20 kHz ± 25 % is fast enough: 15 kHz.
    assert after.values["pulse_width.lowest_frequency"].si == pytest.approx(15e3)
    assert not after.facts["flicker_risk"]
    assert not after.stops


def test_what_the_spec_asks_at_least(demo: Fixture) -> None:
    asked = {"chain__pulse_width": "pulse-width-35v-5a"}
    assert finding(pulsed(demo, **asked, chain__pulse_width__frequency="at least 600 Hz"),
                   "pulse-frequency").level == "holds"  # fmt: skip
    # 1 kHz ± 30 % may be 700 Hz.
    assert finding(pulsed(demo, **asked, chain__pulse_width__frequency="at least 800 Hz"),
                   "pulse-frequency").level == "stop"  # fmt: skip


def test_the_stage_carries_the_whole_current_and_loses_by_hand(demo: Fixture) -> None:
    design = settle(pulsed(demo), mends=False)
    v = {name: value.si for name, value in design.values.items()}
    # 12 rows of 0.3 m; the panel's own current flows whenever the stage is on.
    amps = v["panel.current"]
    assert v["pulse_width.drop"] == pytest.approx(amps * 0.015)
    assert v["pulse_width.loss"] == pytest.approx(amps**2 * 0.015 + 11.8 * 0.015)
    assert v["pulse_width.half_current"] == pytest.approx(amps / 2)
    # At full duty: tape and stage, over the regulator's efficiency.
    efficiency = v["regulator.efficiency"]
    assert v["input.power"] == pytest.approx(
        (11.8 * amps + v["pulse_width.loss"]) / efficiency, rel=1e-9
    )
    assert v["box.loss"] == pytest.approx(v["regulator.loss"] + v["pulse_width.loss"])
    weak = pulsed(demo, chain__pulse_width="{like: pulse-width-30v-8a, current: 2 A}")
    assert finding(weak, "pulse-current").level == "stop"


@pytest.mark.parametrize(
    ("part", "id"),
    [
        ("{like: pulse-width-30v-8a, voltage: 11 V}", "pulse-voltage"),
        ("{like: pulse-width-30v-8a, voltage_low: 13 V}", "pulse-voltage-low"),
        ("{like: pulse-width-30v-8a, highest_duty: 95 %}", "pulse-full-duty"),
    ],
)
def test_ratings_that_are_not_kept_stop(demo: Fixture, part: str, id: str) -> None:
    found = finding(pulsed(demo, chain__pulse_width=part), id, mends=True)
    assert found.level == "stop"
    assert [dict(mend.changes) for mend in found.mends] == [{"chain.pulse_width": "auto"}]


def test_the_side_and_the_track_are_the_modules(demo: Fixture) -> None:
    wrong = pulsed(demo, chain__pulse_width__switches="positive")
    assert finding(wrong, "pulse-side").level == "stop"
    track = pulsed(demo, chain__pulse_width__control="{track: 1 kohm}")
    assert finding(track, "pulse-track", mends=True).mends
    assert not settle(
        pulsed(demo, chain__pulse_width__control="{track: 90 kohm}"), mends=False
    ).stops


@pytest.mark.parametrize(
    "changes",
    [
        {"chain.+pulse_width": "auto"},
        {
            **BEHIND,
            "chain.regulator.control": "{joins: auto}",
            "chain.regulator.output": "8 V to 11 V",
        },
    ],
)
def test_two_controls_are_refused_by_name(demo: Fixture, changes: dict[str, str]) -> None:
    with pytest.raises(SpecError, match="one output voltage"):
        changed(demo, changes)


def test_nothing_but_the_feed_stands_behind_the_stage(demo: Fixture) -> None:
    chain = "[{regulator: auto, output: 11 V}, {pulse_width: auto}, {fuse: auto}]"
    with pytest.raises(SpecError, match="on and off with the light"):
        changed(demo, {"chain": chain})


# --- the circuit ------------------------------------------------------------------------------
@pytest.mark.parametrize("side", ["negative", "positive"])
def test_only_what_lies_behind_the_opened_pole_is_switched(demo: Fixture, side: str) -> None:
    part = f"{{like: pulse-width-30v-8a, switches: {side}}}"
    model = settle(pulsed(demo, chain__pulse_width=part), mends=False).model
    sign = "-" if side == "negative" else "+"
    told = {(wire.role, wire.polarity) for wire in model.conductors if wire.switched}
    assert told == {("feed", sign), ("jumper", sign)}


def test_the_feed_begins_at_the_stage(demo: Fixture) -> None:
    model = settle(pulsed(demo), mends=False).model
    (stage,) = model.by_role("pulse_width")
    assert {wire.start.split(":")[0] for wire in model.wires("feed")} == {stage.ref}
    (regulator,) = model.by_role("regulator")
    ends = {(wire.start, wire.end) for wire in model.wires("stage_link")}
    assert ends == {(f"{regulator.ref}:OUT{s}", f"{stage.ref}:IN{s}") for s in "+-"}


@pytest.mark.parametrize(
    ("raises", "lugs"), [("clockwise", ["1", "2", "3"]), ("anticlockwise", ["3", "2", "1"])]
)
def test_outer_lugs_are_exchanged_to_turn_the_other_way(
    demo: Fixture, raises: str, lugs: list[str]
) -> None:
    # The module of the catalogue raises clockwise with the lugs in order. The wiper leaves lug 1
    # as the shaft turns clockwise: the way a potentiometer is drawn, from memory.
    fixture = pulsed(demo, chain__pulse_width__control=f"{{raises: {raises}}}")
    model = settle(fixture, mends=False).model
    ends = {w.start.split(":")[1]: w.end.split(":")[1] for w in model.wires("pulse_lead")}
    assert [ends[pad] for pad in ("C1", "C2", "C3")] == lugs
    (control,) = model.by_role("control")
    (low,) = [t.name for t in model.terminals if t.part == control.ref and t.mark == "live"]
    assert low == ends["C1"]
