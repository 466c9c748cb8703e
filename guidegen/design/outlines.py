"""Holes and pockets of any outline, and what lies between two holes."""

from __future__ import annotations

from dataclasses import dataclass

from guidegen import outlines
from guidegen.design.pieces import Pieces
from guidegen.design.result import Desk
from guidegen.design.solid import AXES, Hole, across
from guidegen.kinds import FineMetre
from guidegen.values import Value

#: Source of what follows from an outline of the spec.
CORNERS = "corners of the spec"


@dataclass(frozen=True)
class Cut:
    """A hole of any outline as the spec asks for it."""

    role: str
    at: tuple[float, float, float]
    """What its corners are told from, on the face that it is made from. [m]."""
    axis: str
    corners: outlines.Corners
    """Along the two axes of that face in their order. [m]."""
    depth: Value | None = None
    holds: str = ""


def bore(desk: Desk, pieces: Pieces, ref: str, cut: Cut) -> Hole:
    """Make it in a piece; its extents are entered as `outline.width`, `outline_2.width`, ..."""
    count = 1 + sum(hole.shape == "outline" for part in pieces.parts if part.solid
                    for hole in part.solid.holes)  # fmt: skip
    name = "outline" if count == 1 else f"outline_{count}"
    (right, up), (wide, high) = outlines.centred(cut.corners)
    first, second = across(cut.axis)
    at = list(cut.at)
    at[first] += right
    at[second] += up
    desk.given(f"{name}.length", FineMetre, wide, CORNERS)
    hole = Hole(
        cut.role, (at[0], at[1], at[2]), cut.axis, "outline",
        desk.given(f"{name}.width", FineMetre, high, CORNERS), wide, AXES[first],
        cut.depth, holds=cut.holds, corners=tuple((x - right, y - up) for x, y in cut.corners),
    )  # fmt: skip
    pieces.bore(ref, hole)
    return hole


def apart(first: Hole, second: Hole) -> bool:
    """Whether two holes of one way pass one another, though the boxes round them meet."""
    if first.axis != second.axis:
        return False
    return outlines.gap(*plan(first), *plan(second)) >= 0


def plan(hole: Hole) -> tuple[outlines.Corners, float]:
    """A hole on its face: its corners, and how far these are widened all round. [m].

    One corner is a round hole, two are a slot.
    """
    one, two = hole.face
    x, y = hole.at[one], hole.at[two]
    if hole.corners:
        return [(x + u, y + v) for u, v in hole.corners], 0.0
    half = hole.width.si / 2
    if hole.shape == "round":
        return [(x, y)], half
    u, v = hole.halves
    if hole.shape == "slot":
        u, v = u - half, v - half
        return [(x - u, y - v), (x + u, y + v)], half
    return [(x - u, y - v), (x + u, y - v), (x + u, y + v), (x - u, y + v)], 0.0


def frees(hole: Hole, low: list[float], high: list[float]) -> bool:
    """Whether an outline surrounds all of a box that lies within the box round it. [m]."""
    if not hole.corners:
        return True
    one, two = hole.face
    return outlines.holds(plan(hole)[0], (low[one], low[two]), (high[one], high[two]))
