"""Ladders with nothing broken: the voltage across the groups is the only unknown of a station.

Where both tracks of a row keep one ratio α of their conductances, `a = w + (1 − α)u` and
`b = w − αu` part a row's equations: the voltage across, u, follows from a tridiagonal matrix, and
the voltage in common, w, bends at links alone. What the links do to w never changes, and is
taken out once, as are the source's ends; of a row only u at its links remains for the rails.
"""

from __future__ import annotations

import numpy as np

from guidegen.calc.ladder import MINUS, PLUS, Floats, Ladders, State, lapack
from guidegen.calc.ladder_band import NOISE
from guidegen.calc.ladder_steps import all_above_zero, most

#: By how much the tracks' ratio may vary along a row, from rounding. [-].
_EVEN = 1e-14


def suits(net: Ladders) -> bool:
    """Whether this form holds: nothing open, even tracks, every rail linked once and fed once.

    Rows are linked at no more than two stations, and all rails of a pole are fed at one tap.
    """
    rails, links = net.rails, net.links
    if net.bridges or sorted(link.rail for link in links) != list(range(len(rails))):
        return False
    if any(len(rail.feeds) != 1 for rail in rails) or len({link.station for link in links}) > 2:
        return False
    taps = {(rail.pole, rail.feeds[0].tap) for rail in rails}
    if sorted(pole for pole, _ in taps) != [PLUS, MINUS]:
        return False
    if any(rails[link.rail].pole != link.pole for link in links):
        return False
    if not all_above_zero(net):
        return False
    ratio = _ratio(net)
    return not ratio.ndim or not ratio.size or bool(np.all(np.ptp(ratio, axis=-1) <= _EVEN))


def _ratio(net: Ladders) -> Floats:
    """Share of the positive track in what both conduct."""
    plus, minus = (np.asarray(values, dtype=float) for values in net.tracks)
    return np.asarray(plus / (plus + minus))


