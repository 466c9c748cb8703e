"""Outlines of corners: their area, what goes into them, what lies between two of them."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

Corners = Sequence[tuple[float, float]]
"""At least three, in the order in which a knife would pass them. [m]."""


def sound(corners: Corners) -> bool:
    """Whether the outline surrounds something, and never crosses or touches itself."""
    whole = shapely.Polygon(corners)
    return bool(whole.is_valid and whole.area > 0)


def area(corners: Corners) -> float:
    """What the outline surrounds. [m²]."""
    return float(shapely.Polygon(corners).area)


def centred(corners: Corners) -> tuple[tuple[float, float], tuple[float, float]]:
    """Middle of the box round an outline, and the size of that box. [m]."""
    xs, ys = zip(*corners, strict=True)
    middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    return middle, (max(xs) - min(xs), max(ys) - min(ys))


def widest_disc(corners: Corners) -> float:
    """Diameter of the widest disc about (0, 0) that the outline surrounds; 0: none. [m]."""
    whole, middle = shapely.Polygon(corners), shapely.Point(0, 0)
    return 2 * float(whole.exterior.distance(middle)) if whole.contains(middle) else 0.0


def widest_square(corners: Corners) -> float:
    """Side of the widest upright square about (0, 0) that the outline surrounds; 0: none. [m].

    Half of it is the least over all edges of the greater of |x| and |y|, which is least on an edge
    at an end, or where it crosses an axis or a diagonal.
    """
    if not shapely.Polygon(corners).contains(shapely.Point(0, 0)):
        return 0.0
    least = float("inf")
    for (x0, y0), (x1, y1) in zip(corners, [*corners[1:], corners[0]], strict=True):
        dx, dy = x1 - x0, y1 - y0
        falls = ((x0, dx), (y0, dy), (x0 - y0, dx - dy), (x0 + y0, dx + dy))
        shares = [0.0, 1.0, *(-start / change for start, change in falls if change)]
        least = min(least, *(max(abs(x0 + share * dx), abs(y0 + share * dy))
                             for share in shares if 0 <= share <= 1))  # fmt: skip
    return 2 * least


def gap(first: Corners, reach: float, second: Corners, far: float) -> float:
    """Between two outlines, each widened all round; below 0 where they meet. [m].

    Parameters
    ----------
    first : Corners
        One corner is a point, two are a line: a round hole, and a slot with round ends.
    reach : float
        How far it is widened. [m]
    second : Corners
        The other one.
    far : float
        How far that is widened. [m]
    """
    return float(shapely.distance(_shape(first), _shape(second))) - reach - far


def holds(corners: Corners, low: tuple[float, float], high: tuple[float, float]) -> bool:
    """Whether an outline surrounds all of a box, its edges included. [m]."""
    return bool(shapely.Polygon(corners).covers(shapely.box(*low, *high)))


def clipped(
    corners: Corners, low: tuple[float, float], high: tuple[float, float]
) -> list[list[tuple[float, float]]]:
    """The lines of an outline that lie in a box. [m]."""
    ring = shapely.LinearRing(corners).intersection(shapely.box(*low, *high))
    lines = shapely.line_merge(ring) if ring.geom_type == "MultiLineString" else ring
    parts = getattr(lines, "geoms", [lines])
    return [[(x, y) for x, y in part.coords] for part in parts if part.length > 0]


def _shape(corners: Corners) -> shapely.Geometry:
    if len(corners) == 1:
        return shapely.Point(corners[0])
    return shapely.LineString(corners) if len(corners) == 2 else shapely.Polygon(corners)
