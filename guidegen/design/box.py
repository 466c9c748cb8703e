"""Room that the box behind the board must give; the board must bear the box."""

from __future__ import annotations

import math
from dataclasses import dataclass

from guidegen.design.parts import part_of, pulse_of, regulator_of
from guidegen.spec.model import Fixture
from guidegen.spec.quantities import Auto
from guidegen.values import Given

FIVE = 0.005
#: Beside the module: fuse holder and switch on one side, the control on the other, and air.
BESIDE, ABOVE, OVER, SHALLOWEST = 0.09, 0.045, 0.025, 0.04
#: Between two modules, for the wires from one to the next.
BETWEEN = 0.02
NO_MODULE = (0.03, 0.03, 0.02)


@dataclass(frozen=True)
class Room:
    """Width, height and depth, in metres."""

    width: float
    height: float
    depth: float


def module(fixture: Fixture) -> Room:
    """What the modules in the box take up, side by side."""
    stages = [stage for stage in (regulator_of(fixture), pulse_of(fixture)) if stage]
    if not stages:
        return Room(*NO_MODULE)
    widths, heights, depths = (
        [part_of(stage)[name].si for stage in stages] for name in ("width", "height", "depth")
    )
    return Room(sum(widths) + BETWEEN * (len(widths) - 1), max(heights), max(depths))


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
    inner, walls = module(fixture), 2 * thickness(fixture)
    return Room(*(
        math.ceil((size + walls) / FIVE - 1e-9) * FIVE
        for size in (inner.width + BESIDE, inner.height + ABOVE,
                     max(inner.depth + OVER, SHALLOWEST))
    ))  # fmt: skip


def on_board(fixture: Fixture) -> tuple[float, float]:
    """Width and height that box and mount need of the board; zeros where there is no box. [m]."""
    box, mount = fixture.body.enclosure, fixture.body.mount
    if box is None:
        return 0.0, 0.0
    least = outside(fixture)
    beside = mount.block["width"].si if mount else 0.0
    return _asked(box.width, least.width), _asked(box.height, least.height) + beside


def _asked(asked: Given | Auto, number: float) -> float:
    if isinstance(asked, Given):
        return asked.si
    return max(number, asked.low.si) if asked.low else number
