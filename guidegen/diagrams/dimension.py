"""Dimension lines and leaders after ISO 129-1 habits, from memory.

Sizes stand outside the outline and are read from below or from the right.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from math import hypot
from typing import NamedTuple

from guidegen.diagrams.field import around
from guidegen.diagrams.metrics import width
from guidegen.diagrams.style import TEXT, TITLE
from guidegen.diagrams.svg import Canvas, Point, arrow, circle, rectangle, text_area

#: Distance of a dimension line from the outline, and from the next one.
STEP = 26
_OVER = 3
#: No line ends between a number and its unit.
_BOUND = re.compile(r"(?<=\d) (?=(?:mm|m|V|A|Ah|W|Ω)\b)")


class Written(NamedTuple):
    """Where the text of a dimension stands."""

    before: bool = False
    """To the left instead of the right, where there is no room between the ends."""
    middle: float | None = None
    """x of the text's middle, where another line passes half-way between the ends."""


_AFTER = Written()


def across(
    canvas: Canvas,
    ends: tuple[float, float],
    y: float,
    text: str,
    feature: float,
    written: Written = _AFTER,
) -> None:
    """A horizontal dimension line.

    Parameters
    ----------
    ends : tuple
        x of both ends.
    y : float
        Height of the dimension line.
    text : str
        The size.
    feature : float
        y of the outline that is measured: extension lines begin near it.
    written : Written
        Where the text stands.
    """
    left, right = sorted(ends)
    way = 1 if y > feature else -1
    for x in (left, right):
        canvas.line("narrow", [(x, feature + way * 2), (x, y + way * _OVER)])
    wide = width(text, TEXT)
    if right - left >= wide + 8:
        canvas.line("narrow", [(left, y), (right, y)])
        canvas.path("solid", arrow((left, y), 180), arrow((right, y), 0))
        canvas.text((written.middle or (left + right) / 2, y - 5), text, "middle")
        return
    # No room between the lines: arrows from outside, text beside them.
    reach = 20 + wide
    lead = (reach, 14) if written.before else (14, reach)
    canvas.line("narrow", [(left - lead[0], y), (right + lead[1], y)])
    canvas.path("solid", arrow((left, y), 0), arrow((right, y), 180))
    if written.before:
        canvas.text((left - 16, y - 5), text, "end")
    else:
        canvas.text((right + 16, y - 5), text)


def upright(canvas: Canvas, ends: tuple[float, float], x: float, text: str, feature: float) -> None:
    """A vertical dimension line at x; as `across`, its text turned to be read from the right."""
    top, low = sorted(ends)
    way = 1 if x > feature else -1
    for y in (top, low):
        canvas.line("narrow", [(feature + way * 2, y), (x + way * _OVER, y)])
    wide = width(text, TEXT)
    if low - top >= wide + 8:
        canvas.line("narrow", [(x, top), (x, low)])
        canvas.path("solid", arrow((x, top), -90), arrow((x, low), 90))
        canvas.text((x - 5, (top + low) / 2), text, "middle", turned=True)
        return
    canvas.line("narrow", [(x, top - 14), (x, low + 18 + wide)])
    canvas.path("solid", arrow((x, top), 90), arrow((x, low), -90))
    canvas.text((x - 5, low + 16 + wide), text, "start", turned=True)


#: A leader that is longer than this is harder to follow than one that crosses another.
_LONG = 75


def leader(canvas: Canvas, at: Point, text: str, style: str = "narrow", reach: float = 16) -> bool:
    """Write a short label near a point, with a line that ends on it in a dot.

    The line crosses no other leader where a place without that is free.

    Returns
    -------
    bool
        False if there was no free place: the caller names the thing in a list instead.
    """
    return any(_leader(canvas, at, text, style, reach, apart) for apart in (True, False))


def clear_leader(canvas: Canvas, at: Point, text: str, reach: float) -> bool:
    """The same, and false as well where its line would cross another leader."""
    return _leader(canvas, at, text, "narrow", reach, True)


def _leader(canvas: Canvas, at: Point, text: str, style: str, reach: float, apart: bool) -> bool:
    for place in around(*at, reach=reach, rings=9):
        found = canvas.field.spot(text, TEXT, [place]) if place != at else None
        if found is None:
            continue
        area = text_area(found, text, TEXT, "middle")
        x = min(max(at[0], area.x0), area.x1)
        y = min(max(at[1], area.y0), area.y1)
        # A line that begins on the mark of a terminal must leave it.
        if any(o.crossed(at, (x, y)) and not (o.holds(*at) and o.width < 8)
               for o in canvas.field.taken):  # fmt: skip
            continue
        if apart and (
            hypot(x - at[0], y - at[1]) > _LONG
            or any(_cross(at, (x, y), *other) for other in canvas.field.leaders)
        ):
            continue
        # Paper below it: what is too faint to keep labels off is left out there.
        canvas.shape("paper", rectangle(area.x0, area.y0, area.width, area.height))
        canvas.text(found, text, "middle")
        canvas.line(style, [at, (x, y)])
        canvas.field.leaders.append((at, (x, y)))
        canvas.path("solid", circle(at[0], at[1], 1.8))
        return True
    return False


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether two stretches have an inner point in common."""

    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def inside(canvas: Canvas, at: Point, text: str) -> bool:
    """Write a label on the point itself if it is free; else near it with a leader."""
    found = canvas.field.spot(text, TEXT, [at])
    if found is None:
        return leader(canvas, at, text)
    canvas.text(found, text, "middle")
    return True


def rows_of_text(canvas: Canvas, lines: list[str], top: float, x: float = 8) -> float:
    """Write lines one below another; returns where the next would begin."""
    for line in lines:
        canvas.text((x, top + TEXT), line)
        top += 19
    return top


def titled(canvas: Canvas, title: str) -> float:
    """Write a title over as many lines as it takes; returns the base line of the last."""
    y = 20.0
    for number, line in enumerate(wrapped([title], canvas.width - 16, TITLE)):
        y = 20.0 + 19 * number
        canvas.text((8, y), line.strip(), size=TITLE)
    return y


def counted(count: int, what: str) -> str:
    """`1 piece`, `2 pieces`."""
    return f"{count} {what}{'' if count == 1 else 's'}"


def wrapped(lines: Iterable[str], room: float, size: float = TEXT) -> list[str]:
    """The same lines, each broken at its blanks where it is wider than the room."""
    found: list[str] = []
    for line in lines:
        current = ""
        for word in _BOUND.sub("\u00a0", line).split(" "):
            longer = f"{current} {word}" if current else word
            if current and width(longer, size) > room:
                found.append(current)
                longer = f"    {word}"
            current = longer
        found.append(current)
    return found
