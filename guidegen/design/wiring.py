"""Sizes and drops of rails, jumpers, feed and lead."""

from __future__ import annotations

import math

from guidegen.calc import budget, drops, geometry, wire
from guidegen.design import panels, rail_lines, rails
from guidegen.design.box import separate
from guidegen.design.enclosure import enclosure_corner
from guidegen.design.parts import first_stage, part_of
from guidegen.design.rail_metal import half_width
from guidegen.design.result import PRACTICE, Desk, Finding, Halt, Mend, Section
from guidegen.design.rows import place_of
from guidegen.design.sizes import (
    ampacity,
    carrier,
    carries,
    leads,
    resistance,
    size_for,
    standard_areas,
)
from guidegen.kinds import ConductorArea, Count, FineMetre, LongMetre, Metre, MilliVolt
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.stages import (
    CORES,
    ConnectorStage,
    CutOffStage,
    FeedStage,
    FuseStage,
    LeadStage,
)
from guidegen.values import Given, Value, band, renamed

JUMPER_AREA = 0.5e-6
LONG_LEAD = 1.0
SLACK = 0.06
#: Between the light and a box beside it, where the spec gives no length of the feed.
BESIDE = 0.5
#: The hole of a feed wire in the board; in metal it has room for a sleeve. [m].
HOLE, SLEEVED_HOLE = 0.005, 0.006
#: Between a bar or foil and the hole of a jumper. [m].
HOLE_AIR = 0.0005


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle every conductor's size from its greatest current and its allowed drop.

    Raises
    ------
    Halt
        If there is no feed to the rails.
    """
    desk = Desk("wiring", fixture, before)
    desk.given("wire.slack", Metre, 2 * SLACK, "project default: both ends of a wire in the box")
    desk.given("feed.hole", FineMetre, SLEEVED_HOLE if desk.fact("conductive_board") else HOLE,
               "project default")  # fmt: skip
    rails.settle_rails(desk)
    _jumpers(desk)
    _feed(desk)
    for number, stage in enumerate(leads(fixture)):
        _lead(desk, stage, "lead" if number == 0 else f"lead_{number + 1}")
    _links(desk)
    _battery_wires(desk)
    _leads(desk)
    return desk.section()


def supply_cable(fixture: Fixture) -> tuple[str, CataloguePart]:
    """What short wires of the supply side are cut from, by the name of its values.

    The lead nearest to the supply; where there is none, the feed.
    """
    stage = next(iter(leads(fixture)), None) or first_stage(fixture, FeedStage)
    assert stage is not None  # `_feed` halts where there is no feed
    return stage.kind, part_of(stage)


def battery_pieces(fixture: Fixture) -> int:
    """How many pieces of wire lie in a battery's positive conductor, besides its lead."""
    if not fixture.supply.stores:
        return 0
    pieces, lead = 0, False
    own = fixture.supply.chain
    border = next(iter(fixture.chain), None)
    for stage in (*own, border) if border is not None else own:
        if isinstance(stage, LeadStage):
            lead = True
        elif not (isinstance(stage, CutOffStage) and stage.built_in):
            pieces, lead = pieces + (not lead), False
        if isinstance(stage, ConnectorStage):
            break
    return pieces


def _jumpers(desk: Desk) -> None:
    wiring = desk.fixture.wiring
    size = desk.settle(wiring.jumper_size, "jumper.size", ConductorArea, JUMPER_AREA)
    span = desk.given("jumper.slack", Metre, 0.012, "project default")
    _jumper_length(desk, span)
    resistance(desk, "jumper", wiring.jumper, size)
    ampacity(desk, "jumper", wiring.jumper, size)
    desk.work("jumper.drop", drops.lead_drop, current=desk["row.side_current"],
              resistance_per_metre=desk["jumper.resistance"],
              length=desk["jumper.length"])  # fmt: skip
    carries(desk, "jumper", desk["row.current"], wiring.jumper_size)


