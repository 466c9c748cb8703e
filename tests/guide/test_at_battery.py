"""What is done at the poles of a battery: the order in which nothing can be shorted or sprayed."""

from __future__ import annotations

import re
from typing import Any

import pytest

from guidegen.guide.model import Guide
from guidegen.guide.plan import work

#: What asks for a hand on something that the poles hold.
TOUCHES = re.compile(
    r"[Tt]ake the fuse out|across the fuse|lowly until it trips|print\.|wires off its|close higher"
)
LINK = re.compile(r"\[At the (bank|battery)\]\(troubleshooting\.md#at-the-battery\)")


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


def page(guide: Guide, name: str) -> str:
    return next(one.markdown for one in guide.pages if one.uri == f"{name}.md")


def joining(guide: Guide) -> Any:
    """The step that joins the battery, if this light has a battery's wires to join."""
    names = ("bank-joined", "battery-joined")
    return next((step for step in guide.steps if step.id in names), None)


def test_what_the_poles_hold_is_touched_after_the_one_procedure(guide: Guide) -> None:
    facts = guide.design.facts
    outside = facts["fuse_at_battery"] or facts["supply_cut_off"]
    asked = 0
    for fault in guide.faults:
        for cause in fault.causes:
            for text in (cause.test, cause.action):
                found = TOUCHES.search(text)
                if found and outside and (facts["supply_cut_off"] or "fuse" in text):
                    asked += 1
                    first = LINK.search(text)
                    assert first, (fault.id, text)
                    assert first.start() < found.start(), (fault.id, text)
    assert bool(asked) == bool(outside)
    care = page(guide, "care")
    for line in care.splitlines():
        if outside and line.startswith(("| The fuse |", "| The cut-off |", "| Each year | Trip")):
            assert LINK.search(line) or not facts["supply_cut_off"], line


def test_the_procedure_takes_the_fuse_out_before_the_wires_of_the_cut_off(guide: Guide) -> None:
    text = page(guide, "troubleshooting")
    assert ('id="at-the-battery"' in text) == bool(guide.design.facts["battery_wires"])
    if not guide.design.facts["battery_wires"]:
        return
    said = text[text.index('id="at-the-battery"') :]
    said = said[: said.index("</section>")]
    order = ["nplug", "Take off rings"]
    if guide.design.facts["bank"]:
        order += ["every charger", "quarter of an hour", "isolator"]
    if guide.design.facts["fuse_at_battery"]:
        order += ["out of its holder"]
    if guide.design.facts["supply_cut_off"]:
        order += ["off the input of"]
    order += ["To come back", "Read the polarity"]
    places = [said.index(one) for one in order]
    assert places == sorted(places)
    assert said.count("fuse out, then put the fuse in") == guide.design.facts["fuse_at_battery"]


def test_polarity_is_read_before_the_fuse_goes_in(guide: Guide) -> None:
    step = joining(guide)
    if step is None or not guide.design.facts["fuse_at_battery"]:
        return
    reads = [one for one in step.reads if not one.absent]
    red, black = reads[0].probes[0]
    # From the pole's side of the fuse: what is read there is read with the fuse out.
    assert red == "F1:1"
    assert black == ("K1:IN-" if guide.design.facts["supply_cut_off"] else "X1:B-")
    assert reads[0].expected == guide.design.values["supply.reading"]
    fuse_in = re.search(r"Put the fuse (on|in) its", step.body)
    assert fuse_in
    told = [step.body.index(str(one.where)[1:]) for one in reads]  # the page begins a sentence
    assert told[0] < fuse_in.start() < told[1]
    # Nobody is sent to a fuse that may carry current.
    assert "fuse out first" not in step.body


def test_messages_stand_where_a_bank_is_read_and_its_board_drilled(guide: Guide) -> None:
    stands = {one.id: one.steps for one in guide.cautions.chosen}
    step = joining(guide)
    if step is not None:
        assert step.id in stands["meter-current-socket"]
        assert "COM and V" in step.body
    ids = [one.id for one in guide.steps]
    if "bank-board" in ids:
        assert "bank-board" in stands["wood-dust"]


def test_two_lift_where_the_message_asks_for_two(guide: Guide) -> None:
    design = guide.design
    lifted = any(one.id == "awkward-lift" for one in guide.cautions.chosen)
    assert lifted == (design.values["board.width"].si > 1.2 or design.values["body.mass"].si > 10)
    plan = work(design.model, guide.steps, {**design.facts, "stops": design.stops})
    turn = next(one for one in plan.together.turns if one.step.id == "light-closed")
    assert (len(turn.people) == 2) == lifted
    # Who helps to lift has not built: that one checks it, and nobody else does.
    after = [one for one in plan.together.turns if one.begins > turn.begins and one.checks]
    checkers = [who for who, steps in after[0].checks for one in steps if one.id == "light-closed"]
    assert checkers == [3 - turn.people[0]]
    assert ("two turn and lift" in page(guide, "index")) == lifted


def test_calibration_is_read_before_the_bench_supply_is_set(guide: Guide) -> None:
    asked = 0
    for step in guide.steps:
        at = step.body.find("Read the calibration")
        if at >= 0:
            asked += 1
            assert not re.search(r"bench supply|Close|Turn ", step.body[:at]), step.id
    assert asked


def test_the_scale_reaches_no_farther_than_some_step_pulls(guide: Guide) -> None:
    reach = guide.design.values["scale.reach"]
    pulls = [one.by for step in guide.steps for one in step.reads if "pull of" in str(one.by)]
    assert any(f"a pull of {reach} " in str(by) for by in pulls)


def test_the_wire_to_the_far_pole_is_cut_to_what_is_measured(guide: Guide) -> None:
    wires = [w for w in guide.design.model.wires("battery_wire") if w.polarity == "-"]
    wired = [s for s in guide.steps if s.id in ("bank-side-wired", "battery-side-wired")]
    for step in wired:
        assert ("from the covered − pole" in step.body) == bool(wires)
        if wires:
            measured, cut = step.body.index("uncut"), step.body.index("Cut with")
            assert measured < step.body.index(wires[0].ref) < step.body.rindex(wires[0].ref)
            assert measured < cut
