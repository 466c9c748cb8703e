"""Sums that tests do by hand, from nothing of the project."""

from math import log, sqrt

#: kT/q at 25 °C. [V]. Source: SI of 2019.
THERMAL = 1.380649e-23 * 298.15 / 1.602176634e-19


def share_of_rated(volts: float, rated: float, leds: float, forward: float) -> float:
    """Current of a group over its rated one: Ohm's law for its resistor, Shockley's for its LEDs.

    With ideality 2 (from memory: 1.5 to 3.5 are measured). Bisection of the logarithm: for each
    share the voltage is known.
    """
    lit, spread = leds * forward, leds * 2 * THERMAL
    low, high = 1e-30, 10.0
    for _ in range(200):
        share = sqrt(low * high)
        across = share * (rated - lit) + lit + spread * log(share)
        low, high = (share, high) if across < volts else (low, share)
    return share
