"""Fuses and the currents of a short circuit."""

from __future__ import annotations

from guidegen.calc import tables
from guidegen.errors import RangeError
from guidegen.kinds import Ampere, AmpereRating, Celsius, Metre, Ohm, Ratio, Volt, WattPerMetre


def next_fuse(current: Ampere, series: str) -> AmpereRating:
    """Smallest fuse of a series that is not below a current.

    Parameters
    ----------
    current : Ampere
        Least rating. [A]
    series : str
        `IEC 60127` or `blade`. [-]

    Returns
    -------
    AmpereRating
        Rating of the fuse. [A]

    Raises
    ------
    RangeError
        If the series has no fuse that large.
    GuidegenError
        If the series is unknown.

    References
    ----------
    .. [1] Ratings: IEC 60127 (R10 series, from memory); ISO 8820-3 type C.
    """
    ratings = tables.fuse_ratings(series)
    # A millionth: 2.5 A computed as 2.5000000001 A must not ask for the next size.
    fitting = [rating for rating in ratings if rating >= current * (1 - 1e-6)]
    if not fitting:
        raise RangeError("current", current, f"the {series} series, up to {ratings[-1]:g} A")
    return fitting[0]


def smallest_fuse(load_current: Ampere, factor: Ratio) -> Ampere:
    """Least rating of a fuse that carries a load for good.

    Parameters
    ----------
    load_current : Ampere
        Greatest steady current. [A]
    factor : Ratio
        Rating over load; 1.25 is usual. [-]

    Returns
    -------
    Ampere
        Least rating. [A]

    References
    ----------
    .. [1] 125 % of the normal current: training text for low-voltage wiring, found twice.
    """
    return load_current * factor


def fuse_carries(rating: AmpereRating, carries: Ratio) -> Ampere:
    """Current that a fuse may carry for at least an hour without opening.

    Parameters
    ----------
    rating : AmpereRating
        Rating of the fuse. [A]
    carries : Ratio
        Times the rating that it carries, from its standard's gates. [-]

    Returns
    -------
    Ampere
        Current that must not be counted on to open it. [A]

    References
    ----------
    .. [1] IEC 60127-2 quick acting: 1.5 times for at least 60 minutes.
    """
    return rating * carries


def fuse_opens_at(rating: AmpereRating, opens: Ratio) -> Ampere:
    """Current at which a fuse must open.

    Parameters
    ----------
    rating : AmpereRating
        Rating of the fuse. [A]
    opens : Ratio
        Times the rating at which it must open, from its standard's gates. [-]

    Returns
    -------
    Ampere
        Current that opens it for certain; no protection below it. [A]

    References
    ----------
    .. [1] IEC 60127-2 quick acting: 2.1 times within 30 minutes.
    """
    return rating * opens


def guarded_current(rating: AmpereRating, opens_at: Ampere, overload: Ratio) -> Ampere:
    """What a wire must bear for good, for a fuse to guard it against overload.

    Parameters
    ----------
    rating : AmpereRating
        Rating of the fuse. [A]
    opens_at : Ampere
        Current that opens it for certain. [A]
    overload : Ratio
        What a wire bears until the fuse opens, over what it bears for good. [-]

    Returns
    -------
    Ampere
        Least ampacity of the wire, as warm as it lies. [A]

    References
    ----------
    .. [1] IEC 60364-4-43, 433.1: the rating at most the ampacity, and the current that opens it at
       most 1.45 times that (from memory).
    """
    return max(rating, opens_at / overload)


def largest_fuse(ampacity: Ampere, opens: Ratio) -> Ampere:
    """Greatest rating of a fuse that still opens before a conductor is overloaded.

    Parameters
    ----------
    ampacity : Ampere
        Current that the weakest conductor behind the fuse carries. [A]
    opens : Ratio
        Times the rating at which the fuse must open. [-]

    Returns
    -------
    Ampere
        Greatest rating. [A]

    Raises
    ------
    RangeError
        If the factor is not above zero.

    References
    ----------
    .. [1] The current that opens the fuse for certain may not exceed the ampacity.
    """
    if opens <= 0:
        raise RangeError("opens", opens, "above 0")
    return ampacity / opens


def short_circuit_current(voltage: Volt, loop_resistance: Ohm) -> Ampere:
    """Current that flows into a short circuit.

    Parameters
    ----------
    voltage : Volt
        Voltage of the source. [V]
    loop_resistance : Ohm
        Source, both cores and the fault together. [ohm]

    Returns
    -------
    Ampere
        Prospective short-circuit current. [A]

    Raises
    ------
    RangeError
        If the resistance is not above zero.

    References
    ----------
    .. [1] Ohm's law.
    """
    if loop_resistance <= 0:
        raise RangeError("loop_resistance", loop_resistance, "above 0 Ω")
    return voltage / loop_resistance


def at_opening(opens_at: Celsius, spared: Celsius, watched: Celsius) -> Celsius:
    """Temperature of what a thermal cut-out is to spare, as the cut-out opens.

    Parameters
    ----------
    opens_at : Celsius
        Temperature at which it opens. [K]
    spared : Celsius
        What it is to spare, in the warmest room. [K]
    watched : Celsius
        The place that it touches, in the same room. [K]

    Returns
    -------
    Celsius
        How warm that is by then. [K]

    References
    ----------
    .. [1] Heat conduction: with the same heat the difference between two places of one body stays
       the same, whatever warms both. True of slow warming, in a warm room or under a cloth.
    """
    return opens_at + (spared - watched)


def reel_current(power: WattPerMetre, reel: Metre, voltage: Volt) -> Ampere:
    """Current of a whole reel fed at one end: what its tracks are made to carry.

    Parameters
    ----------
    power : WattPerMetre
        Power of the tape. [W/m]
    reel : Metre
        Length of a reel. [m]
    voltage : Volt
        Rated voltage. [V]

    References
    ----------
    .. [1] From memory: tape may be fed at one end over the length of its reel.
    """
    return power * reel / voltage
