"""What a builder of the demonstration fixtures acts on: sentences that their light bears out."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
import strict_reader

from guidegen.design.contacts import positive_contact
from guidegen.guide.model import Guide


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


def page(guide: Guide, name: str) -> str:
    return next(page.markdown for page in guide.pages if page.uri == f"{name}.md")


def test_a_strict_reader_finds_nothing(guide: Guide) -> None:
    assert strict_reader.troubles(guide) == []


def test_no_reading_of_the_demonstrations_falls_back_on_its_step(guide: Guide) -> None:
    faults = {fault.id for fault in guide.faults}
    named = {(step.id, name) for step in guide.steps for one in step.reads if not one.absent
             for _, name in one.routes.named()}  # fmt: skip
    assert len(named) > 20
    assert [one for one in named if one[1] not in faults] == []


def test_the_scan_prints_what_neighbours_may_differ_by(guide: Guide) -> None:
    apart = guide.design.values["scan.apart"]
    assert f"neighbouring rows differ by more than {apart}, mark" in page(guide, "steps")


def spoiled(guide: Guide, name: str, old: str, new: str) -> Guide:
    """The guide with a text of one page replaced, once."""
    assert old in page(guide, name)
    pages = tuple(replace(one, markdown=one.markdown.replace(old, new, 1))
                  if one.uri == f"{name}.md" else one for one in guide.pages)  # fmt: skip
    return replace(guide, pages=pages)


def with_step(guide: Guide, name: str, **more: Any) -> Guide:
    return replace(guide, steps=tuple(replace(one, **more) if one.id == name else one
                                      for one in guide.steps))  # fmt: skip


LONG = " ".join(["Go", *["on"] * (strict_reader.MOST_WORDS - 1)]) + "."
PROVED = "meter-proved"
SPOILED: dict[str, Callable[[Guide], Guide]] = {
    "steps: 21 words": lambda g: spoiled(g, "steps", "## Stage 1", f"Now {LONG}\n\n## Stage 1"),
    "comes late": lambda g: with_step(g, PROVED, body="1. Stop if it smells."),
    "begins with no verb": lambda g: with_step(g, PROVED, body="1. The cell is new."),
    "two actions in one line": lambda g: with_step(g, PROVED, body="1. Aim it. Keep it there."),
    "names no instrument": lambda g: with_step(g, PROVED, reads=(
        replace(g.steps[1].reads[0], by=""),)),
    "names no range": lambda g: with_step(g, PROVED, reads=(
        replace(g.steps[1].reads[0], by="multimeter"),)),
    "names no points": lambda g: with_step(g, PROVED, reads=(
        replace(g.steps[1].reads[0], where=""),)),
    "no value with a tolerance": lambda g: with_step(g, PROVED, reads=(
        replace(g.steps[1].reads[0], low=g.steps[1].reads[0].high),)),
    "not printed whole": lambda g: with_step(g, PROVED, reads=(
        replace(g.steps[1].reads[0], says="about right"),)),
    "meter-proved has no check": lambda g: with_step(g, PROVED, reads=()),
    "no way on": lambda g: with_step(g, PROVED, if_not="nowhere"),
    "leads to power": lambda g: replace(g, faults=tuple(
        replace(one, power=True) if one.id == "meter-wrong" else one for one in g.faults)),
    "no Stop, supply off": lambda g: spoiled(g, "calibration", "| Stop, supply off |", "| Stop |"),
    "no direction of turn": lambda g: spoiled(
        g, "calibration", "| Turn | ", "| Turn | Slowly. |\n| More | "),
    "nothing as found": lambda g: spoiled(g, "calibration", "| As found, as left", "| As left"),
    "calibration: control: missing": lambda g: spoiled(
        g, "calibration", "## Calibration: control", "### Of the control"),
    "stands there twice": lambda g: spoiled(
        g, "safety", "# Safety", f"# Safety\n\n{g.cautions.chosen[0].hazard}"),
    "touches nothing": lambda g: with_step(g, "joints-scanned", reads=tuple(
        replace(one, least=0.0) for step in g.steps if step.id == "joints-scanned"
        for one in step.reads)),
    "not in its lists: test rod": lambda g: with_step(
        g, PROVED, body="1. Touch the cell with the test rod."),
    "nobody else has seen it": lambda g: with_step(g, "feed-checked", who="B"),
    "600 V, and the step says": lambda g: spoiled(
        g, "calibration", "DC volts, ", "DC volts, 600 V range, not "),
}  # fmt: skip


@pytest.mark.parametrize("told", SPOILED)
def test_a_strict_reader_sees(told: str, site_guide: Guide) -> None:
    """Spoiled on purpose: each of its rules can fail."""
    assert site_guide.steps[1].id == PROVED
    found = strict_reader.troubles(SPOILED[told](site_guide))
    assert any(told in one for one in found), found


def test_the_table_of_the_walk_says_off_until_a_step_leaves_power_on(guide: Guide) -> None:
    told = re.findall(r"(?m)^\| (\d+\.\d+) \| (on|off) \|", page(guide, "workings"))
    assert [number for number, _ in told] == [step.number for step in guide.steps]
    left_on, expected = False, []
    for step in guide.steps:
        expected.append("on" if left_on else "off")
        for act in step.acts:
            if act.verb == "powers":
                left_on = act.source != "none"
    assert [word for _, word in told] == expected
    assert expected[0] == "off"
    assert "on" in expected


def test_every_numeric_reading_can_be_met(guide: Guide) -> None:
    """An expected zero is no exception: a real track ends at some ohms."""
    met = [reading for step in guide.steps for reading in step.reads if reading.low]
    assert met
    assert [(r.where, r.target) for r in met if r.low == r.high] == []


def test_the_whole_track_may_differ_as_its_data_sheet_says(guide: Guide) -> None:
    """Carbon tracks keep a fifth of their value (common practice, no source)."""
    if "control.across" in guide.design.values:
        pytest.skip("a resistor across the track narrows its spread")
    track = guide.design.values["control.track"].si
    spoken = [(r.low, r.high) for step in guide.steps for r in step.reads
              if step.id in ("control-wired", "dimmer-wired") and "k" in r.target]  # fmt: skip
    (low, high), *others = [tuple(1e3 * float(text.split("\u00a0")[0]) for text in ends)
                            for ends in spoken]  # fmt: skip
    assert others == []
    assert low == pytest.approx(0.8 * track, rel=0.01)
    assert high == pytest.approx(1.2 * track, rel=0.01)


def test_the_plate_names_the_contact_that_the_drawing_shows(guide: Guide) -> None:
    (part,) = guide.design.model.by_role("connector")
    words = {"centre": "the pin in the centre", "sleeve": "the sleeve",
             "marked": "the contact marked +"}[positive_contact(guide.design, part)]  # fmt: skip
    assert f"| + on {words} |" in page(guide, "record")


def test_one_copy_is_not_spoken_of_as_many(guide: Guide) -> None:
    for found in guide.pages:
        assert "1 copies" not in found.markdown.replace("\u00a0", " "), found.uri


def test_a_cut_off_of_its_own_is_tried_before_the_battery_is_joined(guide: Guide) -> None:
    """Its trip voltage is what keeps a battery from being emptied: a data sheet is not enough."""
    parts = guide.design.model.by_role("cut_off") + guide.design.model.by_role("supply_cut_off")
    tried = [n for n, step in enumerate(guide.steps) if step.id.endswith("cut-off-tested")]
    assert len(tried) == len(parts)
    for number in tried:
        (reading,) = guide.steps[number].reads
        assert {key.split(":")[0] for pair in reading.probes for key in pair} == {parts[0].ref}
        assert reading.expected is not None
        trips = reading.expected.si
        supply = guide.design.fixture.supply.part
        assert supply["empty_voltage"].si <= trips < supply["voltage"].si  # type: ignore[union-attr,index]
        own = [n for n, step in enumerate(guide.steps)
               if any(act.source == "supply" for act in step.acts)]  # fmt: skip
        assert number < min(own)


def test_no_screw_of_the_back_lies_under_what_is_glued_on_before_it(guide: Guide) -> None:
    """A block over a hole keeps the driver out: whoever is screwed from there comes first."""
    model = guide.design.model
    when = {ref: number for number, step in enumerate(guide.steps)
            for act in step.acts if act.verb == "fits" for ref in act.refs}  # fmt: skip
    seen = 0
    for board in model.by_role("board"):
        assert board.solid is not None
        back = board.solid.low[2]
        heads = [hole for hole in board.solid.holes
                 if hole.role.endswith("_screw") and abs(hole.at[2] - back) < 1e-6]  # fmt: skip
        over = [part for part in model.parts
                if part.solid and abs(part.solid.high[2] - back) < 1e-6 and part.made]  # fmt: skip
        for hole in heads:
            seen += 1
            for part in over:
                box = part.box
                assert box is not None
                reach = hole.width.si
                if (box.x - reach < hole.at[0] < box.x + box.width + reach
                        and box.y - reach < hole.at[1] < box.y + box.height + reach):  # fmt: skip
                    assert when[hole.holds] < when[part.ref], (hole.role, hole.at, part.ref)
    assert seen > 3 or not guide.design.facts["border_screwed"]


def test_the_block_diagram_leads_the_whole_current_to_the_rows(guide: Guide) -> None:
    """Two feeds of half the current each are one arrow: what leaves the last stage reaches all."""
    svg = guide.figures["chain"].svg
    amps = re.findall(r">up to ([^<]*)<", svg)
    assert len(amps) > 2
    assert amps[-2:] == [str(guide.design.values["panel.current"])] * 2
