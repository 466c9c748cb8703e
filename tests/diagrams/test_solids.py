"""Views and section against hand-computed places; the painter's order against the eye's."""

import itertools
import random
import re
from dataclasses import replace

import pytest
from extended import beside, extended
from reader import Drawing
from sample import BOARD, COVER, DEEP, RIM, mm, sample

from guidegen.design.model import Part
from guidegen.design.solid import Box, Hole, Solid, block
from guidegen.diagrams.figures import draw
from guidegen.diagrams.outline import cut_at
from guidegen.diagrams.section import _untangled
from guidegen.diagrams.solids import assemblies, extent, hull, nearest_last, seen, slanted_last


def part(ref, low, high, **more):
    return Part(ref, more.pop("role", "piece"), "piece", solid=Solid(low, high), made=True, **more)


@pytest.mark.parametrize(
    ("side", "at"),
    [
        # A corner 1 to the right, 2 up, 3 towards the light: worked out with a box in the hand.
        ("front", (1, 2, 3)),
        ("back", (-1, 2, -3)),
        ("right", (-3, 2, 1)),  # seen from the right, the light side lies to the left
    ],
)
def test_a_corner_seen_from_each_side(side, at):
    one = seen([part("U1", (0, 0, 0), (1, 2, 3))], side)[0]
    for axis in range(3):
        assert {one.low[axis], one.high[axis]} == {0, at[axis]}


def test_square_on_the_near_part_is_laid_last():
    near, far = part("U1", (0, 0, 5), (1, 1, 6)), part("U2", (0, 0, 0), (1, 1, 1))
    assert [one.part.ref for one in nearest_last(seen([near, far], "front"))] == ["U2", "U1"]
    assert [one.part.ref for one in nearest_last(seen([near, far], "back"))] == ["U1", "U2"]


def hits(one, start, way):
    """Where a ray meets a block first, by the slab method; None if it misses."""
    first, last = -1e9, 1e9
    for low, high, at, step in zip(one.low, one.high, start, way, strict=True):
        a, b = sorted(((low - at) / step, (high - at) / step))
        first, last = max(first, a), min(last, b)
    return first if first < last else None


def test_slanted_order_is_that_of_rays_from_the_eye():
    """Of two solids on one ray, the one that the ray meets first is laid down later."""
    chance = random.Random(7)
    cells = chance.sample(list(itertools.product(range(4), repeat=3)), 24)
    parts = [
        part(f"U{n}", cell, tuple(c + chance.choice((0.6, 1.0)) for c in cell))
        for n, cell in enumerate(cells)
    ]
    order = slanted_last(seen(parts, "front"))
    met = 0
    for _ in range(4000):
        start = (chance.uniform(0, 7), chance.uniform(0, 7), 9.0)
        way = (-0.353, -0.353, -1.0)  # against the cabinet projection: from the upper right
        ahead = sorted((at, n) for n, one in enumerate(order) if (at := hits(one, start, way)))
        assert [n for _, n in ahead] == sorted((n for _, n in ahead), reverse=True)
        met += len(ahead) > 1
    assert met > 500


def test_the_outline_of_points():
    square = [(0, 0), (2, 0), (2, 2), (0, 2)]
    assert sorted(hull([*square, (1, 1), (1, 0)])) == sorted(square)


def test_what_stands_beside_the_light_is_an_assembly_of_its_own():
    whole, apart = assemblies(extended().model), assemblies(beside(extended()).model)
    assert [group[0].ref for group in whole] == ["U1"]
    assert [group[0].ref for group in apart] == ["U1", "U7"]
    assert {"T1", "M1", "U11"} <= {p.ref for p in apart[1]}
    assert {"outline", "outline-2"} <= set(draw(beside(extended())))


def test_every_part_with_a_place_is_drawn_whatever_its_role():
    """One filled outline more in the side view for a part of a role nobody has heard of."""
    design = sample(4)
    before = areas(draw(design)["outline"])
    strange = part("U99", (0.01, 0.01, -0.09), (0.05, 0.05, -0.05), role="horn", on="U1",
                   side="back")  # fmt: skip
    design.model = replace(design.model, parts=(*design.model.parts, strange))
    figures = draw(design)
    assert areas(figures["outline"]) == before + 3
    assert "U99" in figures["finished"].svg


