"""Rails on the paper: the stretches of a line that a drawing shows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import hypot

from guidegen.design.model import Part
from guidegen.diagrams.field import Area
from guidegen.diagrams.svg import Canvas, Point, polyline


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


def ribbon(points: Sequence[Point], half: float) -> list[Point]:
    """The outline of a strip along a line, its corners mitred."""
    ways = [_unit(a, b) for a, b in pairwise(points)]
    sides: list[list[Point]] = [[], []]
    for number, (x, y) in enumerate(points):
        before, after = ways[max(number - 1, 0)], ways[min(number, len(ways) - 1)]
        # Where two edges meet, along the sum of both normals.
        across = (-before[1] - after[1], before[0] + after[0])
        stretch = 2 / max(across[0] ** 2 + across[1] ** 2, 0.5)
        for side, sign in zip(sides, (1, -1), strict=True):
            side.append((x + sign * half * stretch * across[0],
                         y + sign * half * stretch * across[1]))  # fmt: skip
    return [*sides[0], *sides[1][::-1]]


def width_of(
    canvas: Canvas, rail: Part, stretches: Iterable[Sequence[Point]], scale: float
) -> None:
    """Draw how wide a bar or foil is, faint about its middle line; of a wire nothing.

    Parameters
    ----------
    canvas : Canvas
        The drawing.
    rail : Part
        The rail.
    stretches : iterable of sequence of Point
        What is shown of its middle line.
    scale : float
        Drawing units in a metre.
    """
    if rail.stock is not None and rail.stock.kind != "conductor":
        half = wide(rail) * scale / 2
        canvas.path("faint", *(polyline(ribbon(one, half), close=True) for one in stretches))


def _unit(a: Point, b: Point) -> Point:
    far = hypot(b[0] - a[0], b[1] - a[1]) or 1.0
    return (b[0] - a[0]) / far, (b[1] - a[1]) / far
