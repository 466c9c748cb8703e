"""Heat sink and vents: temperatures by hand, places, and every rule spoiled once."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from guidegen.calc import cooling as laws
from guidegen.calc.warm_box import box_temperature
from guidegen.design import Design, cooling, settle, solid_rules
from guidegen.design.model import Part
from guidegen.design.result import Finding
from guidegen.design.solid import Box, block
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

THROUGH = "heat sink through the lid, vents in the box"
IN_BOX = "heat sink in the box"
Settled = Callable[[str], Design]
SINK = "{{width: 30 mm, height: 45 mm, depth: {depth}, resistance: {ohm} K/W, place: {place}}}"


def with_sink(demo: Fixture, depth: str = "60 mm", ohm: str = "6", place: str = "through lid",
              **more: str) -> Design:  # fmt: skip
    change = {"chain.regulator.sink": SINK.format(depth=depth, ohm=ohm, place=place)}
    return settle(changed(demo, {**change, **more}), mends=False)


def found(design: Design, name: str) -> Finding:
    (one,) = [finding for finding in design.findings if finding.id == name]
    return one


def part(design: Design, role: str) -> Part:
    return design.model.by_role(role)[0]


# --- laws -------------------------------------------------------------------------------------
def test_a_sink_by_hand() -> None:
    """40 x 40 x 20 mm: 1600 + 4 · 800 = 4800 mm²; at 10 W/(m²·K) 1 / 0.048 = 20.8 K/W; 2 W in
    30 °C: 71.7 °C."""
    ohm = laws.sink_resistance(area=4.8e-3, coefficient=10.0)
    assert ohm == pytest.approx(20.83, abs=0.01)
    assert laws.sink_temperature(around=303.15, resistance=ohm, heat=2.0) == pytest.approx(
        273.15 + 71.67, abs=0.01)  # fmt: skip


def test_stack_effect_by_hand() -> None:
    """ASHRAE Fundamentals (from memory): Q = C A √(2 g H ΔT/T). A row of 1000 mm² below and one
    above count as 707 mm²; H = 0.1 m, 20 K over 300 K: 0.6 · 0.000707 · √(2 · 9.807 · 0.1 · 20 /
    320) = 0.1485 l/s of 1.103 kg/m³: 3.3 W."""
    flow = 0.6 * 0.001 / math.sqrt(2) * math.sqrt(2 * 9.80665 * 0.1 * 20 / 320)
    assert flow == pytest.approx(1.485e-4, rel=1e-3)
    by_hand = 1.103 * 1006 * flow * 20
    assert laws.carried_off(320.0, 300.0, 0.001, 0.1) == pytest.approx(by_hand, rel=1e-3)
    assert laws.carried_off(320.0, 300.0, 0.001, 0.0) == 0.0
    assert laws.carried_off(300.0, 300.0, 0.001, 0.1) == 0.0


WALLS = {"area": 0.04, "height": 0.12, "wall_thickness": 0.006, "wall_conductivity": 0.12,
         "emissivity": 0.9, "ambient": 303.15}  # fmt: skip


def test_walls_and_vents_together_give_off_what_is_made() -> None:
    """Energy: what the vents do not carry off warms the closed box to the same temperature."""
    vents = {"vent_area": 1.5e-4, "vent_rise": 0.1, "vent_share": 0.5}
    inside = laws.vented_temperature(loss=4.0, **WALLS, **vents)
    off = laws.carried_off(inside, 303.15, 0.75e-4, 0.1)
    assert 0 < off < 4
    assert box_temperature(loss=4.0 - off, **WALLS) == pytest.approx(inside, abs=1e-4)
    closed = box_temperature(loss=4.0, **WALLS)
    assert 303.15 < inside < closed
    none = laws.vented_temperature(loss=4.0, **WALLS, **{**vents, "vent_area": 0.0})
    assert none == pytest.approx(closed, abs=1e-4)


def test_areas_of_vents_by_hand() -> None:
    """Eight holes of 5 mm: 8 · 19.63 mm²; a slot of 4 x 20 mm: 12.57 + 4 · 16 = 76.57 mm²."""
    assert laws.round_area(count=8, diameter=0.005) * 1e6 == pytest.approx(157.08, abs=0.01)
    assert laws.slot_area(count=1, width=0.004, length=0.02) * 1e6 == pytest.approx(76.57, abs=0.01)


def test_a_light_that_lies_flat_has_no_stack(demo: Fixture) -> None:
    vents = {"body.enclosure.vents": "{count: 8, diameter: 5 mm}"}
    flat, closed = ({"use.faces": "down"}, {"use.faces": "down"})
    with_vents = settle(changed(demo, {**vents, **flat}), mends=False).values["box.temperature"].si
    without = settle(changed(demo, closed), mends=False).values["box.temperature"].si
    assert with_vents == pytest.approx(without, abs=1e-3)
    leaning = settle(changed(demo, vents), mends=False).values["box.temperature"].si
    assert leaning < without - 1


# --- places -----------------------------------------------------------------------------------
def test_a_sink_through_the_lid_leaves_the_box_less_heat(settled: Settled) -> None:
    design = settled(THROUGH)
    values = design.values
    loss, heat, boxed = (values[name].si for name in ("regulator.loss", "sink.heat",
                                                      "regulator.boxed"))  # fmt: skip
    assert heat + boxed == pytest.approx(loss)
    room = values["use.ambient_high"].si
    assert values["sink.temperature"].si == pytest.approx(room + 6 * heat)
    within = settled(IN_BOX).values
    assert within["sink.temperature"].si == pytest.approx(within["box.temperature"].si + 6 * loss)


def test_it_stands_on_its_module_and_out_of_its_window(settled: Settled) -> None:
    """10 mm standoff, 25 mm module, 60 mm sink: 95 mm; wall of 54 mm and lid of 6 mm: 35 mm out."""
    design = settled(THROUGH)
    sink, module, lid = (part(design, role) for role in ("heat_sink", "regulator", "lid"))
    assert sink.solid is not None
    assert module.solid is not None
    assert lid.solid is not None
    assert sink.solid.high[2] == pytest.approx(module.solid.low[2])
    assert design.values["sink.out"].si == pytest.approx(0.035)
    assert [piece.low[2] for piece in sink.solid.pieces] == pytest.approx(
        [lid.solid.low[2], lid.solid.low[2] - 0.035])  # fmt: skip
    (window,) = [one for one in lid.openings if one.hole.role == "sink_window"]
    assert [window.low[n] for n in (0, 1)] == pytest.approx(
        [sink.solid.low[n] - 0.005 for n in (0, 1)])  # fmt: skip
    assert [window.high[n] for n in (0, 1)] == pytest.approx(
        [sink.solid.high[n] + 0.005 for n in (0, 1)])  # fmt: skip
    assert solid_rules.over_lid(design.model) == []
    assert solid_rules.collisions(design.model) == []


def test_without_its_window_the_lid_is_in_the_way(settled: Settled) -> None:
    model = settled(THROUGH).model
    lid = model.by_role("lid")[0]
    assert lid.solid is not None
    shut = replace(lid, solid=replace(lid.solid, holes=()))
    spoiled = replace(model, parts=tuple(shut if p.ref == lid.ref else p for p in model.parts))
    sink = model.by_role("heat_sink")[0].ref
    assert f"{sink} over {lid.ref}" in solid_rules.over_lid(spoiled)
    assert any(sink in pair for pair in solid_rules.collisions(spoiled))


def test_a_sink_in_the_box_makes_it_deeper(demo: Fixture, settled: Settled) -> None:
    """30 mm on a module of 25 mm; without it the switch is the deepest part."""
    inner = settled(IN_BOX).values["enclosure.wall_height"].si
    assert inner >= 0.010 + 0.025 + 0.030 + 0.015 - 1e-9


def test_vents_lie_in_both_walls(settled: Settled) -> None:
    walls = [wall for wall in settled(THROUGH).model.by_role("wall")
             if any(one.hole.role == "vent" for one in wall.openings)]  # fmt: skip
    assert len(walls) == 2
    for wall in walls:
        xs = [one.hole.at[0] for one in wall.openings if one.hole.role == "vent"]
        assert len(xs) == 8
        assert wall.solid is not None
        assert sum(xs) / 8 == pytest.approx(wall.solid.middle[0])
        # 1.8 times 5 mm from hole to hole: 4 mm of wood between.
        assert xs[1] - xs[0] == pytest.approx(0.009)


# --- rules, each spoiled once -------------------------------------------------------------------
def test_a_hot_sink_is_told_to_module_wood_and_hand(demo: Fixture) -> None:
    """40 K/W at 1.9 W: about 110 °C, where MDF bears 70 °C and skin 60 °C."""
    design = with_sink(demo, ohm="40")
    assert design.values["sink.temperature"].si > 273.15 + 100
    assert found(design, "sink-hot").level == "stop"
    near = found(design, "sink-near")
    assert (near.level, near.names["part"]) == ("stop", part(design, "lid").ref)
    touch = found(design, "touch-temperature")
    assert (touch.names["surface"], touch.names["kept"]) == ("sink", False)


def test_metal_round_it_mends_the_wood(demo: Fixture) -> None:
    hot = {"chain.regulator.sink": SINK.format(depth="60 mm", ohm="25", place="through lid"),
           "body.enclosure": "{sheet: aluminium, thickness: 3 mm}"}  # fmt: skip
    design = settle(changed(demo, hot), mends=False)
    assert found(design, "sink-near").names["kept"]


def test_a_sink_over_the_pads_of_its_module(demo: Fixture) -> None:
    """As wide as the module: the screws at its edges lie under the sink."""
    wide = {
        "chain.regulator.sink": "{width: 40 mm, height: 60 mm, depth: 20 mm, resistance: 6 K/W}"
    }
    near = found(settle(changed(demo, wide), mends=False), "sink-apart")
    assert near.level == "stop"
    assert near.found is not None
    assert near.found.si == 0


def test_a_sink_that_hardly_stands_out(demo: Fixture) -> None:
    """35 mm over a module that ends 35 mm over the floor: 10 mm out of a box of 60 mm."""
    assert found(with_sink(demo, depth="35 mm"), "sink-out").level == "advice"
    assert found(with_sink(demo, depth="20 mm"), "sink-out").level == "stop"


def test_a_sink_through_a_lid_that_is_not_there(demo: Fixture) -> None:
    design = with_sink(demo, **{"body.enclosure": "(left out)"})
    assert found(design, "sink-no-lid").level == "stop"


@pytest.mark.parametrize(("wide", "level"), [("12 mm", "holds"), ("12.5 mm", "stop")])
def test_the_test_finger(demo: Fixture, wide: str, level: str) -> None:
    """IEC 60529, IP2X: the jointed finger of 12 mm."""
    vents = {"body.enclosure.vents": f"{{count: 3, diameter: {wide}}}"}
    assert found(settle(changed(demo, vents), mends=False), "vent-finger").level == level


def test_the_test_wire_meets_what_lies_behind(demo: Fixture, settled: Settled) -> None:
    """IP3X: 2.5 mm. Vents of 5 mm in the middle of the walls: the module's pads are behind."""
    design = settled(THROUGH)
    wire = found(design, "vent-wire")
    assert wire.level == "advice"
    told = {str(key).replace("−", "-") for key in wire.names["terminals"]}
    assert told
    vents = [one for wall in design.model.by_role("wall") for one in wall.openings
             if one.hole.role == "vent"]  # fmt: skip
    for key in told:
        at = design.model.terminal(key).at
        assert at is not None
        assert any(one.low[0] - 0.0025 <= at[0] <= one.high[0] + 0.0025 for one in vents)
    fine = settle(changed(demo, {"body.enclosure.vents": "{count: 8, diameter: 2.5 mm}"}),
                  mends=False)  # fmt: skip
    assert found(fine, "vent-wire").level == "holds"


def test_a_part_before_a_vent_is_told(settled: Settled) -> None:
    """A cleat 5 mm before the upper wall; 11 mm before it there is air enough."""
    model = settled(THROUGH).model
    (vent, *_) = [one for wall in model.by_role("wall") for one in wall.openings
                  if one.hole.role == "vent"]  # fmt: skip
    wall = vent.part.solid
    assert wall is not None
    above = abs(vent.hole.at[1] - wall.high[1]) < 1e-6
    for away, shut in ((0.005, True), (0.011, False)):
        y = wall.high[1] + away if above else wall.low[1] - away - 0.02
        cleat = Part("U99", "piece", "cleat", made=True, on="U1", side="back",
                     solid=block(Box(vent.low[0], y, 0.03, 0.02), wall.high[2],
                                 wall.low[2]))  # fmt: skip
        spoiled = replace(model, parts=(*model.parts, cleat))
        assert ("U99" in cooling.covering(spoiled, vent)) is shut
    assert cooling.covering(model, vent) == []
