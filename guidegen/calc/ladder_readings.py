"""What a meter shows of a solved panel, and what every part of it does to that.

The matrix of a network is symmetric: one back-substitution for each reading, with the factors at
hand, gives its derivatives by all parts at once (the adjoint method).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike

from guidegen.calc.ladder import MINUS, PLUS, Floats, Ladders, State, groups_at
from guidegen.calc.ladder_band import NetworkError, System, Unknowns
from guidegen.calc.led_group import GroupLaw

#: Parts of a network by kind: `ohms` and `saturation` of groups, resistances, and the source's
#: voltage.
KINDS = ("ohms", "saturation", "track", "link", "rail", "feed", "source", "volts")


@dataclass(frozen=True)
class Node:
    """A point that a probe touches."""

    of: Literal["row", "rail", "end", "source"]
    at: tuple[int, ...]
    """(row, station, pole), (tap, rail), (pole,) or (pole,)."""


@dataclass(frozen=True)
class Reading:
    """A voltage between two points, currents of groups, or both added up."""

    name: str
    between: tuple[Node, Node] | None = None
    groups: ArrayLike = 0.0
    """Weights of the currents at every station: (row, station). [-]."""
    meter: float = 0.0
    """Error of the meter. [V] or [A]."""


def total(name: str, net: Ladders, meter: float = 0.0) -> Reading:
    """The current of all groups."""
    return Reading(name, None, np.ones((net.rows, net.stations)), meter)


def values(net: Ladders, state: State, readings: Sequence[Reading]) -> Floats:
    """All readings of all cases: (case, reading). [V] or [A]."""
    found = np.empty((net.cases, len(readings)))
    for number, reading in enumerate(readings):
        amps = np.broadcast_to(reading.groups, (net.rows, net.stations))
        found[:, number] = np.einsum("crs,rs->c", state.currents, amps)
        for sign, node in zip((1, -1), reading.between or (), strict=False):
            found[:, number] += sign * voltage(net, state, node)
    return found


def voltage(net: Ladders, state: State, node: Node) -> Floats:
    """Voltage of a point in every case: (case,). [V]."""
    if node.of == "source":
        return net.wide(net.volts) * (node.at[0] == PLUS)
    held = {"row": state.rows, "rail": state.rails, "end": state.ends}[node.of]
    at: tuple[Any, ...] = (slice(None), *node.at)
    volts: Floats = held[at]
    return volts


def shapes(net: Ladders) -> dict[str, tuple[int, ...]]:
    """The shape of the parts of each of `KINDS`, of one case."""
    stations = (net.rows, net.stations)
    return {
        "ohms": stations, "saturation": stations, "track": (2, net.rows, net.stations - 1),
        "link": (len(net.links), net.rows), "rail": (len(net.rails), net.taps - 1),
        "feed": (sum(len(rail.feeds) for rail in net.rails),), "source": (2,), "volts": (),
    }  # fmt: skip


def derivatives(net: Ladders, state: State, readings: Sequence[Reading]) -> dict[str, Floats]:
    """Derivatives of readings by the natural logarithm of every part.

    Parameters
    ----------
    net : Ladders
        Of one case, its groups by `GroupLaw`.
    state : State
        Its solution.
    readings : Sequence[Reading]
        What is read.

    Returns
    -------
    dict
        By kind, arrays of (reading, ...), the rest of the shape as `shapes` says: what a reading
        gains where the part grows by a hundredth is a hundredth of it. [V] or [A].

    Raises
    ------
    NetworkError
        If a part of the network floats.

    References
    ----------
    .. [1] Adjoint method: with F(v, p) = 0, J λ = ∂m/∂v and a symmetric J, a reading m changes by
       ∂m/∂p − λᵀ ∂F/∂p.
    """
    law = net.law
    if net.cases != 1 or not isinstance(law, GroupLaw):
        raise TypeError("derivatives are of one case, whose groups follow GroupLaw")
    across = state.rows[..., PLUS] - state.rows[..., MINUS]
    flow, slope = groups_at(net, across)
    amps = np.array([np.broadcast_to(r.groups, across.shape[1:]) for r in readings])
    into = _weights(net, readings)
    into.rows[..., PLUS] += amps[:, None] * slope
    into.rows[..., MINUS] -= amps[:, None] * slope
    found = System(net).voltages(into, slope)
    if found is None:
        raise NetworkError("a part of the network floats: its readings have no derivatives")
    rows, rails, ends = found.rows[:, 0], found.rails[:, 0], found.ends[:, 0]
    own = state.rows[0], state.rails[0], state.ends[0]
    # A group's own current, and what of it the rest of the network takes back.
    alone = amps - (rows[..., PLUS] - rows[..., MINUS])
    count = net.wide(net.groups, net.rows, net.stations)[0]
    # Where there is no group nothing flows: one stands there to divide by.
    single = flow[0] / np.where(count == 0, 1.0, count)
    # The LEDs give way as a resistance in series with all else of a group, whatever that is. The
    # wrong way round they are all of it.
    lit = single + np.asarray(law.saturation)
    give = np.asarray(law.scale) * slope[0] / np.where(count == 0, 1.0, np.abs(count))
    leds = np.clip(np.divide(give, lit, out=np.ones(lit.shape), where=lit > 0), 0.0, 1.0)
    back = {"ohms": -flow[0] * (1 - leds), "saturation": flow[0] * leds}
    result = {kind: alone * each for kind, each in back.items()}

    def branch(g: Floats, one: Floats, other: Floats, moved: Floats, also: Floats) -> Floats:
        """By a resistance between two nodes."""
        return g * (one - other) * (moved - also)

    result["track"] = np.stack([
        branch(net.wide(net.tracks[pole], net.rows, net.stations - 1)[0],
               own[0][:, :-1, pole], own[0][:, 1:, pole], rows[:, :, :-1, pole],
               rows[:, :, 1:, pole])
        for pole in (PLUS, MINUS)
    ], axis=1)  # fmt: skip
    result["link"] = np.stack([
        branch(net.wide(link.conductance, net.rows)[0],
               own[0][:, link.station, link.pole], own[1][net.tap_of_row, link.rail],
               rows[:, :, link.station, link.pole], rails[:, net.tap_of_row, link.rail])
        for link in net.links
    ], axis=1)  # fmt: skip
    result["rail"] = np.stack([
        branch(net.wide(rail.segments, net.taps - 1)[0], own[1][:-1, k], own[1][1:, k],
               rails[:, :-1, k], rails[:, 1:, k])
        for k, rail in enumerate(net.rails)
    ], axis=1)  # fmt: skip
    result["feed"] = np.stack([
        branch(net.wide(feed.conductance)[0], own[1][feed.tap, k], own[2][rail.pole],
               rails[:, feed.tap, k], ends[:, rail.pole])
        for k, rail in enumerate(net.rails) for feed in rail.feeds
    ], axis=1)  # fmt: skip
    volts = net.wide(net.volts)[0]
    source = [net.wide(one)[0] for one in net.source]
    result["source"] = np.stack([
        source[pole] * (held - own[2][pole]) * -ends[:, pole]
        for pole, held in ((PLUS, volts), (MINUS, 0.0))
    ], axis=1)  # fmt: skip
    result["volts"] = volts * (source[PLUS] * ends[:, PLUS] + _of_source(readings))
    return result


def _weights(net: Ladders, readings: Sequence[Reading]) -> Unknowns:
    """How much of each node's voltage a reading holds."""
    count = len(readings)
    held = {
        "row": np.zeros((count, 1, net.rows, net.stations, 2)),
        "rail": np.zeros((count, 1, net.taps, len(net.rails))),
        "end": np.zeros((count, 1, 2)),
    }
    for number, reading in enumerate(readings):
        for sign, node in zip((1, -1), reading.between or (), strict=False):
            if node.of != "source":
                held[node.of][(number, 0, *node.at)] += sign
    return Unknowns(held["row"], held["rail"], held["end"])


