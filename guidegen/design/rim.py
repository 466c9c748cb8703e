"""Rim and cover: their pieces, the holes of both, and what fixes them."""

from __future__ import annotations

import math
from itertools import pairwise

from guidegen.calc import geometry, making, screws
from guidegen.design.model import Part
from guidegen.design.pieces import COUNTERSUNK, PAN, Pieces, Screw, screw_for, thickness_of
from guidegen.design.result import PRACTICE, Desk, Mend
from guidegen.design.rows import place_of
from guidegen.design.solid import Box, Hole, block
from guidegen.kinds import FineMetre, Kelvin
from guidegen.spec.body import Border, FilterSlot
from guidegen.spec.parts import catalogue_part
from guidegen.spec.quantities import within
from guidegen.values import Given, Value, band, renamed

SCREW_SPACING = 0.15
#: What a filter rests on: the part of the rim that the spacers leave free. [m].
LEDGE = 0.002
#: A strip thinner than this splits when a screw is driven into its edge (common practice).
THIN_STRIP = 0.01
#: Under the head of each screw of a cover, whose holes are wide.
WASHER = "washer-3x9"
#: By how much a cover warms in use. [K] (project default).
WARMING = 40.0
#: Thicknesses in which foam tape is sold; it gives way by as much as it is thick. [m] (common
#: practice, no source).
FOAMS = (1e-3, 2e-3, 3e-3)


def grid(length: float, inset: float) -> list[float]:
    """Places along an edge, both ends inset, no farther apart than screws may be. [m]."""
    count = max(1, math.ceil((length - 2 * inset) / SCREW_SPACING - 1e-9))
    return [inset + (length - 2 * inset) * i / count for i in range(count + 1)]


def between(places: list[float]) -> list[float]:
    """Places half-way between those of a grid; two, where the grid has only its ends."""
    if len(places) == 2:
        low, high = places
        return [low + (high - low) * share for share in (0.25, 0.75)]
    return [(a + b) / 2 for a, b in pairwise(places)]


def border(desk: Desk, pieces: Pieces, border: Border, board: str) -> None:
    """Four strips: two as long as the board, two between them."""
    gap, tape = wanted_gap(desk), desk.put(desk.fixture.rows.tape["thickness"])
    if border.bar is not None:
        height: Value = desk.put(renamed(border.bar["width"], "border.height"))
        stock = border.bar
    else:
        needed = geometry.strip_height_for(gap=gap, tape_thickness=tape.si)
        number = within(border.height, math.ceil(needed / 0.001 - 1e-9) * 0.001)
        height = desk.settle(border.height, "border.height", FineMetre, number)
        assert border.sheet is not None
        stock = border.sheet
    strip, width, tall = desk["border.thickness"], desk["board.width"], desk["board.height"]
    short = desk.work("border.short_length", geometry.between_strips, outer=tall, thickness=strip)
    boxes = (
        Box(0, tall.si - strip.si, width.si, strip.si),
        Box(0, 0, width.si, strip.si),
        Box(0, strip.si, strip.si, short.si),
        Box(width.si - strip.si, strip.si, strip.si, short.si),
    )
    strips = [
        pieces.add("U", "border", stock, made=True, on=board,
                   size=(width if number < 2 else short, height, strip),
                   solid=block(box, 0.0, height.si, axis="y" if number < 2 else "x"),
                   fixed_by="glue", cures=True)
        for number, box in enumerate(boxes)
    ]  # fmt: skip
    desk.set(border_screwed=strip.si >= THIN_STRIP)
    if strip.si < THIN_STRIP:
        return
    fixing = screw_for(desk, "border", COUNTERSUNK, desk["board.thickness"], height.si,
                       stock.words.get("material", ""))  # fmt: skip
    inset = strip.si / 2
    xs, ys = between(grid(width.si, inset)), between(grid(tall.si, inset))
    places = [
        [(x, tall.si - inset) for x in xs],
        [(x, inset) for x in xs],
        [(inset, y) for y in ys],
        [(width.si - inset, y) for y in ys],
    ]
    ref = pieces.add("H", "border_screw", count=sum(map(len, places)), on=board, key=fixing.key)
    for strip_ref, points in zip(strips, places, strict=True):
        back = -desk["board.thickness"].si
        pieces.bore(board, *(shank(fixing, "border_screw", (x, y, back), ref) for x, y in points))
        pieces.bore(strip_ref, *(pilot(fixing, "border_pilot", (x, y, 0.0), ref)
                                 for x, y in points))  # fmt: skip


def shank(
    fixing: Screw, role: str, at: tuple[float, float, float], holds: str, axis: str = "z"
) -> Hole:
    """The hole that a screw passes, countersunk for its head."""
    return Hole(role, at, axis, "round", fixing.shank, countersink=fixing.head, holds=holds)


