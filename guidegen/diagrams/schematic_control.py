"""The control network of the schematic: one level for each conductor or resistor."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from guidegen.diagrams import symbols
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import width
from guidegen.diagrams.source import DesignLike, Link, letter, owner, pin, rating
from guidegen.diagrams.style import SMALL
from guidegen.diagrams.svg import Canvas, Point, arrow

_LEVEL = 34


def network(
    canvas: Canvas, design: DesignLike, pins: dict[str, Point], every: Sequence[Link]
) -> tuple[float, set[str]]:
    """Draw the control and its resistors below the regulator.

    Returns
    -------
    tuple
        The lowest y, and the references that were drawn.
    """
    model = design.model
    own = [p.ref for p in model.parts if letter(p.ref) == "R"]
    keys = [t.key for t in model.terminals if t.part in own]
    upper = {
        k: at
        for k, at in pins.items()
        if letter(k) == "T" and not pin(k).upper().startswith(("IN", "OUT"))
    }
    ends = set(keys) | set(upper)
    mine = [link for link in every if link.start in ends and link.end in ends]
    if not mine or not keys:
        return 0, set()
    top = max((at[1] for at in upper.values()), default=250)
    mine.sort(key=lambda link: link.wire is None)
    low = top + 26 + _LEVEL * len(mine)
    legs = {link.ref for link in mine if link.wire is None}
    lower = _bodies(canvas, design, [k for k in keys if owner(k) not in legs], upper, low + 12)
    free = [key for key in keys if owner(key) in legs]
    edge = min((at[0] for at in lower.values()), default=200)
    # The free leg of a resistor: a point where a lead is joined to it.
    lower |= {key: (edge - 48 - 70 * number, low) for number, key in enumerate(free)}
    reach: dict[str, list[float]] = {}
    levels = [(link, top + 30 + _LEVEL * number) for number, link in enumerate(mine)]
    for link, y in levels:
        for key in (link.start, link.end):
            reach.setdefault(key, []).append(y)
    columns = []
    for key, ys in reach.items():
        x = _x(key, upper, lower)
        start = upper[key][1] if key in upper else lower[key][1]
        node = key in free
        first, last = (min(ys), max(ys)) if node else _ends(start, ys, key in upper)
        canvas.line("wide", [(x, first), (x, last)])
        columns.append((x, *sorted((first, last))))
        for y in ys:
            if y not in (first, last):
                canvas.dot(x, y)
        if node:
            symbols.ring(canvas, x, last)
            canvas.text((x, last + 17), f"{owner(key)}: {pin(key)}", "middle", SMALL)
    for link, y in levels:
        ends = sorted((_x(link.start, upper, lower), _x(link.end, upper, lower)))
        canvas.line("wide", [(ends[0], y), (ends[1], y)])
        _level(canvas, design, link, _clear(ends, y, columns), y)
    return low + 60, {link.ref for link in mine}


def _ends(start: float, ys: list[float], down: bool) -> tuple[float, float]:
    return start, max(ys) if down else min(ys)


def _clear(
    ends: list[float], y: float, columns: list[tuple[float, float, float]]
) -> tuple[float, float]:
    """The longest stretch of a level that no other conductor crosses."""
    xs = [x for x, first, last in columns if ends[0] < x < ends[1] and first <= y <= last]
    return max(pairwise([ends[0], *sorted(xs), ends[1]]), key=lambda pair: pair[1] - pair[0])


def _x(key: str, upper: dict[str, Point], lower: dict[str, Point]) -> float:
    return upper[key][0] if key in upper else lower[key][0]


def _level(
    canvas: Canvas, design: DesignLike, link: Link, clear: tuple[float, float], y: float
) -> None:
    """The number of a level, and the resistor's rectangle."""
    middle = (clear[0] + clear[1]) / 2
    text = link.ref
    if link.wire is None:
        text = f"{link.ref} {rating(design, design.model.part(link.ref))}".strip()
        symbols.resistor(canvas, middle, y)
    lift = 15 if link.wire is None else 9
    aside = width(text, SMALL) / 2 + 4
    spots = [(middle, y - lift), (clear[1] + aside, y - 9), (clear[0] - aside, y - 9),
             (clear[1] + aside, y + 9), (clear[0] - aside, y + 9)]  # fmt: skip
    found = canvas.field.spot(text, SMALL, spots)
    canvas.text(found or (clear[1] + 4, y - 5), text, "middle" if found else "start", SMALL)


def _bodies(
    canvas: Canvas, design: DesignLike, keys: list[str], upper: dict[str, Point], y: float
) -> dict[str, Point]:
    """Potentiometers and resistors with terminals of their own, side by side; their pins' places."""
    places: dict[str, Point] = {}
    start = (max(at[0] for at in upper.values()) if upper else 380) - 74
    for ref in dict.fromkeys(owner(key) for key in keys):
        mine = [key for key in keys if owner(key) == ref]
        x = start
        xs = [x - 90, x, x + 90] if len(mine) == 3 else [x - 40 + 80 * n for n in range(len(mine))]
        for key, at in zip(mine, xs, strict=True):
            wiper = len(mine) == 3 and at == x
            places[key] = (at, y)
            if wiper:
                canvas.line("wide", [(at, y), (at, y + 8)])
                canvas.path("solid", arrow((at, y + 14), 90, 7))
            else:
                canvas.line("wide", [(at, y), (at, y + 20), (x + (30 if at > x else -30), y + 20)])
            canvas.text((at + 6, y + 4), pin(key), size=SMALL)
        canvas.box("body", Area(x - 30, y + 14, x + 30, y + 26))
        text = f"{ref} {rating(design, design.model.part(ref))}".strip()
        canvas.text((x, y + 42), text, "middle")
        start -= 240
    return places
