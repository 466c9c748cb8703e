"""The mount: where it stands, layers with a nut between them, and what is refused of them."""

from __future__ import annotations

from dataclasses import replace
from math import pi
from pathlib import Path

import pytest

from guidegen.calc import screws
from guidegen.design import Design, Finding, settle
from guidegen.design.model import Part
from guidegen.design.solid import Hole, Solid
from guidegen.design.volumes import taken
from guidegen.errors import SpecError
from guidegen.guide.bench import all_facts
from guidegen.guide.walk import walk
from guidegen.road import guide_of
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

SPEC = Path(__file__).parents[2] / "specs" / "herbarium-copy-light.yaml"
LAYERS = (
    "{sheet: plywood, thickness: 12 mm}, {sheet: plywood, thickness: 9 mm, cut: pocket},"
    " {sheet: mdf, thickness: 6 mm, cut: none}"
)


def of_layers(demo: Fixture, layers: str = LAYERS, **more: str) -> Design:
    keys = {"insert": "t-nut-quarter-20", "layers": f"[{layers}]", **more}
    text = ", ".join(f"{key}: {value}" for key, value in keys.items())
    return settle(changed(demo, {"body.mount": f"{{{text}}}"}), mends=False)


def found(design: Design, id: str) -> Finding:
    return next(finding for finding in design.findings if finding.id == id)


def layers_of(design: Design) -> list[Part]:
    return [part for part in design.model.parts if part.role in ("mount_layer", "mount_pocket")]


def oblong(wide: float, high: float, right: float = 0) -> str:
    """Corners of an oblong, its middle so far to the right of the thread. [mm]."""
    xs, ys = (right - wide / 2, right + wide / 2), (-high / 2, high / 2)
    corners = [(xs[0], ys[0]), (xs[1], ys[0]), (xs[1], ys[1]), (xs[0], ys[1])]
    return "[" + ", ".join(f"[{x} mm, {y} mm]" for x, y in corners) + "]"


def places(design: Design, axis: int) -> list[tuple[float, float]]:
    solids = [part.solid for part in layers_of(design)]
    return [(round(s.low[axis], 6), round(s.high[axis], 6)) for s in solids if s]


def test_outward_layers_stand_on_the_board_from_its_edge_inward(demo: Fixture) -> None:
    design = of_layers(demo)
    # 12 mm, 9 mm and 6 mm from the lower edge up; 40 mm out from the back of a board of 9 mm.
    assert places(design, 1) == [(0, 0.012), (0.012, 0.021), (0.021, 0.027)]
    assert places(design, 2) == [(-0.049, -0.009)] * 3
    assert [part.role for part in layers_of(design)] == [
        "mount_layer", "mount_pocket", "mount_layer",
    ]  # fmt: skip
    top = of_layers(demo, edge="top")
    assert places(top, 1) == [(0.198, 0.21), (0.189, 0.198), (0.183, 0.189)]
    assert not design.stops
    assert not top.stops


def test_layers_to_the_back_lie_on_the_board_the_outside_farthest(demo: Fixture) -> None:
    design = of_layers(demo, thread_faces="back", height="50 mm", width="70 mm")
    # 27 mm behind the back of a board of 9 mm.
    assert places(design, 2) == [(-0.036, -0.024), (-0.024, -0.015), (-0.015, -0.009)]
    assert places(design, 1) == [(0, 0.05)] * 3
    assert {round(part.solid.size[0], 6) for part in layers_of(design) if part.solid} == {0.07}
    assert not design.stops


def test_the_pocket_takes_the_nut_from_its_outer_face(demo: Fixture) -> None:
    for more in ({}, {"edge": "top"}, {"thread_faces": "back"}):
        design = of_layers(demo, **more)
        outer, pocket, _ = layers_of(design)
        assert outer.solid is not None
        assert pocket.solid is not None
        seat = next(hole for hole in pocket.solid.holes if hole.role == "insert_seat")
        way = next(hole for hole in outer.solid.holes if hole.role == "insert_way")
        # A plate of 19 mm and 1.5 mm, with 1 mm and 0.5 mm of play.
        assert (seat.width.si, seat.depth and seat.depth.si) == pytest.approx((0.020, 0.002))
        assert (way.width.si, way.depth) == (0.008, None)
        axis = "xyz".index(seat.axis)
        # The pocket begins where the outer layer ends, and both have one middle.
        assert any(seat.at[axis] == pytest.approx(end[axis])
                   for end in (outer.solid.low, outer.solid.high))  # fmt: skip
        assert [c for n, c in enumerate(seat.at) if n != axis] == pytest.approx(
            [c for n, c in enumerate(way.at) if n != axis])  # fmt: skip