def _jumper_length(desk: Desk, slack: Value) -> None:
    reach = desk["rail.reach" if desk.fact("rail_bent") else "rail.offset"]
    if desk.fact("fed_middle"):
        # From the pad to the hole outside the rail, through the board, and back to the rail.
        wide = desk.given("jumper.hole", FineMetre, 0.002, "project default").si
        # Beside a wire, or beside a bar with its strip.
        hole = max(0.004, half_width(desk.fixture) + wide / 2 + HOLE_AIR)
        if desk.fact("conductive_board"):
            least = wide / 2 + desk["limits.clearance"].si
            hole = max(hole, least + max(half_width(desk.fixture), rail_lines.thick_half(desk)))
        length = desk.work(
            "jumper.straight", geometry.jumper_through, apart=reach, slack=slack,
            hole=desk.given("jumper.hole_offset", FineMetre, hole, "project default"),
            beside=desk.given("jumper.beside", FineMetre, 0.002, "project default"),
            tape_width=desk["tape.width"], board=desk["board.thickness"],
        )  # fmt: skip
    else:
        sides = 1 if desk.fact("opposite_ends") or desk.fact("rail_bent") else 2
        crosses = desk.given("jumper.crosses", Count, sides, "feed of the rows")
        length = desk.work("jumper.straight", geometry.jumper_length, offset=reach, rails=crosses,
                           slack=slack)  # fmt: skip
    shift = desk["row.shift"] if "row.shift" in desk else desk.given(
        "row.no_shift", FineMetre, 0.0, "rows in step")  # fmt: skip
    desk.work("jumper.length", geometry.with_slack, length=length, slack=shift)


def _feed(desk: Desk) -> None:
    stage = first_stage(desk.fixture, FeedStage)
    if stage is None:
        desk.find(Finding("no-feed", "stop", mends=(Mend({"chain.+feed": "auto"}),)))
        raise Halt(desk.section())
    size, part = stage.size, part_of(stage)
    cores = feed_cores(stage)
    current = panels.one(desk, "current")
    if cores > 1:
        shared = desk.given("feed.cores", Count, cores, "chain.feed.cores")
        current = desk.work("feed.core_current", budget.shared, current=current, among=shared)
    if not isinstance(size, Given):
        fits = [a for a in standard_areas(0.5e-6) if wire.ampacity(
            area=a, insulation_temperature=part["temperature"].si,
            ambient=desk.fixture.use.ambient_high.si) >= 1.25 * current.si
        ]  # fmt: skip
        size = desk.settle(size, "feed.size", ConductorArea, (fits or standard_areas(0)[-1:])[0],
                           wanted=current)  # fmt: skip
    desk.put(size)
    _feed_length(desk, stage)
    resistance(desk, "feed", part, size)
    ampacity(desk, "feed", part, size)
    wire_current = desk.work("feed.wire_current", budget.shared, current=current,
                             among=desk["feed.sides"])  # fmt: skip
    desk.work("feed.drop", drops.lead_drop, current=wire_current,
              resistance_per_metre=desk["feed.resistance"],
              length=desk["feed.length"])  # fmt: skip
    carries(desk, "feed", current, stage.size)


def feed_cores(stage: FeedStage) -> int:
    """Cores that carry each pole: with a cable for each pole, all that it has."""
    return int(part_of(stage)["cores"].si) if stage.cores == CORES[1] else 1


def _feed_length(desk: Desk, stage: FeedStage) -> None:
    """From the regulator's output, through the board, to the farthest rail."""
    if isinstance(stage.length, Given):
        desk.put(stage.length)
        return
    box_half = desk["enclosure.width"].si / 2 if "enclosure.width" in desk else 0.05
    along = desk["board.width"].si / 2 + box_half / 2
    across = desk["rows.span"].si / 2 if not desk.fact("rail_fed_middle") else 0.03
    if "enclosure.width" in desk:
        across += abs(enclosure_corner(desk)[1] + desk["enclosure.height"].si / 2
                      - desk["board.height"].si / 2)  # fmt: skip
    if separate(desk.fixture):
        across += BESIDE
    desk.given("feed.along", Metre, along, "places on the board")
    desk.given("feed.across", Metre, across, "places on the board")
    length = geometry.route_length(along=along, across=across, slack=2 * SLACK)
    # Whole 10 mm upward: nobody cuts wire to the millimetre.
    chosen = desk.given("feed.length", LongMetre, math.ceil(length * 100 - 1e-9) / 100)
    desk.chose("feed.length", str(chosen))