def areas(figure):
    return sum(stroke.area is not None for stroke in Drawing(figure.svg).strokes)


def test_overall_depth_is_that_of_all_solids():
    design = sample(4)
    whole = extent(assemblies(design.model)[0])
    assert whole.size[2] == pytest.approx(RIM + COVER + BOARD + DEEP)


# --- section ----------------------------------------------------------------------------------


def test_the_gap_in_the_section_is_rim_less_tape():
    """Rim 20 mm high, tape 1 mm thick: 19 mm of air."""
    words = [t.words for t in Drawing(draw(sample(12))["section"].svg).texts]
    assert "19\xa0mm" in words
    assert "Gap from tape to cover: 19\xa0mm" in words


def test_a_spoiled_rim_changes_the_gap():
    design = sample(12)
    parts = tuple(
        replace(p, solid=block(p.solid.box, RIM + 0.004, RIM + 0.004 + COVER))
        if p.role == "cover" else p for p in design.model.parts
    )  # fmt: skip
    design.model = replace(design.model, parts=parts)
    assert "Gap from tape to cover: 23\xa0mm" in draw(design)["section"].svg


def test_the_cut_goes_through_rows_and_box():
    design = sample(12)
    parts = assemblies(design.model)[0]
    x = cut_at(parts)
    cut = {p.role for p in parts if p.solid and p.solid.low[0] < x < p.solid.high[0]}
    assert {"row", "border", "cover", "board", "wall", "lid"} <= cut


def test_layers_are_named_and_hatched():
    figure = draw(sample(12))["section"]
    words = " ".join(t.words for t in Drawing(figure.svg).texts)
    for ref in ("U1", "U6", "U11", "E1–E12"):
        assert re.search(rf"{ref}\b", words), ref
    lines = [pair for s in Drawing(figure.svg).strokes if not s.area for pair in s.segments]
    sloped = [(b[0] - a[0], b[1] - a[1]) for a, b in lines if abs(b[0] - a[0]) > 2]
    slants = {round(dy / dx) for dx, dy in sloped if abs(abs(dx) - abs(dy)) < 0.15}
    assert slants >= {1, -1}


def test_a_hole_in_the_cut_stays_white():
    design = sample(12)
    x = cut_at(assemblies(design.model)[0])
    hole = Hole("feed", (x, 0.1, 0.0), "z", "round", mm(12))
    parts = tuple(p.bored([hole]) if p.ref == "U1" else p for p in design.model.parts)
    before = areas(draw(design)["section"])
    design.model = replace(design.model, parts=parts)
    assert areas(draw(design)["section"]) == before + 1


def test_leaders_do_not_cross():
    starts = [(0, 0), (0, 10), (0, 20)]
    ends = [(50, 20), (50, 10), (50, 0)]
    assert _untangled(starts, ends) == [2, 1, 0]


def test_a_box_on_the_board_keeps_its_place():
    """45 mm behind a board 9 mm thick, of a light 32 mm deep before it: seen in the side view."""
    box = Box(0.1, 0.1, 0.05, 0.05)
    one = seen([Part("U1", "lid", "lid", solid=block(box, -BOARD, -BOARD - DEEP))], "right")[0]
    assert (one.low[0], one.high[0]) == pytest.approx((BOARD, BOARD + DEEP))


def test_leaders_of_the_section_do_not_cross(demo_design):
    """Each runs from a dot in a piece to the column of names: of these lines no two meet."""
    drawing = Drawing(draw(demo_design)["section"].svg)
    names = [t for t in drawing.texts if re.fullmatch(r"[A-Z]\d+([–,] ?[A-Z]\d+)*", t.words)]
    edge = min(t.box[0] for t in names)
    lines = [pair for stroke in drawing.strokes for pair in stroke.segments
             if abs(pair[1][0] - (edge - 3)) < 4 and pair[0][0] < pair[1][0]]  # fmt: skip
    assert len(lines) >= len(names)
    for (a, b), (c, d) in itertools.combinations(lines, 2):
        turns = [(q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
                 for p, q, r in ((a, b, c), (a, b, d), (c, d, a), (c, d, b))]  # fmt: skip
        assert not (turns[0] * turns[1] < 0 and turns[2] * turns[3] < 0), (a, b, c, d)