@pytest.mark.parametrize(
    ("along", "left"),
    [("middle", 0.15), ("30 mm from left", 0.03), ("20 mm from right", 0.28),
     ("40 mm left of middle", 0.11)],
)  # fmt: skip
def test_it_stands_where_the_spec_says(demo: Fixture, along: str, left: float) -> None:
    # A block of 60 mm on a board of 360 mm; an edge is measured to the near side of the block.
    bar = settle(changed(demo, {"body.mount.along": along}), mends=False)
    (block,) = bar.model.by_role("mount_block")
    assert block.solid is not None
    assert block.solid.low[0] == pytest.approx(left)
    assert places(of_layers(demo, along=along), 0)[0][0] == pytest.approx(left)


def test_a_bar_may_have_its_thread_to_the_back(demo: Fixture) -> None:
    design = settle(changed(demo, {"body.mount.thread_faces": "back"}), mends=False)
    (block,) = design.model.by_role("mount_block")
    assert block.solid is not None
    hole = next(hole for hole in block.solid.holes if hole.role == "insert")
    # In the middle of a face of 60 mm by 40 mm, 40 mm behind a board of 9 mm.
    assert (hole.axis, hole.at) == ("z", pytest.approx((0.18, 0.02, -0.049)))
    assert hole.depth is not None
    assert hole.depth.si == pytest.approx(0.012)
    assert not design.stops


def test_screws_go_on_through_layers_that_lie_flat(demo: Fixture) -> None:
    design = of_layers(demo, thread_faces="back")
    reach = design.values["mount.pilot_depth"].si
    outer, pocket, inner = (
        [hole for hole in part.solid.holes if hole.role == "mount_pilot"]
        for part in layers_of(design) if part.solid
    )  # fmt: skip
    assert [hole.depth for hole in inner + pocket] == [None] * 4
    # 6 mm and 9 mm lie before the outer layer.
    assert [hole.depth.si for hole in outer if hole.depth] == pytest.approx([reach - 0.015] * 2)


def test_screws_keep_clear_of_the_glue_of_layers_on_edge(demo: Fixture) -> None:
    design = of_layers(demo)
    holes = [hole for part in layers_of(design) if part.solid for hole in part.solid.holes
             if hole.role == "mount_pilot"]  # fmt: skip
    assert len(holes) == 2
    for hole in holes:
        # One and a half diameters of a screw of 3 mm.
        assert all(abs(hole.at[1] - joint) >= 0.0045 - 1e-9 for joint in (0.012, 0.021))


@pytest.mark.parametrize(
    ("pocket", "insert", "id", "level"),
    [
        # A plate of 19 mm ± 1 mm.
        ("width: 18 mm", "t-nut-quarter-20", "seat-small", "stop"),
        ("width: 19.5 mm", "t-nut-quarter-20", "seat-small", "advice"),
        # A plate of 1.5 mm ± 0.3 mm.
        ("depth: 1 mm", "t-nut-quarter-20", "seat-shallow", "stop"),
        ("depth: 1.6 mm", "t-nut-quarter-20", "seat-shallow", "advice"),
        ("depth: 10 mm", "t-nut-quarter-20", "seat-deep", "stop"),
        # A square nut of 16 mm is 22.6 mm across its corners, and turns in a round pocket.
        ("shape: round, width: 22 mm", "square-nut-three-eighths-16", "seat-small", "stop"),
        ("shape: round", "square-nut-three-eighths-16", "nut-turns", "stop"),
        ("shape: square", "{like: t-nut-quarter-20, prongs: no}", "nut-turns", "stop"),
        # So it does where 24 mm are free all round; in 18 mm by 24 mm it lies still.
        (
            f"shape: outline, corners: {oblong(24, 26)}",
            "square-nut-three-eighths-16",
            "nut-turns",
            "stop",
        ),
        (
            f"shape: outline, corners: {oblong(18, 15)}",
            "square-nut-three-eighths-16",
            "seat-small",
            "stop",
        ),
        (
            f"shape: outline, corners: {oblong(40, 18, right=30)}",
            "square-nut-three-eighths-16",
            "seat-small",
            "stop",
        ),
    ],
)
def test_a_pocket_that_does_not_fit_is_told(
    demo: Fixture, pocket: str, insert: str, id: str, level: str
) -> None:
    layers = LAYERS.replace("cut: pocket", f"cut: pocket, {pocket}")
    assert found(of_layers(demo, layers, insert=insert), id).level == level


