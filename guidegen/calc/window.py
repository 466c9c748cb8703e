"""A light over the window of its supply and of its control."""

from __future__ import annotations

from guidegen.errors import RangeError
from guidegen.kinds import Ampere, FinePercent, MilliVolt, Percent, SupplyVolt, Volt, Watt


def held_output(setting: Volt, room: Volt) -> Volt:
    """Output of a regulator that steps down: its setting, as far as the input has room for it.

    References
    ----------
    .. [1] Kirchhoff's voltage law: without room the stage follows its input.
    """
    return min(setting, room)


def raised_output(setting: Volt, passed: SupplyVolt) -> Volt:
    """Output of a regulator that steps up: its setting, never less than what it passes through.

    References
    ----------
    .. [1] The diode from input to output of every such stage.
    """
    return max(setting, passed)


def unregulated(voltage: SupplyVolt, leads: MilliVolt) -> Volt:
    """Voltage at a tape that no stage regulates.

    References
    ----------
    .. [1] Kirchhoff's voltage law.
    """
    return voltage - leads


def dimmed_voltage(threshold: Volt, full: Volt, light: Percent) -> Volt:
    """Voltage at which a tape gives this share of its full light.

    Parameters
    ----------
    threshold : Volt
        Below it the tape is dark. [V]
    full : Volt
        Full setting. [V]
    light : Percent
        Share of the full light, 0 to 1. [-]

    Returns
    -------
    Volt
        [V]

    References
    ----------
    .. [1] Light goes with the current, and that with the voltage over the resistors of the groups.
    """
    return threshold + light * (full - threshold)


def dimmed_current(current: Ampere, light: Percent) -> Ampere:
    """Mean current of a tape that gives this share of its full light.

    References
    ----------
    .. [1] Light goes with the current.
    """
    return current * light


def dimmed_power(voltage: Volt, current: Ampere, light: Percent) -> Watt:
    """Power of a tape dimmed by its voltage.

    Parameters
    ----------
    voltage : Volt
        At this light. [V]
    current : Ampere
        At full. [A]
    light : Percent
        Share of the full light. [-]

    Returns
    -------
    Watt
        [W]

    References
    ----------
    .. [1] Power is voltage times current.
    """
    return voltage * current * light


def pulsed_power(power: Watt, light: Percent) -> Watt:
    """Mean power of a tape dimmed by pulses.

    References
    ----------
    .. [1] Each pulse is the full power; the light's share is their share of the time.
    """
    return power * light


def drawn(power: Watt, efficiency: Percent, beside: Watt) -> Watt:
    """Power from a battery: the load through its regulator, and what hangs beside.

    Parameters
    ----------
    power : Watt
        Of the load. [W]
    efficiency : Percent
        Of the regulator, above 0 up to 1. [-]
    beside : Watt
        Of a fan. [W]

    Returns
    -------
    Watt
        [W]

    Raises
    ------
    RangeError
        If the efficiency is out of range.

    References
    ----------
    .. [1] Definition of efficiency.
    """
    if not 0 < efficiency <= 1:
        raise RangeError("efficiency", efficiency, "above 0, up to 1")
    return power / efficiency + beside


def used_share(current: Ampere, rating: Ampere) -> FinePercent:
    """How much of its rating a part carries.

    Parameters
    ----------
    current : Ampere
        [A]
    rating : Ampere
        Above 0. [A]

    Returns
    -------
    FinePercent
        [-]

    Raises
    ------
    RangeError
        If the rating is not above zero.

    References
    ----------
    .. [1] Definition.
    """
    if rating <= 0:
        raise RangeError("rating", rating, "above 0 A")
    return current / rating
