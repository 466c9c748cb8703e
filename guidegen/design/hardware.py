"""What holds and covers the circuit: clips, insulation, standoffs, holder, knob, grommet, plate."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

from guidegen.calc import screws
from guidegen.design import panels, places, rail_lines
from guidegen.design.box import WIDE_GROMMET, feed_grommets, grommet_of, holder_of, separate
from guidegen.design.growing import Wiring
from guidegen.design.model import Part
from guidegen.design.openings import Openings, home_of, side_walls
from guidegen.design.parts import first_stage, part_of, pulse_of, regulator_of
from guidegen.design.pieces import PAN, screw_for
from guidegen.design.rail_parts import on_rails, sleeve_for
from guidegen.design.result import PRACTICE, Desk, Finding
from guidegen.kinds import FineMetre
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.parts import catalogue_part
from guidegen.spec.stages import ConnectorStage, FuseStage, Stage, SwitchStage
from guidegen.values import band, renamed

#: From hole to hole, where several cores feed a rail. [m].
CORES_APART = 0.012
#: Along a wire on the back of the board, from tie to tie. [m] (common practice, no source).
TIES_APART = 0.2
#: What holds such ties, the one for the coolest board first.
TIE_BASES = ("tie-base-adhesive", "tie-base-warm")
#: A screw that reaches less into a sheet holds no module. [m] (common practice, no source).
LEAST_HOLD = 0.003
#: Round a feed wire in a hole of a metal board, a finger's width out of both faces. [m].
SLEEVE = 0.05
KNOB = "knob-6mm"
#: A knob's bore and a shaft differ by less, or it wobbles or does not go on. [m] (common practice,
#: no source).
KNOB_SLIP = 0.0002
#: A screw stops this far before it would come out of a sheet. [m].
SHEET_LEFT = 0.001


def hardware(wiring: Wiring, openings: Openings) -> None:
    """What holds and covers the circuit, and the holes that it needs in the body."""
    desk, body = wiring.desk, wiring.body
    boards = [part for part in body if part.role == "board"]
    board = boards[0].ref
    rails = [part for part in wiring.parts if part.role == "rail"]
    for number, one in enumerate(boards, 1):
        on_rails(wiring, openings, one, [rail for rail in rails if rail.panel in (0, number)])
    refs = {part.role: part.ref for part in wiring.parts}
    home = next((part.ref for part in body if part.role == "wall"), board)
    _standoffs(wiring, openings)
    _under_cut_out(wiring)
    for part in list(wiring.parts):
        _in_wall(wiring, openings, part)
    if "control" in refs:
        _knob(wiring, refs["control"])
    if any(wire.role == "lead" for wire in wiring.conductors):
        _way_in(wiring, openings)
    if separate(desk.fixture):
        _way_out(wiring, openings)
    if desk.fact("fed_middle"):
        _through_board(wiring, openings, rails)
    else:
        _feeds(wiring, openings)
    wiring.part("H", "plate", None, home, key="rating-plate", side="back")


def _feeds(wiring: Wiring, openings: Openings) -> None:
    """The holes that the feed wires come through to rails on the front."""
    points = {terminal.key: terminal.at for terminal in wiring.terminals}
    through: Counter[str] = Counter()
    for wire in wiring.conductors:
        at = points[wire.end]
        if wire.role == "feed" and at is not None:
            # Cores that share a pole come through one above the other.
            rail = wiring.part_of(wire.end)
            openings.feed(wire.ref, (at[0], at[1] + through[wire.end] * CORES_APART), rail)
            through[wire.end] += 1
    _tied(wiring, openings)
    if wiring.desk.fact("conductive_board"):
        long = wiring.desk.given("feed_sleeve.length", FineMetre, SLEEVE, "project default")
        for board in (part for part in wiring.body if part.role == "board"):
            count = sum(hole.role == "feed" for hole in openings.found[board.ref])
            wiring.part("H", "feed_sleeve", None, board.ref, key="sleeve-heat-shrink", count=count,
                        side="back", panel=board.panel, size=(long,),
                        rating=str(sleeve_for(wiring.desk, "feed", insulated=True)))  # fmt: skip


def _tied(wiring: Wiring, openings: Openings) -> None:
    """Bases that hold the feed wires along the back of the board, by the length that lies bare."""
    faces = [x for _, wall in side_walls(wiring.body) for x in (wall.low[0], wall.high[0])]
    for board in (part for part in wiring.body if part.role == "board"):
        holes = [hole.at[0] for hole in openings.found[board.ref] if hole.role == "feed"]
        if separate(wiring.desk.fixture):
            # One where the wires leave the board, one beside each hole, the rest between those.
            gaps = [b - a for a, b in pairwise(sorted(set(holes)))]
            _bases(wiring, board, 2 + sum((gap > CORES_APART) + int(gap / TIES_APART)
                                          for gap in gaps))  # fmt: skip
        elif faces:
            # What comes through the board within the box lies bare nowhere.
            bare = [x for x in holes if not min(faces) <= x <= max(faces)]
            _bases(wiring, board, sum(1 + int(min(abs(x - face) for face in faces) / TIES_APART)
                                      for x in bare))  # fmt: skip


def _bases(wiring: Wiring, board: Part, count: int) -> None:
    """So many bases for ties on the back of a board."""
    if count:
        warm = band(wiring.desk["board.back_temperature"])[1]
        key = next((key for key in TIE_BASES if catalogue_part(key)["temperature"].si >= warm),
                   TIE_BASES[-1])  # fmt: skip
        wiring.part("H", "tie_base", None, board.ref, key=key, count=count, side="back",
                    panel=board.panel)  # fmt: skip


def _through_board(wiring: Wiring, openings: Openings, rails: list[Part]) -> None:
    """Rails on the back: a hole in the board for each jumper, a notch in each wall they pass."""
    openings.notches(rails)
    by_pole = {(p.panel, p.polarity): p for p in rail_lines.all_rails(wiring.desk)}
    for wire in wiring.conductors:
        if wire.role == "jumper":
            panel = panels.of_row(wiring.desk, wire.row)[0]
            rail = by_pole[panel, wire.polarity]
            openings.jumper(wire.ref, rail_lines.jumper_hole(wiring.desk, rail, wire.row), panel)


def _standoffs(wiring: Wiring, openings: Openings) -> None:
    """Under every module: screwed through them into the floor, or stuck to a thin or metal one."""
    desk = wiring.desk
    modules = [part for part in wiring.parts
               if part.solid and part.on and part.ref[0] in "TK"]  # fmt: skip
    if not modules:
        desk.set(standoff_screwed=False)
        return
    floor = home_of(wiring.body, modules[0].solid)  # type: ignore[arg-type]
    thickness = min(size.si for size in floor.size)
    pcb = desk.given("standoff.board", FineMetre, 0.0016, PRACTICE)
    high = desk.put(renamed(catalogue_part("standoff-m3x10")["length"], "standoff.length"))
    through = desk.work("standoff.through", screws.stacked, first=high, second=pcb)
    fixing = screw_for(desk, "standoff", PAN, through, thickness)
    metal = floor.role == "board" and bool(desk.fact("conductive_board"))
    inside = all(_over(part, floor) for part in modules)
    held = LEAST_HOLD <= fixing.depth.si <= thickness - SHEET_LEFT
    screwed = inside and not metal and held
    desk.set(standoff_screwed=screwed)
    count = 4 * len(modules)
    key = "standoff-m3x10" if screwed else "standoff-adhesive"
    wiring.part("H", "standoff", None, floor.ref, key=key, count=count, side="back")
    if screwed:
        ref = wiring.part("H", "standoff_screw", None, floor.ref, key=fixing.key, count=count,
                          side="back")  # fmt: skip
        for part in modules:
            openings.under(part, fixing, ref)


def _under_cut_out(wiring: Wiring) -> None:
    """A thermal cut-out sticks to the board by a pad that conducts heat, or stands in the air."""
    cut_out = next((part for part in wiring.parts if part.role == "thermal_cut_out"), None)
    if cut_out is None:
        return
    if wiring.desk.fact("cut_out_on_board"):
        wiring.part("H", "cut_out_pad", None, cut_out.on, key="thermal-pad-adhesive", side="back")
    else:
        wiring.part("H", "cut_out_standoff", None, cut_out.on, key="standoff-adhesive", count=2,
                    side="back")  # fmt: skip


def _knob(wiring: Wiring, control: str) -> None:
    """The knob on the control's shaft, and whether its bore takes that."""
    desk, figures = wiring.desk, _control_part(wiring.desk)
    assert figures is not None
    wiring.part("H", "knob", None, control, key=KNOB, side="back")
    bore = desk.put(renamed(catalogue_part(KNOB)["hole"], "knob.bore"))
    shaft = desk.put(renamed(figures["shaft"], "control.shaft"))
    fits = abs(bore.si - shaft.si) <= KNOB_SLIP
    desk.find(Finding("knob-fit", "holds" if fits else "advice", shaft, bore,
                      desk.fixture.place("chain.regulator.control"), {"kept": fits}))  # fmt: skip


