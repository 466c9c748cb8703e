"""A small SVG writer: paths, texts, and a memory of what is already on the paper."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from math import cos, pi, sin

from guidegen.diagrams.field import Area, Field
from guidegen.diagrams.metrics import ASCENT, DESCENT, clip, plain, width
from guidegen.diagrams.style import FONT, INK, PAPER, PHONE, STYLES, TEXT

Point = tuple[float, float]


@dataclass(frozen=True)
class Figure:
    """A drawing and the words that stand for it."""

    name: str
    """Name of its file, without `.svg`; every id in the drawing begins with it."""
    svg: str
    alt: str
    """At most 150 characters: kind of drawing, subject, the one thing it tells."""
    caption: str


def number(value: float) -> str:
    """A coordinate, to a tenth.

    Examples
    --------
    >>> number(2.04), number(-0.01), number(3.25)
    ('2', '0', '3.2')
    """
    text = f"{value:.1f}"
    return "0" if text in {"-0.0", "0.0"} else text.removesuffix(".0")


def polyline(points: Iterable[Point], close: bool = False) -> str:
    """Path data of a line through points."""
    text = "L".join(f"{number(x)} {number(y)}" for x, y in points)
    return f"M{text}{'Z' if close else ''}"


def rectangle(x: float, y: float, wide: float, high: float) -> str:
    """Path data of a rectangle from its upper left corner."""
    return f"M{number(x)} {number(y)}h{number(wide)}v{number(high)}h{number(-wide)}z"


def circle(x: float, y: float, radius: float) -> str:
    """Path data of a circle."""
    r, d = number(radius), number(2 * radius)
    return f"M{number(x - radius)} {number(y)}a{r} {r} 0 1 0 {d} 0a{r} {r} 0 1 0 -{d} 0z"


def arrow(tip: Point, angle: float, size: float = 7) -> str:
    """Path data of a slim filled arrow head; the angle (degrees) is the way that it points."""
    spread = 11 * pi / 180
    turn = angle * pi / 180
    ends = [
        (tip[0] - size * 1.4 * cos(turn + way), tip[1] - size * 1.4 * sin(turn + way))
        for way in (-spread, spread)
    ]
    return polyline([tip, *ends], close=True)


def sign(x: float, y: float, polarity: str, half: float = 3) -> str:
    """Path data of a + or − drawn in strokes: a polarity sign at a pad too small for a letter."""
    across = f"M{number(x - half)} {number(y)}h{number(2 * half)}"
    return across + (
        f"M{number(x)} {number(y - half)}v{number(2 * half)}" if polarity == "+" else ""
    )


def text_area(at: Point, text: str, size: float, anchor: str, turned: bool = False) -> Area:
    """The rectangle that a line of text covers; `at` is on its base line."""
    wide = width(text, size)
    back = {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
    x, y = at
    if turned:  # reads from the right-hand side of the sheet
        return Area(x - ASCENT * size, y + back - wide, x + DESCENT * size, y + back)
    return Area(x - back, y - ASCENT * size, x - back + wide, y + DESCENT * size)


class Canvas:
    """One figure in the making."""

    def __init__(self, name: str, wide: float = PHONE) -> None:
        self.name = name
        self.width = wide
        self.field = Field(wide)
        self._shapes: list[tuple[str, list[str]]] = []
        self._texts: list[str] = []

    def path(self, style: str, *data: str) -> None:
        """Add path data; calls in a row with one style make one element."""
        if self._shapes and self._shapes[-1][0] == style:
            self._shapes[-1][1].extend(data)
        else:
            self._shapes.append((style, list(data)))

    def shape(self, style: str, data: str) -> None:
        """Add an area of its own, that covers what was drawn before."""
        self._shapes.append((style, [data]))
        self._shapes.append(("", []))

    def line(self, style: str, points: Sequence[Point]) -> None:
        """Draw a line through points, and keep labels off it."""
        self.path(style, polyline(points))
        for start, end in pairwise(points):
            self.field.line(start, end)

    def box(self, style: str, area: Area, keep_off: bool = True) -> None:
        """Draw a rectangle that covers what is below, and keep labels off its outline."""
        self.shape(style, rectangle(area.x0, area.y0, area.width, area.height))
        self.field.cover(area)
        if keep_off:
            corners = [
                (area.x0, area.y0),
                (area.x1, area.y0),
                (area.x1, area.y1),
                (area.x0, area.y1),
            ]
            for start, end in pairwise([*corners, corners[0]]):
                self.field.line(start, end)

    def dot(self, x: float, y: float) -> None:
        """A join of conductors."""
        self.path("solid", circle(x, y, 3))

    def text(
        self, at: Point, text: str, anchor: str = "start", size: float = TEXT, turned: bool = False
    ) -> Area:
        """Write a line of text at a place that the caller keeps free.

        It is cut off with … where it would leave the figure.
        """
        text = clip(text, size, self.width - 8) if not turned else plain(text)
        area = text_area(at, text, size, anchor, turned)
        if not turned:
            shift = max(2 - area.x0, 0) + min(self.width - 2 - area.x1, 0)
            at, area = (at[0] + shift, at[1]), area.moved(shift, 0)
        self.field.take(area)
        place = f'x="{number(at[0])}" y="{number(at[1])}"'
        turn = f' transform="rotate(-90 {number(at[0])} {number(at[1])})"' if turned else ""
        align = "" if anchor == "start" else f' text-anchor="{anchor}"'
        self._texts.append(f'<text {place} font-size="{size}"{align}{turn}>{escape(text)}</text>')
        return area

    def figure(self, high: float, alt: str, desc: str, caption: str) -> Figure:
        """Close the drawing.

        Parameters
        ----------
        high : float
            Height of the drawing; it grows to hold every text.
        alt, desc, caption : str
            Short and long words for who can't see it, and the line under it.
        """
        high = max(high, self.field.bottom + 4)
        size = f'viewBox="0 0 {number(self.width)} {number(high)}"'
        shown = f'width="{number(self.width)}" height="{number(high)}"'
        kind = "gg-narrow" if self.width <= PHONE else "gg-wide"
        natural = "" if kind == "gg-narrow" else f' style="min-width:{number(self.width)}px"'
        ids = f"{self.name}-title {self.name}-desc"
        alt = clip_words(plain(alt), 150)
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" {size} {shown} class="gg-drawing {kind}"'
            f'{natural} role="img" aria-labelledby="{ids}">'
            f'<title id="{self.name}-title">{escape(alt)}</title>'
            f'<desc id="{self.name}-desc">{escape(plain(desc))}</desc>'
        )
        back = f'<path style="fill:{PAPER}" d="{rectangle(0, 0, self.width, high)}"/>'
        shapes = "".join(
            f'<path style="{STYLES[style]}" d="{"".join(data)}"/>'
            for style, data in self._shapes
            if data
        )
        texts = f'<g style="font-family:{FONT};fill:{INK}">{"".join(self._texts)}</g>'
        return Figure(self.name, f"{head}{back}{shapes}{texts}</svg>\n", alt, plain(caption))


def left_out(canvas: Canvas, middle: float, gap: float, ends: Point, down: bool = False) -> None:
    """A stretch that a view leaves out: two wavy lines with paper between, as for any broken view.

    Parameters
    ----------
    canvas : Canvas
        Takes it.
    middle, gap : float
        Of the paper between both lines, across them.
    ends : Point
        Where the lines begin and end, along them.
    down : bool
        Whether the lines run across the sheet, and the gap lies between what is above and below.
    """
    edges = (middle - gap / 2, middle + gap / 2)
    box = (ends[0], edges[0], ends[1], edges[1]) if down else (edges[0], ends[0], edges[1], ends[1])
    canvas.box("paper", Area(*box), keep_off=False)
    waves = [_wave(*ends, edge) for edge in edges]
    canvas.path("narrow", *(polyline((b, a) for a, b in wave) if down else polyline(wave)
                            for wave in waves))  # fmt: skip


def _wave(first: float, last: float, across: float) -> list[Point]:
    """A wavy line down the sheet."""
    points, y, way = [(across, first)], first, 1
    while y < last:
        y += 18
        points.append((across + way * 4, min(y - 9, last)))
        way = -way
    return points


def clip_words(text: str, most: int) -> str:
    """The text, cut at a word so that it has at most so many characters."""
    if len(text) <= most:
        return text
    return text[: most - 1].rsplit(" ", 1)[0].rstrip(" ,;") + "…"
