"""The circuit: every terminal, conductor and joint, from the supply's plug to the tape's pads."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from guidegen.calc import making
from guidegen.design import places
from guidegen.design.electrical import regulator_of
from guidegen.design.model import Box, Conductor, Joint, Model, Part, Terminal
from guidegen.design.result import Desk, Section
from guidegen.kinds import FineMetre, Ratio
from guidegen.spec.model import Fixture
from guidegen.spec.parts import Part as CataloguePart
from guidegen.spec.stages import (
    ConnectorStage,
    CutOffStage,
    FeedStage,
    FuseStage,
    LeadStage,
    RegulatorStage,
    Stage,
    SwitchStage,
)
from guidegen.values import Value

#: Parts that the feed can begin at.
FEEDERS = ("regulator", "cut_off", "switch", "fuse", "junction")
LONG_LEAD = 1.0
SCREW, SOLDER, PLUG = "screw", "solder", "plug"
TREATMENT = {SCREW: "ferrule", SOLDER: "tinned", PLUG: "plug"}
#: Colours of the poles by region; from memory, and `wiring.colours` overrides them.
COLOURS = {
    "north america": ("RD", "BK"),
    "europe": ("RD", "BK"),
    "united kingdom": ("RD", "BK"),
    "australia": ("RD", "BK"),
    "elsewhere": ("RD", "BK"),
}
CONTROL_COLOURS = ("YE", "WH")
#: The module's pads for the control; which pads they are on the board, the step says.
PADS = ("VR1", "VR2")


@dataclass
class Pole:
    """The end of the circuit so far on one pole, and the conductor that waits to be led on."""

    terminal: str
    pending: str = "link"


@dataclass
class Wiring:
    """The circuit while it grows."""

    desk: Desk
    parts: list[Part] = field(default_factory=list)
    terminals: list[Terminal] = field(default_factory=list)
    conductors: list[Conductor] = field(default_factory=list)
    joints: list[Joint] = field(default_factory=list)
    kinds: dict[str, str] = field(default_factory=dict)
    counts: dict[str, int] = field(default_factory=dict)
    poles: dict[str, Pole] = field(default_factory=dict)
    live: str = ""
    """The control's lug that carries a lead, while its lugs are entered."""

    def name(self, letter: str) -> str:
        """The next reference of this letter."""
        self.counts[letter] = self.counts.get(letter, 0) + 1
        return f"{letter}{self.counts[letter]}"

    def part(
        self, letter: str, role: str, catalogue: CataloguePart | None, on: str, **more: object
    ) -> str:
        """Enter a part of the circuit."""
        ref = self.name(letter)
        if catalogue is not None:
            more = {"material": catalogue.label, "key": catalogue.key, **more}
        self.parts.append(Part(ref, role, role, on=on, **more))  # type: ignore[arg-type]
        return ref

    def terminal(
        self, part: str, name: str, polarity: str, at: places.Point | None, joint: str = SOLDER
    ) -> str:
        """Enter a terminal and say how things are joined to it."""
        mark = "live" if name in self.live else ""
        terminal = Terminal(part, name, polarity, at, mark=mark)
        self.terminals.append(terminal)
        self.kinds[terminal.key] = joint
        return terminal.key

    def wire(self, role: str, start: str, end: str, polarity: str, row: int = 0) -> str:
        """Lead a conductor from one terminal to another."""
        look = self.look(role, polarity)
        ref = self.name("W")
        self.conductors.append(
            Conductor(
                ref,
                role,
                start,
                end,
                polarity,
                role,
                look.material,
                look.size,
                look.size_text,
                look.colour,
                look.length,
                look.current,
                TREATMENT[self.kinds[start]],
                TREATMENT[self.kinds[end]],
                row=row,
                bare=look.bare,
                cores=look.cores,
            )  # fmt: skip
        )
        for terminal in (start, end):
            self.join(ref, terminal)
        return ref

    def join(self, conductor: str, terminal: str) -> None:
        """Join one end of a conductor, or a leg of a part with legs of its own."""
        self.joints.append(
            Joint(f"J{len(self.joints) + 1}", conductor, terminal, self.kinds[terminal])
        )

    def look(self, role: str, polarity: str) -> Look:
        """What a conductor of this role is made of."""
        return LOOKS[role](self.desk, polarity)


@dataclass(frozen=True)
class Look:
    """Material, size, colour, length and current of a conductor."""

    material: str
    size: Value
    size_text: str
    colour: str
    length: Value
    current: Value
    bare: bool = False
    cores: int = 1


def _pole_colour(desk: Desk, polarity: str) -> str:
    wishes, own = desk.fixture.wiring, COLOURS[desk.fixture.guide.region]
    colours = {
        "+": own[0] if wishes.positive_colour == "auto" else wishes.positive_colour,
        "-": own[1] if wishes.negative_colour == "auto" else wishes.negative_colour,
    }
    return colours[polarity]


def _feed_part(desk: Desk) -> CataloguePart:
    stage = next(stage for stage in desk.fixture.chain if isinstance(stage, FeedStage))
    return stage.part


