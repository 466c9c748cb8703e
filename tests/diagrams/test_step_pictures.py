"""Every step of the demonstration guides that does something in a place has its picture."""

from __future__ import annotations

import re
from typing import Any

import pytest
from reader import Drawing, expanded

from guidegen.design.model import Conductor, Model
from guidegen.diagrams.figures import lead_refs, step_figure
from guidegen.guide.model import Guide
from guidegen.guide.step import Step

#: What lies loose in a lead or beyond the connector has no place that a picture could show.
LOOSE = "GX"


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


def pictures(guide: Guide) -> dict[str, Drawing]:
    return {name: Drawing(figure.svg) for name, figure in guide.figures.items()
            if name.startswith("step-")}  # fmt: skip


def puts(step: Step, model: Model) -> set[str]:
    """What a step puts in a place: parts fitted, conductors joined at both ends of a place."""
    joints = {joint.ref: joint.conductor for joint in model.joints}
    at = {terminal.key: terminal.at for terminal in model.terminals}
    wires = {wire.ref: wire for wire in model.conductors}
    found = {ref for act in step.acts if act.verb == "fits" for ref in act.refs
             if ref in {part.ref for part in model.parts if part.box}}  # fmt: skip
    joined = {joints[ref] for act in step.acts for ref in act.joints} & set(wires)
    return found | {ref for ref in joined if at[wires[ref].start] and at[wires[ref].end]}


def test_every_step_that_puts_something_in_place_has_a_picture(guide: Guide) -> None:
    drawn = pictures(guide)
    model = guide.design.model
    put = [step for step in guide.steps if puts(step, model)]
    assert len(put) > 8
    assert [step.id for step in put if f"step-{step.id}" not in drawn] == []


def test_every_reading_at_fitted_parts_has_its_places_in_a_picture(guide: Guide) -> None:
    """Red and black are named with their terminals, as the step's own sentence names them."""
    fitted = {part.ref for part in guide.design.model.parts if part.on}
    read = 0
    for step in guide.steps:
        figure = guide.figures.get(f"step-{step.id}")
        # Of the instruments only the bench supply's own display has no probes.
        pairs = [r.probes[0] for r in step.reads
                 if r.probes and not r.absent and r.instrument != "amps"]  # fmt: skip
        if figure is None or not pairs or puts(step, guide.design.model):
            continue
        if step.shows is not None or not any(k.split(":")[0] in fitted for p in pairs for k in p):
            continue
        words = " ".join(text.words.strip() for text in Drawing(figure.svg).texts)
        for red, black in pairs:
            if {red.split(":")[0], black.split(":")[0]} & fitted:
                for colour, key in (("red", red), ("black", black)):
                    assert f"{colour} on {key.replace('-', '−')}" in words, (step.id, key)
                    read += 1
    assert read > 6


def test_a_picture_names_nothing_that_its_step_does_not_touch(guide: Guide) -> None:
    """Labels are what is new, what is read, and what new wires are joined to."""
    model = guide.design.model
    wires = {wire.ref: wire for wire in model.conductors}
    known = set(model.refs())
    for step in guide.steps:
        figure = guide.figures.get(f"step-{step.id}")
        if figure is None or "At the battery" in figure.svg:
            continue  # the lead is named whole
        joints = {joint.ref: joint for joint in model.joints}
        mine = {ref.split(".")[0] for act in step.acts for ref in act.refs}
        mine |= {joints[ref].conductor for act in step.acts for ref in act.joints}
        mine |= {key.split(":")[0] for r in step.reads for pair in r.probes for key in pair}
        mine |= {model.part(ref).on for ref in mine if ref not in wires and ref in known}
        mine |= {key.split(":")[0] for ref in mine if ref in wires
                 for key in (ends(wires[ref]))}  # fmt: skip
        # Names of terminals are no references: VR2 is a pad.
        words = [re.sub(r":\S+", "", text.words) for text in Drawing(figure.svg).texts]
        named = set().union(*map(expanded, words))
        assert {ref for ref in named & known if ref not in mine} == set(), step.id


def ends(wire: Conductor) -> tuple[str, str]:
    return wire.start, wire.end


def test_pictures_are_legible_on_a_phone(guide: Guide) -> None:
    trouble = {}
    for name, drawing in pictures(guide).items():
        found = drawing.overlaps(), drawing.outside(), drawing.crossed()
        if any(found) or drawing.width > 360 or drawing.height > 1020:
            trouble[name] = found
    assert trouble == {}


def test_at_the_battery_no_wire_runs_through_a_part(guide: Guide) -> None:
    mine = {name: drawing for name, drawing in pictures(guide).items()
            if any(text.words.startswith("At the battery") for text in drawing.texts)}  # fmt: skip
    assert bool(mine) is bool(guide.design.facts["battery"])
    assert {name: d.run_through() for name, d in mine.items() if d.run_through()} == {}


def test_no_wire_of_the_box_runs_over_the_front(guide: Guide) -> None:
    """What lies behind the board is not drawn on its front, but for a feed that leaves its hole."""
    design = guide.design
    board = {part.ref for part in design.model.by_role("board")}
    inner = {w.ref for w in design.model.conductors if w.role in ("link", "control_lead", "lead")}
    assert inner
    alone, more = (step_figure(design, "step-x", set(), shown, "front").svg.partition("</desc>")[2]
                   for shown in (board, board | inner))  # fmt: skip
    assert alone == more
    rails = {part.ref for part in design.model.by_role("rail")}
    feeds = {wire.ref for wire in design.model.wires("feed")}
    fed = step_figure(design, "step-x", feeds, board | rails, "front")
    texts = Drawing(fed.svg).texts
    assert feeds <= set().union(*(expanded(text.words) for text in texts))


def test_every_reference_of_the_list_is_drawn_or_has_its_place_in_words(guide: Guide) -> None:
    """`H4: lid screw, on U12`; a label in the picture; or the side that it lies on."""
    model = guide.design.model
    told = 0
    for name, drawing in pictures(guide).items():
        lines = [text.words for text in drawing.texts]
        labels = [line for line in lines if not re.match(r"[^:]*\d: |W\d+ [a-z]|    ", line)]
        drawn = set().union(*map(expanded, labels))
        listed = " ".join(line.strip() for line in lines)
        for part in model.parts:
            ref = part.ref
            found = re.search(rf"\b{ref}(?:, [A-Z]\d+)*: [^:]*", listed)
            if found and ref not in drawn:
                told += 1
                place = re.search(r", on [A-Z]\d+|, at the (back|front)|not drawn", found[0])
                battery = f"{ref} " in " ".join(labels)
                assert place or battery, (name, ref, found[0])
    assert told > 2


def test_a_step_at_the_battery_is_shown_on_its_lead(guide: Guide) -> None:
    """Wires of the lead lie on no board; each that is new stands beside its line with its pole."""
    lead = lead_refs(guide.design.model)
    assert bool(lead) is bool(guide.design.facts["battery_wires"])
    joints = {joint.ref: joint.conductor for joint in guide.design.model.joints}
    wires = {wire.ref for wire in guide.design.model.conductors}
    shown = set[str]()
    for step in guide.steps:
        joined = {joints[j] for act in step.acts for j in act.joints}
        if joined and joined <= lead:
            drawing = Drawing(guide.figures[f"step-{step.id}"].svg)
            words = [text.words for text in drawing.texts]
            assert words[0].startswith("At the battery"), step.id
            for ref in joined & wires:
                assert any(re.match(rf"{ref} [+−] ", text) for text in words), (step.id, ref)
                shown.add(ref)
    assert shown == lead & wires
