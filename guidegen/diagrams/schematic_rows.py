"""The right-hand side of the schematic: rails, the first and the last row, jumpers and feeds."""

from __future__ import annotations

from itertools import pairwise

from guidegen.design.model import Model, Part, Terminal, owner
from guidegen.diagrams import symbols
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import width
from guidegen.diagrams.source import DesignLike, minus, pin, shown
from guidegen.diagrams.style import SMALL, TEXT
from guidegen.diagrams.svg import Canvas, Point, polyline

_HIGH, _TRACK = 112, 21
"""Height of one row's frame; from its edge to the track."""
_WIDE, _JUMPER, _RAIL = 96, 46, 18
_TOP, _PITCH = 112, 164


def rail_sides(model: Model) -> tuple[list[Part], list[Part]]:
    """Rails to the left and to the right of the rows, outermost first."""
    middle = model.board.width / 2
    lefts = {part.panel: part.box.x for part in model.by_role("board") if part.box}

    def place(rail: Part) -> float:
        left = lefts.get(rail.panel, model.board.x)
        xs = [t.at[0] - left for t in model.terminals if t.part == rail.ref and t.at]
        return sum(xs) / len(xs) if xs else 0.0

    rails = sorted(model.by_role("rail"), key=place)
    left = [rail for rail in rails if place(rail) < middle]
    return left, [rail for rail in reversed(rails) if place(rail) >= middle]


def feed_room(sides: tuple[list[Part], list[Part]]) -> float:
    """From the regulator to the first rail; two rails there want their names between."""
    return 58 if len(sides[0]) < 2 else 84


def width_of(sides: tuple[list[Part], list[Part]]) -> float:
    """How wide rails and rows are, from the first rail to the last."""
    rails = sum(_RAIL * max(len(side) - 1, 0) for side in sides)
    return rails + 2 * _JUMPER + _WIDE


def panel(
    canvas: Canvas,
    design: DesignLike,
    pins: dict[str, Point],
    x: float,
    sides: tuple[list[Part], list[Part]],
) -> float:
    """Draw rails and rows from x on; returns the lowest y."""
    model = design.model
    rows = model.by_role("row")
    if not rows:
        return 0
    left = x + _RAIL * max(len(sides[0]) - 1, 0) + _JUMPER
    places = {rail.ref: x + _RAIL * number for number, rail in enumerate(sides[0])}
    right = left + _WIDE + _JUMPER + _RAIL * max(len(sides[1]) - 1, 0)
    places |= {rail.ref: right - _RAIL * number for number, rail in enumerate(sides[1])}
    drawn = drawn_rows(model)
    tops = [_TOP + _PITCH * number for number in range(len(drawn))]
    ends: dict[str, list[float]] = {ref: [] for ref in places}
    for row, top in zip(drawn, tops, strict=True):
        _row(canvas, design, row, Area(left, top, left + _WIDE, top + _HIGH))
        _jumpers(canvas, model, row, Area(left, top, left + _WIDE, top + _HIGH), places, ends)
    middle = left + _WIDE / 2
    for upper, lower in pairwise(tops):
        ends_here = [(middle, upper + _HIGH + 6), (middle, lower - 22)]
        canvas.path("hidden", polyline(ends_here))
    return _feeds(canvas, model, pins, places, ends, (tops[0] + _HIGH + tops[-1]) / 2)


def drawn_rows(model: Model) -> list[Part]:
    """The first row and the last; of several panels the first of each."""
    if len(model.panels) > 1:
        return [panel.by_role("row")[0] for panel in model.panels]
    rows = model.by_role("row")
    return rows[:1] + rows[1:][-1:]


def _row(canvas: Canvas, design: DesignLike, row: Part, area: Area) -> None:
    """Two tracks with a group of LEDs and resistor or chip between them: how tape is made."""
    canvas.path("hidden", polyline([(area.x0, area.y0), (area.x1, area.y0), (area.x1, area.y1),
                                    (area.x0, area.y1)], close=True))  # fmt: skip
    plus, low = area.y0 + _TRACK, area.y1 - _TRACK
    canvas.line("wide", [(area.x0, plus), (area.x1, plus)])
    canvas.line("wide", [(area.x0, low), (area.x1, low)])
    x = area.x0 + 24
    canvas.line("wide", [(x, plus), (x, low)])
    canvas.dot(x, plus)
    canvas.dot(x, low)
    symbols.led(canvas, x, plus + 8)
    symbols.upright_resistor(canvas, x, low - 20)
    series = shown(design, "tape.leds_per_group")
    groups = shown(design, "row.groups")
    beside = "+ IC" if design.facts.get("constant_current") else "+ R"
    lines = [f"{series} LED" if series else "LED", beside, f"× {groups}" if groups else ""]
    for number, line in enumerate(line for line in lines if line):
        canvas.text((x + 22, plus + 22 + 16 * number), line, size=SMALL)
    pads = [terminal for terminal in design.model.terminals if terminal.part == row.ref]
    fed = any(_share(row, terminal) == 0.5 for terminal in pads)
    at = (area.middle[0] + 30, area.y0 - 4) if fed else (area.middle[0], area.y0 - 6)
    canvas.text(at, row.ref, "start" if fed else "middle")
    for terminal in pads:
        share, upper = _share(row, terminal), "+" in terminal.name
        x = {0.0: area.x0 + 4, 0.5: _feed_x(area) - 4}.get(share, area.x1 - 4)
        canvas.text((x, plus - 5 if upper else low + 15), minus(terminal.name),
                    "end" if share else "start", SMALL)  # fmt: skip


