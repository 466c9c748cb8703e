"""Readings by solving the circuit: the sound guide holds, and spoiled ones are objected to."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from guidegen.content.files import search_path
from guidegen.content.words import load_words
from guidegen.design import settle
from guidegen.design.model import Model
from guidegen.design.result import Design
from guidegen.guide import netlist
from guidegen.guide.bench import all_facts
from guidegen.guide.solved import SOLVED, Solver
from guidegen.guide.step import Act, Step
from guidegen.guide.steps import load_steps
from guidegen.guide.walk import WalkReport, walk
from guidegen.spec import load
from guidegen.spec.changes import changed

HOME = Path(__file__).parents[2]
DEMO = HOME / "specs" / "herbarium-copy-light.yaml"
#: How far law and solver may be apart at any reading that expects one number.
APART = 0.01


class Light:
    """A design with its steps, walked with a solver."""

    def __init__(self, design: Design) -> None:
        facts = {**design.facts, "stops": design.stops}
        words = load_words(search_path())
        self.design = design
        self.steps = load_steps(search_path(), facts, design.model, design.values, words)
        self.facts = all_facts(facts, design.values)

    def walk(self, steps: tuple[Step, ...] = (), model: Model | None = None) -> WalkReport:
        return walk(model or self.design.model, steps or self.steps, self.facts, Solver())

    def objections(self, steps: tuple[Step, ...] = (), model: Model | None = None) -> list[str]:
        return [str(f) for f in self.walk(steps, model).findings if f.rule == "solved"]

    def with_acts(self, step: str, change: Callable[[Act], Act | None]) -> tuple[Step, ...]:
        """The steps with every deed of one of them changed, or left out."""
        done = []
        for one in self.steps:
            acts = [change(act) for act in one.acts] if one.id == step else one.acts
            done.append(replace(one, acts=tuple(act for act in acts if act is not None)))
        return tuple(done)


def light_of(spec: Path, changes: dict[str, str] | None = None) -> Light:
    return Light(settle(changed(load(spec), changes or {}), mends=False))


@pytest.fixture(scope="module")
def light() -> Light:
    return light_of(DEMO)


@pytest.fixture(scope="module")
def panels() -> Light:
    return light_of(HOME / "tests" / "data" / "sixty-rows.yaml")


def test_every_reading_of_the_demonstrations_is_solved_and_holds(demo_guide: object) -> None:
    asked = [(step.number, reading.number) for step in demo_guide.steps for reading in step.reads
             if reading.instrument in SOLVED
             and not (reading.absent or reading.aside)]  # fmt: skip
    rows = demo_guide.walk.solved
    assert [(row.step.split()[0], row.solved.reading.number) for row in rows] == asked
    assert len(asked) > 15
    assert demo_guide.walk.findings == ()


def far_off(light: Light) -> list[str]:
    """Readings whose law and solution are farther apart than they may be."""
    found = []
    for row in light.walk().solved:
        reading = row.solved.reading
        # A battery is read anywhere in its window, a control at its ends within its tolerance.
        if reading.instrument == "ohms" or reading.holds == "supply.reading":
            continue
        # The walk's LEDs hold one voltage, those of this law are Shockley's: test_dimming.py.
        if reading.holds.startswith("dimmed."):
            continue
        assert reading.expected is not None
        middle = (row.solved.low + row.solved.high) / 2
        if not math.isclose(middle, reading.expected.si, rel_tol=APART):
            found.append(f"{row.step}: {reading.holds} {reading.expected.si:.4g}, {middle:.4g}")
    return found


CASES = {
    "as it is": {},
    "fed at both ends": {"rows.1.fed_from": "both ends"},
    "fed at one end": {"rows.1.fed_from": "left end"},
    "fed between its ends": {"rows.1.fed_from": "middle"},
    "rails fed at their ends": {"wiring.rails.fed_at": "end"},
    "a cable for each pole": {"chain.feed.cores": "both on one pole"},
    "one row": {"rows.1.count": "1"},
    "straight on the adapter": {
        "supplies.1": "{adapter: adapter-12v-60w}", "chain.regulator": "none",
        "chain.fuse.rating": "5 A", "chain.lead.size": "1 mm²", "chain.switch": "switch-dc-20a",
    },
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_law_and_solver_agree(name: str) -> None:
    case = light_of(DEMO, CASES[name])
    assert far_off(case) == []
    assert case.walk().findings == ()


@pytest.mark.parametrize("spec", ["boatshed-work-bar", "puppet-wash-light"])
def test_law_and_solver_agree_for_the_other_demonstrations(spec: str) -> None:
    assert far_off(light_of(HOME / "specs" / f"{spec}.yaml")) == []


HELD = {"rows.1.tape": "{like: tape-12v-10w-cri95, chip_dropout: 1.2 V}",
        "chain.regulator.control": "none", "chain.regulator.output": "11.8 V"}  # fmt: skip


@pytest.mark.parametrize("changes", [{}, HELD], ids=["resistors", "chips"])
def test_groups_of_the_panels_law_agree_near_the_rated_voltage(
    changes: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same walk with the law of the panel's network in the place of the straight one."""
    case = light_of(DEMO, changes)
    net = case.design.result("solved panel").net
    monkeypatch.setattr(netlist.Netlist, "_group", lambda _: net.law)
    assert case.walk().findings == ()
    assert far_off(case) == []


