"""The box behind the board: its size by its parts and its heat, its walls, posts and lid."""

from __future__ import annotations

import math
from functools import cache

from guidegen.calc import geometry, warm_box
from guidegen.design import panels
from guidegen.design.box import FIVE, Room, contents, outside, separate, sheets_deep, taken
from guidegen.design.box import least as inside
from guidegen.design.parts import part_of
from guidegen.design.pieces import COUNTERSUNK, Pieces, screw_for, thickness_of
from guidegen.design.pulse import box_loss, tenderest
from guidegen.design.rail_metal import half_width
from guidegen.design.result import Desk, Finding, Mend
from guidegen.design.rim import pilot, shank
from guidegen.design.rows import place_of
from guidegen.design.solid import Box, block
from guidegen.kinds import Metre
from guidegen.spec.body import Enclosure
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.parts import catalogue_part
from guidegen.spec.quantities import given_or_within, within
from guidegen.values import Given, Value, band

DEEPEST = 0.2
#: How many times wider than its parts need a box may grow, before it grows deeper.
WIDEST = 2.5
#: What a block of a handle takes of the handle's length, with air. [m].
BLOCK_BESIDE = 0.035
#: Below the light, a box beside it in the drawings. [m].
AWAY = 0.06
#: Half of what two rails on the back take, with the holes of their jumpers. [m].
RAILS_HALF = 0.014
#: Beside bars or foil on the back, the holes of their jumpers. [m].
RAIL_HOLES = 0.0045
#: Named correlations differ by about this much from one another (see the workings page).
FILM_SCATTER = 0.2
POST_BAR = "softwood-12x25"


def enclosure(desk: Desk, pieces: Pieces, box: Enclosure, board: str) -> None:
    """Four walls glued to the board or to a bottom of their own, four posts, a screwed lid."""
    thickness = thickness_of(desk, box.thickness, "enclosure", box.sheet)
    _box_size(desk, box, thickness)
    width, height, depth = (desk[f"enclosure.{n}"] for n in ("width", "height", "depth"))
    if separate(desk.fixture):
        wall = desk.work(
            "enclosure.wall_height", geometry.box_wall_between, depth=depth, sheet=thickness
        )
    else:
        wall = desk.work("enclosure.wall_height", geometry.box_wall, depth=depth, lid=thickness)
    short = desk.work("enclosure.short_wall", geometry.between_strips, outer=height,
                      thickness=thickness)  # fmt: skip
    x, y = enclosure_corner(desk)
    outline, floor, home = Box(x, y, width.si, height.si), floor_of(desk), board
    if separate(desk.fixture):
        home = pieces.add("U", "bottom", box.sheet, made=True, side="back",
                          size=(width, height, thickness),
                          solid=block(outline, floor + thickness.si, floor))  # fmt: skip
    for size, place, axis in _walls(width, short, wall, thickness, x, y):
        pieces.add("U", "wall", box.sheet, made=True, on=home, side="back", size=size,
                   solid=block(place, floor, floor - wall.si, axis=axis), fixed_by="glue",
                   cures=True)  # fmt: skip
    lid = pieces.add("U", "lid", box.sheet, made=True, on=pieces.ref("wall"), side="back",
                     size=(width, height, thickness),
                     solid=block(outline, floor - wall.si, floor - wall.si - thickness.si),
                     covers=("regulator", "pulse_width", "cut_off", "thermal_cut_out", "fuse",
                             "switch", "control", "junction", "resistor", "link", "stage_link",
                             "control_lead", "pulse_lead", "dropper", "fan_wire", "pilot_light",
                             "pilot_dropper", "pilot_wire", "heat_sink",
                             "sink_pad"))  # fmt: skip
    _posts(desk, pieces, outline, home, lid)
    desk.given("enclosure.clearance", Metre, 0.05, "project default")
    desk.work("enclosure.surface", geometry.box_surface, width=width, height=height, depth=depth)
    desk.set(enclosure_separate=separate(desk.fixture))
    if not separate(desk.fixture):
        _fits_on_board(desk)


def floor_of(desk: Desk) -> float:
    """Height over the tape's face of what stands in the box: the board's back, or its bottom."""
    own = desk["enclosure.thickness"].si if separate(desk.fixture) else 0.0
    return -desk["board.thickness"].si - own


