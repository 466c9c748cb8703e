"""The chain of the circuit: from the supply through every stage to the poles of the feed."""

from __future__ import annotations

from guidegen.design import places
from guidegen.design.box import enters_by_lead
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

#: The module's pads for the control; which pads they are on the board, the step says.
PADS = ("VR1", "VR2")
#: From the wall of the box to a connector in the lead; sizes of a fuse at the battery. [m].
BESIDE, FUSE_LONG, FUSE_HIGH = 0.03, 0.02, 0.016


def supply(wiring: Wiring) -> None:
    """Enter the supply, at which both poles begin."""
    ref = wiring.part("G", "supply", supply_part(wiring.desk.fixture), "")
    for polarity in "+-":
        key = wiring.terminal(ref, polarity, polarity, None, PLUG)
        wiring.poles[polarity] = Pole(key, "plug")


def stage(wiring: Wiring, stage: AnyStage) -> None:
    """Enter one stage and lead the poles on to it."""
    if isinstance(stage, LeadStage):
        for pole in wiring.poles.values():
            pole.pending = "lead"
    elif isinstance(stage, ConnectorStage):
        _connector(wiring, stage)
    elif isinstance(stage, FuseStage | SwitchStage):
        _series(wiring, stage)
    elif isinstance(stage, CutOffStage) and not stage.built_in:
        _four_pole(wiring, "K", "cut_off", part_of(stage))
    elif isinstance(stage, RegulatorStage):
        _four_pole(wiring, "T", "regulator", part_of(stage))


def lead_on(wiring: Wiring, polarity: str, to: str) -> None:
    """Lead the pole on to a terminal with the conductor that is due."""
    pole = wiring.poles[polarity]
    if pole.pending != "plug":
        wiring.wire(pole.pending, pole.terminal, to, polarity)
    pole.terminal, pole.pending = to, "link"


def _connector(wiring: Wiring, stage: ConnectorStage) -> None:
    """The border: in the lead where there is one, else in the wall of the box."""
    desk = wiring.desk
    if enters_by_lead(desk.fixture):
        solid, home = None, ""
        x, y, _ = _middle(places.in_box(desk, "grommet"))
        x, shift = x + BESIDE, 0.006
    else:
        solid = places.in_box(desk, "connector")
        home = wiring.home(solid)
        x, (_, y, _) = solid.low[0], _middle(solid)
        shift = solid.size[1] / 4
    ref = wiring.part("X", "connector", part_of(stage), home, solid=solid,
                      side="back" if solid else "front")  # fmt: skip
    for polarity, up in (("+", shift), ("-", -shift)):
        lead_on(wiring, polarity, wiring.terminal(ref, polarity, polarity, (x, y + up)))


def _middle(solid: Solid) -> tuple[float, float, float]:
    x, y, z = ((a + b) / 2 for a, b in zip(solid.low, solid.high, strict=True))
    return x, y, z


def _series(wiring: Wiring, stage: FuseStage | SwitchStage) -> None:
    """Fuse and switch break the positive pole; the negative one passes."""
    desk = wiring.desk
    letter, role = ("F", "fuse") if isinstance(stage, FuseStage) else ("Q", "switch")
    if stage in desk.fixture.supply.chain:  # in the battery's lead, beyond the connector
        way_in = "grommet" if enters_by_lead(desk.fixture) else "connector"
        x, y, _ = _middle(places.in_box(desk, way_in))
        home, outline = "", Box(x + 2 * BESIDE, y + BESIDE / 2, FUSE_LONG, FUSE_HIGH)
        solid = behind(desk, outline, FUSE_HIGH)
    else:
        solid = places.in_box(desk, role)
        home = wiring.home(solid)
    ref = wiring.part(letter, role, part_of(stage), home, side="back", solid=solid)
    x, (_, y, _), (_, high, _) = solid.low[0], _middle(solid), solid.size
    first = wiring.terminal(ref, "1", "+", (x, y - high / 4))
    second = wiring.terminal(ref, "2", "+", (x, y + high / 4))
    lead_on(wiring, "+", first)
    wiring.poles["+"].terminal = second


def _four_pole(wiring: Wiring, letter: str, role: str, part: CataloguePart) -> None:
    desk = wiring.desk
    solid = places.in_box(desk, role)
    box = solid.box
    ref = wiring.part(letter, role, part, wiring.home(solid), side="back", solid=solid)
    ends = {"IN": box.x + box.width, "OUT": box.x}
    keys = {}
    for side, edge in ends.items():
        for polarity, share in (("+", 0.75), ("-", 0.25)):
            name = f"{side}{polarity}"
            at = (edge, box.y + share * box.height)
            keys[name] = wiring.terminal(ref, name, polarity, at, SCREW)
    for polarity in "+-":
        lead_on(wiring, polarity, keys[f"IN{polarity}"])
        wiring.poles[polarity] = Pole(keys[f"OUT{polarity}"])
    if role == "regulator":
        for name, share in zip(PADS, (0.6, 0.4), strict=True):
            wiring.terminal(ref, name, "", (box.x + share * box.width, box.y + box.height))


def behind(desk: Desk, box: Box, deep: float) -> Solid:
    """A solid on the back of the board. [m]."""
    face = places.floor(desk)
    return block(box, face, face - deep)
