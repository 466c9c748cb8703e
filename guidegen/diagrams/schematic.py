"""The schematic: source from the left, rows to the right, control network below its converter.

Two lines run through every figure, positive above negative. What does not fit beside the rest
goes on to the next figure, with the number of each conductor that leads there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from guidegen.design.model import Conductor, Model, Part, owner
from guidegen.diagrams.dimension import rows_of_text, wrapped
from guidegen.diagrams.metrics import clip
from guidegen.diagrams.schematic_control import network, reach
from guidegen.diagrams.schematic_parts import (
    MINUS,
    PLUS,
    TAPS,
    Pins,
    draw_part,
    draw_shunt,
    kind_of,
    ways,
)
from guidegen.diagrams.schematic_rows import drawn_rows, feed_room, panel, rail_sides, width_of
from guidegen.diagrams.source import DesignLike, Link, letter, links, minus, ranges
from guidegen.diagrams.style import SHEET, SMALL
from guidegen.diagrams.svg import Canvas, Figure, arrow

#: Parts that are drawn with the rows, as the control network, or not at all.
_ELSEWHERE = "UHEWR"
_WIDTHS = {"source": 52.0, "converter": 114.0, "device": 120.0, "shunt": 64.0}
_NARROW, _WIDE = 60.0, 92.0
"""Least and greatest room of a part in one line, or of a connector."""
_RESISTOR, _LEAST_RESISTOR = 110.0, 40.0
"""More room for a resistor in the conductor of a tap: usual, and where the rest needs it."""
_EDGE = 72.0
"""Room for the conductors that go on in another figure."""


@dataclass(frozen=True)
class Strip:
    """What one figure shows."""

    parts: tuple[Part, ...]
    last: bool
    """Rails and rows stand at its end."""
    lead_in: float
    pitch: float
    squeezed: float
    """What a tap's resistor gives up of its room; none, or below zero."""


def schematic(design: DesignLike) -> list[Figure]:
    """Draw the whole circuit as `schematic`, `schematic-2`, ...

    Of equal rows the first and the last are drawn, with their jumpers.
    """
    parts = chain_parts(design.model)
    if not parts:
        return []
    strips = _strips(design, parts)
    every = links(design.model)
    return [_Sheet(design, strips, number, every).draw() for number in range(len(strips))]


def chain_parts(model: Model) -> list[Part]:
    """Parts of the circuit as the current flows, each tap behind what feeds it."""
    joined = {terminal.part for terminal in model.terminals}
    found = [p for p in model.parts if p.ref in joined and p.ref[:1] not in _ELSEWHERE]
    shunts = [part for part in found if kind_of(model, part) == "shunt"]
    chain = [part for part in found if part not in shunts]
    refs = [part.ref for part in chain]
    feeds = {part.ref: [owner(far) for _, _, far in ways(model, part, set(refs))]
             for part in shunts}  # fmt: skip
    for part in reversed(shunts):
        # What hangs on another tap has its current from what feeds that one.
        fed = [ref for one in (part.ref, *feeds[part.ref]) for ref in feeds.get(one, ())]
        feeder = next((ref for ref in fed if ref in refs and ref not in feeds), "")
        at = refs.index(feeder) + 1 if feeder else len(chain)
        chain.insert(at, part)
        refs.insert(at, part.ref)
    return chain