def _lead_look(desk: Desk, polarity: str) -> Look:
    stages = (*desk.fixture.supply.chain, *desk.fixture.chain)
    part = next(stage.part for stage in stages if isinstance(stage, LeadStage))
    return Look(part.label, desk["lead.size"], str(desk["lead.size"]),
                _pole_colour(desk, polarity), desk["lead.length"],
                desk["input.highest_current"], cores=int(part["cores"].si))  # fmt: skip


def _link_look(desk: Desk, polarity: str) -> Look:
    return Look(_feed_part(desk).label, desk["feed.size"], str(desk["feed.size"]),
                _pole_colour(desk, polarity), desk["link.length"],
                desk["input.highest_current"], cores=int(_feed_part(desk)["cores"].si))  # fmt: skip


def _feed_look(desk: Desk, polarity: str) -> Look:
    return Look(_feed_part(desk).label, desk["feed.size"], str(desk["feed.size"]),
                _pole_colour(desk, polarity), desk["feed.length"],
                desk["panel.current"], cores=int(_feed_part(desk)["cores"].si))  # fmt: skip


def _jumper_look(desk: Desk, polarity: str) -> Look:
    part = desk.fixture.wiring.jumper
    bare = part.words["build"] == "bare solid"
    return Look(part.label, desk["jumper.size"], str(desk["jumper.size"]),
                "bare" if bare else _pole_colour(desk, polarity), desk["jumper.length"],
                desk["row.current"], bare)  # fmt: skip


def _control_look(desk: Desk, polarity: str) -> Look:
    colour = CONTROL_COLOURS[0] if polarity == "a" else CONTROL_COLOURS[1]
    return Look(_feed_part(desk).label, desk["control.lead_size"], str(desk["control.lead_size"]),
                colour, desk["control.lead_length"], desk["control.current"], cores=int(_feed_part(desk)["cores"].si))  # fmt: skip


def _tie_look(desk: Desk, polarity: str) -> Look:
    return replace(_control_look(desk, polarity), length=desk["control.tie_length"])


LOOKS = {"lead": _lead_look, "link": _link_look, "feed": _feed_look, "jumper": _jumper_look,
         "control_lead": _control_look, "wiper_tie": _tie_look}  # fmt: skip


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Build the circuit in the order in which the current flows."""
    desk = Desk("circuit", fixture, before)
    body: tuple[Part, ...] = desk.result("body")
    wiring = Wiring(desk)
    home = next((part.ref for part in body if part.role == "wall"), body[0].ref)
    _supply(wiring)
    for stage in (*fixture.supply.chain, *fixture.chain):
        _stage(wiring, stage, home)
    regulator = regulator_of(fixture)
    if regulator is not None and regulator.control is not None:
        _control(wiring, home)
    rails = _rails(wiring, body[0].ref)
    _rows(wiring, rails, body[0].ref)
    _hardware(wiring, body)
    used = {joint.terminal for joint in wiring.joints} | {"G1:+", "G1:-"}
    terminals = tuple(
        Terminal(t.part, t.name, t.polarity, t.at, unused=t.key not in used, mark=t.mark)
        for t in wiring.terminals
    )
    model = Model((*body, *wiring.parts), terminals, tuple(wiring.conductors),
                  tuple(wiring.joints), body[0].box or Box(0, 0, 1, 1))  # fmt: skip
    _facts(desk, model)
    return desk.section(model)


def _supply(wiring: Wiring) -> None:
    source = wiring.desk.fixture.supply
    ref = wiring.part("G", "supply", source.part, "")
    for polarity in "+-":
        key = wiring.terminal(ref, polarity, polarity, None, PLUG)
        wiring.poles[polarity] = Pole(key, "plug")


def _stage(wiring: Wiring, stage: Stage, home: str) -> None:
    if isinstance(stage, LeadStage):
        for pole in wiring.poles.values():
            pole.pending = "lead"
    elif isinstance(stage, ConnectorStage):
        _connector(wiring, stage)
    elif isinstance(stage, FuseStage | SwitchStage):
        _series(wiring, stage, home)
    elif isinstance(stage, CutOffStage) and stage.part is not None:
        _four_pole(wiring, "K", "cut_off", stage.part, home, (0.75, 0.5))
    elif isinstance(stage, RegulatorStage):
        _four_pole(wiring, "T", "regulator", stage.part, home, (0.45, 0.5))


def _lead_on(wiring: Wiring, polarity: str, to: str) -> None:
    """Lead the pole on to a terminal with the conductor that is due."""
    pole = wiring.poles[polarity]
    if pole.pending != "plug":
        wiring.wire(pole.pending, pole.terminal, to, polarity)
    pole.terminal, pole.pending = to, "link"


def _connector(wiring: Wiring, stage: ConnectorStage) -> None:
    desk = wiring.desk
    x, y = places.box_point(desk, 1.0, 0.25)
    ref = wiring.part("X", "connector", stage.part, "")
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
    ref = wiring.part(letter, role, stage.part, home, side="back",
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
    width = part.get("width").si if part.get("width") else 0.03
    height = part.get("height").si if part.get("height") else 0.03
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
    """Two leads from the module to the control; wiper tied to the unused lug; own-legged resistors."""
    desk = wiring.desk
    stage = regulator_of(desk.fixture)
    assert stage is not None and stage.control is not None
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
        across = wiring.part("R", "across_resistor", None, ref, side="back", key="resistor-quarter-watt",
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
        ref = wiring.part("E", "row", tape, board, made=True, row=number, size=(desk["row.length"],),
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


def _hardware(wiring: Wiring, body: tuple[Part, ...]) -> None:
    """What holds and covers the circuit."""
    desk = wiring.desk
    wiring.counts["H"] = sum(part.ref.startswith("H") for part in body)
    board = body[0].ref
    span = desk["rail.length"].si
    rails = [part for part in wiring.parts if part.role == "rail"]
    clips = len(rails) * max(2, int(span / 0.08) + 1)
    wiring.part("H", "rail_clip", None, board, key="rail-clip", count=clips)
    for rail in rails:
        wiring.part(
            "H", "insulation", None, rail.ref, key="insulating-tape-15mm", covers=("rail", "jumper")
        )
    refs = {part.role: part.ref for part in wiring.parts}
    home = next((part.ref for part in body if part.role == "wall"), board)
    if "regulator" in refs:
        wiring.part("H", "standoff", None, home, key="standoff-m3x10", count=4, side="back")
        screw = desk.given("standoff.screw", FineMetre, 0.003, "catalogue wood-screw-3x16 (label)")
        share = desk.given("standoff.pilot_share", Ratio, 0.6, "common practice, no source")
        desk.work("standoff.pilot", making.pilot_diameter, screw=screw, share=share)
        wiring.part("H", "standoff_screw", None, home, key="wood-screw-3x16", count=4, side="back")
    if "fuse" in refs:
        wiring.part("H", "fuse_holder", None, home, key=_holder(wiring), side="back")
    if "control" in refs:
        wiring.part("H", "knob", None, refs["control"], key="knob-6mm", side="back")
    if any(wire.role == "lead" for wire in wiring.conductors):
        wiring.part("H", "grommet", None, home, key="grommet-8mm", side="back")
        wiring.part("H", "tie", None, home, key="cable-tie", count=2, side="back")
    wiring.part("H", "plate", None, home, key="rating-plate", side="back")


def _holder(wiring: Wiring) -> str:
    """The holder that belongs to the fuse's series."""
    stages = (*wiring.desk.fixture.supply.chain, *wiring.desk.fixture.chain)
    fuse = next(stage for stage in stages if isinstance(stage, FuseStage))
    blade = fuse.part.words.get("series") == "blade"
    return "fuse-holder-blade" if blade else "fuse-holder-5x20"


