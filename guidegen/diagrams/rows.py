"""The panel from the front: rows, rails, taps and jumpers, each with its number."""

from __future__ import annotations

from collections.abc import Iterator

from guidegen.design.model import Conductor, Part, Terminal, owner
from guidegen.diagrams.dimension import rows_of_text, wrapped
from guidegen.diagrams.field import Area
from guidegen.diagrams.rail_paths import highest, shown, width_of
from guidegen.diagrams.rows_axis import MARGIN, Across, breaks, edges, pitch, scale_for
from guidegen.diagrams.rows_notes import carries, notes
from guidegen.diagrams.rows_sizes import sizes
from guidegen.diagrams.source import (
    DesignLike,
    OfPanel,
    each_panel,
    minus,
    named,
    pin,
    pole,
    ranges,
)
from guidegen.diagrams.style import SHEET, TALL, TEXT
from guidegen.diagrams.svg import (
    Canvas,
    Figure,
    Point,
    circle,
    left_out,
    polyline,
    rectangle,
    sign,
    text_area,
)
from guidegen.diagrams.symbols import through

#: Free paper between the two sides of a broken view.
_BREAK = 22
#: Terminals nearer than this to one another are one place. [m].
_SAME = 0.01
#: Beside a rail on the back, what its holes and pads take of a row.
_NEAR = 24
#: Room of one jumper's number beside the board.
_MARK = 68


def rows(design: DesignLike) -> list[Figure]:
    """Draw each panel; more rows than a page holds make several figures."""
    found: list[Figure] = []
    for panel in each_panel(design):
        found += _panel(panel, len(found))
    return found


