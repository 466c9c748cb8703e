"""Ladders fed at one end: what goes out on one pole comes back beside it on the other.

Where both poles of a row are linked at one station and both rails fed at one tap, a current
meets each pair of conductors as one resistance, so only voltages across are unknown: of the
stations a tridiagonal matrix, of the rails another. The voltage of each pole follows.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from guidegen.calc.ladder import MINUS, PLUS, Floats, Ints, Ladders, State, lapack, plain
from guidegen.calc.ladder_band import NOISE
from guidegen.calc.ladder_steps import all_above_zero


def suits(net: Ladders) -> bool:
    """Whether this form holds: nothing open, one rail a pole, links and feeds side by side."""
    if net.bridges or len(net.rails) != 2 or len(net.links) != 2:
        return False
    first, second = net.links
    feeds = net.rails[first.rail].feeds + net.rails[second.rail].feeds
    if first.station != second.station or len(feeds) != 2 or feeds[0].tap != feeds[1].tap:
        return False
    if first.rail == second.rail or first.pole == second.pole:
        return False
    if any(net.rails[link.rail].pole != link.pole for link in net.links):
        return False
    return all_above_zero(net)


class Loop:
    """What of the equations never changes, and the matrix of one step."""

    def __init__(self, net: Ladders) -> None:
        self.net = net
        self.volts: Floats = np.empty(net.cases)
        self.volts[...] = net.volts
        #: Of each pole.
        self.order = (0, 1) if net.rails[0].pole == PLUS else (1, 0)
        self.rails = [net.rails[number] for number in self.order]
        links = net.links if net.links[0].pole == PLUS else net.links[::-1]
        self.station, self.tap = links[0].station, self.rails[0].feeds[0].tap
        #: Where rows meet the rails.
        every = net.rows == net.taps
        self.taps: slice | Ints = slice(None) if every else net.tap_of_row
        self.links = _series(*(_one(link.conductance) for link in links))
        self.tracks = _series(*net.tracks)
        #: Of rows that are all alike one is held here.
        alike = _axes(self.links[0]) < 1 and max(_axes(self.tracks[0]), _axes(net.shunts)) < 2
        self.shape = (net.cases, 1 if alike else net.rows, net.stations)
        self.fixed, self.beside = np.zeros((2, *self.shape))
        if not isinstance(net.shunts, float) or net.shunts:
            self.fixed += plain(net.shunts)
        if net.stations > 1:
            self.beside[..., :-1] -= self.tracks[0]
            self.fixed -= self.beside
            self.fixed[..., 1:] -= self.beside[..., :-1]
        self.link: Floats = np.empty(self.shape[:2])
        self.link[...] = self.links[0]
        self.fixed[..., self.station] += self.link
        self._lines()
        greatest = np.maximum(self.fixed.max(axis=(1, 2)), self.across.max(axis=1))
        self.enough = NOISE * np.maximum(self.volts, 1e-3) * greatest

    def _lines(self) -> None:
        """Both rails as one, and what the source gives into them: (case, tap)."""
        net = self.net
        self.across, self.along, self.given = np.zeros((3, net.cases, net.taps))
        self.segments = _series(*(rail.segments for rail in self.rails))
        if net.taps > 1:
            self.along[:, :-1] -= self.segments[0]
            self.across -= self.along
            self.across[:, 1:] -= self.along[:, :-1]
        self.to_next_tap = self.along.reshape(-1)[: max(self.along.size - 1, 1)]
        self.across[:, self.taps] += self.link
        feeds = [rail.feeds[0].conductance for rail in self.rails]
        self.ohms = [1 / plain(one) for one in (*feeds, *net.source)]
        self.fed = 1 / sum(self.ohms)
        self.across[:, self.tap] += self.fed
        self.given[:, self.tap] = self.fed * self.volts

    def factor(self, slope: Floats) -> bool:
        """Factor the matrix for groups of such slopes; false: it has no inverse."""
        pttrf, rows = lapack().dpttrf, self.fixed + slope
        beside = self.beside
        if beside.shape != rows.shape:
            self.beside = np.empty(rows.shape)
            self.beside[...] = beside
        to_next = self.beside.reshape(-1)[: max(rows.size - 1, 1)]
        # What one volt on the rails does along the row.
        self.unit = np.zeros(rows.shape)
        here = self.unit[..., self.station]
        here[...] = self.link
        *self.inner, info = pttrf(rows.reshape(-1), to_next, overwrite_d=1)
        if info:
            return False
        self._line(self.unit)
        line = self.across.copy()
        line[:, self.taps] -= self.link * here
        *self.outer, info = pttrf(line.reshape(-1), self.to_next_tap, overwrite_d=1)
        return not info

    def _line(self, wanted: Floats) -> None:
        """Solve every row for itself, in place."""
        lapack().dpttrs(*self.inner, wanted.reshape(-1, 1), overwrite_b=1)

    def solved(self, given: Floats, into: Floats) -> tuple[Floats, Floats]:
        """Voltages across groups and rails, from currents into every station and tap.

        The first are written over.
        """
        self._line(given)
        rails = into.copy()
        rails[:, self.taps] += self.link * given[..., self.station]
        lapack().dpttrs(*self.outer, rails.reshape(-1, 1), overwrite_b=1)
        found = self.unit * rails[:, self.taps, None]
        found += given
        return found, rails

    def state(
        self, across: Floats, rails: Floats, flow: Floats, steps: int, residual: float
    ) -> State:
        """All voltages, from those across groups and rails."""
        net = self.net
        total = self.fed * (self.volts - rails[:, self.tap])
        _, feed, plus, minus = self.ohms
        ends = np.empty((net.cases, 2))
        ends[:, PLUS] = self.volts - total * plus
        ends[:, MINUS] = total * minus
        # Of each drop of the voltage across, the negative pole's share rises.
        fed = ends[:, MINUS] + total * feed
        low = fed[:, None] - _shared(rails, self.segments[1], self.tap)
        lines = np.empty((*rails.shape, 2))
        lines[..., self.order[MINUS]] = low
        np.add(low, rails, out=lines[..., self.order[PLUS]])
        here = low[:, self.taps] + self.links[1] * (rails[:, self.taps] - across[..., self.station])
        rows = np.empty((*across.shape, 2))
        np.subtract(here[..., None], _shared(across, self.tracks[1], self.station),
                    out=rows[..., MINUS])  # fmt: skip
        np.add(rows[..., MINUS], across, out=rows[..., PLUS])
        return State(rows, lines, ends, flow, steps, residual)


def _axes(values: ArrayLike) -> int:
    return values.ndim if isinstance(values, np.ndarray) else 0


def _one(values: ArrayLike) -> Floats | float:
    """One value for all, where they are one."""
    found = plain(values)
    if isinstance(found, float) or found.ndim != 1:
        return found
    return float(found[0]) if found.min() == found.max() else found


def _series(one: ArrayLike, other: ArrayLike) -> tuple[Floats | float, Floats | float]:
    """Conductance of both in series, and how much of their drop the second one has."""
    plus, minus = plain(one), plain(other)
    share = plus / (plus + minus)
    return minus * share, share


def _shared(across: Floats, share: Floats | float, place: int) -> Floats:
    """What the negative pole has of the way from a place to all others along the last axis."""
    found: Floats
    if isinstance(share, float) or not share.ndim:
        found = across - across[..., place, None]
        found *= share
        return found
    found = np.zeros(across.shape)
    if across.shape[-1] > 1:
        np.cumsum(share * (across[..., 1:] - across[..., :-1]), axis=-1, out=found[..., 1:])
        found -= found[..., place, None].copy()
    return found
