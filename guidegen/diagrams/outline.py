"""Three views of the light with its overall sizes, and a section through it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from guidegen.design.model import Part
from guidegen.design.solid import Solid
from guidegen.diagrams.dimension import STEP, Written, across, rows_of_text, upright, wrapped
from guidegen.diagrams.field import Area
from guidegen.diagrams.finished import size_of
from guidegen.diagrams.solids import Seen, assemblies, extent, nearest_last, seen
from guidegen.diagrams.source import DesignLike, letter, millimetres, words
from guidegen.diagrams.style import PHONE
from guidegen.diagrams.svg import Canvas, Figure, arrow, circle, polyline, rectangle

_FINE = 6.0


@dataclass(frozen=True)
class Square:
    """A view square on: where a point of it lies on the paper."""

    left: float
    top: float
    scale: float
    low: tuple[float, float]
    """Lower left corner of what is shown. [m]."""
    high: tuple[float, float]

    def x(self, u: float) -> float:
        """The paper's x."""
        return self.left + (u - self.low[0]) * self.scale

    def y(self, v: float) -> float:
        """The paper's y."""
        return self.top + (self.high[1] - v) * self.scale

    @property
    def area(self) -> Area:
        """All of it on the paper."""
        return Area(self.left, self.top, self.x(self.high[0]), self.y(self.low[1]))

    def of(self, one: Seen) -> Area:
        """One solid on the paper."""
        return Area(self.x(one.low[0]), self.y(one.high[1]), self.x(one.high[0]),
                    self.y(one.low[1]))  # fmt: skip


def square(found: Sequence[Seen], left: float, top: float, scale: float) -> Square:
    """A view that begins at a corner of the paper."""
    lows = [min(one.low[n] for one in found) for n in (0, 1)]
    highs = [max(one.high[n] for one in found) for n in (0, 1)]
    return Square(left, top, scale, (lows[0], lows[1]), (highs[0], highs[1]))


def outlines(design: DesignLike) -> list[Figure]:
    """Draw `outline` of the light, `outline-2` of a box that stands beside it, ..."""
    # Other panels are as the first.
    groups = [group for group in assemblies(design.model) if group[0].panel < 2]
    return [
        _outline(group, number, foam(design) if number == 1 else [])
        for number, group in enumerate(groups, 1)
    ]


def _outline(parts: list[Part], number: int, foam: list[str]) -> Figure:
    whole = extent(parts)
    wide, tall, deep = whole.size
    canvas = Canvas("outline" if number == 1 else f"outline-{number}")
    scale = min((PHONE - 64 - 60) / (wide + deep), 300 / tall)
    # Beside a slim front its width is written to its right.
    apart = 44.0 if wide * scale > 80 else 110.0
    front = _view(canvas, "Front", seen(parts, "front"), (46, 40), scale)
    side = _view(canvas, "Side", seen(parts, "right"), (front.area.x1 + apart, 40), scale)
    if number == 1:
        _cut_line(canvas, parts, front)
    face, beside = front.area, side.area
    low = face.y1 + STEP + 8
    across(canvas, (face.x0, face.x1), low, millimetres(wide), face.y1)
    upright(canvas, (face.y0, face.y1), face.x0 - STEP, millimetres(tall), face.x0)
    board = parts[0].solid
    assert board
    slab = whole.high[2] - board.low[2]
    if 0 < slab < deep - 1e-6:
        low += STEP
        across(canvas, (beside.x0, beside.x0 + slab * scale), low, millimetres(slab), face.y1,
               Written(before=True))  # fmt: skip
    low += STEP
    across(canvas, (beside.x0, beside.x1), low, millimetres(deep), face.y1, Written(before=True))
    back = _view(canvas, "Back", seen(parts, "back"), (46, low + 50), scale)
    notes = [*_notes(parts), *wrapped(foam, PHONE - 16)]
    low = rows_of_text(canvas, notes, back.area.y1 + 10)
    sizes = size_of(whole)
    return canvas.figure(
        low,
        f"Outline drawing, front, side and back, {sizes}",
        "Front view with width and height; side view with depths; back view. " + " ".join(notes),
        f"Outline of {parts[0].ref} and all it carries, {sizes}. Side seen from the right.",
    )


