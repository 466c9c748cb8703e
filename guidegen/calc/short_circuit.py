"""A dead short behind a fuse: how soon it opens, and how long a conductor bears it."""

from __future__ import annotations

from itertools import pairwise
from math import exp, log

from guidegen.errors import RangeError
from guidegen.kinds import (
    Ampere,
    AmpereRating,
    Celsius,
    ConductorArea,
    Count,
    HeatCapacity,
    LongMetre,
    MilliOhm,
    MilliVolt,
    OhmMetre,
    OhmPerMetre,
    ShortTime,
    SupplyVolt,
)

#: Longest opening time and the multiple of the rating at which it holds. [s], [-].
Gates = tuple[tuple[float, ...], ...]


def inner_resistance(voltage: SupplyVolt, current: AmpereRating) -> MilliOhm:
    """Resistance of a source that drives this current into a short.

    References
    ----------
    .. [1] Ohm's law.
    """
    if current <= 0:
        raise RangeError("current", current, "above 0 A")
    return voltage / current


def behind_fuse(before: MilliOhm, drop: MilliVolt, rating: AmpereRating) -> MilliOhm:
    """Resistance of a short's way through a fuse that is still cold.

    Parameters
    ----------
    before : MilliOhm
        Up to the fuse. [ohm]
    drop : MilliVolt
        What the fuse loses at its rating. [V]
    rating : AmpereRating
        [A]

    References
    ----------
    .. [1] Resistances in series, Ohm's law.
    """
    return before + drop / rating


def loop(
    before: MilliOhm,
    resistance_per_metre: OhmPerMetre,
    length: LongMetre,
    joint: MilliOhm,
    contacts: Count,
    contact: MilliOhm,
) -> MilliOhm:
    """Resistance of a short's way up to the end of one more conductor, there and back.

    Parameters
    ----------
    before : MilliOhm
        Up to the conductor before it. [ohm]
    resistance_per_metre : OhmPerMetre
        Of one core. [ohm/m]
    length : LongMetre
        Of the conductor. [m]
    joint : MilliOhm
        Of one joint; each core has one at each end. [ohm]
    contacts : Count
        Contacts between this conductor and the one before. [-]
    contact : MilliOhm
        Of one contact. [ohm]

    References
    ----------
    .. [1] Resistances in series.
    """
    return before + 2 * resistance_per_metre * length + 4 * joint + contacts * contact


def opening_time(current: Ampere, rating: AmpereRating, gates: Gates) -> ShortTime:
    """Time by which a fuse has opened at a current, by the gates of its standard.

    Parameters
    ----------
    current : Ampere
        [A]
    rating : AmpereRating
        Of the fuse. [A]
    gates : Gates
        Longest opening time and multiple of the rating, the lowest multiple first. [s], [-]

    Returns
    -------
    ShortTime
        [s]

    Raises
    ------
    RangeError
        If the current is below the first gate: then it need not open at all.

    References
    ----------
    .. [1] Gates of ISO 8820-3 and IEC 60127-2; between two a straight line of the logarithms.
    .. [2] Beyond the last one the melting integral does not rise: time falls with the square of
       the current (from memory).
    """
    times = current / rating
    if not gates or times < gates[0][1] * (1 - 1e-9):
        raise RangeError("current", current, "above the first gate of the fuse")
    for (slow, low), (fast, high) in pairwise(gates):
        if times <= high:
            share = log(times / low) / log(high / low)
            return exp(log(slow) + share * log(fast / slow))
    last, most = gates[-1]
    return last * (most / times) ** 2


def heating_time(
    *,
    area: ConductorArea,
    capacity: HeatCapacity,
    resistivity: OhmMetre,
    current: Ampere,
    start: Celsius,
    final: Celsius,
    known_at: Celsius,
    line_end: Celsius,
) -> ShortTime:
    """Time for which a conductor bears a short while no heat leaves it.

    Parameters
    ----------
    area : ConductorArea
        [m²]
    capacity : HeatCapacity
        Of its metal, by volume. [J/(m³ K)]
    resistivity : OhmMetre
        At the reference temperature. [ohm m]
    current : Ampere
        Above 0. [A]
    start, final : Celsius
        Temperature before the short, and that which insulation and joints bear. [K]
    known_at : Celsius
        At which the resistivity holds. [K]
    line_end : Celsius
        Where the straight line of its resistance would end. [K]

    Returns
    -------
    ShortTime
        [s]

    Raises
    ------
    RangeError
        If the current is not above zero, or the conductor is too warm already.

    References
    ----------
    .. [1] IEC 60949, equation of the adiabatic short-circuit current, as in IEC 60364-5-54.
    """
    if current <= 0:
        raise RangeError("current", current, "above 0 A")
    if not line_end < start < final:
        raise RangeError("start", start, "below the final temperature")
    return (
        area**2
        * capacity
        * (known_at - line_end)
        / (current**2 * resistivity)
        * log((final - line_end) / (start - line_end))
    )