def _lead(desk: Desk, stage: LeadStage, name: str) -> None:
    size, part, current = stage.size, part_of(stage), desk["input.highest_current"]
    length = stage.length
    if not isinstance(length, Given):
        length = desk.settle(length, f"{name}.length", LongMetre, 1.5)
    desk.put(length)
    limit = desk.put(desk.fixture.limits.lead_drop)
    if not isinstance(size, Given):
        fits = [
            a for a in standard_areas(0.5e-6)
            if 2 * current.si * length.si * wire.resistance_per_metre(
                area=a, build=part.words["build"]) <= limit.si * desk["supply.voltage"].si
            and wire.ampacity(area=a, insulation_temperature=part["temperature"].si,
                              ambient=desk.fixture.use.ambient_high.si) >= 1.25 * current.si
        ]  # fmt: skip
        size = desk.settle(size, f"{name}.size", ConductorArea, (fits or standard_areas(0)[-1:])[0],
                           wanted=limit)  # fmt: skip
    desk.put(size)
    resistance(desk, name, part, size)
    ampacity(desk, name, part, size)
    drop = desk.work(f"{name}.drop", drops.lead_drop, current=current,
                     resistance_per_metre=desk[f"{name}.resistance"], length=length)  # fmt: skip
    share = desk.work(f"{name}.drop_share", drops.drop_share, drop=drop,
                      voltage=desk["supply.voltage"])  # fmt: skip
    volts = limit.si * desk["supply.voltage"].si
    mends = size_for(desk, name, lambda area: drops.lead_drop(
        current=current.si, length=length.si, resistance_per_metre=wire.resistance_per_metre(
            area=area, build=part.words["build"])) <= volts)  # fmt: skip
    desk.limit("lead-drop", limit, share, level="advice", place=place_of(stage.size), mends=mends,
               drop=drop, size=size, lead=name)  # fmt: skip
    carries(desk, name, current, stage.size)


def _links(desk: Desk) -> None:
    """Wires between the parts of the supply side carry the current of the input."""
    name, part = supply_cable(desk.fixture)
    held = desk.fixture.held
    if held is not None:
        # The light's own wires, whatever lead another supply brings.
        part, size = held.link, desk.put(held.values["link.size"])
    else:
        size = _same(desk, f"{name}.size", "link.size")
    resistance(desk, "link", part, size)
    ampacity(desk, "link", part, size)
    if name == "feed" or held is not None:
        desk.limit("ampacity", desk["link.ampacity"], desk["input.highest_current"], worst=True,
                   mends=carrier(desk, name, band(desk["input.highest_current"])[1]),
                   conductor="link", size=size)  # fmt: skip


def _leads(desk: Desk) -> None:
    """What all of the supply side loses, and its longest lead."""
    names = ("battery_wire.drop", "lead.drop", "lead_2.drop", "lead.length", "lead_2.length")
    kinds = (MilliVolt, MilliVolt, MilliVolt, LongMetre, LongMetre)
    wires, first, second, length, other = (
        desk[name] if name in desk
        else desk.given(f"leads.no_{name.replace('.', '_').replace('_2', '_two')}", kind, 0.0,
                        "not there")
        for name, kind in zip(names, kinds, strict=True)
    )  # fmt: skip
    desk.work("leads.drop", budget.leads_drop, at_battery=wires, lead=first, second_lead=second)
    desk.work("leads.longest", budget.longest, lead=length, second_lead=other)
    drop = desk["leads.drop"]
    desk.set(leads=drop.si > 0, long_lead=desk["leads.longest"].si > LONG_LEAD)


def _same(desk: Desk, name: str, other: str) -> Value:
    """A size of the spec or of the design, under the name of another conductor."""
    size = desk[name]
    assert isinstance(size, Given)  # a size is written or chosen, never worked out
    return desk.put(renamed(size, other))


def _battery_wires(desk: Desk) -> None:
    """Wires at a battery that no lead is named for: of the same kind as the lead."""
    if any(isinstance(stage, FuseStage) for stage in desk.fixture.supply.chain):
        desk.given("fuse.from_battery", FineMetre, 0.15, PRACTICE)
    pieces = battery_pieces(desk.fixture)
    if not pieces:
        return
    size = _same(desk, "link.size", "battery_wire.size")
    # The leads of an in-line holder take the rest of the 150 mm.
    piece = desk.given("battery_wire.length", LongMetre, 0.10, PRACTICE)
    number = desk.given("battery_wire.pieces", Count, pieces, "parts at the battery")
    none = desk.given("battery_wire.no_lead", LongMetre, 0.0, "no lead")
    run = desk.work("battery_wire.run", geometry.passing, length=none, pieces=number, piece=piece)
    resistance(desk, "battery_wire", supply_cable(desk.fixture)[1], size)
    desk.work("battery_wire.drop", drops.lead_drop, current=desk["input.highest_current"],
              resistance_per_metre=desk["battery_wire.resistance"], length=run)  # fmt: skip