def test_a_pocket_of_any_outline_takes_its_nut(demo: Fixture) -> None:
    """A key's hole: 18 mm wide for the nut, and a tail of 8 mm to one side."""
    key = ("[[-9 mm, -9 mm], [9 mm, -9 mm], [9 mm, -4 mm], [20 mm, -4 mm], [20 mm, 4 mm],"
           " [9 mm, 4 mm], [9 mm, 9 mm], [-9 mm, 9 mm]]")  # fmt: skip
    pocket = f"thickness: 12 mm, cut: pocket, shape: outline, corners: {key}"
    layers = LAYERS.replace("thickness: 9 mm, cut: pocket", pocket)
    design = of_layers(demo, layers, insert="square-nut-three-eighths-16", thread_faces="back")
    assert not design.stops
    assert design.values["insert.seat"].si == pytest.approx(0.018)
    held = next(part for part in layers_of(design) if part.role == "mount_pocket")
    assert held.solid
    seat = next(hole for hole in held.solid.holes if hole.role == "insert_seat")
    # 18 by 18 and 11 by 8, as deep as the nut is thick.
    assert seat.depth
    assert taken(held) == pytest.approx(
        (0.018 * 0.018 + 0.011 * 0.008) * seat.depth.si + rest(held.solid, seat)
    )
    # The nut's thread stays in the middle of the face, and so do the corners told from it.
    middle = held.solid.middle
    assert min(x for x, _, _ in seat.spots) == pytest.approx(middle[0] - 0.009)
    assert max(x for x, _, _ in seat.spots) == pytest.approx(middle[0] + 0.020)


def rest(solid: Solid, seat: Hole) -> float:
    """What the other holes take, which are round and go so deep as they say. [m³]."""
    return sum(
        pi / 4 * hole.width.si**2 * (hole.depth.si if hole.depth else solid.size[2])
        for hole in solid.holes if hole is not seat
    )  # fmt: skip


def test_the_way_to_the_nut_lets_the_screw_through(demo: Fixture) -> None:
    narrow = of_layers(demo, LAYERS.replace("thickness: 12 mm", "thickness: 12 mm, width: 5 mm"))
    assert found(narrow, "way-narrow").level == "stop"
    wide = of_layers(demo, LAYERS.replace("thickness: 12 mm", "thickness: 12 mm, width: 9 mm"))
    assert found(wide, "way-narrow").level == "holds"
    corners = f"thickness: 12 mm, shape: outline, corners: {oblong(20, 6)}"
    slit = of_layers(demo, LAYERS.replace("thickness: 12 mm", corners))
    assert found(slit, "way-narrow").level == "stop"


def test_a_pocket_that_fits_holds(demo: Fixture) -> None:
    ids = ("seat-small", "seat-shallow", "seat-deep", "nut-sticks-out", "seat-wood")
    design = of_layers(demo)
    assert {id: found(design, id).level for id in ids} == dict.fromkeys(ids, "holds")
    # A square of 16 mm: 16 · √2 = 22.63 mm from corner to corner.
    assert screws.across_corners(0.016) == pytest.approx(0.02263, abs=1e-5)


def test_a_barrel_must_stay_in_the_outer_layers(demo: Fixture) -> None:
    # 11 mm less a plate of 1.5 mm are 9.5 mm: beyond 9 mm, and within 9 mm and 6 mm.
    thin = of_layers(demo, LAYERS.replace("12 mm", "9 mm"))
    assert found(thin, "nut-sticks-out").level == "stop"
    two = "{sheet: plywood, thickness: 9 mm}, " + LAYERS.replace("12 mm", "6 mm")
    stacked = of_layers(demo, two)
    assert found(stacked, "nut-sticks-out").level == "holds"
    assert stacked.values["insert.thread_begins"].si == pytest.approx(0.0055)


def test_too_little_wood_beside_the_nut_is_told(demo: Fixture) -> None:
    # (30 mm - 20 mm) / 2 = 5 mm, of 6 mm wanted.
    design = of_layers(demo, height="30 mm")
    assert design.values["insert.wood"].si == pytest.approx(0.005)
    assert found(design, "seat-wood").level == "advice"
    # With a pocket of 39 mm hardly half a millimetre is left: too thin for any rule.
    wide = of_layers(demo, LAYERS.replace("cut: pocket", "cut: pocket, width: 39 mm"))
    assert found(wide, "holes-apart").level == "stop"


