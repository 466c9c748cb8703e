"""A panel as a network of ladders: rows of groups between two tracks, linked to rails.

Arrays may carry many cases at once: their first axis is the case, then the row, then the station
along the row. A station holds groups, or none where only a link meets the track.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

PLUS, MINUS = 0, 1
#: Between both tracks of every station of a case in which something is not joined, so that its
#: voltages are defined: a nanoampere a volt, a hundredth of what a meter takes (project default).
#: [S].
LEAK = 1e-9


class Law(Protocol):
    """Current and slope of one group over the voltage across it."""

    def at(self, volts: ArrayLike, near: ArrayLike | None = None) -> tuple[Floats, Floats]:
        """Current and its slope. [A], [S].

        With a rough value of the current, they may be those of the law's tangent there.
        """

    def roughly(self, volts: float, ohms: float) -> tuple[float, float]:
        """Current and slope of a usual group that has so much in series, at volts across both."""

    def cut(self, cases: slice, of: int) -> Law:
        """The same law of some of so many cases."""


@dataclass(frozen=True)
class Link:
    """From a station of every row to a rail of the same pole."""

    pole: int
    station: int
    rail: int
    conductance: ArrayLike
    """(case, row); zero: not joined. [S]."""


@dataclass(frozen=True)
class Feed:
    """From the source's terminal of a rail's pole to one tap of the rail."""

    tap: int
    conductance: ArrayLike
    """(case,). [S]."""


@dataclass(frozen=True)
class Rail:
    """A line of taps."""

    pole: int
    segments: ArrayLike
    """From tap to tap: (case, tap − 1); zero: broken. [S]."""
    feeds: tuple[Feed, ...]


@dataclass(frozen=True)
class Bridge:
    """What joins two rails at a tap, where nothing should."""

    rails: tuple[int, int]
    """The lower number first."""
    tap: int
    conductance: ArrayLike
    """(case,). [S]."""


@dataclass(frozen=True)
class Ladders:
    """Rows, rails and source, as arrays that broadcast to (case, row, station).

    The source holds `volts` behind a conductance in each pole; what lies between them and the
    rails' feeds is a node of its own.
    """

    cases: int
    rows: int
    stations: int
    law: Law
    groups: ArrayLike
    """How many groups sit at a station; below zero: so many, the wrong way round."""
    tracks: tuple[ArrayLike, ArrayLike]
    """From station to station: (case, row, station − 1). [S]."""
    links: tuple[Link, ...]
    rails: tuple[Rail, ...]
    tap_of_row: Ints
    """Tap of the rails that each row is linked to, rising; rails may have taps without a row."""
    taps: int
    volts: ArrayLike
    """(case,). [V]."""
    source: tuple[ArrayLike, ArrayLike]
    """(case,): what lies between the source and the feeds, in each pole. [S]."""
    shunts: ArrayLike = 0.0
    """Between both tracks, beside the groups. [S]."""
    bridges: tuple[Bridge, ...] = ()

    def wide(self, values: ArrayLike, *shape: int) -> Floats:
        """An array of (case, ...) out of one that broadcasts to it."""
        found = np.asarray(values, dtype=float)
        return np.broadcast_to(found, (self.cases, *shape))

    def cut(self, cases: slice) -> Ladders:
        """Some of the cases."""

        def some(values: ArrayLike, axes: int) -> ArrayLike:
            return cut(values, axes, cases, self.cases)

        return replace(
            self,
            cases=len(range(*cases.indices(self.cases))),
            law=self.law.cut(cases, self.cases),
            groups=some(self.groups, 2),
            tracks=(some(self.tracks[PLUS], 2), some(self.tracks[MINUS], 2)),
            links=tuple(replace(link, conductance=some(link.conductance, 1))
                        for link in self.links),
            rails=tuple(replace(rail, segments=some(rail.segments, 1),
                                feeds=tuple(replace(feed, conductance=some(feed.conductance, 0))
                                            for feed in rail.feeds)) for rail in self.rails),
            volts=some(self.volts, 0),
            source=(some(self.source[PLUS], 0), some(self.source[MINUS], 0)),
            shunts=some(self.shunts, 2),
            bridges=tuple(replace(bridge, conductance=some(bridge.conductance, 0))
                          for bridge in self.bridges),
        )  # fmt: skip


def plain(values: ArrayLike) -> Floats | float:
    """One number as it is, which costs the least; all else as an array."""
    return values if isinstance(values, float) else np.asarray(values, dtype=float)


def cut(values: ArrayLike, axes: int, cases: slice, of: int) -> ArrayLike:
    """Some cases of values that have an axis for them, before so many others; else all alike."""
    found = np.asarray(values, dtype=float)
    return found[cases] if found.ndim == axes + 1 and len(found) == of else found


@dataclass(frozen=True)
class State:
    """Voltages of a solved network, counted from the source's negative terminal."""

    rows: Floats
    """(case, row, station, pole). [V]."""
    rails: Floats
    """(case, tap, rail). [V]."""
    ends: Floats
    """(case, pole): where the feeds begin. [V]."""
    currents: Floats
    """Of the groups of every station together: (case, row, station). [A]."""
    steps: int = 0
    """Of Newton's method."""
    residual: float = 0.0
    """The largest current that any node lacks. [A]."""
    fallbacks: tuple[str, ...] = field(default=())
    """What was needed beside whole steps."""


@cache
def lapack() -> Any:
    """LAPACK's routines for bands, as scipy wraps them."""
    # Late: a tenth of a second that a spec which can't be read need not wait for.
    from scipy.linalg import lapack  # type: ignore[import-untyped]

    return lapack


def groups_at(net: Ladders, across: Floats, near: Floats | None = None) -> tuple[Floats, Floats]:
    """Current and slope of the groups of every station.

    Parameters
    ----------
    net : Ladders
        The network.
    across : Floats
        Of the shape (case, row, station), or of one that broadcasts to it. [V]
    near : Floats, optional
        A rough value of the current, which saves half of the work. [A]
    """
    if isinstance(net.groups, float) and net.groups == 1:
        return net.law.at(across, near)
    count = np.asarray(net.groups, dtype=float)
    sign = np.where(count < 0, -1.0, 1.0)
    if near is not None:
        near = near / count if np.all(count) else None
    current, slope = net.law.at(across * sign, near)
    return count * current, np.abs(count) * slope


def total_current(net: Ladders, state: State) -> Floats:
    """What the source gives: (case,). [A]."""
    return net.wide(net.source[PLUS]) * (net.wide(net.volts) - state.ends[:, PLUS])