def _view(
    canvas: Canvas, name: str, found: Sequence[Seen], at: tuple[float, float], scale: float
) -> Square:
    """One view: every part as the eye sees it, and faint what lies behind a cover."""
    view = square(found, *at, scale)
    canvas.text((view.left, at[1] - 20), name)
    order = nearest_last(found)
    for one in order:
        canvas.box(_style(one, scale), view.of(one))
        if one.along == 2:
            _round(canvas, view, one)
    if name == "Front":
        areas = [view.of(one) for one in order if lit_through(one, order)]
        canvas.path("faint", *(rectangle(a.x0, a.y0, a.width, a.height) for a in areas))
    return view


def lit_through(one: Seen, every: Sequence[Seen]) -> bool:
    """Whether a cover on its own side of the board lies before it, which lets its light pass."""
    return any(one.part.role in cover.part.covers and one.part.side == cover.part.side
               and cover.hides(one) for cover in every if cover.part.covers)  # fmt: skip


def _style(one: Seen, scale: float) -> str:
    if one.along == 2:
        return "paper"
    return "plate" if min(one.size[:2]) * scale < _FINE else "body"


def _round(canvas: Canvas, view: Square, one: Seen) -> None:
    """A bar or tube seen from its end."""
    area = view.of(one)
    canvas.path("narrow", circle(*area.middle, area.width / 2))
    assert one.part.solid
    if one.part.solid.bore:
        canvas.path("narrow", circle(*area.middle, one.part.solid.bore / 2 * view.scale))


def foam(design: DesignLike) -> list[str]:
    """Tape has no solid: it gives way by what its maker chose, so a note says what it adds."""
    thick = design.values.get("cover.tape_thickness")
    if thick is None or not design.facts["cover_taped"]:
        return []
    return [f"Foam tape adds {thick} or more"]


def _notes(parts: Sequence[Part]) -> list[str]:
    """The layers in words, as no dimension fits between lines so close."""
    found: dict[str, str] = {}
    for part in parts:
        if letter(part.ref) == "U" and part.solid and min(part.solid.size) > 0:
            found.setdefault(words(part), millimetres(part.solid.size[2]))
    layers = ", ".join(f"{name} {deep}" for name, deep in found.items())
    return wrapped([f"Depths: {layers}"], PHONE - 16) if layers else []


def _cut_line(canvas: Canvas, parts: Sequence[Part], view: Square) -> None:
    """Where the section is taken: a chain line with arrows that look the way the eye does."""
    x, area = view.x(cut_at(parts)), view.area
    for y, way in ((area.y0, -1), (area.y1, 1)):
        ends = [(x, y + way * 2), (x, y + way * 14)]
        canvas.path("new", polyline(ends))
        canvas.path("solid", arrow((x - 13, y + way * 12), 180, 5))
        canvas.path("narrow", polyline([(x, y + way * 12), (x - 7, y + way * 12)]))
        for end in ends:
            canvas.field.line((x - 13, y + way * 12), end)
    canvas.path("centre", polyline([(x, area.y0), (x, area.y1)]))
    for y in (area.y0 - 4, area.y1 + 14):
        canvas.text((x + 4, y), "A")


def cut_at(parts: Sequence[Part]) -> float:
    """The x at which a cut meets rows and the most kinds of parts; of equal ones the middlemost."""
    solids = [(part.role, part.solid) for part in parts
              if part.solid and min(part.solid.size) > 0]  # fmt: skip
    whole = extent(parts)
    middle = (whole.low[0] + whole.high[0]) / 2
    tries = sorted({middle, *(round((s.low[0] + s.high[0]) / 2, 5) for _, s in solids)},
                   key=lambda x: (abs(x - middle), x))  # fmt: skip
    kinds: dict[str, list[Solid]] = {}
    for role, solid in solids:
        kinds.setdefault(role, []).append(solid)

    rows = [part.solid for part in parts if part.row and part.solid]

    def met(x: float) -> tuple[bool, bool, int]:
        def cut(alike: Sequence[Solid]) -> bool:
            return any(s.low[0] < x < s.high[0] for s in alike)

        # Of what stands out of its box the section is the only view that shows how it is held.
        return cut(rows), cut(kinds.get("heat_sink", ())), sum(map(cut, kinds.values()))

    return max(tries, key=met)
