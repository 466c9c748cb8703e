"""Rows of tape and the board they are stuck to: counts, lengths, pitch, margins."""

from __future__ import annotations

import math

from guidegen.calc import geometry, light, tape
from guidegen.design.box import on_board
from guidegen.design.rail_metal import enter_half
from guidegen.design.result import Desk, Mend, Section
from guidegen.errors import Place
from guidegen.kinds import Count, FineMetre, Metre
from guidegen.spec.model import Fixture
from guidegen.spec.quantities import Auto, within
from guidegen.values import Given, Value, renamed

#: Beyond a rail on metal: a hole with its sleeve, half the rail's wire, air to the rim. [m].
HOLE_ROOM = 0.008
#: Rails on the side that has most of them.
RAILS_A_SIDE = {"opposite ends": 1, "left end": 2, "right end": 2, "both ends": 2, "middle": 0}
DEFAULT_ROWS, DEFAULT_LENGTH, MOST_ROWS = 4, 0.3, 60


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle the rows and the outline of the board."""
    desk = Desk("rows", fixture, before)
    rows, figures = fixture.rows, fixture.rows.tape
    increment, width = desk.put(figures["increment"]), desk.put(figures["width"])
    margin = _margin(desk)
    wanted = _length(desk, margin)
    groups = desk.work("row.groups", tape.groups_per_row, row_length=wanted, increment=increment)
    length = desk.work("row.length", geometry.cut_length, groups=groups, increment=increment)
    if isinstance(rows.length, Given):
        desk.limit("row-length", wanted, length, at_most=False, level="advice",
                   place=rows.length.place, increment=increment)  # fmt: skip
    pitch = _pitch(desk, width)
    count = _count(desk, pitch, margin)
    _outline(desk, _staggered(desk, length, increment), count, pitch, margin)
    desk.limit("pitch", width, pitch, at_most=False, place=place_of(rows.pitch), tape_width=width,
               mends=(Mend({"rows.1.pitch": "auto"}),
                      Mend({"rows.1.pitch": "auto", "body.board.height": "auto"})))  # fmt: skip
    desk.set(count__rows=count.si * fixture.panel_count, several_rows=count.si > 1)
    return desk.section()


def place_of(asked: Given | Auto | None) -> Place | None:
    """The spec line of a figure, if the spec gave it."""
    return asked.place if isinstance(asked, Given) else None


def _margin(desk: Desk) -> Value:
    """Room that the rails and the rim need beside the rows."""
    feed = desk.fixture.rows.fed_from
    rails = desk.given("rail.a_side", Count, RAILS_A_SIDE.get(feed, 2), "feed of the rows")
    offset = desk.put(desk.fixture.wiring.rails.offset)
    strip = _strip_thickness(desk)
    metal = desk.fixture.body.board.sheet.words.get("conducting") == "yes" and rails.si > 0
    hole = desk.given("rail.hole_room", FineMetre, HOLE_ROOM if metal else 0.0,
                      "project default" if metal else "no hole beside a rail in metal")  # fmt: skip
    return desk.work("board.least_margin", geometry.least_margin, strip=strip, offset=offset,
                     rails=rails, clearance=desk.put(desk.fixture.limits.clearance),
                     half=enter_half(desk), hole=hole)  # fmt: skip


def _strip_thickness(desk: Desk) -> Value:
    border = desk.fixture.body.border
    if border is None:
        return desk.given("border.thickness", FineMetre, 0.0, "no rim")
    if border.bar is not None:
        return desk.put(renamed(border.bar["thickness"], "border.thickness"))
    if isinstance(border.thickness, Given):
        return desk.put(border.thickness)
    assert border.sheet is not None
    return desk.given("border.thickness", FineMetre, border.sheet.thicknesses[0].si, "chosen")


def _length(desk: Desk, margin: Value) -> Value:
    asked, board = desk.fixture.rows.length, desk.fixture.body.board
    if isinstance(asked, Given):
        return desk.put(renamed(asked, "row.wanted_length"))
    number = DEFAULT_LENGTH
    if isinstance(board.width, Given):
        number = max(board.width.si - 2 * margin.si, 0.0)
    chosen = desk.given("row.wanted_length", Metre, within(asked, number))
    desk.chose("row.length", str(chosen))
    return chosen


def _staggered(desk: Desk, length: Value, increment: Value) -> Value:
    """Width that the rows take: with every second one shifted, more than a row's length."""
    staggered = desk.fixture.rows.stagger != "none"
    desk.set(staggered=staggered)
    if not staggered:
        return length
    shift = desk.work("row.shift", geometry.half_of, length=increment)
    return desk.work("rows.width", geometry.with_slack, length=length, slack=shift)


