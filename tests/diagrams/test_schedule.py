"""Schedule and wiring figures agree to the last joint; every terminal and part stands in a figure.

The schedule's lines are what the page prints; the figures are read from their SVG alone.
"""

import itertools
import re
from dataclasses import replace
from pathlib import Path

import pytest
import yaml
from extended import beside, extended
from joints import Joint, joints, terminals
from reader import NS, Drawing, expanded
from sample import sample

from guidegen.content.files import search_path
from guidegen.content.words import load_words
from guidegen.design import settle
from guidegen.diagrams import plan
from guidegen.diagrams.figures import calibration, draw
from guidegen.diagrams.hung import hung
from guidegen.guide.schedule import schedule
from guidegen.spec import load
from guidegen.spec.changes import changed

TOP = Path(__file__).parents[2]
SPECS = sorted((TOP / "specs").glob("*.yaml"))
SOME = (
    "rows fed between their ends",
    "a cable for each pole of the feed",
    "staggered rows",
    "no box",
    "fan and pilot light, each with a resistor",
    "one output voltage",
    "tape straight on the adapter, nothing but a connector between",
    "lithium iron phosphate battery",
    "24 V tape on a 36 V battery",
    "fed from the left end",
    "fed from both ends",
    "one row",
    "large board",
    "control in place of the fixed resistor",
    "aluminium board",
    "two panels",
    "two tall panels of metal, fed between the ends of their rows",
)


@pytest.fixture(scope="module", params=[*(s.stem for s in SPECS), *SOME])
def case(request):
    """A real design and all its figures."""
    named = {spec.stem: spec for spec in SPECS}
    if request.param in named:
        fixture = load(named[request.param])
    else:
        variations = yaml.safe_load((TOP / "tests" / "variations.yaml").read_text("utf-8"))
        fixture = changed(load(TOP / "specs" / "herbarium-copy-light.yaml"),
                          variations[request.param]["change"])  # fmt: skip
    design = settle(fixture, mends=False)
    return design, draw(design)


def told(design):
    """The joints of the schedule's lines."""
    words = load_words(search_path())
    found = set()
    for line in schedule(design, (), words):
        colour = re.sub(r".*\((.*)\)", r"\1", line.colour)
        for end in (line.start, line.end):
            found.add(Joint(line.ref, end.replace("-", "−"), line.pole, colour))
    return found


def test_figures_and_schedule_tell_the_same_joints(case):
    design, figures = case
    drawn, printed = joints(figures), told(design)
    assert drawn - printed == set()
    assert printed - drawn == set()


def everything(design, figures):
    """What no figure names: parts, conductors, terminals."""
    named = set().union(*(expanded(t.words) for f in figures.values()
                          for t in Drawing(f.svg).texts))  # fmt: skip
    keys = {terminal.key.replace("-", "−") for terminal in design.model.terminals}
    return {ref for ref in design.model.refs() if ref not in named}, keys - terminals(figures)


def test_every_part_conductor_and_terminal_is_named(case):
    assert everything(*case) == (set(), set())


def in_box(design):
    """What the plan of the box must name: conductors that end there, resistors, their terminals."""
    model, outer = design.model, plan.case(design.model)
    parts = {part.ref for part in plan.electrics(model)}
    hanging = {ref for ref, _, _ in hung(model)}
    wires = {wire.ref for wire in model.conductors
             if {wire.start.split(":")[0], wire.end.split(":")[0]} & (parts | hanging)}  # fmt: skip
    pins = [terminal.name.replace("-", "−") for terminal in model.terminals
            if terminal.part in parts | hanging and terminal.at]  # fmt: skip
    small = {part.ref for part in model.parts
             if part.box and part.side == "back" and part.ref[0] == "H" and part.on
             and outer.holds(part.box)}  # fmt: skip
    return parts | hanging | wires | small, pins


def test_the_plan_of_the_box_names_all_that_is_in_it(case):
    design, figures = case
    if "wiring-plan" not in figures:
        pytest.skip("nothing stands in a box")
    refs, pins = in_box(design)
    words = [text.words for text in Drawing(figures["wiring-plan"].svg).texts]
    # What the list below says is no label.
    lowest = words.index("Straight lines: what joins what. Lay the wires along the walls.")
    assert words[lowest + 1 :] == []
    labels = [word for word in words if not re.match(r"[A-Z]\d+ [a-z]", word)]
    assert refs - set().union(*map(expanded, labels)) == set()
    named = [word.split(":")[-1] for word in labels]
    for pin in set(pins):
        assert named.count(pin) >= pins.count(pin), pin


#: Drawings of connections: what is joined to nothing is not touched. In views of the light itself
#: a wire lies over what it passes.
CONNECTIONS = ("schematic", "chain", "battery-lead", "control-back", "connector")


def test_no_conductor_runs_through_a_part_that_it_does_not_join(case):
    mine = {name: Drawing(figure.svg) for name, figure in case[1].items()
            if name.startswith(CONNECTIONS)}  # fmt: skip
    assert any(len(drawing.strokes) > 10 for drawing in mine.values())
    assert {name: d.run_through() for name, d in mine.items() if d.run_through()} == {}


