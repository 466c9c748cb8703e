"""Fuse, switch and connector; what a short or a wrong setting can do, and what stops it."""

from __future__ import annotations

import math

from guidegen.calc import protection
from guidegen.design import dead_short, negotiated, pulse, vehicle
from guidegen.design.beside_checks import judge_beside
from guidegen.design.discharge import settle_fading
from guidegen.design.headroom import headroom
from guidegen.design.parts import (
    all_stages,
    first_stage,
    part_of,
    regulator_of,
    steps_up,
    supply_part,
)
from guidegen.design.result import PRACTICE, Desk, Finding, Halt, Mend, Section
from guidegen.design.rows import place_of
from guidegen.design.sizes import carrier
from guidegen.design.source import (
    most_current,
    most_short_current,
    short_current,
    stores_or_starts,
)
from guidegen.kinds import Ampere, AmpereRating, Hour, Ratio
from guidegen.spec.model import Fixture
from guidegen.spec.parts import catalogue
from guidegen.spec.stages import (
    AnyStage,
    ConnectorStage,
    CutOffStage,
    FuseStage,
    SwitchStage,
    ThermalCutOutStage,
)
from guidegen.values import Given, Value, band, renamed


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle the fuse in its window and check every part that breaks or carries the current.

    Raises
    ------
    Halt
        If there is nothing to unplug the light by.
    """
    desk = Desk("protection", fixture, before)
    regulator = regulator_of(fixture)
    settle_fading(desk)
    if regulator is not None:
        headroom(desk, regulator)
    stages = all_stages(fixture)
    fuse = first_stage(fixture, FuseStage)
    desk.set(fuse=fuse is not None,
             switch=any(isinstance(s, SwitchStage) for s in stages),
             connector=any(isinstance(s, ConnectorStage) for s in stages),
             cut_off=any(isinstance(s, CutOffStage) for s in stages))  # fmt: skip
    if not desk.fact("connector"):
        desk.find(Finding("no-connector", "stop", place=fixture.place("chain"),
                          mends=(Mend({"chain.connector": "auto"}),)))  # fmt: skip
        raise Halt(desk.section())
    box = Mend({"body.enclosure": "{sheet: plywood, thickness: 6 mm}"})
    desk.find_if(regulator is not None and fixture.body.enclosure is None, "no-box", "advice",
                 place=fixture.place("body"), mends=(box,))  # fmt: skip
    desk.find_if(bool(desk.fact("conductive_board")), "metal-near-rails", "advice",
                 place=fixture.place("body.board.sheet"))  # fmt: skip
    wet = bool(desk.fact("use.damp") or desk.fact("use.rain"))
    if wet or regulator is not None:
        desk.given("lacquer.drying", Hour, 1.0, "project default")
    desk.find_if(wet, "damp", "advice", place=fixture.place("use.surroundings"))
    _needed(desk, fuse)
    if fuse is not None:
        _fuse(desk, fuse)
        _at_the_battery(desk, fuse)
    _plug(desk, stages)
    _live_half(desk, stages)
    _contacts(desk, stages)
    pulse.ratings(desk)
    _short(desk, fuse)
    negotiated.settle(desk)
    vehicle.settle(desk, fuse)
    judge_beside(desk)
    judged = dead_short.settle(desk, fuse)
    if fuse is not None and steps_up(regulator):
        # One row's wires are thin: the fuse opens on a short soon, on an overload perhaps late.
        desk.limit("short-in-row", desk["jumper.ampacity"], desk["fuse.opens_at"], level="advice",
                   size=desk["jumper.size"],
                   opens=desk.values.get("short_jumper.far_opens"))  # fmt: skip
    if desk.fact("battery") and not desk.fact("cut_off"):
        desk.find(Finding("no-cut-off", "stop", place=fixture.place("supplies.1"),
                          mends=(Mend({"chain.+cut_off": "auto"}),)))  # fmt: skip
    return desk.section(judged)


def _needed(desk: Desk, fuse: FuseStage | None) -> None:
    if fuse is None:
        level = "stop" if stores_or_starts(desk) else "advice"
        mends = (Mend({"chain.+fuse": "auto"}),)
        desk.find(Finding("no-fuse", level, place=desk.fixture.place("supplies.1"), mends=mends,
                          names={"battery": desk.fact("battery"),
                                 "vehicle": desk.fact("vehicle")}))  # fmt: skip


def _fuse(desk: Desk, stage: FuseStage) -> None:
    part = part_of(stage)
    factor = desk.given("fuse.factor", Ratio, 1.25, "training texts, found twice: 125 % of load")
    least = desk.work("fuse.least", protection.smallest_fuse,
                      load_current=desk["input.highest_current"], factor=factor)  # fmt: skip
    if isinstance(stage.rating, Given):
        rating: Value = desk.put(stage.rating)
    else:
        number = protection.next_fuse(current=least.si, series=part.words["series"])
        rating = desk.settle(stage.rating, "fuse.rating", AmpereRating, number, wanted=least)
    carries, opens = desk.put(part["carries"]), desk.put(part["opens"])
    opens_at = desk.work("fuse.opens_at", protection.fuse_opens_at, rating=rating, opens=opens)
    place = place_of(stage.rating) or stage.place
    fitting = protection.next_fuse(current=least.si, series=part.words["series"])
    mend = (Mend({f"{stage.path}.rating": f"{fitting:g} A"}),)
    desk.limit("fuse-load", rating, least, place=place, mends=mend)
    leads = [n for n in ("lead", "lead_2") if f"{n}.ampacity" in desk]
    # The wires in the light were cut for its first supply: no lead of another one speaks for them.
    for name in [*leads, "link"] if desk.held or not leads else leads:
        # The wire must bear what the fuse lets pass before it opens.
        wider = carrier(desk, "feed" if name == "link" else name, opens_at.si)
        desk.limit("fuse-wire", desk[f"{name}.ampacity"], opens_at, place=place,
                   mends=(*mend, *wider), rating=rating, conductor=name, size=desk[f"{name}.size"],
                   level=_level_for_wire(desk, name))  # fmt: skip
    _can_open(desk, stage, opens_at, carries)
    other = (Mend({stage.path: "auto", f"{stage.path}.rating": "auto"}),)
    desk.limit("fuse-voltage", desk.put(part["voltage"]), desk["supply.highest"], place=place,
               mends=other)  # fmt: skip
    desk.limit("fuse-breaking", desk.put(part["breaking"]), most_short_current(desk), place=place,
               mends=other, bank=desk.fact("bank"))  # fmt: skip


def _at_the_battery(desk: Desk, stage: FuseStage) -> None:
    """What lies between a battery and its fuse is protected by nothing: the fuse comes first."""
    if not desk.fact("battery"):
        return
    own = desk.fixture.supply.chain
    before = own[: own.index(stage)] if stage in own else own
    near = stage in own and all(isinstance(s, CutOffStage) and s.built_in for s in before)
    if near:
        return
    fuse = f"{{fuse: {part_of(stage).key}, rating: auto}}"
    away = {"chain.fuse.fuse": "none", "chain.fuse.rating": "(left out)"}
    mend = {"supplies.1.chain": f"[{fuse}]", **({} if stage in own else away)}
    desk.find(Finding("fuse-far", "stop", place=stage.place if stage.place.line else None,
                      mends=(Mend(mend),) if stage in own or not own else ()))  # fmt: skip


def _level_for_wire(desk: Desk, name: str) -> str:
    """Behind a source that can't give the current, the wire is safe without the fuse."""
    return "stop" if most_current(desk).si > desk[f"{name}.ampacity"].si else "advice"


