"""The schematic: chain from the left, rows to the right, control network below the regulator."""

from __future__ import annotations

from collections.abc import Sequence

from guidegen.design.model import Conductor, Model, Part
from guidegen.diagrams import symbols
from guidegen.diagrams.dimension import rows_of_text
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import clip
from guidegen.diagrams.schematic_control import network
from guidegen.diagrams.schematic_rows import feed_room, panel, width_of
from guidegen.diagrams.source import (
    DesignLike,
    Link,
    chain_parts,
    letter,
    links,
    minus,
    pin,
    ranges,
    rating,
)
from guidegen.diagrams.style import SHEET, SMALL
from guidegen.diagrams.svg import Canvas, Figure, Point

PLUS, MINUS = 84.0, 216.0
"""Heights of the positive and the negative line."""
_SOURCE, _REGULATOR, _BEFORE = 30, 98, 16
_BETWEEN = 18
"""More room between two modules, for the numbers of the wires from one to the next."""
_DEVICE = 120
"""Room of a stage that both lines go through, such as a cut-off."""


def schematic(design: DesignLike) -> Figure | None:
    """Draw the whole circuit; conductors of equal rows are drawn for the first and the last."""
    model = design.model
    parts = chain_parts(model)
    if not parts:
        return None
    sides = _rail_sides(model)
    stages = [p for p in parts if letter(p.ref) not in "GT"]
    modules = max(1, sum(letter(p.ref) == "T" for p in parts))
    tail = (
        modules * (_BEFORE + _REGULATOR)
        + (modules - 1) * _BETWEEN
        + feed_room(sides)
        + width_of(sides)
        + 12
    )
    extra = _DEVICE * sum(_both_lines(model, stage) for stage in stages)
    single = sum(not _both_lines(model, stage) for stage in stages)
    pitch = min(92.0, max(60.0, (SHEET - 52 - tail - extra) / max(single, 1)))
    canvas = Canvas("schematic", max(SHEET, 52 + pitch * single + extra + tail))
    pins: dict[str, Point] = {}
    x = 52.0
    for part in parts:
        if letter(part.ref) == "G":
            _source(canvas, design, part, pins)
        elif letter(part.ref) == "T":
            second = any(letter(key) == "T" for key in pins)
            x += _BEFORE + _BETWEEN * second
            _regulator(canvas, design, part, x, pins)
            x += _REGULATOR
        elif _both_lines(model, part):
            _device(canvas, design, part, x, pins)
            x += _DEVICE
        else:
            _stage(canvas, design, part, x + pitch / 2, pins)
            x += pitch
    _mates(canvas, model, parts, pins)
    every = links(model)
    drawn = _straight(canvas, every, pins)
    low = MINUS
    low = max(low, panel(canvas, design, pins, x + feed_room(sides), sides))
    control_low, more = network(canvas, design, pins, every)
    drawn |= more | {w.ref for w in model.conductors if w.role in ("jumper", "feed")}
    low = rows_of_text(canvas, _notes(model, every, drawn), max(low, control_low) + 8)
    return canvas.figure(
        low,
        f"Schematic: {parts[0].ref} to rows "
        f"{ranges(p.ref for p in model.by_role('row'))}, every part, terminal and wire numbered",
        "; ".join(f"{link.marks}: {link.start} to {link.end}" for link in every[:200]),
        "Schematic. A dot is a join; lines that cross without a dot do not join.",
    )


def _rail_sides(model: Model) -> tuple[list[Part], list[Part]]:
    """Rails to the left and to the right of the rows, outermost first."""
    middle = model.board.x + model.board.width / 2

    def place(rail: Part) -> float:
        xs = [t.at[0] for t in model.terminals if t.part == rail.ref and t.at]
        return sum(xs) / len(xs) if xs else model.board.x

    rails = sorted(model.by_role("rail"), key=place)
    left = [rail for rail in rails if place(rail) < middle]
    return left, [rail for rail in reversed(rails) if place(rail) >= middle]


