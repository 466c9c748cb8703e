"""The box from the back: where its parts are, and every conductor from terminal to terminal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from guidegen.design.model import Box, Model, Part
from guidegen.diagrams.dimension import inside, rows_of_text
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import clip
from guidegen.diagrams.source import (
    DesignLike,
    Link,
    body,
    letter,
    links,
    minus,
    owner,
    pin,
    ranges,
    union,
    words,
)
from guidegen.diagrams.style import SHEET, TEXT, TITLE
from guidegen.diagrams.svg import Canvas, Figure, rectangle
from guidegen.diagrams.symbols import through, upright_resistor
from guidegen.diagrams.view import View

_ROW, _HEAD = 24, 24
_BOX, _STUB = 172, 90


@dataclass
class Column:
    """Parts one below another, with a row for each conductor's end."""

    edge: float
    """x where the conductors leave."""
    way: int
    """+1: they leave to the right."""
    top: float
    ends: dict[tuple[str, str], float] = field(default_factory=dict)
    """y of each (terminal, conductor)."""


def wiring(design: DesignLike) -> Figure | None:
    """Draw the connections in the box; None if the design has none."""
    model = design.model
    joined = [link for link in links(model) if not (link.wire and link.wire.role == "jumper")]
    if not joined:
        return None
    canvas = Canvas("wiring-back", SHEET)
    canvas.text((8, 18), "Seen from the back, lid off", size=TITLE)
    low = _plan(canvas, design)
    canvas.text((8, low + 20), "Conductors, terminal to terminal (not to scale)")
    left, right = Column(8 + _BOX, 1, low + 34), Column(SHEET - 8 - _BOX, -1, low + 34)
    for part in _parts(model, joined):
        _terminals(canvas, left if letter(part.ref) in "GXFQKW" else right, part, model, joined)
    _tracks(canvas, joined, left, right)
    notes = ["Solid +, dashed −, dotted: control. Lines that cross without a dot do not join.",
             *_colours(joined)]  # fmt: skip
    low = rows_of_text(canvas, notes, max(left.top, right.top) + 4)
    names = ranges(link.ref for link in joined)
    return canvas.figure(
        low,
        f"Wiring drawing of the box from the back: conductors {names} from terminal to terminal",
        "; ".join(f"{link.marks}: {link.start} to {link.end}" for link in joined),
        "Wiring of the box, seen from the back. Every conductor bears its number at both ends.",
    )


def _colours(joined: Sequence[Link]) -> list[str]:
    """The letters of the colours in words, after IEC 60757 (from memory)."""
    names = {"BK": "black", "BN": "brown", "RD": "red", "OG": "orange", "YE": "yellow",
             "GN": "green", "BU": "blue", "VT": "violet", "GY": "grey", "WH": "white",
             "PK": "pink", "TQ": "turquoise"}  # fmt: skip
    used = {link.wire.colour for link in joined if link.wire}
    known = [f"{short} {names[short]}" for short in names if short in used]
    return [f"Colours: {', '.join(known)}."] if known else []


def _parts(model: Model, joined: Sequence[Link]) -> list[Part]:
    owners = {owner(key) for link in joined for key in (link.start, link.end)}
    return [part for part in model.parts if part.ref in owners]


def _terminals(
    canvas: Canvas, column: Column, part: Part, model: Model, joined: Sequence[Link]
) -> None:
    """Draw a part with its terminals, and note where each conductor's end is."""
    rows: list[tuple[str, Link | None]] = []
    for terminal in model.terminals:
        if terminal.part != part.ref:
            continue
        ends = [link for link in joined if terminal.key in (link.start, link.end)]
        if ends or part.role != "rail":
            rows += [(terminal.key, link) for link in ends] or [(terminal.key, None)]
    x = column.edge - _BOX if column.way > 0 else column.edge
    high = _HEAD + _ROW * len(rows)
    canvas.box("body", Area(x, column.top, x + _BOX, column.top + high))
    name = " ".join(text for text in (part.ref, minus(part.polarity), words(part)) if text)
    canvas.text((x + 6, column.top + 17), clip(name, TEXT, _BOX - 12))
    y, seen = column.top + _HEAD + _ROW / 2 - 2, ""
    for key, link in rows:
        if key != seen:
            align = "end" if column.way > 0 else "start"
            name = clip(minus(pin(key)), TEXT, _BOX - 40)
            canvas.text((column.edge - column.way * 8, y + 5), name, align)
        seen = key
        if part.role == "rail":
            through(canvas, column.edge, y)
        if link:
            column.ends[key, link.ref] = y
        y += _ROW
    column.top += high + 12


