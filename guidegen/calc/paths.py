"""Lines of straight pieces on a face: lengths along them, where they meet a height, their bends.

A line is a tuple of points (x, y), two or more. [m].
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate, pairwise

Point = tuple[float, float]
Line = tuple[Point, ...]
#: Two points nearer than this are one. [m].
SAME = 1e-9


def lengths(line: Line) -> list[float]:
    """How far each point of a line is from its first one, along it. [m]."""
    return list(accumulate((math.dist(a, b) for a, b in pairwise(line)), initial=0.0))


def length(line: Line) -> float:
    """The whole length of a line. [m]."""
    return lengths(line)[-1]


def along(line: Line, at: Point) -> float:
    """How far the point of a line that is nearest to another point is from the first one. [m]."""
    best = (math.inf, 0.0)
    for (a, b), start in zip(pairwise(line), lengths(line), strict=False):
        whole = math.dist(a, b)
        if whole < SAME:
            continue
        part = ((at[0] - a[0]) * (b[0] - a[0]) + (at[1] - a[1]) * (b[1] - a[1])) / whole
        part = min(max(part, 0.0), whole)
        foot = (a[0] + (b[0] - a[0]) * part / whole, a[1] + (b[1] - a[1]) * part / whole)
        best = min(best, (math.dist(foot, at), start + part))
    return best[1]


def _piece(line: Line, far: float) -> tuple[Point, Point, float, float] | None:
    """The piece that reaches so far: its ends, where it begins, how long it is; None beyond all."""
    for (a, b), start in zip(pairwise(line), lengths(line), strict=False):
        whole = math.dist(a, b)
        if whole > SAME and far <= start + whole + SAME:
            return a, b, start, whole
    return None


def point(line: Line, far: float) -> Point:
    """The point so far along a line; its ends where that lies beyond them."""
    piece = _piece(line, far)
    if piece is None:
        return line[-1]
    a, b, start, whole = piece
    share = min(max((far - start) / whole, 0.0), 1.0)
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def crossings(line: Line, y: float) -> list[float]:
    """Each x at which a line meets a height; of a piece that runs along it, both ends. [m]."""
    found: list[float] = []
    for (x0, y0), (x1, y1) in pairwise(line):
        if min(y0, y1) - SAME <= y <= max(y0, y1) + SAME:
            level = abs(y1 - y0) < SAME
            found += [x0, x1] if level else [x0 + (x1 - x0) * (y - y0) / (y1 - y0)]
    return list(dict.fromkeys(round(x, 9) for x in found))


def direction(line: Line, far: float) -> Point:
    """Unit vector along the piece of a line that lies so far from its first point."""
    piece = _piece(line, far)
    a, b = piece[:2] if piece else line[-2:]
    whole = math.dist(a, b) or 1.0
    return (b[0] - a[0]) / whole, (b[1] - a[1]) / whole


def bends(line: Line) -> list[tuple[float, Point, float]]:
    """(how far along, where, by what angle) of each bend; left turns count above zero. [m], [rad].

    Points at which a line goes straight on are no bends.
    """
    found = []
    for far, before, at, after in zip(lengths(line)[1:], line, line[1:], line[2:], strict=False):
        first, second = (math.atan2(q[1] - p[1], q[0] - p[0]) for p, q in
                         ((before, at), (at, after)))  # fmt: skip
        turn = (second - first + math.pi) % (2 * math.pi) - math.pi
        if abs(turn) > 1e-6:
            found.append((far, at, turn))
    return found


def boxes(line: Line, half: float) -> list[tuple[float, float, float, float]]:
    """Boxes x0, y0, x1, y1 that together cover a strip along a line. [m].

    Parameters
    ----------
    line : Line
        Its middle line.
    half : float
        Half its width. [m]

    Returns
    -------
    list of tuple
        One for each piece along x or y, many small ones for a slanting piece. At its ends the
        strip stops square where it runs along x or y; at a bend the pieces overlap.
    """
    found = []
    pieces = list(pairwise(line))
    for number, ((x0, y0), (x1, y1)) in enumerate(pieces):
        square = abs(x1 - x0) < SAME or abs(y1 - y0) < SAME
        steps = 1 if square else max(1, math.ceil(math.dist((x0, y0), (x1, y1)) / (2 * half)))
        for step in range(steps):
            ax, bx = (x0 + (x1 - x0) * (step + n) / steps for n in (0, 1))
            ay, by = (y0 + (y1 - y0) * (step + n) / steps for n in (0, 1))
            ends = (number == 0 and step == 0, number == len(pieces) - 1 and step == steps - 1)
            found.append(_box((ax, ay), (bx, by), half, ends))
    return found


def _box(
    a: Point, b: Point, half: float, ends: Sequence[bool]
) -> tuple[float, float, float, float]:
    """The box round one piece: half a width beyond its middle line, but not beyond a free end."""
    low, high = [min(a[n], b[n]) for n in (0, 1)], [max(a[n], b[n]) for n in (0, 1)]
    for axis in (0, 1):
        for end, free in ((a, ends[0]), (b, ends[1])):
            level = abs(a[1 - axis] - b[1 - axis]) < SAME and abs(a[axis] - b[axis]) >= SAME
            grow = 0.0 if free and level else half
            low[axis] = min(low[axis], end[axis] - grow)
            high[axis] = max(high[axis], end[axis] + grow)
    return low[0], low[1], high[0], high[1]
