"""Regulators, adapters and run time on a battery: power in, power out, what is left over."""

from __future__ import annotations

from guidegen.errors import RangeError
from guidegen.kinds import (
    AmpereHour,
    Hour,
    Percent,
    Ratio,
    SupplyVolt,
    Volt,
    Watt,
    WattHour,
)


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


def run_time(
    energy: WattHour, usable: Percent, efficiency: Percent, load_power: Watt, beside: Watt
) -> Hour:
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
    beside : Watt
        Power of what hangs on the battery itself, such as a fan. [W]

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
    return energy * usable / (load_power / efficiency + beside)


def input_rating(highest: SupplyVolt, factor: Ratio) -> SupplyVolt:
    """Voltage for which a module on a supply should be made.

    Parameters
    ----------
    highest : SupplyVolt
        Highest voltage of the supply. [V]
    factor : Ratio
        Room over it, at least 1. [-]

    Returns
    -------
    SupplyVolt
        Least input rating. [V]

    Raises
    ------
    RangeError
        If the factor is below 1.

    References
    ----------
    .. [1] Definition of a margin.
    """
    if factor < 1:
        raise RangeError("factor", factor, "1 or more")
    return highest * factor
