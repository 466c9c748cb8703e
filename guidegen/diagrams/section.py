"""The section A–A: layers cut open, hatched part by part, with the gap under the cover."""

from __future__ import annotations

from collections.abc import Sequence

from guidegen.design.model import Opening, Part
from guidegen.design.solid import Solid
from guidegen.diagrams.dimension import STEP, across, rows_of_text, wrapped
from guidegen.diagrams.field import Area
from guidegen.diagrams.outline import cut_at, foam, square
from guidegen.diagrams.solids import Seen, assemblies, extent, nearest_last, seen
from guidegen.diagrams.source import DesignLike, called, millimetres, ranges
from guidegen.diagrams.style import PHONE
from guidegen.diagrams.svg import Canvas, Figure, circle, polyline, rectangle

_TOP, _TALL, _LABEL, _MOST = 62, 500, 84, 5000
#: Thinner than this on the paper, and a cut piece is blacked in (ISO 128 habit, from memory).
_THIN = 3.0
_HATCHES = ((1, 6), (-1, 6), (1, 9), (-1, 9), (1, 4), (-1, 4))
"""Slant and distance of the hatching lines: no two layers that touch look alike."""


def section(design: DesignLike) -> Figure | None:
    """Draw the light cut at A–A of the outline, seen from the right; None without a board."""
    groups = assemblies(design.model)
    if not groups:
        return None
    return _Section(groups[0], foam(design)).draw()


class _Section:
    """One section in the making."""

    def __init__(self, parts: Sequence[Part], foam: list[str]) -> None:
        self.foam = foam
        self.x = cut_at(parts)
        self.whole = extent(parts)
        found = seen(parts, "right")
        self.cut = [one for one in found if one.low[2] < self.x < one.high[2]]
        self.beyond = [one for one in found if one.high[2] <= self.x]
        deep, tall = self.whole.size[2], self.whole.size[1]
        scale = min((PHONE - 16 - _LABEL) / deep, _TALL / tall, _MOST)
        self.canvas = Canvas("section")
        self.view = square(found, 16, _TOP, scale)

    def draw(self) -> Figure:
        """Draw it."""
        canvas = self.canvas
        canvas.text((8, 20), "Section A–A, seen from the right")
        for one in nearest_last(self.beyond):
            area = self.view.of(one)
            canvas.path("ghost", rectangle(area.x0, area.y0, area.width, area.height))
        kinds: dict[str, list[Seen]] = {}
        for one in self.cut:
            kinds.setdefault(one.part.role, []).append(one)
        for number, alike in enumerate(kinds.values()):
            for one in alike:
                self._piece(one, _HATCHES[number % len(_HATCHES)])
        gap = self._gap()
        self._names(list(kinds.values()))
        area = self.view.area
        across(canvas, (area.x0, area.x1), area.y1 + STEP, millimetres(self.whole.size[2]),
               area.y1)  # fmt: skip
        notes = [f"{_refs(alike)} {called(alike[0].part)}"
                 for alike in kinds.values()]  # fmt: skip
        notes += [f"Gap from tape to cover: {gap}"] if gap else []
        notes += self.foam
        notes.append(f"Cut {millimetres(self.x - self.whole.low[0])} from the left edge")
        low = rows_of_text(canvas, wrapped(notes, PHONE - 16), area.y1 + STEP + 14)
        layers = ", ".join(dict.fromkeys(alike[0].part.role.replace("_", " ")
                                         for alike in kinds.values()))  # fmt: skip
        return canvas.figure(
            low,
            f"Section through the light, layer by layer: {layers}",
            " ".join(notes),
            "Section A–A, light side left. Hatched: cut open. Black: too thin to hatch. "
            "Grey: a part left whole.",
        )

    def _piece(self, one: Seen, hatch: tuple[int, int]) -> None:
        """A piece that the cut goes through; its holes stay white."""
        area = self.view.of(one)
        thin = min(area.width, area.height) < _THIN
        self.canvas.box("solid" if thin else "body" if one.part.made else "tinted", area)
        if one.part.made and not thin:
            self.canvas.path("faint", *_hatched(area, *hatch))
        for hole in one.part.openings:
            if hole.low[0] < self.x < hole.high[0]:
                self.canvas.box("plate", self._hole(hole, one))

    def _hole(self, hole: Opening, one: Seen) -> Area:
        found = seen([Part("", "", "", solid=Solid(hole.low, hole.high))], "right")[0]
        area, piece = self.view.of(found), self.view.of(one)
        return Area(max(area.x0, piece.x0), max(area.y0, piece.y0), min(area.x1, piece.x1),
                    min(area.y1, piece.y1))  # fmt: skip

    def _gap(self) -> str:
        """Dimension the air between the tape and what covers it; returns its text."""
        rows = [one for one in self.cut if one.part.row]
        if not rows:
            return ""
        row = max(rows, key=lambda one: one.high[1])
        over = [one for one in self.cut if row.part.role in one.part.covers
                and one.high[0] <= row.low[0] + 1e-9]  # fmt: skip
        if not over:
            return ""
        cover = max(over, key=lambda one: one.high[0])
        text = millimetres(row.low[0] - cover.high[0])
        ends = (self.view.x(cover.high[0]), self.view.x(row.low[0]))
        across(self.canvas, ends, self.view.area.y0 - 16, text, self.view.y(row.high[1]))
        return text

    def _spot(self, one: Seen) -> tuple[float, float]:
        """Where the leader of a piece ends: in its middle, beside a hole that lies there."""
        area = self.view.of(one)
        cut = [self._hole(hole, one) for hole in one.part.openings
               if hole.low[0] < self.x < hole.high[0]]  # fmt: skip
        x, y = area.middle
        shares = (0.5, 0.15, 0.85)
        spots = [(x, area.y0 + share * area.height) for share in shares]
        return next((at for at in spots if not any(hole.holds(*at) for hole in cut)), (x, y))

    def _names(self, kinds: Sequence[Sequence[Seen]]) -> None:
        """The references in a column at the right, with leaders that do not cross."""
        area = self.view.area
        marks = []
        for alike in kinds:
            spots = [self._spot(one) for one in alike]
            marks.append((_refs(alike), min(spots, key=lambda at: -at[0])))
        marks.sort(key=lambda mark: mark[1][1])
        x, pitch = area.x1 + 22, 22.0
        ys = _spread([at[1] for _, at in marks], pitch, area.y1 - 4)
        order = _untangled([at for _, at in marks], [(x, y) for y in ys])
        for (text, at), number in zip(marks, order, strict=True):
            y = ys[number]
            self.canvas.line("narrow", [at, (x - 3, y)])
            self.canvas.path("solid", circle(*at, 1.8))
            self.canvas.text((x, y + 5), text)


