"""Holes as what they take out of a piece: a box to compare with others, a volume."""

from __future__ import annotations

import math
from dataclasses import dataclass

from guidegen.design.model import Hole, Part, Solid

AXES = "xyz"


@dataclass(frozen=True)
class Opening:
    """A hole as the box that it takes out of its part. [m]."""

    part: Part
    hole: Hole
    low: tuple[float, float, float]
    high: tuple[float, float, float]

    @property
    def name(self) -> str:
        """`U1, feed`."""
        return f"{self.part.ref} ({self.hole.role.replace('_', ' ')})"

    @property
    def margins(self) -> list[float]:
        """From the hole to the edges of the face that it is made from, smallest first. [m]."""
        solid = self.part.solid
        assert solid is not None
        across = [axis for axis in range(3) if AXES[axis] != self.hole.axis]
        return sorted(
            side
            for axis in across
            for side in (self.low[axis] - solid.low[axis], solid.high[axis] - self.high[axis])
        )


def opening(part: Part, hole: Hole) -> Opening:
    """The box that a hole takes out of its part; a through hole goes from face to face."""
    solid = part.solid
    assert solid is not None
    half = [hole.width.si / 2] * 3
    if hole.along:
        half[AXES.index(hole.along)] = hole.length / 2
    low = [at - h for at, h in zip(hole.at, half, strict=True)]
    high = [at + h for at, h in zip(hole.at, half, strict=True)]
    axis = AXES.index(hole.axis)
    if hole.depth is None:
        low[axis], high[axis] = solid.low[axis], solid.high[axis]
    elif abs(hole.at[axis] - solid.high[axis]) <= abs(hole.at[axis] - solid.low[axis]):
        low[axis], high[axis] = hole.at[axis] - hole.depth.si, hole.at[axis]
    else:
        low[axis], high[axis] = hole.at[axis], hole.at[axis] + hole.depth.si
    return Opening(part, hole, (low[0], low[1], low[2]), (high[0], high[1], high[2]))


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
    if hole.countersink is None:
        return area * deep
    head = hole.countersink.si
    high = (head - wide) / 2
    cone = math.pi / 12 * high * (head**2 + head * wide + wide**2)
    return area * (deep - high) + cone
