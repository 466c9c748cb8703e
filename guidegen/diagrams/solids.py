"""Parts as the eye sees them: every solid from one side, the far ones before the near ones."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, pi, sin

import numpy as np

from guidegen.design.model import Model, Part
from guidegen.design.solid import Solid

Corner = tuple[float, float, float]

#: Which axis of the light runs to the right, up and towards the reader, and which way.
SIDES = {
    "front": ((0, 1), (1, 1), (2, 1)),
    "back": ((0, -1), (1, 1), (2, -1)),
    "right": ((2, -1), (1, 1), (0, 1)),
}
_CIRCLE = 24


@dataclass(frozen=True)
class Seen:
    """One solid as seen from a side: u to the right, v up, w towards the reader. [m]."""

    part: Part
    low: Corner
    high: Corner
    along: int
    """Of a cylinder or tube: 0, 1 or 2, its axis as u, v or w; -1 for a block."""

    @property
    def size(self) -> Corner:
        """Extent to the right, up and towards the reader."""
        u, v, w = (b - a for a, b in zip(self.low, self.high, strict=True))
        return u, v, w

    @property
    def middle(self) -> Corner:
        """Its centre."""
        u, v, w = ((b + a) / 2 for a, b in zip(self.low, self.high, strict=True))
        return u, v, w

    def corners(self) -> list[Corner]:
        """Points whose outline is its own: eight of a block, two circles of a round bar."""
        if self.along < 0:
            return [(u, v, w) for u in (self.low[0], self.high[0])
                    for v in (self.low[1], self.high[1])
                    for w in (self.low[2], self.high[2])]  # fmt: skip
        return [*self.cap(self.low[self.along]), *self.cap(self.high[self.along])]

    def cap(self, at: float) -> list[Corner]:
        """The circle at one end of a round bar."""
        a, b = (axis for axis in range(3) if axis != self.along)
        middle, size = self.middle, self.size
        points = []
        for step in range(_CIRCLE):
            turn = 2 * pi * step / _CIRCLE
            point = [0.0, 0.0, 0.0]
            point[self.along] = at
            point[a] = middle[a] + size[a] / 2 * cos(turn)
            point[b] = middle[b] + size[b] / 2 * sin(turn)
            points.append((point[0], point[1], point[2]))
        return points

    def hides(self, other: Seen) -> bool:
        """Whether it lies before another, seen square on, and covers all of it."""
        return other.high[2] <= self.low[2] + 1e-9 and all(
            self.low[axis] <= other.low[axis] + 1e-9 and other.high[axis] <= self.high[axis] + 1e-9
            for axis in (0, 1)
        )


def corner(at: Corner, side: str) -> Corner:
    """A point of the light as seen from a side."""
    u, v, w = (way * at[axis] for axis, way in SIDES[side])
    return u, v, w


def seen(parts: Iterable[Part], side: str) -> list[Seen]:
    """All parts that have a place, piece by piece as seen from a side, in their own order."""
    return [_seen(part, piece, side) for part in parts if part.solid
            for piece in part.solid.filled]  # fmt: skip


def _seen(part: Part, solid: Solid, side: str) -> Seen:
    one, other = corner(solid.low, side), corner(solid.high, side)
    low = (min(one[0], other[0]), min(one[1], other[1]), min(one[2], other[2]))
    high = (max(one[0], other[0]), max(one[1], other[1]), max(one[2], other[2]))
    along = -1
    if solid.shape != "block":
        axis = "xyz".index(solid.axis)
        along = next(n for n, (own, _) in enumerate(SIDES[side]) if own == axis)
    return Seen(part, low, high, along)


def nearest_last(found: Iterable[Seen]) -> list[Seen]:
    """In the order in which a painter lays them down who looks square on."""
    return sorted(found, key=lambda one: (one.high[2], one.low[2]))


def slanted_last(found: Sequence[Seen]) -> list[Seen]:
    """In the order of a painter who looks from above and from the right as well.

    Of two solids with a plane between them the one on the far side comes first. Where solids
    pass through one another there is no such plane, and their own order stands.
    """
    order = nearest_last(found)
    if not order:
        return []
    low, high = (np.array([getattr(one, name) for one in order]) for name in ("low", "high"))
    farther = high[:, None, :] <= low[None, :, :] + 1e-9
    # [i, j]: i is farther than j along an axis that parts them, and nearer along none.
    parted = np.any(farther, axis=2)
    behind = np.logical_and(parted, np.logical_not(parted.T))
    ahead, waiting, laid = behind.sum(0), list(range(len(order))), []
    while waiting:
        ready = next((number for number in waiting if not ahead[number]), waiting[0])
        waiting.remove(ready)
        laid.append(order[ready])
        ahead = ahead - behind[ready]
    return laid


def root(model: Model, part: Part) -> Part:
    """What carries a part in the end."""
    carried = {part.ref}
    while part.on and part.on not in carried:
        carried.add(part.on)
        try:
            part = model.part(part.on)
        except KeyError:  # a conductor carries it: a joint's sleeve
            return part
    return part


def side_of(model: Model, part: Part) -> str:
    """The side that a part is seen on; a small one without a place, that of what carries it."""
    known = {other.ref: other for other in model.parts}
    carried = {part.ref}
    while part.box is None and part.on in known and part.on not in carried:
        host = known[part.on]
        if host.role == "board":
            break
        carried.add(part.on)
        part = host
    return part.side


def assemblies(model: Model) -> list[list[Part]]:
    """Parts with a place, by what carries them, which comes first: the light, then others.

    A part that lies loose in a lead has no place that a drawing could show, and is in none.
    """
    groups: dict[str, list[Part]] = {}
    for part in model.parts:
        base = root(model, part)
        if part.solid and (base.made or base.role == "board"):
            groups.setdefault(base.ref, []).append(part)
    found = [sorted(group, key=lambda part: part.ref != ref) for ref, group in groups.items()]
    return sorted(found, key=lambda group: not any(part.row for part in group))


def extent(parts: Iterable[Part]) -> Solid:
    """The block that holds all these.

    Raises
    ------
    ValueError
        If none of them has a place.
    """
    solids = [part.solid for part in parts if part.solid]
    lows, highs = zip(*((solid.low, solid.high) for solid in solids), strict=True)
    low = (min(p[0] for p in lows), min(p[1] for p in lows), min(p[2] for p in lows))
    high = (max(p[0] for p in highs), max(p[1] for p in highs), max(p[2] for p in highs))
    return Solid(low, high)


def hull(points: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """The outline of points on the paper (Andrew's monotone chain)."""
    found = sorted(set(points))
    if len(found) < 3:
        return found

    def half(way: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
        chain: list[tuple[float, float]] = []
        for x, y in way:
            while len(chain) > 1 and (chain[-1][0] - chain[-2][0]) * (y - chain[-2][1]) <= (
                chain[-1][1] - chain[-2][1]
            ) * (x - chain[-2][0]):
                chain.pop()
            chain.append((x, y))
        return chain[:-1]

    return half(found) + half(found[::-1])
