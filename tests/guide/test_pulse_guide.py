"""The guide of a light that is dimmed by pulses: every reading is made at full duty."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from guidegen.design import settle
from guidegen.folders import folder
from guidegen.guide.bench import all_facts
from guidegen.guide.model import Guide
from guidegen.guide.spoil import survivors
from guidegen.guide.walk import walk
from guidegen.road import guide_of
from guidegen.spec import load
from guidegen.spec.changes import changed

DEMO = Path(folder("templates").parent / "specs" / "herbarium-copy-light.yaml")
PULSES = {
    "chain.regulator.output": "11.8 V ± 0.2 V",
    "chain.regulator.control": "none",
    "chain.+pulse_width": "pulse-width-30v-8a",
    "use.surroundings": "[rotating tools]",
}


@pytest.fixture(scope="module")
def guide() -> Guide:
    made = guide_of(DEMO, settle(changed(load(DEMO), PULSES), mends=False))
    assert isinstance(made, Guide)
    return made


def facts(guide: Guide) -> dict[str, Any]:
    return all_facts({**guide.design.facts, "stops": False}, guide.design.values)


def without(guide: Guide, step_id: str, verb: str, to: str) -> tuple[Any, ...]:
    """The steps, one deed of one of them left out."""
    return tuple(
        replace(step, acts=tuple(a for a in step.acts if not (a.verb == verb and a.to == to)))
        if step.id == step_id
        else step
        for step in guide.steps
    )


@pytest.mark.parametrize("step", ["first-light", "dimmer-joints-scanned"])
def test_a_reading_below_full_duty_is_told(guide: Guide, step: str) -> None:
    assert walk(guide.design.model, guide.steps, facts(guide)).passed
    report = walk(guide.design.model, without(guide, step, "sets", "high"), facts(guide))
    told = {finding.what for finding in report.findings if step in str(finding)}
    assert any("mean of pulses" in text for text in told), told


def test_every_step_that_reads_behind_the_stage_says_it(guide: Guide) -> None:
    behind = {
        key for wire in guide.design.model.conductors if wire.role in ("feed", "jumper")
        for key in (wire.start, wire.end)
    }  # fmt: skip
    reading = [
        step for step in guide.steps for act in step.acts
        if act.reading is not None and act.reading.instrument in ("volts", "mv")
        and any(key in behind for both in act.reading.probes for key in both)
    ]  # fmt: skip
    assert {step.id for step in reading} == {"first-light", "dimmer-joints-scanned"}
    for step in reading:
        assert "high end" in step.body
        assert "a meter shows" in step.body or "mean" in step.body


def test_the_stage_is_joined_only_when_the_regulator_is_set(guide: Guide) -> None:
    order = [step.id for step in guide.steps]
    assert order.index("fixed-output-set") < order.index("dimmer-joined")
    assert order.index("limit-set") < order.index("dimmer-joined")
    model = guide.design.model
    links = {j.ref for j in model.joints for w in model.wires("stage_link") if j.conductor == w.ref}
    joined = {step.id for step in guide.steps for act in step.acts if links & set(act.joints)}
    assert joined == {"dimmer-joined"}


def test_a_slip_that_can_hurt_is_found(guide: Guide) -> None:
    kinds = {"power-first", "insulation-late", "reversed", "joint-forgotten", "part-forgotten",
             "dropped", "doubled", "swapped"}  # fmt: skip
    left = survivors(guide.design.model, guide.steps, facts(guide))
    assert [str(one) for one in left if one.kind in kinds] == []


def test_the_pages_tell_what_is_switched_and_what_is_not_set(guide: Guide) -> None:
    pages = {page.uri.removesuffix(".md"): str(page.markdown) for page in guide.pages}
    wiring, calibration = pages["wiring"], pages["calibration"]
    assert "switched" in wiring
    assert "Never join the supply's own negative to them" in wiring
    assert "has no trimmer" in calibration
    assert "both ends of the control" not in calibration
    assert "does not flicker" not in pages["performance"]
    assert "A turning blade that looks still" in pages["safety"]
