"""A piece of tape that was measured: what its currents and its light say of every group."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, hypot, pi

import numpy as np
from scipy.optimize import least_squares  # type: ignore[import-untyped]

from guidegen.calc.ladder import MINUS, PLUS, Feed, Floats, Ladders, Link, Rail
from guidegen.calc.ladder_solve import solve
from guidegen.calc.led_group import GroupLaw
from guidegen.errors import RangeError
from guidegen.kinds import LumenPerMetre, Lux, Metre

#: Clips and the supply's own leads: next to nothing beside a tape. [S].
CLIP = 1e5
#: Of the greatest current: what the last digits of a meter let a small one be off by.
DIGITS = 0.002
#: Current of a group: between these shares of what the label says.
_LEAST, _MOST = 0.2, 3.0


@dataclass(frozen=True)
class Piece:
    """A piece of tape, fed at one end."""

    groups: int
    track: float
    """From group to group, one track. [ohm]."""
    voltage: float
    """On the label. [V]."""
    leds: float
    """In series in a group."""

    def currents(self, volts: Floats, amps: float, forward: float) -> Floats:
        """Of every group.

        Parameters
        ----------
        volts : Floats
            At the fed end: (case,). [V]
        amps, forward : float
            Current of a group, and voltage of one of its LEDs, at the label's voltage. [A], [V]

        Returns
        -------
        ndarray
            (case, group). [A]
        """
        pieces = np.full(self.groups, self.track)
        pieces[0] /= 2
        links = tuple(Link(pole, 0, pole, np.full(1, CLIP)) for pole in (PLUS, MINUS))
        rails = tuple(Rail(pole, np.empty(0), (Feed(0, CLIP),)) for pole in (PLUS, MINUS))
        found = solve(Ladders(
            cases=len(volts), rows=1, stations=self.groups + 1,
            law=GroupLaw.rated(self.voltage, amps, self.leds, forward),
            groups=np.array([0.0] + self.groups * [1.0]), tracks=(1 / pieces, 1 / pieces),
            links=links, rails=rails, tap_of_row=np.array([0]), taps=1, volts=volts,
            source=(CLIP, CLIP),
        ))  # fmt: skip
        return found.currents[:, 0, 1:]


@dataclass(frozen=True)
class Fit:
    """What the readings of a piece say of a group at the label's voltage."""

    amps: float
    """[A]."""
    forward: float
    """Of one LED. [V]."""
    off: float
    """The greatest distance of a reading from the fitted law, as a share of the reading."""
    spread: tuple[float, float]
    """Half of the bands of both, from the meter and from how well the law fits. [A], [V]."""


def fitted(
    piece: Piece, volts: Floats, amps: Floats, label: tuple[float, float], meter: float
) -> Fit:
    """The group's law through the readings of a piece of tape.

    Parameters
    ----------
    piece : Piece
        What was measured.
    volts, amps : Floats
        Readings, (n,): voltage at the fed end and current. [V], [A]
    label : tuple[float, float]
        Current of a group and voltage of one LED that the label gives; the voltage stays as it
        is where all readings are at one voltage. [A], [V]
    meter : float
        Error of the meter, as a share of a reading; the same for all readings of one kind.

    Raises
    ------
    RangeError
        If no LEDs with a resistor draw such currents.

    References
    ----------
    .. [1] Least squares; half of a band is the square root of the sum of squares of what the
       meter's errors move, and of twice the standard deviation by the rest of the fit
       (JCGM 100:2008, 5.1 and G.6).
    """
    both = len(volts) > 1 and float(np.ptp(volts)) > 0.02 * float(volts.max())
    top = piece.voltage / piece.leds
    free = _free(piece, volts, amps, label, both)
    moved = [_free(piece, volts, amps * (1 + meter), label, both),
             _free(piece, volts * (1 + meter), amps, label, both)]  # fmt: skip
    one, forward = free.values
    if not (_LEAST * 1.01 < one / label[0] < _MOST * 0.99) or forward > 0.98 * top:
        raise RangeError("current of a group", one, "near what the label says")
    shares = [hypot(2 * free.deviation[k], *(m.values[k] - free.values[k] for m in moved))
              for k in (0, 1)]  # fmt: skip
    return Fit(one, forward, free.off, (shares[0], shares[1]))


@dataclass(frozen=True)
class _Free:
    values: tuple[float, float]
    deviation: tuple[float, float]
    off: float


def _free(
    piece: Piece, volts: Floats, amps: Floats, label: tuple[float, float], both: bool
) -> _Free:
    """The best law, its deviations by what the fit leaves over."""
    weight = amps + DIGITS * amps.max()

    def at(x: Floats) -> tuple[float, float]:
        return float(label[0] * x[0]), float(x[1]) if both else label[1]

    def wrong(x: Floats) -> Floats:
        found = piece.currents(volts, *at(x)).sum(axis=1)
        return np.asarray((found - amps) / weight)

    top = piece.voltage / piece.leds
    start, low, high = [1.0, label[1]], [_LEAST, 0.3 * top], [_MOST, 0.99 * top]
    some = slice(None) if both else slice(1)
    best = least_squares(wrong, start[some], bounds=(low[some], high[some]), x_scale="jac",
                         diff_step=1e-5, xtol=1e-12, ftol=1e-12)  # fmt: skip
    more = len(volts) - len(best.x)
    deviation = [0.0, 0.0]
    if more > 0:
        spread = np.linalg.inv(best.jac.T @ best.jac) * float((best.fun**2).sum()) / more
        deviation[: len(best.x)] = np.sqrt(np.diag(spread)).tolist()
    off = float(np.abs(best.fun * weight / amps).max())
    return _Free(at(best.x), (deviation[0] * label[0], deviation[1]), off)


def flux_of(illuminance: Lux, distance: Metre, length: Metre) -> LumenPerMetre:
    """Luminous flux of a metre of tape, from the light of a piece of it.

    Parameters
    ----------
    illuminance : Lux
        On a plane parallel to the tape, square to the middle of the piece. [lx]
    distance : Metre
        Tape to plane. [m]
    length : Metre
        Of the piece. [m]

    Returns
    -------
    LumenPerMetre
        Of a tape that shines as a Lambertian line. [lm/m]

    Raises
    ------
    RangeError
        If a distance is not above zero.

    References
    ----------
    .. [1] An element with the flux Φ a metre gives Φ/π·cos²θ/r² dx on the parallel plane; its
       integral over the piece, h = length/2: Φ/π·(h/(h² + d²) + atan(h/d)/d).
    """
    if distance <= 0:
        raise RangeError("distance", distance, "above 0 m")
    if length <= 0:
        raise RangeError("length", length, "above 0 m")
    return (
        pi
        * illuminance
        / (
            length / 2 / ((length / 2) ** 2 + distance**2)
            + atan(length / (2 * distance)) / distance
        )
    )
