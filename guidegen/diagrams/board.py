"""The back of the board, to scale: where rails lie, where wires pass, where the box stands."""

from __future__ import annotations

from guidegen.design.model import Part, owner
from guidegen.diagrams.dimension import STEP, across, inside, leader, rows_of_text, wrapped
from guidegen.diagrams.field import Area
from guidegen.diagrams.plan import case
from guidegen.diagrams.rail_paths import highest, width_of
from guidegen.diagrams.solids import assemblies, nearest_last, seen
from guidegen.diagrams.source import (
    DesignLike,
    OfPanel,
    each_panel,
    letter,
    millimetres,
    minus,
    pole,
    ranges,
)
from guidegen.diagrams.style import SHEET, TITLE
from guidegen.diagrams.svg import Canvas, Figure, Point, rectangle
from guidegen.diagrams.symbols import through
from guidegen.diagrams.view import View, fitted

_SIDE, _TOP, _TALL = 60.0, 56.0, 460.0


def board_backs(design: DesignLike) -> list[Figure]:
    """Draw the back of every panel's board as `board-back`, ...; none where there are no rails."""
    if not design.model.by_role("rail"):
        return []
    panels = each_panel(design)
    return [_Back(panel, assemblies(panel.model)[0], number).draw()
            for number, panel in enumerate(panels, 1)]  # fmt: skip


class _Back:
    """The drawing in the making."""

    def __init__(self, design: OfPanel, parts: list[Part], number: int) -> None:
        self.design, self.model, self.parts = design, design.model, parts
        board = self.model.board
        scale = fitted(board, SHEET - 2 * _SIDE, _TALL)
        self.view = View((SHEET - board.width * scale) / 2, _TOP, scale, board, mirrored=True)
        self.canvas = Canvas("board-back" if number == 1 else f"board-back-{number}", SHEET)

    def draw(self) -> Figure:
        """Draw it."""
        canvas = self.canvas
        canvas.text((8, 20), self.design.titled("The board from the back; to scale"), size=TITLE)
        self._body()
        names = self._rails()
        edge = self.view.area(self.model.board)
        across(canvas, (edge.x0, edge.x1), edge.y1 + 2 * STEP,
               millimetres(self.model.board.width), edge.y1)  # fmt: skip
        self._wires()
        for at, text in names:
            leader(canvas, at, text, reach=12)
        for part, area in self.cases:
            inside(canvas, (area.middle[0], area.y0 + 14), part.ref)
        low = rows_of_text(canvas, wrapped(self._notes(), SHEET - 16), canvas.field.bottom + 12)
        feeds = ranges(wire.ref for wire in self.model.wires("feed"))
        return canvas.figure(
            low,
            f"The board from the back: feed wires {feeds} and where they pass to the rails",
            " ".join(self._notes()),
            "The board seen from the back: left and right are exchanged.",
        )

    def _body(self) -> None:
        """The board, what stands on its back, and the rows behind it in thin broken lines."""
        canvas = self.canvas
        canvas.box("body", self.view.area(self.model.board))
        rows = [self.view.area(row.box) for row in self.model.by_role("row") if row.box]
        canvas.path("faint", *(rectangle(a.x0, a.y0, a.width, a.height) for a in rows))
        behind = [p for p in self.parts if p.side == "back" and letter(p.ref) == "U"]
        hidden = [one.part for one in nearest_last(seen(behind, "back"))]
        areas = [(part, self.view.area(part.box)) for part in hidden if part.box]
        for _, area in areas:
            canvas.box("plate", area)
        self.cases = [(part, area) for part, area in areas if part.covers]

    def _rails(self) -> list[tuple[Point, str]]:
        """Rails on the back in full, those on the front broken; where their names belong."""
        names = []
        for rail in self.model.by_role("rail"):
            if rail.line:
                points = [self.view.point(*at) for at in rail.line]
                style = "minus" if pole(rail.polarity) == "-" else "wide"
                self.canvas.line(style if rail.side == "back" else "hidden", points)
                width_of(self.canvas, rail, [points], self.view.scale)
                x, y = highest([points])
                names.append(((x, y + 4), f"{rail.ref} {minus(rail.polarity)}"))
        return names

    def _wires(self) -> None:
        """What runs over the back: each wire straight from its terminal to where it passes."""
        box = case(self.model)
        over = self.view.area(box) if box else Area(0, 0, 0, 0)
        holes = self._holes()
        rails = {rail.ref for rail in self.model.by_role("rail")}
        marks: list[tuple[Point, str]] = []
        for wire in self.model.conductors:
            ends = [self.model.terminal(key) for key in (wire.start, wire.end)]
            mine = [end for end in ends if end.part in rails]
            if not mine or wire.role == "jumper":
                continue
            far = next(end for end in ends if end is not mine[0])
            at = holes.get(wire.ref) or (mine[0].at and self.view.point(*mine[0].at))
            if not far.at or not at:
                continue
            start = self._from(self.view.point(*far.at), at)
            style = "minus" if pole(wire.polarity) == "-" else "wide"
            self.canvas.line(style, [start, at])
            if mine[0].at and wire.ref in holes:
                self.canvas.line("hidden", [at, self.view.point(*mine[0].at)])
            if wire.ref in holes or self.model.part(mine[0].part).side == "front":
                through(self.canvas, *at)
            middle = ((start[0] + at[0]) / 2, (start[1] + at[1]) / 2)
            out = middle if not over.holds(*middle) else ((start[0] + 3 * at[0]) / 4,
                                                          (start[1] + 3 * at[1]) / 4)  # fmt: skip
            marks.append((out, f"{wire.ref} {minus(wire.polarity)}"))
        for out, text in marks:
            leader(self.canvas, out, text, reach=12)

    def _from(self, start: Point, end: Point) -> Point:
        """Where a wire begins; one that comes from a box beside the light, near the board."""
        near = self.view.area(self.model.board).grown(28)
        if near.holds(*start):
            return start
        x = min(max(start[0], near.x0), near.x1)
        share = (x - end[0]) / (start[0] - end[0]) if start[0] != end[0] else 0.0
        return x, min(max(end[1] + share * (start[1] - end[1]), near.y0), near.y1)

    def _holes(self) -> dict[str, Point]:
        """Where conductors pass the board, by conductor."""
        solid = self.parts[0].solid
        return {
            hole.holds: self.view.point(hole.at[0], hole.at[1])
            for hole in (solid.holes if solid else ())
            if hole.axis == "z" and hole.holds.startswith("W")
        }

    def _notes(self) -> list[str]:
        rails = self.model.by_role("rail")
        sides = {"front": [r.ref for r in rails if r.side == "front"],
                 "back": [r.ref for r in rails if r.side == "back"]}  # fmt: skip
        lines = [f"Rails {ranges(refs)} lie on the {side}." for side, refs in sides.items() if refs]
        refs = {rail.ref for rail in rails}
        for wire in self.model.conductors:
            ends = [key for key in (wire.start, wire.end) if owner(key) in refs]
            if ends and wire.role != "jumper":
                lines.append(f"{wire.ref} {minus(wire.polarity)} {wire.colour}: "
                             f"{minus(wire.start)} to {minus(wire.end)}.")  # fmt: skip
        return [*lines, "Crossed circle: through the board. Thin: rows, on the front."]