def _of_source(readings: Sequence[Reading]) -> Floats:
    """How much of the source's voltage a reading holds."""
    found = np.zeros(len(readings))
    for number, reading in enumerate(readings):
        for sign, node in zip((1, -1), reading.between or (), strict=False):
            found[number] += sign * (node.of == "source" and node.at[0] == PLUS)
    return found


def moved(net: Ladders, factors: dict[str, Floats], cases: int) -> Ladders:
    """A network as so many cases, its parts times factors.

    Parameters
    ----------
    net : Ladders
        Of one case, its groups by `GroupLaw`.
    factors : dict[str, Floats]
        By kind, arrays that broadcast to (case, ...), the rest of the shape as `shapes` says. [-]
    cases : int
        Their number.
    """
    law = net.law
    assert isinstance(law, GroupLaw)

    def of(kind: str, *place: int) -> Floats | float:
        at: tuple[Any, ...] = (slice(None), *place)
        return factors[kind][at] if kind in factors else 1.0

    def less(conductance: ArrayLike, by: Floats | float) -> ArrayLike:
        return np.asarray(conductance) / by

    law = replace(law, ohms=np.asarray(law.ohms) * of("ohms"),
                  saturation=np.asarray(law.saturation) * of("saturation"))  # fmt: skip
    tracks = (less(net.tracks[PLUS], of("track", PLUS)),
              less(net.tracks[MINUS], of("track", MINUS)))  # fmt: skip
    links = tuple(replace(link, conductance=less(link.conductance, of("link", k)))
                  for k, link in enumerate(net.links))  # fmt: skip
    rails, number = [], 0
    for k, rail in enumerate(net.rails):
        feeds = []
        for feed in rail.feeds:
            feeds.append(replace(feed, conductance=less(feed.conductance, of("feed", number))))
            number += 1
        rails.append(replace(rail, segments=less(rail.segments, of("rail", k)),
                             feeds=tuple(feeds)))  # fmt: skip
    return replace(
        net, cases=cases, law=law, tracks=tracks, links=links, rails=tuple(rails),
        volts=np.asarray(net.volts) * of("volts"),
        source=(less(net.source[PLUS], of("source", PLUS)),
                less(net.source[MINUS], of("source", MINUS))),
    )  # fmt: skip
