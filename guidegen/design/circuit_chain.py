"""The chain of the circuit: from the supply through every stage to the poles of the feed."""

from __future__ import annotations

from guidegen.design import places
from guidegen.design.box import Room, enters_by_lead, on_floor
from guidegen.design.growing import BOLT, PLUG, POLE, SCREW, SOLDER, Pole, Wiring
from guidegen.design.looks import battery_look, lead_look
from guidegen.design.openings import home_of
from guidegen.design.parts import part_of, regulator_of, supply_part
from guidegen.design.result import Desk
from guidegen.design.sizes import leads
from guidegen.design.solid import Box, Solid, block
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.stages import (
    AnyStage,
    ConnectorStage,
    CutOffStage,
    FuseStage,
    LeadStage,
    RegulatorStage,
    SwitchStage,
    ThermalCutOutStage,
)

#: A module's pads for its control; which pads they are on the board, the step says.
PADS = ("VR1", "VR2")
CONTROL_PADS = {"regulator": PADS, "pulse_width": ("C1", "C2", "C3")}
#: From the wall of the box to a connector in the lead, and on to what stays at the battery, in
#: drawings; size of a fuse or switch there. [m].
BESIDE, FUSE = 0.03, Room(0.02, 0.016, 0.016)
#: What leads from pole to part at a battery, where no lead is named.
BATTERY_WIRE = "battery_wire"


def supply(wiring: Wiring) -> None:
    """Enter the supply, at which both poles begin: an adapter's plug, a battery's poles."""
    battery = bool(wiring.desk.fact("battery"))
    ref = wiring.part("G", "supply", supply_part(wiring.desk.fixture), "")
    for polarity in "+-":
        key = wiring.terminal(ref, polarity, polarity, None, POLE if battery else PLUG)
        wiring.poles[polarity] = Pole(key, BATTERY_WIRE if battery else "plug")


def stage(wiring: Wiring, stage: AnyStage) -> None:
    """Enter one stage and lead the poles on to it."""
    ahead = _at_supply(wiring, stage)
    if isinstance(stage, LeadStage):
        names = ["lead", *(f"lead_{n}" for n in range(2, 20))]
        for pole in wiring.poles.values():
            pole.pending = "supply_lead" if ahead else "lead"
            pole.past = pole.lead
            pole.lead = names[leads(wiring.desk.fixture).index(stage)]
    elif isinstance(stage, ConnectorStage):
        _connector(wiring, stage)
    elif isinstance(stage, FuseStage | SwitchStage | ThermalCutOutStage):
        _series(wiring, stage)
    elif isinstance(stage, CutOffStage) and not stage.built_in:
        role = "supply_cut_off" if ahead else "cut_off"
        four_pole(wiring, "K", role, part_of(stage))
    elif isinstance(stage, RegulatorStage):
        four_pole(wiring, "T", "regulator", part_of(stage))


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
            look = lead_look(wiring.desk, polarity, pole.lead, pole.beside, pole.past)
        wiring.wire(pole.pending, pole.terminal, to, polarity, look=look)
    wiring.poles[polarity] = Pole(to, BATTERY_WIRE if own else "link")


def _connector(wiring: Wiring, stage: ConnectorStage) -> None:
    """The border: in the lead where there is one, else in the wall of the box.

    A battery's wires end at its own half of the connector, the light's begin at the other.
    """
    desk = wiring.desk
    if enters_by_lead(desk.fixture):
        solid, home = None, ""
        x, y, _ = places.in_box(desk, "grommet").middle
        x, shift = x + BESIDE, 0.006
    else:
        solid = places.in_box(desk, "connector")
        # Without a wall to sit in, it hangs on its wires.
        found = home_of(wiring.body, solid)
        home = found.ref if found.role == "wall" else ""
        x, (_, y, _) = solid.low[0], solid.middle
        shift = solid.size[1] / 4
    ref = wiring.part("X", "connector", part_of(stage), home, solid=solid,
                      side="back" if solid else "front")  # fmt: skip
    for polarity, up in (("+", shift), ("-", -shift)):
        if desk.fact("battery"):
            half = wiring.terminal(ref, f"B{polarity}", polarity, (x + BESIDE, y + up))
            lead_on(wiring, polarity, half)
    wiring.at_supply = False
    for polarity, up in (("+", shift), ("-", -shift)):
        key = wiring.terminal(ref, polarity, polarity, (x, y + up))
        if desk.fact("battery"):
            wiring.poles[polarity] = Pole(key)
        else:
            lead_on(wiring, polarity, key)


def _series(wiring: Wiring, stage: FuseStage | SwitchStage | ThermalCutOutStage) -> None:
    """Fuse, switch and thermal cut-out break the positive pole; the negative one passes."""
    desk = wiring.desk
    letter, role = "Q" if isinstance(stage, SwitchStage) else "F", stage.kind
    if _at_supply(wiring, stage):
        home, solid = "", _beyond(desk, FUSE, 1.0)
        role = "fuse" if role == "fuse" else "supply_switch"
    else:
        solid = places.in_box(desk, role)
        home = wiring.home(solid)
    ref = wiring.part(letter, role, part_of(stage), home, side="back", solid=solid)
    x, (_, y, _), (_, high, _) = solid.low[0], solid.middle, solid.size
    bolted = part_of(stage).words.get("series") == "bolt" and _at_supply(wiring, stage)
    joint = BOLT if bolted else SOLDER
    first = wiring.terminal(ref, "1", "+", (x, y - high / 4), joint)
    second = wiring.terminal(ref, "2", "+", (x, y + high / 4), joint)
    lead_on(wiring, "+", first)
    wiring.poles["+"].terminal = second


def four_pole(wiring: Wiring, letter: str, role: str, part: CataloguePart) -> None:
    """Enter a module that both poles go through, and lead them on from its output."""
    desk = wiring.desk
    if role == "supply_cut_off":
        home, solid = "", _beyond(desk, on_floor(role, part, False).room, 3.0)
    else:
        solid = places.in_box(desk, role)
        home = wiring.home(solid)
    box = solid.box
    ref = wiring.part(letter, role, part, home, side="back", solid=solid)
    ends = {"IN": box.x + box.width, "OUT": box.x}
    keys = {}
    for side, edge in ends.items():
        for polarity, share in (("+", 0.75), ("-", 0.25)):
            name = f"{side}{polarity}"
            at = (edge, box.y + share * box.height)
            keys[name] = wiring.terminal(ref, name, polarity, at, SCREW)
    for polarity in "+-":
        lead_on(wiring, polarity, keys[f"IN{polarity}"])
        wiring.poles[polarity].terminal = keys[f"OUT{polarity}"]
    regulator = regulator_of(desk.fixture)
    # A regulator without a control keeps its trimmer: nothing is joined there, nothing read.
    plain = role == "regulator" and (regulator is None or regulator.control is None)
    names = () if plain else CONTROL_PADS.get(role, ())
    for number, name in enumerate(names, 1):
        at = (box.x + (1 - number / (len(names) + 1)) * box.width, box.y + box.height)
        wiring.terminal(ref, name, "", at)


def _beyond(desk: Desk, room: Room, step: float) -> Solid:
    """Where drawings put what stays at the battery: beyond the connector. [m]."""
    way_in = "grommet" if enters_by_lead(desk.fixture) else "connector"
    x, y, _ = places.in_box(desk, way_in).middle
    face = places.floor(desk)
    outline = Box(x + (2 + step) * BESIDE, y + BESIDE / 2, room.width, room.height)
    return block(outline, face, face - room.depth)
