"""Solids: blocks, round bars and tubes with their holes, along the axes of the light."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from guidegen.values import Value

AXES = "xyz"


@dataclass(frozen=True)
class Box:
    """A rectangle on the board, in metres."""

    x: float
    y: float
    width: float
    height: float

    def holds(self, other: Box, slip: float = 0.0) -> bool:
        """Whether another lies in it, edges included; `slip` is how far it may stand out. [m]."""
        return (
            self.x - slip <= other.x
            and self.y - slip <= other.y
            and other.x + other.width <= self.x + self.width + slip
            and other.y + other.height <= self.y + self.height + slip
        )


def across(way: str) -> tuple[int, int]:
    """Numbers of the two axes of a face that looks along an axis."""
    first, second = (n for n, axis in enumerate(AXES) if axis != way)
    return first, second


@dataclass(frozen=True)
class Hole:
    """An opening made in a solid from one of its faces: hole, slot, pocket or countersink."""

    role: str
    """What it is for: `cover_screw`, `feed`, `control`, `insert`, ... (words in `en.yaml`)."""
    at: tuple[float, float, float]
    """Its centre, on the face it is made from. [m]."""
    axis: str
    """`x`, `y` or `z`: the way of the tool."""
    shape: str
    """`round`, `square`, `slot` (which has round ends) or `outline`."""
    width: Value
    """Diameter; of another hole its extent across `along`."""
    length: float = 0.0
    """Of a hole that is not round: along `along`. [m]."""
    along: str = ""
    """`x`, `y` or `z`: the long way of a square hole or slot; of an outline the first of its
    face's two."""
    depth: Value | None = None
    """Of a blind hole or pocket, measured from `at` into the solid; None: through."""
    countersink: Value | None = None
    """Diameter of its cone at the face."""
    holds: str = ""
    """Reference of the part that sits in it or passes through it."""
    fixes: str = ""
    """Reference of what its screw fixes, where screws of one reference fix several parts."""
    corners: tuple[tuple[float, float], ...] = ()
    """Of an outline, from `at`, along the two axes of its face in their order. [m]."""

    @property
    def face(self) -> tuple[int, int]:
        """Numbers of the two axes of the face that it is made from."""
        return across(self.axis)

    @property
    def halves(self) -> tuple[float, float]:
        """Half of its extents along the two axes of its face. [m]."""
        half, long = self.width.si / 2, (self.length or self.width.si) / 2
        return (long, half) if self.along == AXES[self.face[0]] else (half, long)

    @property
    def spots(self) -> list[tuple[float, float, float]]:
        """Where the corners of an outline lie. [m]."""
        first, second = self.face
        found = []
        for one in self.corners:
            spot = list(self.at)
            spot[first] += one[0]
            spot[second] += one[1]
            found.append((spot[0], spot[1], spot[2]))
        return found

    def moved(self, by: tuple[float, float], names: Mapping[str, str]) -> Hole:
        """The same hole elsewhere, of a part whose fixings have other references."""
        at = (self.at[0] + by[0], self.at[1] + by[1], self.at[2])
        return replace(self, at=at, holds=names.get(self.holds, self.holds),
                       fixes=names.get(self.fixes, self.fixes))  # fmt: skip

    @property
    def follows(self) -> bool:
        """Whether it is drilled through the hole of the piece that lies on top."""
        return self.role.endswith("_pilot")


@dataclass(frozen=True)
class Solid:
    """A part's place and form: a block, a round bar or a tube, along the axes of the light.

    x to the right and y up as seen from the light side, z towards the reader; the origin is the
    lower left corner of the board's face that carries the tape.
    """

    low: tuple[float, float, float]
    """Lower corner. [m]."""
    high: tuple[float, float, float]
    """Upper corner. [m]."""
    shape: str = "block"
    """`block`, `cylinder` or `tube`."""
    axis: str = "z"
    """Of a cylinder or tube its axis; of a sheet the way of its thickness."""
    bore: float = 0.0
    """Inner diameter of a tube. [m]."""
    holes: tuple[Hole, ...] = ()
    pieces: tuple[Solid, ...] = ()
    """What it is made of where it bends, or passes a window; the corners are round all of them."""

    @property
    def filled(self) -> tuple[Solid, ...]:
        """What of the room between its corners it takes: all of it, or its pieces."""
        return self.pieces or (self,)

    @property
    def size(self) -> tuple[float, float, float]:
        """Extent along x, y and z. [m]."""
        x, y, z = (b - a for a, b in zip(self.low, self.high, strict=True))
        return x, y, z

    @property
    def middle(self) -> tuple[float, float, float]:
        """Its centre. [m]."""
        x, y, z = ((a + b) / 2 for a, b in zip(self.low, self.high, strict=True))
        return x, y, z

    @property
    def box(self) -> Box:
        """Its outline seen along z."""
        return Box(self.low[0], self.low[1], self.size[0], self.size[1])

    def moved(self, by: tuple[float, float], names: Mapping[str, str]) -> Solid:
        """The same solid elsewhere; its holes hold the parts of these other references."""
        low, high = ((c[0] + by[0], c[1] + by[1], c[2]) for c in (self.low, self.high))
        holes = tuple(hole.moved(by, names) for hole in self.holes)
        pieces = tuple(piece.moved(by, names) for piece in self.pieces)
        return replace(self, low=low, high=high, holes=holes, pieces=pieces)

    def marked(self, hole: Hole) -> tuple[float, float]:
        """Where the centre of a hole is marked on the face that it is made from. [m]."""
        return self.on_face(hole.at, hole.axis)

    def behind(self, hole: Hole) -> bool:
        """Whether a hole across z is made from the face that looks away from the light side."""
        return hole.axis == "z" and abs(hole.at[2] - self.high[2]) >= 1e-9

    def on_face(self, at: tuple[float, float, float], axis: str) -> tuple[float, float]:
        """Where a place is marked on a face across an axis. [m].

        Returns
        -------
        tuple of float
            On a face across z: from the left and from the lower edge, seen from the light side.
            On a face across x or y: along the piece from its lower or left end, and from the edge
            that looks to the light side.
        """
        x, y, z = at
        if axis == "z":
            return x - self.low[0], y - self.low[1]
        along = y - self.low[1] if axis == "x" else x - self.low[0]
        return along, self.high[2] - z


def block(box: Box, low: float, high: float, **more: Any) -> Solid:
    """A solid over a rectangle of the board, between two heights over the tape's face. [m]."""
    ends = sorted((low, high))
    return Solid((box.x, box.y, ends[0]), (box.x + box.width, box.y + box.height, ends[1]), **more)
