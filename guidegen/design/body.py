"""The body: rim, cover, box behind the board, mount; their pieces, holes and fixings."""

from __future__ import annotations

import math
from collections.abc import Mapping

from guidegen.calc import geometry, making
from guidegen.design.enclosure import enclosure
from guidegen.design.model import Box, block
from guidegen.design.pieces import Pieces, pilot, thickness_of
from guidegen.design.result import PRACTICE, Desk, Mend, Section
from guidegen.design.rows import place_of, within
from guidegen.kinds import FineMetre, Kelvin, Metre
from guidegen.spec.body import Border, Mount
from guidegen.spec.model import Fixture
from guidegen.values import Given, Value, renamed

SCREW_SPACING = 0.15
WOOD = {"mdf", "plywood", "softwood", "hardwood"}


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle every wooden, plastic and metal piece, and what fixes it."""
    desk, pieces = Desk("body", fixture, before), Pieces()
    body = fixture.body
    thickness = thickness_of(desk, body.board.thickness, "board")
    width, height = desk["board.width"], desk["board.height"]
    outline = Box(0, 0, width.si, height.si)
    board = pieces.add("U", "board", body.board.sheet, made=True, size=(width, height, thickness),
                       solid=block(outline, -thickness.si, 0.0))  # fmt: skip
    desk.set(
        border=body.border is not None,
        cover=body.cover is not None,
        enclosure=body.enclosure is not None,
        mount=body.mount is not None,
        finish=body.finish is not None,
        finish_before=body.finish is not None and body.finish.when == "before wiring",
        cover_screwed=False,
        conductive_board=body.board.sheet.words.get("conducting") == "yes",
    )
    if body.border:
        _border(desk, pieces, body.border, board)
    _cover(desk, pieces, board)
    if body.mount:
        _mount(desk, pieces, body.mount, board)
    if body.enclosure:
        enclosure(desk, pieces, body.enclosure, board)
    _materials(desk, pieces)
    return desk.section(tuple(pieces.parts))


def _border(desk: Desk, pieces: Pieces, border: Border, board: str) -> None:
    """Four strips: two as long as the board, two between them."""
    gap, tape = _wanted_gap(desk), desk.put(desk.fixture.rows.tape["thickness"])
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
    for number, box in enumerate(boxes):
        length = width if number < 2 else short
        pieces.add("U", "border", stock, made=True, on=board, size=(length, height, strip),
                   solid=block(box, 0.0, height.si), fixed_by="glue", cures=True)  # fmt: skip
    count = sum(max(2, math.ceil(b.width / SCREW_SPACING), math.ceil(b.height / SCREW_SPACING))
                for b in boxes)  # fmt: skip
    screw = desk.given("border.screw", FineMetre, 0.003, "catalogue wood-screw-3x25 (label)")
    pilot(desk, "border", screw)
    pieces.add("H", "border_screw", count=count, on=board, key="wood-screw-3x25")


def _wanted_gap(desk: Desk) -> float:
    cover = desk.fixture.body.cover
    if cover is None:
        return 0.01
    # A gap of the pitch or more keeps the rows from showing as stripes (see cover.ripple).
    asked = cover.gap.si if isinstance(cover.gap, Given) else desk["row.pitch"].si
    return within(cover.gap, asked)


def _cover(desk: Desk, pieces: Pieces, board: str) -> None:
    cover = desk.fixture.body.cover
    if cover is None:
        return
    thickness = thickness_of(desk, cover.thickness, "cover")
    if "border.height" not in desk:
        desk.limit("cover-no-rim", desk.given("cover.needs_gap", FineMetre, _wanted_gap(desk)),
                   desk.given("cover.gap", FineMetre, 0.0), at_most=False,
                   mends=(Mend({"body.border": "{bar: softwood-12x25}"}),))  # fmt: skip
        return
    gap = desk.work("cover.gap", geometry.gap_under_cover, strip_height=desk["border.height"],
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
    pieces.add("U", "cover", cover.sheet, made=True, on=board, size=size,
               solid=block(Box(0, 0, size[0].si, size[1].si), desk["border.height"].si,
                           desk["border.height"].si + thickness.si),
               covers=("row", "rail", "jumper"))  # fmt: skip
    _cover_fixing(desk, pieces, cover.fixed_by)


def _cover_fixing(desk: Desk, pieces: Pieces, asked: str) -> None:
    """Screws through holes that leave room for expansion, or tape on a rim too thin for screws."""
    cover = desk.fixture.body.cover
    assert cover is not None
    thick_enough = desk["border.thickness"].si >= 0.01
    screws = asked == "screws" or (asked == "auto" and thick_enough)
    if asked == "auto":
        desk.chose("cover.fixed_by", "screws" if screws else "double-sided tape")
    desk.set(cover_screwed=screws)
    if not screws:
        pieces.add("H", "cover_tape", on=pieces.ref("cover"), key="double-sided-tape")
        return
    length, change = (
        desk["board.width"],
        desk.given("cover.warming", Kelvin, 40.0, "project default"),
    )
    movement = desk.work("cover.movement", making.expansion,
                         coefficient=desk.put(cover.sheet["expansion"]), length=length,
                         change=change)  # fmt: skip
    diameter = desk.given("cover.screw", FineMetre, 0.003, "catalogue pan-screw-3x16 (label)")
    play = desk.given("cover.play", FineMetre, 0.0005, PRACTICE)
    desk.work("cover.hole", geometry.clearance_hole, screw=diameter, movement=movement, play=play)
    pilot(desk, "cover", diameter)
    pieces.add("H", "cover_screw", on=pieces.ref("cover"), key="pan-screw-3x16",
               count=len(cover_hole_centres(desk.values)))  # fmt: skip


def cover_hole_centres(values: Mapping[str, Value]) -> list[tuple[float, float]]:
    """Centres of the cover's screw holes, from the lower left corner seen from the front.

    Parameters
    ----------
    values : mapping of str to Value
        Sizes of board and rim. [m]
    """
    width, height = values["board.width"].si, values["board.height"].si
    inset = values["border.thickness"].si / 2
    across = max(2, math.ceil((width - 2 * inset) / SCREW_SPACING) + 1)
    up = max(2, math.ceil((height - 2 * inset) / SCREW_SPACING) + 1)
    xs = [inset + (width - 2 * inset) * i / (across - 1) for i in range(across)]
    ys = [inset + (height - 2 * inset) * i / (up - 1) for i in range(up)]
    return [(x, y) for y in ys for x in xs if x in (xs[0], xs[-1]) or y in (ys[0], ys[-1])]


def _mount(desk: Desk, pieces: Pieces, mount: Mount, board: str) -> None:
    length = desk.given("mount.length", Metre, 0.06, "project default")
    wide, deep = desk.put(mount.block["width"]), desk.put(mount.block["thickness"])
    middle, tall = desk["board.width"].si / 2, desk["board.height"].si
    bottom = 0.0 if mount.edge == "bottom" else tall - wide.si
    under = -desk["board.thickness"].si
    home = pieces.add("U", "mount_block", mount.block, made=True, on=board, cures=True,
                      size=(length, wide, deep), side="back",
                      solid=block(Box(middle - length.si / 2, bottom, length.si, wide.si),
                                  under, under - deep.si), fixed_by="glue")  # fmt: skip
    desk.put(mount.insert["hole"], mount.insert["length"])
    screw = desk.given("mount.screw", FineMetre, 0.004, "catalogue wood-screw-4x40 (label)")
    pilot(desk, "mount", screw, 0.75)
    pieces.add("H", "insert", mount.insert, on=home)
    pieces.add("H", "mount_screw", on=board, key="wood-screw-4x40", count=2)


def _materials(desk: Desk, pieces: Pieces) -> None:
    body = desk.fixture.body
    stock = [
        body.board.sheet,
        body.cover.sheet if body.cover else None,
        body.enclosure.sheet if body.enclosure else None,
        body.border.bar if body.border else None,
        body.border.sheet if body.border else None,
        body.mount.block if body.mount else None,
    ]
    words = {part.words.get("material", "") for part in stock if part is not None}
    desk.set(
        # The box has posts of softwood, whatever its walls are made of.
        wood=bool(words & WOOD) or body.enclosure is not None,
        mdf="mdf" in words,
        acrylic="acrylic" in words,
        metal_sheet="aluminium" in words,
    )
    if body.finish:
        coat = body.finish.coat
        desk.put(coat["drying"], coat["coats"])
        desk.work("coat.total", geometry.drying, each=coat["drying"], coats=coat["coats"])
        pieces.add("H", "coat", coat, on=pieces.ref("board"), cures=True)
        area = desk.work("coat.area", geometry.area, width=desk["board.width"],
                         height=desk["board.height"])  # fmt: skip
        desk.work("coat.amount", geometry.paint_needed, area=area, coats=desk["coat.coats"],
                  coverage=desk.put(coat["coverage"]))  # fmt: skip
