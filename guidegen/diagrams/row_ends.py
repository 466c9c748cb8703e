"""Where hands go wrong: one joined end of a row, larger than it is, taken from the model."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from guidegen.design.model import Conductor, Model, Part, Terminal, owner
from guidegen.diagrams.dimension import inside, leader, rows_of_text, wrapped
from guidegen.diagrams.field import Area
from guidegen.diagrams.rail_paths import highest, shown, width_of
from guidegen.diagrams.source import DesignLike, each_panel, minus, pole, ranges, words
from guidegen.diagrams.style import PHONE, TITLE
from guidegen.diagrams.svg import Canvas, Figure, Point, circle, rectangle, sign
from guidegen.diagrams.symbols import through

_EDGE, _HIGH, _MOST = 58.0, 190.0, 12000.0
_WINDOW = Area(4, 40, PHONE - 4, 222)
"""Where rails are drawn."""
_PAD = 9.0
"""Half the side of a pad."""


@dataclass(frozen=True)
class End:
    """The pads of a row that lie together, and what joins them to the rails."""

    row: Part
    pads: tuple[Terminal, ...]
    wires: tuple[tuple[Conductor, Terminal, Terminal], ...]
    """Conductor, its pad, its tap."""

    def kind(self, model: Model) -> tuple[object, ...]:
        """What makes two ends look alike: names, which are joined, and where their rails lie."""
        return (
            tuple((pad.name, any(pad is at for _, at, _ in self.wires)) for pad in self.pads),
            tuple((pad.name, model.part(tap.part).ref) for _, pad, tap in self.wires),
        )


def row_ends(design: DesignLike) -> list[Figure]:
    """Draw `row-end`, `row-end-2`, ...: one figure for each kind of joined end."""
    found: list[tuple[DesignLike, list[End]]] = []
    for panel in each_panel(design):
        kinds: dict[tuple[object, ...], list[End]] = {}
        for end in _ends(panel.model):
            kinds.setdefault(end.kind(panel.model), []).append(end)
        found += [(panel, alike) for alike in kinds.values()]
    return [_Detail(panel, alike, number).draw() for number, (panel, alike) in enumerate(found, 1)]


def _ends(model: Model) -> list[End]:
    """All joined ends of all rows."""
    wires: dict[str, list[tuple[Conductor, Terminal, Terminal]]] = {}
    rails = {rail.ref for rail in model.by_role("rail")}
    for wire in model.wires("jumper"):
        keys = sorted((wire.start, wire.end), key=lambda key: owner(key) in rails)
        pad, tap = model.terminal(keys[0]), model.terminal(keys[1])
        if pad.at and tap.at and tap.part in rails:
            wires.setdefault(pad.part, []).append((wire, pad, tap))
    pads: dict[str, list[Terminal]] = {}
    for terminal in model.terminals:
        pads.setdefault(terminal.part, []).append(terminal)
    found = []
    for row in model.by_role("row"):
        places: dict[float, list[Terminal]] = {}
        for pad in pads.get(row.ref, []):
            if pad.at:
                places.setdefault(round(pad.at[0], 4), []).append(pad)
        for group in places.values():
            mine = [w for w in wires.get(row.ref, []) if any(w[1] is pad for pad in group)]
            if mine:
                found.append(End(row, tuple(group), tuple(mine)))
    return found


class _Detail:
    """One detail in the making."""

    def __init__(self, design: DesignLike, alike: Sequence[End], number: int) -> None:
        self.model, self.alike, self.end = design.model, alike, alike[0]
        self.canvas = Canvas("row-end" if number == 1 else f"row-end-{number}")
        self.holes = {hole.holds: (hole.at[0], hole.at[1])
                      for part in self.model.parts if part.solid
                      for hole in part.solid.holes if hole.axis == "z"}  # fmt: skip
        box = self.end.row.box
        assert box
        xs = [at.at[0] for _, pad, tap in self.end.wires for at in (pad, tap) if at.at]
        xs += [self.holes[w.ref][0] for w, _, _ in self.end.wires if w.ref in self.holes]
        span = max(max(xs) - min(xs), box.height)
        self.scale = min((PHONE - 2 * _EDGE - 70) / span, _HIGH * 0.42 / box.height, _MOST)
        middle = (max(xs) + min(xs)) / 2
        # The tape shows on its own side of the pads.
        row_middle = box.x + box.width / 2
        at_end = min(abs(self.end.pads[0].at[0] - x) if self.end.pads[0].at else 0.0
                     for x in (box.x, box.x + box.width)) < box.height  # fmt: skip
        lean = 0.0 if not at_end else (35 if middle < row_middle else -35)
        self.origin = (PHONE / 2 - lean - middle * self.scale,
                       130 + (box.y + box.height / 2) * self.scale)  # fmt: skip

    def point(self, at: tuple[float, float]) -> Point:
        """A point of the board on the paper."""
        return self.origin[0] + at[0] * self.scale, self.origin[1] - at[1] * self.scale

    def draw(self) -> Figure:
        """Draw it."""
        canvas, end = self.canvas, self.end
        same = ranges(other.row.ref for other in self.alike)
        names = ", ".join(minus(pad.name) for pad in end.pads)
        canvas.text((8, 20), f"Row end {names}, from the front", size=TITLE)
        tape = self._tape()
        taps = self._rails()
        for wire, pad, tap in end.wires:
            self._jumper(wire, self._pad_at(pad, tape), tap)
        for pad in end.pads:
            self._pad(pad, tape)
        inside(canvas, (tape.x1 - 24 if tape.x1 > PHONE - 60 else tape.x0 + 24, tape.middle[1]),
               end.row.ref)  # fmt: skip
        for at, text in taps:
            leader(canvas, at, text, reach=10)
        for wire, pad, tap in end.wires:
            x, y = self._pad_at(pad, tape)
            to = self._tap_at(tap, y)
            if wire.ref in self.holes:
                to = self.point(self.holes[wire.ref])
            leader(canvas, ((x + to[0]) / 2, (y + to[1]) / 2), wire.ref, reach=11)
        notes = [f"{end.row.ref}; alike: {same}." if len(self.alike) > 1 else f"{end.row.ref}."]
        notes += self._notes()
        low = rows_of_text(canvas, wrapped(notes, PHONE - 16), max(canvas.field.bottom, 232) + 10)
        return canvas.figure(
            low,
            f"Detail of row end {names} of {same}: pads, jumpers, rail joints, insulation",
            " ".join(notes),
            f"Row end {names} of {same}, larger than it is.",
        )

    def _tape(self) -> Area:
        box = self.end.row.box
        assert box
        x0, y0 = self.point((box.x, box.y + box.height))
        x1, y1 = self.point((box.x + box.width, box.y))
        area = Area(max(x0, -4), y0, min(x1, PHONE + 4), y1)
        self.canvas.box("plate", area)
        return area

    def _pad_at(self, pad: Terminal, tape: Area) -> Point:
        """Where a pad is drawn: clear of the tape's edges."""
        assert pad.at
        x, y = self.point(pad.at)
        return (min(max(x, tape.x0 + _PAD + 3), tape.x1 - _PAD - 3),
                min(max(y, tape.y0 + _PAD + 2), tape.y1 - _PAD - 2))  # fmt: skip

    def _pad(self, pad: Terminal, tape: Area) -> None:
        """A pad with its sign; its name beside it."""
        x, y = self._pad_at(pad, tape)
        used = any(other is pad for _, other, _ in self.end.wires)
        area = Area(x - _PAD, y - _PAD, x + _PAD, y + _PAD)
        self.canvas.box("tinted" if used else "plate", area)
        self.canvas.field.take(area)
        self.canvas.path("wide", sign(x, y, pole(pad.polarity), 4))
        inward = 1 if x - tape.x0 < tape.x1 - x else -1
        name = minus(pad.name) + ("" if used else " free")
        self.canvas.text((x + inward * (_PAD + 5), y + 5), name, "start" if inward > 0 else "end")

    def _rails(self) -> list[tuple[Point, str]]:
        """The rails near this end, as lines; a broken one lies on the back."""
        names: list[tuple[Point, str]] = []
        for rail in self.model.by_role("rail"):
            stretches = shown([self.point(at) for at in rail.line], _WINDOW)
            if not stretches:
                continue
            style = "minus" if pole(rail.polarity) == "-" else "wide"
            width_of(self.canvas, rail, stretches, self.scale)
            for stretch in stretches:
                self.canvas.line("hidden" if rail.side == "back" else style, stretch)
            where = " behind" if rail.side == "back" else ""
            x, y = highest(stretches)
            names.append(((x, y + 8), f"{rail.ref} {minus(rail.polarity)}{where}"))
        return names

    def _tap_at(self, tap: Terminal, y: float) -> Point:
        assert tap.at
        return self.point(tap.at)[0], y

    def _jumper(self, wire: Conductor, start: Point, tap: Terminal) -> None:
        """From the pad to the rail, through the board where the rail lies behind it."""
        style = "minus" if pole(wire.polarity) == "-" else "wide"
        if wire.ref in self.holes:
            hole = self.point(self.holes[wire.ref])
            self.canvas.line(style, [start, hole])
            assert tap.at
            self.canvas.line("hidden", [hole, self.point(tap.at)])
            through(self.canvas, *hole)
            return
        end = self._tap_at(tap, start[1])
        self.canvas.line(style, [start, end])
        for x in self._crossed(tap, start[0], end[0]):
            self.canvas.shape("plate", rectangle(x - 14, end[1] - 5, 28, 10))
        self.canvas.path("solid", circle(*end, 4.5))

    def _crossed(self, tap: Terminal, x0: float, x1: float) -> list[float]:
        """X of the rails that a jumper passes over."""
        low, high = sorted((x0, x1))
        found: list[float] = []
        for rail in self.model.by_role("rail"):
            if tap.at and rail.ref != tap.part and rail.side == self.model.part(tap.part).side:
                xs = (self.point((x, 0))[0] for x in rail.crossings(tap.at[1]))
                found += [x for x in xs if low < x < high]
        return found

    def _notes(self) -> list[str]:
        """The joints in words, then sleeve and insulation."""
        lines = []
        for wire, pad, tap in self.end.wires:
            rail = self.model.part(tap.part)
            hole = ", through the board" if wire.ref in self.holes else ""
            lines.append(
                f"{wire.ref} {minus(wire.polarity)} {wire.colour}: {minus(pad.key)} to "
                f"{minus(tap.key)}{hole}. Joint on rail {rail.ref} {minus(rail.polarity)}."
            )
            crossed = self._crossed(tap, *(self.point(t.at)[0] for t in (pad, tap) if t.at))
            sleeves = [part.ref for part in self.model.parts if part.role == "sleeve"]
            if crossed:
                sleeve = f"sleeve {ranges(sleeves)}" if sleeves else "its own insulation"
                lines.append(f"{wire.ref} crosses a rail: {sleeve} between them.")
        rails = {tap.part for _, _, tap in self.end.wires}
        lines += [f"{part.ref} {words(part)} over {part.on}, after the tests."
                  for part in self.model.parts if part.on in rails and part.covers]  # fmt: skip
        return lines
