"""Ladders fed at one place: the voltage between both poles is the only unknown of a station.

What flows through a piece of the positive side comes back through the same piece of the negative
one, so both resistances add up to one loop, and matrices are tridiagonal.
"""

from __future__ import annotations

import numpy as np

from guidegen.calc.ladder import MINUS, PLUS, Floats, Ladders, State, groups_at, lapack
from guidegen.calc.ladder_band import MOST_STEPS, NOISE, STEP


def is_loop(net: Ladders) -> bool:
    """Whether both poles of every row, and of both rails, are fed at the same place."""
    if len(net.links) != 2 or len(net.rails) != 2 or net.bridges:
        return False
    one, other = net.links
    poles = {link.pole: net.rails[link.rail].pole for link in net.links}
    if one.station != other.station or poles != {PLUS: PLUS, MINUS: MINUS}:
        return False
    feeds = [rail.feeds for rail in net.rails]
    if any(len(each) != 1 for each in feeds) or feeds[0][0].tap != feeds[1][0].tap:
        return False
    lines = (one.conductance, other.conductance, *net.tracks, *(r.segments for r in net.rails))
    return all(np.all(np.asarray(values) > 0) for values in lines)


def solve(net: Ladders) -> State | None:
    """Solve a network for which `is_loop` holds; None: whole steps alone do not lead there."""
    loop = _Loop(net)
    across, between = loop.start()
    moved = np.full(net.cases, np.inf)
    for number in range(MOST_STEPS):
        flow, slope = groups_at(net, across)
        lack, rail_lack = loop.lacking(across, between, flow)
        rest = _most(lack, rail_lack)
        if np.all((moved <= STEP) & (rest <= loop.enough)):
            return loop.state(across, between, flow, number, float(rest.max()))
        step = loop.step(slope, lack, rail_lack)
        if step is None:
            return None
        across, between, moved = across + step[0], between + step[1], _most(*step)
    return None


class _Loop:
    """Conductances of rows, links and rails, both poles in series."""

    def __init__(self, net: Ladders) -> None:
        self.net = net
        plus, minus = sorted(net.links, key=lambda link: link.pole)
        self.order = (plus.rail, minus.rail)
        rails = [net.rails[number] for number in self.order]
        self.station, self.tap, self.taps = plus.station, rails[0].feeds[0].tap, net.tap_of_row
        self.volts = net.wide(net.volts)
        self.source = [net.wide(one) for one in net.source]
        # Each pole on its own first: the state needs them.
        self.tracks = [net.wide(values, net.rows, net.stations - 1) for values in net.tracks]
        self.links = [net.wide(link.conductance, net.rows) for link in (plus, minus)]
        self.segments = [net.wide(rail.segments, net.taps - 1) for rail in rails]
        self.feeds = [_series(self.source[pole], net.wide(rails[pole].feeds[0].conductance))
                      for pole in (PLUS, MINUS)]  # fmt: skip
        self.track, self.link = _series(*self.tracks), _series(*self.links)
        self.segment, self.feed = _series(*self.segments), _series(*self.feeds)
        self.shunts = net.wide(net.shunts, net.rows, net.stations)
        self.row_fixed = self.shunts + _ends(self.track)
        self.row_fixed[:, :, self.station] += self.link
        self.rail_fixed = _ends(self.segment)
        self.rail_fixed[:, self.tap] += self.feed
        self.rail_fixed[:, self.taps] += self.link
        self.unit = np.zeros(self.row_fixed.shape)
        self.unit[:, :, self.station] = self.link
        self.enough = NOISE * np.maximum(self.volts, 1e-3) * _most(self.row_fixed, self.rail_fixed)

    def start(self) -> tuple[Floats, Floats]:
        """The source's voltage everywhere: from there every step goes the same way."""
        across = np.broadcast_to(self.volts[:, None, None], self.row_fixed.shape)
        between = np.broadcast_to(self.volts[:, None], self.rail_fixed.shape)
        return across, between

    def lacking(self, across: Floats, between: Floats, flow: Floats) -> tuple[Floats, Floats]:
        """Current that every station and tap still lacks."""
        into = self.link * (between[:, self.taps] - across[:, :, self.station])
        rows = -(flow + self.shunts * across) - _leaving(self.track, across)
        rows[:, :, self.station] += into
        rails = -_leaving(self.segment, between)
        rails[:, self.taps] -= into
        rails[:, self.tap] += self.feed * (self.volts - between[:, self.tap])
        return rows, rails

    def step(self, slope: Floats, rows: Floats, rails: Floats) -> tuple[Floats, Floats] | None:
        """The whole step of Newton's method; None: the matrix has no inverse."""
        found = _tridiagonal(self.row_fixed + slope, -_padded(self.track),
                             np.stack([rows, self.unit]))  # fmt: skip
        if found is None:
            return None
        own, one_volt = found
        outer = self.rail_fixed.copy()
        outer[:, self.taps] -= self.link * one_volt[:, :, self.station]
        rails[:, self.taps] += self.link * own[:, :, self.station]
        moved = _tridiagonal(outer, -_padded(self.segment), rails[None])
        if moved is None:
            return None
        return own + one_volt * moved[0][:, self.taps, None], moved[0]

    def state(
        self, across: Floats, between: Floats, flow: Floats, steps: int, residual: float
    ) -> State:
        """All voltages, from the currents through each piece."""
        rows, rails = np.empty((*across.shape, 2)), np.empty((*between.shape, 2))
        ends = np.empty((self.net.cases, 2))
        whole = self.feed * (self.volts - between[:, self.tap])
        into = self.link * (between[:, self.taps] - across[:, :, self.station])
        for pole, sign, start in ((PLUS, -1.0, self.volts), (MINUS, 1.0, 0.0)):
            ends[:, pole] = start + sign * whole / self.source[pole]
            first = start + sign * whole / self.feeds[pole]
            share = self.segment / self.segments[pole]
            rails[..., self.order[pole]] = _run(share, between, self.tap, first, sign)
            here = rails[:, self.taps, self.order[pole]] + sign * into / self.links[pole]
            share = self.track / self.tracks[pole]
            rows[..., pole] = _run(share, across, self.station, here, sign)
        return State(rows, rails, ends, flow, steps, residual)


