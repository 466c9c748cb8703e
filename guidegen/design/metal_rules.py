"""Metal that is no conductor of the circuit, and how near it comes to bare rails."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from guidegen.calc import boxes
from guidegen.design import placed
from guidegen.design.model import Model
from guidegen.design.result import Desk, Mend
from guidegen.design.solid import Solid
from guidegen.kinds import FineMetre

AUTO_BOARD = Mend({"body.board.width": "auto", "body.board.height": "auto"})
NO_HANDLES, NO_PIECES = Mend({"body.handles": "[]"}), Mend({"body.pieces": "[]"})
NO_MOUNT = Mend({"body.mount": "none"})


@dataclass(frozen=True)
class Metal:
    """A piece of metal that is no conductor of the circuit."""

    name: str
    solid: Solid


def metal(model: Model) -> list[Metal]:
    """Screws in the board, in the rim and in pieces, and pieces that conduct."""
    found = [
        Metal(part.ref, solid) for part, solid in placed.placed(model)
        if part.stock is not None and part.stock.words.get("conducting") == "yes"
        # Under a rail on metal lies insulation: for board and lining that is a rule of its own.
        and part.role not in ("board", "lining")
    ]  # fmt: skip
    for one in placed.openings(model):
        # Screws of a bar are as live as their bar, and lie within its width.
        if one.hole.role.endswith(("_screw", "_pilot")) and "rail_" not in one.hole.role:
            wide = (one.hole.countersink or one.hole.width).si / 2
            x, y, _ = one.hole.at
            if one.hole.axis == "z":
                found.append(Metal(one.name, Solid((x - wide, y - wide, one.low[2]),
                                                   (x + wide, y + wide, one.high[2]))))  # fmt: skip
    return found


def judge(desk: Desk, model: Model) -> None:
    """The nearest piece of metal to a bare rail."""
    rails = [(part, piece) for part in model.by_role("rail") if part.bare and part.solid
             for piece in part.solid.filled]  # fmt: skip
    pieces = metal(model)
    if not rails or not pieces:
        return
    apart = boxes.gaps(*placed.corners([solid for _, solid in rails]),
                       *placed.corners([piece.solid for piece in pieces]))  # fmt: skip
    a, b = np.unravel_index(int(np.argmin(apart)), apart.shape)
    found = desk.given("metal.nearest", FineMetre, float(apart[a, b]), "places on the board")
    desk.limit("metal-apart", desk["limits.clearance"], found, at_most=False,
               rail=rails[int(a)][0].ref, metal=pieces[int(b)].name,
               place=desk.fixture.place("body"),
               mends=(AUTO_BOARD, NO_HANDLES, NO_MOUNT, NO_PIECES))  # fmt: skip