def _can_open(desk: Desk, stage: FuseStage, opens_at: Value, carries: Value) -> None:
    """A fuse opens only if the source can drive its opening current."""
    desk.limit("fuse-may-never-open", opens_at, short_current(desk), at_most=False,
               level="advice", place=place_of(stage.rating) or stage.place,
               rating=desk["fuse.rating"], carries=carries,
               rated=supply_part(desk.fixture)["current"]
               if desk.fact("adapter") else opens_at)  # fmt: skip


def _plug(desk: Desk, stages: tuple[AnyStage, ...]) -> None:
    """An adapter stays whole, so its plug decides the connector."""
    if desk.fact("battery"):
        return
    adapter = supply_part(desk.fixture)
    plug = adapter.words.get("plug")
    connector = next(stage for stage in stages if isinstance(stage, ConnectorStage))
    socket = part_of(connector)
    if not plug:
        return
    holds = plug == socket.key
    known = {part.key: part.label for part in catalogue("connector")}
    desk.find(Finding("plug-fit", "holds" if holds else "stop", place=connector.place,
                      names={"kept": holds, "plug": known.get(plug, plug), "socket": socket.label},
                      mends=() if holds else (Mend({connector.path: plug}),)))  # fmt: skip


def _live_half(desk: Desk, stages: tuple[AnyStage, ...]) -> None:
    """Unplugged, a battery's half of the connector stays live: nothing of it may be touched."""
    if not desk.fact("battery"):
        return
    connector = next(stage for stage in stages if isinstance(stage, ConnectorStage))
    covered = part_of(connector).words.get("exposed") == "shrouded"
    desk.find(Finding("live-half", "holds" if covered else "stop", place=connector.place,
                      names={"kept": covered, "connector": part_of(connector).label},
                      mends=() if covered else (Mend({connector.path: "auto"}),)))  # fmt: skip


