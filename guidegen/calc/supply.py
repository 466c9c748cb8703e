"""Regulators, adapters and run time on a battery: power in, power out, what is left over."""

from __future__ import annotations

from guidegen.errors import RangeError
from guidegen.kinds import (
    Ampere,
    AmpereHour,
    AmpereRating,
    FinePercent,
    Hour,
    Percent,
    Volt,
    Watt,
    WattHour,
)


def input_current(output_power: Watt, efficiency: Percent, input_voltage: Volt) -> Ampere:
    """Current that a regulator draws from its supply.

    Parameters
    ----------
    output_power : Watt
        Power that it gives. [W]
    efficiency : Percent
        Power out over power in, above 0 up to 1. [-]
    input_voltage : Volt
        Voltage at its input; the lowest one gives the greatest current. [V]

    Returns
    -------
    Ampere
        Input current. [A]

    Raises
    ------
    RangeError
        If the efficiency or the voltage is out of range.

    References
    ----------
    .. [1] Definition of efficiency; power is voltage times current.
    """
    if not 0 < efficiency <= 1:
        raise RangeError("efficiency", efficiency, "above 0, up to 1")
    if input_voltage <= 0:
        raise RangeError("input_voltage", input_voltage, "above 0 V")
    return output_power / (efficiency * input_voltage)


def input_power(output_power: Watt, efficiency: Percent) -> Watt:
    """Power that a regulator draws from its supply.

    Parameters
    ----------
    output_power : Watt
        Power that it gives. [W]
    efficiency : Percent
        Power out over power in, above 0 up to 1. [-]

    Returns
    -------
    Watt
        Input power. [W]

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
    return output_power / efficiency


def regulator_loss(output_power: Watt, efficiency: Percent) -> Watt:
    """Power that a regulator turns into heat.

    Parameters
    ----------
    output_power : Watt
        Power that it gives. [W]
    efficiency : Percent
        Power out over power in, above 0 up to 1. [-]

    Returns
    -------
    Watt
        Heat. [W]

    Raises
    ------
    RangeError
        If the efficiency is out of range.

    References
    ----------
    .. [1] Power in less power out.
    """
    if not 0 < efficiency <= 1:
        raise RangeError("efficiency", efficiency, "above 0, up to 1")
    return output_power * (1 / efficiency - 1)


def adapter_margin(current: Ampere, rated: AmpereRating) -> FinePercent:
    """What an adapter has left over, as a share of its rating.

    Parameters
    ----------
    current : Ampere
        Greatest steady current drawn. [A]
    rated : AmpereRating
        Rated current of the adapter. [A]

    Returns
    -------
    FinePercent
        Margin; below zero where the adapter is overloaded. [-]

    Raises
    ------
    RangeError
        If the rating is not above zero.

    References
    ----------
    .. [1] Definition.
    """
    if rated <= 0:
        raise RangeError("rated", rated, "above 0 A")
    return 1 - current / rated


def load_share(current: Ampere, rating: AmpereRating) -> FinePercent:
    """How far a rating is used.

    Parameters
    ----------
    current : Ampere
        Greatest steady current. [A]
    rating : AmpereRating
        Rating of the part. [A]

    Returns
    -------
    FinePercent
        Share of the rating; above 1 where the part is overloaded. [-]

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


def battery_energy(voltage: Volt, capacity: AmpereHour) -> WattHour:
    """Energy that a full battery holds.

    Parameters
    ----------
    voltage : Volt
        Nominal voltage. [V]
    capacity : AmpereHour
        Rated capacity. [Ah]

    Returns
    -------
    WattHour
        Energy. [Wh]

    References
    ----------
    .. [1] Voltage times charge.
    """
    return voltage * capacity


def run_time(energy: WattHour, usable: Percent, efficiency: Percent, load_power: Watt) -> Hour:
    """How long a battery carries a steady load.

    Parameters
    ----------
    energy : WattHour
        Energy when full. [Wh]
    usable : Percent
        Share of it that may be used, 0 to 1. [-]
    efficiency : Percent
        Efficiency of the regulator between, above 0 up to 1. [-]
    load_power : Watt
        Power of the load behind the regulator. [W]

    Returns
    -------
    Hour
        Run time. [h]

    Raises
    ------
    RangeError
        If the efficiency or the load is out of range.

    References
    ----------
    .. [1] Energy over power.
    """
    if not 0 < efficiency <= 1:
        raise RangeError("efficiency", efficiency, "above 0, up to 1")
    if load_power <= 0:
        raise RangeError("load_power", load_power, "above 0 W")
    return energy * usable * efficiency / load_power


def headroom(input_voltage: Volt, dropout: Volt, output_voltage: Volt) -> Volt:
    """What a step-down regulator has to spare between input and output.

    Parameters
    ----------
    input_voltage : Volt
        Lowest voltage at its input. [V]
    dropout : Volt
        Least difference that it needs. [V]
    output_voltage : Volt
        Highest output wanted. [V]

    Returns
    -------
    Volt
        Headroom; below zero where the output can't be reached. [V]

    References
    ----------
    .. [1] Definition of the dropout voltage.
    """
    return input_voltage - dropout - output_voltage
