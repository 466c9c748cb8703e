"""Where things lie on the board: the one place that knows coordinates.

Metres from the lower left corner of the board, seen from the front.
"""

from __future__ import annotations

from dataclasses import dataclass

from guidegen.design.enclosure import enclosure_corner
from guidegen.design.result import Desk

Point = tuple[float, float]


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


def box_point(desk: Desk, across: float, up: float) -> Point:
    """A point of the box by shares of its width and height; of the board where there is no box."""
    if "enclosure.width" not in desk:
        return desk["board.width"].si * across, desk["board.height"].si * up
    x, y = enclosure_corner(desk)
    return x + desk["enclosure.width"].si * across, y + desk["enclosure.height"].si * up


def rail_feed_y(desk: Desk) -> float:
    """Height of the point where a rail is fed."""
    if not desk.fact("rail_fed_middle"):
        return row_y(desk, 1) + desk["rail.ends"].si / 2
    # Between two taps, so that a feed joint never shares a tap.
    return desk["board.height"].si / 2 + (
        desk["row.pitch"].si / 2 if desk["row.count"].si % 2 else 0.0
    )
