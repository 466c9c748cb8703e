"""What a trimmed regulator does: the other end of its range, and its current limit.

The trimmer sets the upper end of the output to the wanted voltage, so the spreads of reference
and resistors fall out there and show at the lower end only.
"""

from __future__ import annotations

from math import log

from guidegen.errors import RangeError
from guidegen.kinds import (
    Ampere,
    Count,
    FinePercent,
    MilliAmpere,
    MilliVolt,
    Ohm,
    OhmRating,
    Percent,
    Ratio,
    Volt,
    VoltRating,
)

#: Parts of a turn that a hand can judge: common practice, no source.
PARTS = (4.0, 8.0, 16.0, 32.0)


def low_end_upper_leg(high: Volt, reference: Volt, span: Ohm, lower: OhmRating) -> Volt:
    """Lower end of the output: control in the upper leg, upper end trimmed.

    References
    ----------
    .. [1] Output = reference × (1 + upper leg / lower leg); the control's span leaves the upper
       leg at its low end.
    """
    if lower <= 0:
        raise RangeError("lower", lower, "resistances above 0")
    return high - reference * span / lower


def low_end_lower_leg(high: Volt, reference: Volt, end: Ohm, span: Ohm) -> Volt:
    """Lower end of the output: control in the lower leg, upper end trimmed.

    References
    ----------
    .. [1] Output = reference × (1 + upper leg / lower leg); the control's span joins the lower
       leg at its low end, the trimmed upper leg stays.
    """
    if end <= 0:
        raise RangeError("end", end, "resistances above 0")
    return reference + (high - reference) * end / (end + span)


def trimmer_setting(high: Volt, reference: Volt, lower: Ohm, others: Ohm) -> Ohm:
    """Resistance that the trimmer must have for the upper end.

    References
    ----------
    .. [1] Output = reference × (1 + upper leg / lower leg), solved for the trimmer.
    """
    return lower * (high / reference - 1) - others


def share_of_travel(setting: Ohm, trimmer: OhmRating) -> Percent:
    """Where in its travel the trimmer stands.

    References
    ----------
    .. [1] Linear track.
    """
    return setting / trimmer


def turns_at(setting: Ohm, trimmer: OhmRating, turns: Count) -> Ratio:
    """Turns of a multi-turn trimmer from its low end.

    References
    ----------
    .. [1] Linear track.
    """
    return turns * setting / trimmer


def volts_per_turn(reference: Volt, lower: Ohm, trimmer: OhmRating, turns: Count) -> Volt:
    """Output that one turn of the trimmer changes.

    References
    ----------
    .. [1] Output = reference × (1 + upper leg / lower leg), linear track in the upper leg.
    """
    if lower <= 0 or turns <= 0:
        raise RangeError("lower", lower, "resistances above 0, and turns above 0")
    return reference * trimmer / (lower * turns)


def slow_from(full: Volt, per_turn: Volt, reference: Volt) -> Volt:
    """Output from which the trimmer is turned in small parts: a turn before the setting.

    References
    ----------
    .. [1] Common practice, no source.
    """
    return max(full - per_turn, reference)


def parts_of_turn(per_turn: Volt, window: Volt) -> Count:
    """Into how many parts a turn is divided, so that no part passes over the target.

    Parameters
    ----------
    per_turn : Volt
        Greatest change of the output in one turn. [V]
    window : Volt
        From the least to the greatest voltage that is right. [V]

    Returns
    -------
    Count
        4, 8, 16 or 32: one part is half of the window or less, if 32 are enough.

    References
    ----------
    .. [1] Common practice, no source: a hand can't turn a screw by less than a 32nd.
    """
    fitting = [number for number in PARTS if per_turn / number <= window / 2]
    return fitting[0] if fitting else PARTS[-1]


def limit_for(current: Ampere, factor: Ratio) -> Ampere:
    """Current limit that lets the panel reach full light and little more.

    References
    ----------
    .. [1] Common practice, no source: a tenth above the greatest expected current.
    """
    return current * factor


def voltage_at_limit(
    *,
    limit: Ampere,
    rated_current: Ampere,
    rated_voltage: VoltRating,
    leds_per_group: Count,
    forward_voltage: Volt,
    ideality: Count,
    thermal: MilliVolt,
) -> Volt:
    """Voltage at which the whole panel draws the limit: no fault of the control can exceed it.

    Parameters
    ----------
    limit : Ampere
        [A]
    rated_current : Ampere
        Of all groups at the rated voltage, above 0. [A]
    rated_voltage : VoltRating
        Of the tape. [V]
    leds_per_group : Count
        LEDs in series. [-]
    forward_voltage : Volt
        Of one LED at the rated current. [V]
    ideality : Count
        Of the LEDs. [-]
    thermal : MilliVolt
        Boltzmann's constant × temperature over the charge of an electron. [V]

    References
    ----------
    .. [1] Shockley's law for the LEDs, Ohm's law for their resistor, through the rated point.
    """
    return (
        leds_per_group * (forward_voltage + ideality * thermal * log(limit / rated_current))
        + (rated_voltage - leds_per_group * forward_voltage) * limit / rated_current
    )


def power_ratio(voltage: Volt, tangent: Volt, rated: VoltRating) -> Ratio:
    """Power of the tape at this voltage against its power at the rated one.

    References
    ----------
    .. [1] Current along its tangent at the rated point; power is voltage × current.
    """
    return voltage * (voltage - tangent) / (rated * (rated - tangent))


def distance(wanted: Volt, found: Volt, full: Volt) -> FinePercent:
    """How far an end of the range is from what was wanted, as a share of the full setting.

    References
    ----------
    .. [1] Definition.
    """
    if full <= 0:
        raise RangeError("full", full, "voltages above 0")
    return abs(wanted - found) / full


def of_all_groups(group_current: MilliAmpere, groups: Count) -> Ampere:
    """Current of all groups together.

    References
    ----------
    .. [1] Kirchhoff's current law.
    """
    return group_current * groups