def _connector_word(desk: Desk, word: str) -> str:
    stages = (*desk.fixture.supply.chain, *desk.fixture.chain)
    stage = next((stage for stage in stages if isinstance(stage, ConnectorStage)), None)
    return stage.part.words.get(word, "") if stage else ""


def _fed_from(model: Model, role: str) -> bool:
    """Whether a feed wire begins at a part of this role."""
    refs = {part.ref for part in model.by_role(role)}
    return any(wire.start.split(":")[0] in refs for wire in model.wires("feed"))


def _strong(desk: Desk) -> bool:
    """Whether a short can burn skin: a battery, or more than 8 A or 100 VA (project default)."""
    if desk.fact("battery"):
        return True
    amps = desk["adapter.highest_current"].si
    return bool(amps > 8 or amps * desk["supply.voltage"].si > 100)


def _facts(desk: Desk, model: Model) -> None:
    solder = sum(joint.kind == SOLDER for joint in model.joints)
    desk.set(
        count__row_joints=float(sum(len(model.wires("jumper")) * [2])),
        count__solder_joints=float(solder),
        count__screw_joints=float(len(model.joints) - solder),
        count__conductors=float(len(model.conductors)),
        count__jumpers=float(len(model.wires("jumper"))),
        count__rails=float(len(model.by_role("rail"))),
        bare_rails=any(part.bare for part in model.by_role("rail")),
        bare_jumpers=any(wire.bare for wire in model.wires("jumper")),
        second_rail=any(place.second for place in places.rails(desk)),
        across_resistor=bool(model.by_role("across_resistor")),
        end_resistor=bool(model.by_role("end_resistor")),
        lead=bool(model.wires("lead")),
        long_lead="lead.length" in desk and desk["lead.length"].si > LONG_LEAD,
        exposed_contacts=_connector_word(desk, "exposed") == "pin",
        keyed_connector=bool(model.by_role("connector")),
        cut_off_part=bool(model.by_role("cut_off")),
        strong_supply=_strong(desk),
        **{f"feed_from_{role}": _fed_from(model, role) for role in FEEDERS},
        link=bool(model.wires("link")),
    )