def _over(module: Part, floor: Part) -> bool:
    """Whether a module lies wholly over what carries it."""
    inner, outer = module.box, floor.box
    return inner is not None and outer is not None and outer.holds(inner)


def _in_wall(wiring: Wiring, openings: Openings, part: Part) -> None:
    """The hole in a wall of the box that a part needs, and the holder of a fuse."""
    desk = wiring.desk
    if part.role == "fuse":
        stage = first_stage(desk.fixture, FuseStage)
        assert stage is not None
        key = holder_of(stage)
        # At a battery the wires end on it, so it is there before its fuse.
        role = "fuse_holder" if part.on else "supply_fuse_holder"
        ref = wiring.part("H", role, None, part.on, key=key, side="back")
        stud = catalogue_part(key).get("stud")
        if stud is not None:
            desk.put(renamed(stud, "fuse_holder.stud"))
        if part.on and part.solid and "hole" in catalogue_part(key).figures:
            openings.in_wall(ref, "fuse_holder", catalogue_part(key), part.solid)
        return
    figures: dict[str, CataloguePart | None] = {
        "switch": _stage_part(desk, SwitchStage),
        "connector": _stage_part(desk, ConnectorStage),
        "control": _control_part(desk),
        "fan": desk.fixture.fan.fan if desk.fixture.fan else None,
        "pilot_light": desk.fixture.pilot.pilot if desk.fixture.pilot else None,
    }
    known = figures.get(part.role)
    if known is not None and part.on and part.solid is not None:
        openings.in_wall(part.ref, part.role, known, part.solid)
        if part.role == "fan":
            openings.fan(part.ref, known, part.solid)
            openings.inlet(part.solid)


