"""Resistors that hang between two terminals by their own legs: the model has no place for them."""

from __future__ import annotations

from math import hypot

from guidegen.design.model import Model
from guidegen.diagrams.source import links
from guidegen.diagrams.svg import Canvas, Point, polyline

Hung = tuple[str, Point, Point]


def hung(model: Model) -> list[Hung]:
    """Each such part with the places of its two legs, as far as the model knows them."""
    places = {terminal.key: terminal.at for terminal in model.terminals}
    terminals: dict[str, list[str]] = {}
    for terminal in model.terminals:
        terminals.setdefault(terminal.part, []).append(terminal.key)
    ends = {link.ref: (link.start, link.end) for link in links(model) if link.wire is None}
    for part in model.parts:
        own = terminals.get(part.ref, [])
        if part.box is None and part.on and len(own) == 2:
            ends.setdefault(part.ref, (own[0], own[1]))
    found = []
    for ref, (start, end) in ends.items():
        one, other = places.get(start), places.get(end)
        if one and other:
            found.append((ref, one, other))
    return found


def hanging(model: Model) -> set[str]:
    """References of the parts that hang so."""
    return {ref for ref, _, _ in hung(model)}


def direction(start: Point, end: Point) -> Point:
    """Unit vector from one point to another; none where they are one."""
    long = hypot(end[0] - start[0], end[1] - start[1]) or 1.0
    return (end[0] - start[0]) / long, (end[1] - start[1]) / long


def detour(start: Point, end: Point, way: Point, out: float) -> list[Point]:
    """A short join led out of the way: four points, the second and third apart enough to see."""
    x, y = (start[0] + end[0]) / 2 + way[0] * out, (start[1] + end[1]) / 2 + way[1] * out
    half = max(hypot(end[0] - start[0], end[1] - start[1]) / 2, 12.0)
    along = direction(start, end)
    return [start, (x - along[0] * half, y - along[1] * half),
            (x + along[0] * half, y + along[1] * half), end]  # fmt: skip


def body(canvas: Canvas, start: Point, end: Point, style: str = "body") -> Point:
    """A resistor's body in the middle of a straight line; returns its middle."""
    u = direction(start, end)
    x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    half = min(max(hypot(end[0] - start[0], end[1] - start[1]) / 2 - 3, 5.0), 12.0)
    corners = [(x + a * u[0] * half - b * u[1] * 4, y + a * u[1] * half + b * u[0] * 4)
               for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]  # fmt: skip
    canvas.shape(style, polyline(corners, close=True))
    for number, corner in enumerate(corners):
        canvas.field.line(corners[number - 1], corner)
    return x, y


def hung_resistor(canvas: Canvas, start: Point, end: Point, style: str = "body") -> Point:
    """Legs and body from terminal to terminal; returns the body's middle."""
    canvas.line("narrow" if style != "ghost" else "faint", [start, end])
    return body(canvas, start, end, style)
