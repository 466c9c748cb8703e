"""Templates at true scale: every drilled face, on tiles that fit A4 and Letter, with two rulers."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

from guidegen import outlines
from guidegen.design.model import Part
from guidegen.design.seen import made_from, seen
from guidegen.design.solid import Hole, Solid
from guidegen.diagrams.field import Area, around
from guidegen.diagrams.source import DesignLike, called, millimetres
from guidegen.diagrams.style import TEXT
from guidegen.diagrams.svg import Canvas, Figure, Point, circle, polyline, rectangle

#: CSS px to the metre: an inch is 96 px (CSS Values and Units, level 3).
SCALE = 96 / 0.0254
#: Sheet of a tile, and the field on it that shows the piece. [m]. A4 and Letter hold it both.
SHEET = (0.170, 0.212)
LEFT, TOP, WIDE, HIGH = 0.016, 0.016, 0.150, 0.172
#: What two tiles show alike. [m].
OVERLAP = 0.010
RULER = 0.1
#: The corner with the dot, from which its hole table counts; by where that is told from.
CORNER = "left and lower edge, seen from"
DATUM = {
    "light": f"{CORNER} the light side",
    "edge": "left or lower end, and the edge that looks to the light side",
    "bottom": f"{CORNER} below",
    "lid": f"{CORNER} inside",
    "wall_outside": "left end seen from outside the standing box, and its bottom edge",
    "wall_inside": "left end seen from inside the standing box, and its bottom edge",
}
#: The face that a print lies on.
LIES = {
    "front": "the face that looks to the light side",
    "back": "the back, the face that looks away from the light side",
    "inside": "its face inside the box",
    "outside": "its outer face",
}
CROSS, MARK = 0.004, 0.002


@dataclass(frozen=True)
class Face:
    """One face of a piece with the holes that are marked on it, numbered as in its table."""

    ref: str
    alike: tuple[str, ...]
    """References of the pieces that it serves, itself among them."""
    what: str
    axis: str
    size: tuple[float, float]
    """Along and across. [m]."""
    solid: Solid
    holes: tuple[tuple[int, Hole], ...]
    back: bool
    """Of a flat piece: the face that looks away from the light side. Its print is mirrored."""
    seen: str
    """From where its datum corner is told; a key of `DATUM`."""
    lies: str
    """Of a flat piece: which face its print lies on; a key of `LIES`."""

    @property
    def name(self) -> str:
        """What its figures begin with."""
        return f"template-{self.ref}-{self.axis}{'-back' if self.back else ''}"


@dataclass(frozen=True)
class Tile:
    """A part of a face on one sheet."""

    column: int
    row: int
    """From 0, from the datum."""

    @property
    def origin(self) -> tuple[float, float]:
        """Its corner nearest to the datum, on the face. [m]."""
        return self.column * (WIDE - OVERLAP), self.row * (HIGH - OVERLAP)

    def shows(self, x: float, y: float) -> bool:
        """Whether a place of the face lies on it."""
        left, low = self.origin
        return left - 1e-9 <= x <= left + WIDE + 1e-9 and low - 1e-9 <= y <= low + HIGH + 1e-9


def faces(design: DesignLike) -> list[Face]:
    """Every drilled face once; pieces that are drilled alike share it.

    A flat piece has two: each hole belongs to the face that it is made from.
    """
    found: dict[tuple[object, ...], Face] = {}
    for part in design.model.parts:
        own = [hole for hole in part.solid.holes if not hole.follows] if part.solid else []
        for axis, back in dict.fromkeys(_way(part, hole) for hole in own):
            assert part.solid
            holes = tuple((n, hole) for n, hole in enumerate(own, 1)
                          if _way(part, hole) == (axis, back))  # fmt: skip
            marks = tuple((*_rounded(part.solid.marked(hole)), str(hole.width), hole.length)
                          for _, hole in holes)  # fmt: skip
            size, view = _size(part.solid, axis), seen(design.model, part)
            key = (part.role, axis, back, view, _rounded(size), marks)
            if key in found:
                found[key] = replace(found[key], alike=(*found[key].alike, part.ref))
                continue
            told = "edge" if view == "light" and axis != "z" else view
            lies = made_from(design.model, part, back)
            found[key] = Face(part.ref, (part.ref,), called(part), axis, size, part.solid, holes,
                              back, told, lies)  # fmt: skip
    return list(found.values())


def _way(part: Part, hole: Hole) -> tuple[str, bool]:
    """Along which axis a hole is made, and whether from behind."""
    assert part.solid
    return hole.axis, part.solid.behind(hole)


def _rounded(pair: tuple[float, float]) -> tuple[float, float]:
    return round(pair[0], 6), round(pair[1], 6)


def _size(solid: Solid, axis: str) -> tuple[float, float]:
    x, y, z = solid.size
    return {"x": (y, z), "y": (x, z), "z": (x, y)}[axis]


def grid(face: Face) -> tuple[int, int]:
    """Columns and rows of tiles that cover a face."""
    wide, high = face.size
    return (
        max(1, math.ceil((wide - OVERLAP) / (WIDE - OVERLAP) - 1e-9)),
        max(1, math.ceil((high - OVERLAP) / (HIGH - OVERLAP) - 1e-9)),
    )


def tiles(face: Face) -> list[Tile]:
    """The tiles that are printed: those that some hole lies on, row by row from the datum."""
    columns, rows = grid(face)
    places = [face.solid.marked(hole) for _, hole in face.holes]
    every = (Tile(column, row) for row in range(rows) for column in range(columns))
    return [tile for tile in every
            if any(tile.shows(*at) for at in places) or any(_lines(face, tile))]  # fmt: skip


def _lines(face: Face, tile: Tile) -> Iterator[list[tuple[float, float]]]:
    """Lines of outlines that lie on a tile. [m]."""
    left, low = tile.origin
    for _, hole in face.holes:
        if hole.corners:
            corners = [face.solid.on_face(spot, hole.axis) for spot in hole.spots]
            yield from outlines.clipped(corners, (left, low), (left + WIDE, low + HIGH))


def farthest(face: Face) -> tuple[int, int, float] | None:
    """The two holes that lie farthest apart, and how far. [m]."""
    places = [(n, face.solid.marked(hole)) for n, hole in face.holes]
    pairs = [(n, m, math.dist(a, b)) for (n, a), (m, b) in combinations(places, 2)]
    return max(pairs, key=lambda pair: (round(pair[2], 6), -pair[0], -pair[1]), default=None)


def templates(design: DesignLike) -> list[Figure]:
    """Draw `template-U1-z-1`, ... of every drilled face."""
    return [
        _tile(face, tile, number, printed)
        for face in faces(design)
        for printed in [tiles(face)]
        for number, tile in enumerate(printed, 1)
    ]


def _tile(face: Face, tile: Tile, number: int, printed: Sequence[Tile]) -> Figure:
    canvas = Canvas(f"{face.name}-{number}", SHEET[0] * SCALE)
    left, low = tile.origin
    columns, rows = grid(face)

    def at(x: float, y: float) -> tuple[float, float]:
        """A place of the face on the sheet. [px]."""
        across = WIDE - (x - left) if face.back else x - left
        return (LEFT + across) * SCALE, (TOP + HIGH - (y - low)) * SCALE

    where = f"column {tile.column + 1} of {columns}, row {tile.row + 1} of {rows}"
    title = f"{', '.join(face.alike)} {face.what}: tile {number} of {len(printed)}"
    # A mark that no other printed sheet shows meets nothing.
    others = [other for other in printed if other is not tile]
    spots = [spot for spot in _marks(face, tile) if any(other.shows(*spot) for other in others)]
    first = "right" if face.back else "left"
    edges = f"{first} edge {millimetres(left)}, low edge {millimetres(low)}"
    canvas.text((LEFT * SCALE, 18), title)
    where = f"{where}; lay it by its edges" if others and not spots else where
    canvas.text((LEFT * SCALE, 35), f"{where}; {edges}")
    canvas.text((LEFT * SCALE, 52), _counted(face, tile))
    _outline(canvas, face, tile, at)
    for spot in spots:
        (x, y), half = at(*spot), MARK * SCALE
        canvas.path("narrow", polyline([(x - half, y - half), (x + half, y + half)]),
                    polyline([(x - half, y + half), (x + half, y - half)]))  # fmt: skip
        canvas.field.take(Area(x - half, y - half, x + half, y + half))
    _rulers(canvas)
    here = [(n, hole, at(*face.solid.marked(hole))) for n, hole in face.holes
            if tile.shows(*face.solid.marked(hole))]  # fmt: skip
    for line in _lines(face, tile):
        points = [at(*spot) for spot in line]
        canvas.path("narrow", polyline(points))
        for one, two in pairwise(points):
            canvas.field.line(one, two)
    # All holes first: a number must not lie where the next hole comes.
    far = {n: _hole(canvas, place, hole) for n, hole, place in here}
    for n, _, (x, y) in here:
        near = (place for place in around(x, y, far[n], 8) if place != (x, y))
        free = canvas.field.spot(str(n), TEXT, near)
        if free:
            canvas.text(free, str(n), "middle")
    shown = [str(n) for n, _, _ in here]
    pair = farthest(face)
    told = f" Holes {pair[0]} and {pair[1]} lie {millimetres(pair[2])} apart." if pair else ""
    side = (
        f"on {LIES[face.lies]}, print up"
        if face.axis == "z"
        else "with both datum edges; if the print must then face the piece, prick through it"
    )
    if face.back:
        side += "; the dotted corner is at the right"
    return canvas.figure(
        SHEET[1] * SCALE,
        f"Template at true scale of {face.ref}, tile {number} of {len(printed)}",
        f"{where}; holes {', '.join(shown)}",
        f"{face.ref}, tile {number} of {len(printed)}, {where}. Lay it {side}.{told}",
    )


def _counted(face: Face, tile: Tile) -> str:
    """Which face the print lies on, and what its datum corner is."""
    dot = "Dot" if tile.column == tile.row == 0 else "Dot off this sheet"
    dot += ", at right" if face.back else ""
    lies = f"On the {face.lies}. " if face.axis == "z" else ""
    return f"{lies}{dot}: {DATUM[face.seen]}"


def _outline(canvas: Canvas, face: Face, tile: Tile, at: Callable[[float, float], Point]) -> None:
    """The edges of the piece that lie on the tile, and its datum corner."""
    (left, low), (wide, high) = tile.origin, face.size
    right, top = min(wide, left + WIDE), min(high, low + HIGH)
    for x in (0.0, wide):
        if left - 1e-9 <= x <= left + WIDE + 1e-9:
            canvas.line("wide", [at(x, low), at(x, top)])
            (across, down), (_, up) = at(x, low), at(x, top)
            canvas.field.take(Area(across - 2, up, across + 2, down))
    for y in (0.0, high):
        if low - 1e-9 <= y <= low + HIGH + 1e-9:
            canvas.line("wide", [at(left, y), at(right, y)])
            first, last = sorted((at(left, y)[0], at(right, y)[0]))
            along = at(left, y)[1]
            canvas.field.take(Area(first, along - 2, last, along + 2))
    if tile.column == tile.row == 0:
        canvas.path("solid", circle(*at(0, 0), 4))


def _marks(face: Face, tile: Tile) -> Iterator[tuple[float, float]]:
    """Places in the strips that two tiles share: laid over one another, they meet. [m]."""
    columns, rows = grid(face)
    across, up = WIDE - OVERLAP, HIGH - OVERLAP

    def shares(first: float, most: float, whole: float) -> Iterator[float]:
        """A fifth from both ends of what a tile shows of the piece."""
        for part in (0.2, 0.8):
            yield first + part * (min(whole, first + most) - first)

    places = [(column * across + OVERLAP / 2, y)
              for column in range(1, columns) for row in range(rows)
              for y in shares(row * up, HIGH, face.size[1])]  # fmt: skip
    places += [(x, row * up + OVERLAP / 2)
               for row in range(1, rows) for column in range(columns)
               for x in shares(column * across, WIDE, face.size[0])]  # fmt: skip
    yield from (place for place in places if tile.shows(*place))


def _hole(canvas: Canvas, at: tuple[float, float], hole: Hole) -> float:
    """Draw a hole with its cross; how far from its middle a number keeps clear. [px]."""
    x, y = at
    half = hole.width.si / 2 * SCALE
    if hole.shape == "round":
        canvas.path("narrow", circle(x, y, half))
    elif hole.corners:
        half = 0  # its lines are drawn tile by tile
    else:
        wide, high = (side * SCALE for side in hole.halves)
        canvas.path("narrow", rectangle(x - wide, y - high, 2 * wide, 2 * high))
    reach = CROSS * SCALE
    canvas.path("narrow", polyline([(x - reach, y), (x + reach, y)]),
                polyline([(x, y - reach), (x, y + reach)]))  # fmt: skip
    far = max(half, reach)
    # No other hole's number stands on its edge.
    canvas.field.take(Area(x - half, y - half, x + half, y + half))
    canvas.field.take(Area(x - far, y - 2, x + far, y + 2))
    canvas.field.take(Area(x - 2, y - far, x + 2, y + far))
    return far


def _rulers(canvas: Canvas) -> None:
    """A ruler of 100 mm each way, with room to write what a steel rule reads."""
    x, y = LEFT * SCALE, (TOP + HIGH + 0.005) * SCALE
    end = x + RULER * SCALE
    canvas.line("narrow", [(x, y), (end, y)])
    for tick in range(11):
        across = x + tick * RULER / 10 * SCALE
        canvas.path("narrow", polyline([(across, y), (across, y + 6)]))
    canvas.text((x, y + 20), "0", "middle")
    canvas.text((end, y + 20), "100", "middle")
    canvas.text((end + 24, y + 6), "x ______ mm,  y ______ mm")
    canvas.text((end + 24, y + 26), "each 99.5 to 100.5:  ☐")
    up, low = 0.010 * SCALE, (TOP + HIGH) * SCALE
    high = low - RULER * SCALE
    canvas.line("narrow", [(up, low), (up, high)])
    canvas.field.take(Area(up - 8, high, up + 2, low))
    for tick in range(11):
        along = low - tick * RULER / 10 * SCALE
        canvas.path("narrow", polyline([(up - 6, along), (up, along)]))
    canvas.text((up - 8, low), "0", "end")
    canvas.text((up - 8, high), "100", "end")