#: Of a contact's rating over what it carries (common practice, no source).
CONTACT_ROOM = 1.25


def _contacts(desk: Desk, stages: tuple[AnyStage, ...]) -> None:
    """Switch and connector by their DC rating."""
    current = desk["input.highest_current"]
    # Where parts spread by more than a quarter, what the worst of them draw is still borne.
    band_ends = math.ceil(band(current)[1] / current.si * 20 - 1e-9) / 20
    factor = desk.given("contact.factor", Ratio, max(CONTACT_ROOM, band_ends),
                        PRACTICE if band_ends <= CONTACT_ROOM else "end of its band")  # fmt: skip
    needed = desk.work("contact.least", protection.smallest_fuse,
                       load_current=current, factor=factor)  # fmt: skip
    seen: set[str] = set()
    for stage in stages:
        if not isinstance(stage, SwitchStage | ConnectorStage | CutOffStage | ThermalCutOutStage):
            continue
        built_in = isinstance(stage, CutOffStage) and stage.built_in
        if built_in or stage.kind in seen:
            continue
        part = part_of(stage)
        seen.add(stage.kind)
        auto = (Mend({stage.path: "auto"}),)
        desk.limit("contact-current", desk.put(part["current"]), needed, place=stage.place,
                   contact=stage.kind, mends=auto)  # fmt: skip
        desk.limit("contact-voltage", desk.put(part["voltage"]), desk["supply.highest"],
                   place=stage.place, contact=stage.kind, mends=auto)  # fmt: skip


MEMORY_TRACKS = "from memory: the tracks bear the current of a whole reel fed at one end"
MEMORY_STAGE = "from memory: a stage feeds its control with a milliampere"
MEMORY_THIN = "from memory: 0.22 mm² bears far more than 1 A in free air"


def _short(desk: Desk, fuse: FuseStage | None) -> None:
    """A short behind the regulator: its current limit, or the source, must spare the wires."""
    regulator = regulator_of(desk.fixture)
    if regulator is not None and "limit.set" in desk:
        limit = desk["limit.set"]
    elif regulator is not None and not steps_up(regulator):
        limit = desk["regulator.current"]
    elif fuse is not None:
        limit = desk["fuse.opens_at"]
    else:
        limit = most_current(desk)
    up = steps_up(regulator)
    tape = desk.fixture.rows.tape
    bears = desk.work("track.ampacity", protection.reel_current, power=desk["tape.power"],
                      reel=desk.put(renamed(tape["reel"], "tape.whole_reel")),
                      voltage=desk["tape.voltage"])  # fmt: skip
    by_heart = desk.given("track.allowed", Ampere, bears.si, MEMORY_TRACKS)
    desk.limit("short-in-track", by_heart, limit, level="advice")
    if desk.fact("control") or desk.fact("pulse_width"):
        # No conductor of the chain is joined to these: what flows in them is the divider's own.
        known = "control.current" in desk
        most = desk["control.current"] if known else desk.given(
            "control.most", Ampere, 0.001, MEMORY_STAGE)  # fmt: skip
        desk.limit("short-of-control", desk.given("control.wire_allowed", Ampere, 1.0, MEMORY_THIN),
                   most, level="advice")  # fmt: skip
    for name in ("feed", "rail") if up and fuse is not None else ("feed", "rail", "jumper"):
        desk.limit("short-behind", desk[f"{name}.ampacity"], limit, conductor=name,
                   size=desk[f"{name}.size"], up=up,
                   level="stop" if stores_or_starts(desk) else "advice",
                   mends=(Mend({"chain.regulator.current_limit": "auto"}),)
                   if regulator is not None and "limit.set" not in desk and not up
                   else carrier(desk, name, limit.si))  # fmt: skip
