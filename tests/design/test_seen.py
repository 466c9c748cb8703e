"""From where places are told of a box beside the light: by the vectors of who looks at it."""

from __future__ import annotations

from typing import Any

import numpy as np

from guidegen.design.model import Part
from guidegen.design.seen import made_from, seen

AXES = {"x": (1.0, 0, 0), "y": (0, 1.0, 0)}


def left_hand(part: Part, box_middle: tuple[float, ...], outside: bool) -> np.ndarray:
    """Which way lies left for who looks at a wall of the box that stands on its bottom.

    Right is the way of sight across the way up: a right-handed frame, any textbook of geometry.
    """
    assert part.solid
    out = np.array(AXES[part.solid.axis])
    if np.dot(out, np.subtract(part.solid.middle, box_middle)) < 0:
        out = -out
    sight = -out if outside else out
    up = np.array([0, 0, -1.0])  # z is towards the light side; the lid has the lowest z
    return -np.cross(sight, up)


def test_the_end_that_a_wall_is_measured_from_lies_left(demo_design: Any) -> None:
    model = demo_design.model
    bottom = next((part for part in model.parts if part.role == "bottom"), None)
    walls = [part for part in model.parts if part.role == "wall"]
    if bottom is None:
        assert {seen(model, part) for part in model.parts} == {"light"}
        return
    views = []
    for wall in walls:
        view = seen(model, wall)
        along = np.array(AXES["y" if wall.solid.axis == "x" else "x"])
        # Holes are counted from the low end.
        assert np.dot(left_hand(wall, bottom.solid.middle, view == "wall_outside"), along) < 0
        views.append(view)
    assert sorted(views) == ["wall_inside"] * 2 + ["wall_outside"] * 2


def test_the_faces_of_bottom_and_lid_are_told_by_the_box(demo_design: Any) -> None:
    model = demo_design.model
    pieces = {part.role: part for part in model.parts if part.role in ("bottom", "lid")}
    if "bottom" not in pieces:
        return
    middle = (pieces["bottom"].solid.middle[2] + pieces["lid"].solid.middle[2]) / 2
    for role, part in pieces.items():
        assert seen(model, part) == role
        for back, z in ((False, part.solid.high[2]), (True, part.solid.low[2])):
            nearer = abs(z - middle) < abs(part.solid.middle[2] - middle)
            assert made_from(model, part, back) == ("inside" if nearer else "outside")