def _share(row: Part, pad: Terminal) -> float:
    """0 at the left end of a row, 1 at its right end, 0.5 anywhere between."""
    if row.box is None or pad.at is None:
        return 0.0 if pad.name.startswith("L") else 1.0
    if abs(pad.at[0] - row.box.x) < row.box.height:
        return 0.0
    return 1.0 if abs(pad.at[0] - row.box.x - row.box.width) < row.box.height else 0.5


def _feed_x(area: Area) -> float:
    """Where a row is joined that is fed between its ends."""
    return area.middle[0] + 12


def _jumpers(
    canvas: Canvas,
    model: Model,
    row: Part,
    area: Area,
    places: dict[str, float],
    ends: dict[str, list[float]],
) -> None:
    """Jumpers from the row's ends to the rails; their taps are noted in `ends`."""
    for wire in model.wires("jumper"):
        keys = {owner(key): key for key in (wire.start, wire.end)}
        if row.ref not in keys:
            continue
        rail = next((ref for ref in keys if ref in places), "")
        if not rail:
            continue
        name = pin(keys[row.ref])
        y = area.y0 + _TRACK if "+" in name else area.y1 - _TRACK
        left = places[rail] < area.x0
        edge = area.x0 if left else area.x1
        points = [(edge, y), (places[rail], y)]
        if _share(row, model.terminal(keys[row.ref])) == 0.5:
            # From the track straight out of the tape, then past its end.
            x, out = _feed_x(area), area.y0 - 10 if "+" in name else area.y1 + 10
            canvas.dot(x, y)
            points, y = [(x, y), (x, out), (places[rail], out)], out
        canvas.line("wide", points)
        canvas.dot(places[rail], y)
        ends[rail].append(y)
        half = width(wire.ref, TEXT) / 2 + 4
        up = -10 if "+" in name else 10
        x = edge + (-half if left else half)
        spots = [(x, y + up), (x + 24, y + up), (x, y - up), (x + 24, y - up), (x - 24, y - up)]
        found = canvas.field.spot(wire.ref, TEXT, spots)
        canvas.text(found or (x, y + up + 5), wire.ref, "middle")


def _feeds(
    canvas: Canvas,
    model: Model,
    pins: dict[str, Point],
    places: dict[str, float],
    ends: dict[str, list[float]],
    between: float,
) -> float:
    """Feeds from the regulator to each rail: positive ones over the rows, negative ones under."""
    bottom = max((y for ys in ends.values() for y in ys), default=0) + _TRACK
    lowest = bottom
    count = {"+": 0, "-": 0}
    labels: list[tuple[str, float, float]] = []
    for wire in model.wires("feed"):
        keys = {owner(key): key for key in (wire.start, wire.end)}
        rail = next((ref for ref in keys if ref in places), "")
        source = next((key for key in keys.values() if key in pins), "")
        if not rail or not source:
            continue
        pole = "+" if wire.polarity == "+" else "-"
        number = count[pole]
        count[pole] += 1
        x0, y0 = pins[source]
        level = y0 - 24 * number if pole == "+" else bottom + 16 + 24 * number
        first = x0 + (10 if pole == "+" else 24)
        jog, x1 = first + 7 * number, places[rail]
        canvas.line("wide", [(x0, y0), (jog, y0), (jog, level), (x1, level),
                             (x1, _far(ends[rail], level))])  # fmt: skip
        if number:
            canvas.dot(first + 7 * (number - 1) * (pole == "-"), y0)
        labels.append((f"{wire.ref} {minus(wire.polarity)}", jog, level))
        lowest = max(lowest, level)
    for text, jog, level in labels:
        half = width(text, TEXT) / 2
        spots = [(jog + far + half, level + dy) for dy in (-10, 11) for far in (4, 14, 30, 50, 90)]
        found = canvas.field.spot(text, TEXT, spots)
        if found:
            canvas.text(found, text, "middle")
            lowest = max(lowest, found[1])
    for rail, x in places.items():
        outer = -1 if x == min(places.values()) else 1
        _rail_name(canvas, model.part(rail), (x, outer), between, ends[rail])
    return lowest + 8


def _far(ys: list[float], y: float) -> float:
    """The end of a rail that lies farthest from its feed."""
    return max(ys, key=lambda other: abs(other - y), default=y)


def _rail_name(
    canvas: Canvas, rail: Part, at: tuple[float, int], between: float, taps: list[float]
) -> None:
    """The rail's reference beside its line, between the first and the last row."""
    text = f"{rail.ref} {minus(rail.polarity)}"
    half = width(text, SMALL) / 2
    x, outer = at
    heights = [between - 8, between + 8, *(y + 20 for y in taps), between - 24, between + 24]
    spots = [(x + way * (half + 5), y) for way in (outer, -outer) for y in heights]
    found = canvas.field.spot(text, SMALL, spots)
    if found:
        canvas.text(found, text, "middle", SMALL)
