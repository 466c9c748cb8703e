"""What the box holds and where: modules on its floor, switch and control in its walls.

Its least size follows from them, so it is known before anything else is settled.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from guidegen.design import mount_plan
from guidegen.design.parts import cut_out_on_board, part_of, pulse_of, regulator_of, sink_of
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.parts import catalogue_part
from guidegen.spec.quantities import Auto
from guidegen.spec.stages import (
    AnyStage,
    ConnectorStage,
    FuseStage,
    LeadStage,
    SwitchStage,
    ThermalCutOutStage,
)
from guidegen.values import Given

FIVE = 0.005
#: Room for fingers and wire between parts, to the walls and under the lid (common practice).
GAP, AROUND, OVER, SHALLOWEST = 0.008, 0.018, 0.015, 0.04
#: A corner post takes this much of both sides of its corner: 25 mm x 12 mm.
POST_ALONG, POST_UP = 0.025, 0.012
#: Inside a fan, where it draws its air.
FAN_AIR = 0.01
#: From the floor to a module on standoffs.
STANDOFF = 0.01
#: Of a module whose data sheet gives no size.
UNKNOWN_SIZE = 0.03
WIDE_GROMMET = "grommet-12mm"
#: A twin cable of this size is about 8 mm wide (from memory). [m²].
THIN_LEAD = 1.5e-6
#: Height of a handle's block, and between its bar and the box. [m].
HANDLE_BLOCK, BAR_AIR = 0.06, 0.003
GROMMET, FUSE_HOLDER, JUNCTION = "grommet-8mm", "fuse-holder-5x20", "junction-screw"
HOLDERS = {"blade": "fuse-holder-blade", "bolt": "fuse-holder-bolt"}


@dataclass(frozen=True)
class Room:
    """Width, height and depth, in metres."""

    width: float
    height: float
    depth: float


@dataclass(frozen=True)
class Item:
    """A part of the box before it has a place. Lengths in metres."""

    role: str
    room: Room
    """Along x, along y, and from the floor upward."""
    wall: str = ""
    """`left` or `right` of the box, seen from the light side; empty: on the floor."""
    raised: bool = False
    """On standoffs."""
    over: float = 0.0
    """What stands on it under the lid: a sink. [m]."""


@dataclass(frozen=True)
class Placed:
    """A part in the box: from the inner lower left corner, and from the floor upward. [m]."""

    item: Item
    x: float
    y: float
    low: float

    @property
    def middle(self) -> tuple[float, float]:
        """The middle of its outline."""
        return self.x + self.item.room.width / 2, self.y + self.item.room.height / 2


def holder_of(stage: FuseStage) -> str:
    """Key of the holder that belongs to the fuse's series."""
    return HOLDERS.get(part_of(stage).words.get("series", ""), FUSE_HOLDER)


def in_wall(role: str, part: CataloguePart, wall: str) -> Item:
    """A part that sits in a wall of the box, its lugs inside."""
    body, behind = part["body"].si, part["behind"].si
    return Item(role, Room(behind, body, body), wall)


def _size(part: CataloguePart, name: str) -> float:
    figure = part.get(name)
    return figure.si if figure else UNKNOWN_SIZE


def on_floor(role: str, part: CataloguePart, raised: bool) -> Item:
    """A module that lies on the floor of the box."""
    room = Room(*(_size(part, name) for name in ("width", "height", "depth")))
    return Item(role, room, raised=raised)


def _of_stage(fixture: Fixture, stage: AnyStage) -> Item | None:
    if isinstance(stage, SwitchStage):
        return in_wall("switch", part_of(stage), "right")
    if isinstance(stage, FuseStage):
        key = holder_of(stage)
        holder = catalogue_part(key)
        return on_floor("fuse", holder, False) if key in HOLDERS.values() else (
            in_wall("fuse", holder, "right"))  # fmt: skip
    if isinstance(stage, ThermalCutOutStage):
        # In contact with the board, or in the air of the box.
        return on_floor(stage.kind, stage.part, not cut_out_on_board(fixture))
    if isinstance(stage.part, CataloguePart) and stage.kind not in ("connector", "lead", "feed"):
        item = on_floor(stage.kind, stage.part, True)
        sink = sink_of(fixture) if stage.kind == "regulator" else None
        return replace(item, over=sink.depth.si) if sink and not sink.outside else item
    return None


def enters_by_lead(fixture: Fixture) -> bool:
    """Whether a lead leads into the box; else the connector sits in its wall."""
    return any(isinstance(stage, LeadStage) for stage in fixture.chain)


def separate(fixture: Fixture) -> bool:
    """Whether the box stands beside the light."""
    box = fixture.body.enclosure
    return box is not None and box.side == "separate"


def feed_grommets(fixture: Fixture) -> list[str]:
    """Names of the places where feeds leave a box beside the light: one for each panel."""
    return ["feed_grommet", *(f"feed_grommet_{n}" for n in range(2, fixture.panel_count + 1))]


def sheets_deep(fixture: Fixture) -> int:
    """Sheets that its depth counts beside the inside: the lid, and the bottom of a box beside."""
    return 2 if separate(fixture) else 1


def grommet_of(fixture: Fixture) -> str:
    """Key of the grommet that the lead goes through; a thick lead, or one to be chosen, is wide."""
    sizes = [stage.size for stage in fixture.chain if isinstance(stage, LeadStage)]
    thin = all(isinstance(size, Given) and size.si <= THIN_LEAD for size in sizes)
    return GROMMET if thin else WIDE_GROMMET


