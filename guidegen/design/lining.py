"""The lining: pieces of film on rim and board, and how near their metal comes to bare wires.

A film is so thin that it has an outline in the model, and no thickness.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from guidegen.calc import boxes, geometry, making
from guidegen.design.circuit_rules import Bare, bare_metal
from guidegen.design.model import Model, Part
from guidegen.design.pieces import Pieces
from guidegen.design.result import Desk, Finding, Mend, Section
from guidegen.design.solid import Box, Solid, block
from guidegen.kinds import Count, FineMetre
from guidegen.spec.lining import UNDER, Lining
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part as CataloguePart
from guidegen.values import Value

#: What one band of film covers of the next. [m].
OVERLAP = 0.003
WHITE = "film-white-50mm"


def underlay(fixture: Fixture) -> CataloguePart | None:
    """The insulation over a lining that conducts; None where there is none."""
    lining = fixture.body.lining
    return lining.under if lining is not None and lining.conducts else None


def lining(desk: Desk, pieces: Pieces, board: str) -> None:
    """Enter the pieces of film, and how much of it they take."""
    wish = desk.fixture.body.lining
    conducts = wish is not None and wish.conducts
    under = underlay(desk.fixture)
    on = {place: wish is not None and place in wish.where for place in ("border", "board")}
    desk.set(
        lining=wish is not None,
        lining_conducts=conducts,
        lining_on_board=on["board"],
        lining_on_border=on["border"],
        underlaid=bool(desk.fact("conductive_board")) or under is not None,
    )
    if wish is None:
        return
    band = desk.put(wish.film["width"])
    along, across, inset = _inside(desk)
    if on["border"]:
        _rim(pieces, wish, desk["border.height"], along, across)
    if on["board"]:
        box = Box(inset, inset, along.si, across.si)
        pieces.add("U", "lining", wish.film, made=True, on=board, size=(along, across),
                   solid=block(box, 0.0, 0.0))  # fmt: skip
    sides = {
        "rim": desk["border.height"].si if on["border"] else 0.0,
        "board": across.si if on["board"] else 0.0,
    }
    bands = {
        f"{name}_bands": desk.given(f"lining.{name}_bands", Count, _bands(side, band.si),
                                    "what is lined, over the film's width")
        for name, side in sides.items()
    }  # fmt: skip
    desk.work("lining.length", making.film_length, along=along, across=across, **bands)


def _bands(side: float, width: float) -> float:
    """Bands side by side that cover this. Lengths in metres."""
    if side <= width + 1e-9:
        return float(side > 0)
    return float(1 + math.ceil((side - width) / (width - OVERLAP) - 1e-9))


def _inside(desk: Desk) -> tuple[Value, Value, float]:
    """Width and height inside of the rim, and where that begins. [m]."""
    if desk.fixture.body.border is None:
        return desk["board.width"], desk["board.height"], 0.0
    strip = desk["border.thickness"]
    along = desk.work("lining.along", geometry.between_strips, outer=desk["board.width"],
                      thickness=strip)  # fmt: skip
    return along, desk["border.short_length"], strip.si


def _rim(pieces: Pieces, wish: Lining, height: Value, along: Value, across: Value) -> None:
    """A piece on the inner face of each strip."""
    for strip in pieces.of("border"):
        solid = strip.solid
        assert solid is not None
        long = along if solid.axis == "y" else across
        pieces.add("U", "lining", wish.film, made=True, on=strip.ref, size=(long, height),
                   solid=_face(pieces, solid, long.si))  # fmt: skip


def _face(pieces: Pieces, strip: Solid, long: float) -> Solid:
    """The inner face of a strip, between those across it."""
    board = next(part.solid for part in pieces.parts if part.role == "board")
    assert board is not None
    way = 1 if strip.axis == "y" else 0
    outer = strip.low[way] - board.low[way] < board.high[way] - strip.high[way]
    at = strip.high[way] if outer else strip.low[way]
    other = 1 - way
    middle = (strip.low[other] + strip.high[other]) / 2
    low, high = [0.0, 0.0, strip.low[2]], [0.0, 0.0, strip.high[2]]
    low[way] = high[way] = at
    low[other], high[other] = middle - long / 2, middle + long / 2
    return Solid((low[0], low[1], low[2]), (high[0], high[1], high[2]), axis=strip.axis)


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Judge the lining that was built: by bare metal near it, and by its warmth."""
    desk = Desk("lining", fixture, before)
    wish = fixture.body.lining
    if wish is None:
        return desk.section()
    place = fixture.place("body.lining")
    white = Mend({"body.lining.film": WHITE})
    model: Model = desk.result("circuit")
    warm = desk["board.tape_temperature" if desk.fact("lining_on_board")
                else "board.face_temperature"]  # fmt: skip
    bears = desk.put(wish.film["highest_temperature"])
    desk.limit("lining-warm", bears, warm, worst=True, level="advice", place=place)
    if not wish.conducts:
        return desk.section()
    nearest = near(model, list(bare_metal(desk, model)))
    if nearest is None:
        return desk.section()
    film, wire, distance = nearest
    found = desk.given("lining.nearest", FineMetre, distance, "places on the board")
    apart = found.si >= desk["limits.clearance"].si - 1e-9
    kept = apart or wish.under is not None
    names = {"film": film, "wire": wire, "apart": apart, "kept": kept,
             "under": wish.under.label if wish.under else ""}  # fmt: skip
    insulated = Mend({"body.lining.under": UNDER})
    desk.find(Finding("lining-bare", "holds" if kept else "stop", desk["limits.clearance"], found,
                      place, names, () if kept else (insulated, white)))  # fmt: skip
    return desk.section()


def near(model: Model, bare: list[Bare]) -> tuple[str, str, float] | None:
    """The piece of conducting film and the bare conductor that are nearest to one another. [m]."""
    films = [(part, part.solid) for part in model.by_role("lining") if part.solid and _metal(part)]
    if not films or not bare:
        return None
    corners = [solid for _, solid in films]
    low, high = (np.array([getattr(solid, end) for solid in corners]) for end in ("low", "high"))
    wires = np.array(list(_boxes(model, bare)))
    apart = boxes.gaps(low, high, wires[:, 0], wires[:, 1])
    a, b = np.unravel_index(int(np.argmin(apart)), apart.shape)
    return films[int(a)][0].ref, bare[int(b)].name, float(apart[a, b])


def _metal(part: Part) -> bool:
    return part.stock is not None and part.stock.words.get("conducting") == "yes"


def _boxes(model: Model, bare: list[Bare]) -> Iterator[tuple[list[float], list[float]]]:
    """Lower and upper corners of bare conductors, each on its face of the board. [m]."""
    board = model.by_role("board")[0].solid
    assert board is not None
    for wire in bare:
        x, y = (wire.ends[0], wire.ends[2]), (wire.ends[1], wire.ends[3])
        face, out = (0.0, 2 * wire.half) if wire.side == "front" else (
            board.low[2] - 2 * wire.half, board.low[2])  # fmt: skip
        yield ([min(x) - wire.half, min(y) - wire.half, face],
               [max(x) + wire.half, max(y) + wire.half, out])  # fmt: skip
