"""What is set and read at the bench, from what the design computed."""

from __future__ import annotations

from guidegen.errors import RangeError
from guidegen.kinds import (
    Ampere,
    AmpereRating,
    Count,
    FineAmpere,
    FinePercent,
    MilliAmpere,
    MilliVolt,
    Ratio,
    SupplyVolt,
    Volt,
    VoltRating,
)

#: Ends of the ranges that show hundredths of a volt, on meters of 2000, 4000 and 6000 counts. [V]
#: (common practice, no source).
FINE_RANGES = (20.0, 40.0, 60.0)


def meter_range(voltage: Volt) -> VoltRating:
    """Smallest range of a usual meter that shows hundredths of a volt, and ends above a voltage.

    Parameters
    ----------
    voltage : Volt
        Highest that must be read. [V]

    Returns
    -------
    VoltRating
        End of the range. [V]

    Raises
    ------
    RangeError
        If no such range goes so far.

    References
    ----------
    .. [1] Common practice, no source: meters of 2000, 4000 and 6000 counts.
    """
    fitting = [end for end in FINE_RANGES if end > voltage]
    if not fitting:
        raise RangeError("voltage", voltage, f"below {FINE_RANGES[-1]:g} V")
    return fitting[0]


def row_rated_current(group_current: MilliAmpere, groups: Count) -> FineAmpere:
    """Current of one row at the tape's rated voltage.

    References
    ----------
    .. [1] Kirchhoff's current law.
    """
    return group_current * groups


def limit_over(current: Ampere, factor: Ratio) -> FineAmpere:
    """Current limit of a bench supply: the expected current, and some room.

    References
    ----------
    .. [1] Common practice, no source.
    """
    return current * factor


def limit_below(current: Ampere, factor: Ratio, most: AmpereRating) -> FineAmpere:
    """Current limit with some room, but never more than the light's own supply can give.

    References
    ----------
    .. [1] Common practice, no source.
    """
    return min(current * factor, most)


def limit_between(least: Ampere, current: Ampere, factor: Ratio, most: AmpereRating) -> FineAmpere:
    """Current limit with some room, never so low that a module does not start, nor above a most.

    References
    ----------
    .. [1] Common practice, no source.
    """
    return min(max(least, current * factor), most)


def start_voltage(full: Volt, dropout: Volt, room: Volt) -> SupplyVolt:
    """Voltage from which a step-down regulator can reach its upper end, and little more.

    References
    ----------
    .. [1] Common practice, no source: the least input that serves, so that no slip can harm.
    """
    return full + dropout + room


def start_through(full: Volt, dropout: Volt, room: Volt, own: SupplyVolt) -> SupplyVolt:
    """As `start_voltage`, behind a cut-off: at the light's own voltage that is closed for certain.

    References
    ----------
    .. [1] A low-voltage cut-off is open below its voltage, and closes at a higher one that data
       sheets seldom give: common practice, no source.
    """
    return max(full + dropout + room, own)


def trimmed_too_far(output: Volt, start: SupplyVolt, dropout: Volt) -> Volt:
    """Output of a step-down regulator with its trimmer at the wrong end.

    References
    ----------
    .. [1] It follows its divider as far as its input less its dropout lets it.
    """
    return min(output, start - dropout)


def own_voltage(voltage: SupplyVolt) -> SupplyVolt:
    """A step-up stage is set at the voltage of its own supply: its output lies above.

    References
    ----------
    .. [1] Definition of a step-up regulator.
    """
    return voltage * 1


def behind_stage(full: Volt, before: MilliVolt, stage: MilliVolt, link: MilliVolt) -> Volt:
    """Voltage at the feed at the full setting, behind leads or a pulse-width stage.

    References
    ----------
    .. [1] Kirchhoff's voltage law.
    """
    return full - before - stage - link


def at_pads(behind: Volt, pole: MilliVolt) -> Volt:
    """Voltage between the pads of a row at the full setting.

    References
    ----------
    .. [1] Kirchhoff's voltage law; both poles lose the same.
    """
    return behind - 2 * pole


def drop_at(drop: MilliVolt, at: Ampere, current: Ampere) -> MilliVolt:
    """A drop that is known at one current, at another.

    References
    ----------
    .. [1] Ohm's law.
    """
    return drop * current / at


def least_scan(feed: MilliVolt, at: Ampere, current: Ampere, share: Ratio) -> MilliVolt:
    """Least that a sound joint can read up to a pad: a share of what the feed alone loses there.

    Parameters
    ----------
    feed : MilliVolt
        Drop of both cores of the feed at `at`. [V]
    at, current : Ampere
        Current that the drop was computed with, and the one that flows. [A]
    share : Ratio
        How much of it counts: wires are thicker than their name, and shorter than planned. [-]

    References
    ----------
    .. [1] Ohm's law; half of the loop is one pole.
    """
    return share * feed * current / (2 * at)


def least_side(
    leads: MilliVolt, link: MilliVolt, at: Ampere, current: Ampere, share: Ratio
) -> MilliVolt:
    """Least that a sound side reads from the connector to the module: a share of its copper's drop.

    Parameters
    ----------
    leads : MilliVolt
        Drop of the leads at `at`, both poles together. [V]
    link : MilliVolt
        Drop of the wires between parts on this pole, their joints left out, at `at`. [V]
    at, current : Ampere
        Current that the drops were computed with, and the one that flows. [A]
    share : Ratio
        How much of it counts: wires are thicker than their name, and shorter than planned. [-]

    References
    ----------
    .. [1] Ohm's law.
    """
    return share * (leads / 2 + link) * current / at


def scans_apart(
    between: MilliVolt, least: MilliVolt, most: MilliVolt, rail: MilliVolt, error: MilliVolt
) -> MilliVolt:
    """Most that the readings up to the pads of two neighbouring sound rows differ by.

    Parameters
    ----------
    between : MilliVolt
        What they differ by with every part at its middle. [V]
    least, most : MilliVolt
        Across one row's jumper with its joints, every part at its limit. [V]
    rail : MilliVolt
        What the rail may lose beyond its middle. [V]
    error : MilliVolt
        Of the meter, at either reading. [V]

    References
    ----------
    .. [1] Kirchhoff's voltage law; errors at their limits add up.
    """
    return between + most - least + rail + 2 * error


def meter_error_fine(reading: MilliVolt, share: FinePercent, digits: MilliVolt) -> MilliVolt:
    """Greatest error of a digital meter at some millivolts.

    References
    ----------
    .. [1] A meter's data sheet gives a share of the reading and a number of its last digits.
    """
    return reading * share + digits


def meter_error(reading: Volt, share: FinePercent, digits: Volt) -> Volt:
    """Greatest error of a digital meter at a reading.

    References
    ----------
    .. [1] A meter's data sheet gives a share of the reading and a number of its last digits.
    """
    return reading * share + digits


def meter_current_error(reading: FineAmpere, share: FinePercent, digits: FineAmpere) -> FineAmpere:
    """Greatest error of a digital meter at a current.

    References
    ----------
    .. [1] A meter's data sheet gives a share of the reading and a number of its last digits.
    """
    return reading * share + digits


def shown_by(error: Volt, times: Ratio) -> Volt:
    """Least tolerance that a meter can judge.

    References
    ----------
    .. [1] Common practice, no source: the tolerance is 2.5 times the meter's error or more.
    """
    return error * times


def judged_current(error: FineAmpere, times: Ratio) -> FineAmpere:
    """Least tolerance of a current that a meter can judge.

    References
    ----------
    .. [1] Common practice, no source: the tolerance is 2.5 times the meter's error or more.
    """
    return error * times
