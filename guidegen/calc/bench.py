"""What is set and read at the bench, from what the design computed."""

from __future__ import annotations

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
)


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


def start_voltage(full: Volt, dropout: Volt, room: Volt) -> SupplyVolt:
    """Voltage from which a step-down regulator can reach its upper end, and little more.

    References
    ----------
    .. [1] Common practice, no source: the least input that serves, so that no slip can harm.
    """
    return full + dropout + room


def own_voltage(voltage: SupplyVolt) -> SupplyVolt:
    """A step-up stage is set at the voltage of its own supply: its output lies above.

    References
    ----------
    .. [1] Definition of a step-up regulator.
    """
    return voltage * 1


def at_rails(full: Volt, before: MilliVolt, feed: MilliVolt) -> Volt:
    """Voltage between the rails' feed points at the full setting.

    References
    ----------
    .. [1] Kirchhoff's voltage law.
    """
    return full - before - feed


def drop_at(drop: MilliVolt, at: Ampere, current: Ampere) -> MilliVolt:
    """A drop that is known at one current, at another.

    References
    ----------
    .. [1] Ohm's law.
    """
    return drop * current / at


def half(drop: MilliVolt) -> MilliVolt:
    """Drop of one core of two equal ones.

    References
    ----------
    .. [1] Both cores carry the same current.
    """
    return drop / 2


def same_current(current: Ampere) -> FineAmpere:
    """The input current, as finely as a bench supply shows it.

    References
    ----------
    .. [1] Kirchhoff's current law.
    """
    return current * 1


def meter_error(reading: Volt, share: FinePercent, digits: Volt) -> Volt:
    """Greatest error of a digital meter at a reading.

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
