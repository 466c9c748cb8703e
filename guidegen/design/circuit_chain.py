"""The chain of the circuit: from the supply through every stage to the poles of the feed."""

from __future__ import annotations

from guidegen.design import places
from guidegen.design.growing import BOLT, PLUG, POLE, SCREW, SOLDER, Pole, Wiring
from guidegen.design.looks import battery_look, lead_look
from guidegen.design.model import Box, Solid, block
from guidegen.design.parts import part_of, supply_part
from guidegen.design.result import Desk
from guidegen.design.wiring import leads
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
#: From the box to what stays at the battery, in drawings. [m].
BESIDE = 0.06
#: What leads from pole to part at a battery, where no lead is named.
BATTERY_WIRE = "battery_wire"


def supply(wiring: Wiring) -> None:
    """Enter the supply, at which both poles begin: an adapter's plug, a battery's poles."""
    battery = bool(wiring.desk.fact("battery"))
    ref = wiring.part("G", "supply", supply_part(wiring.desk.fixture), "")
    for polarity in "+-":
        key = wiring.terminal(ref, polarity, polarity, None, POLE if battery else PLUG)
        wiring.poles[polarity] = Pole(key, BATTERY_WIRE if battery else "plug")


def stage(wiring: Wiring, stage: AnyStage, home: str) -> None:
    """Enter one stage and lead the poles on to it."""
    ahead = _at_supply(wiring, stage)
    if isinstance(stage, LeadStage):
        names = ["lead", *(f"lead_{n}" for n in range(2, 20))]
        for pole in wiring.poles.values():
            pole.pending = "supply_lead" if ahead else "lead"
            pole.lead = names[leads(wiring.desk.fixture).index(stage)]
    elif isinstance(stage, ConnectorStage):
        _connector(wiring, stage)
    elif isinstance(stage, FuseStage | SwitchStage):
        _series(wiring, stage, home)
    elif isinstance(stage, CutOffStage) and not stage.built_in:
        role = "supply_cut_off" if ahead else "cut_off"
        four_pole(wiring, "K", role, part_of(stage), home, (0.75, 0.5))
    elif isinstance(stage, RegulatorStage):
        four_pole(wiring, "T", "regulator", part_of(stage), home, (0.45, 0.5))


def _at_supply(wiring: Wiring, stage: AnyStage) -> bool:
    """Whether a stage stays with the battery when the light is unplugged."""
    return any(stage is own for own in wiring.desk.fixture.supply.chain)


def lead_on(wiring: Wiring, polarity: str, to: str) -> None:
    """Lead the pole on to a terminal with the conductor that is due."""
    pole = wiring.poles[polarity]
    own = wiring.at_supply
    if pole.pending == BATTERY_WIRE and polarity == "+":
        wiring.poles["-"].beside += 1  # what the other pole passes by, it is longer by
    if pole.pending != "plug":
        look = None
        if pole.pending == BATTERY_WIRE:
            look = battery_look(wiring.desk, polarity, pole.beside)
        elif pole.lead:
            look = lead_look(wiring.desk, polarity, pole.lead, pole.beside)
        wiring.wire(pole.pending, pole.terminal, to, polarity, look=look)
    wiring.poles[polarity] = Pole(to, BATTERY_WIRE if own else "link")


def _connector(wiring: Wiring, stage: ConnectorStage) -> None:
    """A battery's wires end at its own half of the connector, the light's begin at the other."""
    desk = wiring.desk
    x, y = places.box_point(desk, 1.0, 0.25)
    ref = wiring.part("X", "connector", part_of(stage), "")
    for polarity, shift in (("+", 0.006), ("-", -0.006)):
        if desk.fact("battery"):
            half = f"B{polarity}"
            lead_on(wiring, polarity, wiring.terminal(ref, half, polarity, (x + BESIDE, y + shift)))
    wiring.at_supply = False
    for polarity, shift in (("+", 0.006), ("-", -0.006)):
        key = wiring.terminal(ref, polarity, polarity, (x + 0.03, y + shift))
        if desk.fact("battery"):
            wiring.poles[polarity] = Pole(key)
        else:
            lead_on(wiring, polarity, key)


def _series(wiring: Wiring, stage: FuseStage | SwitchStage, home: str) -> None:
    """Fuse and switch break the positive pole; the negative one passes."""
    desk = wiring.desk
    letter, role, up = (
        ("F", "fuse", 0.25) if isinstance(stage, FuseStage) else ("Q", "switch", 0.75)
    )
    x, y = places.box_point(desk, 0.86, up)
    if _at_supply(wiring, stage):  # in the battery's lead, beyond the connector
        home, (x, y) = "", places.box_point(desk, 1.0, up)
        x += 2 * BESIDE
        role = "fuse" if role == "fuse" else "supply_switch"
    ref = wiring.part(letter, role, part_of(stage), home, side="back",
                      solid=behind(desk, Box(x - 0.01, y - 0.008, 0.02, 0.016), SMALL))  # fmt: skip
    bolted = part_of(stage).words.get("series") == "bolt" and _at_supply(wiring, stage)
    joint = BOLT if bolted else SOLDER
    first = wiring.terminal(ref, "1", "+", (x, y - 0.006), joint)
    second = wiring.terminal(ref, "2", "+", (x, y + 0.006), joint)
    lead_on(wiring, "+", first)
    wiring.poles["+"].terminal = second


def four_pole(
    wiring: Wiring, letter: str, role: str, part: CataloguePart, home: str, at: places.Point
) -> None:
    """Enter a module that both poles go through, and lead them on from its output."""
    desk = wiring.desk
    x, y = places.box_point(desk, *at)
    if role == "supply_cut_off":
        home, x = "", places.box_point(desk, 1.0, 0.5)[0] + 2 * BESIDE
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
        wiring.poles[polarity].terminal = keys[f"OUT{polarity}"]
    for number, name in enumerate(CONTROL_PADS.get(role, ()), 1):
        pads = len(CONTROL_PADS[role]) + 1
        at = (box.x + (1 - number / pads) * width, box.y + height)
        wiring.terminal(ref, name, "", at)


def behind(desk: Desk, box: Box, deep: float, off: float = 0.0) -> Solid:
    """A solid on the back of the board, or standing off from it. [m]."""
    face = -desk["board.thickness"].si - off
    return block(box, face, face - deep)
