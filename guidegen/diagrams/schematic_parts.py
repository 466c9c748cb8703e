"""The parts of the schematic, each with its symbol, its name and its terminals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from guidegen.design.model import Model, Part, owner
from guidegen.diagrams import symbols
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import clip, width
from guidegen.diagrams.source import (
    DesignLike,
    Link,
    letter,
    links,
    minus,
    pin,
    pole,
    rating,
)
from guidegen.diagrams.style import SMALL, TEXT
from guidegen.diagrams.svg import Canvas, Point

PLUS, MINUS = 84.0, 216.0
"""Heights of the positive and the negative line."""
_MIDDLE = (PLUS + MINUS) / 2
_CONVERTER, _BEFORE = 98, 16
_SHUNT = 24
"""From the middle to the conductors of a part that hangs between both lines."""
TAPS = (_MIDDLE - _SHUNT, _MIDDLE + _SHUNT)
"""Heights of these conductors."""


@dataclass
class Pins:
    """Where the terminals are on the paper: seen from their right, and from their left."""

    right: dict[str, Point] = field(default_factory=dict)
    left: dict[str, Point] = field(default_factory=dict)

    def put(self, key: str, y: float, left: float, right: float) -> None:
        """Enter a terminal that is met at different places from either side."""
        self.left[key], self.right[key] = (left, y), (right, y)


def kind_of(model: Model, part: Part) -> str:
    """How a part stands to the two lines.

    Returns
    -------
    str
        `source`, `converter`, `device` (in both lines), `pair` (a contact in each line), `shunt`
        (from one line to the other) or `series` (in one line).
    """
    names = [pin(key).upper() for key in terminals(model, part)]
    if letter(part.ref) == "G":
        return "source"
    if letter(part.ref) == "T":
        return "converter"
    if any(name.startswith("IN") for name in names) and any(
        name.startswith("OUT") for name in names
    ):
        return "device"
    if letter(part.ref) == "X":
        return "pair"
    poles = {pole(t.polarity) for t in model.terminals if t.part == part.ref}
    return "shunt" if poles >= {"+", "-"} else "series"


def terminals(model: Model, part: Part) -> list[str]:
    """Keys of a part's terminals."""
    return [t.key for t in model.terminals if t.part == part.ref]


def draw_part(
    canvas: Canvas, design: DesignLike, part: Part, x: float, room: float, pins: Pins
) -> None:
    """Draw a part of the chain between x and x + room."""
    kind = kind_of(design.model, part)
    if kind == "source":
        _source(canvas, design, part, pins)
    elif kind == "converter":
        _converter(canvas, design, part, x + _BEFORE, pins)
    elif kind == "device":
        _device(canvas, design, part, (x + 20, x + room - 20), pins)
    elif kind == "pair":
        _pair(canvas, design, part, x + room / 2, pins)
    else:
        _series(canvas, design, part, x + room / 2, pins)


def _name(canvas: Canvas, part: Part, text: str, x: float, room: float) -> None:
    """Designation and rating above a symbol."""
    canvas.text((x, PLUS - 46), part.ref, "middle")
    if text:
        canvas.text((x, PLUS - 28), clip(text, SMALL, room), "middle", SMALL)


def _line_of(model: Model, key: str) -> float:
    """The line that a terminal lies on: its polarity says, or its name."""
    polarity = pole(model.terminal(key).polarity)
    return MINUS if polarity == "-" or (not polarity and "−" in minus(pin(key))) else PLUS


def _source(canvas: Canvas, design: DesignLike, part: Part, pins: Pins) -> None:
    x = 30.0
    if design.facts.get("battery") or design.facts.get("vehicle"):
        symbols.battery(canvas, x, PLUS, MINUS)
    else:
        canvas.line("wide", [(x, PLUS), (x, _MIDDLE - 24)])
        canvas.line("wide", [(x, _MIDDLE + 24), (x, MINUS)])
        symbols.converter(canvas, Area(x - 24, _MIDDLE - 24, x + 24, _MIDDLE + 24), "~", "=")
    canvas.text((6, PLUS - 46), part.ref)
    for number, line in enumerate(rating(design, part).split(", ")):
        canvas.text((6, MINUS + 22 + 17 * number), clip(line, SMALL, 150), size=SMALL)
    for key in terminals(design.model, part):
        y = _line_of(design.model, key)
        pins.put(key, y, x, x)
        canvas.text((x - 14, y + 14 if y == PLUS else y - 4), minus(pin(key)), "middle", SMALL)