def pilot(
    fixing: Screw, role: str, at: tuple[float, float, float], holds: str, axis: str = "z"
) -> Hole:
    """The hole that a screw holds in."""
    return Hole(role, at, axis, "round", fixing.pilot, depth=fixing.depth, holds=holds)


def wanted_gap(desk: Desk) -> float:
    """Air between tape and cover that the spec asks for, or that hides the rows. [m]."""
    cover = desk.fixture.body.cover
    if cover is None:
        return 0.01
    # A gap of the pitch or more keeps the rows from showing as stripes (see cover.ripple).
    asked = cover.gap.si if isinstance(cover.gap, Given) else desk["row.pitch"].si
    return within(cover.gap, asked)


def cover(desk: Desk, pieces: Pieces, board: str) -> None:
    """The sheet in front of the rows, as large as the board, on the rim."""
    cover = desk.fixture.body.cover
    if cover is None:
        return
    thickness = thickness_of(desk, cover.thickness, "cover", cover.sheet)
    if "border.height" not in desk:
        desk.limit("cover-no-rim", desk.given("cover.needs_gap", FineMetre, wanted_gap(desk)),
                   desk.given("cover.gap", FineMetre, 0.0), at_most=False,
                   mends=(Mend({"body.border": "{bar: softwood-12x25}"}),))  # fmt: skip
        return
    border = desk.fixture.body.border
    slot = border.filter_slot if border else None
    top = _slot(desk, pieces, slot) if slot else desk["border.height"]
    gap = desk.work("cover.gap", geometry.gap_under_cover, strip_height=top,
                    tape_thickness=desk["tape.thickness"])  # fmt: skip
    least = cover.gap if isinstance(cover.gap, Given) else getattr(cover.gap, "low", None)
    if least is not None:
        # The rim's height decides the gap; what the spec asks for is its lower bound.
        wanted = desk.put(renamed(least, "cover.least_gap"))
        desk.limit("cover-gap", wanted, gap, at_most=False, place=place_of(least))
    size = (desk["board.width"], desk["board.height"], thickness)
    desk.work("cover.emitting_width", geometry.between_strips, outer=size[0],
              thickness=desk["border.thickness"])  # fmt: skip
    desk.work("cover.emitting_height", geometry.between_strips, outer=size[1],
              thickness=desk["border.thickness"])  # fmt: skip
    low = top.si
    ref = pieces.add("U", "cover", cover.sheet, made=True, on=board, size=size,
                     solid=block(Box(0, 0, size[0].si, size[1].si), low, low + thickness.si),
                     covers=("row", "rail", "jumper"))  # fmt: skip
    _cover_fixing(desk, pieces, ref, cover.fixed_by)


def _cover_fixing(desk: Desk, pieces: Pieces, ref: str, asked: str) -> None:
    """Screws through holes that leave room for expansion, or tape on a rim too thin for screws."""
    cover = desk.fixture.body.cover
    assert cover is not None
    thick_enough = desk["border.thickness"].si >= THIN_STRIP
    screws = asked == "screws" or (asked == "auto" and thick_enough)
    if asked == "auto":
        desk.chose("cover.fixed_by", "screws" if screws else "double-sided tape")
    desk.set(cover_screwed=screws)
    if not screws:
        long = desk.work("cover.tape_length", geometry.around, width=desk["board.width"],
                         height=desk["board.height"])  # fmt: skip
        _foam(desk)
        key = _tape_on("foam-tape", desk["border.thickness"])
        pieces.add("H", "cover_tape", on=ref, key=key, size=(long,))
        return
    length, change = (
        desk["board.width"],
        desk.given("cover.warming", Kelvin, WARMING, "project default"),
    )
    movement = desk.work("cover.movement", making.expansion,
                         coefficient=desk.put(cover.sheet["expansion"]), length=length,
                         change=change)  # fmt: skip
    border = desk.fixture.body.border
    assert border is not None
    stock = border.bar or border.sheet
    above = _above_rim(desk)
    fixing = screw_for(desk, "cover", PAN, above, desk["border.height"].si,
                       stock.words.get("material", "") if stock else "")  # fmt: skip
    play = desk.given("cover.play", FineMetre, 0.0005, PRACTICE)
    hole = desk.work("cover.hole", geometry.clearance_hole, screw=desk["cover.screw"],
                     movement=movement, play=play)  # fmt: skip
    spacers = pieces.of("slot_spacer")
    points = [at for at in _ring(desk) if not spacers or any(_over(s, *at) for s in spacers)]
    screw = pieces.add("H", "cover_screw", on=ref, key=fixing.key, count=len(points))
    pieces.add("H", "cover_washer", on=ref, key=WASHER, count=len(points))
    rim = desk["border.height"].si
    top = rim + above.si
    face = top - desk["cover.thickness"].si
    pieces.bore(ref, *(Hole("cover_screw", (x, y, top), "z", "round", hole, holds=screw)
                       for x, y in points))  # fmt: skip
    for spacer in spacers:
        pieces.bore(spacer.ref, *(Hole("slot_screw", (x, y, face), "z", "round", hole, holds=screw)
                                  for x, y in points if _over(spacer, x, y)))  # fmt: skip
    for strip in pieces.of("border"):
        pieces.bore(strip.ref, *(pilot(fixing, "cover_pilot", (x, y, rim), screw)
                                 for x, y in points if _over(strip, x, y)))  # fmt: skip


