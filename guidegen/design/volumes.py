"""What the holes of a piece take out of it: their volume."""

from __future__ import annotations

import math

from guidegen import outlines
from guidegen.design.model import Part
from guidegen.design.solid import AXES, Hole, Solid


def taken(part: Part) -> float:
    """Volume of all holes of a piece; where a pocket surrounds a hole, it counts once. [m³].

    Countersinks are cones of 90°.
    """
    solid = part.solid
    if solid is None:
        return 0.0
    return sum(_hole(hole, solid, _pocket_round(hole, solid)) for hole in solid.holes)


def _pocket_round(hole: Hole, solid: Solid) -> float:
    """Depth of the pocket round a hole. [m]."""
    return sum(other.depth.si for other in solid.holes
               if other.role == f"{hole.role}_pocket" and other.holds == hole.holds
               and other.depth is not None)  # fmt: skip


def _hole(hole: Hole, solid: Solid, pocket: float) -> float:
    deep = hole.depth.si if hole.depth else solid.size[AXES.index(hole.axis)] - pocket
    wide = hole.width.si
    area = math.pi / 4 * wide**2
    if hole.shape == "square":
        area = wide * (hole.length or wide)
    elif hole.shape == "slot":
        area += wide * (hole.length - wide)
    elif hole.corners:
        area = outlines.area(hole.corners)
    if hole.countersink is None:
        return area * deep
    head = hole.countersink.si
    high = (head - wide) / 2
    cone = math.pi / 12 * high * (head**2 + head * wide + wide**2)
    return area * (deep - high) + cone