def test_what_a_reading_took_to_be_solved_is_told(light: Light) -> None:
    """A meter as a short leaves the module no state in which it regulates."""
    told = [row.solved for row in light.walk().solved if row.solved.tried]
    assert [one.reading.instrument for one in told] == ["short"]
    assert any("holds its limit" in text for text in told[0].tried)


def test_a_drop_of_the_whole_panel_at_each_of_two_feeds_is_far_off(light: Light) -> None:
    """Spoiled: what the scan expects, twice as much."""
    steps = tuple(replace(step, acts=tuple(doubled(act) for act in step.acts))
                  for step in light.steps)  # fmt: skip
    spoiled = Light(light.design)
    spoiled.steps = steps
    assert [line.split(":")[1].split()[0] for line in far_off(spoiled)] == ["scan.drop"] * 2


def doubled(act: Act) -> Act:
    if act.reading is None or act.reading.holds != "scan.drop":
        return act
    assert act.reading.expected is not None
    expected = replace(act.reading.expected, si=2 * act.reading.expected.si)
    return replace(act, reading=replace(act.reading, expected=expected))


@pytest.mark.parametrize("factor", [0.5, 2.0])
@pytest.mark.parametrize(("step", "number"), [
    ("row-sampled", 1), ("upper-end-set", 1), ("lower-end-read", 1), ("lower-end-read", 3),
    ("limit-set", 1), ("first-light", 2), ("first-light", 3), ("control-wired", 2),
])  # fmt: skip
def test_a_wrong_law_is_objected_to(light: Light, step: str, number: int, factor: float) -> None:
    def wrong(act: Act) -> Act:
        reading = act.reading
        if reading is None or reading.number != number:
            return act
        return replace(act, reading=replace(reading, least=reading.least * factor,
                                            most=reading.most * factor))  # fmt: skip

    [objection] = light.objections(light.with_acts(step, wrong))
    assert f" {step}: " in objection
    assert " solves to " in objection
    assert "and the step prints" in objection


def test_control_leads_at_the_wrong_lugs_are_objected_to(light: Light) -> None:
    """The dry walk can't see it: the lugs have no pole. The control then turns the other way."""
    ends = {"R1:1": "R1:3", "R1:3": "R1:1"}
    leads = {wire.ref for wire in light.design.model.wires("control_lead")}
    ties = {wire.ref for wire in light.design.model.wires("wiper_tie")}
    joints = tuple(replace(joint, terminal=ends.get(joint.terminal, joint.terminal))
                   if joint.conductor in leads | ties else joint
                   for joint in light.design.model.joints)  # fmt: skip
    wrong = replace(light.design.model, joints=joints)
    found = light.walk(model=wrong).findings
    assert {finding.rule for finding in found} == {"solved"}
    assert any("lower-end-read" in finding.step for finding in found)


def test_a_feed_of_bell_wire_is_objected_to(light: Light) -> None:
    """A hundred times the resistance: the dry walk sees a wire."""
    model = light.design.model
    thin = tuple(replace(wire, per_metre=100 * wire.per_metre) if wire.role == "feed" else wire
                 for wire in model.conductors)  # fmt: skip
    found = light.walk(model=replace(model, conductors=thin)).findings
    assert {finding.rule for finding in found} == {"solved"}
    assert any("joints-scanned" in finding.step for finding in found)


def test_a_joint_that_is_missing_is_objected_to(light: Light) -> None:
    jumper = light.design.model.wires("jumper")[4].ref
    lost = next(j.ref for j in light.design.model.joints if j.conductor == jumper)

    def without(act: Act) -> Act:
        return replace(act, joints=tuple(ref for ref in act.joints if ref != lost))

    found = light.objections(light.with_acts("jumpers-joined", without))
    assert any("W8:feed to E5:L+ solves to an open circuit, and joined means" in f for f in found)
    # The meter hangs on the row's own groups there: neither the panel's voltage nor nothing.
    assert any("joints-scanned: mv T1:OUT+ to E5:L+ solves to" in f for f in found)