def _refs(alike: Sequence[Seen]) -> str:
    """References of the pieces, each part once."""
    return ranges(dict.fromkeys(one.part.ref for one in alike))


def _spread(wanted: Sequence[float], pitch: float, low: float) -> list[float]:
    """Heights near the wanted ones, which rise, at least a pitch apart; the last not below `low`.

    Leaders that run nearly level have little to cross.
    """
    found: list[float] = []
    for y in wanted:
        found.append(max(y, found[-1] + pitch) if found else y)
    limit = max(low, wanted[0] + pitch * (len(wanted) - 1)) if wanted else low
    for number in range(len(found) - 1, -1, -1):
        found[number] = min(found[number], limit)
        limit = found[number] - pitch
    return found


def _hatched(area: Area, way: int, apart: int) -> list[str]:
    """Lines at 45 degrees within a rectangle."""
    lines = []
    offset = -area.height + apart
    while offset < area.width:
        x0, down = area.x0 + max(offset, 0), max(-offset, 0)
        reach = min(area.x1 - x0, area.height - down)
        y0 = area.y0 + down if way > 0 else area.y1 - down
        lines.append(polyline([(x0, y0), (x0 + reach, y0 + way * reach)]))
        offset += apart * 1.4142
    return lines


def _untangled(
    starts: Sequence[tuple[float, float]], ends: Sequence[tuple[float, float]]
) -> list[int]:
    """Which end each start is joined to so that no two straight joins cross.

    Two that cross are swapped: that shortens the sum of all, so it comes to an end.
    """
    order = list(range(len(starts)))
    changed = True
    while changed:
        changed = False
        for a in range(len(order)):
            for b in range(a + 1, len(order)):
                if _cross(starts[a], ends[order[a]], starts[b], ends[order[b]]):
                    order[a], order[b] = order[b], order[a]
                    changed = True
    return order


def _cross(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]
) -> bool:
    """Whether two straight lines have an inner point in common."""

    def turn(p: tuple[float, float], q: tuple[float, float], r: tuple[float, float]) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return turn(a, b, c) * turn(a, b, d) < 0 and turn(c, d, a) * turn(c, d, b) < 0