def _strips(design: DesignLike, parts: Sequence[Part]) -> list[Strip]:
    """Share the parts out over figures: the rows with what feeds them, one network a figure."""
    model = design.model
    sides = rail_sides(model)
    tail = feed_room(sides) + width_of(sides) + 28
    groups: list[list[Part]] = [[]]
    units: list[list[Part]] = []
    for part in parts:  # what hangs on a part stays beside it
        if units and kind_of(model, part) == "shunt" and not _shunts(model, units[-1]):
            units[-1].append(part)
        else:
            units.append([part])
    if len(units) > 1 and kind_of(model, units[-1][0]) == "shunt":
        # The rows stand with what feeds them: of two taps there, one makes room before it.
        units[-2:] = [units[-1], units[-2]]
    for number, unit in enumerate(units):
        wanted = [*groups[-1], *unit]
        nets = sum(bool(reach(model, part)) for part in wanted)
        room = SHEET - (tail if number + 1 == len(units) else _EDGE)
        # Two that hang between the lines would lie over one another.
        crowded = nets > 1 or _shunts(model, wanted) > 1
        if groups[-1] and (crowded or _least(model, wanted) > room):
            groups.append(unit)
        else:
            groups[-1] = wanted
    strips = []
    for number, group in enumerate(groups):
        last = number + 1 == len(groups)
        fixed, loose = _room(model, group)
        free = SHEET - fixed - (tail if last else _EDGE)
        pitch = min(_WIDE, max(_NARROW, free / max(loose, 1)))
        # A tap's resistor gives way where the rows would stand beyond the sheet.
        squeezed = min(0.0, max(free - loose * _NARROW, _LEAST_RESISTOR - _RESISTOR))
        strips.append(Strip(tuple(group), last, _lead_in(model, group), pitch, squeezed))
    return strips


def _shunts(model: Model, parts: Sequence[Part]) -> int:
    """How many of these hang between the lines."""
    return sum(kind_of(model, part) == "shunt" for part in parts)


def _lead_in(model: Model, group: Sequence[Part]) -> float:
    """Room at the left of a figure: for what comes in, and for a network that reaches left."""
    if kind_of(model, group[0]) == "source":
        return 0.0
    return 150.0 if reach(model, group[0]) else _EDGE


def _room(model: Model, group: Sequence[Part]) -> tuple[float, int]:
    """Width of what has a fixed one, and how many parts have none."""
    kinds = [kind_of(model, part) for part in group]
    fixed = sum(_wide(model, part) for part in group) + _lead_in(model, group)
    return fixed, sum(kind not in _WIDTHS for kind in kinds)


def _wide(model: Model, part: Part) -> float:
    """Room of a part that has a fixed one; a tap's resistors lie in its conductor."""
    kind = kind_of(model, part)
    more = 0.0
    if kind == "shunt":
        more = _RESISTOR * sum(len(links) - 1 for _, links, _ in ways(model, part, set()))
    return _WIDTHS.get(kind, 0.0) + more


def _least(model: Model, group: Sequence[Part]) -> float:
    fixed, loose = _room(model, group)
    return fixed + loose * _NARROW


