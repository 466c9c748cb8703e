"""The current of a group of LEDs in series with a chip that holds its current."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from guidegen.calc.ladder import cut, plain
from guidegen.calc.led_group import BOLTZMANN, IDEALITY, ROOM, Floats, GroupLaw
from guidegen.errors import RangeError

#: Steps of Newton's method for the chip's voltage; from where it starts, eight are enough.
_STEPS = 40
#: Voltages between which a rough one is looked up.
_PLACES = 65


@dataclass(frozen=True)
class HeldGroup(GroupLaw):
    """Current over voltage of one group; `ohms` is what the chip has at no voltage across it.

    Up to the dropout the chip's current is `I·(2 − v/D)·v/D`, beyond it `I`, both times
    `1 + λ·v`, with `I = D/(2·ohms)`: without a step, and without a bend in it.

    References
    ----------
    .. [1] H. Shichman, D. A. Hodges, "Modeling and simulation of insulated-gate field-effect
       transistor switching circuits", IEEE JSSC 3 (1968), from memory: the law of SPICE's JFET,
       here with its gate at its source, which is how a current-regulating diode is made.
    """

    dropout: float = 1.0
    """D: voltage from which the chip holds its current. [V]."""
    growth: float = 0.0
    """λ: by which share the current grows with a volt across the chip. [1/V]."""

    @classmethod
    def held(
        cls,
        voltage: float,
        current: float,
        leds: float,
        forward: float,
        *,
        dropout: float,
        regulation: float,
    ) -> HeldGroup:
        """The law through the rated point of a tape, as `GroupLaw.rated` has it.

        Parameters
        ----------
        voltage, current : float
            Of the group at the rated point. [V], [A]
        leds : float
            LEDs in series. [-]
        forward : float
            Voltage of one LED at the rated current. [V]
        dropout : float
            Voltage from which the chip holds its current. [V]
        regulation : float
            By which share of the rated current the current grows with a volt. [1/V]

        Raises
        ------
        RangeError
            If the chip gets too little at the rated voltage to hold its current.
        """
        left = voltage - leds * forward
        if left < dropout:
            raise RangeError("voltage", voltage, f"from {leds * forward + dropout:g} V")
        if not current > 0:
            raise RangeError("current", current, "above 0 A")
        if not 0 <= regulation * left < 1:
            raise RangeError("regulation", regulation, f"from 0 to below {1 / left:g} a volt")
        growth = regulation / (1 - regulation * left)
        scale = leds * IDEALITY * BOLTZMANN * ROOM
        saturation = current / math.expm1(leds * forward / scale)
        flat = current / (1 + growth * left)
        return cls(scale, dropout / (2 * flat), saturation, dropout, growth)

    def cut(self, cases: slice, of: int) -> HeldGroup:
        """The law of some of so many cases."""
        scale, ohms, saturation = (
            cut(one, 2, cases, of) for one in (self.scale, self.ohms, self.saturation)
        )
        return HeldGroup(scale, ohms, saturation, self.dropout, self.growth)

    def _chip(self, volts: Floats, ohms: Floats | float) -> tuple[Floats, Floats]:
        """Current of the chip and its slope; the wrong way round it is a resistance."""
        share = np.clip(volts / self.dropout, 0.0, 1.0)
        flat, more = self.dropout / (2 * ohms), 1 + self.growth * np.maximum(volts, 0.0)
        shape = share * (2 - share)
        current = flat * shape * more + np.minimum(volts, 0.0) / ohms
        slope = (1 - share) / ohms * more + flat * shape * self.growth
        return current, np.where(volts < 0, 1 / ohms, slope)

    def at(self, volts: ArrayLike, near: ArrayLike | None = None) -> tuple[Floats, Floats]:
        """Current and its slope at these voltages, as `GroupLaw.at`; `near` is not needed."""
        volts = np.asarray(volts, dtype=float)
        scale, ohms, saturation = map(plain, (self.scale, self.ohms, self.saturation))
        # A chip of its least resistance lets through more, so its voltage is less than the chip's.
        at_least = ohms * super().at(volts)[0]
        flat = self.dropout / (2 * ohms)
        held = volts - scale * np.log1p(flat / saturation)
        across = np.where(held > self.dropout, held, at_least)
        for _ in range(_STEPS):
            current, slope = self._chip(across, ohms)
            # What stands over the LEDs; a rounding below no current at all is none.
            lit = np.maximum(current, -0.999999 * saturation)
            leds = scale * np.log1p(lit / saturation)
            steep = 1 + scale / (lit + saturation) * slope
            step = (volts - across - leds) / steep
            across = across + step
            if np.all(np.abs(step) <= 1e-15 * (1 + np.abs(volts))):
                break
        current, slope = self._chip(across, ohms)
        current = np.maximum(current, -saturation)
        return current, slope / (1 + scale / np.maximum(current + saturation, 1e-300) * slope)

    def roughly(self, volts: float, ohms: float) -> tuple[float, float]:
        """Current and slope of a usual group behind a resistance, to a hundredth or so."""
        scale, own, saturation = self._usual()
        usual = HeldGroup(scale, own, saturation, self.dropout, self.growth)
        # What both need together rises with what the group has.
        reach = np.linspace(0.0, volts, _PLACES)
        across = np.interp(volts, reach + ohms * usual.at(reach)[0], reach)
        current, slope = usual.at(np.array([across]))
        return float(current[0]), float(slope[0])
