"""Hole plans of every piece that is drilled: outline, datum, holes and their distances from it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from guidegen.design.model import Part
from guidegen.design.seen import seen
from guidegen.design.solid import Box, Hole, Solid
from guidegen.diagrams.dimension import STEP, counted, rows_of_text, wrapped
from guidegen.diagrams.field import Area, around
from guidegen.diagrams.metrics import width
from guidegen.diagrams.source import DesignLike, called, millimetres
from guidegen.diagrams.style import PHONE, TEXT
from guidegen.diagrams.svg import Canvas, Figure, Point, circle, polyline, rectangle
from guidegen.diagrams.view import View, fitted

_TOP = 34
#: What pieces of a box beside the light are seen from, in their plans.
VIEWS = {
    "bottom": "seen from outside, from below",
    "lid": "seen from inside the box",
    "wall_outside": "seen from outside, bottom edge below",
    "wall_inside": "seen from inside, bottom edge below",
}
Numbered = tuple[int, Hole]


def hole_plans(design: DesignLike) -> list[Figure]:
    """Draw `holes-U1`, ... of each piece with holes that are marked on itself.

    Holes that are drilled through those of the piece on top follow them, and have no plan.
    """
    return [
        hole_plan(part, seen(design.model, part))
        for part in design.model.parts
        if part.solid and any(not hole.follows for hole in part.solid.holes)
    ]


def hole_plan(part: Part, view_from: str = "light") -> Figure:
    """Draw a piece with its holes, one view for each way that they run; numbered as in its table.

    Parameters
    ----------
    part : Part
        The piece.
    view_from : str
        As `guidegen.design.seen.seen` names it.

    Raises
    ------
    AssertionError
        If the piece has no place.
    """
    assert part.solid
    solid = part.solid
    own = [hole for hole in solid.holes if not hole.follows]
    canvas, low = Canvas(f"holes-{part.ref}"), 0.0
    ways: dict[str, list[Numbered]] = {}
    for number, hole in enumerate(own, 1):
        ways.setdefault(hole.axis, []).append((number, hole))
    close = False
    for axis, found in ways.items():
        view = _view(solid, axis, low + _TOP)
        canvas.text((view.left, low + 20), f"{part.ref}, {_face(axis, view_from)}")
        close = _draw(canvas, view, solid, found) or close
        low = canvas.field.bottom + 10
    low = rows_of_text(canvas, wrapped(_notes(part, own, close), PHONE - 16), low)
    return canvas.figure(
        low,
        f"Hole plan of {part.ref}: {counted(len(own), 'hole')}, measured from the dotted corner",
        "; ".join(_sentence(n, hole, solid) for n, hole in enumerate(own, 1)),
        f"Holes of {part.ref} {called(part)}. All sizes from the dotted corner.",
    )


def _face(axis: str, view_from: str) -> str:
    if view_from in VIEWS:
        return VIEWS[view_from]
    return "seen from the light side" if axis == "z" else "on edge, its light-side edge below"


def _view(solid: Solid, axis: str, top: float) -> View:
    """The face that holes of this way are marked on."""
    x, y, z = solid.size
    wide, high = {"x": (y, z), "y": (x, z), "z": (x, y)}[axis]
    face = Box(0, 0, wide, high)
    texts = _texts(solid.marked(hole)[1] for hole in solid.holes if hole.axis == axis)
    left = max(width(text, TEXT) for text, _ in texts) + STEP
    return View(left, top, fitted(face, PHONE - left - 30, 330), face)


def _sentence(number: int, hole: Hole, solid: Solid) -> str:
    x, y = solid.marked(hole)
    deep = f"{hole.depth} deep" if hole.depth is not None else "through"
    wide = f"outline of {len(hole.corners)} corners" if hole.corners else f"{hole.width} wide"
    return f"{number}: {millimetres(x)}, {millimetres(y)}, {wide}, {deep}"


def _draw(canvas: Canvas, view: View, solid: Solid, found: Sequence[Numbered]) -> bool:
    """One view; returns whether some sizes found no room beside it."""
    area = view.area(view.board)
    canvas.path("wide", rectangle(area.x0, area.y0, area.width, area.height))
    corners = [(area.x0, area.y0), (area.x1, area.y0), (area.x1, area.y1), (area.x0, area.y1)]
    for n, start in enumerate(corners):
        canvas.field.line(corners[n - 1], start)
    marks = []
    for number, hole in found:
        x, y = view.point(*solid.marked(hole))
        reach = _hole(canvas, view, hole, solid, (x, y))
        canvas.field.take(Area(x - reach, y - 2, x + reach, y + 2))
        canvas.field.take(Area(x - 2, y - reach, x + 2, y + reach))
        half = reach - 3
        canvas.field.take(Area(x - half, y - half, x + half, y + half))
        marks.append((str(number), x, y))
    places = [solid.marked(hole) for _, hole in found]
    close = _ordinates(canvas, view, {x for x, _ in places}, {y for _, y in places})
    for text, x, y in marks:
        inner = (at for at in around(x, y, 9, 5) if at != (x, y) and area.holds(*at))
        spot = canvas.field.spot(text, TEXT, inner)
        if spot:
            canvas.text(spot, text, "middle")
    canvas.path("solid", circle(area.x0, area.y1, 4))
    return close


def _hole(canvas: Canvas, view: View, hole: Hole, solid: Solid, at: Point) -> float:
    """A hole with its centre lines, broken where it is made from the far face; their reach."""
    x, y = at
    near = hole.depth is None or not solid.behind(hole)
    style, half = "narrow" if near else "hidden", max(hole.width.si / 2 * view.scale, 2)
    if hole.shape == "round":
        canvas.path(style, circle(x, y, half))
    elif hole.corners:
        spots = [view.point(*solid.on_face(spot, hole.axis)) for spot in hole.spots]
        canvas.path(style, polyline(spots, close=True))
        half = max(half, hole.length / 2 * view.scale)
    else:
        wide, high = (max(side * view.scale, 2) for side in hole.halves)
        canvas.path(style, rectangle(x - wide, y - high, 2 * wide, 2 * high))
        half = max(wide, high)
    if hole.countersink is not None:
        canvas.path(style, circle(x, y, hole.countersink.si / 2 * view.scale))
    reach = max(8.0, half + 3)
    canvas.path("narrow", polyline([(x - reach, y), (x + reach, y)]),
                polyline([(x, y - reach), (x, y + reach)]))  # fmt: skip
    return reach


def _ordinates(canvas: Canvas, view: View, xs: Iterable[float], ys: Iterable[float]) -> bool:
    """Distances from the datum corner along both edges; returns whether some found no room."""
    area, skipped = view.area(view.board), False
    low, left = area.y1 + STEP / 2, area.x0 - STEP / 2
    last = -1e9
    for text, value in _texts(xs):
        x = view.point(value, 0)[0]
        if x - last < TEXT + 1:
            skipped = True
            continue
        last = x
        canvas.path("narrow", polyline([(x, area.y1 + 2), (x, low)]))
        canvas.text((x + 5, low + 4 + width(text, TEXT)), text, turned=True)
    last = 1e9
    for text, value in _texts(ys):
        y = view.point(0, value)[1]
        if last - y < TEXT + 2:
            skipped = True
            continue
        last = y
        canvas.path("narrow", polyline([(area.x0 - 2, y), (left, y)]))
        canvas.text((left - 4, y + 5), text, "end")
    return skipped


def _texts(values: Iterable[float]) -> list[tuple[str, float]]:
    """Distances and their texts, each text once, the least first."""
    found: dict[str, float] = {}
    for value in sorted(values):
        found.setdefault(millimetres(value), value)
    return list(found.items())


def _notes(part: Part, holes: Sequence[Hole], close: bool) -> list[str]:
    sizes = {hole.width.si: str(hole.width) for hole in holes if not hole.corners}
    wide = f", wide: {', '.join(sizes[si] for si in sorted(sizes))}" if sizes else ""
    notes = [f"{counted(len(holes), 'hole')}{wide}."]
    if any(hole.corners for hole in holes):
        notes.append("Corners of an outline stand in the table.")
    if len(part.size) > 1:
        notes.append(f"Outline {part.size[0]} × {part.size[1]}; dot: datum corner.")
    notes.append("Broken circle: drilled from the far face.")
    if close:
        notes.append("Holes too close to be dimensioned here stand in the table.")
    return notes
