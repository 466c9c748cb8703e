"""How a panel dims with its voltage, and how light and voltage run along rows and rails."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from guidegen.calc.ladder import PLUS, Floats, State
from guidegen.calc.ladder_solve import solve
from guidegen.design.fault_cases import Wiring
from guidegen.design.result import Design
from guidegen.design.solved_panel import Solved

#: Shares of the full light at which the curve is told: first light, then the rest.
SHARES = (0.001, 0.01, 0.1, 0.25, 0.5, 0.75, 0.9, 1.0)
#: Voltages that are solved between dark and full; between them the curve is straight enough.
_POINTS = 61


@dataclass(frozen=True)
class CurvePoint:
    """One setting of the output."""

    light: float
    """Share of the full light, which goes with the current of the groups. [-]."""
    volts: float
    amps: float
    watts: float
    """Into the panel and its wiring."""


@dataclass(frozen=True)
class Line:
    """What runs along a row or a rail."""

    ref: str
    along: tuple[float, ...]
    """Place from the left end [m], or number of the row."""
    values: tuple[float, ...]
    """Share of the brightest group's current [-], or voltage lost [V]."""


@dataclass(frozen=True)
class Profiles:
    """The panel at the full setting."""

    rows: tuple[Line, ...]
    """The brightest row and the dimmest one; one of them, where all are alike."""
    rails: tuple[Line, ...]


def curve(design: Design) -> tuple[CurvePoint, ...]:
    """The panel's current and light over the module's output, from first light to full.

    Parameters
    ----------
    design : Design
        Settled and complete.

    Raises
    ------
    NetworkError
        If a network is not solved.
    """
    solved: Solved = design.result("solved panel")
    net = solved.net
    full = float(np.asarray(net.volts))
    volts = np.linspace(0.4 * full, full, _POINTS)
    swept = replace(net, cases=_POINTS, volts=volts)
    state = solve(swept)
    # What the source gives is what the groups take; a difference of voltages would round it away.
    amps = np.maximum(state.currents.sum(axis=(1, 2)), np.finfo(float).tiny)
    light = amps / amps[-1]
    points = []
    for share in SHARES:
        # Near first light current goes with the exponential of voltage: its logarithm is straight.
        at = float(np.interp(np.log(share), np.log(light), volts))
        current = float(np.exp(np.interp(at, volts, np.log(amps))))
        points.append(CurvePoint(share, at, current, at * current))
    return tuple(points)


def profiles(design: Design) -> Profiles:
    """Light along the rows and voltage lost along the rails, at the full setting."""
    solved: Solved = design.result("solved panel")
    wiring = Wiring(solved.net, design.model.panels[0])
    step = design.values["tape.increment"].si
    return Profiles(_rows(wiring, solved.state, step), _rails(wiring, solved.state))


def _rows(wiring: Wiring, state: State, step: float) -> tuple[Line, ...]:
    currents = state.currents[0]
    lit = np.flatnonzero(currents[0] > 0)
    share = currents[:, lit] / currents.max()
    # A cut line between two groups is a station without light: places count the groups.
    along = tuple(float((number + 0.5) * step) for number in range(len(lit)))
    order = np.argsort(share.mean(axis=1), kind="stable")
    picked = dict.fromkeys((int(order[-1]), int(order[0])))
    return tuple(Line(wiring.rows[row], along, _floats(share[row])) for row in picked)


def _rails(wiring: Wiring, state: State) -> tuple[Line, ...]:
    found = []
    for number, rail in enumerate(wiring.net.rails):
        taps = state.rails[0, wiring.net.tap_of_row, number]
        lost = state.ends[0, PLUS] - taps if rail.pole == PLUS else taps - state.ends[0, 1]
        rows = tuple(float(row + 1) for row in range(len(taps)))
        found.append(Line(wiring.rails[number], rows, _floats(lost)))
    return tuple(found)


def _floats(values: Floats) -> tuple[float, ...]:
    return tuple(float(value) for value in values)
