"""Ladders with any feed: Newton's method, one band Cholesky over all rows of all cases.

Of every row only the currents of its links remain (the Schur complement on the rails), and of the
rails only those of their feeds.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from guidegen.calc.ladder import LEAK, MINUS, PLUS, Floats, Ladders, State, groups_at, lapack
from guidegen.errors import GuidegenError

#: Newton's steps before it is given up; hard random networks take 17.
MOST_STEPS = 60
#: Halvings of one step.
MOST_HALVINGS = 12
#: A step that moves no voltage by more ends the search. [V].
STEP = 1e-9
#: Steps up to the full voltage, where the whole way at once does not lead there.
RAMP = (0.3, 0.6, 0.8, 0.9, 1.0)
#: A floating row has no voltage: it is tied to the source's negative terminal. [S].
_TIE = 1.0
#: Current that rounding alone leaves, over voltage and largest conductance.
NOISE = 10 * float(np.finfo(float).eps)


class NetworkError(GuidegenError):
    """A network that was not solved; its text tells what was tried."""


@dataclass
class Unknowns:
    """Voltages of rows, rails and the ends of the source, steps of them, or currents into them."""

    rows: Floats
    rails: Floats
    ends: Floats

    def moved(self, step: Unknowns, share: Floats) -> Unknowns:
        """These and a share of a step, case by case."""
        return Unknowns(
            self.rows + step.rows * share[:, None, None, None],
            self.rails + step.rails * share[:, None, None],
            self.ends + step.ends * share[:, None],
        )

    def most(self) -> Floats:
        """The largest of every case."""
        parts = (self.rows, self.rails, self.ends)
        each = [np.abs(part.reshape(len(part), -1)).max(axis=1) for part in parts]
        return np.max(each, axis=0)  # type: ignore[no-any-return]  # numpy's stubs


def solve(net: Ladders) -> State:
    """Solve a network with any feed.

    Parameters
    ----------
    net : Ladders
        All its cases are solved together.

    Raises
    ------
    NetworkError
        If Newton's method, its line search and a ramp of the source do not lead to a solution.
    """
    system = System(net)
    volts = net.wide(net.volts)
    found, steps, rest, tried = system.newton(system.start(volts), volts)
    if found is None:
        tried += ("source stepping",)
        found = system.start(volts * RAMP[0])
        for share in RAMP:
            found, more, rest, also = system.newton(found, volts * share)
            steps, tried = steps + more, tuple(dict.fromkeys((*tried, *also)))
            if found is None:
                raise NetworkError(f"the network was not solved: tried {', '.join(tried)}, given up"
                                   f" at {share:.0%} of the source's voltage")  # fmt: skip
    currents, _ = groups_at(net, found.rows[..., PLUS] - found.rows[..., MINUS])
    return State(found.rows, found.rails, found.ends, currents, steps, float(rest.max()), tried)


class System:
    """What of the equations never changes, and the steps of Newton's method."""

    def __init__(self, net: Ladders) -> None:
        self.net = net
        cases, rows, stations = net.cases, net.rows, net.stations
        self.tracks = [net.wide(net.tracks[pole], rows, stations - 1) for pole in (PLUS, MINUS)]
        self.links = [net.wide(link.conductance, rows) for link in net.links]
        self.segments = [net.wide(rail.segments, net.taps - 1) for rail in net.rails]
        self.source = np.stack([net.wide(one) for one in net.source], axis=-1)
        self.loose = self._loose()
        self.shunts = net.wide(net.shunts, rows, stations) + LEAK * self.loose[:, None, None]
        self.fixed = self._rows()
        self.border, self.columns = self._borders()
        self.rail_band = self._rails()
        size = (cases, rows, stations, 2)
        self.units = np.zeros((len(net.links), *size))
        for number, (link, values) in enumerate(zip(net.links, self.links, strict=True)):
            self.units[number, :, :, link.station, link.pole] = values
        # Largest conductance of any node: what rounding leaves of a current goes with it.
        self.greatest = np.maximum(self.fixed[..., 0].reshape(cases, -1).max(axis=1),
                                   np.maximum(self.rail_band[..., 0].reshape(cases, -1).max(axis=1),
                                              self.border.max(axis=1)))  # fmt: skip

    def _loose(self) -> Floats:
        """One for every case in which something is not joined."""
        net = self.net
        loose = np.zeros(net.cases, dtype=bool)
        feeds = [net.wide(feed.conductance) for rail in net.rails for feed in rail.feeds]
        for values in (*self.links, *self.segments, *self.tracks, *feeds):
            loose |= (values == 0).reshape(net.cases, -1).any(axis=1)
        return loose.astype(float)

    def _rows(self) -> Floats:
        """Lower band of the rows: (case, row, station, pole, 3)."""
        net = self.net
        band = np.zeros((net.cases, net.rows, net.stations, 2, 3))
        for pole, values in enumerate(self.tracks):
            band[:, :, :-1, pole, 0] += values
            band[:, :, 1:, pole, 0] += values
            band[:, :, :-1, pole, 2] -= values
        band[..., 0] += self.shunts[..., None]
        band[..., PLUS, 1] -= self.shunts
        joined = np.zeros((net.cases, net.rows))
        for link, values in zip(net.links, self.links, strict=True):
            band[:, :, link.station, link.pole, 0] += values
            joined += values
        band[:, :, 0, MINUS, 0] += np.where(joined == 0, _TIE, 0.0)
        self.floating = joined == 0
        return band

    def _rails(self) -> Floats:
        """Lower band of the rails: (case, tap, rail, rails + 1)."""
        net, count = self.net, len(self.net.rails)
        band = np.zeros((net.cases, net.taps, count, count + 1))
        band[..., 0] -= self.columns.sum(axis=0)
        for number, values in enumerate(self.segments):
            band[:, :-1, number, 0] += values
            band[:, 1:, number, 0] += values
            band[:, :-1, number, count] -= values
        for link, values in zip(net.links, self.links, strict=True):
            band[:, net.tap_of_row, link.rail, 0] += values
        for bridge in net.bridges:
            (low, high), wide = bridge.rails, net.wide(bridge.conductance)
            band[:, bridge.tap, bridge.rails, 0] += wide[:, None]
            band[:, bridge.tap, low, high - low] -= wide
        return band

    def _borders(self) -> tuple[Floats, Floats]:
        """Conductance at each end of the source, and its columns: (pole, case, tap, rail)."""
        net = self.net
        columns = np.zeros((2, net.cases, net.taps, len(net.rails)))
        for number, rail in enumerate(net.rails):
            for feed in rail.feeds:
                columns[rail.pole, :, feed.tap, number] -= net.wide(feed.conductance)
        return self.source - columns.sum(axis=(2, 3)).T, columns

    def start(self, volts: Floats) -> Unknowns:
        """Every plus at the source's voltage, every minus at none; what hangs, at the other's."""
        net = self.net
        held = self._held()
        # Where one pole hangs in the air the groups pull it to the other one.
        rows = np.zeros((net.cases, net.rows, net.stations, 2))
        plus, minus = (self._row_held(held, pole) for pole in (PLUS, MINUS))
        rows[..., PLUS] = (plus * volts[:, None])[..., None]
        rows[..., MINUS] = ((plus & ~minus & ~self.floating) * volts[:, None])[..., None]
        rails = np.zeros((net.cases, net.taps, len(net.rails)))
        for number, rail in enumerate(net.rails):
            high = held[number] if rail.pole == PLUS else ~held[number]
            rails[..., number] = high * volts[:, None]
        return Unknowns(rows, rails, np.stack([volts, np.zeros_like(volts)], axis=-1))

    def _held(self) -> list[NDArray[np.bool_]]:
        """Of every rail the taps that are joined to the source: (case, tap)."""
        net = self.net
        found = []
        for rail, segments in zip(net.rails, self.segments, strict=True):
            held = np.zeros((net.cases, net.taps), dtype=bool)
            for feed in rail.feeds:
                held[:, feed.tap] |= net.wide(feed.conductance) > 0
            if self.loose.any() and not held.all():
                joined = segments > 0
                for tap in range(1, net.taps):
                    held[:, tap] |= held[:, tap - 1] & joined[:, tap - 1]
                for tap in range(net.taps - 2, -1, -1):
                    held[:, tap] |= held[:, tap + 1] & joined[:, tap]
            elif not self.loose.any():
                held[:] = True
            found.append(held)
        return found

    def _row_held(self, held: list[NDArray[np.bool_]], pole: int) -> NDArray[np.bool_]:
        """Rows with a link to a held rail of this pole: (case, row)."""
        net = self.net
        found = np.zeros((net.cases, net.rows), dtype=bool)
        for link, values in zip(net.links, self.links, strict=True):
            if link.pole == pole:
                found |= held[link.rail][:, net.tap_of_row] & (values > 0)
        return found

    def newton(
        self, found: Unknowns, volts: Floats
    ) -> tuple[Unknowns | None, int, Floats, tuple[str, ...]]:
        """Newton's method from a start: the solution or none, steps, residuals, what was needed."""
        enough = NOISE * np.maximum(volts, 1e-3) * self.greatest
        rest, slope = self.residual(found, volts)
        size = rest.most()
        fallbacks: set[str] = set()
        for number in range(1, MOST_STEPS + 1):
            step = self.step(rest, slope)
            if step is None:
                return None, number, size, tuple(sorted(fallbacks))
            share = np.ones(self.net.cases)
            for _ in range(MOST_HALVINGS):
                tried = found.moved(step, share)
                rest, slope = self.residual(tried, volts)
                after = rest.most()
                # Rounding may let a solved case grow; a first step may, too: the law is convex.
                worse = (after > size) & (after > enough) & (number > 1)
                if not worse.any():
                    break
                share = np.where(worse, share / 2, share)
                fallbacks.add("line search")
            found, size = tried, after
            if np.all((step.most() * share <= STEP) & (size <= enough)):
                return found, number, size, tuple(sorted(fallbacks))
        return None, MOST_STEPS, size, tuple(sorted(fallbacks))

    def residual(self, at: Unknowns, volts: Floats) -> tuple[Unknowns, Floats]:
        """Currents that leave every node, and the slopes of the groups."""
        net = self.net
        across = at.rows[..., PLUS] - at.rows[..., MINUS]
        flow, slope = groups_at(net, across)
        flow = flow + self.shunts * across
        rows = np.stack([flow, -flow], axis=-1)
        for pole, values in enumerate(self.tracks):
            along = values * (at.rows[:, :, :-1, pole] - at.rows[:, :, 1:, pole])
            rows[:, :, :-1, pole] += along
            rows[:, :, 1:, pole] -= along
        rows[:, :, 0, MINUS] += np.where(self.floating, _TIE * at.rows[:, :, 0, MINUS], 0.0)
        rails = np.zeros_like(at.rails)
        for link, values in zip(net.links, self.links, strict=True):
            through = values * (at.rows[:, :, link.station, link.pole]
                                - at.rails[:, net.tap_of_row, link.rail])  # fmt: skip
            rows[:, :, link.station, link.pole] += through
            rails[:, net.tap_of_row, link.rail] -= through
        ends = self.source * at.ends
        for pole, column in enumerate(self.columns):
            through = column * (at.ends[:, pole, None, None] - at.rails)
            rails += through
            ends[:, pole] -= through.sum(axis=(1, 2))
        ends[:, PLUS] -= self.source[:, PLUS] * volts
        for number, values in enumerate(self.segments):
            along = values * (at.rails[:, :-1, number] - at.rails[:, 1:, number])
            rails[:, :-1, number] += along
            rails[:, 1:, number] -= along
        for bridge in net.bridges:
            low, high = (at.rails[:, bridge.tap, rail] for rail in bridge.rails)
            through = net.wide(bridge.conductance) * (low - high)
            rails[:, bridge.tap, bridge.rails] += np.stack([through, -through], axis=-1)
        return Unknowns(rows, rails, ends), slope

    def step(self, rest: Unknowns, slope: Floats) -> Unknowns | None:
        """The whole step of Newton's method; None: something floats."""
        found = self.voltages(Unknowns(-rest.rows[None], -rest.rails[None], -rest.ends[None]),
                              slope)  # fmt: skip
        return found and Unknowns(found.rows[0], found.rails[0], found.ends[0])

    def voltages(self, into: Unknowns, slope: Floats) -> Unknowns | None:
        """Changes of all voltages with currents into nodes, where groups conduct `slope`.

        Parameters
        ----------
        into : Unknowns
            Arrays with one more axis before those of a `State`: so many sets of currents. [A]
        slope : Floats
            Of the groups at every station: (case, row, station). [S]

        Returns
        -------
        Unknowns or None
            One set of changes for each of currents [V]; None where something floats.
        """
        inner = self._inner(into.rows, slope)
        if inner is None:
            return None
        own, units = inner
        outer = self._outer(into, own, units)
        if outer is None:
            return None
        rails, ends = outer
        rows = own
        for unit, link in zip(units, self.net.links, strict=True):
            rows = rows + unit * rails[:, :, self.net.tap_of_row, link.rail][..., None, None]
        return Unknowns(rows, rails, ends)

    def _inner(self, into: Floats, slope: Floats) -> tuple[Floats, Floats] | None:
        """Rows alone: with currents into them, and with one volt at every link."""
        band = self.fixed.copy()
        band[..., 0] += slope[..., None]
        band[..., PLUS, 1] -= slope
        factor, info = lapack().dpbtrf(band.reshape(-1, 3).T, lower=1, overwrite_ab=1)
        if info:
            return None
        wanted = np.concatenate([into, self.units])
        found, info = lapack().dpbtrs(
            factor, wanted.reshape(len(wanted), -1).T, lower=1, overwrite_b=1
        )
        found = found.T.reshape(wanted.shape)
        return None if info else (found[: len(into)], found[len(into) :])

    def _outer(
        self, into: Unknowns, own: Floats, units: Floats
    ) -> tuple[Floats, Floats] | None:  # fmt: skip
        """Rails and the source's ends, with the rows taken out."""
        net, count, sets = self.net, len(self.net.rails), len(own)
        band, lacking = self.rail_band.copy(), into.rails.copy()
        for link, values in zip(net.links, self.links, strict=True):
            lacking[:, :, net.tap_of_row, link.rail] += (
                values * own[:, :, :, link.station, link.pole])  # fmt: skip
            for unit, other in zip(units, net.links, strict=True):
                if link.rail >= other.rail:
                    # Of two links to one rail both orders count; of two rails the lower half.
                    band[:, net.tap_of_row, other.rail, link.rail - other.rail] -= (
                        values * unit[:, :, link.station, link.pole])  # fmt: skip
        factor, info = lapack().dpbtrf(band.reshape(-1, count + 1).T, lower=1, overwrite_ab=1)
        if info:
            return None
        wanted = np.concatenate([lacking, self.columns])
        found, info = lapack().dpbtrs(
            factor, wanted.reshape(len(wanted), -1).T, lower=1, overwrite_b=1
        )
        if info:
            return None
        found = found.T.reshape(wanted.shape)
        # Two unknowns a case are left: the ends of the source.
        first, units = found[:sets], found[sets:]
        corner = np.einsum("icts,jcts->cij", -self.columns, units)
        corner[:, (PLUS, MINUS), (PLUS, MINUS)] += self.border
        right = into.ends - np.einsum("icts,kcts->kci", self.columns, first)
        ends: Floats = np.linalg.solve(corner, right[..., None])[..., 0]
        rails: Floats = first - np.einsum("icts,kci->kcts", units, ends)
        return rails, ends
