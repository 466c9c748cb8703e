"""Hole plans: outline, datum, holes and their distances from the datum edges."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from guidegen.design.model import Box, Part
from guidegen.diagrams.dimension import STEP, rows_of_text
from guidegen.diagrams.metrics import width
from guidegen.diagrams.source import DesignLike, called, millimetres
from guidegen.diagrams.style import PHONE, TEXT
from guidegen.diagrams.svg import Canvas, Figure, circle, polyline, rectangle
from guidegen.diagrams.view import View, fitted

_LEFT, _TOP = 84, 34


@dataclass(frozen=True)
class Hole:
    """One hole, its centre measured from the lower left corner of the piece. [m]."""

    x: float
    y: float
    diameter: float
    name: str = ""


def cover_holes(design: DesignLike) -> Figure | None:
    """Draw the cover's hole plan; None for a cover without holes, or none at all."""
    covers = design.model.by_role("cover")
    holes = list(_holes(covers[0])) if covers else []
    if not holes:
        return None
    return hole_plan("cover-holes", covers[0], holes)


def _holes(part: Part) -> Iterable[Hole]:
    """The holes of a piece that is drilled across its face, from its solid."""
    solid = part.solid
    for hole in solid.holes if solid else ():
        if solid and hole.axis == "z":
            yield Hole(*solid.marked(hole), hole.width.si)


def hole_plan(name: str, part: Part, holes: Sequence[Hole]) -> Figure:
    """Draw a piece with its holes.

    Parameters
    ----------
    name : str
        Name of the figure.
    part : Part
        The piece; its size, length before width, is the outline.
    holes : sequence of Hole
        Holes, numbered in the order given unless they have names.
    """
    canvas = Canvas(name)
    outline = part.box or Box(0, 0, part.size[0].si, part.size[1].si)
    piece = Box(0, 0, outline.width, outline.height)
    scale = fitted(piece, PHONE - _LEFT - 30, 330)
    view = View(_LEFT, _TOP, scale, piece)
    area = view.area(piece)
    canvas.text((area.x0, 20), f"{part.ref} from the front")
    canvas.path("wide", rectangle(area.x0, area.y0, area.width, area.height))
    for hole in holes:
        x, y = view.point(hole.x, hole.y)
        canvas.path("narrow", circle(x, y, max(hole.diameter / 2 * scale, 2)),
                    polyline([(x - 8, y), (x + 8, y)]),
                    polyline([(x, y - 8), (x, y + 8)]))  # fmt: skip
    xs = sorted({round(hole.x, 5) for hole in holes})
    ys = sorted({round(hole.y, 5) for hole in holes})
    skipped = _ordinates(canvas, view, xs, ys)
    canvas.path("solid", circle(area.x0, area.y1, 4))
    low = rows_of_text(canvas, _notes(part, holes, skipped), canvas.field.bottom + 8)
    return canvas.figure(
        low,
        f"Hole plan of {part.ref}: {len(holes)} holes, measured from the lower left corner",
        "; ".join(f"{n}: {millimetres(h.x)}, {millimetres(h.y)}" for n, h in enumerate(holes, 1)),
        f"Holes of {part.ref} {called(part)}. All sizes from the dotted corner.",
    )


def _ordinates(canvas: Canvas, view: View, xs: list[float], ys: list[float]) -> bool:
    """Distances from the datum corner along both edges; returns whether some found no room."""
    area, skipped = view.area(view.board), False
    low, left = area.y1 + STEP / 2, area.x0 - STEP / 2
    last = -1e9
    for value in xs:
        x = view.point(value, 0)[0]
        if x - last < TEXT:
            skipped = True
            continue
        last = x
        canvas.path("narrow", polyline([(x, area.y1 + 2), (x, low)]))
        canvas.text(
            (x + 5, low + 4 + width(millimetres(value), TEXT)), millimetres(value), turned=True
        )
    last = 1e9
    for value in ys:
        y = view.point(0, value)[1]
        if last - y < TEXT + 2:
            skipped = True
            continue
        last = y
        canvas.path("narrow", polyline([(area.x0 - 2, y), (left, y)]))
        canvas.text((left - 4, y + 5), millimetres(value), "end")
    return skipped


def _notes(part: Part, holes: Sequence[Hole], skipped: bool) -> list[str]:
    sizes = sorted({hole.diameter for hole in holes})
    notes = [f"{len(holes)} holes, diameter {', '.join(millimetres(size) for size in sizes)}"]
    if len(part.size) > 1:
        notes.append(f"Outline {part.size[0]} × {part.size[1]}; dot: datum corner")
    if skipped:
        notes += [
            f"{n}: x {millimetres(h.x)}, y {millimetres(h.y)}" for n, h in enumerate(holes, 1)
        ]
    return notes
