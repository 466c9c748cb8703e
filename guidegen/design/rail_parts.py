"""Rails as parts: their solids, what lies under and over them, what holds them."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from guidegen.calc import geometry, paths, screws
from guidegen.calc.paths import Line
from guidegen.calc.wire import round_diameter, sleeve_bore
from guidegen.design import panels
from guidegen.design.growing import Wiring
from guidegen.design.lining import underlay
from guidegen.design.model import Part, owner
from guidegen.design.openings import Openings
from guidegen.design.pieces import PAN, screw_for
from guidegen.design.rail_lines import RailPlace, feed_point, rails
from guidegen.design.rail_metal import OVERHANG, size_text, strip_of
from guidegen.design.rails import SIGNS
from guidegen.design.result import PRACTICE, Desk, Finding, Mend
from guidegen.design.solid import Box, Hole, Solid, block
from guidegen.kinds import FineMetre
from guidegen.values import Value

#: Over rails, and under them where metal is below, by width. [m].
TAPES = {0.015: "insulating-tape-15mm", 0.025: "insulating-tape-25mm",
         0.050: "insulating-tape-50mm"}  # fmt: skip
TAPE = TAPES[0.015]
#: What a tape has beyond a bar or foil on both sides together. [m] (common practice, no source).
TAPE_OVER = 0.005
#: What a strip of tape has beyond a rail, both ends together; what those under rails have beyond
#: rails and row ends, how far one laps over the next, and their layers. [m] (project default).
STRIP_OVER, UNDER_OVER, STRIPS_LAP, LAYERS = 0.03, 0.0075, 0.003, 2
#: From a screw to the nearest joint of a bar and to its ends, and between two screws; a bar is held
#: by so many at least. [m] (common practice, no source).
FROM_JOINT, FROM_END, SCREWS_APART, LEAST_SCREWS = 0.006, 0.005, 0.12, 2
#: A screw that reaches less into the board holds no bar; it stops this far before it would come
#: out. [m] (common practice, no source).
LEAST_HOLD, BOARD_LEFT = 0.003, 0.001
#: Less than this is a slip of rounding. [m].
SLIP = 1e-6


def rail_parts(wiring: Wiring, panel: int, board: str) -> list[tuple[str, RailPlace]]:
    """Enter the rails of one panel, bars on their strips."""
    desk, made = wiring.desk, []
    part = desk.fixture.wiring.rail
    bare = part.words.get("build", "bare solid") == "bare solid"
    flat = desk.fixture.wiring.rails.kind != "wire"
    for place in rails(desk, panel):
        length = desk["rail.length"]
        if desk.fact("rail_bent"):
            length = desk[f"rail.{SIGNS[place.polarity]}_length"]
        size: tuple[Value, ...] = (length,)
        if flat:
            size = (length, desk["rail.width"], desk["rail.thickness"])
        home = _strip(wiring, place, board, length)
        ref = wiring.part("W", "rail", part, home, made=True, polarity=place.polarity, bare=bare,
                          size=size[:2] if desk.fact("rail_foil") else size,
                          rating=size_text(desk), line=place.line,
                          panel=panels.label(desk, panel),
                          side="back" if place.side == "middle" else "front",
                          solid=_solid(desk, place))  # fmt: skip
        made.append((ref, place))
    return made


def _strip(wiring: Wiring, place: RailPlace, board: str, length: Value) -> str:
    """The insulating strip under a bar; what carries the bar."""
    desk, strip = wiring.desk, strip_of(wiring.desk.fixture)
    if strip is None:
        return board
    wide, thick = (desk[f"rail_strip.{name}"] if f"rail_strip.{name}" in desk
                   else desk.put(strip[name]) for name in ("width", "thickness"))  # fmt: skip
    if "rail_strip.least" not in desk:
        over = desk.given("rail_strip.over", FineMetre, OVERHANG, PRACTICE)
        least = desk.work("rail_strip.least", geometry.with_slack, length=desk["rail.width"],
                          slack=over)  # fmt: skip
        desk.limit("strip-narrow", least, wide, at_most=False,
                   place=desk.fixture.place("wiring.rails.strip"),
                   mends=(Mend({"wiring.rails.strip": "auto"}),))  # fmt: skip
    back = place.side == "middle"
    return wiring.part("U", "rail_strip", strip, board, made=True, size=(length, wide, thick),
                       panel=panels.label(desk, place.panel), side="back" if back else "front",
                       solid=_along(desk, place, (wide.si, thick.si), 0.0))  # fmt: skip


def _solid(desk: Desk, place: RailPlace) -> Solid:
    """A round wire, a bar or a foil on the face of the board, or on its back."""
    if desk.fixture.wiring.rails.kind != "wire":
        above = desk["rail_strip.thickness"].si if "rail_strip.thickness" in desk else 0.0
        return _along(desk, place, (desk["rail.width"].si, desk["rail.thickness"].si), above)
    thick = 2 * math.sqrt(desk["rail.size"].si / math.pi)
    return _along(desk, place, (thick, thick), 0.0, round_=True)


def _along(
    desk: Desk, place: RailPlace, section: tuple[float, float], above: float, round_: bool = False
) -> Solid:
    """The solid of a section, width and height, that lies along a rail's line."""
    wide, high = section
    ends = (above, above + high)
    if place.side == "middle":
        back = -desk["board.thickness"].si
        ends = (back - above, back - above - high)
    pieces = tuple(_piece(line, wide, ends, round_) for line in _strips(place.line, wide / 2))
    if len(pieces) == 1:
        return pieces[0]
    low = tuple(min(piece.low[axis] for piece in pieces) for axis in range(3))
    high_corner = tuple(max(piece.high[axis] for piece in pieces) for axis in range(3))
    return Solid((low[0], low[1], low[2]), (high_corner[0], high_corner[1], high_corner[2]),
                 pieces=pieces)  # fmt: skip