class Across:
    """What of the equations never changes, and the matrix of one step."""

    def __init__(self, net: Ladders) -> None:
        self.net, self.volts = net, net.wide(net.volts)
        self.source = [net.wide(one) for one in net.source]
        #: Stations of the links, and the place of each link among them.
        self.stations = sorted({link.station for link in net.links})
        self.at = [self.stations.index(link.station) for link in net.links]
        self._rows()
        self._links()
        self._feeds()
        self._joined()
        fixed, band = most(self.fixed), most(self.band)
        self.enough = NOISE * np.maximum(self.volts, 1e-3) * np.maximum(fixed, band)

    def _rows(self) -> None:
        """The tridiagonal matrix of the rows, and the ratio α of each."""
        net = self.net
        shape = self.shape = (net.cases, net.rows, net.stations)
        self.fixed, self.beside = np.empty(shape), np.zeros(shape)
        self.fixed[...] = net.shunts
        self.units = np.empty((len(self.stations), *shape))
        self.ratio: Floats = np.full((net.cases, net.rows), 0.5)
        if net.stations > 1:
            ratio, minus = _ratio(net), np.asarray(net.tracks[MINUS], dtype=float)
            self.ratio[...] = ratio[..., 0] if ratio.ndim else ratio
            self.beside[..., :-1] = -minus * ratio
            self.fixed -= self.beside
            self.fixed[..., 1:] -= self.beside[..., :-1]

    def _along(self) -> Floats:
        """Resistance of both tracks side by side, piece by piece between two links."""
        net, (low, high) = self.net, self.stations
        both = np.asarray(net.tracks[PLUS]) + np.asarray(net.tracks[MINUS])
        return net.wide(1 / both, net.rows, net.stations - 1)[..., low:high]

    def _links(self) -> None:
        """Links with the voltage in common taken out: arrays of (case, row, ...).

        `held`: what each pair of links conducts; `mixed`: what u at a place and a rail's voltage
        do to one another; `between`: what u at one place does to u at the other.
        """
        net, size = self.net, range(len(self.at))
        links = np.stack([net.wide(link.conductance, net.rows) for link in net.links], axis=-1)
        sits = np.zeros((len(self.at), len(self.stations)))
        sits[size, self.at] = 1.0
        pull = links[..., None] * sits
        all_at = pull.sum(axis=-2)
        inverse: Floats = 1 / all_at[..., None]
        if len(self.stations) > 1:
            along = 1 / self._along().sum(axis=-1)[..., None, None]
            one, other = all_at[..., 0, None, None], all_at[..., 1, None, None]
            turned = all_at[..., ::-1, None] * np.eye(2)
            inverse = (turned + along) / (one * other + along * (one + other))
        self.common = inverse @ np.swapaxes(pull, -1, -2)
        self.held = -pull @ self.common
        self.held[..., size, size] += links
        minus = np.array([float(link.pole == MINUS) for link in net.links])
        self.share = 1 - minus - self.ratio[..., None]
        self.mixed = -np.swapaxes(self.share[..., None] * sits, -1, -2) @ self.held
        own = -self.mixed @ (self.share[..., None] * sits)
        for number, station in enumerate(self.stations):
            self.fixed[..., station] += own[..., number, :].sum(axis=-1)
        self.between = own[..., 0, -1]

    def _feeds(self) -> None:
        """Lower band of the rails, (case, tap, rail, rails + 1), and what the source gives them."""
        net, count = self.net, len(self.net.rails)
        self.band = np.zeros((net.cases, net.taps, count, count + 1))
        self.given = np.zeros((net.cases, net.taps, count))
        #: Of each pole: tap, rails, conductances (rail, case), and all at its end.
        self.feeds: list[tuple[int, list[int], Floats, Floats]] = []
        for number, rail in enumerate(net.rails):
            if net.taps > 1:
                segments = np.asarray(rail.segments, dtype=float)
                self.band[:, :-1, number, 0] += segments
                self.band[:, 1:, number, 0] += segments
                self.band[:, :-1, number, count] -= segments
        for pole in (PLUS, MINUS):
            rails = [number for number, rail in enumerate(net.rails) if rail.pole == pole]
            tap = net.rails[rails[0]].feeds[0].tap
            feeds = np.stack([net.wide(net.rails[rail].feeds[0].conductance) for rail in rails])
            end = self.source[pole] + feeds.sum(axis=0)
            for one, high in enumerate(rails):
                share = feeds[one] / end
                self.band[:, tap, high, 0] += share * self.source[pole]
                if pole == PLUS:
                    self.given[:, tap, high] = share * self.source[pole] * self.volts
                for other, low in enumerate(rails[:one]):
                    self.band[:, tap, low, high - low] -= share * feeds[other]
                    self.band[:, tap, (low, high), 0] += (share * feeds[other])[:, None]
            self.feeds.append((tap, rails, feeds, end))

    def _joined(self) -> None:
        """Where the links of a row meet the rails' band, and what u at the links does there."""
        net, count = self.net, len(self.net.rails)
        order = np.array([link.rail for link in net.links])
        one, other = np.nonzero(order[:, None] <= order)
        taps = net.tap_of_row[:, None] * count
        self.ends = taps + order
        self.slots = (taps + order[one]) * (count + 1) + order[other] - order[one]
        _flat(self.band)[:, self.slots] += self.held[..., one, other]
        low, high = self.mixed[..., one], self.mixed[..., other]
        last = len(self.stations) - 1
        #: By places: both the first; then one each, and both the last.
        self.terms = [low[..., 0, :] * high[..., 0, :]]
        if last:
            self.terms += [low[..., 0, :] * high[..., 1, :] + low[..., 1, :] * high[..., 0, :],
                           low[..., 1, :] * high[..., 1, :]]  # fmt: skip

    def factor(self, slope: Floats) -> bool:
        """Factor the matrix for groups of such slopes; false: it has no inverse."""
        count, size = len(self.net.rails), max(self.beside.size - 1, 1)
        diagonal, beside, info = lapack().dpttrf(
            (self.fixed + slope).reshape(-1), self.beside.reshape(-1)[:size], overwrite_d=1
        )
        if info:
            return False
        self.rows = diagonal, beside
        units = self.units
        units[...] = 0.0
        for unit, station in zip(units, self.stations, strict=True):
            unit[..., station] = 1.0
        self._line(units)
        here = units[0][..., self.stations[0]]
        at = [here]
        if len(self.stations) > 1:
            # What u at one place does to u at the other is of rank one.
            there, beyond = (unit[..., self.stations[1]] for unit in units)
            self.lean = here - there, there - beyond
            self.part = self.between / (1 - self.between * (self.lean[0] - self.lean[1]))
            one, other = self.lean
            at = [here + self.part * one**2, there + self.part * one * other,
                  beyond + self.part * other**2]  # fmt: skip
        taken = at[0][..., None] * self.terms[0]
        for each, term in zip(at[1:], self.terms[1:], strict=True):
            taken += each[..., None] * term
        band = self.band.copy()
        _flat(band)[:, self.slots] -= taken
        self.outer, info = lapack().dpbtrf(band.reshape(-1, count + 1).T, lower=1, overwrite_ab=1)
        return not info

    def _line(self, wanted: Floats) -> None:
        """Solve every row for itself, in place."""
        lapack().dpttrs(*self.rows, wanted.reshape(-1, self.beside.size).T, overwrite_b=1)

    def solved(self, given: Floats, into: Floats) -> tuple[Floats, Floats]:
        """Voltages across and of the rails, from currents into every station and tap.

        The first are written over.
        """
        first = self.stations[0]
        self._line(given)
        own = given[..., first]
        if len(self.stations) == 1:
            rails, push = self._rails(own[..., None] * self.mixed[..., 0, :], into)
            given += self.units[0] * push[..., 0, None]
            return given, rails
        one, other = self.lean
        second = given[..., self.stations[1]]
        apart = self.part * (own - second)
        rails, push = self._rails(
            (own + apart * one)[..., None] * self.mixed[..., 0, :]
            + (second + apart * other)[..., None] * self.mixed[..., 1, :],
            into,
        )
        apart += self.part * (one * push[..., 0] + other * push[..., 1])
        given += self.units[0] * (push[..., 0] + apart)[..., None]
        given += self.units[1] * (push[..., 1] - apart)[..., None]
        return given, rails

    def _rails(self, pulled: Floats, into: Floats) -> tuple[Floats, Floats]:
        """Voltages of the rails, and the current into every place: (case, row, place)."""
        wanted = into.copy()
        _flat(wanted)[:, self.ends] -= pulled
        found, _ = lapack().dpbtrs(self.outer, wanted.reshape(-1, 1), lower=1, overwrite_b=1)
        rails = found.reshape(into.shape)
        push: Floats = (self.mixed @ _flat(rails)[:, self.ends][..., None])[..., 0]
        return rails, -push

    def state(
        self, across: Floats, rails: Floats, flow: Floats, steps: int, residual: float
    ) -> State:
        """All voltages, from those across and those of the rails."""
        net = self.net
        ends = np.empty((net.cases, 2))
        for pole, (tap, numbers, feeds, end) in enumerate(self.feeds):
            into = (feeds.T * rails[:, tap, numbers]).sum(axis=-1)
            given = self.source[pole] * self.volts if pole == PLUS else 0.0
            ends[:, pole] = (into + given) / end
        linked = _flat(rails)[:, self.ends]
        at = across[..., np.array(self.stations)[self.at]]
        common = (self.common @ (linked - self.share * at)[..., None])[..., 0]
        minus = common[..., :1] - self.ratio[..., None] * across
        if len(self.stations) > 1:
            low, high = self.stations
            ohms = self._along()
            apart = common[..., 1:] - common[..., :1]
            minus[..., low + 1 : high + 1] += (
                apart * np.cumsum(ohms, axis=-1) / ohms.sum(axis=-1, keepdims=True)
            )
            minus[..., high + 1 :] += apart
        rows = np.stack([minus + across, minus], axis=-1)
        return State(rows, rails, ends, flow, steps, residual)


def _flat(values: Floats) -> Floats:
    """Case by case."""
    return values.reshape(len(values), -1)