def _tracks(canvas: Canvas, joined: Sequence[Link], left: Column, right: Column) -> None:
    """Lead every conductor over a vertical track of its own between the columns."""
    start, end = left.edge + _STUB, right.edge - _STUB
    step = (end - start) / (len(joined) + 1)
    resistors: list[tuple[float, float, float]] = []
    for number, link in enumerate(sorted(joined, key=lambda link: _order(link, left, right)), 1):
        x = start + step * number
        places = []
        for key in (link.start, link.end):
            column = left if (key, link.ref) in left.ends else right
            if (key, link.ref) in column.ends:
                places.append((column, column.ends[key, link.ref]))
        if len(places) < 2:
            continue
        (one, y0), (other, y1) = places
        style = {"+": "wide", "-": "minus"}.get(link.polarity, "signal")
        canvas.line(style, [(one.edge, y0), (x, y0), (x, y1), (other.edge, y1)])
        for column, y in places:
            _stub(canvas, link, column, y)
        if link.wire is None:
            resistors.append((x, y0, y1))
    for x, y0, y1 in resistors:
        # Between two rows, so that no other conductor seems to end in the resistor.
        rows = round(abs(y1 - y0) / _ROW)
        upright_resistor(canvas, x, min(y0, y1) + _ROW * ((rows - 1) // 2 + 0.5), 9)


def _stub(canvas: Canvas, link: Link, column: Column, y: float) -> None:
    align = "start" if column.way > 0 else "end"
    text = clip(link.marks, TEXT, _STUB - 8)
    canvas.text((column.edge + column.way * 7, y - 4), text, align)


def _order(link: Link, left: Column, right: Column) -> tuple[int, float]:
    """Links within a column stay near it, short ones nearest; the others lie between."""
    sides, ys = [], []
    for key in (link.start, link.end):
        for column in (left, right):
            if (key, link.ref) in column.ends:
                sides.append(column.way)
                ys.append(column.ends[key, link.ref])
    span = max(ys) - min(ys) if ys else 0
    if sides == [1, 1]:
        return 0, span
    return (2, -span) if sides == [-1, -1] else (1, -sum(ys))


def _plan(canvas: Canvas, design: DesignLike) -> float:
    """The parts in their true places; returns where the plan ends."""
    model = design.model
    placed = [p for p in model.parts if p.box and p.side == "back" and letter(p.ref) in "FQKTRX"]
    outer = body(design).case or union(part.box for part in placed)
    if len(placed) < 2 or outer is None:
        return 22
    scale = min((SHEET - 200) / outer.width, 190 / outer.height)
    placed = [p for p in placed if p.box and _within(p.box, outer)]
    view = View(100, 34, scale, outer, mirrored=True)
    canvas.box("body", view.area(outer))
    for part in model.by_role("wall"):
        if part.box:
            area = view.area(part.box)
            canvas.path("hidden", rectangle(area.x0, area.y0, area.width, area.height))
    for part in placed:
        if part.box:
            canvas.box("tinted", view.area(part.box))
    for part in placed:
        if part.box:
            inside(canvas, view.area(part.box).middle, part.ref)
    edge = view.area(outer)
    canvas.text((edge.x0, edge.y1 + 17), "Plan, to scale; conductors left out")
    return edge.y1 + 26


def _within(box: Box, outer: Box) -> bool:
    """Whether the middle of a box lies in another."""
    x, y = box.x + box.width / 2 - outer.x, box.y + box.height / 2 - outer.y
    return 0 <= x <= outer.width and 0 <= y <= outer.height
