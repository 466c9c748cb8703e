"""The finished light in two oblique views, drawn from the solids of its parts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from guidegen.design.model import Model, Part, owner
from guidegen.design.solid import Solid
from guidegen.diagrams.dimension import inside, leader, rows_of_text, wrapped
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import width
from guidegen.diagrams.solids import Seen, assemblies, extent, hull, seen, slanted_last
from guidegen.diagrams.source import DesignLike, called, letter, millimetres, ranges, words
from guidegen.diagrams.style import PHONE, TEXT, TITLE
from guidegen.diagrams.svg import Canvas, Figure, Point, circle, polyline

_EDGE, _TALL, _LOW = 24, 190, 150
#: Cabinet projection: what lies behind is drawn at 45 degrees and half its length.
_SLANT = 0.5 * 0.7071
#: Smaller than this on the paper, and a part is drawn with a narrow line.
_FINE = 6.0


class Oblique:
    """One view: faces towards the reader true, edges to the back at 45 degrees, half length."""

    def __init__(self, canvas: Canvas, parts: Sequence[Part], side: str, top: float) -> None:
        self.canvas, self.side = canvas, side
        # Several panels have more to be named below them: both views and the list fit one page.
        highest = _TALL if max(part.panel for part in parts) < 2 else _LOW
        self.found = seen(parts, side)
        self.low = tuple(min(one.low[n] for one in self.found) for n in range(3))
        self.high = tuple(max(one.high[n] for one in self.found) for n in range(3))
        u, v, w = (b - a for a, b in zip(self.low, self.high, strict=True))
        self.scale = min((PHONE - 2 * _EDGE) / (u + w * _SLANT), highest / (v + w * _SLANT))
        wide, self.tall = ((n + w * _SLANT) * self.scale for n in (u, v))
        self.left, self.top = (PHONE - wide) / 2, top
        self.hulls: list[tuple[Seen, list[Point]]] = []

    @property
    def bottom(self) -> float:
        """The lowest y."""
        return self.top + self.tall

    def point(self, at: tuple[float, float, float]) -> Point:
        """A point of the view on the paper."""
        back = (self.high[2] - at[2]) * _SLANT
        front = (self.high[2] - self.low[2]) * _SLANT
        return (
            self.left + (at[0] - self.low[0] + back) * self.scale,
            self.top + (self.high[1] - at[1] + front - back) * self.scale,
        )

    def draw(self) -> None:
        """Lay every part down, the far ones first."""
        for one in slanted_last(self.found):
            outline = hull(self.point(at) for at in one.corners())
            self.hulls.append((one, outline))
            fine = min(one.size[0], one.size[1]) * self.scale < _FINE
            self.canvas.shape("plate" if fine else "body", polyline(outline, close=True))
            xs, ys = zip(*outline, strict=True)
            self.canvas.field.cover(Area(min(xs), min(ys), max(xs), max(ys)))
            for n, start in enumerate(outline):
                self.canvas.field.line(outline[n - 1], start)
            self._edges(one, fine)

    def _edges(self, one: Seen, fine: bool) -> None:
        """The edges within the outline: those that meet at the near upper right corner."""
        style = "narrow" if fine else "wide"
        if one.along >= 0:
            cap = [self.point(at) for at in one.cap(one.high[one.along])]
            self.canvas.path(style, polyline(cap, close=True))
            return
        (u0, v0, w0), (u1, v1, w1) = one.low, one.high
        near = self.point((u1, v1, w1))
        for end in ((u0, v1, w1), (u1, v0, w1), (u1, v1, w0)):
            ends = [near, self.point(end)]
            self.canvas.path(style, polyline(ends))
            self.canvas.field.line(*ends)

    def through(self, parts: Iterable[Part]) -> list[Area]:
        """Faint outlines of what lies behind a cover that light passes; their areas."""
        areas = []
        for one in seen(parts, self.side):
            near = one.high[2]
            x0, y0 = self.point((one.low[0], one.high[1], near))
            x1, y1 = self.point((one.high[0], one.low[1], near))
            areas.append(Area(x0, y0, x1, y1))
            self.canvas.line("faint", [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)])
        return areas

    def name(self, parts: Sequence[Part]) -> None:
        """Write the references of equal parts on one of them, or beside it."""
        text = ranges(part.ref for part in parts)
        refs = {part.ref for part in parts}
        spots = [spot for number, (one, _) in enumerate(self.hulls) if one.part.ref in refs
                 for spot in self._seen_spots(number)]  # fmt: skip
        if not spots:
            return
        for spot in spots:
            found = self.canvas.field.spot(text, TEXT, [spot])
            half = width(text, TEXT) / 2
            ends = [(spot[0] - half, spot[1]), (spot[0] + half, spot[1])]
            if found and all(self._on_top(end) in refs for end in ends):
                self.canvas.text(found, text, "middle")
                return
        leader(self.canvas, spots[0], text)

    def _seen_spots(self, number: int) -> list[Point]:
        """Points of the faces of one solid that nothing laid later hides."""
        one = self.hulls[number][0]
        (u0, v0, w0), (u1, v1, w1) = one.low, one.high
        shares = (0.5, 0.2, 0.8)
        points = [self.point((u0 + a * (u1 - u0), v0 + b * (v1 - v0), w1))
                  for b in shares for a in shares]  # fmt: skip
        points += [self.point((u0 + a * (u1 - u0), v1, (w0 + w1) / 2)) for a in (0.2, 0.5, 0.8)]
        points += [self.point((u1, v0 + a * (v1 - v0), (w0 + w1) / 2)) for a in (0.2, 0.5, 0.8)]
        return [at for at in points if self._on_top(at) == one.part.ref]

    def _on_top(self, at: Point) -> str:
        """The part that shows at a point."""
        for one, outline in reversed(self.hulls):
            if _holds(outline, at):
                return one.part.ref
        return ""


def _holds(outline: Sequence[Point], at: Point) -> bool:
    """Whether a point lies within an outline that bulges everywhere."""
    turns = [
        (b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0])
        for a, b in zip(outline, (*outline[1:], outline[0]), strict=True)
    ]
    return all(turn > 0 for turn in turns) or all(turn < 0 for turn in turns)


def finished(design: DesignLike) -> Figure | None:
    """Draw the finished light from the front and from the back; None if nothing has a place."""
    model = design.model
    groups = assemblies(model)
    if not groups:
        return None
    canvas = Canvas("finished")
    parts = [part for group in groups for part in group]
    whole = extent(groups[0])
    sizes = " × ".join(millimetres(size) for size in whole.size[:2])
    deep = millimetres(whole.size[2])
    sizes = f"each panel {sizes}" if len(model.panels) > 1 else sizes
    canvas.text((8, 18), "Front: light side", size=TITLE)
    front = Oblique(canvas, parts, "front", 50)
    front.draw()
    for panel in model.panels:
        rows = [part for part in panel.by_role("row") if part.solid]
        _on_tape(canvas, front.through(rows), ranges(row.ref for row in rows))
    _names(front, parts)
    low = max(front.bottom, canvas.field.bottom) + 30
    canvas.text((8, low), "Back", size=TITLE)
    back = Oblique(canvas, parts, "back", low + 30)
    back.draw()
    _lead(canvas, back, model)
    _names(back, parts)
    low = rows_of_text(canvas, wrapped([f"{sizes}, {deep} deep", *_key(model)], PHONE - 16),
                       max(back.bottom, canvas.field.bottom) + 12)  # fmt: skip
    return canvas.figure(
        low,
        f"Drawing of the finished light, front and back, {sizes}, {deep} deep",
        "Front view: the light side. Back view: what stands on the back. " + ". ".join(_key(model)),
        f"The finished light: {sizes}, {deep} deep. Not to scale.",
    )


def _names(view: Oblique, parts: Sequence[Part]) -> None:
    """Name what the body is made of, and whatever else shows and has a place of its own."""
    kinds: dict[str, list[Part]] = {}
    for part in parts:
        if letter(part.ref) not in "EWH":
            kinds.setdefault(part.role, []).append(part)
    for alike in kinds.values():
        view.name(alike)


def _on_tape(canvas: Canvas, outlines: Sequence[Area], text: str) -> None:
    """The rows' references on white paper in the middle of the panel."""
    if not outlines:
        return
    x = sum(a.middle[0] for a in outlines) / len(outlines)
    y = sum(a.middle[1] for a in outlines) / len(outlines)
    half = width(text, TEXT) / 2 + 4
    if 2 * half > outlines[0].width:
        leader(canvas, (outlines[0].x0 + 1, y), text)
        return
    canvas.box("paper", Area(x - half, y - 9, x + half, y + 9), keep_off=False)
    canvas.text((x, y + 5), text, "middle")