@cache
def post_bar() -> CataloguePart:
    """What posts are cut from: one object, as a given that enters several masses counts once."""
    return catalogue_part(POST_BAR).named("post")


def _posts(desk: Desk, pieces: Pieces, outline: Box, home: str, lid: str) -> None:
    """A post in every corner, its wide side along the long walls, and a lid screw into its end."""
    bar, sheet, wall = post_bar(), desk["enclosure.thickness"], desk["enclosure.wall_height"]
    wide, thick, floor = bar["width"].si, bar["thickness"].si, floor_of(desk)
    fixing = screw_for(desk, "lid", COUNTERSUNK, sheet, wall.si)
    ref = pieces.add("H", "lid_screw", on=lid, key=fixing.key, count=4)
    for px, py in ((0, 0), (1, 0), (0, 1), (1, 1)):
        left = outline.x + sheet.si + px * (outline.width - 2 * sheet.si - wide)
        low = outline.y + sheet.si + py * (outline.height - 2 * sheet.si - thick)
        corner, x, y = Box(left, low, wide, thick), left + wide / 2, low + thick / 2
        post = pieces.add("U", "post", bar, made=True, on=home, side="back",
                          size=(wall, bar["width"], bar["thickness"]),
                          solid=block(corner, floor, floor - wall.si), fixed_by="glue",
                          cures=True)  # fmt: skip
        top = floor - wall.si
        pieces.bore(lid, shank(fixing, "lid_screw", (x, y, top - sheet.si), ref))
        pieces.bore(post, pilot(fixing, "lid_pilot", (x, y, top), ref))


def _box_size(desk: Desk, box: Enclosure, thickness: Value) -> None:
    tender = tenderest(desk.fixture)
    least, parts = outside(desk.fixture), inside(contents(desk.fixture))
    for name in ("width", "height", "depth"):
        asked, number = getattr(box, name), getattr(least, name)
        if tender is not None and name == "width":
            number = _wide_enough(desk, part_of(tender), least, box)
        if tender is not None and name == "depth":
            number = _deep_enough(desk, part_of(tender), number)
        size = desk.settle(asked, f"enclosure.{name}", Metre, within(asked, number))
        sheets = sheets_deep(desk.fixture) if name == "depth" else 2
        needed = getattr(parts, name) + sheets * thickness.si
        if size.si < needed - 1e-9:
            room = desk.given(f"enclosure.least_{name}", Metre, needed, "what the box holds")
            desk.limit("box-too-small", room, size, at_most=False, place=place_of(asked),
                       mends=(Mend({f"body.enclosure.{name}": "auto"}),))  # fmt: skip


def _fits_on_board(desk: Desk) -> None:
    """The box beside mount and handles, on the back of the board."""
    board_width, board_height = desk["board.width"], desk["board.height"]
    width, height = desk["enclosure.width"], desk["enclosure.height"]
    needed = height.si + taken(desk.fixture, "top") + taken(desk.fixture, "bottom")
    if width.si <= board_width.si + 1e-9 and needed <= board_height.si + 1e-9:
        return
    larger = {
        f"body.board.{side}": f"auto at least {math.ceil(least / FIVE - 1e-9) * FIVE * 1000:.0f} mm"
        for side, least, there in (("width", width.si, board_width.si),
                                   ("height", needed, board_height.si))
        if least > there
    }  # fmt: skip
    desk.find(Finding("box-too-large", "stop", board_height, height,
                      desk.fixture.place("body.enclosure"),
                      {"width": width, "board_width": board_width},
                      (Mend({"body.enclosure.width": "auto", "body.enclosure.height": "auto"}),
                       Mend(larger), Mend({"body.enclosure.side": "separate"}))))  # fmt: skip


def _wide_enough(desk: Desk, module: CataloguePart, least: Room, box: Enclosure) -> float:
    """The least width whose surface keeps the air inside cool, as far as the board is wide."""
    height, depth = (
        given_or_within(asked, number)
        for asked, number in ((box.height, least.height), (box.depth, least.depth))
    )
    most = WIDEST * least.width
    if not separate(desk.fixture):
        most = min(most, desk["board.width"].si - 2 * FIVE, *_between_handles(desk))
    width = least.width
    while width + FIVE <= most and _too_warm(desk, module, Room(width, height, depth)):
        width += FIVE
    return width


