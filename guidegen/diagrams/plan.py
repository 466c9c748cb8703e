"""The box with its lid off, to scale: parts, terminals and conductors in their true places."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from guidegen.design.model import Model, Part, owner
from guidegen.design.solid import Box
from guidegen.diagrams.dimension import inside, leader, rows_of_text, wrapped
from guidegen.diagrams.field import Area, around
from guidegen.diagrams.metrics import clip
from guidegen.diagrams.solids import nearest_last, root, seen
from guidegen.diagrams.source import (
    DesignLike,
    Link,
    called,
    letter,
    links,
    minus,
    pin,
    ranges,
    union,
)
from guidegen.diagrams.style import SHEET, SMALL, TEXT, TITLE
from guidegen.diagrams.svg import Canvas, Figure, Point, arrow
from guidegen.diagrams.symbols import ring
from guidegen.diagrams.view import View, fitted

_SIDE, _TOP, _TALL = 176.0, 52.0, 430.0
_REACH = 26.0
"""How far a conductor that leaves the box is drawn beyond it."""
_SLIP = 1e-6
"""Less than this is a slip of rounding: a wall stands on the edge of the case. [m]."""


def electrics(model: Model) -> list[Part]:
    """Parts with terminals and a place on the back, that something carries."""
    joined = {terminal.part for terminal in model.terminals}
    return [
        part for part in model.parts
        if part.ref in joined and part.box and part.side == "back" and part.on
        and letter(part.ref) not in "EWU" and root(model, part).made
    ]  # fmt: skip


def case(model: Model) -> Box | None:
    """The outline of what covers the electrics; else of the electrics themselves."""
    parts = electrics(model)
    roles = {part.role for part in parts}
    lids = [p.box for p in model.parts if p.side == "back" and set(p.covers) & roles]
    return union(lids) or union(part.box for part in parts)


def plan(design: DesignLike) -> Figure | None:
    """Draw the box; None where fewer than two parts have a place in it."""
    outer = case(design.model)
    if outer is None or len(electrics(design.model)) < 2:
        return None
    return _Plan(design, outer).draw()


class _Plan:
    """The drawing in the making."""

    def __init__(self, design: DesignLike, outer: Box) -> None:
        self.model = design.model
        self.parts = electrics(self.model)
        self.canvas = Canvas("wiring-plan", SHEET)
        scale = fitted(outer, SHEET - 2 * _SIDE, _TALL)
        left = (SHEET - outer.width * scale) / 2
        self.view = View(left, _TOP, scale, outer, mirrored=True)
        self.edge = self.view.area(outer)
        self.used: list[Point] = []
        self.places = {t.key: self.view.point(*t.at) for t in self.model.terminals if t.at}

    def draw(self) -> Figure:
        """Draw it."""
        canvas = self.canvas
        canvas.text((8, 20), "The box from the back, lid off; to scale", size=TITLE)
        self._body()
        own = {part.ref for part in self.parts}
        mine = [link for link in links(self.model)
                if {owner(link.start), owner(link.end)} & own
                and not (link.wire and link.wire.role == "jumper")]  # fmt: skip
        lines = self._lines(mine, own)
        self._terminals(own)
        for link, start, end in lines:
            self._label(link, start, end)
        notes = [f"{part.ref} {called(part)}" for part in self.parts]
        notes.append("Straight lines: what joins what. Lay the wires along the walls.")
        low = rows_of_text(
            canvas, wrapped(notes, SHEET - 16), max(canvas.field.bottom, self.edge.y1) + 10
        )
        return canvas.figure(
            low,
            f"Plan of the box from the back, to scale: {ranges(sorted(own))} with their wires",
            "; ".join(f"{link.marks}: {link.start} to {link.end}" for link in mine),
            "The box from the back, to scale. Names and colours of all ends: the next figure.",
        )

    def _body(self) -> None:
        """Walls and posts, then what they hold."""
        canvas, outer = self.canvas, self.view.board
        canvas.box("body", self.edge)
        pieces = [p for p in self.model.parts
                  if p.box and p.side == "back" and not p.covers and letter(p.ref) == "U"
                  and outer.holds(p.box, _SLIP)]  # fmt: skip
        for one in nearest_last(seen([*pieces, *self.parts], "back")):
            if one.part.box:
                style = "plate" if letter(one.part.ref) == "U" else "tinted"
                canvas.box(style, self.view.area(one.part.box))

    def _lines(self, mine: Sequence[Link], own: set[str]) -> list[tuple[Link, Point, Point]]:
        """A straight line for each conductor; what leaves the box ends in an arrow."""
        drawn = []
        for link in mine:
            keys = [key for key in (link.start, link.end) if owner(key) in own]
            start = self.places.get(keys[0])
            far = link.end if keys[0] == link.start else link.start
            if start is None:
                continue
            end = self.places.get(far)
            style = {"+": "wide", "-": "minus"}.get(link.polarity, "signal")
            if end is None or not self.edge.holds(*end):
                end = self._outside(start, end)
                self.canvas.line(style, [start, end])
                right = end[0] > self.edge.middle[0]
                self.canvas.path("solid", arrow(end, 0 if right else 180, 6))
                text = f"{link.ref} {minus(link.polarity)} to {minus(far)}"
                at = (end[0] + (6 if right else -6), end[1] + 4)
                self.canvas.text(at, clip(text, TEXT, _SIDE - _REACH - 8),
                                 "start" if right else "end")  # fmt: skip
                continue
            self.canvas.line(style, [start, end])
            drawn.append((link, start, end))
        return drawn

    def _outside(self, start: Point, end: Point | None) -> Point:
        """Where a conductor that leaves the box is cut off: level with its far end."""
        right = (end[0] if end else start[0]) >= self.edge.middle[0]
        x = self.edge.x1 + _REACH if right else self.edge.x0 - _REACH
        y = end[1] if end else start[1]
        y = min(max(y, self.edge.y0 + 8), self.edge.y1 - 8)
        while any(abs(y - other) < 18 and x == at for at, other in self.used):
            y += 6
        self.used.append((x, y))
        return x, y

    def _terminals(self, own: set[str]) -> None:
        """A ring at each terminal, then names as far as there is room."""
        found = [(key, at) for key, at in self.places.items() if owner(key) in own]
        for _, at in found:
            ring(self.canvas, *at)
            self.canvas.field.take(Area(at[0] - 3, at[1] - 3, at[0] + 3, at[1] + 3))
        for part in self.parts:
            if part.box:
                inside(self.canvas, self.view.area(part.box).middle, part.ref)
        for key, (x, y) in found:
            spot = self.canvas.field.spot(
                minus(pin(key)), SMALL, (at for at in around(x, y, 9, 2) if at != (x, y))
            )
            if spot:
                self.canvas.text(spot, minus(pin(key)), "middle", SMALL)

    def _label(self, link: Link, start: Point, end: Point) -> None:
        """The number beside its line."""
        text = f"{link.ref} {minus(link.polarity)}".strip()
        long = hypot(end[0] - start[0], end[1] - start[1]) or 1.0
        nx, ny = (end[1] - start[1]) / long, (start[0] - end[0]) / long
        spots = []
        for share in (0.5, 0.35, 0.65, 0.25, 0.75):
            x, y = (a + share * (b - a) for a, b in zip(start, end, strict=True))
            spots += [(x + way * nx * 22, y + way * ny * 10) for way in (1, -1)]
        found = self.canvas.field.spot(text, TEXT, spots)
        if found:
            self.canvas.text(found, text, "middle")
        else:
            x, y = (a + 0.5 * (b - a) for a, b in zip(start, end, strict=True))
            leader(self.canvas, (x, y), text, reach=12)
