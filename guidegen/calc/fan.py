"""A fan on the supply: its series resistor, and what it gets and takes through that."""

from __future__ import annotations

from math import ceil, log

from guidegen.calc import tables
from guidegen.errors import RangeError
from guidegen.kinds import (
    Ampere,
    AmpereRating,
    Count,
    FineMetre,
    Ohm,
    OhmRating,
    Ratio,
    SupplyVolt,
    Volt,
    Watt,
)

#: Current and voltage, in SI.
Point = tuple[float, ...]
#: Each halves what is left of the voltage: more would change no digit.
HALVINGS = 60


def fan_resistance(voltage: Volt, current: AmpereRating) -> Ohm:
    """What a fan looks like to its supply, at its rated point.

    References
    ----------
    .. [1] Ohm's law; a fan's current goes with its voltage, nearly (common practice).
    """
    if current <= 0:
        raise RangeError("current", current, "above 0 A")
    return voltage / current


def least_dropper(highest: SupplyVolt, rated: Volt, current: AmpereRating) -> Ohm:
    """Series resistor that leaves a fan its rated voltage when the supply is highest.

    References
    ----------
    .. [1] Ohm's law.
    """
    if current <= 0:
        raise RangeError("current", current, "above 0 A")
    return (max(highest, rated) - rated) / current


def next_dropper(least: Ohm) -> OhmRating:
    """The next preferred value of E24 upward.

    Raises
    ------
    RangeError
        If it is not above 0.

    References
    ----------
    .. [1] IEC 60063, series E24.
    """
    if least <= 0:
        raise RangeError("least", least, "above 0 ohm")
    decade = 1.0
    while decade * 10 <= least:
        decade *= 10
    values = [round(value * decade, 6) for value in (*tables.preferred("E24"), 10.0)]
    return next(value for value in values if value >= least * (1 - 1e-9))


def inlet_holes(opening: FineMetre, hole: FineMetre) -> Count:
    """Holes that together let in what an opening lets out.

    Parameters
    ----------
    opening : FineMetre
        Diameter of the fan's opening. [m]
    hole : FineMetre
        Diameter of one hole. [m]

    Raises
    ------
    RangeError
        If the hole has no diameter.

    References
    ----------
    .. [1] Areas of circles go with the square of their diameters.
    """
    if hole <= 0:
        raise RangeError("hole", hole, "above 0 mm")
    return ceil((opening / hole) ** 2)


def fan_voltage(voltage: SupplyVolt, fan: Ohm, dropper: OhmRating) -> Volt:
    """What a fan gets behind its series resistor.

    References
    ----------
    .. [1] Divider of two resistances.
    """
    return voltage * fan / (fan + dropper)


def fan_current(voltage: SupplyVolt, fan: Ohm, dropper: OhmRating) -> Ampere:
    """What a fan takes through its series resistor.

    References
    ----------
    .. [1] Ohm's law.
    """
    return voltage / (fan + dropper)


def least_share(
    voltage: SupplyVolt, most: Volt, fan: Ohm, dropper: OhmRating, half: Ratio
) -> Ratio:
    """Least share of its marked current that a fan may take behind its resistor.

    Parameters
    ----------
    voltage : SupplyVolt
        Of the supply. [V]
    most : Volt
        What the fan bears. [V]
    fan : Ohm
        What it looks like at its marked current. [ohm]
    dropper : OhmRating
        Its resistor. [ohm]
    half : Ratio
        What sound fans take at the least, of their marked current. [-]

    Returns
    -------
    Ratio
        That, or more where the fan would get too many volts; 1 at the most. [-]

    Raises
    ------
    RangeError
        If there is no resistor.

    References
    ----------
    .. [1] Divider of two resistances, solved for the fan.
    """
    if dropper <= 0:
        raise RangeError("dropper", dropper, "above 0 ohm")
    return min(max(half, (voltage / most - 1) * fan / dropper), 1)


def likely_resistance(fan: Ohm, share: Ratio) -> Ohm:
    """What a fan looks like that takes a share of its marked current.

    Raises
    ------
    RangeError
        If it takes nothing.

    References
    ----------
    .. [1] Ohm's law.
    """
    if share <= 0:
        raise RangeError("share", share, "above 0")
    return fan / share


def power_exponent(points: tuple[Point, ...]) -> Ratio:
    """Power of the voltage with which a fan's current goes, from its data sheet.

    Parameters
    ----------
    points : tuple[Point, ...]
        Current and voltage of each, above 0, at two voltages at least. [A], [V]

    Returns
    -------
    Ratio
        1 for a plain resistance. [-]

    Raises
    ------
    RangeError
        If there are no two voltages.

    References
    ----------
    .. [1] Least squares of the logarithms.
    """
    volts = [log(point[1]) for point in points]
    amps = [log(point[0]) for point in points]
    if len(set(volts)) < 2:
        raise RangeError("points", len(points), "points at two voltages and more")
    middle = sum(volts) / len(volts)
    spread = sum((one - middle) ** 2 for one in volts)
    return sum((one - middle) * amp for one, amp in zip(volts, amps, strict=True)) / spread


def power_law_current(voltage: Volt, rated: Volt, current: AmpereRating, exponent: Ratio) -> Ampere:
    """What a fan takes at a voltage.

    References
    ----------
    .. [1] Its current goes with a power of its voltage, by its data sheet's points.
    """
    if rated <= 0:
        raise RangeError("rated", rated, "above 0 V")
    return current * (voltage / rated) ** exponent  # type: ignore[no-any-return]  # float ** float


def behind_dropper(
    source: SupplyVolt, rated: Volt, current: AmpereRating, exponent: Ratio, dropper: OhmRating
) -> Volt:
    """What a fan gets behind its resistor, where its current goes with a power of its voltage.

    Parameters
    ----------
    source : SupplyVolt
        [V]
    rated : Volt
        Voltage of the fan. [V]
    current : AmpereRating
        At that voltage. [A]
    exponent : Ratio
        0 and more. [-]
    dropper : OhmRating
        Series resistor, 0 and more. [ohm]

    Returns
    -------
    Volt
        [V]

    References
    ----------
    .. [1] Kirchhoff's voltage law, solved by halving.
    """
    low, high = 0.0, source
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        drop = dropper * power_law_current(middle, rated, current, exponent)
        low, high = (low, middle) if middle + drop > source else (middle, high)
    return (low + high) / 2


def fan_power(voltage: SupplyVolt, current: Ampere) -> Watt:
    """What a fan and its series resistor take from the supply.

    References
    ----------
    .. [1] Power is voltage times current.
    """
    return voltage * current


def standing_current(current: Ampere, share: Ratio) -> Ampere:
    """What a fan takes below its start voltage: a share of what it took if it turned.

    References
    ----------
    .. [1] Arithmetic.
    """
    return current * share


def share_of_rating(rated: Watt, share: Ratio) -> Watt:
    """What a resistor may turn into heat and stay cool enough to touch its neighbours.

    References
    ----------
    .. [1] Arithmetic.
    """
    return rated * share


def dropper_power(current: Ampere, dropper: OhmRating) -> Watt:
    """Heat of the series resistor.

    References
    ----------
    .. [1] Joule's law.
    """
    return current**2 * dropper