def _strips(line: Line, half: float) -> list[tuple[float, float, float, float]]:
    """Boxes along a line; a line that goes straight on is one."""
    turns = [at for _, at, _ in paths.bends(line)]
    return paths.boxes((line[0], *turns, line[-1]), half)


def _piece(
    box: tuple[float, float, float, float], wide: float, ends: tuple[float, float], round_: bool
) -> Solid:
    x0, y0, x1, y1 = box
    outline = Box(x0, y0, x1 - x0, y1 - y0)
    if not round_:
        return block(outline, *ends)
    along_y = abs(outline.width - wide) < 1e-9
    return block(outline, *ends, shape="cylinder", axis="y" if along_y else "x")


#: A wire rail shorter than this has room for one clip between its joints. [m].
SHORT = 0.06


def on_rails(wiring: Wiring, openings: Openings, board: Part, made: list[Part]) -> None:
    """What holds, insulates and lies under the rails of one panel."""
    desk, panel = wiring.desk, board.panel
    places_there = rails(desk, max(panel, 1))
    crossing = {rail.ref for rail, place in zip(made, places_there, strict=True) if place.second}
    over = sum(wire.role == "jumper" and wire.bare and owner(wire.start) in crossing
               for wire in wiring.conductors)  # fmt: skip
    if over:
        wiring.part("H", "sleeve", None, board.ref, key="sleeve-heat-shrink", count=over,
                    panel=panel, size=(desk["jumper.length"],),
                    rating=str(sleeve_for(desk, "jumper", insulated=False)))  # fmt: skip
    if desk.fixture.wiring.rails.kind == "wire":
        clips = sum(1 if rail.size[0].si < SHORT else max(2, int(rail.size[0].si / 0.08) + 1)
                    for rail in made)  # fmt: skip
        if "rail.diameter" not in desk:
            desk.work("rail.diameter", round_diameter, area=desk["rail.size"])
        wiring.part(
            "H",
            "rail_clip",
            None,
            board.ref,
            key="rail-clip",
            count=clips,
            panel=panel,
            cures=bool(desk.fact("conductive_board")),
        )
    _screwed(wiring, openings, board, list(zip(made, places_there, strict=True)))
    _underlays(wiring, made, board)
    tape, size = tape_for(desk), _strip_length(desk)
    for rail in made:
        wiring.part("H", "insulation", None, rail.ref, key=tape, covers=("rail", "jumper"),
                    side=rail.side, panel=panel, size=size)  # fmt: skip


