"""Step pictures: what was there in thin line, what the step adds in strong line with its name."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from guidegen.design.model import Conductor, Part, owner
from guidegen.diagrams import step_window
from guidegen.diagrams.dimension import leader, rows_of_text, wrapped
from guidegen.diagrams.field import Area
from guidegen.diagrams.hung import hung, hung_resistor
from guidegen.diagrams.metrics import width
from guidegen.diagrams.rail_paths import ribbon, shown, wide
from guidegen.diagrams.solids import side_of
from guidegen.diagrams.source import DesignLike, minus, pole, ranges
from guidegen.diagrams.step_words import EACH, Probed, marks, part_lines, wire_lines
from guidegen.diagrams.style import PHONE, TEXT, stepped
from guidegen.diagrams.svg import Canvas, Figure, Point, circle, left_out, polyline, rectangle
from guidegen.diagrams.view import GAP, View, broken

_HIGH, _HALF = 260.0, 150.0
"""Most height of one view, and of each where there are two."""


def step_figure(
    design: DesignLike,
    name: str,
    new: Collection[str],
    shown: Collection[str],
    view: str,
    probes: Sequence[Probed] = (),
) -> Figure:
    """Draw one step.

    Parameters
    ----------
    design : DesignLike
        The design.
    name : str
        Name of the figure; ids begin with it.
    new, shown : collection of str
        References of parts and conductors that the step adds, and of those that were there.
    view : str
        `front`, `back`, or `both`, one below the other; the back is mirrored, and says so.
    probes : sequence of Probed
        Readings whose places are marked, as far as they lie on this side.
    """
    canvas, every = Canvas(name), design.model
    sides = ("front", "back") if view == "both" else (view,)
    there, low = set(shown) - set(new), 0.0
    drawn: set[str] = set()
    marked: list[str] = []
    for side in sides:
        high = _HIGH if len(sides) == 1 else _HALF
        scene = _Scene(design, canvas, (set(new), there), side, (low, high))
        marked = scene.draw(probes)
        drawn |= scene.drawn
        low = max(scene.low, canvas.field.bottom) + 12
    notes = [*marked, *_notes(design, set(new), drawn, view)]
    low = rows_of_text(canvas, wrapped(notes, PHONE - 16), low + 4)
    names = ranges(ref for ref in every.refs() if ref in drawn)
    return canvas.figure(
        low,
        f"Step drawing, {' and '.join(sides)}: {names} in strong line",
        f"New: {ranges(ref for ref in every.refs() if ref in new)}. There before: "
        f"{ranges(ref for ref in every.refs() if ref in there)}.",
        "Where the probes go. What is read in strong line, the rest thin."
        if probes else "New parts in strong line, the rest thin.",
    )  # fmt: skip


def _notes(design: DesignLike, new: set[str], drawn: set[str], view: str) -> list[str]:
    """What is new, in words; also what the picture can't show, and where that is."""
    model = design.model
    where = {}
    for part in model.parts:
        if part.ref not in new:
            continue
        side = side_of(model, part)
        if part.ref not in drawn and part.box is not None and view not in ("both", side):
            where[part.ref] = f"at the {side}"
        elif part.box is None and part.on:
            away = f" at the {side}" if view not in ("both", side) else ""
            where[part.ref] = f"on {part.on}{away}"
        elif part.ref not in drawn:
            where[part.ref] = "not drawn here"
    hidden = {wire.ref: "not drawn here" for wire in model.panels[0].conductors
              if wire.ref in new - drawn}  # fmt: skip
    last = _last_panel(design, new)
    other = "panel 2 is" if last == 2 else f"panels 2 to {last} are"
    alike = [f"Panel 1 is drawn; {other} alike."] if last > 1 else []
    return [*part_lines(model, new, where), *wire_lines(model, new, hidden), *alike]


def _last_panel(design: DesignLike, new: set[str]) -> int:
    """The last panel that gets something new; 0 where there is only one."""
    parts = [part.ref for part in design.model.parts if part.ref in new]
    parts += [owner(w.end) for w in design.model.conductors if w.ref in new]
    return max((design.model.part(ref).panel for ref in parts), default=0)


