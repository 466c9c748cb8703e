"""What must hold of rails along lines of their own, and beside holes in metal."""

from __future__ import annotations

from itertools import pairwise

from guidegen.design import outlines
from guidegen.design.metal_rules import AUTO_BOARD
from guidegen.design.model import Model
from guidegen.design.result import Desk, Mend
from guidegen.kinds import FineMetre
from guidegen.outlines import gap

STRAIGHT = Mend({"wiring.rails.path": "none"})
#: Less than this is a slip of rounding. [m].
SLIP = 1e-5


def judge_holes(desk: Desk, model: Model) -> None:
    """The hole in a metal board that comes nearest to a bare rail: its edge is bare metal."""
    near = nearest_hole(model) if desk.fact("conductive_board") else None
    if near is None:
        return
    hole, rail, distance = near
    found = desk.given("metal_hole.nearest", FineMetre, distance, "places on the board")
    desk.limit("hole-clearance", desk["limits.clearance"], found, at_most=False,
               hole=hole, rail=rail, place=desk.fixture.place("body.board"),
               mends=(AUTO_BOARD,
                      Mend({"wiring.rails.conductor": "hook-up"})))  # fmt: skip


def nearest_hole(model: Model) -> tuple[str, str, float] | None:
    """Hole, bare rail of the same board, and the metres between edge and rail, of the nearest."""
    found = []
    for rail in model.by_role("rail"):
        if not rail.bare or rail.solid is None:
            continue
        half = min(min(piece.size[:2]) for piece in rail.solid.filled) / 2
        for board in model.by_role("board"):
            for one in board.openings if board.panel == rail.panel else ():
                if one.hole.axis != "z":
                    continue
                corners, wide = outlines.plan(one.hole)
                # A countersink is cut into the face that its screw enters.
                front = abs(one.hole.at[2]) < SLIP
                if one.hole.countersink and front == (rail.side == "front"):
                    wide = one.hole.countersink.si / 2
                near = min(gap(corners, wide, line, half) for line in pairwise(rail.line))
                found.append((one.name, rail.ref, near))
    return min(found, key=lambda one: one[2], default=None)


def off_board(model: Model) -> list[str]:
    """Rails that reach beyond the edge of their board."""
    boards = {part.panel: part.solid.box for part in model.by_role("board") if part.solid}
    return [rail.ref for rail in model.by_role("rail")
            if rail.solid and not boards[rail.panel].holds(rail.solid.box, SLIP)]  # fmt: skip


def bent_bars(model: Model) -> list[str]:
    """Bars along a line that bends or slants: a flat bar does not bend in its own plane."""
    bars = {strip.panel for strip in model.by_role("rail_strip")}
    return [rail.ref for rail in model.by_role("rail")
            if rail.panel in bars and rail.solid and rail.solid.pieces]  # fmt: skip
