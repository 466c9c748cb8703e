"""Voltage drops and losses of rails, wires and leads."""

from __future__ import annotations

from math import floor

from guidegen.errors import RangeError
from guidegen.kinds import (
    Ampere,
    Celsius,
    Count,
    FineMetre,
    FinePercent,
    LongMetre,
    Metre,
    MilliVolt,
    Ohm,
    OhmPerMetre,
    PerKelvin,
    Volt,
    Watt,
)


def rail_drop_end(
    row_current: Ampere, rows: Count, resistance: OhmPerMetre, pitch: FineMetre
) -> MilliVolt:
    """Voltage lost along one rail that is fed at its first row.

    Parameters
    ----------
    row_current : Ampere
        Current of one row. [A]
    rows : Count
        Rows that the rail feeds. [-]
    resistance : OhmPerMetre
        Resistance of the rail. [ohm/m]
    pitch : FineMetre
        Distance from row to row. [m]

    Returns
    -------
    Volt
        Drop of this one rail from its first tap to its last. [V]

    References
    ----------
    .. [1] Ladder of equal currents: the segments carry N − 1, N − 2, ... 1 rows.
    """
    return row_current * resistance * pitch * rows * (rows - 1) / 2


def rail_drop_middle(
    row_current: Ampere, rows: Count, resistance: OhmPerMetre, pitch: FineMetre
) -> MilliVolt:
    """Voltage lost along one rail that is fed at its middle.

    With an odd number of rows the feed is joined at the middle row's tap; with an even number
    midway between the two middle taps, half a pitch from each. Either way both halves are equal.

    Parameters
    ----------
    row_current : Ampere
        Current of one row. [A]
    rows : Count
        Rows that the rail feeds, whole. [-]
    resistance : OhmPerMetre
        Resistance of the rail. [ohm/m]
    pitch : FineMetre
        Distance from row to row. [m]

    Returns
    -------
    Volt
        Drop of this one rail from its feed to either end tap. [V]

    References
    ----------
    .. [1] Ladder of equal currents, half of the rows each way: N²/8 for an even number of rows,
       (N² − 1)/8 for an odd one.
    """
    return row_current * resistance * pitch * floor(rows**2 / 4) / 2


def rail_drop_point(
    row_current: Ampere, rows: Count, resistance: OhmPerMetre, pitch: FineMetre
) -> MilliVolt:
    """Voltage lost along one rail that is fed between two of its taps.

    Parameters
    ----------
    row_current : Ampere
        Current of one row. [A]
    rows : Count
        Rows on the longer side of the feed. [-]
    resistance : OhmPerMetre
        Resistance of the rail. [ohm/m]
    pitch : FineMetre
        Distance from row to row; the feed stands half of it from the nearest tap. [m]

    Returns
    -------
    Volt
        Drop of this one rail from its feed to the farther end tap. [V]

    References
    ----------
    .. [1] Ladder of equal currents: half a segment carries all n rows of that side, the others
       n − 1, n − 2, ... 1: n/2 + n·(n − 1)/2 = n²/2.
    """
    return row_current * resistance * pitch * rows**2 / 2


def rail_drop_line(row_current: Ampere, resistance: OhmPerMetre, reach: LongMetre) -> MilliVolt:
    """Voltage lost along one rail of any line.

    Parameters
    ----------
    row_current : Ampere
        Current of one row. [A]
    resistance : OhmPerMetre
        Resistance of the rail. [ohm/m]
    reach : LongMetre
        Distances of all taps on one side of the feed, along the rail, added up; of both sides the
        greater sum. [m]

    Returns
    -------
    Volt
        Drop of this one rail from its feed to the last tap of that side. [V]

    References
    ----------
    .. [1] Ladder of equal currents: each row's current flows from the feed to its own tap, so a
       metre of rail before n taps carries n rows.
    """
    return row_current * resistance * reach


def wire_resistance(resistance_per_metre: OhmPerMetre, length: Metre) -> Ohm:
    """Resistance of one core.

    Parameters
    ----------
    resistance_per_metre : OhmPerMetre
        Resistance of the core. [ohm/m]
    length : Metre
        Length of the core. [m]

    Returns
    -------
    Ohm
        Resistance end to end. [ohm]

    References
    ----------
    .. [1] Resistances in series add up.
    """
    return resistance_per_metre * length


def wire_drop(current: Ampere, resistance: Ohm) -> MilliVolt:
    """Voltage lost in a resistance.

    Parameters
    ----------
    current : Ampere
        Current through it. [A]
    resistance : Ohm
        Its resistance. [ohm]

    Returns
    -------
    Volt
        Drop. [V]

    References
    ----------
    .. [1] Ohm's law.
    """
    return current * resistance


def lead_drop(current: Ampere, resistance_per_metre: OhmPerMetre, length: Metre) -> MilliVolt:
    """Voltage lost in both cores of a lead.

    Parameters
    ----------
    current : Ampere
        Current in each core. [A]
    resistance_per_metre : OhmPerMetre
        Resistance of one core. [ohm/m]
    length : Metre
        Length of the lead, one way. [m]

    Returns
    -------
    Volt
        Drop there and back. [V]

    References
    ----------
    .. [1] Ohm's law; the current flows through two cores.
    """
    return 2 * current * resistance_per_metre * length


def wire_loss(current: Ampere, resistance: Ohm) -> Watt:
    """Power lost in a resistance.

    Parameters
    ----------
    current : Ampere
        Current through it. [A]
    resistance : Ohm
        Its resistance. [ohm]

    Returns
    -------
    Watt
        Loss. [W]

    References
    ----------
    .. [1] Joule's law.
    """
    return current**2 * resistance


def copper_resistance_at(
    resistance_20: OhmPerMetre,
    temperature_coefficient: PerKelvin,
    temperature: Celsius,
    reference_temperature: Celsius = 293.15,
) -> OhmPerMetre:
    """Resistance of a copper conductor at another temperature.

    Parameters
    ----------
    resistance_20 : OhmPerMetre
        Resistance at the reference temperature. [ohm/m]
    temperature_coefficient : PerKelvin
        Coefficient at the reference temperature; copper 0.00393 at 20 °C. [1/K]
    temperature : Celsius
        Temperature of the conductor. [K]
    reference_temperature : Celsius
        Temperature that the resistance is given for: 20 °C in every table here. [K]

    Returns
    -------
    OhmPerMetre
        Resistance at that temperature. [ohm/m]

    References
    ----------
    .. [1] IEC 60028, standard of resistance for copper: 0.00393 a kelvin at 20 °C, from memory.
    """
    return resistance_20 * (1 + temperature_coefficient * (temperature - reference_temperature))


def drop_share(drop: Volt, voltage: Volt) -> FinePercent:
    """A drop as a share of the voltage.

    Parameters
    ----------
    drop : Volt
        Voltage lost. [V]
    voltage : Volt
        Voltage it is compared with. [V]

    Returns
    -------
    FinePercent
        Share. [-]

    Raises
    ------
    RangeError
        If the voltage is not above zero.

    References
    ----------
    .. [1] Definition.
    """
    if voltage <= 0:
        raise RangeError("voltage", voltage, "above 0 V")
    return drop / voltage
