"""What must hold of rails along lines of their own."""

from __future__ import annotations

from guidegen.design.model import Model
from guidegen.design.result import Mend

STRAIGHT = Mend({"wiring.rails.path": "none"})
#: Less than this is a slip of rounding. [m].
SLIP = 1e-5


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
