"""The box from the back: where its parts are, and every conductor from terminal to terminal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from guidegen.design.model import Model, Part
from guidegen.diagrams.dimension import inside, rows_of_text
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import clip
from guidegen.diagrams.source import (
    DesignLike,
    Link,
    body,
    called,
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
from guidegen.diagrams.svg import Canvas, Figure, circle, rectangle
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
    canvas.text((x + 6, column.top + 17), clip(f"{part.ref} {words(part)}", TEXT, _BOX - 12))
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
    bodies: list[tuple[float, float, float]] = []
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
            bodies.append((x, y0, y1))
    for x, y0, y1 in bodies:
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


def control(design: DesignLike) -> Figure | None:
    """Draw the control from the back with what is joined to its lugs; None without one."""
    model = design.model
    found = [part for part in model.by_role("control") if _lugs(model, part)]
    if not found:
        return None
    part = found[0]
    canvas = Canvas("control-back")
    canvas.text((8, 18), clip(f"{part.ref} {called(part)}", TITLE, 340), size=TITLE)
    canvas.text((8, 38), "Seen from the back: lugs up, shaft away from you")
    lugs = _lugs(model, part)
    ends = [link for link in links(model) if part.ref in (owner(link.start), owner(link.end))]
    outer = [link for link in ends if owner(link.start) != owner(link.end)]
    own = [link for link in ends if owner(link.start) == owner(link.end)]
    top = 78 + 22 * len(outer) + 44 * len(own)
    xs = {key: 96 + 84 * number for number, key in enumerate(lugs)}
    _leads(canvas, model, outer, xs, top)
    _bridges(canvas, own, xs, 78 + 22 * len(outer))
    _can(canvas, model, xs, top)
    legs = [link.ref for link in ends if link.wire is None]
    notes = [f"{ref}: {called(model.part(ref))} {model.part(ref).rating}" for ref in legs]
    notes += ["Lug 2 is the wiper. Order of lugs: from memory;", "prove it with the ohmmeter."]
    low = rows_of_text(canvas, notes, top + 246)
    return canvas.figure(
        low,
        f"Control {part.ref} from the back: lugs 1, 2 (wiper), 3 from left to right with their leads",
        "; ".join(f"{link.ref}: {link.start} to {link.end}" for link in ends),
        f"Control {part.ref} seen from the back, lugs up.",
    )


def _lugs(model: Model, part: Part) -> list[str]:
    return [terminal.key for terminal in model.terminals if terminal.part == part.ref][:3]


def _leads(
    canvas: Canvas, model: Model, outer: Sequence[Link], xs: dict[str, float], low: float
) -> None:
    """Leads go up: right lug highest, its words to the left; then the left one, then the middle."""
    order = {key: rank for key, rank in zip(xs, (1, 2, 0), strict=False)}
    last = max(xs.values())
    used: dict[str, int] = {}
    bodies: list[tuple[float, float]] = []

    def lug(link: Link) -> str:
        return link.start if link.start in xs else link.end

    for number, link in enumerate(sorted(outer, key=lambda link: order[lug(link)])):
        key = lug(link)
        y = 62 + 22 * number
        # Leads at one lug stand side by side.
        x = xs[key] - 10 + 6 * used.setdefault(key, 0)
        used[key] += 1
        canvas.line("wide", [(x, low + 4), (x, y)])
        far = link.end if key == link.start else link.start
        aside = -7 if xs[key] == last else 7
        text = f"{link.marks} to {minus(far)}"
        if link.wire is None:
            text = f"{link.ref}, then {_onward(model, far)}"
            bodies.append((x, (y + low) / 2 + 10))
        canvas.text((x + aside, y + 8), text, "end" if aside < 0 else "start")
    for x, y in bodies:
        upright_resistor(canvas, x, y, 14)


def _onward(model: Model, key: str) -> str:
    """What is joined to the free leg of a resistor."""
    for link in links(model):
        if link.wire and key in (link.start, link.end):
            return f"{link.marks} to {minus(link.end if key == link.start else link.start)}"
    return "free"


def _bridges(canvas: Canvas, own: Sequence[Link], xs: dict[str, float], top: float) -> None:
    """Resistors from lug to lug, each on a level of its own."""
    low = top + 44 * len(own) + 4
    for number, link in enumerate(own):
        y = top + 30 + 44 * number
        aside = 11 - 5 * number
        a, b = sorted((xs[link.start] + aside, xs[link.end] + aside))
        canvas.line("wide", [(a, low), (a, y), (b, y), (b, low)])
        # Clear of the middle lug's lead.
        middle = (a + b) / 2 if b - a < 120 else a + (b - a) / 4
        if link.wire is None:
            canvas.box("body", Area(middle - 20, y - 7, middle + 20, y + 7))
        canvas.text((middle, y - 12), link.marks, "middle")


def _can(canvas: Canvas, model: Model, xs: dict[str, float], top: float) -> None:
    """The round case with its lugs."""
    middle = sum(xs.values()) / len(xs)
    canvas.shape("body", circle(middle, top + 134, 104))
    canvas.path("hidden", circle(middle, top + 134, 13))
    for key, x in xs.items():
        canvas.shape("body", rectangle(x - 16, top, 32, 52))
        canvas.shape("plate", circle(x, top + 12, 5))
        canvas.text((x, top + 42), pin(key), "middle")
    canvas.text((middle, top + 168), "shaft on the far side", "middle")
