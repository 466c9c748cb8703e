"""Own pieces and own holes of the maker."""

from __future__ import annotations

from guidegen.design import outlines
from guidegen.design.outlines import Cut
from guidegen.design.pieces import COUNTERSUNK, Pieces, screw_for
from guidegen.design.result import Desk
from guidegen.design.rim import pilot, shank
from guidegen.design.solid import Box, Hole, block
from guidegen.spec.extras import OwnHole
from guidegen.values import Given, renamed


def own_holes(desk: Desk, pieces: Pieces, ref: str, holes: tuple[OwnHole, ...]) -> None:
    """Holes of the spec in one piece, measured on the piece itself."""
    part = next(part for part in pieces.parts if part.ref == ref)
    solid = part.solid
    assert solid is not None
    for asked in holes:
        depth = desk.put(asked.depth) if asked.depth else None
        at = (solid.low[0] + asked.across.on(solid.size[0]),
              solid.low[1] + asked.up.on(solid.size[1]), solid.high[2])  # fmt: skip
        if asked.corners:
            outlines.bore(desk, pieces, ref, Cut("own", at, "z", asked.corners, depth))
            continue
        width = desk.put(asked.size)
        long = desk.put(asked.length).si if asked.length else 0.0
        shape, along = asked.shape, "x" if long else ""
        pieces.bore(ref, Hole("own", at, "z", shape, width, long, along, depth))


def own_pieces(desk: Desk, pieces: Pieces, board: str) -> None:
    """Pieces of sheet that the spec puts on the board."""
    back = -desk["board.thickness"].si
    for number, asked in enumerate(desk.fixture.body.pieces, 1):
        name = "piece" if number == 1 else f"piece_{number}"
        sheet = (
            asked.thickness if isinstance(asked.thickness, Given) else asked.sheet.thicknesses[0]
        )
        width, height, thick = (desk.put(renamed(value, f"{name}.{what}")) for value, what in (
            (asked.width, "width"), (asked.height, "height"), (sheet, "thickness")))  # fmt: skip
        x = asked.across.low_end(desk["board.width"].si, width.si)
        y = asked.up.low_end(desk["board.height"].si, height.si)
        face = 0.0 if asked.side == "front" else back
        out = face + thick.si if asked.side == "front" else face - thick.si
        ref = pieces.add("U", "piece", asked.sheet, made=True, on=board, side=asked.side,
                         size=(width, height, thick), cures=True,
                         solid=block(Box(x, y, width.si, height.si), face, out),
                         fixed_by="glue", called=asked.name)  # fmt: skip
        own_holes(desk, pieces, ref, asked.holes)
        if "screws" in asked.fixed_by:
            _screws(desk, pieces, name, ref, board)
    mine = desk.fixture.body.pieces
    desk.set(own_pieces=bool(mine),
             own_pieces_screwed=any("screws" in one.fixed_by for one in mine))  # fmt: skip


def _screws(desk: Desk, pieces: Pieces, name: str, ref: str, board: str) -> None:
    """Two screws through the piece into the board, along its longer side."""
    part = next(part for part in pieces.parts if part.ref == ref)
    assert part.solid is not None
    box, solid = part.solid.box, part.solid
    fixing = screw_for(desk, name, COUNTERSUNK, part.size[2], desk["board.thickness"].si)
    screw = pieces.add("H", "piece_screw", on=ref, key=fixing.key, count=2)
    outer, inner = ((solid.low[2], solid.high[2]) if part.side == "back"
                    else (solid.high[2], solid.low[2]))  # fmt: skip
    for share in (1 / 6, 5 / 6):
        along, up = (share, 0.5) if box.width >= box.height else (0.5, share)
        x, y = box.x + along * box.width, box.y + up * box.height
        pieces.bore(ref, shank(fixing, "piece_screw", (x, y, outer), screw))
        pieces.bore(board, pilot(fixing, "piece_pilot", (x, y, inner), screw))
