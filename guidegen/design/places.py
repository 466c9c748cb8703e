"""Where things lie on the board: the one place that knows coordinates.

Metres from the lower left corner of the board, seen from the front.
"""

from __future__ import annotations

from dataclasses import dataclass

from guidegen.design import box
from guidegen.design.enclosure import enclosure_corner
from guidegen.design.model import Box, Solid, block
from guidegen.design.result import Desk

Point = tuple[float, float]
#: From a rail's middle line to the middle of the hole that its feed wire comes through. [m].
FEED_HOLE = 0.005


@dataclass(frozen=True)
class RailPlace:
    """One rail: its side, pole and distance from the rows' ends."""

    side: str
    """`left` or `right`."""
    polarity: str
    x: float
    second: bool
    """Farther from the rows than another rail of its side: jumpers to it cross that rail."""


def row_y(desk: Desk, number: int) -> float:
    """Middle line of a row; row 1 is the top one."""
    count, pitch = desk["row.count"].si, desk["row.pitch"].si
    return desk["board.height"].si / 2 + ((count - 1) / 2 - (number - 1)) * pitch


def row_ends(desk: Desk) -> tuple[float, float]:
    """Left and right end of the rows."""
    left = desk["board.margin_width"].si
    return left, left + desk["row.length"].si


def rails(desk: Desk) -> list[RailPlace]:
    """The rails that the feed of the rows needs."""
    feed, positive = desk.fact("feed"), desk.fixture.rows.positive_at
    left, right = row_ends(desk)
    offset = desk["rail.offset"].si

    def place(side: str, polarity: str, order: int) -> RailPlace:
        x = left - order * offset if side == "left" else right + order * offset
        return RailPlace(side, polarity, x, order > 1)

    if feed == "opposite ends":
        other = "right" if positive == "left" else "left"
        return [place(positive, "+", 1), place(other, "-", 1)]
    sides = {"left end": ["left"], "right end": ["right"], "both ends": ["left", "right"]}
    return [place(s, p, n) for s in sides[str(feed)] for n, p in ((1, "+"), (2, "-"))]


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
    return -desk["board.thickness"].si


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


def feed_hole(desk: Desk, at: Point) -> Point:
    """The hole that a feed wire comes through, from the point where the rail is fed.

    It lies outside the rail: the joint stays visible, and the wire bends once.
    """
    side = -1 if at[0] < desk["board.width"].si / 2 else 1
    return at[0] + side * FEED_HOLE, at[1]


def rail_feed_y(desk: Desk) -> float:
    """Height of the point where a rail is fed."""
    if not desk.fact("rail_fed_middle"):
        return row_y(desk, 1) + desk["rail.ends"].si / 2
    # Between two taps, so that a feed joint never shares a tap.
    return desk["board.height"].si / 2 + (
        desk["row.pitch"].si / 2 if desk["row.count"].si % 2 else 0.0
    )
