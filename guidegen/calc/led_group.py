"""The current of a group of LEDs in series with a resistor, in closed form.

Unlike `guidegen.calc.tape.group_current`, whose LEDs hold one voltage, these follow Shockley's
law; both agree at the rated point.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from guidegen.calc.ladder import cut
from guidegen.errors import RangeError

Floats = NDArray[np.float64]

#: Boltzmann's constant over the charge of an electron, exact since the SI of 2019. [V/K].
BOLTZMANN = 1.380649e-23 / 1.602176634e-19
#: Ideality of a white LED (from memory: 1.5 to 3.5 are measured).
IDEALITY = 2.0
#: Below this, ω is nothing that a float holds. [-].
_LEAST = -700.0


@dataclass(frozen=True)
class GroupLaw:
    """Current over voltage of one group; its fields broadcast against one another.

    The current is `a·ω(x)/R − Is`, with `x = ln(Is·R/a) + (u + Is·R)/a` and ω the Wright omega
    function: Shockley's law and Ohm's law in one, without a step.
    """

    scale: ArrayLike
    """a: LEDs in series × ideality × thermal voltage. [V]."""
    ohms: ArrayLike
    """R: resistor and the LEDs' own resistance. [ohm]."""
    saturation: ArrayLike
    """Is. [A]."""

    @classmethod
    def rated(
        cls,
        voltage: float,
        current: float,
        leds: float,
        forward: float,
        ideality: float = IDEALITY,
        temperature: float = 298.15,
    ) -> GroupLaw:
        """The law through the rated point of a tape.

        Parameters
        ----------
        voltage, current : float
            Of the group at the rated point. [V], [A]
        leds : float
            LEDs in series.
        forward : float
            Voltage of one LED at the rated current. [V]
        ideality : float
            Of the LEDs. [-]
        temperature : float
            Of the LEDs. [K]

        Raises
        ------
        RangeError
            If the LEDs alone need the whole voltage, or no current flows.
        """
        if voltage <= leds * forward:
            raise RangeError("voltage", voltage, "above the forward voltage of all LEDs of a group")
        if current <= 0:
            raise RangeError("current", current, "above 0 A")
        scale = leds * ideality * BOLTZMANN * temperature
        ohms = (voltage - leds * forward) / current
        return cls(scale, ohms, current / math.expm1(leds * forward / scale))

    def cut(self, cases: slice, of: int) -> GroupLaw:
        """The law of some of so many cases: the first axis of fields with three."""
        fields = (self.scale, self.ohms, self.saturation)
        return GroupLaw(*(cut(values, 2, cases, of) for values in fields))

    def at(self, volts: ArrayLike) -> tuple[Floats, Floats]:
        """Current and its slope at these voltages.

        Parameters
        ----------
        volts : ArrayLike
            Voltage across the group. [V]

        Returns
        -------
        current, slope : ndarray
            [A], [S]
        """
        scale, ohms = np.asarray(self.scale), np.asarray(self.ohms)
        saturation = np.asarray(self.saturation)
        offset = np.log(saturation * ohms / scale) + saturation * ohms / scale
        omega = wright_omega(np.asarray(volts) / scale + offset)
        return scale / ohms * omega - saturation, omega / ((1 + omega) * ohms)


def wright_omega(x: ArrayLike) -> Floats:
    """The solution ω of `ω + ln ω = x`.

    Parameters
    ----------
    x : ArrayLike
        Real. [-]

    References
    ----------
    .. [1] Lawrence, Corless, Jeffrey: Algorithm 917, ACM TOMS 38 (2012): two steps of Fritsch,
       Shafer and Crowley from a rough start.
    """
    real: Floats = np.maximum(np.asarray(x, dtype=float), _LEAST)
    small = np.exp(np.minimum(real, 1.0))
    # Exact at x = 1 and as x goes to minus infinity; between them 6 % off at most.
    rough = real - np.log(np.maximum(real, 1.0))
    omega: Floats = np.where(real > 1, rough, small / (1 + small * (1 - 1 / math.e)))
    for _ in range(2):
        rest = real - omega - np.log(omega)
        one = 1 + omega
        bend = one * (one + 2 / 3 * rest)
        omega = omega * (1 + rest / one * (bend - rest / 2) / (bend - rest))
    return omega
