"""The box with its lid off, to scale: parts, terminals and conductors in their true places."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from guidegen.design.model import Model, Part, owner
from guidegen.design.solid import Box
from guidegen.diagrams.dimension import clear_leader, leader, rows_of_text, wrapped
from guidegen.diagrams.field import Area, around
from guidegen.diagrams.hung import body, detour, direction, hanging, hung
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

_SIDE, _TOP, _TALL = 116.0, 96.0, 430.0
_REACH = 22.0
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
        self.around = {part.ref: self.view.area(part.box).middle
                       for part in self.parts if part.box}  # fmt: skip
        self.unnamed: list[str] = []

    def draw(self) -> Figure:
        """Draw it."""
        canvas = self.canvas
        canvas.text((8, 20), "The box from the back, lid off; to scale", size=TITLE)
        canvas.field.top = 28.0
        self._body()
        own = {part.ref for part in self.parts} | hanging(self.model)
        mine = [link for link in links(self.model)
                if {owner(link.start), owner(link.end)} & own
                and not (link.wire and link.wire.role == "jumper")]  # fmt: skip
        names = self._lines(mine, own)
        names += [(part.ref, [self.view.area(part.box).middle])
                  for part in self.small if part.box]  # fmt: skip
        # Resistors are small, and stand close to terminals: they come before the wires.
        self._terminals(own, [one for one in names if letter(one[0]) == "R"])
        for text, places in names:
            if letter(text) != "R":
                self._name(text, places)
        also = [p for p in self.model.parts if p.ref in own and p not in self.parts]
        notes = [f"{part.ref} {called(part)}" for part in [*self.parts, *also, *self.small]]
        notes.append("Straight lines: what joins what. Lay the wires along the walls.")
        if self.unnamed:
            notes.append(f"No room for: {', '.join(self.unnamed)}.")
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
                  if p.box and p.side == "back" and not p.covers and p not in self.parts
                  and letter(p.ref) in "HU" and p.on and outer.holds(p.box, _SLIP)]  # fmt: skip
        self.small = [piece for piece in pieces if letter(piece.ref) != "U"]
        for one in nearest_last(seen([*pieces, *self.parts], "back")):
            if one.part.box:
                style = "plate" if letter(one.part.ref) == "U" else "tinted"
                canvas.box(style, self.view.area(one.part.box))

    def _lines(self, mine: Sequence[Link], own: set[str]) -> list[tuple[str, list[Point]]]:
        """A line for each conductor and each hanging resistor; what they are called, and where.

        What leaves the box passes its hole, and ends in an arrow with its far end in words.
        """
        names: list[tuple[str, list[Point]]] = []
        ties: dict[str, int] = {}
        for link in mine:
            keys = [key for key in (link.start, link.end) if owner(key) in own]
            start = self.places.get(keys[0])
            far = link.end if keys[0] == link.start else link.start
            if start is None:
                continue
            end = self.places.get(far)
            if end is None or not self.edge.holds(*end):
                self._leaving(link, start, end, far)
                continue
            points = [start, end]
            if owner(far) == owner(keys[0]):
                # From terminal to terminal of one part: led out of the way, or nobody sees it.
                number = ties[owner(far)] = ties.get(owner(far), 0) + 1
                points = detour(start, end, self._away(far, start, end), 16.0 * number)
            self.canvas.line(_style(link), points)
            one, other = points[-2:] if len(points) == 2 else points[1:3]
            if link.wire is None:
                body(self.canvas, one, other)
            names.append((f"{link.ref} {minus(link.polarity)}".strip(), _along(one, other)))
        drawn = {link.ref for link in mine}
        for ref, a, b in hung(self.model):
            if ref not in drawn:
                names.append((ref, [body(self.canvas, self.view.point(*a), self.view.point(*b))]))
        return names

    def _away(self, key: str, start: Point, end: Point) -> Point:
        """Square to a short join, away from the part whose terminals it joins."""
        along = direction(start, end)
        n = (along[1], -along[0])
        at = self.around.get(owner(key), self.edge.middle)
        inward = (at[0] - start[0]) * n[0] + (at[1] - start[1]) * n[1] > 0
        return (-n[0], -n[1]) if inward else n

    def _leaving(self, link: Link, start: Point, end: Point | None, far: str) -> None:
        """A conductor that leaves the box: over its hole in the wall to beyond the edge."""
        hole = self._hole(link)
        right = (hole or end or start)[0] >= self.edge.middle[0]
        out = self._outside(hole or start, right)
        self.canvas.line(_style(link), [start, *([hole] if hole else []), out])
        self.canvas.path("solid", arrow(out, 0 if right else 180, 6))
        x, align = (out[0] + 6, "start") if right else (out[0] - 6, "end")
        self.canvas.text((x, out[1] - 3), f"{link.ref} {minus(link.polarity)}".strip(), align)
        self.canvas.text((x, out[1] + 11), f"to {minus(far)}", align, SMALL)

    def _hole(self, link: Link) -> Point | None:
        """Where a conductor passes a wall: its own hole, else the sleeve for its kind."""
        for part in self.model.by_role("wall"):
            for hole in part.solid.holes if part.solid else ():
                if hole.holds == link.ref:
                    return self.view.point(*hole.at[:2])
        feed = link.wire is not None and link.wire.role == "feed"
        sleeves = [part.box for part in self.small if "grommet" in part.role and part.box
                   and part.role.startswith("feed") is feed]  # fmt: skip
        return self.view.area(sleeves[0]).middle if sleeves else None

    def _outside(self, start: Point, right: bool) -> Point:
        """Where a conductor that leaves the box is cut off: level with where it passes the wall."""
        x = self.edge.x1 + _REACH if right else self.edge.x0 - _REACH
        y = min(max(start[1], self.edge.y0 + 8), self.edge.y1 - 8)
        tries = [y + way * step for step in range(0, 600, 6) for way in (1, -1)]
        y = next(t for t in tries if t > 48 and not any(
            abs(t - other) < 36 and x == at for at, other in self.used))  # fmt: skip
        self.used.append((x, y))
        return x, y

    def _terminals(self, own: set[str], first: Sequence[tuple[str, list[Point]]]) -> None:
        """A ring at each terminal, then all names: beside it, or with a line to it."""
        found = [(key, at) for key, at in self.places.items() if owner(key) in own]
        for _, at in found:
            ring(self.canvas, *at)
            self.canvas.field.take(Area(at[0] - 3, at[1] - 3, at[0] + 3, at[1] + 3))
        for part in self.parts:
            if part.box:
                middle = self.view.area(part.box).middle
                spot = self.canvas.field.spot(part.ref, TEXT, [middle])
                if spot:
                    self.canvas.text(spot, part.ref, "middle")
                else:
                    self._name(part.ref, [middle])
        for text, places in first:
            self._name(text, places)
        spots = [at for _, at in found]
        # Where they stand closest the room is scarcest: those are named first.
        crowded = sorted(found, key=lambda one: min(
            (hypot(one[1][0] - x, one[1][1] - y) for x, y in spots if (x, y) != one[1]),
            default=0.0))  # fmt: skip
        for key, (x, y) in crowded:
            text = minus(pin(key))
            near = [at for at in around(x, y, 9, 2) if self.edge.holds(*at)
                    and 0 < hypot(at[0] - x, at[1] - y) < 25]  # fmt: skip
            spot = self.canvas.field.spot(text, SMALL, near)
            if spot:
                self.canvas.text(spot, text, "middle", SMALL)
            else:
                self._name(minus(key), [(x, y)])

    def _name(self, text: str, places: Sequence[Point]) -> None:
        """A name with a line to one of its places; where nothing is free, in the list below."""
        tries = [(at, reach) for reach in (12, 17, 25, 36, 50) for at in places]
        if not any(clear_leader(self.canvas, at, text, reach) for at, reach in tries) and not any(
            leader(self.canvas, at, text, reach=reach) for at, reach in tries
        ):
            self.unnamed.append(text)


def _style(link: Link) -> str:
    return {"+": "wide", "-": "minus"}.get(link.polarity, "signal")


def _along(start: Point, end: Point) -> list[Point]:
    """Points of a line that its name may point to, the middle first."""
    return [(start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
            for share in (0.5, 0.38, 0.62, 0.25, 0.75, 0.15, 0.85)]  # fmt: skip
