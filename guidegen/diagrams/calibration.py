"""Calibration set-ups: meter, probe points, and whether the load is on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from guidegen.design.model import Model, owner
from guidegen.diagrams.dimension import rows_of_text, titled, wrapped
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import clip
from guidegen.diagrams.source import DesignLike, minus, pin, words
from guidegen.diagrams.style import PHONE, TEXT, TITLE
from guidegen.diagrams.svg import Canvas, Figure, circle, polyline
from guidegen.diagrams.symbols import ring


class Setup(NamedTuple):
    """One way to hold the probes."""

    title: str
    red: str
    """Terminal key of the red probe: `T1:OUT+`."""
    black: str
    mode: str
    """What the meter is set to, as printed on its dial: `V DC`, `mV DC`, `A DC`, `Ω`."""
    load: str = ""
    """Words for the load: `rows joined`, `rows off`."""
    adjust: str = ""
    """What is turned meanwhile: `trimmer of T1`, `control R1`."""
    socket: str = ""
    """The meter's socket for the red lead, as marked: `10 A`; empty: that of the mode."""
    name: str = ""
    """Of the figure, behind `calibration-`; empty: its number in the list."""


#: The screws of a regulator that steps turn, by what lies within it.
SCREWS = {"trimmer": "voltage trimmer", "limit": "current-limit trimmer"}
#: The facts of a design that say so.
_THERE = {"trimmer": "trimmer", "limit": "current_limit"}
_ROW, _BOX = 26, 166
_METER = Area(228, 66, 352, 226)
"""Where the meter lies under a title of one line."""


def calibration(design: DesignLike, setups: Iterable[Setup | Sequence[str]]) -> dict[str, Figure]:
    """Draw a figure for each: `calibration-1` for the first, or by the name that it has."""
    figures = {}
    for number, given in enumerate(setups, 1):
        setup = Setup(*given)
        name = f"calibration-{setup.name or number}"
        figures[name] = _draw(design, name, setup)
    return figures


def _draw(design: DesignLike, name: str, setup: Setup) -> Figure:
    canvas = Canvas(name)
    down = titled(canvas, setup.title)
    canvas.text((8, down + 22), "Terminals as marked on the part; not to scale")
    meter = _METER.moved(0, down - 20)
    screws = [said for key, said in SCREWS.items() if design.facts.get(_THERE[key])]
    places, low = _parts(canvas, design.model, (setup, screws), meter.y0 - 6)
    _meter(canvas, setup, meter)
    _probes(canvas, setup, places, meter)
    notes = [
        f"Red probe: {minus(setup.red)}. Black probe: {minus(setup.black)}.",
        f"Meter: {setup.mode}, black lead in COM, red lead in {_socket(setup)}.",
        *([f"Load: {setup.load}."] if setup.load else []),
        *([f"Turn: {setup.adjust}."] if setup.adjust else []),
    ]
    low = rows_of_text(canvas, wrapped(notes, PHONE - 16), max(low, meter.y1 + 76) + 6)
    return canvas.figure(
        low,
        f"Set-up: meter on {setup.mode}, socket {_socket(setup)}, red probe on "
        f"{minus(setup.red)}, black on {minus(setup.black)}",
        " ".join(notes),
        f"{setup.title}: where the probes go.",
    )


def _parts(
    canvas: Canvas, model: Model, shown: tuple[Setup, Sequence[str]], top: float
) -> tuple[dict[str, float], float]:
    """The parts that are probed, with their terminals and screws; y of each terminal."""
    setup, screws = shown
    probed = [owner(setup.red), owner(setup.black)]
    refs = [p.ref for p in model.parts if p.ref in probed]
    places: dict[str, float] = {}
    y = top
    for ref in refs:
        keys = [t.key for t in model.terminals if t.part == ref]
        if len(keys) > 8 or ref not in probed:
            keys = [key for key in keys if key in (setup.red, setup.black)] or keys[:6]
        inside = screws if model.part(ref).role == "regulator" else ()
        lines = [wrapped([f"{said} of {ref}"], _BOX - 40) for said in inside]
        high = 26 + _ROW * len(keys) + sum(10 + 17 * len(each) for each in lines)
        canvas.box("body", Area(8, y, 8 + _BOX, y + high))
        canvas.text((16, y + 19), clip(f"{ref} {words(model.part(ref))}", TEXT, _BOX - 12))
        for number, key in enumerate(keys):
            places[key] = y + 26 + _ROW * (number + 0.5)
            canvas.text((8 + _BOX - 10, places[key] + 4), minus(pin(key)), "end")
            ring(canvas, 8 + _BOX, places[key])
        _screws(canvas, lines, y + 26 + _ROW * len(keys))
        y += high + 12
    return places, y


def _screws(canvas: Canvas, lines: Iterable[Sequence[str]], top: float) -> None:
    """The screws of a part, each a head with its slot, and what it is called."""
    for each in lines:
        canvas.path("narrow", circle(24, top + 10, 7), polyline([(19, top + 15), (29, top + 5)]))
        for number, text in enumerate(each):
            canvas.text((38, top + 15 + 17 * number), text)
        top += 10 + 17 * len(each)


def _meter(canvas: Canvas, setup: Setup, area: Area) -> None:
    """A meter with display, dial and two sockets."""
    canvas.box("body", area)
    canvas.box("tinted", Area(area.x0 + 12, area.y0 + 12, area.x1 - 12, area.y0 + 54))
    canvas.text((area.middle[0], area.y0 + 39), clip(setup.mode, TITLE, 100), "middle", TITLE)
    canvas.path("narrow", circle(area.middle[0], area.y0 + 86, 20))
    canvas.line("wide", [(area.middle[0], area.y0 + 86), (area.middle[0] + 12, area.y0 + 72)])
    for x, name in zip(_sockets(), ("COM", _socket(setup)), strict=True):
        canvas.shape("body", circle(x, area.y1 - 16, 7))
        canvas.text((x, area.y1 - 30), name, "middle", TEXT)


def _sockets() -> tuple[float, float]:
    return _METER.x0 + 32, _METER.x1 - 32


def _socket(setup: Setup) -> str:
    """The socket of the red lead: current has one of its own."""
    kind = setup.mode.replace("DC", "").partition(",")[0].strip()
    return setup.socket or (kind if kind in ("A", "mA") else "V Ω")


def _probes(canvas: Canvas, setup: Setup, places: dict[str, float], meter: Area) -> None:
    """Leads from the sockets to the terminals; red solid, black dashed, each with its word."""
    black, red = _sockets()
    y = meter.y1 - 9
    for key, socket, style, word, lane, drop in (
        (setup.black, black, "minus", "black", 192, 26),
        (setup.red, red, "wide", "red", 208, 52),
    ):
        if key not in places:
            continue
        low, at = y + drop, places[key]
        canvas.line(
            style, [(socket, y), (socket, low), (lane, low), (lane, at), (8 + _BOX + 6, at)]
        )
        canvas.path("solid", circle(8 + _BOX, at, 4.5))
        canvas.text(((lane + socket) / 2 + 10, low + 16), word, "middle", TEXT)