def _device(
    canvas: Canvas, design: DesignLike, part: Part, ends: tuple[float, float], pins: Pins
) -> None:
    """A stage that both lines go through: a frame with what it does."""
    area = Area(ends[0], PLUS - 24, ends[1], MINUS + 30)
    canvas.box("body", area)
    _name(canvas, part, rating(design, part), area.middle[0], 80)
    if letter(part.ref) == "K":
        canvas.text((area.middle[0], area.middle[1] + 5), "U <", "middle")
    for key in terminals(design.model, part):
        y = _line_of(design.model, key)
        inward = pin(key).upper().startswith("IN")
        x = area.x0 if inward else area.x1
        pins.put(key, y, x, x)
        # Beside one another they would touch: in above, out below the line.
        at = (area.x0 + 6, y - 4) if inward else (area.x1 - 6, y + 14)
        canvas.text(at, minus(pin(key)), "start" if inward else "end", SMALL)


def _pair(canvas: Canvas, design: DesignLike, part: Part, x: float, pins: Pins) -> None:
    """A contact in each line: plug and socket, or a screw that joins two wires."""
    screw = "junction" in part.role
    _name(canvas, part, rating(design, part), x, 60)
    lines: dict[float, list[str]] = {}
    for key in terminals(design.model, part):
        lines.setdefault(_line_of(design.model, key), []).append(key)
    for y, keys in lines.items():
        reach = 3 if screw else symbols.REACH
        if screw:
            symbols.ring(canvas, x, y)
        else:
            symbols.contact(canvas, x, y)
        if len(keys) > 1:  # both halves bear names of their own: what comes in, what goes on
            pins.put(keys[0], y, x - reach, x - reach)
            canvas.text((x - 14, y + 22 if y == PLUS else y - 12), minus(pin(keys[0])),
                        "middle", SMALL)  # fmt: skip
            pins.put(keys[-1], y, x + reach, x + reach)
        else:
            pins.put(keys[0], y, x - reach, x + reach)
        canvas.text((x + 12, y + 22 if y == PLUS else y - 12), minus(pin(keys[-1])),
                    "middle", SMALL)  # fmt: skip


def _series(canvas: Canvas, design: DesignLike, part: Part, x: float, pins: Pins) -> None:
    """A part in one of the lines; a third terminal of a watching device goes to the other."""
    keys = terminals(design.model, part)
    draw = {"F": symbols.fuse, "Q": symbols.switch, "K": symbols.cut_off}
    own = [key for key in keys if pin(key) in ("1", "2")] or keys[:2]
    y = _line_of(design.model, own[0]) if own else PLUS
    plain = draw.get(letter(part.ref), symbols.resistor)
    (symbols.thermal_cut_out if part.role == "thermal_cut_out" else plain)(canvas, x, y)
    _name(canvas, part, rating(design, part), x, 58)
    for key, way in zip(own, (-1, 1), strict=False):
        at = x + way * symbols.REACH
        pins.put(key, y, at, at)
        canvas.text((x + way * 14, y + 22), pin(key), "middle", SMALL)
    for key in keys:
        if key not in own:
            pins.put(key, MINUS, x, x)
            canvas.text((x, MINUS - 8), minus(pin(key)), "middle", SMALL)


def _converter(canvas: Canvas, design: DesignLike, part: Part, x: float, pins: Pins) -> None:
    """A converter: in at the left, out at the right, all else at the lower edge."""
    area = Area(x, PLUS - 24, x + _CONVERTER, MINUS + 30)
    x0, y0 = area.middle[0] - 20, area.middle[1] - 20
    canvas.box("body", area)
    after = "pulse" if "pulse" in part.role else "="
    symbols.converter(canvas, Area(x0, y0, x0 + 40, y0 + 40), "=", after)
    _name(canvas, part, rating(design, part), area.middle[0], 100)
    keys = terminals(design.model, part)
    low = [key for key in keys if not pin(key).upper().startswith(("IN", "OUT"))]
    for key in keys:
        if key in low:
            continue
        y, inward = _line_of(design.model, key), pin(key).upper().startswith("IN")
        edge = area.x0 if inward else area.x1
        pins.put(key, y, edge, edge)
        canvas.text((edge + (6 if inward else -6), y + 4), minus(pin(key)),
                    "start" if inward else "end", SMALL)  # fmt: skip
    for number, key in enumerate(low):
        at = area.x0 + _CONVERTER * (number + 0.5) / len(low)
        pins.put(key, area.y1, at, at)
        canvas.text((at, area.y1 - 6), minus(pin(key)), "middle", SMALL)


Way = tuple[str, list[Link], str]


