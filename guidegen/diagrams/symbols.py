"""Graphical symbols after IEC 60617 (from memory), each drawn about a middle point.

Two-terminal symbols reach `REACH` to the left and right of their middle; their wires begin there.
"""

from __future__ import annotations

from guidegen.diagrams.field import Area
from guidegen.diagrams.svg import Canvas, arrow, circle, polyline, rectangle

REACH = 17


def resistor(canvas: Canvas, x: float, y: float) -> None:
    """A rectangle, twice as long as high or more."""
    canvas.box("body", Area(x - REACH, y - 6, x + REACH, y + 6))


def fuse(canvas: Canvas, x: float, y: float) -> None:
    """A rectangle with the conductor through it."""
    resistor(canvas, x, y)
    canvas.line("wide", [(x - REACH, y), (x + REACH, y)])


def switch(canvas: Canvas, x: float, y: float) -> None:
    """A make contact, drawn open."""
    canvas.line("wide", [(x - REACH, y), (x - 10, y)])
    canvas.line("wide", [(x + 10, y), (x + REACH, y)])
    canvas.line("wide", [(x - 10, y), (x + 8, y - 11)])


def cut_off(canvas: Canvas, x: float, y: float) -> None:
    """A make contact, opened by a device that watches for low voltage."""
    switch(canvas, x, y)
    canvas.box("body", Area(x - REACH, y + 12, x + REACH, y + 32))
    canvas.path("hidden", polyline([(x, y + 12), (x, y - 5)]))
    canvas.text((x, y + 27), "U <", "middle")


def thermal_cut_out(canvas: Canvas, x: float, y: float) -> None:
    """A break contact, drawn closed, with the bent strip that opens it by its own warmth."""
    canvas.line("wide", [(x - REACH, y), (x - 10, y)])
    canvas.line("wide", [(x + 8, y - 11), (x + 8, y), (x + REACH, y)])
    canvas.line("wide", [(x - 10, y), (x + 11, y - 9)])
    canvas.path("wide", polyline([(x - 5, y - 2.4), (x - 5, y + 5), (x + 1, y + 5),
                                  (x + 1, y + 1), (x + 7, y + 1), (x + 7, y + 5)]))  # fmt: skip


def contact(canvas: Canvas, x: float, y: float) -> None:
    """A socket and a plug: the arc on the supply's side, which stays live; the bar in it goes on.

    The contact that is live when both are apart is the one that no finger reaches.
    """
    canvas.line("wide", [(x - REACH, y), (x - 6, y)])
    canvas.path("wide", f"M{x + 2:.1f} {y - 8:.1f}a8 8 0 0 0 0 16")
    canvas.path("solid", rectangle(x - 1, y - 3, 14, 6))
    canvas.line("wide", [(x + 13, y), (x + REACH, y)])
    canvas.field.take(Area(x - 6, y - 8, x + 13, y + 8))


def battery(canvas: Canvas, x: float, top: float, low: float) -> None:
    """Two cells, the long thin line positive, on a vertical wire."""
    middle = (top + low) / 2
    canvas.line("wide", [(x, top), (x, middle - 15)])
    canvas.line("wide", [(x, middle + 15), (x, low)])
    canvas.path("narrow", polyline([(x - 16, middle - 15), (x + 16, middle - 15)]),
                polyline([(x - 16, middle + 5), (x + 16, middle + 5)]))  # fmt: skip
    for y in (middle - 5, middle + 15):
        canvas.line("new", [(x - 8, y), (x + 8, y)])
    canvas.path("hidden", polyline([(x, middle - 5), (x, middle + 5)]))


def converter(canvas: Canvas, area: Area, before: str, after: str) -> None:
    """A rectangle cut by a diagonal: what goes in upper left, what comes out lower right."""
    canvas.box("body", area)
    canvas.line("narrow", [(area.x0, area.y1), (area.x1, area.y0)])
    for kind, x, y in ((before, area.x0 + 13, area.y0 + 13), (after, area.x1 - 13, area.y1 - 13)):
        _current(canvas, kind, x, y)


def _current(canvas: Canvas, kind: str, x: float, y: float) -> None:
    """The sign of direct (=), alternating (~) or chopped current, in strokes."""
    if kind == "pulse":
        canvas.path("wide", f"M{x - 7:.1f} {y + 4:.1f}v-8h4v8h4v-8h4v8h3")
    elif kind == "~":
        canvas.path("wide", f"M{x - 7:.1f} {y:.1f}c3 -8 5 -5 7 0s4 8 7 0")
    else:
        canvas.path("wide", polyline([(x - 7, y - 2.5), (x + 7, y - 2.5)]))
        canvas.path("wide", polyline([(x - 7, y + 2.5), (x - 3.5, y + 2.5)]),
                    polyline([(x - 1.8, y + 2.5), (x + 1.8, y + 2.5)]),
                    polyline([(x + 3.5, y + 2.5), (x + 7, y + 2.5)]))  # fmt: skip
    canvas.field.take(Area(x - 8, y - 7, x + 8, y + 7))


def led(canvas: Canvas, x: float, top: float) -> float:
    """A light-emitting diode on a vertical wire, current downwards; returns its lower end."""
    canvas.shape("body", polyline([(x - 7, top), (x + 7, top), (x, top + 12)], close=True))
    canvas.line("wide", [(x - 7, top + 12), (x + 7, top + 12)])
    for y in (top + 2, top + 9):
        canvas.path("narrow", polyline([(x + 8, y + 3), (x + 17, y - 3)]))
        canvas.path("solid", arrow((x + 18, y - 3.6), -34, 4))
    return top + 12


def upright_resistor(canvas: Canvas, x: float, y: float, half: float = 10) -> None:
    """A resistor on a vertical wire."""
    canvas.box("body", Area(x - 4.5, y - half, x + 4.5, y + half))


def round_part(canvas: Canvas, x: float, y: float, letter: str) -> None:
    """What hangs between the lines: a motor with its M, a lamp with a cross, else its letter."""
    canvas.shape("body", circle(x, y, 16))
    canvas.field.take(Area(x - 16, y - 16, x + 16, y + 16))
    if letter == "P":
        canvas.path("wide", polyline([(x - 11, y - 11), (x + 11, y + 11)]),
                    polyline([(x - 11, y + 11), (x + 11, y - 11)]))  # fmt: skip
    else:
        canvas.text((x, y + 5), letter, "middle")


def ring(canvas: Canvas, x: float, y: float) -> None:
    """A terminal."""
    canvas.shape("plate", circle(x, y, 3))


def through(canvas: Canvas, x: float, y: float) -> None:
    """A hole that a conductor goes through: a crossed circle."""
    canvas.shape("body", circle(x, y, 5))
    canvas.path("narrow", polyline([(x - 3.5, y - 3.5), (x + 3.5, y + 3.5)]),
                polyline([(x - 3.5, y + 3.5), (x + 3.5, y - 3.5)]))  # fmt: skip