def test_a_resistor_across_the_control_that_was_forgotten(light: Light) -> None:
    legs = {j.ref for j in light.design.model.joints
            if light.design.model.by_role("across_resistor")[0].ref == j.conductor}  # fmt: skip

    def without(act: Act) -> Act:
        return replace(act, joints=tuple(ref for ref in act.joints if ref not in legs))

    found = light.objections(light.with_acts("control-wired", without))
    assert any("control-wired: ohms R1:1 to R1:2 solves to 10.0" in text for text in found)


def test_a_trimmer_that_nobody_set_is_told(light: Light) -> None:
    def without(act: Act) -> Act | None:
        return None if act.verb == "sets" and act.text == "trimmer" else act

    found = light.objections(light.with_acts("upper-end-set", without))
    assert found
    assert all("hangs on T1.trimmer, which nobody has set" in text for text in found)


@pytest.mark.parametrize(("step", "what", "number"), [
    ("upper-end-set", "volts", 9.0), ("first-light", "volts", 12.0), ("first-light", "limit", 0.5),
])  # fmt: skip
def test_a_bench_supply_that_gives_too_little_is_objected_to(
    light: Light, step: str, what: str, number: float
) -> None:
    def less(act: Act) -> Act:
        value = getattr(act, what)
        return replace(act, **{what: replace(value, si=number)}) if value else act

    assert light.objections(light.with_acts(step, less))


def test_power_below_a_cut_offs_voltage_reaches_nothing() -> None:
    """What the bench supply starts with must hold a cut-off closed."""
    cut_off = light_of(DEMO, {
        "supplies.1": "{battery: li-ion-6s-5ah, chain: [{fuse: fuse-blade-58v, rating: auto}]}",
        "chain.cut_off": "{like: cut-off-12v-20a, voltage: 32 V, trips_at: 18.5 V ± 0.2 V}",
        "chain.fuse": "none", "chain.switch": "switch-dc-20a", "chain.lead.size": "1.5 mm²",
        "chain.connector": "connector-shrouded-30a",
    })  # fmt: skip
    assert cut_off.objections() == []

    def low(act: Act) -> Act:
        return replace(act, volts=replace(act.volts, si=14.3)) if act.volts else act

    found = cut_off.objections(cut_off.with_acts("upper-end-set", low))
    assert found
    assert all("solves to 0.00" in text for text in found)


def test_both_panels_are_solved_each_by_its_own_feed(panels: Light) -> None:
    report = panels.walk()
    assert report.findings == ()
    scan = next(row for row in report.solved if "dimmer-joints-scanned" in row.step
                and row.solved.reading.instrument == "mv")  # fmt: skip
    assert len(scan.solved.values) == 120
    # Alike, so the first row of one reads what the first row of the other does.
    assert scan.solved.values[60:] == pytest.approx(scan.solved.values[:60], rel=1e-9)


def test_a_feed_of_the_second_panel_alone_is_objected_to(panels: Light) -> None:
    second = {p.ref for p in panels.design.model.parts if p.role == "rail" and p.panel == 2}
    wrong = tuple(
        replace(wire, per_metre=100 * wire.per_metre)
        if wire.role == "feed" and wire.end.split(":")[0] in second else wire
        for wire in panels.design.model.conductors
    )  # fmt: skip
    found = panels.objections(model=replace(panels.design.model, conductors=wrong))
    assert found
    scanned = [text for text in found if "dimmer-joints-scanned: mv" in text]
    assert scanned
    assert all("E61:" in text for text in scanned)


def test_a_light_that_must_not_be_built_is_still_described() -> None:
    """Its output is above what its battery can drive: a stop, which the guide shows."""
    from guidegen.guide import make

    weak = light_of(DEMO, {
        "supplies.1": "{battery: lead-acid-12v-7ah, chain: [{fuse: fuse-blade-58v, rating: auto}]}",
        "chain.fuse": "none", "chain.cut_off": "cut-off-12v-20a",
    })  # fmt: skip
    assert weak.design.stops
    assert weak.objections()
    assert make(weak.design, search_path(), lambda design, steps: {}).stop


def test_a_reading_is_judged_as_finely_as_it_is_printed() -> None:
    """An output without a tolerance has a band of no width: a millivolt beside it is no fault."""
    exact = light_of(DEMO, {"chain.regulator.output": "7.5 V to 11.5 V"})
    row = next(row for row in exact.walk().solved if "upper-end-set" in row.step)
    assert row.solved.reading.least == pytest.approx(row.solved.reading.most)
    assert exact.objections() == []
