"""The circuit: every terminal, conductor and joint, from the supply's plug to the tape's pads."""

from __future__ import annotations

from guidegen.design import places
from guidegen.design.circuit_facts import enter_facts
from guidegen.design.growing import PLUG, SCREW, Pole, Wiring
from guidegen.design.hardware import hardware
from guidegen.design.model import Box, Model, Part, Terminal
from guidegen.design.parts import all_stages, part_of, regulator_of, supply_part
from guidegen.design.result import Desk, Section
from guidegen.spec.model import Fixture
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
#: Width and height of a module whose data sheet gives none. [m].
UNKNOWN_SIZE = 0.03
#: From the box to a fuse at the battery, in drawings. [m].
BESIDE = 0.06


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Build the circuit in the order in which the current flows."""
    desk = Desk("circuit", fixture, before)
    body: tuple[Part, ...] = desk.result("body")
    wiring = Wiring(desk)
    home = next((part.ref for part in body if part.role == "wall"), body[0].ref)
    _supply(wiring)
    for stage in all_stages(fixture):
        _stage(wiring, stage, home)
    regulator = regulator_of(fixture)
    if regulator is not None and regulator.control is not None:
        _control(wiring, home)
    rails = _rails(wiring, body[0].ref)
    _rows(wiring, rails, body[0].ref)
    hardware(wiring, body)
    used = {joint.terminal for joint in wiring.joints} | {"G1:+", "G1:-"}
    terminals = tuple(
        Terminal(t.part, t.name, t.polarity, t.at, unused=t.key not in used, mark=t.mark)
        for t in wiring.terminals
    )
    model = Model((*body, *wiring.parts), terminals, tuple(wiring.conductors),
                  tuple(wiring.joints), body[0].box or Box(0, 0, 1, 1))  # fmt: skip
    enter_facts(desk, model)
    return desk.section(model)


def _supply(wiring: Wiring) -> None:
    ref = wiring.part("G", "supply", supply_part(wiring.desk.fixture), "")
    for polarity in "+-":
        key = wiring.terminal(ref, polarity, polarity, None, PLUG)
        wiring.poles[polarity] = Pole(key, "plug")


def _stage(wiring: Wiring, stage: AnyStage, home: str) -> None:
    if isinstance(stage, LeadStage):
        for pole in wiring.poles.values():
            pole.pending = "lead"
    elif isinstance(stage, ConnectorStage):
        _connector(wiring, stage)
    elif isinstance(stage, FuseStage | SwitchStage):
        _series(wiring, stage, home)
    elif isinstance(stage, CutOffStage) and not stage.built_in:
        _four_pole(wiring, "K", "cut_off", part_of(stage), home, (0.75, 0.5))
    elif isinstance(stage, RegulatorStage):
        _four_pole(wiring, "T", "regulator", part_of(stage), home, (0.45, 0.5))


def _lead_on(wiring: Wiring, polarity: str, to: str) -> None:
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
        _lead_on(wiring, polarity, key)


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
                      box=Box(x - 0.01, y - 0.008, 0.02, 0.016))  # fmt: skip
    first = wiring.terminal(ref, "1", "+", (x, y - 0.006))
    second = wiring.terminal(ref, "2", "+", (x, y + 0.006))
    _lead_on(wiring, "+", first)
    wiring.poles["+"].terminal = second


def _four_pole(
    wiring: Wiring, letter: str, role: str, part: CataloguePart, home: str, at: places.Point
) -> None:
    desk = wiring.desk
    x, y = places.box_point(desk, *at)
    sizes = (part.get("width"), part.get("height"))
    width, height = (size.si if size else UNKNOWN_SIZE for size in sizes)
    box = Box(x - width / 2, y - height / 2, width, height)
    ref = wiring.part(letter, role, part, home, side="back", box=box)
    ends = {"IN": box.x + box.width, "OUT": box.x}
    keys = {}
    for side, edge in ends.items():
        for polarity, share in (("+", 0.75), ("-", 0.25)):
            name = f"{side}{polarity}"
            keys[name] = wiring.terminal(ref, name, polarity, (edge, box.y + share * height), SCREW)
    for polarity in "+-":
        _lead_on(wiring, polarity, keys[f"IN{polarity}"])
        wiring.poles[polarity] = Pole(keys[f"OUT{polarity}"])
    if role == "regulator":
        for name, share in zip(PADS, (0.6, 0.4), strict=True):
            wiring.terminal(ref, name, "", (box.x + share * width, box.y + height))


def _control(wiring: Wiring, home: str) -> None:
    """Two leads from the module to the control; wiper tied to the unused lug; resistors."""
    desk = wiring.desk
    stage = regulator_of(desk.fixture)
    assert stage is not None
    assert stage.control is not None
    x, y = places.box_point(desk, 0.1, 0.7)
    ref = wiring.part("R", "control", stage.control.part, home, side="back",
                      box=Box(x - 0.008, y - 0.008, 0.016, 0.016))  # fmt: skip
    wiring.live, idle = _lugs(desk, stage.control.raises)
    lugs = {name: wiring.terminal(ref, name, "", (x, y + shift))
            for name, shift in (("1", 0.005), ("2", 0.0), ("3", -0.005))}  # fmt: skip
    live = lugs[wiring.live]
    wiring.live = ""
    pads = control_pads(wiring)
    start = live
    if "control.end" in desk:
        # The lead goes to the free leg of the end resistor, its other leg to the lug.
        end = wiring.part("R", "end_resistor", None, ref, side="back", key="resistor-quarter-watt",
                          rating=str(desk["control.end"]))  # fmt: skip
        start = wiring.terminal(end, "free", "", (x + 0.012, y + 0.005))
        wiring.join(end, live)
    wiring.wire("control_lead", pads[0], start, "a")
    wiring.wire("control_lead", pads[1], lugs["2"], "b")
    # With the wiper tied to the unused lug, a wiper that lifts leaves the whole track in circuit.
    wiring.wire("wiper_tie", lugs["2"], lugs[idle], "b")
    if "control.across" in desk:
        across = wiring.part("R", "across_resistor", None, ref, side="back",
                             key="resistor-quarter-watt",
                             rating=str(desk["control.across"]))  # fmt: skip
        wiring.join(across, lugs["1"])
        wiring.join(across, lugs["3"])


def _lugs(desk: Desk, raises: str) -> tuple[str, str]:
    """(lug with the lead, lug tied to the wiper).

    Turned clockwise, the wiper moves from lug 1 to lug 3, seen from the shaft. More resistance
    means more voltage in the upper leg, and less in the lower one.
    """
    from_one = (raises == "clockwise") == bool(desk.fact("control_upper"))
    return ("1", "3") if from_one else ("3", "1")


def control_pads(wiring: Wiring) -> tuple[str, str]:
    """The module's two pads that the control is wired to."""
    regulator = next(part.ref for part in wiring.parts if part.role == "regulator")
    return f"{regulator}:{PADS[0]}", f"{regulator}:{PADS[1]}"