class _Sheet:
    """One figure in the making."""

    def __init__(
        self, design: DesignLike, strips: Sequence[Strip], number: int, every: Sequence[Link]
    ) -> None:
        self.design, self.model, self.every = design, design.model, every
        self.strips, self.number, self.strip = strips, number, strips[number]
        name = "schematic" if number == 0 else f"schematic-{number + 1}"
        self.canvas = Canvas(name, SHEET)
        self.pins = Pins()
        self.drawn: set[str] = set()
        self.own = {part.ref for part in self.strip.parts}
        self.sides = rail_sides(self.model)
        self.reached = {part.ref: reach(self.model, part)
                        for strip in strips for part in strip.parts}  # fmt: skip

    def draw(self) -> Figure:
        """Draw it."""
        canvas, model = self.canvas, self.model
        x = self.strip.lead_in
        shunts = []
        for part in self.strip.parts:
            room = _wide(model, part) or self.strip.pitch
            if kind_of(model, part) == "shunt":
                if any(len(path) > 1 for _, path, _ in ways(model, part, self.own)):
                    room += self.strip.squeezed
                shunts.append((part, x + room - 28))
            else:
                draw_part(canvas, self.design, part, x, room, self.pins)
            x += room
        self._mates()
        self._straight({part.ref for part, _ in shunts})
        for number, (part, middle) in enumerate(shunts):
            edge = self._edge_of(part)
            self.drawn |= draw_shunt(canvas, self.design, part, (middle, number, edge), self.pins)
        low = MINUS
        if self.strip.last:
            feeds = feed_room(self.sides)
            low = max(low, panel(canvas, self.design, self.pins.right, x + feeds, self.sides))
            self.drawn |= {w.ref for w in model.conductors if w.role in ("jumper", "feed")}
        for part in self.strip.parts:
            if self.reached[part.ref]:
                under, more = network(canvas, self.design, self.pins.right, self.every, part)
                low, self.drawn = max(low, under), self.drawn | more
        self._onward()
        low = max(low, canvas.field.bottom) + 8
        low = rows_of_text(canvas, wrapped(self._notes(), SHEET - 16), low)
        return self._figure(low)

    def _figure(self, low: float) -> Figure:
        """Close it."""
        first, last = self.strip.parts[0].ref, self.strip.parts[-1].ref
        rows = ranges(part.ref for part in self.model.by_role("row"))
        end = f"rows {rows}" if self.strip.last and rows else last
        mine = [link for link in self.every if link.ref in self.drawn]
        part = f" {self.number + 1}" if len(self.strips) > 1 else ""
        return self.canvas.figure(
            low,
            f"Schematic{part}: {first} to {end}, every part, terminal and wire numbered",
            "; ".join(f"{link.marks}: {link.start} to {link.end}" for link in mine[:200]),
            f"Schematic{part}. A dot is a join; lines that cross without a dot do not join.",
        )

    def _mates(self) -> None:
        """A plug that goes into the source joins it without a conductor."""
        sources = [p for p in self.strip.parts if kind_of(self.model, p) == "source"]
        plugs = [p for p in self.strip.parts if kind_of(self.model, p) == "pair"]
        joined = {owner(key) for link in self.every for key in (link.start, link.end)}
        if not sources or not plugs or sources[0].ref in joined:
            return
        for key, (x, y) in self.pins.left.items():
            if owner(key) == plugs[0].ref:
                ends = [at for other, at in self.pins.right.items()
                        if owner(other) == sources[0].ref and at[1] == y]  # fmt: skip
                self.canvas.line("wide", [*ends, (x, y)])

    def _straight(self, aside: set[str]) -> None:
        """Conductors whose ends lie on one of the two lines, with nothing between them."""
        for link in self.every:
            if {owner(link.start), owner(link.end)} & aside:
                continue
            ends = sorted((self.pins.right[key][0], key) for key in (link.start, link.end)
                          if key in self.pins.right)  # fmt: skip
            if len(ends) < 2:
                continue
            a, b = self.pins.right[ends[0][1]], self.pins.left[ends[1][1]]
            if a[1] != b[1] or a[1] not in (PLUS, MINUS) or self._blocked(a, b):
                continue
            self.canvas.line("wide", [a, b])
            self._label(link.ref, (a[0] + b[0]) / 2, a[1])
            self.drawn.add(link.ref)

    def _blocked(self, a: tuple[float, float], b: tuple[float, float]) -> bool:
        """Whether another terminal lies on the line between two."""
        return any(y == a[1] and a[0] < x < b[0] for x, y in self.pins.left.values())

    def _label(self, text: str, x: float, y: float) -> None:
        spots = [(x + dx, y + dy) for dy in (-11, 11) for dx in (0, -8, 8, -16, 16)]
        found = self.canvas.field.spot(text, SMALL + 1.5, spots)
        self.canvas.text(found or (x, y - 6), text, "middle")

    def _onward(self) -> None:
        """Conductors that go on in another figure: number above the line, far terminal below."""
        here = {key for key in self.pins.right if owner(key) in self.own}
        sides: dict[tuple[str, bool], list[tuple[Link, str, str]]] = {}
        for link in self.every:
            near = [key for key in (link.start, link.end) if key in here]
            far = [key for key in (link.start, link.end) if key not in here]
            if len(near) != 1 or link.ref in self.drawn or link.wire is None:
                continue
            page = self._page_of(owner(far[0]))
            if page is None or page == self.number:
                continue
            sides.setdefault((near[0], page > self.number), []).append((link, near[0], far[0]))
        for (key, onward), found in sides.items():
            x, y = (self.pins.right if onward else self.pins.left)[key]
            if y not in (PLUS, MINUS, *TAPS):
                continue
            edge = SHEET - 8.0 if onward else 8.0
            self.canvas.line("wide", [(x, y), (edge, y)])
            self.canvas.path("solid", arrow((edge if onward else edge + 8, y), 0, 6))
            align = "end" if onward else "start"
            names = ", ".join(minus(other) for _, _, other in found)
            self.canvas.text((edge, y - 7), ranges(link.ref for link, _, _ in found), align, SMALL)
            self.canvas.text((edge, y + 17), clip(names, SMALL, 150), align, SMALL)
            self.drawn |= {link.ref for link, _, _ in found}

    def _edge_of(self, part: Part) -> float:
        """The edge towards the figure with what feeds a tap."""
        pages = [self._page_of(owner(far)) for _, _, far in ways(self.model, part, self.own)]
        later = any(page is not None and page > self.number for page in pages)
        return SHEET - 8.0 if later else 8.0

    def _page_of(self, ref: str) -> int | None:
        """The figure that shows a part; rails and rows stand in the last."""
        for number, strip in enumerate(self.strips):
            if any(part.ref == ref or ref in self.reached[part.ref] for part in strip.parts):
                return number
            if any(ref in _in_ways(self.model, part) for part in strip.parts):
                return number
        rails = {part.ref for part in self.model.parts if part.role in ("rail", "row")}
        return len(self.strips) - 1 if ref in rails else None

    def _notes(self) -> list[str]:
        """What is not drawn: rows between the first and the last, sizes, conductors left over."""
        notes = []
        if self.strip.last:
            notes += _row_notes(self.model)
        else:
            notes.append(f"Arrows at the edge: goes on in schematic {self.number + 2}.")
        mine = [wire for wire in self.model.conductors if wire.ref in self.drawn]
        notes += _sizes(mine)
        if self.strip.last:
            left = [link for link in self.every if not self._somewhere(link)]
            notes += [f"{link.ref}: {link.start} to {link.end}, not drawn." for link in left]
        notes.append("Terminals that bear a name are the test points.")
        return notes

    def _somewhere(self, link: Link) -> bool:
        """Whether this figure draws a conductor, or leaves it to another."""
        pages = {self._page_of(owner(key)) for key in (link.start, link.end)}
        return link.ref in self.drawn or bool(pages - {None, self.number})


