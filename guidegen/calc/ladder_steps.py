"""Newton's whole steps on networks with nothing broken, whose unknown is the voltage across."""

from __future__ import annotations

from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from guidegen.calc.ladder import MINUS, PLUS, Floats, Ladders, State, groups_at, plain
from guidegen.calc.ladder_band import MOST_STEPS

#: What may be left to the voltages. [V].
_LEFT = 2e-13
#: A step that moves all voltages by less is followed by one with the same matrix. [V].
_SMALL = 0.001
#: Beside no slope at all. [S].
_LEAST = 1e-300


class System(Protocol):
    """What of the equations never changes, and the matrix of one step."""

    net: Ladders
    volts: Floats
    """(case,). [V]."""
    shape: tuple[int, int, int]
    """Cases, rows and stations; of rows that are all alike the first step needs one."""
    given: Floats
    """Currents from the source into the rails. [A]."""
    enough: Floats
    """Current that rounding leaves, by case. [A]."""

    def factor(self, slope: Floats) -> bool:
        """Factor the matrix for groups of such slopes; false: it has no inverse."""

    def solved(self, given: Floats, into: Floats) -> tuple[Floats, Floats]:
        """Voltages across groups and of the rails, from currents into every station and tap."""

    def state(
        self, across: Floats, rails: Floats, flow: Floats, steps: int, residual: float
    ) -> State:
        """All voltages, from those across groups and those of the rails."""


def solve(system: System) -> State | None:
    """Solve a network; None: whole steps alone do not lead there.

    Whatever is linear is solved with each step: what a node lacks after it is what the current of
    its groups has bent away from the slope before. Where that is little, it is given in with the
    matrix at hand.
    """
    net = system.net
    whole = np.zeros(system.shape)
    across, flow, slope = (one + whole for one in _start(net, system.volts))
    enough = system.enough[:, None, None]
    for number in range(1, MOST_STEPS + 1):
        if not system.factor(slope):
            return None
        given = slope * across
        given -= flow
        found, rails = system.solved(given, system.given)
        lack = found - across
        across, moved = found, float(np.abs(lack).max())
        lack *= slope
        lack += flow
        turned = slope
        flow, slope = groups_at(net, across, lack)
        if moved > _SMALL:
            continue
        lack -= flow
        # A law that was asked for along a tangent is wrong by the square of what it was off.
        off = lack * lack
        off /= np.abs(flow) + 100 * enough
        last, also = system.solved(lack, np.zeros(rails.shape))
        across += last
        rails += also
        flow += slope * last
        # What this leaves flows where the slope has turned, and meets that slope at the least.
        turned = turned - slope
        turned *= last
        left = most(turned)
        turned /= np.maximum(slope, _LEAST)
        left += most(off)
        if (left <= system.enough).all() and np.abs(turned).max() <= _LEFT:
            return system.state(across, rails, flow, number, float(left.max()))
        flow, slope = groups_at(net, across, flow)
    return None


def _start(net: Ladders, volts: Floats) -> tuple[Floats, Floats, Floats]:
    """Roughly the mean voltage across groups, their current there and its slope: (case, 1, 1).

    All groups count as one behind the mean way to them: that of even rows and rails, each of
    which takes its current along its whole length.
    """
    count = plain(net.groups)
    each = net.stations * (count if isinstance(count, float) else float(np.abs(count).mean()))
    ohms = 0.0
    for pole in (PLUS, MINUS):
        links = [link for link in net.links if link.pole == pole]
        rails = [rail for rail in net.rails if rail.pole == pole]
        feed = rails[0].feeds[0]
        track = _ohms(net.tracks[pole]) * (net.stations - 1)
        rail = _ohms(rails[0].segments) * (net.taps - 1)
        ohms += (
            _ohms(links[0].conductance) / len(links)
            + track * _bent(net.stations, *(link.station for link in links))
            + net.rows * _ohms(net.source[pole])
            + net.rows / len(rails) * (_ohms(feed.conductance) + rail * _bent(net.taps, feed.tap))
        )
    ohms *= each
    found = np.array([net.law.roughly(float(one), ohms) for one in volts])
    flow, slope = found[:, 0, None, None], found[:, 1, None, None]
    across = volts[:, None, None] - ohms * flow
    if not isinstance(count, float):
        flow, slope = count * flow, np.abs(count) * slope
    return across, flow, slope


def _ohms(conductance: ArrayLike) -> float:
    """Resistance of the one in the middle, which stands for all. [ohm]."""
    found = plain(conductance)
    if isinstance(found, float):
        return 1 / found
    return 1 / float(found.reshape(-1)[found.size // 2]) if found.size else 0.0


def _bent(places: int, *fed: int) -> float:
    """Mean drop along an even line that takes its current evenly, fed at one place or both ends.

    Of the drop that the whole current would make along the whole line. [-].
    """
    if len(fed) > 1:
        return 1 / 12
    share = fed[0] / max(places - 1, 1)
    return (share**3 + (1 - share) ** 3) / 3


def all_above_zero(net: Ladders) -> bool:
    """Whether every track, link, rail and feed conducts."""
    lines = [*net.tracks, *(link.conductance for link in net.links),
             *(rail.segments for rail in net.rails),
             *(feed.conductance for rail in net.rails for feed in rail.feeds)]  # fmt: skip
    return all(_above_zero(values) for values in lines)


def _above_zero(values: ArrayLike) -> bool:
    found = plain(values)
    return found > 0 if isinstance(found, float) else not found.size or bool(found.min() > 0)


def most(values: Floats) -> Floats:
    """The largest of every case, whatever its sign."""
    greatest: Floats = np.abs(values).reshape(len(values), -1).max(axis=1)
    return greatest
