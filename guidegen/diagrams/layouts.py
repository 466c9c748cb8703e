"""Cutting layouts of sheets, with numbered cuts and offcuts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from string import ascii_lowercase
from typing import Any

from guidegen.diagrams.bars import bar_figures
from guidegen.diagrams.dimension import STEP, across, counted, rows_of_text, upright
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import clip, width
from guidegen.diagrams.source import DesignLike, Plan, cutting, millimetres, ranges
from guidegen.diagrams.style import SHEET, SMALL, TALL, TEXT
from guidegen.diagrams.svg import Canvas, Figure, arrow, circle, polyline, rectangle

_LEFT, _TOP, _ROOM, _HIGH = 44, 46, SHEET - 44 - 24, 740


def layouts(design: DesignLike) -> list[Figure]:
    """Draw every sheet and all bars, as `sheet-1`, ..., `bar-1`, ..."""
    pairs = [(plan, item) for plan in cutting(design, "sheets") for item in plan.items]
    figures = [_fitting(plan, item, number) for number, (plan, item) in enumerate(pairs, 1)]
    return figures + bar_figures(design)


def _fitting(plan: Plan, item: Any, number: int) -> Figure:
    """As large as leaves room for the list of what is too small to be named in its place."""
    layout = Layout(plan, item, number)
    figure = layout.draw()
    if layout.canvas.field.bottom <= TALL:
        return figure
    smaller = _HIGH - (layout.canvas.field.bottom - TALL)
    return Layout(plan, item, number, max(smaller, _HIGH / 2)).draw()


class Layout:
    """One sheet as a saw sees it, its lower left corner as the datum."""

    def __init__(self, plan: Plan, item: Any, number: int, high: float = _HIGH) -> None:
        self.plan, self.item, self.number = plan, item, number
        self.canvas = Canvas(f"sheet-{number}", SHEET)
        self.scale = min(_ROOM / item.stock.width, high / item.stock.height)
        self.whole = self.area(0, 0, item.stock.width, item.stock.height)
        size = f"{millimetres(item.stock.width)} × {millimetres(item.stock.height)}"
        self.title = f"{plan.material}, {size}"

    def area(self, x: float, y: float, wide: float, high: float) -> Area:
        """A rectangle of the sheet on the paper."""
        left, low = _LEFT + x * self.scale, _TOP + (self.item.stock.height - y) * self.scale
        return Area(left, low - high * self.scale, left + wide * self.scale, low)

    def of(self, place: Any) -> Area:
        """A piece or an offcut on the paper."""
        return self.area(place.x, place.y, place.width, place.height)

    def draw(self) -> Figure:
        """Draw it."""
        canvas, item, whole = self.canvas, self.item, self.whole
        canvas.text((_LEFT, 18), clip(self.title, TEXT, SHEET - 200))
        canvas.box("body", whole)
        for offcut in item.offcuts:
            _hatch(canvas, self.of(offcut))
        for place in item.placed:
            canvas.box("body", self.of(place))
        _cuts(canvas, item.cuts, self.area)
        listed = self._pieces()
        for offcut in item.offcuts:
            _offcut(canvas, self.of(offcut), offcut)
        _grain(canvas, self.plan, whole)
        stock = item.stock
        across(canvas, (whole.x0, whole.x1), whole.y1 + STEP, millimetres(stock.width), whole.y1)
        upright(canvas, (whole.y0, whole.y1), whole.x0 - STEP, millimetres(stock.height), whole.x0)
        return self._finish(self._listed(listed))

    def _finish(self, low: float) -> Figure:
        item = self.item
        pieces = "; ".join(f"{_title(place)} {_size(place)}" for place in item.placed)
        return self.canvas.figure(
            low,
            f"Cutting layout of sheet {self.number}, {self.title}: "
            f"{counted(len(item.placed), 'piece')}, {counted(len(item.cuts), 'cut')}",
            f"Pieces: {pieces}. Cuts: {'; '.join(_order(item.cuts))}",
            f"Sheet {self.number}: {self.title}. Cut in the order of the numbers; hatched: kept.",
        )

    def _pieces(self) -> list[str]:
        """Write names and sizes into the pieces; returns the lines of the list beside."""
        short = self._short_names()
        hidden = []
        for place in self.item.placed:
            name = f"{short[place.label]}{place.copy}" if place.label in short else _title(place)
            if not _inside(self.canvas, name, place, self.of(place)):
                hidden.append(place)
        return _sizes(hidden, short)

    def _short_names(self) -> dict[str, str]:
        """Letters for the labels that are too long for one of their pieces."""
        long = dict.fromkeys(
            place.label
            for place in self.item.placed
            if width(_title(place), SMALL) > self.of(place).width - 6
        )
        return dict(zip(long, ascii_lowercase, strict=False))

    def _listed(self, lines: list[str]) -> float:
        """Write the list beside the sheet, or below where there is no room."""
        canvas, left = self.canvas, self.whole.x1 + 16
        room = SHEET - left - 8
        if lines and max(width(line, TEXT) for line in lines) <= room:
            for index, line in enumerate(lines):
                canvas.text((left, self.whole.y0 + 16 + 19 * index), line)
            lines = []
        return rows_of_text(canvas, lines, canvas.field.bottom + 8)


def _title(place: Any) -> str:
    return getattr(place, "name", "") or f"{place.label} {place.copy}"


def _size(place: Any) -> str:
    return f"{millimetres(place.width)} × {millimetres(place.height)}"


def _hatch(canvas: Canvas, area: Area) -> None:
    """Lines at 45 degrees, 12 apart, clipped to the rectangle."""
    lines = []
    offset = -area.height + 12
    while offset < area.width:
        x0, y0 = area.x0 + max(offset, 0), area.y0 + max(-offset, 0)
        reach = min(area.x1 - x0, area.y1 - y0)
        lines.append(polyline([(x0, y0), (x0 + reach, y0 + reach)]))
        offset += 12
    canvas.path("faint", *lines)
    canvas.path("narrow", rectangle(area.x0, area.y0, area.width, area.height))


def _cuts(canvas: Canvas, cuts: Iterable[Any], area: Any) -> None:
    """Chain lines through the plates, each with its number at the end where the blade enters."""
    ends = []
    for cut in cuts:
        start, end = area(cut.from_x, cut.from_y, 0, 0), area(cut.to_x, cut.to_y, 0, 0)
        a, b = (start.x0, start.y1), (end.x0, end.y1)
        canvas.line("cut", [a, b])
        ends.append((cut, a, b))
    for cut, a, b in ends:
        text = str(cut.number)
        radius = max(8, width(text, SMALL) / 2 + 2)
        places = [(a[0] + (b[0] - a[0]) * t / 40, a[1] + (b[1] - a[1]) * t / 40) for t in range(41)]
        spots = [(x + dx, y + dy) for x, y in places for dx, dy in _asides(a, b, radius + 2.5)]
        for x, y in spots:
            if canvas.field.free(Area(x - radius, y - radius, x + radius, y + radius)):
                canvas.shape("plate", circle(x, y, radius))
                canvas.text((x, y + 0.26 * SMALL + 1), text, "middle", SMALL)
                break


def _asides(
    a: tuple[float, float], b: tuple[float, float], off: float
) -> list[tuple[float, float]]:
    """Which way off the line of a cut its number may stand."""
    flat = abs(a[1] - b[1]) < abs(a[0] - b[0])
    return [(0, -off), (0, off)] if flat else [(off, 0), (-off, 0)]


def _inside(canvas: Canvas, name: str, place: Any, area: Area) -> bool:
    """Name and size in the piece; returns whether both found room."""
    size = _size(place)
    turned = ["turned"] if place.turned else []
    for lines in ([name, size, *turned], [name, size], [name]):
        found = _stack(canvas, lines, area)
        if found:
            for line, at in zip(lines, found, strict=True):
                canvas.text(at, line, "middle", SMALL)
            return len(lines) > 1 and name == _title(place)
    return False


def _stack(canvas: Canvas, lines: Sequence[str], area: Area) -> list[tuple[float, float]] | None:
    """Places for lines one below another, near the middle of a piece; None if there is no room."""
    if max(width(line, SMALL) for line in lines) > area.width - 4 or 15 * len(lines) > area.height:
        return None
    x, y = area.middle
    for dy in (0, 12, -12, 24, -24, 48, -48):
        for dx in (0, 10, 20, -10):
            tops = [y + dy + 15 * (n - (len(lines) - 1) / 2) for n in range(len(lines))]
            spots = [canvas.field.spot(t, SMALL, [(x + dx, top)])
                     for t, top in zip(lines, tops, strict=True)]  # fmt: skip
            inner = area.y0 <= tops[0] - 6 and tops[-1] + 6 <= area.y1
            found = [spot for spot in spots if spot]
            if len(found) == len(lines) and inner:
                return found
    return None


def _offcut(canvas: Canvas, area: Area, place: Any) -> None:
    """The size of an offcut on white paper in its hatching; small ones stay without."""
    size = _size(place)
    for lines in ([f"offcut {size}"], ["offcut", size]):
        half, tall = max(width(line, SMALL) for line in lines) / 2 + 3, 16 * len(lines) + 4
        found = _stack(canvas, lines, area)
        if found and 2 * half < area.width and tall < area.height:
            x, y = found[0][0], found[0][1] - 0.26 * SMALL
            canvas.box("paper", Area(x - half, y - 10, x + half, y - 10 + tall), keep_off=False)
            for line, at in zip(lines, found, strict=True):
                canvas.text(at, line, "middle", SMALL)
            return


def _grain(canvas: Canvas, plan: Plan, whole: Area) -> None:
    """An arrow along the grain, where it counts: pieces that may not turn follow the width."""
    if not plan.grain:
        return
    y, x = whole.y0 - 8, whole.x1 - 60
    canvas.text((x - 8, y), "grain", "end", TEXT)
    canvas.path("narrow", polyline([(x, y - 5), (x + 60, y - 5)]))
    canvas.path("solid", arrow((x + 60, y - 5), 0), arrow((x, y - 5), 180))


def _order(cuts: Sequence[Any]) -> list[str]:
    """The cuts in words: number, plate, edge, distance, what results."""
    return [
        f"{c.number}: {c.plate}, {millimetres(c.at)} from {c.edge_from}, gives "
        + " and ".join(part for part in c.gives if part)
        for c in cuts
    ]


def _sizes(places: Sequence[Any], short: Mapping[str, str]) -> list[str]:
    """Sizes of the pieces that have no room for them, equal ones together."""
    kinds: dict[tuple[str, str], list[int]] = {}
    for place in places:
        kinds.setdefault((place.label, _size(place)), []).append(place.copy)
    lines = []
    for (label, size), copies in kinds.items():
        numbers = ranges(str(copy) for copy in sorted(copies))
        mark = f"{short[label]} = " if label in short else ""
        lines += [f"{mark}{label}, {numbers}:", f"    {size}"]
    return lines