class _Scene:
    """One view of a step in the making."""

    def __init__(
        self,
        design: DesignLike,
        canvas: Canvas,
        refs: tuple[set[str], set[str]],
        side: str,
        place: tuple[float, float],
    ) -> None:
        # Of several panels the first is drawn: what is done to it is done to the others.
        self.model = design.model.panels[0]
        (self.new, self.shown), self.side, self.back = refs, side, side == "back"
        self.keys = {terminal.key for terminal in self.model.terminals}
        boards = [part.solid for part in self.model.by_role("board") if part.solid]
        self.hung = hung(self.model)
        self.holes = {hole.holds: hole.at[:2] for solid in boards for hole in solid.holes}
        self.canvas, self.drawn, (self.top, high) = canvas, set[str](), place
        self.bodies: dict[str, Point] = {}
        seen = [p for p in self.model.parts if self._seen(p)]
        ends = [at for wire in self.model.conductors if wire.ref in self.new
                for at in self._ends(wire)]  # fmt: skip
        window = step_window.window(self.model, (self.new, self.shown), seen, ends, self.back)
        there = [p for p in seen if p.ref in self.new | self.shown]
        scale, left_out = broken(
            window, step_window.stops(self.model, there, self.new), PHONE - 90, high
        )
        view = View(0.0, self.top + 52, scale, window, self.back, left_out)
        self.view = replace(view, left=(PHONE - view.wide) / 2)
        self.low = self.top + 52 + window.height * scale
        lids = {part.ref for part in self.model.parts if part.covers and part.side == "back"}
        self.open = lids & self.new

    def draw(self, probes: Sequence[Probed]) -> list[str]:
        """Draw it; returns the places of the probes in words."""
        self.canvas.field.top = self.top
        words = "back" if self.back else "front: light side"
        self.canvas.text((8, self.top + 20), f"Seen from the {words}")
        # Large things first, so that small ones lie on them.
        parts = sorted(
            (p for p in self.model.parts if p.ref in self.new | self.shown and self._seen(p)),
            key=lambda p: (p.ref in self.new, -_area(p)),
        )
        wires = [w for w in self.model.conductors if w.ref in self.new | self.shown]
        for fresh in (False, True):
            for part in parts:
                if (part.ref in self.new) is fresh:
                    self._part(part)
            for wire in wires:
                if (wire.ref in self.new) is fresh:
                    self._wire(wire)
            self._legs(fresh)
        whole = self.view.area(self.view.board)
        for middle in self.view.gaps():
            left_out(self.canvas, middle, GAP, (whole.y0 - 3, whole.y1 + 3))
        self._labels(parts, wires)
        return self._probes(probes)

    def _probes(self, probes: Sequence[Probed]) -> list[str]:
        """Mark where probes are held on this side; every reading in words."""
        for key, texts in marks(probes).items():
            terminal = self.model.terminal(key)
            part = self.model.part(terminal.part)
            if terminal.at is None or not self._seen(part):
                continue
            at = self.view.point(*terminal.at)
            if self._inside(at):
                self.canvas.path("solid", circle(*at, 3))
                leader(self.canvas, at, ", ".join(texts))
        return [one.said(self._spot(one.red), self._spot(one.black)) for one in probes]

    def _spot(self, key: str) -> str:
        """A terminal, and that it lies where this side does not show it."""
        part = self.model.part(owner(key))
        hidden = part.box is not None and not self._seen(part)
        away = "front" if self.back else "back"
        if hidden:
            return f"{minus(key)} (at the {away})"
        at = self.model.terminal(key).at
        seen = at is not None and self._inside(self.view.point(*at))
        return minus(key) + ("" if seen else " (beyond this picture)")

    def _seen(self, part: Part) -> bool:
        both = part.role in ("board", "border")
        return part.box is not None and (both or (part.side == "back") == self.back)

    def _beside_gaps(self, at: Point) -> Point:
        """The point, or one beside it where that lies in a break."""
        hit = any(abs(at[0] - middle) < GAP for middle in self.view.gaps())
        return (at[0] - 1.5 * GAP, at[1]) if hit else at

    def _part(self, part: Part) -> None:
        assert part.box
        new = part.ref in self.new
        area = self._clipped(self.view.area(part.box))
        if area is None:
            return
        self.drawn |= {part.ref} & self.new
        if part.line:
            self._rail(part, new)
            return
        style = "strong" if new else "ghost"
        if new and part.role in ("board", "cover"):
            style = "body"
        if part.ref in self.open:  # a lid is put over what it covers: that stays in sight
            self.canvas.path("new", rectangle(area.x0, area.y0, area.width, area.height))
        else:
            self.canvas.box(style, area)

    def _rail(self, part: Part, new: bool) -> None:
        """A rail as a line; one that is wide on the paper with its width."""
        whole = self.view.area(self.view.board).grown(0.5)
        assert part.solid
        if wide(part) * self.view.scale < 3:
            for stretch in shown([self.view.point(*at) for at in part.line], whole):
                self.canvas.line(stepped(pole(part.polarity), new), stretch)
            return
        half = wide(part) * self.view.scale / 2
        for stretch in shown([self.view.point(*at) for at in part.line], whole):
            edge = polyline(ribbon(stretch, half), close=True)
            self.canvas.shape("strong" if new else "ghost", edge)

    def _spot_of(self, part: Part, area: Area) -> Point:
        """Where the label of a part points to: its middle, of a rail that of its line."""
        if not part.bends:
            return self._beside_gaps(area.middle)
        at = self.view.point(*part.halfway)
        return at if self._inside(at) else area.middle

    def _clipped(self, area: Area) -> Area | None:
        """What of it lies inside the window."""
        whole = self.view.area(self.view.board).grown(0.5)
        cut = Area(max(area.x0, whole.x0), max(area.y0, whole.y0),
                   min(area.x1, whole.x1), min(area.y1, whole.y1))  # fmt: skip
        return cut if cut.x0 <= cut.x1 and cut.y0 <= cut.y1 else None

    def _ends(self, wire: Conductor) -> list[Point]:
        """Both ends on this side; a wire from the other side begins at its hole, if it has one."""
        found = []
        for key in (wire.start, wire.end):
            terminal = self.model.terminal(key) if key in self.keys else None
            if terminal is None or terminal.at is None:
                continue
            part = self.model.part(terminal.part)
            if part.box is None or self._seen(part):
                found.append(terminal.at)
            elif wire.ref in self.holes:
                found.append(self.holes[wire.ref])
        return found

    def _wire(self, wire: Conductor) -> None:
        ends = [self.view.point(*at) for at in self._ends(wire)]
        if len(ends) < 2 or not all(self._inside(at) for at in ends):
            return
        new = wire.ref in self.new
        self.drawn |= {wire.ref} & self.new
        style = stepped(pole(wire.polarity), new)
        if new:
            self.canvas.line(style, ends)
        else:
            self.canvas.path(style, polyline(ends))

    def _inside(self, at: Point) -> bool:
        whole = self.view.area(self.view.board)
        return whole.x0 - 1 <= at[0] <= whole.x1 + 1 and whole.y0 - 1 <= at[1] <= whole.y1 + 1

    def _legs(self, fresh: bool) -> None:
        """Parts without a place that hang between two terminals by their own legs."""
        for ref, start, end in self.hung:
            if ref not in self.new | self.shown or (ref in self.new) is not fresh:
                continue
            one, other = self.view.point(*start), self.view.point(*end)
            if self.back and self._inside(one) and self._inside(other):
                style = "strong" if fresh else "ghost"
                self.bodies[ref] = hung_resistor(self.canvas, one, other, style)
                self.drawn |= {ref} & self.new

    def _labels(self, parts: Iterable[Part], wires: Iterable[Conductor]) -> None:
        """One label a new thing, or one for all of a kind where there are many."""
        for found in self._named(parts, wires).values():
            if len(found) > EACH:
                refs = {ref for ref, _ in found}
                found = [(ranges(r for r in self.model.refs() if r in refs), found[0][1])]
            for text, at in found:
                self._label(", ".join([text, *self._small(text)]), at)
        for ref in sorted(self.bodies.keys() & self.new):
            self._label(ref, self.bodies[ref])
        self._hosts(parts, wires)
        self._screws()

    def _named(
        self, parts: Iterable[Part], wires: Iterable[Conductor]
    ) -> dict[str, list[tuple[str, Point]]]:
        """What is new and drawn, by role, and where its label belongs."""
        groups: dict[str, list[tuple[str, Point]]] = {}
        for part in parts:
            area = self._clipped(self.view.area(part.box)) if part.box else None
            if part.ref in self.new and area:
                spot = self._spot_of(part, area)
                groups.setdefault(part.role, []).append((part.ref, spot))
        for wire in wires:
            ends = [self.view.point(*at) for at in self._ends(wire)]
            if wire.ref in self.new and len(ends) == 2 and all(self._inside(at) for at in ends):
                middle = ((ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2)
                groups.setdefault(wire.role, []).append((wire.ref, self._beside_gaps(middle)))
        return groups

    def _screws(self) -> None:
        """New small parts that go into holes of what is seen on this side: a cross at each."""
        places: dict[str, list[Point]] = {}
        for part in self.model.parts:
            if not part.solid or part.ref not in self.new | self.shown or not self._seen(part):
                continue
            for hole in part.solid.holes:
                if hole.holds in self.new - self.drawn and hole.axis == "z" and not hole.follows:
                    places.setdefault(hole.holds, []).append(self.view.point(*hole.at[:2]))
        for part in self.model.parts:
            spots = [at for at in places.get(part.ref, []) if self._inside(at)]
            if part.box is not None or side_of(self.model, part) != self.side or not spots:
                continue
            for x, y in spots:
                self.canvas.path("wide", polyline([(x - 3, y), (x + 3, y)]),
                                 polyline([(x, y - 3), (x, y + 3)]))  # fmt: skip
            leader(self.canvas, spots[0], part.ref)
            self.drawn.add(part.ref)

    def _small(self, host: str) -> list[str]:
        """New small parts without a place of their own, on a part."""
        found = [part.ref for part in self.model.parts if part.on == host
                 and part.ref in self.new and part.box is None
                 and part.ref not in self.bodies]  # fmt: skip
        self.drawn |= set(found)
        return found

    def _hosts(self, parts: Iterable[Part], wires: Iterable[Conductor]) -> None:
        """The names of the parts that new things join or sit on, where there is room in them."""
        joined = {owner(key) for w in wires if w.ref in self.new for key in (w.start, w.end)}
        for part in parts:
            if part.ref in self.new or not part.box or part.role in ("row", "rail", "board"):
                continue
            area = self._clipped(self.view.area(part.box))
            if area is None:
                continue
            x, y = area.middle
            if small := self._small(part.ref):
                leader(self.canvas, (x, y), ", ".join(small) + f" on {part.ref}")
            elif part.ref in joined:
                spots = [(x, y), (x, y - 14), (x, y + 14), (x - 14, y), (x + 14, y)]
                found = self.canvas.field.spot(part.ref, TEXT, spots)
                if found:
                    self.canvas.text(found, part.ref, "middle")
                else:
                    leader(self.canvas, (x, y), part.ref)

    def _label(self, text: str, at: Point) -> None:
        half = width(text, TEXT) / 2 + 3
        found = self.canvas.field.spot(text, TEXT, [at])
        if found:
            self.canvas.box("paper", Area(at[0] - half, at[1] - 9, at[0] + half, at[1] + 9), False)
            self.canvas.text(found, text, "middle")
        else:
            leader(self.canvas, at, text)


def _area(part: Part) -> float:
    return part.box.width * part.box.height if part.box else 0.0