def sleeve_for(desk: Desk, wire: str, insulated: bool) -> Value:
    """Bore of the sleeve for a wire, before it shrinks."""
    name = f"{wire}_sleeve.bore"
    if name not in desk:
        desk.given(name, FineMetre, sleeve_bore(desk[f"{wire}.size"].si, insulated), PRACTICE)
    return desk[name]


def _strip_length(desk: Desk) -> tuple[Value, ...]:
    """Length of a strip of tape at a straight rail: as much beyond it as the rim lets."""
    if desk.fact("rail_bent"):
        return ()
    if "tape_strip.length" not in desk:
        inside = desk["board.height"].si - 2 * desk["border.thickness"].si
        over = desk.given("tape_strip.over", FineMetre,
                          max(min(STRIP_OVER, inside - desk["rail.length"].si), 0.0),
                          "project default, or the room inside the rim")  # fmt: skip
        desk.work("tape_strip.length", geometry.with_slack, length=desk["rail.length"], slack=over)
    return (desk["tape_strip.length"],)


def _strips_under(desk: Desk, key: str, rails_made: int) -> int:
    """Strips of tape for each rail on metal: side by side from beyond the rails to the rows."""
    wide = next((wide for wide, other in TAPES.items() if other == key), min(TAPES))
    a_side = 1 if desk.fact("opposite_ends") else min(2, rails_made)
    across = a_side * desk["rail.offset"].si + 2 * UNDER_OVER
    side_by_side = math.ceil(across / (wide - STRIPS_LAP) - 1e-9)
    return math.ceil(LAYERS * side_by_side / a_side)


def tape_for(desk: Desk) -> str:
    """The narrowest tape that lies over a rail and sticks beside it."""
    if desk.fixture.wiring.rails.kind == "wire":
        return TAPE
    needed = desk["rail.width"].si + 2 * desk["rail.thickness"].si + TAPE_OVER
    fits = [key for wide, key in TAPES.items() if wide >= needed - 1e-9]
    if not fits:
        desk.find(Finding("rail-wide", "stop", desk["rail.width"],
                          place=desk.fixture.place("wiring.rails"),
                          mends=(Mend({"wiring.rails": "{bar: bar-copper-20x3}"}),)))  # fmt: skip
    return fits[0] if fits else TAPES[0.050]


def _underlays(wiring: Wiring, made: list[Part], board: Part) -> None:
    """Insulation between rails and metal below them, and a spot of that metal to read at."""
    desk, panel = wiring.desk, board.panel
    metal = [board.ref] if desk.fact("conductive_board") else []
    if desk.fact("lining_conducts"):
        # One of its pieces; the step says that every piece is read.
        metal.append(next(part.ref for part in wiring.body
                          if part.role == "lining" and part.panel == panel))  # fmt: skip
    corner = (board.box.x, board.box.y) if board.box else (0.0, 0.0)
    for ref in metal:
        wiring.terminal(ref, "edge", "", corner)
    under = underlay(desk.fixture)
    for _ in made if desk.fact("underlaid") else ():
        key = under.key if under else tape_for(desk)
        size = _strip_length(desk) if desk.fact("conductive_board") else ()
        count = _strips_under(desk, key, len(made)) if size else 1
        wiring.part("H", "underlay", None, board.ref, key=key, panel=panel, size=size, count=count)