def contents(fixture: Fixture) -> tuple[Item, ...]:
    """All that the box holds, in the order in which the current flows."""
    found: list[Item] = []
    if enters_by_lead(fixture):
        found.append(in_wall("grommet", catalogue_part(grommet_of(fixture)), "right"))
    else:
        found += [in_wall("connector", part_of(stage), "right")
                  for stage in fixture.chain if isinstance(stage, ConnectorStage)]  # fmt: skip
    found += [item for stage in fixture.chain if (item := _of_stage(fixture, stage))]
    if not any(item.raised and item.role != ThermalCutOutStage.kind for item in found):
        # With no module between them, lead and feed meet under screws.
        found.append(on_floor("junction", catalogue_part(JUNCTION), False))
    if separate(fixture):
        found += [in_wall(role, catalogue_part(WIDE_GROMMET), "left")
                  for role in feed_grommets(fixture)]  # fmt: skip
    for stage in (regulator_of(fixture), pulse_of(fixture)):
        if stage is not None and stage.control is not None:
            found.append(in_wall("control", stage.control.part, "left"))
    if fixture.fan is not None:
        side, deep = fixture.fan.fan["width"].si, fixture.fan.fan["depth"].si
        found.append(Item("fan", Room(deep + FAN_AIR, side, side), "left"))
    if fixture.pilot is not None:
        found.append(in_wall("pilot_light", fixture.pilot.pilot, "left"))
    return tuple(found)


def _strip(items: tuple[Item, ...], wall: str) -> float:
    """Depth of the strip along a wall that no module may enter."""
    deepest = max((item.room.width for item in items if item.wall == wall), default=0.0)
    return max(deepest, POST_ALONG) + AROUND


def least(items: tuple[Item, ...]) -> Room:
    """The least inner size in which these parts can be wired."""
    floor = [item for item in items if not item.wall]
    row = sum(item.room.width for item in floor) + GAP * max(len(floor) - 1, 0)
    walls = [[item.room.height for item in items if item.wall == wall]
             for wall in ("left", "right")]  # fmt: skip
    stack = max(sum(wall) + GAP * (len(wall) + 1) for wall in walls) + 2 * POST_UP
    tallest = max((item.room.height for item in floor), default=0.0) + 2 * AROUND
    up = [item.room.depth + item.over + (STANDOFF if item.raised else 0.0) + OVER
          for item in floor]  # fmt: skip
    up += [item.room.depth + GAP for item in items if item.wall]
    return Room(
        _strip(items, "left") + row + _strip(items, "right"),
        max(stack, tallest),
        max(*up, SHALLOWEST) if up else SHALLOWEST,
    )


def placed(items: tuple[Item, ...], inner: Room) -> Mapping[str, Placed]:
    """Every part's place in a box of this inner size, by role.

    Modules stand in one row from the right wall, where the current enters, to the left; what sits
    in a wall is spread over it, between the corner posts and half-way up. A box that is too small
    is laid out all the same: its finding says so.
    """
    found: dict[str, Placed] = {}
    for wall in ("left", "right"):
        mine = [item for item in items if item.wall == wall]
        heights = [item.room.height for item in mine]
        ys = _spread(heights, POST_UP, inner.height - POST_UP)
        for item, y in zip(mine, ys, strict=True):
            x = 0.0 if wall == "left" else inner.width - item.room.width
            found[item.role] = Placed(item, x, y, (inner.depth - item.room.depth) / 2)
    floor = [item for item in items if not item.wall][::-1]
    air = AROUND - GAP
    xs = _spread([item.room.width for item in floor], _strip(items, "left") - air,
                 inner.width - _strip(items, "right") + air)  # fmt: skip
    for item, x in zip(floor, xs, strict=True):
        y = (inner.height - item.room.height) / 2
        found[item.role] = Placed(item, x, y, STANDOFF if item.raised else 0.0)
    return found


def _spread(sizes: list[float], low: float, high: float) -> list[float]:
    """Lower ends of things of these sizes, with equal gaps between and beside them."""
    gap = (high - low - sum(sizes)) / (len(sizes) + 1)
    ends, at = [], low
    for size in sizes:
        at += gap
        ends.append(at)
        at += size
    return ends


def thickness(fixture: Fixture) -> float:
    """Of the box's walls. [m].

    Raises
    ------
    AssertionError
        If the fixture has no box.
    """
    box = fixture.body.enclosure
    assert box is not None
    return box.thickness.si if isinstance(box.thickness, Given) else box.sheet.thicknesses[0].si


def outside(fixture: Fixture) -> Room:
    """The least box that is comfortable to wire, in whole 5 mm."""
    inner, wall = least(contents(fixture)), thickness(fixture)
    return Room(*(
        math.ceil((size + walls * wall) / FIVE - 1e-9) * FIVE
        for size, walls in ((inner.width, 2), (inner.height, 2),
                            (inner.depth, sheets_deep(fixture)))
    ))  # fmt: skip


def on_board(fixture: Fixture) -> tuple[float, float]:
    """Width and height that box and mount need of the board; zeros where there is no box. [m]."""
    box = fixture.body.enclosure
    if box is None or separate(fixture):
        return 0.0, 0.0
    least = outside(fixture)
    beside = taken(fixture, "top") + taken(fixture, "bottom")
    return _asked(box.width, least.width), _asked(box.height, least.height) + beside


def taken(fixture: Fixture, edge: str) -> float:
    """What mount and handle take of the board's height at an edge, on its back. [m]."""
    mount = fixture.body.mount
    found = mount_plan.up(mount) if mount and mount.edge == edge else 0.0
    for handle in fixture.body.handles:
        if edge in handle.edges:
            # The bar lies in the middle of its blocks' height.
            found = max(found, HANDLE_BLOCK / 2 + handle.bar["thickness"].si / 2 + BAR_AIR)
    return found


def _asked(asked: Given | Auto, number: float) -> float:
    if isinstance(asked, Given):
        return asked.si
    return max(number, asked.low.si) if asked.low else number
