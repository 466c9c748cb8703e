"""Sums over the whole fixture: voltage left for the tape, power taken from the supply."""

from __future__ import annotations

from guidegen.errors import RangeError
from guidegen.kinds import (
    Ampere,
    Celsius,
    Count,
    FinePercent,
    Kelvin,
    LongMetre,
    MilliVolt,
    Percent,
    Ratio,
    SupplyVolt,
    Volt,
    Watt,
    WattRating,
)


def pair_drop_share(drop: MilliVolt, voltage: Volt) -> FinePercent:
    """What a pair of equal rails loses, as a share of the voltage.

    References
    ----------
    .. [1] The positive and the negative rail lose the same.
    """
    if voltage <= 0:
        raise RangeError("voltage", voltage, "voltages above 0")
    return 2 * drop / voltage


def shared(current: Ampere, among: Count) -> Ampere:
    """Current of each of several loads or conductors that are alike, side by side.

    References
    ----------
    .. [1] Equal resistances in parallel share a current equally.
    """
    if among <= 0:
        raise RangeError("among", among, "counts above 0")
    return current / among


def current_of(power: Watt, voltage: SupplyVolt) -> Ampere:
    """Current that carries a power at a voltage.

    References
    ----------
    .. [1] Power is voltage times current.
    """
    if voltage <= 0:
        raise RangeError("voltage", voltage, "voltages above 0")
    return power / voltage


def both_currents(current: Ampere, other: Ampere) -> Ampere:
    """Current of two loads on one supply.

    References
    ----------
    .. [1] Kirchhoff's current law.
    """
    return current + other


def both_powers(power: Watt, other: Watt) -> Watt:
    """Power of two loads on one supply.

    References
    ----------
    .. [1] Conservation of energy.
    """
    return power + other


def spare_share(power: Watt, rated: WattRating) -> FinePercent:
    """Share of a rating that stays unused.

    References
    ----------
    .. [1] Arithmetic.
    """
    if rated <= 0:
        raise RangeError("rated", rated, "above 0 W")
    return 1 - power / rated


def several(power: Watt, lights: Count) -> Watt:
    """Power of several equal lights.

    References
    ----------
    .. [1] Arithmetic.
    """
    return power * lights


def leads_drop(at_battery: MilliVolt, lead: MilliVolt, second_lead: MilliVolt) -> MilliVolt:
    """Voltage that the wires at a battery and two leads lose one after the other.

    References
    ----------
    .. [1] Kirchhoff's voltage law.
    """
    return at_battery + lead + second_lead


def longest(lead: LongMetre, second_lead: LongMetre) -> LongMetre:
    """The longer one of two leads.

    References
    ----------
    .. [1] Arithmetic.
    """
    return max(lead, second_lead)


def room_above(voltage: SupplyVolt, lead: MilliVolt, dropout: Volt) -> Volt:
    """Greatest output that a step-down regulator can hold from this supply.

    References
    ----------
    .. [1] A step-down regulator needs its dropout voltage between input and output.
    """
    return voltage - lead - dropout


def passed_through(voltage: SupplyVolt, drop: Volt) -> SupplyVolt:
    """Output of a step-up stage that only passes its input through.

    References
    ----------
    .. [1] Its coil and its diode lie between input and output: the switch can't hold back.
    """
    return voltage - drop


def share_out(share: Percent, transmittance: Ratio) -> Percent:
    """Share of the tape's power that leaves as light through the cover.

    References
    ----------
    .. [1] Definition of transmittance.
    """
    return share * transmittance


def hottest_spot(mean: Celsius, rise: Kelvin) -> Celsius:
    """Temperature under a row: the mean of the face, and what the row's own heat adds.

    References
    ----------
    .. [1] Superposition of the mean and of the pattern about it.
    """
    return mean + rise


def warmest_reading(limit: Celsius, hottest: Celsius, read: Celsius) -> Celsius:
    """What a place may read whose hottest neighbour is then at its limit.

    Parameters
    ----------
    limit : Celsius
        What the hottest place may reach. [K]
    hottest, read : Celsius
        Both places in one room, at one power. [K]

    References
    ----------
    .. [1] In a warmer room, all is warmer by as much.
    """
    return limit - (hottest - read)
