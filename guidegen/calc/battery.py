"""Lead-acid batteries: less charge the faster it is drawn."""

from __future__ import annotations

from guidegen.errors import RangeError
from guidegen.kinds import Ampere, AmpereHour, Hour, Percent, Ratio


def peukert(rated_time: Hour, capacity: AmpereHour, current: Ampere, exponent: Ratio) -> Hour:
    """Run time of a lead-acid battery at a steady current.

    Parameters
    ----------
    rated_time : Hour
        Time of discharge that the capacity is rated for, often 20 h. [h]
    capacity : AmpereHour
        Rated capacity. [Ah]
    current : Ampere
        Steady current drawn. [A]
    exponent : Ratio
        Peukert's exponent, 1 for an ideal battery, about 1.1 to 1.3 for lead-acid. [-]

    Returns
    -------
    Hour
        Time until it is empty. [h]

    Raises
    ------
    RangeError
        If the current is not above zero or the exponent is below one.

    References
    ----------
    .. [1] Peukert's law of 1897 in Bode's form.
    """
    if current <= 0:
        raise RangeError("current", current, "above 0 A")
    if exponent < 1:
        raise RangeError("exponent", exponent, "1 and more")
    return rated_time * (capacity / (current * rated_time)) ** exponent  # type: ignore[no-any-return]  # float ** float


def lead_acid_time(
    rated_time: Hour, capacity: AmpereHour, current: Ampere, exponent: Ratio
) -> Hour:
    """Run time of a lead-acid battery: by Peukert, and never more than its capacity gives.

    Parameters
    ----------
    rated_time : Hour
        Time of discharge that the capacity is rated for. [h]
    capacity : AmpereHour
        Rated capacity. [Ah]
    current : Ampere
        Steady current drawn. [A]
    exponent : Ratio
        Peukert's exponent. [-]

    Returns
    -------
    Hour
        Time until it is empty. [h]

    Raises
    ------
    RangeError
        If the current is not above zero or the exponent is below one.

    References
    ----------
    .. [1] Peukert's law of 1897 in Bode's form; below the rated current it would give more than
       the capacity, which no builder should count on.
    """
    if current <= 0:
        raise RangeError("current", current, "above 0 A")
    if exponent < 1:
        raise RangeError("exponent", exponent, "1 and more")
    return min(  # type: ignore[no-any-return]  # float ** float
        rated_time * (capacity / (current * rated_time)) ** exponent, capacity / current
    )


def usable_time(time: Hour, usable: Percent) -> Hour:
    """The part of a run time that a battery bears again and again.

    Parameters
    ----------
    time : Hour
        Until it is empty. [h]
    usable : Percent
        Share of the charge that may be used, 0 to 1. [-]

    Returns
    -------
    Hour
        [h]

    References
    ----------
    .. [1] Definition.
    """
    return time * usable