def _terminals(model: Model, part: Part) -> list[str]:
    return [t.key for t in model.terminals if t.part == part.ref]


def _name(canvas: Canvas, part: Part, text: str, x: float, room: float) -> None:
    """Designation and rating above a symbol."""
    canvas.text((x, PLUS - 46), part.ref, "middle")
    if text:
        canvas.text((x, PLUS - 28), clip(text, SMALL, room), "middle", SMALL)


def _source(canvas: Canvas, design: DesignLike, part: Part, pins: dict[str, Point]) -> None:
    x, middle = float(_SOURCE), (PLUS + MINUS) / 2
    if design.facts.get("battery"):
        symbols.battery(canvas, x, PLUS, MINUS)
    else:
        canvas.line("wide", [(x, PLUS), (x, middle - 24)])
        canvas.line("wide", [(x, middle + 24), (x, MINUS)])
        symbols.converter(canvas, Area(x - 24, middle - 24, x + 24, middle + 24), "~", "=")
    canvas.text((6, PLUS - 46), part.ref)
    for number, line in enumerate(rating(design, part).split(", ")):
        canvas.text((6, MINUS + 22 + 17 * number), clip(line, SMALL, 150), size=SMALL)
    for key in _terminals(design.model, part):
        y = PLUS if "+" in pin(key) else MINUS
        pins[key] = (x, y)
        canvas.text((x - 14, y + 14 if y == PLUS else y - 4), minus(pin(key)), "middle", SMALL)


def _both_lines(model: Model, part: Part) -> bool:
    """Whether a stage has terminals in and out on both lines."""
    return letter(part.ref) in "QK" and len(_terminals(model, part)) >= 4


def _device(
    canvas: Canvas, design: DesignLike, part: Part, x: float, pins: dict[str, Point]
) -> None:
    """A stage that both lines go through: a frame with what it does."""
    area = Area(x + 20, PLUS - 24, x + _DEVICE - 20, MINUS + 30)
    canvas.box("body", area)
    _name(canvas, part, rating(design, part), area.middle[0], 80)
    if letter(part.ref) == "K":
        canvas.text((area.middle[0], area.middle[1] + 5), "U <", "middle")
    for key in _terminals(design.model, part):
        y = PLUS if "+" in pin(key) else MINUS
        inward = pin(key).upper().startswith("IN")
        pins[key] = (area.x0 if inward else area.x1, y)
        # Beside one another they would touch: in above, out below the line.
        at = (area.x0 + 6, y - 4) if inward else (area.x1 - 6, y + 14)
        canvas.text(at, minus(pin(key)), "start" if inward else "end", SMALL)


def _stage(
    canvas: Canvas, design: DesignLike, part: Part, x: float, pins: dict[str, Point]
) -> None:
    """One stage: a connector on both lines, anything else in the positive line."""
    keys = _terminals(design.model, part)
    if letter(part.ref) == "X":
        _name(canvas, part, rating(design, part), x, 60)
        for key in keys:
            y = PLUS if "+" in pin(key) else MINUS
            symbols.contact(canvas, x, y)
            pins[key] = (x + symbols.REACH, y)
            canvas.text((x + 12, y + 22 if y == PLUS else y - 12), minus(pin(key)), "middle", SMALL)
        return
    draw = {"F": symbols.fuse, "Q": symbols.switch, "K": symbols.cut_off}
    draw.get(letter(part.ref), symbols.resistor)(canvas, x, PLUS)
    _name(canvas, part, rating(design, part), x, 58)
    ahead = [key for key in keys if "−" not in pin(key) and "-" not in pin(key)]
    for key, way in zip(ahead, (-1, 1), strict=False):
        pins[key] = (x + way * symbols.REACH, PLUS)
        canvas.text((x + way * 14, PLUS + 22), pin(key), "middle", SMALL)
    for key in keys:
        pins.setdefault(key, (x, MINUS))


