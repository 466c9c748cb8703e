"""The box behind the board: its size by its parts and its heat, its walls, posts and lid."""

from __future__ import annotations

import math
from functools import cache

from guidegen.calc import geometry, heat
from guidegen.design.box import FIVE, contents, outside
from guidegen.design.box import least as inside
from guidegen.design.model import Box, block
from guidegen.design.parts import part_of, regulator_of
from guidegen.design.pieces import COUNTERSUNK, Pieces, screw_for, thickness_of
from guidegen.design.result import Desk, Finding, Mend
from guidegen.design.rim import pilot, shank
from guidegen.design.rows import place_of, within
from guidegen.kinds import Metre
from guidegen.spec.body import Enclosure
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.parts import catalogue_part
from guidegen.values import Value, band

DEEPEST = 0.2
#: Named correlations differ by about this much from one another (see the workings page).
FILM_SCATTER = 0.2
POST_BAR = "softwood-12x25"


def enclosure(desk: Desk, pieces: Pieces, box: Enclosure, board: str) -> None:
    """A box on the back: four walls glued to the board, four posts, a lid held by screws."""
    thickness = thickness_of(desk, box.thickness, "enclosure")
    _box_size(desk, box, thickness)
    width, height, depth = (desk[f"enclosure.{n}"] for n in ("width", "height", "depth"))
    wall = desk.work("enclosure.wall_height", geometry.box_wall, depth=depth, lid=thickness)
    short = desk.work("enclosure.short_wall", geometry.between_strips, outer=height,
                      thickness=thickness)  # fmt: skip
    x, y = enclosure_corner(desk)
    back = -desk["board.thickness"].si
    for size, outline, axis in _walls(width, short, wall, thickness, x, y):
        pieces.add("U", "wall", box.sheet, made=True, on=board, side="back", size=size,
                   solid=block(outline, back, back - wall.si, axis=axis), fixed_by="glue",
                   cures=True)  # fmt: skip
    pieces.add("U", "lid", box.sheet, made=True, on=pieces.ref("wall"), side="back",
               size=(width, height, thickness),
               solid=block(Box(x, y, width.si, height.si), back - wall.si, back - depth.si),
               covers=("regulator", "cut_off", "fuse", "switch", "control", "junction",
                       "resistor", "link", "control_lead"))  # fmt: skip
    _posts(desk, pieces, Box(x, y, width.si, height.si), wall, board)
    desk.given("enclosure.clearance", Metre, 0.05, "project default")
    desk.work("enclosure.surface", geometry.box_surface, width=width, height=height, depth=depth)
    _fits_on_board(desk)


@cache
def post_bar() -> CataloguePart:
    """What posts are cut from: one object, as a given that enters several masses counts once."""
    return catalogue_part(POST_BAR).named("post")


def _posts(desk: Desk, pieces: Pieces, outline: Box, wall: Value, board: str) -> None:
    """A post in every corner, its wide side along the long walls, and a lid screw into its end."""
    bar, t = post_bar(), desk["enclosure.thickness"].si
    wide, thick = bar["width"].si, bar["thickness"].si
    back = -desk["board.thickness"].si
    fixing = screw_for(desk, "lid", COUNTERSUNK, desk["enclosure.thickness"], wall.si)
    lid = pieces.ref("lid")
    ref = pieces.add("H", "lid_screw", on=lid, key=fixing.key, count=4)
    for px, py in ((0, 0), (1, 0), (0, 1), (1, 1)):
        left = outline.x + t + px * (outline.width - 2 * t - wide)
        low = outline.y + t + py * (outline.height - 2 * t - thick)
        corner, x, y = Box(left, low, wide, thick), left + wide / 2, low + thick / 2
        pieces.add("U", "post", bar, made=True, on=board, side="back",
                   size=(wall, bar["width"], bar["thickness"]),
                   solid=block(corner, back, back - wall.si), fixed_by="glue",
                   cures=True)  # fmt: skip
        post = pieces.parts[-1].ref
        pieces.bore(lid, shank(fixing, "lid_screw", (x, y, back - desk["enclosure.depth"].si),
                               ref))  # fmt: skip
        pieces.bore(post, pilot(fixing, "lid_pilot", (x, y, back - wall.si), ref))


def _box_size(desk: Desk, box: Enclosure, thickness: Value) -> None:
    regulator = regulator_of(desk.fixture)
    least, parts = outside(desk.fixture), inside(contents(desk.fixture))
    for name in ("width", "height", "depth"):
        asked, number = getattr(box, name), getattr(least, name)
        if name == "depth" and regulator is not None:
            number = _deep_enough(desk, part_of(regulator), number)
        size = desk.settle(asked, f"enclosure.{name}", Metre, within(asked, number))
        # The board is the floor of the box: its depth counts the lid alone.
        needed = getattr(parts, name) + (1 if name == "depth" else 2) * thickness.si
        if size.si < needed - 1e-9:
            room = desk.given(f"enclosure.least_{name}", Metre, needed, "what the box holds")
            desk.limit("box-too-small", room, size, at_most=False, place=place_of(asked),
                       mends=(Mend({f"body.enclosure.{name}": "auto"}),))  # fmt: skip


def _fits_on_board(desk: Desk) -> None:
    """The box beside the mount, on the back of the board."""
    board_width, board_height = desk["board.width"], desk["board.height"]
    width, height = desk["enclosure.width"], desk["enclosure.height"]
    needed = height.si + _mount_room(desk)
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
                       Mend(larger))))  # fmt: skip


def _deep_enough(desk: Desk, regulator: CataloguePart, least: float) -> float:
    """The least depth whose surface keeps the air inside within what the regulator bears.

    In the worst case, as the box is judged by: every tolerance against it at once.
    """
    enclosure = desk.fixture.body.enclosure
    assert enclosure is not None
    sheet = enclosure.sheet
    width, height = desk["enclosure.width"].si, desk["enclosure.height"].si
    loss, most = band(desk["regulator.loss"])[1], regulator["highest_ambient"].si
    ambient = desk.fixture.use.ambient_high
    depth = least
    while depth < DEEPEST and most < heat.box_temperature(
        loss=loss, area=geometry.box_surface(width=width, height=height, depth=depth),
        height=height, wall_thickness=band(desk["enclosure.thickness"])[1],
        wall_conductivity=band(sheet["conductivity"])[0],
        emissivity=band(sheet["emissivity"])[0],
        ambient=ambient.si + ambient.spread, film_factor=1 - FILM_SCATTER,
    ):  # fmt: skip
        depth += FIVE
    return depth


def _mount_room(desk: Desk) -> float:
    mount = desk.fixture.body.mount
    return mount.block["width"].si if mount else 0.0


def enclosure_corner(desk: Desk) -> tuple[float, float]:
    """Lower left corner of the box, seen from the front; centred in what the mount leaves. [m]."""
    mount = desk.fixture.body.mount
    free_low = _mount_room(desk) if mount and mount.edge == "bottom" else 0.0
    free_high = desk["board.height"].si - (
        _mount_room(desk) if mount and mount.edge == "top" else 0.0
    )
    x = (desk["board.width"].si - desk["enclosure.width"].si) / 2
    return x, (free_low + free_high - desk["enclosure.height"].si) / 2


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
