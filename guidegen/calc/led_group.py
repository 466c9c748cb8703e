"""The current of a group of LEDs in series with a resistor, in closed form.

They follow Shockley's law, through the rated point of the tape.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from guidegen.calc.ladder import cut, plain
from guidegen.errors import RangeError
from guidegen.kinds import Ampere, Count, FineAmpere, MilliAmpere, MilliVolt, Volt

Floats = NDArray[np.float64]

#: Boltzmann's constant over the charge of an electron, exact since the SI of 2019. [V/K].
BOLTZMANN = 1.380649e-23 / 1.602176634e-19
#: Ideality of a white LED (from memory: 1.5 to 3.5 are measured).
IDEALITY = 2.0
#: Temperature of LEDs that no other is given for. [K].
ROOM = 298.15
#: Below this, ω is nothing that a float holds. [-].
_LEAST = -700.0
#: Farther off than the first, a tangent misleads; than the other, a rough start is better. [-].
_NEAR, _FAR = 0.1, 0.5
#: Groups at a time: what a step works on stays in the processor's cache.
BLOCK = 32768


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
        temperature: float = ROOM,
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

    def roughly(self, volts: float, ohms: float) -> tuple[float, float]:
        """Current and slope of a usual group behind a resistance, to a hundredth.

        Parameters
        ----------
        volts : float
            Across both. [V]
        ohms : float
            In series with the group. [ohm]

        Returns
        -------
        current, slope : float
            The slope over the voltage across the group alone. [A], [S]
        """
        scale, own, saturation = self._usual()
        whole = own + ohms
        knee = saturation * whole / scale
        x = max(math.log(knee) + knee + volts / scale, _LEAST)
        omega = x - math.log(x) if x > 1 else math.exp(x) / (1 + math.exp(x) * (1 - 1 / math.e))
        for _ in range(2):
            omega *= 1 + (x - omega - math.log(omega)) / (1 + omega)
        current = scale * omega / whole
        return current - saturation, 1 / (own + scale / current)

    def _usual(self) -> tuple[float, float, float]:
        """Means of a, R and Is."""
        scale, ohms, saturation = (
            one if isinstance(one, float) else float(one.mean())
            for one in map(plain, (self.scale, self.ohms, self.saturation))
        )
        return scale, ohms, saturation

    @cached_property
    def _fields(self) -> tuple[Any, ...]:
        """a, R, Is, a/R, and what x is at no voltage: floats where all groups are alike."""
        scale, ohms, saturation = map(plain, (self.scale, self.ohms, self.saturation))
        knee = saturation * ohms / scale
        found = scale, ohms, saturation, scale / ohms, np.log(knee) + knee
        if any(not isinstance(one, float) and one.ndim for one in found):
            return tuple(map(np.asarray, found))
        return tuple(map(float, found))

    def at(self, volts: ArrayLike, near: ArrayLike | None = None) -> tuple[Floats, Floats]:
        """Current and its slope at these voltages.

        Parameters
        ----------
        volts : ArrayLike
            Voltage across the group. [V]
        near : ArrayLike, optional
            A rough value of each current, which saves most of the work: what is wrong by a share
            d up to 10 % is found within 0.6 d², and the slope within d. [A]

        Returns
        -------
        current, slope : ndarray
            [A], [S]
        """
        volts, fields = np.asarray(volts, dtype=float), self._fields
        if isinstance(fields[0], float) and volts.ndim and volts.size <= BLOCK:
            current, slope = np.empty(volts.shape), np.empty(volts.shape)
            _enter(fields, volts, near, current, slope)
            return current, slope
        shape, rough = volts.shape, None if near is None else np.asarray(near, dtype=float)
        if not isinstance(fields[0], float):
            # Each its own: no blocks, the solver's chunks are small.
            shape = np.broadcast_shapes(shape, *(one.shape for one in fields))
            blocks: list[tuple[Any, Floats, Floats | None]] = [(..., volts, rough)]
        else:
            flat, also = volts.reshape(-1), None if rough is None else rough.reshape(-1)
            parts = [slice(k, k + BLOCK) for k in range(0, volts.size, BLOCK)]
            blocks = [(part, flat[part], None if also is None else also[part]) for part in parts]
        whole = shape if len(blocks) == 1 else (volts.size,)
        current, slope = np.empty(whole or (1,)), np.empty(whole or (1,))
        for part, some, guess in blocks:
            _enter(fields, some, guess, current[part], slope[part])
        return current.reshape(shape), slope.reshape(shape)


def tangent_voltage(threshold: Volt, leds: Count, ideality: Count, thermal: MilliVolt) -> Volt:
    """Where the tangent to a group's line of current over voltage meets no current.

    Parameters
    ----------
    threshold : Volt
        All forward voltages of a group at the current of the tangent. [V]
    leds : Count
        LEDs in series. [-]
    ideality : Count
        Of the LEDs. [-]
    thermal : MilliVolt
        Boltzmann's constant × temperature over the charge of an electron. [V]

    Returns
    -------
    Volt
        Below the threshold, as an LED's voltage falls with its current. [V]

    References
    ----------
    .. [1] Shockley's law: the slope of an LED's voltage is ideality × thermal voltage over current;
       the resistor in series adds its own.
    """
    return threshold - leds * ideality * thermal


def group_current(
    voltage: Volt,
    rated_voltage: Volt,
    rated_current: MilliAmpere,
    leds_per_group: Count,
    forward_voltage: Volt,
    ideality: Count,
) -> MilliAmpere:
    """Current of one group at any voltage.

    Parameters
    ----------
    voltage : Volt
        Voltage between the tape's conductors at this group. [V]
    rated_voltage : Volt
        Of the tape. [V]
    rated_current : MilliAmpere
        Of a group at the rated voltage. [A]
    leds_per_group : Count
        LEDs in series. [-]
    forward_voltage : Volt
        Of one LED at the rated current. [V]
    ideality : Count
        Of the LEDs. [-]

    Returns
    -------
    MilliAmpere
        Current of the group, never below zero. [A]

    Raises
    ------
    RangeError
        If the LEDs alone need the whole rated voltage, or no current flows.

    References
    ----------
    .. [1] Shockley's law and Ohm's law, through the rated point.
    """
    law = GroupLaw.rated(rated_voltage, rated_current, leds_per_group, forward_voltage, ideality)
    return max(float(law.at(voltage)[0]), 0.0)


def dimmed_current(
    *,
    output: Volt,
    rated_voltage: Volt,
    rated_current: Ampere,
    leds: Count,
    forward_voltage: Volt,
    ideality: Count,
    drop: MilliVolt,
    at: Ampere,
) -> FineAmpere:
    """Current of tape and its wiring at any output.

    Parameters
    ----------
    output : Volt
        What the regulator gives. [V]
    rated_voltage : Volt
        Of the tape. [V]
    rated_current : Ampere
        Of all groups at the rated voltage. [A]
    leds : Count
        LEDs in series. [-]
    forward_voltage : Volt
        Of one LED at the rated current. [V]
    ideality : Count
        Of the LEDs. [-]
    drop : MilliVolt
        Lost in the wiring, as a mean of all groups. [V]
    at : Ampere
        The current that loses so much. [A]

    Returns
    -------
    FineAmpere
        Current. [A]

    Raises
    ------
    RangeError
        If the LEDs alone need the whole rated voltage, or no current flows.

    References
    ----------
    .. [1] Shockley's law and Ohm's law; all groups count as one group, the wiring as one resistance
       in series with it.
    """
    law = GroupLaw.rated(rated_voltage, rated_current, leds, forward_voltage, ideality)
    if at <= 0:
        raise RangeError("at", at, "above 0 A")
    behind = replace(law, ohms=np.asarray(law.ohms) + drop / at)
    return max(float(behind.at(output)[0]), 0.0)


def _enter(
    fields: tuple[Any, ...], volts: Floats, near: ArrayLike | None, current: Floats, slope: Floats
) -> None:
    """Current and slope of some groups, into arrays that are there."""
    scale, ohms, saturation, gain, offset = fields
    x, *room = np.empty((4, *current.shape))
    np.divide(volts, scale, out=x)
    x += offset
    omega, (way, one, _) = current, room
    if near is not None:
        np.add(near, saturation, out=omega)
        omega /= gain
    if near is not None and _near(x, omega, room):
        # Along the tangent: its slope is that of the rough current.
        np.divide(omega, one, out=slope)
        way *= omega
        omega += way
    else:
        _solve_omega(x, omega, room)
        np.add(omega, 1, out=one)
        np.divide(omega, one, out=slope)
    slope /= ohms
    omega *= gain
    current -= saturation


def wright_omega(x: ArrayLike) -> Floats:
    """The solution ω of `ω + ln ω = x`.

    Parameters
    ----------
    x : ArrayLike
        Real. [-]

    References
    ----------
    .. [1] Lawrence, Corless, Jeffrey: Algorithm 917, ACM TOMS 38 (2012): steps of Fritsch,
       Shafer and Crowley from a rough start. Where ω is wrong by r/(1 + ω) in the first order, one
       step leaves at most 2.8/72·(r/(1 + ω))⁴.
    """
    real = np.array(x, dtype=float, ndmin=1)
    omega = np.empty(real.shape)
    _solve_omega(real, omega, list(np.empty((3, *real.shape))))
    return omega.reshape(np.shape(x))


def _near(x: Floats, omega: Floats, room: list[Floats]) -> bool:
    """Whether a rough ω, or what one step makes of it, is so near that its tangent will do.

    `room` then holds its relative way along the tangent, and 1 + ω.
    """
    if not omega.min() > 0:
        return False
    for _ in range(2):
        _measure(x, omega, room)
        wrong = np.abs(room[0], out=room[2]).max()
        if wrong <= _NEAR:
            return True
        if not wrong <= _FAR:
            return False
        _sharpen(omega, room)
    return False


def _solve_omega(x: Floats, omega: Floats, room: list[Floats]) -> None:
    """ω in place, from a rough start."""
    np.maximum(x, _LEAST, out=x)
    # Exact at x = 1 and as x goes to minus infinity; between them 6 % off at most.
    high = np.maximum(x, 1.0, out=room[0])
    np.subtract(x, np.log(high, out=high), out=omega)
    if x.min() <= 1:
        low = x <= 1
        small = np.exp(x[low])
        omega[low] = small / (1 + small * (1 - 1 / math.e))
    for _ in range(2):
        _measure(x, omega, room)
        _sharpen(omega, room)


def _measure(x: Floats, omega: Floats, room: list[Floats]) -> None:
    """How far off ω is, relative and in the first order, t, and 1 + ω: the first two of `room`."""
    way, one, _ = room
    np.log(omega, out=way)
    way += omega
    np.subtract(x, way, out=way)
    np.add(omega, 1, out=one)
    way /= one


def _sharpen(omega: Floats, room: list[Floats]) -> None:
    """One step for a measured ω, in place: ω·(1 + t·(1 + t/2/((1 + ω)(1 + 2t/3) − t)))."""
    way, one, factor = room
    np.multiply(way, 2 / 3, out=factor)
    factor += 1
    factor *= one
    factor -= way
    factor *= 2
    np.divide(way, factor, out=factor)
    factor += 1
    factor *= way
    factor += 1
    omega *= factor
