"""Constant-current tape: groups of LEDs and a chip that holds their current."""

from __future__ import annotations

from guidegen.errors import RangeError
from guidegen.kinds import (
    Ampere,
    Count,
    FineAmpere,
    MilliAmpere,
    MilliVolt,
    Ohm,
    PerVolt,
    Ratio,
    Volt,
    VoltRating,
)


def chip_resistance(dropout: Volt, group_current: Ampere) -> Ohm:
    """What a chip is like while it gets too little voltage to hold its current.

    Parameters
    ----------
    dropout : Volt
        Voltage from which it holds its current. [V]
    group_current : Ampere
        That current. [A]

    Returns
    -------
    Ohm
        Voltage over current there. [ohm]

    Raises
    ------
    RangeError
        If no current flows.

    References
    ----------
    .. [1] Ohm's law. Such a chip is fully on below its dropout (common practice, no source).
    """
    if group_current <= 0:
        raise RangeError("group_current", group_current, "above 0 A")
    return dropout / group_current


def slope_resistance(group_current: Ampere, regulation: PerVolt) -> Ohm:
    """What a chip is like while it holds its current: volts for an ampere more.

    Raises
    ------
    RangeError
        If no current flows, or no voltage changes it.

    References
    ----------
    .. [1] Definition of line regulation.
    """
    if group_current <= 0:
        raise RangeError("group_current", group_current, "above 0 A")
    if regulation <= 0:
        raise RangeError("regulation", regulation, "above 0 %/V")
    return 1 / (group_current * regulation)


def held_current(
    *,
    voltage: Volt,
    leds_per_group: Count,
    forward_voltage: Volt,
    group_resistance: Ohm,
    rated_current: Ampere,
    rated_voltage: Volt,
    regulation: PerVolt,
) -> MilliAmpere:
    """Current of one group at any voltage: what its chip holds, or less where it can't.

    Parameters
    ----------
    voltage : Volt
        Voltage between the tape's conductors at this group. [V]
    leds_per_group : Count
        LEDs in series. [-]
    forward_voltage : Volt
        Voltage across one LED, taken as constant. [V]
    group_resistance : Ohm
        Of the chip below its dropout. [ohm]
    rated_current : Ampere
        What it holds at the rated voltage. [A]
    rated_voltage : Volt
        Of the tape. [V]
    regulation : PerVolt
        Share of the rated current that a volt more adds. [1/V]

    Returns
    -------
    MilliAmpere
        Current of the group, never below zero. [A]

    Raises
    ------
    RangeError
        If the resistance is not above zero.

    References
    ----------
    .. [1] Kirchhoff's voltage law and Ohm's law below the dropout, LEDs of constant forward
       voltage; definition of line regulation above it.
    """
    if group_resistance <= 0:
        raise RangeError("group_resistance", group_resistance, "above 0 Ω")
    return max(
        min(
            (voltage - leds_per_group * forward_voltage) / group_resistance,
            rated_current * (1 + regulation * (voltage - rated_voltage)),
        ),
        0,
    )


def holding_voltage(leds_per_group: Count, forward_voltage: Volt, dropout: Volt) -> Volt:
    """Voltage from which a group gives its whole light.

    References
    ----------
    .. [1] Kirchhoff's voltage law; LEDs of constant forward voltage.
    """
    return leds_per_group * forward_voltage + dropout


def least_voltage(
    full: Volt,
    before: MilliVolt,
    stage: MilliVolt,
    link: MilliVolt,
    pole: MilliVolt,
    row: MilliVolt,
) -> Volt:
    """Voltage at the group that gets least of it.

    Parameters
    ----------
    full : Volt
        At the module, or at the supply. [V]
    before : MilliVolt
        Lost in the leads, where no regulator makes up for it. [V]
    stage : MilliVolt
        Lost in a pulse-width stage. [V]
    link : MilliVolt
        Lost in the wires to it. [V]
    pole : MilliVolt
        Lost on one pole from the module to the farthest row. [V]
    row : MilliVolt
        Greatest drop along a row, both tracks together. [V]

    References
    ----------
    .. [1] Kirchhoff's voltage law; both poles lose the same.
    """
    return full - before - stage - link - 2 * pole - row


def chip_spare(least: Volt, needed: Volt) -> Volt:
    """Voltage that the group with least of it has beyond what its chip needs; below zero: lacks.

    References
    ----------
    .. [1] Difference.
    """
    return least - needed


def held_behind(
    current: Ampere, drop: MilliVolt, voltage: Volt, rated: VoltRating, regulation: PerVolt
) -> FineAmpere:
    """Current of tape behind resistances that lose so much, while all its chips hold.

    Parameters
    ----------
    current : Ampere
        Current at the full voltage. [A]
    drop : MilliVolt
        What this current loses. [V]
    voltage : Volt
        The full voltage. [V]
    rated : VoltRating
        Rated voltage of the tape. [V]
    regulation : PerVolt
        Share of the rated current that a volt more adds. [1/V]

    Returns
    -------
    FineAmpere
        Current with the drop. [A]

    References
    ----------
    .. [1] Definition of line regulation: a straight line, which the drop goes down.
    """
    return current * (1 - regulation * drop / (1 + regulation * (voltage - rated)))


def held_power_ratio(voltage: Volt, rated: VoltRating, regulation: PerVolt) -> Ratio:
    """Power of the tape at this voltage against its power at the rated one.

    References
    ----------
    .. [1] Power is voltage × current; definition of line regulation.
    """
    return voltage * (1 + regulation * (voltage - rated)) / rated