def _in_ways(model: Model, part: Part) -> set[str]:
    """Resistors in the conductors of a part that hangs between the lines."""
    if kind_of(model, part) != "shunt":
        return set()
    ends = (key for _, path, far in ways(model, part, set()) for link in path
            for key in (link.start, link.end) if key != far)  # fmt: skip
    return {owner(key) for key in ends if letter(key) == "R"}


def _row_notes(model: Model) -> list[str]:
    rows, jumpers, notes = model.by_role("row"), model.wires("jumper"), []
    drawn = [row.ref for row in drawn_rows(model)]
    for one in model.panels:
        first, *others = (row.ref for row in one.by_role("row"))
        others = [ref for ref in others if ref not in drawn]
        if others:
            notes.append(f"Rows {ranges(others)} as {first}.")
    if jumpers:
        last = "first row of each panel" if len(model.panels) > 1 else "first and last row"
        notes.append(f"Jumpers {ranges(w.ref for w in jumpers)}: as drawn at the {last}.")
    own = {row.ref for row in rows}
    free = sorted({t.name for t in model.terminals if t.unused and t.part in own})
    if free:
        notes.append(
            f"Row ends {', '.join(minus(name) for name in free)} stay free where no wire is drawn."
        )
    return notes


def _sizes(wires: Sequence[Conductor]) -> list[str]:
    """Sizes and colours of conductors, equal ones together."""
    kinds: dict[str, list[Conductor]] = {}
    for wire in wires:
        if wire.role != "jumper":
            kinds.setdefault(f"{wire.size_text} {wire.colour}", []).append(wire)
    return [f"{ranges(w.ref for w in found)}: {text}" for text, found in kinds.items()]