def _regulator(
    canvas: Canvas, design: DesignLike, part: Part, x: float, pins: dict[str, Point]
) -> None:
    """The regulator: in at the left, out at the right, all else at the lower edge."""
    area = Area(x, PLUS - 24, x + _REGULATOR, MINUS + 30)
    x0, y0 = area.middle[0] - 20, area.middle[1] - 20
    canvas.box("body", area)
    after = "pulse" if part.role == "pulse_width" else "="
    symbols.converter(canvas, Area(x0, y0, x0 + 40, y0 + 40), "=", after)
    _name(canvas, part, rating(design, part), area.middle[0], 100)
    keys = _terminals(design.model, part)
    low = [key for key in keys if not pin(key).upper().startswith(("IN", "OUT"))]
    for key in keys:
        name = pin(key).upper()
        y = PLUS if "+" in name else MINUS
        if name.startswith("IN"):
            pins[key] = (area.x0, y)
            canvas.text((area.x0 + 6, y + 4), minus(pin(key)), size=SMALL)
        elif name.startswith("OUT"):
            pins[key] = (area.x1, y)
            canvas.text((area.x1 - 6, y + 4), minus(pin(key)), "end", SMALL)
    for number, key in enumerate(low):
        at = area.x0 + _REGULATOR * (number + 0.5) / len(low)
        pins[key] = (at, area.y1)
        canvas.text((at, area.y1 - 6), pin(key), "middle", SMALL)


def _mates(canvas: Canvas, model: Model, parts: Sequence[Part], pins: dict[str, Point]) -> None:
    """A plug that goes into the source joins it without a conductor."""
    sources = [p for p in parts if letter(p.ref) == "G"]
    plugs = [p for p in parts if letter(p.ref) == "X"]
    joined = {key for link in links(model) for key in (link.start, link.end)}
    if not sources or not plugs or joined & set(_terminals(model, sources[0])):
        return
    for key in _terminals(model, plugs[0]):
        x, y = pins[key]
        canvas.line("wide", [(_SOURCE, y), (x - 2 * symbols.REACH, y)])


def _straight(canvas: Canvas, every: Sequence[Link], pins: dict[str, Point]) -> set[str]:
    """Conductors whose ends lie on one of the two lines."""
    drawn = set()
    for link in every:
        a, b = pins.get(link.start), pins.get(link.end)
        if a is None or b is None or a[1] != b[1] or a[1] not in (PLUS, MINUS):
            continue
        canvas.line("wide", [a, b])
        middle = (a[0] + b[0]) / 2
        canvas.text((middle, a[1] - 6), link.ref, "middle")
        drawn.add(link.ref)
    return drawn


def _notes(model: Model, every: Sequence[Link], drawn: set[str]) -> list[str]:
    """What is not drawn: rows between the first and the last, sizes, and conductors left over."""
    rows = model.by_role("row")
    notes = []
    jumpers = model.wires("jumper")
    if len(rows) > 2:
        notes.append(f"Rows {ranges(r.ref for r in rows[1:-1])} as {rows[0].ref}.")
    if jumpers:
        notes.append(
            f"Jumpers {ranges(w.ref for w in jumpers)}: as drawn at the first and last row."
        )
    notes += _sizes(model)
    left = [link for link in every if link.ref not in drawn]
    notes += [f"{link.ref}: {link.start} to {link.end}, not drawn." for link in left]
    free = sorted({t.name for t in model.terminals if t.unused})
    if free:
        notes.append(
            f"Row ends {', '.join(minus(name) for name in free)} stay free where no wire is drawn."
        )
    return notes


def _sizes(model: Model) -> list[str]:
    """Sizes and colours of conductors, equal ones together."""
    kinds: dict[str, list[Conductor]] = {}
    for wire in model.conductors:
        if wire.role != "jumper":
            kinds.setdefault(f"{wire.size_text} {wire.colour}", []).append(wire)
    return [f"{ranges(w.ref for w in wires)}: {text}" for text, wires in kinds.items()]
