"""Sums by hand beside a solved panel: what a pocket calculator makes of its printed numbers."""

from __future__ import annotations

from guidegen.errors import RangeError
from guidegen.kinds import (
    Ampere,
    Count,
    FinePercent,
    LongMetre,
    MilliAmpere,
    MilliOhm,
    MilliVolt,
    MilliWatt,
    Ohm,
    OhmPerMetre,
    Percent,
    Ratio,
    Volt,
)


def group_of(current: Ampere, rows: Count, groups: Count) -> MilliAmpere:
    """Mean current of a group.

    References
    ----------
    .. [1] Kirchhoff's current law.
    """
    if rows * groups <= 0:
        raise RangeError("rows", rows, "above 0")
    return current / (rows * groups)


def conductor_drop(
    current: Ampere,
    ways: Count,
    resistance_per_metre: OhmPerMetre,
    length: LongMetre,
    joint: MilliOhm,
) -> MilliVolt:
    """Voltage lost along one conductor and its two joints.

    Parameters
    ----------
    current : Ampere
        Current of all conductors that lie side by side. [A]
    ways : Count
        Their number. [-]
    resistance_per_metre : OhmPerMetre
        Of each. [ohm/m]
    length : LongMetre
        Of each. [m]
    joint : MilliOhm
        Resistance of one joint. [ohm]

    Returns
    -------
    MilliVolt
        Drop. [V]

    References
    ----------
    .. [1] Ohm's law.
    """
    if ways <= 0:
        raise RangeError("ways", ways, "above 0")
    return current / ways * (resistance_per_metre * length + 2 * joint)


def scaled_drop(drop: MilliVolt, at: Ampere, current: Ampere, share: Ratio) -> MilliVolt:
    """A drop at another current, or along conductors that share it otherwise.

    References
    ----------
    .. [1] Ohm's law: a drop goes with its current.
    """
    if at <= 0:
        raise RangeError("at", at, "above 0 A")
    return drop * share * current / at


def one_after_the_other(first: MilliVolt, second: MilliVolt, third: MilliVolt) -> MilliVolt:
    """Voltage lost along three conductors, one after the other.

    References
    ----------
    .. [1] Kirchhoff's voltage law.
    """
    return first + second + third


def left_between(full: Volt, before: MilliVolt, pole: MilliVolt) -> Volt:
    """Voltage between two rails: what the source gives, less what is lost before and on each pole.

    References
    ----------
    .. [1] Kirchhoff's voltage law.
    """
    return full - before - 2 * pole


def heat_of(current: Ampere, drop: MilliVolt, share: Ratio, poles: Count) -> MilliWatt:
    """Heat in conductors: the current times the mean voltage that it loses in them.

    Parameters
    ----------
    current : Ampere
        Current of the panel. [A]
    drop : MilliVolt
        Greatest voltage lost. [V]
    share : Ratio
        Mean over the parts of the current, as a share of the greatest. [-]
    poles : Count
        How often: once for each pole, or once where both are counted in the drop. [-]

    Returns
    -------
    MilliWatt
        Heat. [W]

    References
    ----------
    .. [1] Power = voltage × current.
    """
    return current * drop * share * poles


def difference(greatest: MilliVolt, least: MilliVolt) -> MilliVolt:
    """What two places along a row differ by.

    References
    ----------
    .. [1] Subtraction.
    """
    return greatest - least


def mean_of(one: MilliVolt, other: MilliVolt) -> MilliVolt:
    """Mean of two drops.

    References
    ----------
    .. [1] Arithmetic mean.
    """
    return (one + other) / 2


def share_left(
    *,
    row: MilliVolt,
    pole: MilliVolt,
    current: MilliAmpere,
    ohms: Ohm,
    leds: Count,
    ideality: Count,
    thermal: MilliVolt,
) -> FinePercent:
    """Current of a group that gets less voltage, over that of one that gets it whole.

    Parameters
    ----------
    row : MilliVolt
        Voltage that both differ by along their row. [V]
    pole : MilliVolt
        Voltage that their rows differ by, on each pole. [V]
    current : MilliAmpere
        Mean current of a group. [A]
    ohms : Ohm
        Resistor of a group. [ohm]
    leds : Count
        LEDs in series. [-]
    ideality : Count
        Of the LEDs. [-]
    thermal : MilliVolt
        Thermal voltage. [V]

    Returns
    -------
    FinePercent
        Share. [-]

    References
    ----------
    .. [1] Slope of Ohm's and Shockley's laws in series, at the mean current: the half of the
       difference lies above it, the other half below.
    """
    return (current * ohms + leds * ideality * thermal - row / 2 - pole) / (
        current * ohms + leds * ideality * thermal + row / 2 + pole
    )


def half_width(low: Ampere, high: Ampere, current: Ampere) -> Percent:
    """Half of a band over its value.

    References
    ----------
    .. [1] Definition.
    """
    if current <= 0:
        raise RangeError("current", current, "above 0 A")
    return (high - low) / (2 * current)


def share_of_square(low: Ampere, high: Ampere, current: Ampere, within: Percent) -> Percent:
    """What one part does to the current, as a share in the square of its uncertainty.

    Parameters
    ----------
    low, high : Ampere
        The current with this part at the ends of its band. [A]
    current : Ampere
        The current with it in the middle. [A]
    within : Percent
        Half of the likely band of the current over its value. [-]

    Returns
    -------
    Percent
        Share. [-]

    References
    ----------
    .. [1] JCGM 100:2008, 4.3.7: the standard uncertainty of what lies between two limits is half
       of their distance over √3; 6.2: half of a likely band is two standard uncertainties.
    """
    if within <= 0:
        raise RangeError("within", within, "above 0")
    return ((high - low) / current / within) ** 2 / 3


def end_of_band(current: Ampere, within: Percent) -> Ampere:
    """Upper end of a band that lies evenly about its value.

    References
    ----------
    .. [1] Definition.
    """
    return current * (1 + within)


def width_left(within: Percent, share: Percent) -> Percent:
    """Half of a band over its value, one part of its square known.

    References
    ----------
    .. [1] JCGM 100:2008, 5.1.2: squares of independent parts add up.
    """
    return within * (1 - share) ** 0.5  # type: ignore[no-any-return]  # float ** float