def _lead(canvas: Canvas, view: Oblique, model: Model) -> None:
    """The lead that leaves the box, where the supply's connector is not part of the box."""
    loose = [part.ref for part in model.parts if letter(part.ref) == "X" and not part.solid]
    used = {owner(key) for wire in model.wires("lead") for key in (wire.start, wire.end)}
    loose = [ref for ref in loose if ref in used]
    behind = [one for one in view.found if one.part.side == "back"]
    if not loose or not behind:
        return
    largest = max(behind, key=lambda one: one.size[0] * one.size[1])
    (u0, v0, _), (_, v1, w1) = largest.low, largest.high
    x, y = view.point((u0, (v0 + v1) / 2, w1))
    end = max(x - 90, 8.0)
    canvas.path("wide", f"M{x:.1f} {y:.1f}C{x - 50:.1f} {y:.1f} {end + 6:.1f} {y:.1f} "
                f"{end + 12:.1f} {view.bottom - 14:.1f}")  # fmt: skip
    canvas.field.line((x, y), (end + 12, view.bottom - 14))
    canvas.path("solid", circle(end + 12, view.bottom - 14, 2.5))
    inside(canvas, (end + 12, view.bottom + 2), ", ".join(loose))


def _key(model: Model) -> list[str]:
    """What the letters stand for: pieces, rows, and what holds them, one line a kind."""
    kinds: dict[str, list[Part]] = {}
    for part in model.parts:
        if letter(part.ref) in "UEHXM":
            kinds.setdefault(part.role, []).append(part)
    lines: list[str] = []
    for role in sorted(kinds, key=lambda role: "UEXMH".index(letter(kinds[role][0].ref))):
        parts = kinds[role]
        pieces = sum(part.count for part in parts)
        count = f" ({pieces} ×)" if parts[0].count > 1 else ""
        # What hardware is made of stands in the parts table.
        what = words(parts[0]) if letter(parts[0].ref) == "H" else called(parts[0])
        text = f"{ranges(part.ref for part in parts)} {what}{count}"
        # Hardware is small in the picture and in the list: as many to a line as there is room for.
        joined = f"{lines[-1]}; {text}" if lines else ""
        if letter(parts[0].ref) == "H" and lines and lines[-1].startswith("H") and _fits(joined):
            lines[-1] = joined
        else:
            lines.append(text)
    return lines


def _fits(line: str) -> bool:
    return width(line, TEXT) < PHONE - 16


def size_of(solid: Solid) -> str:
    """Width, height and depth as text."""
    return " × ".join(millimetres(size) for size in solid.size)
