"""LED tape: its groups of LEDs and resistor, and what a row and a panel draw."""

from __future__ import annotations

from math import floor

from guidegen.errors import RangeError
from guidegen.kinds import (
    Ampere,
    Count,
    FineMetre,
    LightShare,
    Metre,
    MilliAmpere,
    Ohm,
    Ratio,
    Volt,
    Watt,
    WattPerMetre,
)


def rated_group_current(power: WattPerMetre, increment: FineMetre, voltage: Volt) -> MilliAmpere:
    """Current of one group at the tape's rated voltage.

    Parameters
    ----------
    power : WattPerMetre
        Rated power a metre. [W/m]
    increment : FineMetre
        Cut increment: the length of one group. [m]
    voltage : Volt
        Rated voltage of the tape. [V]

    Returns
    -------
    Ampere
        Current through the LEDs of one group. [A]

    Raises
    ------
    RangeError
        If the voltage is not above zero.

    References
    ----------
    .. [1] Power is voltage times current.
    """
    if voltage <= 0:
        raise RangeError("voltage", voltage, "above 0 V")
    return power * increment / voltage


def group_resistance(
    voltage: Volt, leds_per_group: Count, forward_voltage: Volt, group_current: Ampere
) -> Ohm:
    """Resistance in series with the LEDs of one group, from the rated point.

    Parameters
    ----------
    voltage : Volt
        Rated voltage of the tape. [V]
    leds_per_group : Count
        LEDs in series. [-]
    forward_voltage : Volt
        Voltage across one LED, taken as constant. [V]
    group_current : Ampere
        Rated current of the group. [A]

    Returns
    -------
    Ohm
        Resistor and the LEDs' own series resistance together. [ohm]

    Raises
    ------
    RangeError
        If the LEDs alone need the whole voltage, or no current flows.

    References
    ----------
    .. [1] Kirchhoff's voltage law and Ohm's law; LEDs of constant forward voltage.
    """
    if voltage <= leds_per_group * forward_voltage:
        raise RangeError("voltage", voltage, "above the forward voltage of all LEDs of a group")
    if group_current <= 0:
        raise RangeError("group_current", group_current, "above 0 A")
    return (voltage - leds_per_group * forward_voltage) / group_current


def glow_voltage(threshold: Volt, share: Ratio) -> Volt:
    """Voltage from which a tape glows in the dark, long before it lights.

    References
    ----------
    .. [1] From memory: an LED's current falls without a step below its forward voltage.
    """
    return threshold * share


def dark_voltage(leds_per_group: Count, forward_voltage: Volt) -> Volt:
    """Voltage below which the tape stays dark.

    Parameters
    ----------
    leds_per_group : Count
        LEDs in series. [-]
    forward_voltage : Volt
        Voltage across one LED, taken as constant. [V]

    Returns
    -------
    Volt
        Threshold of a group. [V]

    References
    ----------
    .. [1] Kirchhoff's voltage law; LEDs of constant forward voltage.
    """
    return leds_per_group * forward_voltage


def groups_per_row(row_length: Metre, increment: FineMetre) -> Count:
    """Whole groups that fit in a row.

    Parameters
    ----------
    row_length : Metre
        Length of the row. [m]
    increment : FineMetre
        Cut increment. [m]

    Returns
    -------
    Count
        Whole number of groups. [-]

    Raises
    ------
    RangeError
        If the increment is not above zero.

    References
    ----------
    .. [1] Tape is cut between groups only (common practice, no source). The thousandth of an
       increment keeps a length that is a whole multiple from losing a group to rounding.
    """
    if increment <= 0:
        raise RangeError("increment", increment, "above 0 m")
    return floor(row_length / increment + 0.001)


def longer_share(row_length: Metre, feed_point: Metre) -> Ratio:
    """Part of a row that lies on the longer side of its feed point.

    Parameters
    ----------
    row_length : Metre
        Length of the row. [m]
    feed_point : Metre
        From the row's left end to where it is fed. [m]

    Returns
    -------
    Ratio
        0.5 in the middle, 1 at an end.

    References
    ----------
    .. [1] Geometry.
    """
    return max(feed_point, row_length - feed_point) / row_length


def row_current(group_current: Ampere, groups: Count) -> Ampere:
    """Current that one row draws.

    Parameters
    ----------
    group_current : Ampere
        Current of one group. [A]
    groups : Count
        Groups in the row, side by side. [-]

    Returns
    -------
    Ampere
        Current of the row. [A]

    References
    ----------
    .. [1] Kirchhoff's current law.
    """
    return group_current * groups


def panel_current(row_current: Ampere, rows: Count) -> Ampere:
    """Current that all rows draw together.

    Parameters
    ----------
    row_current : Ampere
        Current of one row. [A]
    rows : Count
        Equal rows. [-]

    Returns
    -------
    Ampere
        Current of all of them. [A]

    References
    ----------
    .. [1] Kirchhoff's current law.
    """
    return row_current * rows


def tape_power(voltage: Volt, current: Ampere) -> Watt:
    """Power that the tape takes.

    Parameters
    ----------
    voltage : Volt
        Voltage at the tape. [V]
    current : Ampere
        Current of the tape. [A]

    Returns
    -------
    Watt
        Electrical power. [W]

    References
    ----------
    .. [1] Power is voltage times current.
    """
    return voltage * current


def share_of_full(current: Ampere, full_current: Ampere) -> LightShare:
    """Light at a lower setting as a share of the light at the full one.

    Parameters
    ----------
    current : Ampere
        Current at the lower setting. [A]
    full_current : Ampere
        Current at the full setting. [A]

    Returns
    -------
    LightShare
        Share of the full light. [-]

    Raises
    ------
    RangeError
        If the full current is not above zero.

    References
    ----------
    .. [1] Light in proportion to current, as in `light_ratio`.
    """
    if full_current <= 0:
        raise RangeError("full_current", full_current, "above 0 A")
    return current / full_current


def light_ratio(current: Ampere, rated_current: Ampere) -> Ratio:
    """Light as a share of the rated light.

    Parameters
    ----------
    current : Ampere
        Current that flows. [A]
    rated_current : Ampere
        Current at the rated voltage. [A]

    Returns
    -------
    Ratio
        Share of the rated light. [-]

    Raises
    ------
    RangeError
        If the rated current is not above zero.

    References
    ----------
    .. [1] Light in proportion to current: an estimate, common practice, no source. It runs a
       little low, since LEDs give more light for each ampere at lower current.
    """
    if rated_current <= 0:
        raise RangeError("rated_current", rated_current, "above 0 A")
    return current / rated_current


def all_panels(rows: Count, panels: Count) -> Count:
    """Rows of several panels that are alike.

    Parameters
    ----------
    rows : Count
        Rows of one panel. [-]
    panels : Count
        Panels. [-]

    Returns
    -------
    Count
        Rows of all panels. [-]

    References
    ----------
    .. [1] Counting.
    """
    return rows * panels


def panel_groups(groups: Count, rows: Count) -> Count:
    """Groups of the whole panel.

    Parameters
    ----------
    groups : Count
        Groups of one row. [-]
    rows : Count
        Equal rows. [-]

    Returns
    -------
    Count
        Groups side by side. [-]

    References
    ----------
    .. [1] Counting.
    """
    return groups * rows