def _foam(desk: Desk) -> None:
    """The thickness of foam that gives way as far as the ends of the cover move."""
    body = desk.fixture.body
    assert body.cover is not None
    length = max(desk["board.width"], desk["board.height"], key=lambda side: side.si)
    moved = desk.work(
        "cover.sheared", making.sheared_by,
        coefficient=desk.put(renamed(body.cover.sheet["expansion"], "cover.expansion")),
        below=desk.put(renamed(body.board.sheet["expansion"], "board.expansion")),
        length=length,
        change=desk.given("cover.warming", Kelvin, WARMING, "project default"),
    )  # fmt: skip
    thickest = desk.given("cover.thickest_tape", FineMetre, FOAMS[-1], PRACTICE)
    desk.limit("cover-sheared", thickest, moved, worst=True, level="advice",
               place=desk.fixture.place("body.cover.fixed_by"),
               mends=(Mend({"body.cover.fixed_by": "screws"}),))  # fmt: skip
    enough = next((one for one in FOAMS if one >= band(moved)[1]), FOAMS[-1])
    desk.given("cover.tape_thickness", FineMetre, enough, PRACTICE)
    desk.set(cover_taped=True)


def _tape_on(kind: str, rim: Value) -> str:
    """The widest tape of a kind that a rim covers; of one too narrow for all, the narrowest."""
    sold = [f"{kind}-{wide}mm" for wide in (6, 9, 12)]
    fits = [key for key in sold if catalogue_part(key)["width"].si <= rim.si + 1e-6]
    return fits[-1] if fits else sold[0]


def _above_rim(desk: Desk) -> Value:
    """What a screw of the cover passes before it reaches the rim."""
    if "slot.thickness" not in desk:
        return desk["cover.thickness"]
    return desk.work("cover.stack", screws.stacked, first=desk["cover.thickness"],
                     second=desk["slot.thickness"])  # fmt: skip


def _slot(desk: Desk, pieces: Pieces, slot: FilterSlot) -> Value:
    """Spacers on three sides of the rim, and the height that the cover then has over the board."""
    thick = thickness_of(desk, slot.thickness, "slot", slot.sheet)
    ledge = desk.given("slot.ledge", FineMetre, LEDGE, "project default")
    wide = desk.work("slot.width", geometry.less, length=desk["border.thickness"], part=ledge)
    across, up = desk["board.width"], desk["board.height"]
    along, long = (up, across) if slot.edge == "top" else (across, up)
    inner = desk.work("slot.opening", geometry.between_strips, outer=long, thickness=wide)
    w, rim = wide.si, desk["border.height"]
    right, top = across.si - w, up.si - w
    # Two run on to the edge that stays open; the third lies between them, across from it.
    if slot.edge == "top":
        boxes = (Box(0, 0, w, up.si), Box(right, 0, w, up.si), Box(w, 0, inner.si, w))
    else:
        far = right if slot.edge == "left" else 0.0
        boxes = (Box(0, 0, across.si, w), Box(0, top, across.si, w), Box(far, w, w, inner.si))
    home = pieces.ref("border")
    taped = desk.work("slot.tape_length", geometry.on_three_sides, along=along, across=inner)
    tape = pieces.add(
        "H", "slot_tape", on=home, key=_tape_on("double-sided-tape", wide), size=(taped,)
    )
    for size, box in zip((along, along, inner), boxes, strict=True):
        pieces.add("U", "slot_spacer", slot.sheet, made=True, on=home, size=(size, wide, thick),
                   solid=block(box, rim.si, rim.si + thick.si), fixed_by=tape)  # fmt: skip
    desk.set(filter_slot=True, slot_top=slot.edge == "top", slot_left=slot.edge == "left")
    return desk.work("slot.top", geometry.with_slack, length=rim, slack=thick)


def _ring(desk: Desk) -> list[tuple[float, float]]:
    """Places round the rim, in the middle of its strips, from the lower left corner. [m]."""
    inset = desk["border.thickness"].si / 2
    xs, ys = (grid(desk[f"board.{side}"].si, inset) for side in ("width", "height"))
    return [(x, y) for y in ys for x in xs if x in (xs[0], xs[-1]) or y in (ys[0], ys[-1])]


def _over(strip: Part, x: float, y: float) -> bool:
    return strip.box is not None and strip.box.holds(Box(x, y, 0, 0))
