"""Batteries as they empty: voltage against charge, and a light that falls with it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from guidegen.calc import tables
from guidegen.calc.battery import lead_acid_time
from guidegen.calc.efficiency import Point, efficiency_here, load_at_input
from guidegen.errors import GuidegenError, RangeError
from guidegen.kinds import (
    Ampere,
    AmpereHour,
    AmpereRating,
    Hour,
    LightShare,
    MilliVolt,
    Percent,
    Ratio,
    SupplyVolt,
    Volt,
    Watt,
)

#: Voltage and charge that is left, in SI, of a whole battery.
Curve = tuple[tuple[float, ...], ...]
#: Nominal voltage of a cell, by chemistry. [V].
CELL = {"li-ion": 3.6, "lifepo4": 3.2, "lead-acid": 2.0}
#: A charge is drawn in so many equal parts: the time is then within a thousandth of its limit.
PARTS = 60


def cell_curve(chemistry: str) -> Curve:
    """Voltage of one cell against the charge that is left, the fullest first. [V], [-].

    Parameters
    ----------
    chemistry : str
        `li-ion`, `lifepo4` or `lead-acid`. [-]

    Raises
    ------
    GuidegenError
        If there is no such chemistry.
    """
    found = tuple(
        (float(row["volts_per_cell"]), float(row["charge_percent"]) / 100)
        for row in tables.rows("discharge")
        if row["chemistry"] == chemistry
    )
    if not found:
        raise GuidegenError(f"no discharge curve of {chemistry!r}")
    return found


def cells(chemistry: str, voltage: float) -> int:
    """How many cells in series a battery of this nominal voltage has."""
    return max(1, round(voltage / CELL[chemistry]))


def curve_voltage(charge: Percent, error: Volt, curve: Curve) -> SupplyVolt:
    """Voltage of a battery at the charge that is left.

    Parameters
    ----------
    charge : Percent
        Share of its capacity, 0 to 1. [-]
    error : Volt
        What is added to the whole curve: 0, and its band that of the curve. [V]
    curve : Curve
        Voltage and charge of its points, the fullest first, in SI; at least two.

    Returns
    -------
    SupplyVolt
        [V]

    Raises
    ------
    RangeError
        If the curve has no two points.

    References
    ----------
    .. [1] Linear interpolation; beyond its ends the curve is held.
    """
    if len(curve) < 2:
        raise RangeError("curve", len(curve), "two points and more")
    points = [(at, volts) for volts, at in reversed(curve)]
    return _between(points, charge) + error


def charge_at(voltage: SupplyVolt, error: Volt, curve: Curve) -> Percent:
    """Charge that is left when a battery has fallen to a voltage; 0 where it never does.

    Parameters
    ----------
    voltage : SupplyVolt
        [V]
    error : Volt
        What is added to the whole curve. [V]
    curve : Curve
        Voltage and charge of its points, the fullest first, in SI; at least two.

    Returns
    -------
    Percent
        Share of its capacity, 0 to 1. [-]

    Raises
    ------
    RangeError
        If the curve has no two points.

    References
    ----------
    .. [1] The discharge curve read from the other side.
    """
    if len(curve) < 2:
        raise RangeError("curve", len(curve), "two points and more")
    points = [(volts + error, at) for volts, at in reversed(curve)]
    if voltage <= points[0][0]:
        return points[0][1]
    return _between(points, voltage)


def last_charge(spared: Percent, at_cut_off: Percent, dark: Percent) -> Percent:
    """Charge at which the light ends: what is to be spared, at its cut-off, or in the dark.

    References
    ----------
    .. [1] Whichever comes first.
    """
    return max(spared, at_cut_off, dark)


def needed_input(output: Volt, lead: MilliVolt, dropout: Volt) -> SupplyVolt:
    """Voltage of a supply from which a regulator that steps down still gives this output.

    References
    ----------
    .. [1] Kirchhoff's voltage law.
    """
    return output + lead + dropout


def unused(usable: Percent) -> Percent:
    """What of a battery's charge is left alone.

    References
    ----------
    .. [1] Arithmetic.
    """
    return 1 - usable


def fallen_light(output: Volt, threshold: Volt, full: Volt) -> LightShare:
    """Light at a lower output as a share of that at the full one; dark below the threshold.

    References
    ----------
    .. [1] Light goes with the current, and that with the voltage over the resistors of the groups.
    """
    if full <= threshold:
        raise RangeError("full", full, "above the threshold")
    return max(0.0, (output - threshold) / (full - threshold))


def fading_time(
    *,
    down_to: Percent,
    error: Volt,
    leads: MilliVolt,
    dropout: Volt,
    ceiling: Volt,
    threshold: Volt,
    full: Volt,
    current: Ampere,
    loss: Watt,
    duty: Percent,
    efficiency: Percent,
    beside: Watt,
    behind: Watt,
    capacity: AmpereHour,
    rated_time: Hour,
    exponent: Ratio,
    rating: AmpereRating,
    curve: Curve,
    points: tuple[Point, ...] = (),
    at_input: bool = False,
) -> Hour:
    """Time from a full battery down to a charge, with a light that falls as the voltage does.

    Parameters
    ----------
    down_to : Percent
        Charge that is left in the end. [-]
    error : Volt
        What is added to the whole discharge curve. [V]
    leads : MilliVolt
        Lost in the leads. [V]
    dropout : Volt
        Of the regulator. [V]
    ceiling : Volt
        Its setting, above which its output never goes. [V]
    threshold : Volt
        Below it the tape is dark. [V]
    full : Volt
        Output of the full light. [V]
    current : Ampere
        Of the full light. [A]
    loss : Watt
        Of a stage behind the regulator. [W]
    duty : Percent
        Share of the time for which the light is on. [-]
    efficiency : Percent
        Of the regulator; where its data sheet has points, what is added to each of them. [-]
    beside : Watt
        Power of what hangs on the battery itself. [W]
    behind : Watt
        Power of what hangs on the regulator's output, at full; lower down it is no more. [W]
    capacity : AmpereHour
        Of the battery. [Ah]
    rated_time : Hour
        Time of discharge that the capacity is rated for. [h]
    exponent : Ratio
        Peukert's exponent; 1 where the capacity is the same at every current. [-]
    rating : AmpereRating
        Current of the regulator, of which the load is a share. [A]
    curve : Curve
        Voltage and charge of its points, the fullest first, in SI.
    points : tuple[Point, ...]
        Efficiency points of the regulator.
    at_input : bool
        Whether the regulator's load is that of its input.

    Returns
    -------
    Hour
        [h]

    References
    ----------
    .. [1] Charge over current, summed over equal parts of the charge, each at its middle;
       Peukert's law of 1897 for each part.
    """
    step = (1 - down_to) / PARTS
    time = 0.0
    for number in range(PARTS):
        volts = curve_voltage(1 - (number + 0.5) * step, error, curve)
        output = min(ceiling, volts - leads - dropout)
        amps = current * max(0.0, (output - threshold) / (full - threshold))
        gives = output * amps + loss
        here = efficiency
        if points:
            more = behind / output if output > 0 else 0.0
            load = (
                load_at_input(gives + behind, volts, rating) if at_input else (amps + more) / rating
            )
            here = efficiency_here(volts, output, load, efficiency, points)
        drawn = ((gives * duty + behind) / here + beside) / volts
        # Time in the dark is no run time.
        if drawn <= 0:
            continue
        time += step * lead_acid_time(rated_time, capacity, drawn, exponent)
    return time


def _between(points: Sequence[tuple[float, float]], at: float) -> float:
    """Along straight lines between points in rising order, held at both ends."""
    for (low, first), (high, second) in pairwise(points):
        if at <= low:
            return first
        if at < high:
            return first + (second - first) * (at - low) / (high - low)
    return points[-1][1]