def _stage_part(desk: Desk, kind: type[Stage]) -> CataloguePart | None:
    stage = first_stage(desk.fixture, kind)
    return part_of(stage) if stage else None  # type: ignore[arg-type]


def _control_part(desk: Desk) -> CataloguePart | None:
    for stage in (regulator_of(desk.fixture), pulse_of(desk.fixture)):
        if stage and stage.control:
            return stage.control.part
    return None


def _way_in(wiring: Wiring, openings: Openings) -> None:
    """The grommet of the lead and the ties that take its pull."""
    home = _grommet(wiring, openings, "grommet", grommet_of(wiring.desk.fixture))
    wiring.part("H", "tie", None, home, key="cable-tie", count=2, side="back")


def _grommet(wiring: Wiring, openings: Openings, role: str, key: str) -> str:
    place = places.in_box(wiring.desk, role)
    home, role = wiring.home(place), role.rstrip("_0123456789")
    ref = wiring.part("H", role, None, home, key=key, side="back", solid=place)
    openings.in_wall(ref, role, catalogue_part(key), place)
    return home


def _way_out(wiring: Wiring, openings: Openings) -> None:
    """The feed of a box beside the light: its grommet, and what takes a pull at both ends."""
    desk, boards = wiring.desk, [part for part in wiring.body if part.role == "board"]
    for place, board in zip(feed_grommets(wiring.desk.fixture), boards, strict=True):
        home = _grommet(wiring, openings, place, WIDE_GROMMET)
        wiring.part("H", "feed_tie", None, home, key="cable-tie", count=2, side="back")
        if desk.fact("fed_middle"):
            _bases(wiring, board, 2)
