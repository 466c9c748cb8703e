"""Where things lie on the board: the one place that knows coordinates.

Metres from the lower left corner of the board, seen from the front.
"""

from __future__ import annotations

from guidegen.design import box, panels
from guidegen.design.enclosure import enclosure_corner, floor_of
from guidegen.design.result import Desk
from guidegen.design.solid import Box, Solid, block

Point = tuple[float, float]


def row_y(desk: Desk, number: int) -> float:
    """Middle line of a row; row 1 is the top one of the first panel."""
    count, pitch = desk["row.count"].si, desk["row.pitch"].si
    panel, row = panels.of_row(desk, number)
    low = panels.origin(desk, panel)[1]
    return low + desk["board.height"].si / 2 + ((count - 1) / 2 - (row - 1)) * pitch


def row_ends(desk: Desk, number: int = 1) -> tuple[float, float]:
    """Left and right end of a row; every second one is shifted where rows are staggered."""
    panel, row = panels.of_row(desk, number)
    left = desk["board.margin_width"].si + (shift(desk) if row % 2 == 0 else 0.0)
    left += panels.origin(desk, panel)[0]
    return left, left + desk["row.length"].si


def shift(desk: Desk) -> float:
    """How far every second row is shifted to the right."""
    return desk["row.shift"].si if "row.shift" in desk else 0.0


def pad_x(desk: Desk, side: str, number: int) -> float:
    """Where a row is joined: at its left or right end, or at its feed point."""
    left, right = row_ends(desk, number)
    return {"left": left, "right": right}.get(side) or left + desk["row.feed_point"].si


def _inner(desk: Desk) -> tuple[Point, box.Room]:
    """Inner lower left corner and inner size of the box; of the room for its parts without one."""
    if "enclosure.width" not in desk:
        room = box.least(box.contents(desk.fixture))
        x = (desk["board.width"].si - room.width) / 2
        return (x, (desk["board.height"].si - room.height) / 2), room
    wall = desk["enclosure.thickness"].si
    x, y = enclosure_corner(desk)
    return (x + wall, y + wall), box.Room(
        desk["enclosure.width"].si - 2 * wall,
        desk["enclosure.height"].si - 2 * wall,
        desk["enclosure.wall_height"].si,
    )


def floor(desk: Desk) -> float:
    """Height over the tape's face of what modules stand on. [m]."""
    return floor_of(desk)


def in_box(desk: Desk, role: str) -> Solid:
    """The place of a part in the box, or of its kind on the back of a board without a box.

    Raises
    ------
    KeyError
        If the box holds no part of this role.
    """
    (x, y), inner = _inner(desk)
    items = box.contents(desk.fixture)
    found = box.placed(items, inner)[role]
    room = found.item.room
    low = floor(desk) - found.low
    outline = Box(x + found.x, y + found.y, room.width, room.height)
    return block(outline, low, low - room.depth, axis="x" if found.item.wall else "z")