def ways(model: Model, part: Part, known: set[str]) -> list[Way]:
    """How each terminal of a tap is joined to the chain, over resistors in its conductors.

    Parameters
    ----------
    known : set of str
        Parts of the chain; empty: whatever is no resistor.

    Returns
    -------
    list of tuple
        The part's own terminal, the conductors from there on, the terminal that they end at.
    """
    every, found = links(model), []
    for own in terminals(model, part):
        key, path = own, list[Link]()
        for _ in every:
            onward = [link for link in every if key in (link.start, link.end) and link not in path]
            if not onward:
                break
            path.append(onward[0])
            key = onward[0].end if key == onward[0].start else onward[0].start
            # A resistor of another tap: that one's own conductor goes on from there.
            shared = any(key in (link.start, link.end) and link not in path for link in every)
            if owner(key) in known or letter(key) != "R" or shared:
                break
            key = next((k for k in terminals(model, model.part(owner(key))) if k != key), key)
        if path:
            found.append((own, path, key))
    return found


def draw_shunt(
    canvas: Canvas, design: DesignLike, part: Part, at: tuple[float, int, float], pins: Pins
) -> set[str]:
    """Draw a part that hangs between both lines, with its conductors and resistors in them.

    Each conductor leaves its line beside the terminal that it is joined to.

    Parameters
    ----------
    at : tuple
        x of its middle, how many such parts were drawn before it, and the edge towards the figure
        with what feeds it.

    Returns
    -------
    set of str
        References of the conductors that were drawn.
    """
    (x, number, edge), model = at, design.model
    every = links(model)
    symbols.round_part(canvas, x, _MIDDLE, letter(part.ref))
    drawn: set[str] = set()
    for key, path, far in ways(model, part, {owner(pin_key) for pin_key in pins.right}):
        y = _line_of(model, key)
        way = -1 if y == PLUS else 1
        level = _MIDDLE + way * _SHUNT
        canvas.line("wide", [(x, _MIDDLE + way * 16), (x, level)])
        canvas.text((x + 12, level + (12 if way < 0 else -3)), minus(pin(key)), size=SMALL)
        if far not in pins.right and len(path) == 1:
            pins.put(key, level, x, x)  # goes on in another figure
            continue
        if far not in pins.right:
            # What feeds it stands in another figure; its resistor is drawn here.
            canvas.line("wide", [(edge, level), (x, level)])
            canvas.text((edge, level - 6), minus(far), "start" if edge < x else "end", SMALL)
            drawn |= _in_line(canvas, design, path, (x, edge), (level, way))
            continue
        start, side = pins.right[far], 1
        if start[0] > x:
            start, side = pins.left[far], -1
        tap = start[0] + side * (7 + 5 * number)
        canvas.line("wide", [(tap, start[1]), (tap, level), (x, level)])
        if _goes_on(every, far, path[-1].ref):
            canvas.dot(tap, start[1])
        else:
            canvas.line("wide", [start, (tap, start[1])])
        drawn |= _in_line(canvas, design, path, (x, tap), (level, way))
    beside = clip(f"{part.ref} {rating(design, part)}".strip(), SMALL, 90)
    half = 20 + width(beside, SMALL) / 2
    found = canvas.field.spot(beside, SMALL, [(x - half, _MIDDLE), (x + half, _MIDDLE)])
    canvas.text(found or (x - 20, _MIDDLE + 4), beside, "middle" if found else "end", SMALL)
    return drawn


def _in_line(
    canvas: Canvas,
    design: DesignLike,
    path: Sequence[Link],
    ends: tuple[float, float],
    at: tuple[float, int],
) -> set[str]:
    """Numbers of the conductors of one way, from the part on, with the resistors between."""
    level, way = at
    step = (ends[1] - ends[0]) / len(path)
    for number, link in enumerate(path):
        _beside(canvas, link.ref, ends[0] + step * (number + 0.5), level, way)
    for number, (one, other) in enumerate(pairwise(path), 1):
        shared = {owner(one.start), owner(one.end)} & {owner(other.start), owner(other.end)}
        x = ends[0] + step * number
        symbols.resistor(canvas, x, level)
        for ref in sorted(shared):
            text = clip(f"{ref} {design.model.part(ref).rating}".strip(), SMALL, 90)
            y = level - way * 20 + 4
            spots = [(x + dx, y - way * dy) for dy in (0, 5) for dx in (0, -6, 6, -12, 12)]
            canvas.text(canvas.field.spot(text, SMALL, spots) or (x, y), text, "middle", SMALL)
    return {link.ref for link in path}


def _goes_on(every: Sequence[Link], key: str, own: str) -> bool:
    """Whether another conductor leaves the same terminal."""
    return any(key in (link.start, link.end) and link.ref != own for link in every)


def _beside(canvas: Canvas, text: str, x: float, y: float, way: int) -> None:
    spots = [(x + dx, y + dy) for dy in (way * 11, -way * 11) for dx in (0, -10, 10, -24, 24)]
    found = canvas.field.spot(text, TEXT, spots)
    canvas.text(found or (x, y - 5), text, "middle")
