"""The chain of the circuit: from the supply through every stage to the poles of the feed."""

from __future__ import annotations

from guidegen.design import places
from guidegen.design.growing import PLUG, SCREW, Pole, Wiring
from guidegen.design.model import Box, Solid, block
from guidegen.design.parts import part_of, supply_part
from guidegen.design.result import Desk
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.stages import (
    AnyStage,
    ConnectorStage,
    CutOffStage,
    FuseStage,
    LeadStage,
    RegulatorStage,
    SwitchStage,
)

#: A module's pads for its control; which pads they are on the board, the step says.
PADS = ("VR1", "VR2")
CONTROL_PADS = {"regulator": PADS, "pulse_width": ("C1", "C2", "C3")}
#: Width and height of a module whose data sheet gives none. [m].
UNKNOWN_SIZE = 0.03
#: Depth of a fuse, switch or control; from the board to a module on standoffs. [m].
SMALL, STANDOFF = 0.02, 0.01
#: From the box to a fuse at the battery, in drawings. [m].
BESIDE = 0.06


def supply(wiring: Wiring) -> None:
    """Enter the supply, at which both poles begin."""
    ref = wiring.part("G", "supply", supply_part(wiring.desk.fixture), "")
    for polarity in "+-":
        key = wiring.terminal(ref, polarity, polarity, None, PLUG)
        wiring.poles[polarity] = Pole(key, "plug")


def stage(wiring: Wiring, stage: AnyStage, home: str) -> None:
    """Enter one stage and lead the poles on to it."""
    if isinstance(stage, LeadStage):
        for pole in wiring.poles.values():
            pole.pending = "lead"
    elif isinstance(stage, ConnectorStage):
        _connector(wiring, stage)
    elif isinstance(stage, FuseStage | SwitchStage):
        _series(wiring, stage, home)
    elif isinstance(stage, CutOffStage) and not stage.built_in:
        four_pole(wiring, "K", "cut_off", part_of(stage), home, (0.75, 0.5))
    elif isinstance(stage, RegulatorStage):
        four_pole(wiring, "T", "regulator", part_of(stage), home, (0.45, 0.5))


def lead_on(wiring: Wiring, polarity: str, to: str) -> None:
    """Lead the pole on to a terminal with the conductor that is due."""
    pole = wiring.poles[polarity]
    if pole.pending != "plug":
        wiring.wire(pole.pending, pole.terminal, to, polarity)
    pole.terminal, pole.pending = to, "link"


def _connector(wiring: Wiring, stage: ConnectorStage) -> None:
    desk = wiring.desk
    x, y = places.box_point(desk, 1.0, 0.25)
    ref = wiring.part("X", "connector", part_of(stage), "")
    for polarity, shift in (("+", 0.006), ("-", -0.006)):
        key = wiring.terminal(ref, polarity, polarity, (x + 0.03, y + shift))
        lead_on(wiring, polarity, key)


def _series(wiring: Wiring, stage: FuseStage | SwitchStage, home: str) -> None:
    """Fuse and switch break the positive pole; the negative one passes."""
    desk = wiring.desk
    letter, role, up = (
        ("F", "fuse", 0.25) if isinstance(stage, FuseStage) else ("Q", "switch", 0.75)
    )
    x, y = places.box_point(desk, 0.86, up)
    if stage in desk.fixture.supply.chain:  # in the battery's lead, beyond the connector
        home, (x, y) = "", places.box_point(desk, 1.0, up)
        x += BESIDE
    ref = wiring.part(letter, role, part_of(stage), home, side="back",
                      solid=behind(desk, Box(x - 0.01, y - 0.008, 0.02, 0.016), SMALL))  # fmt: skip
    first = wiring.terminal(ref, "1", "+", (x, y - 0.006))
    second = wiring.terminal(ref, "2", "+", (x, y + 0.006))
    lead_on(wiring, "+", first)
    wiring.poles["+"].terminal = second


def four_pole(
    wiring: Wiring, letter: str, role: str, part: CataloguePart, home: str, at: places.Point
) -> None:
    """Enter a module that both poles go through, and lead them on from its output."""
    desk = wiring.desk
    x, y = places.box_point(desk, *at)
    sizes = (part.get(name) for name in ("width", "height", "depth"))
    width, height, deep = (size.si if size else UNKNOWN_SIZE for size in sizes)
    box = Box(x - width / 2, y - height / 2, width, height)
    ref = wiring.part(
        letter, role, part, home, side="back", solid=behind(desk, box, deep, STANDOFF)
    )
    ends = {"IN": box.x + box.width, "OUT": box.x}
    keys = {}
    for side, edge in ends.items():
        for polarity, share in (("+", 0.75), ("-", 0.25)):
            name = f"{side}{polarity}"
            keys[name] = wiring.terminal(ref, name, polarity, (edge, box.y + share * height), SCREW)
    for polarity in "+-":
        lead_on(wiring, polarity, keys[f"IN{polarity}"])
        wiring.poles[polarity] = Pole(keys[f"OUT{polarity}"])
    for number, name in enumerate(CONTROL_PADS.get(role, ()), 1):
        pads = len(CONTROL_PADS[role]) + 1
        at = (box.x + (1 - number / pads) * width, box.y + height)
        wiring.terminal(ref, name, "", at)


def behind(desk: Desk, box: Box, deep: float, off: float = 0.0) -> Solid:
    """A solid on the back of the board, or standing off from it. [m]."""
    face = -desk["board.thickness"].si - off
    return block(box, face, face - deep)