def _pitch(desk: Desk, width: Value) -> Value:
    # Twice the tape's width, in whole 5 mm: fingers, and solder pads, need the room.
    number = math.ceil(2 * width.si / 0.005 - 1e-9) * 0.005
    asked = desk.fixture.rows.pitch
    return desk.settle(asked, "row.pitch", FineMetre, within(asked, number))


def _count(desk: Desk, pitch: Value, margin: Value) -> Value:
    asked, board = desk.fixture.rows.count, desk.fixture.body.board
    if isinstance(asked, Given):
        return desk.put(asked)
    if isinstance(board.height, Given):
        fits = desk.work("rows.fit", geometry.rows_that_fit, outer=desk.put(board.height),
                         margin=margin, tape_width=desk["tape.width"], pitch=pitch)  # fmt: skip
        return desk.settle(asked, "row.count", Count, within(asked, max(1, int(fits.si + 1e-9))),
                           wanted=fits)  # fmt: skip
    target = desk.fixture.light.target
    if target is None:
        return desk.settle(asked, "row.count", Count, within(asked, DEFAULT_ROWS))
    return desk.settle(asked, "row.count", Count, within(asked, _for_target(desk, pitch, target)),
                       wanted=target)  # fmt: skip


def _for_target(desk: Desk, pitch: Value, target: Given) -> int:
    """The fewest rows that reach the target on the axis, by the law of the light page."""
    fixture, length = desk.fixture, desk["row.length"].si
    flux = fixture.rows.tape["flux"].si * length
    through = fixture.body.cover.sheet["transmittance"].si if fixture.body.cover else 1.0
    for count in range(1, MOST_ROWS + 1):
        height = max(count * pitch.si, 1e-3)
        luminance = light.panel_luminance(flux=flux * count * through, area=length * height)
        reached = light.centre_illuminance(luminance=luminance, width=length, height=height,
                                           distance=fixture.light.distance.si)  # fmt: skip
        if reached * len(fixture.light.placed) >= target.si:
            return count
    return MOST_ROWS


def _outline(desk: Desk, length: Value, count: Value, pitch: Value, least: Value) -> None:
    board = desk.fixture.body.board
    span = desk.work("rows.span", geometry.rows_span, rows=count, pitch=pitch,
                     tape_width=desk["tape.width"])  # fmt: skip
    behind = dict(zip(("width", "height"), on_board(desk.fixture), strict=True))
    for side, inner, asked in (("width", length, board.width), ("height", span, board.height)):
        if isinstance(asked, Given):
            outer = desk.put(asked)
        else:
            # Whole 5 mm: a size that a tape rule shows without thinking.
            margin = max(within(board.margin, math.ceil(least.si / 0.005 - 1e-9) * 0.005), least.si)
            if isinstance(board.margin, Given):
                margin = board.margin.si
            needed_size = max(inner.si + 2 * margin, behind[side])
            number = math.ceil(needed_size / 0.005 - 1e-9) * 0.005
            outer = desk.settle(asked, f"board.{side}", Metre, within(asked, number), wanted=least)
        found = desk.work(f"board.margin_{side}", geometry.margin_left, outer=outer, inner=inner)
        # Rails stand beside the rows' ends; above and below only the rim needs room.
        needed = least if side == "width" else desk["border.thickness"]
        desk.limit(f"board-{side}", needed, found, at_most=False, outer=outer, inner=inner,
                   place=place_of(asked),
                   mends=(Mend({f"body.board.{side}": "auto"}),))  # fmt: skip
    desk.work("board.diagonal", geometry.diagonal, width=desk["board.width"],
              height=desk["board.height"])  # fmt: skip
