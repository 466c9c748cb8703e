"""Where rails lie: their lines, the tap of each row, where they are fed.

Metres from the lower left corner of the board, seen from the front.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from guidegen.calc import paths, segments
from guidegen.calc.paths import Line, Point
from guidegen.design import panels
from guidegen.design.places import pad_x, row_ends, row_y, shift
from guidegen.design.rail_metal import half_width
from guidegen.design.result import Desk

#: From a rail's middle line to the middle of the hole that its feed wire comes through. [m].
FEED_HOLE = 0.005
#: Between that hole and the rim, or a bar or foil. [m].
FEED_AIR = 0.0005
#: A rail that leans by less is taken to run straight up or across.
ACROSS = 1e-3
POLES = {"+": "positive", "-": "negative"}


@dataclass(frozen=True)
class RailPlace:
    """One rail: its side, pole and line."""

    side: str
    """`left`, `right`, or `middle` for a rail on the back that feeds between the rows' ends."""
    polarity: str
    x: float
    """Of a straight rail. [m]."""
    second: bool
    """Jumpers to it cross another rail of its side."""
    panel: int = 1
    line: Line = ()
    """Its middle line; a bent one begins at the end that the spec begins with. [m]."""
    taps: tuple[Point | None, ...] = ()
    """Where it meets the line of each row of its panel; None: nowhere. [m]."""
    bent: bool = False

    def fars(self) -> list[float]:
        """How far along it the tap of each row is. [m]."""
        return [paths.along(self.line, tap) for tap in self.taps if tap is not None]


def rails(desk: Desk, panel: int = 1) -> list[RailPlace]:
    """The rails that the feed of a panel's rows needs."""
    found = [_lined(desk, place) for place in _straight(desk, panel)]
    if not any(place.bent for place in found):
        return found
    return [replace(place, second=_crosses(desk, place, found)) for place in found]


def all_rails(desk: Desk) -> list[RailPlace]:
    """The rails of all panels, in the order of the panels."""
    return [place for panel in panels.numbers(desk) for place in rails(desk, panel)]


def _straight(desk: Desk, panel: int) -> list[RailPlace]:
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


def _numbers(desk: Desk, panel: int) -> range:
    """Numbers of a panel's rows."""
    count = int(desk["row.count"].si)
    return range((panel - 1) * count + 1, panel * count + 1)


def _lined(desk: Desk, place: RailPlace) -> RailPlace:
    """The same rail with its line and its taps."""
    points = desk.fixture.wiring.rails.points(place.polarity)
    numbers = _numbers(desk, place.panel)
    if not points or place.side == "middle":
        long = desk["rail.straight_length" if "rail.straight_length" in desk else "rail.length"].si
        middle = panels.origin(desk, place.panel)[1] + desk["board.height"].si / 2
        straight: Line = ((place.x, middle - long / 2), (place.x, middle + long / 2))
        levels: tuple[Point | None, ...] = tuple(
            (place.x, row_y(desk, number)) for number in numbers
        )
        return replace(place, line=straight, taps=levels)
    (x0, y0), wide = panels.origin(desk, place.panel), desk["board.width"].si
    # Where both ends of the rows are fed, the line is that of the left rail.
    turned = place.side == "right" and desk.fact("feed") == "both ends"
    across = [point.across.on(wide) for point in points]
    ups = [point.up.on(desk["board.height"].si) for point in points]
    line = tuple((x0 + (wide - x if turned else x), y0 + y)
                 for x, y in zip(across, ups, strict=True))  # fmt: skip
    taps = tuple(_tap(desk, place, line, number) for number in numbers)
    return replace(place, line=line, taps=taps, bent=True)


def _tap(desk: Desk, place: RailPlace, line: Line, number: int) -> Point | None:
    """Where a line passes a row beyond its end, as near to it as it comes."""
    end, y = pad_x(desk, place.side, number), row_y(desk, number)
    way = -1 if place.side == "left" else 1
    beyond = [x for x in paths.crossings(line, y) if (x - end) * way > 0]
    return (min(beyond, key=lambda x: abs(x - end)), y) if beyond else None


def _crosses(desk: Desk, place: RailPlace, every: Sequence[RailPlace]) -> bool:
    """Whether a jumper to a rail passes over another rail."""
    return any(
        min(tap[0], end) < x < max(tap[0], end)
        for tap, number in zip(place.taps, _numbers(desk, place.panel), strict=True) if tap
        for end in [pad_x(desk, place.side, number)]
        for other in every if other is not place and other.side != "middle"
        for x in paths.crossings(other.line, tap[1])
    )  # fmt: skip


def unmet(desk: Desk) -> list[str]:
    """Rows that a bent rail of the first panel does not pass, or passes out of their order."""
    found = []
    for place in rails(desk):
        missing = [number for number, tap in enumerate(place.taps, 1) if tap is None]
        found += [f"{place.polarity.replace('-', '−')} at row {number}" for number in missing]
        fars = place.fars()
        if not missing and fars not in (sorted(fars), sorted(fars, reverse=True)):
            found.append(f"{place.polarity.replace('-', '−')}: rows out of their order")
    return found


