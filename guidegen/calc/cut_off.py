"""A low-voltage cut-off: by how much its input rises once it has opened."""

from __future__ import annotations

from guidegen.errors import RangeError
from guidegen.kinds import Ampere, AmpereRating, MilliVolt, Percent, SupplyVolt, Volt


def recovery(
    current: Ampere, voltage: SupplyVolt, short: AmpereRating, share: Percent
) -> MilliVolt:
    """By how much a nearly empty battery rises within minutes once its load is gone.

    Parameters
    ----------
    current : Ampere
        Of the load. [A]
    voltage : SupplyVolt
        Nominal voltage. [V]
    short : AmpereRating
        Current of a dead short at its poles. [A]
    share : Percent
        What its cells come back by, as a share of the nominal voltage. [-]

    Returns
    -------
    MilliVolt
        Rise. [V]

    Raises
    ------
    RangeError
        If the battery drives no current into a short.

    References
    ----------
    .. [1] Ohm's law: its own resistance is its voltage over the current of a short.
    .. [2] What its cells come back by: from memory.
    """
    if short <= 0:
        raise RangeError("short", short, "above 0 A")
    return current * voltage / short + share * voltage


def rise(drop: MilliVolt, recovers: MilliVolt) -> Volt:
    """By how much the input of a cut-off rises by itself once it has opened.

    Parameters
    ----------
    drop : MilliVolt
        Lost from the battery's poles to this input under load. [V]
    recovers : MilliVolt
        By how much the battery itself rises. [V]

    Returns
    -------
    Volt
        Rise. [V]

    References
    ----------
    .. [1] Kirchhoff's voltage law: without current nothing is lost on the way.
    """
    return drop + recovers


def least_closing(opens: SupplyVolt, rise: Volt) -> SupplyVolt:
    """Least voltage at which a cut-off may close again: it must not close by itself.

    References
    ----------
    .. [1] Arithmetic: what its input rises to by itself, and no less.
    """
    return opens + rise