def _between_handles(desk: Desk) -> list[float]:
    """Room between the blocks of each handle, which the box stands in. [m]."""
    handles = desk.fixture.body.handles
    return [handle.length.si - 2 * BLOCK_BESIDE if isinstance(handle.length, Given) else 0.0
            for handle in handles]  # fmt: skip


def _deep_enough(desk: Desk, module: CataloguePart, least: float) -> float:
    """The least depth whose surface keeps the air inside within what the modules bear."""
    width, height = desk["enclosure.width"].si, desk["enclosure.height"].si
    depth = least
    while depth < DEEPEST and _too_warm(desk, module, Room(width, height, depth)):
        depth += FIVE
    return depth


def _too_warm(desk: Desk, module: CataloguePart, room: Room) -> bool:
    """Whether the air in a box of this size can pass what a module bears.

    In the worst case, as the box is judged by: every tolerance against it at once.
    """
    enclosure = desk.fixture.body.enclosure
    assert enclosure is not None
    sheet = enclosure.sheet
    warm = box_loss(desk)
    assert warm is not None  # a module that bears so much makes some heat
    ambient = desk.fixture.use.ambient_high
    area = geometry.box_surface(width=room.width, height=room.height, depth=room.depth)
    air = warm_box.box_temperature(
        loss=band(warm)[1], area=area, height=room.height,
        wall_thickness=band(desk["enclosure.thickness"])[1],
        wall_conductivity=band(sheet["conductivity"])[0],
        emissivity=band(sheet["emissivity"])[0],
        ambient=ambient.si + ambient.spread, film_factor=1 - FILM_SCATTER,
    )  # fmt: skip
    return air > module["highest_ambient"].si


def enclosure_corner(desk: Desk) -> tuple[float, float]:
    """Lower left corner of the box, seen from the front. [m].

    It is centred in what mount and handles leave; rails on the back may move it sideways. A box
    beside the light is drawn below it.
    """
    if separate(desk.fixture):
        x = (desk["board.width"].si - desk["enclosure.width"].si) / 2
        low = min(panels.origin(desk, number)[1] for number in panels.numbers(desk))
        return x, low - AWAY - desk["enclosure.height"].si
    free_low, free_high = (taken(desk.fixture, edge) for edge in ("bottom", "top"))
    x = _clear_of_rails(desk, (desk["board.width"].si - desk["enclosure.width"].si) / 2)
    middle = (free_low + desk["board.height"].si - free_high) / 2
    return x, middle - desk["enclosure.height"].si / 2


def _clear_of_rails(desk: Desk, x: float) -> float:
    """The left edge nearest to the middle at which no post stands on a rail on the back. [m]."""
    if not desk.fact("fed_middle"):
        return x
    rails = desk["board.margin_width"].si + desk["row.feed_point"].si
    width, t, post = (desk["enclosure.width"].si, desk["enclosure.thickness"].si,
                      post_bar()["width"].si)  # fmt: skip

    offset = desk.fixture.wiring.rails.offset.si
    half = max(RAILS_HALF, offset / 2 + 2 * half_width(desk.fixture) + RAIL_HOLES)

    def clear(left: float) -> bool:
        ends = ((left, left + t + post), (left + width - t - post, left + width))
        return all(rails + half <= low or high <= rails - half for low, high in ends)

    most = desk["board.width"].si - width
    steps = [x + sign * FIVE * n for n in range(int(most / FIVE) + 1) for sign in (1, -1)]
    return next((left for left in steps if 0 <= left <= most and clear(left)), x)


def _walls(
    width: Value, short: Value, wall: Value, thickness: Value, x: float, y: float
) -> list[tuple[tuple[Value, ...], Box, str]]:
    """Size, outline and the way of its thickness of every wall: two long ones, two between."""
    t = thickness.si
    return [
        ((width, wall, thickness), Box(x, y + t + short.si, width.si, t), "y"),
        ((width, wall, thickness), Box(x, y, width.si, t), "y"),
        ((short, wall, thickness), Box(x, y + t, t, short.si), "x"),
        ((short, wall, thickness), Box(x + width.si - t, y + t, t, short.si), "x"),
    ]