def feed_far(desk: Desk, place: RailPlace) -> float:
    """How far along a rail its feed is joined. [m]."""
    if not place.bent:
        return paths.along(place.line, (place.x, _straight_feed(desk, place.panel)))
    below, fars = desk.fixture.wiring.rails.fed_below, place.fars()
    # Between two taps, so that a feed joint never shares a tap.
    above = below or len(fars) // 2
    if (below or desk.fact("rail_fed_middle")) and above:
        return (fars[above - 1] + fars[above]) / 2
    return min(desk["rail.ends"].si / 2, min(fars) / 2)


def reaches(fars: Sequence[float], feed: float) -> tuple[float, float]:
    """Of one rail: the greatest sum of the distances of taps on one side of the feed, and the mean.

    Parameters
    ----------
    fars : sequence of float
        How far along the rail each tap is. [m]
    feed : float
        How far along the feed is. [m]

    Returns
    -------
    tuple of float
        What the drop of the farthest tap goes by, and what the mean drop of all taps goes by. [m]
    """
    sides = ([far - feed for far in fars if far >= feed],
             [feed - far for far in fars if far < feed])  # fmt: skip
    drops = [sum(min(far, other) for other in side) for side in sides for far in side]
    return max(drops), sum(drops) / len(drops)


def feed_point(desk: Desk, place: RailPlace) -> Point:
    """Where the feed is joined to a rail."""
    if not place.bent:
        return place.x, _straight_feed(desk, place.panel)
    return paths.point(place.line, feed_far(desk, place))


def _straight_feed(desk: Desk, panel: int) -> float:
    """Height of the point where a straight rail of a panel is fed."""
    low = panels.origin(desk, panel)[1]
    below = desk.fixture.wiring.rails.fed_below
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


def feed_hole(desk: Desk, at: Point, line: Line, panel: int = 1) -> Point:
    """The hole that a feed wire comes through, from the point where a panel's rail is fed.

    It lies outside the rail, where the rim leaves room: the joint stays visible, and the wire
    bends once.
    """
    reach = desk["feed.hole"].si / 2 + FEED_AIR
    beside = max(FEED_HOLE, half_width(desk.fixture) + reach)
    (x0, y0), size = panels.origin(desk, panel), (desk["board.width"].si, desk["board.height"].si)
    along = paths.direction(line, paths.along(line, at))
    # Square to the rail, away from the middle of the board.
    normal = (along[1], -along[0])
    out = (at[0] - x0 - size[0] / 2) * normal[0] + (at[1] - y0 - size[1] / 2) * normal[1]
    way = 1 if out >= 0 else -1
    inside = desk["border.thickness"].si + reach
    for far in _fars(desk, beside):
        hole = (at[0] + way * far * normal[0], at[1] + way * far * normal[1])
        kept = far == beside or clear_of_rails(desk, hole, panel)
        if kept and all(inside <= hole[axis] - (x0, y0)[axis] <= size[axis] - inside
                        for axis in (0, 1) if abs(normal[axis]) > ACROSS):  # fmt: skip
            return hole
    # No room beside the rim: between the rail and what lies inside of it.
    inner = beside if half_width(desk.fixture) else desk["rail.offset"].si / 2
    return at[0] - way * inner * normal[0], at[1] - way * inner * normal[1]


def _fars(desk: Desk, beside: float) -> tuple[float, ...]:
    """How far from its rail a feed's hole may lie, the best first. [m].

    The edge of a hole in metal is bare: it keeps the clearance from its rail, and from a second one
    beyond it.
    """
    if not desk.fact("conductive_board"):
        return (beside,)
    free = max(half_width(desk.fixture), thick_half(desk)) + desk["limits.clearance"].si
    free += desk["feed.hole"].si / 2
    return free, free + desk["rail.offset"].si, beside


def thick_half(desk: Desk) -> float:
    """Half the thickness of a rail of wire. [m]."""
    return math.sqrt(desk["rail.size"].si / math.pi) if desk.fact("rail_wire") else 0.0


def clear_of_rails(desk: Desk, hole: Point, panel: int) -> bool:
    """Whether the edge of a hole keeps the clearance from every rail of a panel."""
    wide = max(half_width(desk.fixture), thick_half(desk)) + desk["feed.hole"].si / 2
    lines = [(*a, *b) for place in rails(desk, panel) if place.side != "middle"
             for a, b in pairwise(place.line)]  # fmt: skip
    nearest = segments.distances(np.array([(*hole, *hole)]), np.array(lines)).min()
    return bool(nearest - wide >= desk["limits.clearance"].si - 1e-9)


def jumper_hole(desk: Desk, rail: RailPlace, number: int) -> Point:
    """Centre of the hole for a jumper to a rail on the back: outside the rail, beside the row."""
    way = -1 if rail.x < pad_x(desk, "middle", number) else 1
    up = 1 if rail.polarity == "+" else -1
    beside = desk["tape.width"].si / 2 + desk["jumper.beside"].si
    return rail.x + way * desk["jumper.hole_offset"].si, row_y(desk, number) + up * beside