def test_a_line_through_a_box_is_seen():
    """Spoiled on purpose, and the sound case beside it: a line that ends at the box."""
    box = '<path style="fill:#fff" d="M10 10h100v50h-100z"/>'
    for end, seen in ((80, True), (10, False)):
        line = f'<path style="fill:none" d="M50 0L50 {end}"/>'
        svg = f'<svg xmlns="{NS[1:-1]}" viewBox="0 0 200 100">{box}{line}</svg>'
        assert bool(Drawing(svg).run_through()) is seen


def test_every_figure_is_legible(case):
    trouble = {}
    for name, figure in case[1].items():
        drawing = Drawing(figure.svg)
        # The numbers of cuts stand on white circles, which the reader takes for no area.
        crossed = [] if name.startswith("sheet") else drawing.crossed()
        cut_off = [t.words for t in drawing.texts if t.words.endswith("…")]
        found = drawing.overlaps(), drawing.outside(), crossed, cut_off
        if any(found) or drawing.width > 700 or drawing.height > 1020:
            trouble[name] = found
    assert trouble == {}


def test_the_schematic_leaves_no_conductor_out(case):
    notes = [t.words for name, figure in case[1].items() if name.startswith("schematic")
             for t in Drawing(figure.svg).texts]  # fmt: skip
    assert [text for text in notes if "not drawn" in text] == []


# --- parts that few lights have, made by hand ---------------------------------------------------

MADE = {
    "battery, fan, two converters": extended,
    "the same, fed at both ends": lambda: extended(3, "both ends"),
    "the same, its box beside it": lambda: beside(extended()),
    "sixty rows at both ends": lambda: sample(60, "both ends"),
}


@pytest.fixture(scope="module", params=MADE)
def made(request):
    design = MADE[request.param]()
    return design, draw(design)


def modelled(design):
    """The joints of a model, as the schedule would tell them."""
    wires = {wire.ref: wire for wire in design.model.conductors}
    found = set()
    for wire in wires.values():
        pole = wire.polarity.replace("-", "−") if wire.polarity in ("+", "-", "−") else ""
        for end in (wire.start, wire.end):
            found.add(Joint(wire.ref, end.replace("-", "−"), pole, wire.colour or "–"))
    for joint in design.model.joints:
        if joint.conductor not in wires:
            found.add(Joint(joint.conductor, joint.terminal, "", "–"))
    return found


def own_legs(found):
    """Without the free legs of resistors, which the schedule names and a model only has."""
    return {joint for joint in found if not joint.terminal.endswith(":free") or
            joint.conductor.startswith("W")}  # fmt: skip


def test_figures_of_made_up_lights_tell_the_joints_of_their_models(made):
    design, figures = made
    assert own_legs(joints(figures)) == modelled(design)
    assert everything(design, figures) == (set(), set())


def test_figures_of_made_up_lights_are_legible(made):
    for name, figure in made[1].items():
        drawing = Drawing(figure.svg)
        assert (drawing.overlaps(), drawing.outside(), drawing.crossed()) == ([], [], []), name
        assert drawing.height <= 1020, name


def test_the_schematic_of_two_converters_draws_everything():
    figures = draw(extended())
    words = [t.words for name, f in figures.items() if name.startswith("schematic")
             for t in Drawing(f.svg).texts]  # fmt: skip
    assert not any("not drawn" in text for text in words)
    for ref in ("G1", "F1", "X1", "K1", "Q1", "T1", "T2", "M"):
        assert ref in words
    # Both wires of the fan stand beside it, in the first figure; the second dims the rows.
    first = [t.words for t in Drawing(figures["schematic"].svg).texts]
    assert {"W9", "W10", "M1 12 V", "R1 10 kΩ"} <= set(first)
    assert "R2 100 kΩ" in [t.words for t in Drawing(figures["schematic-2"].svg).texts]


def test_many_boxes_take_several_figures():
    assert {"wiring-back", "wiring-back-2"} <= set(draw(extended()))


PROBED = ("T1:IN+", "T1:VR2", "T2:OUT−", "T2:P3", "M1:+", "K1:OUT+", "R2:3", "U1:edge")


@pytest.mark.parametrize(("red", "black"), list(itertools.combinations(PROBED, 2)))
def test_set_ups_reach_the_terminals_of_any_part(red, black):
    figure = calibration(extended(), [("Set", red, black, "mV DC")])["calibration-1"]
    drawing = Drawing(figure.svg)
    assert (drawing.overlaps(), drawing.outside(), drawing.crossed()) == ([], [], [])
    words = [text.words for text in drawing.texts]
    assert {"red", "black"} <= set(words)
    for key in (red, black):
        assert key.partition(":")[2] in words


# --- the test itself must be able to fail -------------------------------------------------------


def spoiled(design, ref, **more):
    """The design with one conductor changed."""
    wires = tuple(replace(w, **more) if w.ref == ref else w for w in design.model.conductors)
    return replace(design, model=replace(design.model, conductors=wires))


@pytest.mark.parametrize(
    ("ref", "more"),
    [
        ("W2", {"end": "T1:IN+"}),
        ("W3", {"colour": "BU"}),
        ("W4", {"polarity": "-"}),
        ("W12", {"start": "E2:L+"}),
        ("W13", {"end": "W9:7"}),
    ],
)
def test_spoil_a_joint_that_is_drawn_wrong_is_seen(ref, more):
    design = sample(12)
    right = modelled(design)
    assert own_legs(joints(draw(design))) == right
    assert own_legs(joints(draw(spoiled(design, ref, **more)))) != right