def test_a_screw_that_meets_the_pocket_is_told(demo: Fixture) -> None:
    # In a block 40 mm wide the screws stand 6.7 mm from its ends: in a square pocket of 30 mm.
    layers = LAYERS.replace("cut: pocket", "cut: pocket, shape: square, width: 30 mm")
    design = of_layers(demo, layers, thread_faces="back", width="40 mm", height="60 mm")
    _, pocket, _ = layers_of(design)
    assert pocket.solid is not None
    seat, *pilots = pocket.openings
    assert any(one.high[0] > seat.low[0] and one.low[0] < seat.high[0] for one in pilots)
    assert any("insert seat and mount pilot" in fault
               for fault in found(design, "holes-apart").names["faults"])  # fmt: skip


def test_a_nut_without_layers_and_an_insert_between_them(demo: Fixture) -> None:
    nut = settle(changed(demo, {"body.mount.insert": "t-nut-quarter-20"}))
    assert found(nut, "mount-insert").level == "stop"
    assert found(nut, "mount-insert").mends
    insert = of_layers(demo, insert="insert-quarter-20")
    assert found(insert, "mount-insert").level == "stop"


@pytest.mark.parametrize(
    ("mount", "said"),
    [
        ("{insert: t-nut-quarter-20, layers: [{sheet: mdf, cut: pocket}, {sheet: mdf}]}",
         "open to the outside"),
        ("{insert: t-nut-quarter-20, layers: [{sheet: mdf}, {sheet: mdf}]}", "no layer has a"),
        ("{insert: t-nut-quarter-20, layers: [{sheet: mdf}]}", "one layer holds no nut"),
        ("{insert: t-nut-quarter-20, layers: [{sheet: mdf}, {sheet: mdf, cut: pocket},"
         " {sheet: mdf, cut: pocket}]}", "a second pocket"),
        ("{insert: t-nut-quarter-20, layers: [{sheet: mdf, cut: none}, {sheet: mdf, cut: pocket}]}",
         "closes the way"),
        ("{insert: t-nut-quarter-20, layers: [{sheet: mdf, depth: 2 mm},"
         " {sheet: mdf, cut: pocket}]}", "'depth' does not belong to a layer whose cut is through"),
        ("{insert: t-nut-quarter-20, block: hardwood-40x40,"
         " layers: [{sheet: mdf}, {sheet: mdf, cut: pocket}]}", "both here"),
        ("{insert: insert-quarter-20, height: 40 mm}", "'height' belongs to layers"),
        ("{insert: insert-quarter-20, layers: mdf}", "this is no list"),
        ("{insert: insert-quarter-20, thread_faces: front}", "Accepted: outward, back"),
        ("{insert: insert-quarter-20, along: 40 mm}", "is no place"),
    ],
)  # fmt: skip
def test_what_can_not_be_is_refused(demo: Fixture, mount: str, said: str) -> None:
    with pytest.raises(SpecError, match=said):
        changed(demo, {"body.mount": mount})


@pytest.mark.parametrize("insert", ["t-nut-quarter-20", "square-nut-three-eighths-16"])
def test_the_walk_puts_the_nut_in_before_the_layers_close(demo: Fixture, insert: str) -> None:
    design = of_layers(demo, insert=insert)
    guide = guide_of(SPEC, design)
    order = [step.id for step in guide.steps]
    assert order.index("mount-laminated") < order.index("mount-layers-fitted")
    assert "mount-fitted" not in order
    at = order.index("mount-laminated")
    step = guide.steps[at]
    nut, layers, *rest = step.acts
    late = (*guide.steps[:at], replace(step, acts=(layers, nut, *rest)), *guide.steps[at + 1 :])
    facts = all_facts(design.facts, design.values)
    assert walk(design.model, guide.steps, facts).passed
    said = [trouble.rule for trouble in walk(design.model, late, facts).findings]
    assert "covered" in said


def test_layers_are_cut_from_sheet_and_weigh(demo: Fixture) -> None:
    design, bar = of_layers(demo), settle(demo, mends=False)
    cut = {label for work in design.result("making").sheets for piece in work.pieces
           for label in piece.label.split("/")}  # fmt: skip
    assert {part.ref for part in layers_of(design)} <= cut
    assert not any("mount" in part.role for part in bar.model.parts if part.role == "mount_layer")
    # 60 mm x 40 mm x 27 mm of sheet weigh less than 60 mm x 40 mm x 40 mm of beech.
    assert design.values["body.mass"].si < bar.values["body.mass"].si
