"""The control network of the schematic: one level for each conductor or resistor."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from guidegen.design.model import Model, Part, owner
from guidegen.diagrams import symbols
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import width
from guidegen.diagrams.source import DesignLike, Link, letter, links, pin, rating
from guidegen.diagrams.style import SMALL
from guidegen.diagrams.svg import Canvas, Point, arrow

_LEVEL = 34


def reach(model: Model, part: Part) -> set[str]:
    """Control and resistors that hang on a converter, by whatever joins them to it."""
    if letter(part.ref) != "T":
        return set()
    own = {p.ref for p in model.parts if letter(p.ref) == "R"}
    every = [link for link in links(model)
             if {owner(link.start), owner(link.end), link.ref} & own]  # fmt: skip
    found: set[str] = set()
    new = {owner(key) for link in every if _pad_of(part, link) for key in (link.start, link.end)}
    while new & own - found:
        found |= new & own
        met = [link for link in every if {owner(link.start), owner(link.end)} & found]
        new = {ref for link in met for ref in (owner(link.start), owner(link.end), link.ref)}
    return found


def _pad_of(part: Part, link: Link) -> bool:
    """Whether one end of a link is a pad of the converter that is neither input nor output."""
    return any(owner(key) == part.ref and _aside(key) for key in (link.start, link.end))


def network(
    canvas: Canvas,
    design: DesignLike,
    pins: dict[str, Point],
    every: Sequence[Link],
    part: Part,
) -> tuple[float, set[str]]:
    """Draw the control and the resistors of a converter below it.

    Returns
    -------
    tuple
        The lowest y, and the references that were drawn.
    """
    own = reach(design.model, part)
    keys = [t.key for t in design.model.terminals if t.part in own]
    upper = {key: at for key, at in pins.items() if owner(key) == part.ref and _aside(key)}
    ends = set(keys) | set(upper)
    mine = [link for link in every if link.start in ends and link.end in ends]
    if not mine or not keys:
        return 0, set()
    mine.sort(key=lambda link: link.wire is None)
    return _Network(canvas, design, upper, keys, mine).draw(), {link.ref for link in mine}


def _aside(key: str) -> bool:
    """Whether a terminal of the regulator is neither input nor output."""
    return not pin(key).upper().startswith(("IN", "OUT"))


class _Network:
    """Regulator's pads above, control below, and a level for each link between them."""

    def __init__(
        self,
        canvas: Canvas,
        design: DesignLike,
        upper: dict[str, Point],
        keys: list[str],
        mine: Sequence[Link],
    ) -> None:
        self.canvas, self.design = canvas, design
        top = max((at[1] for at in upper.values()), default=250)
        self.levels = [(link, top + 30 + _LEVEL * number) for number, link in enumerate(mine)]
        self.low = top + 26 + _LEVEL * len(mine)
        legs = {link.ref for link in mine if link.wire is None}
        bodies = [key for key in keys if owner(key) not in legs]
        # The free leg of a resistor: a point where a lead is joined to it.
        self.free = [key for key in keys if owner(key) in legs]
        room = 110.0 + 70 * len(self.free)
        self.pins = _bodies(canvas, design, bodies, upper, (room, self.low + 12))
        edge = min((at[0] for at in self.pins.values()), default=200)
        self.pins |= {k: (edge - 48 - 70 * n, self.low) for n, k in enumerate(self.free)}
        self.upper = set(upper)
        self.pins |= upper

    def draw(self) -> float:
        """Draw it; returns the lowest y."""
        columns = self._columns()
        for link, y in self.levels:
            left, right = sorted((self.pins[link.start][0], self.pins[link.end][0]))
            self.canvas.line("wide", [(left, y), (right, y)])
            # The longest stretch of the level that no other conductor crosses.
            xs = [x for x, first, last in columns if left < x < right and first <= y <= last]
            clear = max(pairwise([left, *sorted(xs), right]), key=lambda pair: pair[1] - pair[0])
            _level(self.canvas, self.design, link, clear, y)
        return self.low + 60

    def _columns(self) -> list[tuple[float, float, float]]:
        """Draw a vertical line at each pin, with dots where levels join; (x, from, to) of each."""
        reach: dict[str, list[float]] = {}
        for link, y in self.levels:
            for key in (link.start, link.end):
                reach.setdefault(key, []).append(y)
        columns = []
        for key, ys in reach.items():
            x, start = self.pins[key]
            first, last = start, max(ys) if key in self.upper else min(ys)
            if key in self.free:
                first, last = min(ys), max(ys)
                symbols.ring(self.canvas, x, last)
                self.canvas.text((x, last + 17), f"{owner(key)}: {pin(key)}", "middle", SMALL)
            self.canvas.line("wide", [(x, first), (x, last)])
            columns.append((x, min(first, last), max(first, last)))
            for y in ys:
                if y not in (first, last):
                    self.canvas.dot(x, y)
        return columns


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
    canvas: Canvas,
    design: DesignLike,
    keys: list[str],
    upper: dict[str, Point],
    corner: Point,
) -> dict[str, Point]:
    """Potentiometers and resistors with terminals of their own, side by side; their pins.

    `corner` is the least x of a middle, and the y of all.
    """
    places: dict[str, Point] = {}
    least, y = corner
    refs = list(dict.fromkeys(owner(key) for key in keys))
    start = (max(at[0] for at in upper.values()) if upper else 380) - 74
    start = max(start, least + 240 * (len(refs) - 1))
    for ref in refs:
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