def _panel(design: OfPanel, before: int) -> list[Figure]:
    tapes = [part for part in design.model.by_role("row") if part.box]
    if not tapes:
        return []
    tapes.sort(key=lambda part: -(part.box.y if part.box else 0))
    scale = scale_for(design.model, tapes)
    room = TALL - MARGIN - edges(design.model.board, tapes) * scale
    most = max(2, int(room / (pitch(tapes) * scale)))
    pages = -(-len(tapes) // most)
    size = -(-len(tapes) // pages)
    parts = [tapes[first : first + size] for first in range(0, len(tapes), size)]
    return [Panel(design, part, tapes, scale, number).draw()
            for number, part in enumerate(parts, before)]  # fmt: skip


class Panel:
    """One figure with some of the rows."""

    def __init__(
        self, design: OfPanel, tapes: list[Part], every: list[Part], scale: float, number: int
    ) -> None:
        self.design, self.model, self.tapes, self.every = design, design.model, tapes, every
        self.scale = scale
        self.whole = len(tapes) == len(every)
        self.first, self.last = tapes[0] is every[0], tapes[-1] is every[-1]
        name = "rows" if number == 0 else f"rows-{number + 1}"
        self.canvas = Canvas(name, SHEET)
        self.refs = {part.ref for part in tapes}
        self.rails = self.model.by_role("rail")
        self.jumpers = [
            w for w in self.model.wires("jumper") if {owner(w.start), owner(w.end)} & self.refs
        ]
        self.sides = {side: self._labels(side) for side in ("L", "R")}
        self.x = self._axis()
        self._above = 40.0 if len(self.rails) > 2 else 0.0
        self.top = 76.0 + self._above
        board, boxes = self.model.board, [part.box for part in tapes if part.box]
        over, box, low = pitch(every) * 0.6, boxes[0], boxes[-1]
        self.high = board.y + board.height if self.first else box.y + box.height + over
        self.low = board.y if self.last else low.y - over
        self.down = self._down()

    def y(self, y: float) -> float:
        """The paper's y of a board's y."""
        return self.down(-y)

    def _down(self) -> Across:
        """Board's y, turned over, to the paper's: broken where few rows lie on a tall board."""
        ys = [part.box.y + part.box.height / 2 for part in self.tapes if part.box]
        ys += [t.at[1] for t in self.model.terminals
               if t.at and self._on_panel(t.part) and self.low < t.at[1] < self.high]  # fmt: skip
        ys += [y for rail in self._bent() for _, y in rail.line if self.low < y < self.high]
        jump = (self.high - self.low) * self.scale - (TALL - MARGIN)
        # Within one row nothing is left out, nor at the outer edges of the first and the last.
        boxes = [part.box for part in self.tapes if part.box]
        outer = {-(boxes[0].y + boxes[0].height), -boxes[-1].y}
        stops = sorted({-round(y / _SAME) * _SAME for y in ys} | outer)
        return Across(self.top, self.scale, -self.high,
                      breaks([-self.high, *stops, -self.low], self.scale, jump))  # fmt: skip

    def _labels(self, side: str) -> dict[str, list[Conductor]]:
        """Jumpers whose pads lie on one side of the row's middle, by row."""
        found: dict[str, list[Conductor]] = {}
        for wire in self.jumpers:
            key = self._row_key(wire)
            row, at = self.model.part(owner(key)).box, self.model.terminal(key).at
            assert row
            left = at is None or at[0] < row.x + row.width / 2
            if left == (side == "L"):
                found.setdefault(owner(key), []).append(wire)
        return found

    def _row_key(self, wire: Conductor) -> str:
        """The end of a jumper that is a row's pad."""
        return wire.start if owner(wire.start) in self.refs else wire.end

    def _axis(self) -> Across:
        """Board's x to the paper's, leaving room for the columns of labels."""

        def room(side: str) -> float:
            most = max((len(ws) for ws in self.sides[side].values()), default=0)
            return most * _MARK + 8

        board = self.model.board
        left = 62 + room("L")
        free = SHEET - left - room("R") - 8
        jump = max(0.0, board.width * self.scale - free)
        stops = [t.at[0] for t in self.model.terminals if t.at and self._on_panel(t.part)]
        stops += [x for rail in self._bent() for x, _ in rail.line]
        left_out = breaks([board.x, *stops, board.x + board.width], self.scale, jump)
        return Across(left, self.scale, board.x, left_out)

    def _bent(self) -> list[Part]:
        """Rails that bend."""
        return [rail for rail in self.rails if rail.bends]

    def _on_panel(self, ref: str) -> bool:
        return ref in self.refs or any(rail.ref == ref for rail in self.rails)

    def draw(self) -> Figure:
        """Draw it."""
        canvas = self.canvas
        self._board()
        self._tapes()
        self._rails()
        self._jumpers()
        self._break()
        sizes(self)
        lines = notes(self.model, self.tapes, self.every)
        low = max(canvas.field.bottom, self.y(self.low)) + 10
        bottom = rows_of_text(canvas, wrapped(lines, SHEET - 16), low)
        names = ranges(part.ref for part in self.tapes)
        scale = f"{self.scale / 1000 / 96 * 25.4:.2g}"
        return canvas.figure(
            bottom + 8,
            f"Panel from the front: rows {names} with + and − at every end, rails and jumpers",
            "Rows from top to bottom: " + "; ".join(self._sentence(part) for part in self.tapes),
            f"Rows {names}, seen from the front. Drawn {scale} : 1, lengths broken."
            if self.x.breaks or self.down.breaks
            else f"Rows {names}, seen from the front. Drawn {scale} : 1 at full width.",
        )

    def _sentence(self, part: Part) -> str:
        wires = [w for w in self.jumpers if part.ref in (owner(w.start), owner(w.end))]
        ends = ", ".join(f"{w.ref} {w.start} to {w.end}" for w in wires)
        return f"{part.ref}: {ends}" if ends else part.ref

    def _board(self) -> None:
        board = self.model.board
        canvas = self.canvas
        x0, x1 = self.x(board.x), self.x(board.x + board.width)
        top, low = self.y(self.high), self.y(self.low)
        seen = self.design.titled("Seen from the front")
        canvas.text((x0, 18), f"{seen}; {named(carries(self.model))}", size=TEXT)
        canvas.line("wide", [(x0, top), (x0, low)])
        canvas.line("wide", [(x1, top), (x1, low)])
        for shown_edge, y in ((self.first, top), (self.last, low)):
            canvas.line("wide" if shown_edge else "cut", [(x0, y), (x1, y)])

    def _tapes(self) -> None:
        canvas = self.canvas
        areas = [self._area(part) for part in self.tapes]
        canvas.path("plate", *(rectangle(a.x0, a.y0, a.width, a.height) for a in areas))
        for part, area in zip(self.tapes, areas, strict=True):
            self._pads(part, area)
            # Where the first stretch of the row ends: at a break, at a feed point or its jumpers'
            # holes, or at its middle.
            ends = [self.x(at) - jump / 2 - _BREAK / 2 for at, jump in self.x.breaks]
            ends += [x - _NEAR for x, rail in self.rail_lines() if rail.side == "back"]
            end = min([area.middle[0], *ends])
            canvas.text(
                ((area.x0 + area.height / 2 + 4 + end) / 2, area.middle[1] + 5), part.ref, "middle"
            )

    def _area(self, part: Part) -> Area:
        box = part.box
        assert box
        return Area(self.x(box.x), self.y(box.y + box.height), self.x(box.x + box.width),
                    self.y(box.y))  # fmt: skip

    def _pads(self, part: Part, area: Area) -> None:
        """Pads with their signs; a pad in use is ringed, an unused one is not."""
        pads = [t for t in self.model.terminals if t.part == part.ref and t.at]
        for pad in pads:
            x, y = self._pad(pad.key, area)
            self.canvas.path("wide", sign(x, y, pole(pad.polarity), 2.8))
            if not pad.unused:
                self.canvas.path("narrow", circle(x, y, area.height / 4 - 0.3))

    def _pad(self, key: str, area: Area) -> Point:
        """Pads lie in the outer quarters of the tape's width, the upper one first."""
        terminal = self.model.terminal(key)
        assert terminal.at
        quarter = area.height / 4
        x = min(max(self.x(terminal.at[0]), area.x0 + quarter + 1), area.x1 - quarter - 1)
        upper = self.y(terminal.at[1]) <= area.middle[1]
        return x, area.y0 + quarter if upper else area.y1 - quarter

    def _rails(self) -> None:
        """Rails, inner ones first, each with its number and its feed above the board."""
        canvas, board = self.canvas, self.model.board
        middle = (self.x(board.x) + self.x(board.x + board.width)) / 2
        top, low = self.y(self.high), self.y(self.low)
        for x, rail in sorted(self.rail_lines(), key=lambda pair: abs(pair[0] - middle)):
            ys = [self.y(t.at[1]) for t in self.model.terminals if t.part == rail.ref and t.at]
            ends = [max(min(ys) - 6, top - 2), min(max(ys) + 6, low + 2)]
            style = "wide" if "+" in rail.polarity else "minus"
            if rail.side == "back":
                style = "hidden"
            if rail.bends:
                stretches = self._stretches(rail)
                width_of(canvas, rail, stretches, self.scale)
                for stretch in stretches:
                    canvas.line(style, stretch)
                ends[0] = highest(stretches)[1]
            else:
                width_of(canvas, rail, [[(x, ends[0]), (x, ends[1])]], self.scale)
                canvas.line(style, [(x, ends[0]), (x, ends[1])])
            left = x < middle
            text = f"{rail.ref} {minus(rail.polarity)}{self._feeds(rail, x)}"
            if rail.side == "back":  # side by side under the rows: their names lead away
                left = any(other > x for other, _ in self.rail_lines())
                canvas.line("narrow", [(x, self.top - 11), (x, ends[0])])
                canvas.text((x + 3 if left else x - 3, self.top - 16), text,
                            "end" if left else "start")  # fmt: skip
                continue
            y, at, align = self.top - 16, x - 3 if left else x + 3, "start" if left else "end"
            while y > 40 and not canvas.field.free(text_area((at, y), text, TEXT, align)):
                y -= 20
            canvas.line("narrow", [(x, y + 5), (x, ends[0])])
            canvas.text((at, y), text, align)

    def rail_lines(self) -> list[tuple[float, Part]]:
        """Rails with a known place, and their x on the paper."""
        placed = {t.part for t in self.model.terminals if t.at}
        return [(self._rail_x(p), p) for p in self.rails if p.ref in placed]

    def _stretches(self, rail: Part) -> list[list[Point]]:
        """What this figure shows of a rail that bends."""
        board = self.model.board
        edges = Area(self.x(board.x), self.y(self.high), self.x(board.x + board.width),
                     self.y(self.low))  # fmt: skip
        return shown([(self.x(x), self.y(y)) for x, y in rail.line], edges)

    def _rail_x(self, rail: Part) -> float:
        """Where its name stands over it: of a straight one the x of its taps."""
        if rail.bends and (stretches := self._stretches(rail)):
            return highest(stretches)[0]
        xs = [t.at[0] for t in self.model.terminals if t.part == rail.ref and t.at]
        return self.x(sum(xs) / len(xs))

    def _feeds(self, rail: Part, x: float) -> str:
        """Draw where conductors come through the board from the back; returns their numbers."""
        found: list[str] = []
        for terminal in self.model.terminals:
            if terminal.part != rail.ref or not terminal.name.startswith("feed") or not terminal.at:
                continue
            x, y = self.x(terminal.at[0]), self.y(terminal.at[1])
            mine = [w.ref for w in self.model.conductors if terminal.key in (w.start, w.end)]
            found += mine
            if rail.side != "front" or not self.y(self.high) < y < self.y(self.low):
                continue
            # The wire comes out of its hole in the board, and goes from there to its joint.
            holes = (hole for board in self.model.by_role("board") if board.solid
                     for hole in board.solid.holes)  # fmt: skip
            for hole in (one for one in holes if one.role == "feed" and one.holds in mine):
                far = self.x(hole.at[0]), self.y(hole.at[1])
                self.canvas.path("narrow", polyline([far, (x, y)]))
                through(self.canvas, *far)
            self.canvas.path("solid", circle(x, y, 2.6))
        return f", fed by {ranges(found)}" if found else ""

    def _jumpers(self) -> None:
        """Jumpers and, outside the board, their numbers in line with the rows."""
        canvas = self.canvas
        for part in self.tapes:
            area = self._area(part)
            for side, way in (("L", -1), ("R", 1)):
                wires = self.sides[side].get(part.ref, [])
                board = self.model.board
                x = self.x(board.x if side == "L" else board.x + board.width) + way * 6
                for number, wire in enumerate(wires):
                    self._jumper(wire, area)
                    text = f"{wire.ref} {minus(pin(self._row_key(wire)))}"
                    canvas.text((x + way * _MARK * number, area.middle[1] + 5), text,
                                "end" if way < 0 else "start")  # fmt: skip

    def _jumper(self, wire: Conductor, area: Area) -> None:
        row_key = self._row_key(wire)
        rail_key = next(key for key in (wire.start, wire.end) if key != row_key)
        x0, y0 = self._pad(row_key, area)
        rail = next((p for p in self.rails if p.ref == owner(rail_key)), None)
        if rail is None:
            return
        tap = self.model.terminal(rail_key)
        x = self.x(tap.at[0]) if tap.at and rail.bends else self._rail_x(rail)
        edge = area.height / 4 + 1
        self.canvas.path("wide", polyline([(x0 + edge if x > x0 else x0 - edge, y0), (x, y0)]))
        for crossed in self._crossed(rail, tap, x0, x):
            self.canvas.shape("plate", rectangle(crossed - 5, y0 - 2.5, 10, 5))
        if rail.side == "back":
            self.canvas.shape("body", circle(x, y0, 3.4))
            self.canvas.path("narrow", polyline([(x - 2.4, y0 - 2.4), (x + 2.4, y0 + 2.4)]))
        else:
            self.canvas.path("solid", circle(x, y0, 2.6))

    def _crossed(self, rail: Part, tap: Terminal, x0: float, x1: float) -> Iterator[float]:
        """X of the rails that a jumper to another rail passes over."""
        low, high = sorted((x0, x1))
        for _, other in self.rail_lines():
            if tap.at is None or other.ref == rail.ref or other.side != rail.side:
                continue
            at = [self.x(x) for x in other.crossings(tap.at[1])]
            yield from (x for x in at if low < x < high)

    def _break(self) -> None:
        """Leave stretches out, along both axes."""
        upright = (self.y(self.high) - 8, self.y(self.low) + 8)
        for at, jump in self.x.breaks:
            left_out(self.canvas, self.x(at) - jump / 2, _BREAK, upright)
        level = (self.x(self.model.board.x) - 8,
                 self.x(self.model.board.x + self.model.board.width) + 8)  # fmt: skip
        for at, jump in self.down.breaks:
            left_out(self.canvas, self.down(at) - jump / 2, _BREAK, level, down=True)