def _rails(wiring: Wiring, board: str) -> list[tuple[str, places.RailPlace]]:
    desk = wiring.desk
    made = []
    length, feed_y = desk["rail.length"], places.rail_feed_y(desk)
    middle = desk["board.height"].si / 2
    rail = desk.fixture.wiring.rail
    bare = rail.words["build"] == "bare solid"
    for place in places.rails(desk):
        ref = wiring.part("W", "rail", rail, board, made=True, polarity=place.polarity, bare=bare,
                          size=(length,), rating=str(desk["rail.size"]),
                          box=Box(place.x, middle - length.si / 2, 0.0, length.si))  # fmt: skip
        made.append((ref, place))
    _junction(wiring, board)
    for ref, place in made:
        feed = wiring.terminal(ref, "feed", place.polarity, (place.x, feed_y))
        wiring.wire("feed", wiring.poles[place.polarity].terminal, feed, place.polarity)
    return made


def _junction(wiring: Wiring, board: str) -> None:
    """Where a lead meets the feed with nothing between them, both go under one screw."""
    bare = [polarity for polarity, pole in wiring.poles.items() if pole.pending != "link"]
    if not bare:
        return
    home = next((part.on for part in wiring.parts if part.role in ("switch", "fuse")), board)
    ref = wiring.part("X", "junction", None, home, side="back", key="junction-screw")
    x, y = places.box_point(wiring.desk, 0.5, 0.2)
    for polarity in bare:
        shift = 0.005 if polarity == "+" else -0.005
        _lead_on(wiring, polarity, wiring.terminal(ref, polarity, polarity, (x, y + shift), SCREW))


def _rows(wiring: Wiring, rails: list[tuple[str, places.RailPlace]], board: str) -> None:
    desk = wiring.desk
    tape = desk.fixture.rows.tape
    left, right = places.row_ends(desk)
    width, count = desk["tape.width"].si, int(desk["row.count"].si)
    pads: dict[str, str] = {}
    for number in range(1, count + 1):
        y = places.row_y(desk, number)
        ref = wiring.part("E", "row", tape, board, made=True, row=number,
                          size=(desk["row.length"],),
                          box=Box(left, y - width / 2, right - left, width))  # fmt: skip
        for side, x in (("L", left), ("R", right)):
            for polarity, shift in (("+", width / 4), ("-", -width / 4)):
                name = f"{side}{polarity}"
                pads[f"{number}{name}"] = wiring.terminal(ref, name, polarity, (x, y + shift))
    for ref, place in rails:
        for number in range(1, count + 1):
            pad = pads[f"{number}{place.side[0].upper()}{place.polarity}"]
            at = (place.x, places.row_y(desk, number))
            tap = wiring.terminal(ref, str(number), place.polarity, at)
            wiring.wire("jumper", tap, pad, place.polarity, row=number)
