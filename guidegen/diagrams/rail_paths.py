"""Rails on the paper: the stretches of a line that a drawing shows."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from guidegen.design.model import Part
from guidegen.diagrams.field import Area
from guidegen.diagrams.svg import Point


def shown(points: Sequence[Point], area: Area) -> list[list[Point]]:
    """The stretches of a line that lie within an area, each as its own line.

    References
    ----------
    .. [1] Liang and Barsky's clipping of a line to a rectangle, from memory.
    """
    found: list[list[Point]] = []
    for a, b in pairwise(points):
        kept = _clipped(a, b, area)
        if kept is None:
            continue
        if found and found[-1][-1] == kept[0]:
            found[-1].append(kept[1])
        else:
            found.append([*kept])
    return found


def _clipped(a: Point, b: Point, area: Area) -> tuple[Point, Point] | None:
    low, high = 0.0, 1.0
    for start, way, least, most in (
        (a[0], b[0] - a[0], area.x0, area.x1),
        (a[1], b[1] - a[1], area.y0, area.y1),
    ):
        if abs(way) < 1e-12:
            if not least <= start <= most:
                return None
            continue
        ends = sorted(((least - start) / way, (most - start) / way))
        low, high = max(low, ends[0]), min(high, ends[1])
    if low > high:
        return None

    def at(share: float) -> Point:
        if share in (0.0, 1.0):
            return (a, b)[int(share)]
        return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share

    return at(low), at(high)


def highest(stretches: Sequence[Sequence[Point]]) -> Point:
    """The highest point on the paper of what is shown of a line."""
    return min((at for stretch in stretches for at in stretch), key=lambda at: (at[1], at[0]))


def wide(rail: Part) -> float:
    """How wide a rail is across its line. [m]."""
    assert rail.solid is not None
    return min(min(piece.size[:2]) for piece in rail.solid.filled)