def _run(share: Floats, across: Floats, at: int, first: Floats, sign: float) -> Floats:
    """Voltages of one pole along a line, away from where it is fed.

    `share` is the pole's part of the resistance of each piece.
    """
    lost = share * np.diff(across, axis=-1)
    walked = np.concatenate([np.zeros_like(across[..., :1]), np.cumsum(lost, axis=-1)], axis=-1)
    found: Floats = first[..., None] - sign * (walked - walked[..., at, None])
    return found


def _series(one: Floats, other: Floats) -> Floats:
    """Conductance of two in series."""
    return one * other / (one + other)


def _padded(values: Floats) -> Floats:
    return np.concatenate([values, np.zeros((*values.shape[:-1], 1))], axis=-1)


def _ends(values: Floats) -> Floats:
    """What the pieces of a line add at both their ends."""
    padded = _padded(values)
    found: Floats = padded + np.roll(padded, 1, axis=-1)
    return found


def _leaving(values: Floats, at: Floats) -> Floats:
    """Current that leaves every point of a line along it."""
    along = _padded(-values * np.diff(at, axis=-1))
    found: Floats = along - np.roll(along, 1, axis=-1)
    return found


def _most(rows: Floats, rails: Floats) -> Floats:
    """The largest of every case."""
    most: Floats = np.maximum(np.abs(rows).max(axis=(1, 2)), np.abs(rails).max(axis=1))
    return most


def _tridiagonal(diagonal: Floats, off: Floats, wanted: Floats) -> Floats | None:
    """All lines of all cases at once: nothing links the last point of one to the next line."""
    # A single point has no neighbour, and LAPACK's wrapper wants one all the same.
    beside = off.ravel()[: max(off.size - 1, 1)]
    d, e, info = lapack().dpttrf(diagonal.ravel(), beside)
    if info:
        return None
    found, info = lapack().dpttrs(d, e, wanted.reshape(len(wanted), -1).T)
    if info:
        return None
    lines: Floats = found.T.reshape(wanted.shape)
    return lines
