"""A panel solved as the network it is: what its wiring does to the light of each group."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from guidegen.calc import drops, paths, wire
from guidegen.calc.held_group import HeldGroup
from guidegen.calc.ladder import (
    MINUS,
    PLUS,
    Feed,
    Floats,
    Ints,
    Ladders,
    Link,
    Rail,
    State,
)
from guidegen.calc.ladder_solve import solve
from guidegen.design import rail_lines, tape_law
from guidegen.design.result import Desk, Section
from guidegen.kinds import Celsius, FinePercent, MilliWatt, PerKelvin
from guidegen.spec.model import Fixture

#: Ends of a row at which each rail feeds it: pole and place.
WAYS: dict[str, tuple[tuple[int, str], ...]] = {
    "one_end": ((PLUS, "first"), (MINUS, "first")),
    "opposite_ends": ((PLUS, "first"), (MINUS, "last")),
    "both_ends": ((PLUS, "first"), (MINUS, "first"), (PLUS, "last"), (MINUS, "last")),
    "middle": ((PLUS, "middle"), (MINUS, "middle")),
}
#: Copper inside a module, each pole (project default). [ohm].
INSIDE = 0.001
#: Nearer than this two taps of a rail are not taken to be. [m].
LEAST = 1e-4
SOURCE = "panel solved as a network"


@dataclass(frozen=True)
class Solved:
    """The panel as it is fed."""

    net: Ladders
    state: State
    tried: tuple[str, ...] = ()
    """What was needed beside whole steps of Newton's method, for this feed or another."""


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Solve the panel at the full setting, as it is fed and as it might be."""
    desk = Desk("solved panel", fixture, before)
    own, result, tried = way(desk), None, dict[str, None]()
    desk.given("network.temperature", Celsius, 293.15, "tables of conductors: 20 °C")
    _warm(desk)
    for name in WAYS:
        net = ladders(desk, name)
        state = solve(net)
        tried |= dict.fromkeys(state.fallbacks)
        desk.given(f"network.{name}", FinePercent, evenness(state), SOURCE)
        if name == own:
            _enter(desk, net, state)
            result = Solved(net, state)
    assert result is not None
    return desk.section(replace(result, tried=tuple(tried)))


def way(desk: Desk) -> str:
    """How the rows are fed."""
    for name, fact in (("opposite_ends", "opposite_ends"), ("both_ends", "both_ends"),
                       ("middle", "fed_middle")):  # fmt: skip
        if desk.fact(fact):
            return name
    return "one_end"


def _warm(desk: Desk) -> None:
    """The same panel once its copper is as warm as the board in the warmest room."""
    cold = desk["tape.track_resistance"]
    coefficient = desk.given("network.copper_coefficient", PerKelvin, wire.COPPER_COEFFICIENT,
                             "IEC 60028, from memory")  # fmt: skip
    warm = desk.work("network.warm_track", drops.copper_resistance_at, resistance_20=cold,
                     temperature_coefficient=coefficient,
                     temperature=desk["board.face_temperature"],
                     reference_temperature=desk["network.temperature"])  # fmt: skip
    state = solve(ladders(desk, way(desk), warm.si / cold.si))
    desk.given("network.warm_evenness", FinePercent, evenness(state), SOURCE)


def evenness(state: State) -> float:
    """Current of the dimmest group over that of the brightest."""
    lit = state.currents[state.currents > 0]
    return float(lit.min() / lit.max())


def _enter(desk: Desk, net: Ladders, state: State) -> None:
    """What the panel is found to do, and where its power goes."""
    rows = state.currents.sum(axis=(0, 2))
    desk.given("network.rows", FinePercent, float(rows.min() / rows.max()), SOURCE)
    for name, watts in losses(net, state).items():
        desk.given(f"network.{name}_loss", MilliWatt, watts, SOURCE)


def losses(net: Ladders, state: State) -> dict[str, float]:
    """Heat in the conductors of one case. [W]."""
    tracks = sum(
        float((net.wide(values, net.rows, net.stations - 1)
               * np.diff(state.rows[..., pole], axis=-1) ** 2).sum())
        for pole, values in enumerate(net.tracks)
    )  # fmt: skip
    jumpers = rails = feeds = 0.0
    for link in net.links:
        across = (state.rows[:, :, link.station, link.pole]
                  - state.rails[:, net.tap_of_row, link.rail])  # fmt: skip
        jumpers += float((net.wide(link.conductance, net.rows) * across**2).sum())
    for number, rail in enumerate(net.rails):
        along = np.diff(state.rails[..., number], axis=-1)
        rails += float((net.wide(rail.segments, net.taps - 1) * along**2).sum())
        for feed in rail.feeds:
            across = state.rails[:, feed.tap, number] - state.ends[:, rail.pole]
            feeds += float((net.wide(feed.conductance) * across**2).sum())
    return {"track": tracks, "jumper": jumpers, "rail": rails, "feed": feeds}


def ladders(desk: Desk, feed: str, warm: float = 1.0) -> Ladders:
    """One panel of the design, its rows fed in one of `WAYS`.

    Copper is taken at 20 °C, as the design's other figures are, and what lies on the board so many
    times as high where it is `warm`. The pads of a row are stations
    without a group, half an increment from the groups beside them.
    """
    rows, groups = int(desk["row.count"].si), int(desk["row.groups"].si)
    given = figures(desk, lambda name: desk[name].si, warm)
    pads = [0, groups + 1]
    if feed == "middle":
        pads = [_split(desk, groups)]
    count, pieces = np.ones(groups + len(pads)), np.full(groups + len(pads) - 1, given["track"])
    count[pads] = 0
    for pad in pads:
        pieces[max(pad - 1, 0) : pad + 1] = given["track"] / 2
    place = {"first": 0, "last": groups + 1, "middle": pads[0]}
    links = tuple(Link(pole, place[end], number, np.full(rows, 1 / given["link"]))
                  for number, (pole, end) in enumerate(WAYS[feed]))  # fmt: skip
    if desk.fact("rail_bent") and feed == way(desk):
        tap_of_row, taps, lines = _bent(desk, rows, warm * desk["rail.resistance"].si)
    else:
        tap_of_row, segments, fed = _taps(desk, rows, given["rail"])
        taps, lines = len(segments) + 1, [(segments, fed)] * len(WAYS[feed])
    rails = tuple(Rail(pole, 1 / along, (Feed(fed, 1 / given["feed"]),))
                  for (pole, _), (along, fed) in zip(WAYS[feed], lines, strict=True))  # fmt: skip
    return Ladders(
        cases=1, rows=rows, stations=len(count), law=given["law"], groups=count,
        tracks=(1 / pieces, 1 / pieces), links=links, rails=rails, tap_of_row=tap_of_row,
        taps=taps, volts=given["volts"], source=(1 / given["source"], 1 / given["source"]),
    )  # fmt: skip


#: The design's values that a panel is made of.
OF = ("tape.voltage", "group.rated_current", "tape.leds_per_group", "tape.forward_voltage",
      "tape.track_resistance", "tape.increment", "jumper.resistance", "jumper.length",
      "joint.resistance", "rail.resistance", "row.pitch", "feed.resistance", "feed.length",
      "setting.full", "panel.loaded_current", "leads.loaded_drop", "pulse_width.loaded_drop",
      "stage_link.loaded_drop")  # fmt: skip


def figures(desk: Desk, of: Callable[[str], float], warm: float = 1.0) -> dict[str, Any]:
    """A panel's parts from values named in `OF`, by the kinds of `ladder_readings`.

    `law` comes with them, that of a group. What holds the full setting has little resistance. It,
    a stage behind it, and leads where nothing holds the voltage behind them carry the current of
    all panels, and this network has that of one: what they resist counts so many times.
    """
    held, panels = tape_law.constant_current(desk.fixture), desk.fixture.panel_count
    law = tape_law.network_law(of, held)
    # A chip's current does not go with its dropout.
    ohms = np.asarray(law.ohms) / (law.dropout if isinstance(law, HeldGroup) else 1.0)
    joint, pitch = of("joint.resistance"), of("row.pitch")
    lost = sum(of(f"{name}.loaded_drop") for name in ("leads", "pulse_width", "stage_link"))
    return {
        "ohms": ohms, "saturation": law.saturation, "law": law,
        "track": warm * of("tape.track_resistance") * of("tape.increment"),
        "link": warm * of("jumper.resistance") * of("jumper.length") + 2 * joint,
        "rail": warm * of("rail.resistance") * pitch,
        "feed": of("feed.resistance") * of("feed.length") + 2 * joint,
        "source": panels * (INSIDE + lost / of("panel.loaded_current") / 2),
        "volts": of("setting.full"),
    }  # fmt: skip


def _split(desk: Desk, groups: int) -> int:
    """Groups on the left of the feed point; as they are halved where the spec feeds the ends."""
    if "row.feed_point" in desk:
        found = round(desk["row.feed_point"].si / desk["tape.increment"].si)
        return min(max(found, 1), groups - 1) if groups > 1 else 0
    return groups // 2


def _taps(desk: Desk, rows: int, segment: float) -> tuple[Ints, Floats, int]:
    """Tap of each row, resistance from tap to tap, and the tap that the feed meets."""
    below = desk.fixture.wiring.rails.fed_below
    middle = bool(desk.fact("rail_fed_middle"))
    if middle and rows % 2:
        return np.arange(rows), np.full(rows - 1, segment), rows // 2
    if not below and not middle:
        return np.arange(rows), np.full(rows - 1, segment), 0
    fed = below or rows // 2
    if fed >= rows:
        return np.arange(rows), np.full(rows - 1, segment), rows - 1
    taps = np.array([row + (row >= fed) for row in range(rows)])
    pieces = np.full(rows, segment)
    pieces[fed - 1 : fed + 1] = segment / 2
    return taps, pieces, fed


def _bent(desk: Desk, rows: int, metre: float) -> tuple[Ints, int, list[tuple[Floats, int]]]:
    """Of rails along lines of their own: tap of each row, taps, and of each rail its pieces.

    All rails have the taps of the rows and one for each place at which one of them is fed; a rail
    that is fed elsewhere passes it by.
    """
    found = []
    for place in rail_lines.rails(desk):
        fars, feed = place.fars(), rail_lines.feed_far(desk, place)
        if fars[0] > fars[-1]:  # counted from the end that row 1 is nearer to
            long = paths.length(place.line)
            fars, feed = [long - far for far in fars], long - feed
        found.append((fars, feed, sum(far < feed for far in fars)))
    between = sorted({after for _, _, after in found})
    tap_of_row = np.array([row + sum(after <= row for after in between) for row in range(rows)])
    lines = []
    for fars, feed, own in found:
        at = dict(zip(tap_of_row, fars, strict=True))
        for number, after in enumerate(between):
            low, high = ([fars[0] - 2 * LEAST, *fars, fars[-1] + 2 * LEAST][n]
                         for n in (after, after + 1))  # fmt: skip
            at[after + number] = feed if after == own else (low + high) / 2
        pieces = np.maximum(np.diff([at[tap] for tap in sorted(at)]), LEAST)
        lines.append((metre * pieces, own + between.index(own)))
    return tap_of_row, rows + len(between), lines
