"""Where things lie on the board: the one place that knows coordinates.

Metres from the lower left corner of the board, seen from the front.
"""

from __future__ import annotations

from dataclasses import dataclass

from guidegen.design import box, panels
from guidegen.design.enclosure import enclosure_corner, floor_of
from guidegen.design.result import Desk
from guidegen.design.solid import Box, Solid, block

Point = tuple[float, float]
#: From a rail's middle line to the middle of the hole that its feed wire comes through. [m].
FEED_HOLE = 0.005
#: Between that hole and the rim. [m].
FEED_AIR = 0.0005


@dataclass(frozen=True)
class RailPlace:
    """One rail: its side, pole and distance from the rows' ends."""

    side: str
    """`left`, `right`, or `middle` for a rail on the back that feeds between the rows' ends."""
    polarity: str
    x: float
    second: bool
    """Farther from the rows than another rail of its side: jumpers to it cross that rail."""
    panel: int = 1


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


def jumper_hole(desk: Desk, rail: RailPlace, number: int) -> Point:
    """Centre of the hole for a jumper to a rail on the back: outside the rail, beside the row."""
    way = -1 if rail.x < pad_x(desk, "middle", number) else 1
    up = 1 if rail.polarity == "+" else -1
    beside = desk["tape.width"].si / 2 + desk["jumper.beside"].si
    return rail.x + way * desk["jumper.hole_offset"].si, row_y(desk, number) + up * beside


def rails(desk: Desk, panel: int = 1) -> list[RailPlace]:
    """The rails that the feed of a panel's rows needs."""
    feed, positive = desk.fact("feed"), desk.fixture.rows.positive_at
    first_row = (panel - 1) * int(desk["row.count"].si) + 1
    left, right = row_ends(desk, first_row)[0], row_ends(desk, first_row)[1] + shift(desk)
    offset = desk["rail.offset"].si
    if feed == "middle":
        first, second = ("+", "-") if positive == "left" else ("-", "+")
        at = pad_x(desk, "middle", first_row)
        return [RailPlace("middle", first, at - offset / 2, False, panel),
                RailPlace("middle", second, at + offset / 2, False, panel)]  # fmt: skip

    def place(side: str, polarity: str, order: int) -> RailPlace:
        x = left - order * offset if side == "left" else right + order * offset
        return RailPlace(side, polarity, x, order > 1, panel)

    if feed == "opposite ends":
        other = "right" if positive == "left" else "left"
        return [place(positive, "+", 1), place(other, "-", 1)]
    sides = {"left end": ["left"], "right end": ["right"], "both ends": ["left", "right"]}
    return [place(s, p, n) for s in sides[str(feed)] for n, p in ((1, "+"), (2, "-"))]


def all_rails(desk: Desk) -> list[RailPlace]:
    """The rails of all panels, in the order of the panels."""
    return [place for panel in panels.numbers(desk) for place in rails(desk, panel)]


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


def feed_hole(desk: Desk, at: Point, panel: int = 1) -> Point:
    """The hole that a feed wire comes through, from the point where a panel's rail is fed.

    It lies outside the rail, where the rim leaves room: the joint stays visible, and the wire
    bends once.
    """
    width, start = desk["board.width"].si, panels.origin(desk, panel)[0]
    side = -1 if at[0] - start < width / 2 else 1
    x, reach = at[0] + side * FEED_HOLE, desk["feed.hole"].si / 2 + FEED_AIR
    inside = desk["border.thickness"].si + reach
    if not inside <= x - start <= width - inside:
        # No room beside the rim: between the rail and what lies inside of it.
        x = at[0] - side * desk["rail.offset"].si / 2
    return x, at[1]


def rail_feed_y(desk: Desk, panel: int = 1) -> float:
    """Height of the point where a rail of a panel is fed."""
    low = panels.origin(desk, panel)[1]
    below = desk.fixture.wiring.rail_fed_below
    if below:
        return low + row_y(desk, below) - desk["row.pitch"].si / 2
    if not desk.fact("rail_fed_middle"):
        return low + row_y(desk, 1) + desk["rail.ends"].si / 2
    # Between two taps, so that a feed joint never shares a tap.
    return (
        low
        + desk["board.height"].si / 2
        + (desk["row.pitch"].si / 2 if desk["row.count"].si % 2 else 0.0)
    )