def _screwed(
    wiring: Wiring, openings: Openings, board: Part, made: list[tuple[Part, RailPlace]]
) -> None:
    """The screws of bars: through bar and strip into a board that does not conduct."""
    desk, wish = wiring.desk, wiring.desk.fixture.wiring.rails.fixed_by
    if not desk.fact("rail_bar"):
        desk.set(bars_screwed=False)
        return
    if "rail.through" not in desk:
        desk.work("rail.through", screws.stacked, first=desk["rail_strip.thickness"],
                  second=desk["rail.thickness"])  # fmt: skip
        thick = desk["board.thickness"].si
        fixing = screw_for(desk, "rail", PAN, desk["rail.through"], thick)
        metal = bool(desk.fact("conductive_board") or desk.fact("lining_conducts"))
        holds = LEAST_HOLD <= fixing.depth.si <= thick - BOARD_LEFT
        few = min(len(_screw_spots(desk, place)) for _, place in made) < LEAST_SCREWS
        screwed = wish == "screws" or (wish == "auto" and not metal and holds and not few)
        desk.set(bars_screwed=screwed)
        wiring.bar_screw = fixing if screwed else None
        if wish == "auto":
            desk.chose("rail.fixed_by", "screws" if screwed else "adhesive")
        if screwed and few:
            desk.find(Finding("bar-screw-room", "stop",
                              place=desk.fixture.place("wiring.rails.fixed_by"),
                              mends=(Mend({"wiring.rails.fixed_by": "adhesive"}),)))  # fmt: skip
        if screwed and metal:
            desk.find(Finding("bar-screw-metal", "stop",
                              place=desk.fixture.place("wiring.rails.fixed_by"),
                              mends=(Mend({"wiring.rails.fixed_by": "adhesive"}),)))  # fmt: skip
    held = wiring.bar_screw
    if held is None:
        # Bars and the strips below them are stuck.
        stuck = {ref for rail, _ in made for ref in (rail.ref, rail.on)} - {board.ref}
        wiring.parts = [replace(part, cures=True) if part.ref in stuck else part
                        for part in wiring.parts]  # fmt: skip
        return
    for rail, place in made:
        spots = _screw_spots(desk, place)
        ref = wiring.part("H", "rail_screw", None, rail.ref, key=held.key, count=len(spots),
                          side=rail.side, panel=rail.panel)  # fmt: skip
        for part_ref, role in ((rail.ref, "rail_screw"), (rail.on, "rail_screw")):
            part = next(part for part in wiring.parts if part.ref == part_ref)
            assert part.solid is not None
            face = part.solid.high[2] if part.side == "front" else part.solid.low[2]
            holes = [Hole(role, (*at, face), "z", "round", held.shank, holds=ref) for at in spots]
            wiring.bore(part_ref, holes)
        face = 0.0 if rail.side == "front" else -desk["board.thickness"].si
        openings.found[board.ref] += [
            Hole("rail_pilot", (*at, face), "z", "round", held.pilot, depth=held.depth,
                 holds=ref) for at in spots]  # fmt: skip


def _screw_spots(desk: Desk, place: RailPlace) -> list[paths.Point]:
    """Where a bar is screwed: clear of every joint, near both ends, and between."""
    whole = paths.length(place.line)
    joints = sorted([*place.fars(), paths.along(place.line, feed_point(desk, place))])
    ends = [(0.0, FROM_END), *((far, FROM_JOINT) for far in joints), (whole, FROM_END)]
    free = [(a + near, b - far) for (a, near), (b, far) in pairwise(ends)]
    middles = [(low + high) / 2 for low, high in free if high >= low - SLIP]
    chosen: list[float] = []
    for number, far in enumerate(middles):
        last = number == len(middles) - 1
        if not chosen or last or middles[number + 1] - chosen[-1] > SCREWS_APART:
            chosen.append(far)
    return [paths.point(place.line, far) for far in chosen]
