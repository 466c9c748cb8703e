"""Efficiency of a regulator at its own state, from the points of a data sheet."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence

from guidegen.errors import RangeError
from guidegen.kinds import Ampere, FinePercent, Percent, SupplyVolt, Volt, Watt

#: Efficiency, input voltage, output voltage, share of the usable current; all in SI.
Point = tuple[float, ...]
#: No converter gives more than it takes, whatever is added to a point.
LEAST, MOST = 0.05, 1.0


def efficiency_here(
    source: SupplyVolt, output: Volt, load: FinePercent, error: Percent, points: tuple[Point, ...]
) -> Percent:
    """Efficiency at an input, an output and a load, between the points of a data sheet.

    Parameters
    ----------
    source : SupplyVolt
        Input voltage. [V]
    output : Volt
        Output voltage. [V]
    load : FinePercent
        Current over the usable current. [-]
    error : Percent
        What is added to every point: 0, and its band that of the points. [-]
    points : tuple[Point, ...]
        Efficiency, input, output and load of each, in SI; at least one.

    Returns
    -------
    Percent
        [-]

    Raises
    ------
    RangeError
        If there are no points.

    References
    ----------
    .. [1] Linear interpolation, load first, then output, then input; beyond its ends a curve is
       held at its last point.
    """
    if not points:
        raise RangeError("points", 0, "at least one point")
    here = _along(
        points, 1, source, lambda same: _along(
            same, 2, output, lambda curve: _along(curve, 3, load, lambda one: one[0][0])
        )
    )  # fmt: skip
    return min(MOST, max(LEAST, here + error))


def _along(
    points: Sequence[Point], axis: int, at: float, inner: Callable[[list[Point]], float]
) -> float:
    """Between the two neighbours along one axis; what lies at each of them, by `inner`."""
    places = sorted({point[axis] for point in points})
    after = bisect_right(places, at)
    ends = places[max(0, after - 1)], places[min(after, len(places) - 1)]
    low, high = (inner([point for point in points if point[axis] == end]) for end in ends)
    if ends[0] == ends[1] or at <= ends[0]:
        return low
    return low + (high - low) * (at - ends[0]) / (ends[1] - ends[0])


def load_at_input(power: Watt, source: SupplyVolt, rating: Ampere) -> FinePercent:
    """Load of a regulator that is rated by its input current, its own loss not counted.

    References
    ----------
    .. [1] Power is voltage times current.
    """
    if source <= 0:
        raise RangeError("source", source, "above 0 V")
    if rating <= 0:
        raise RangeError("rating", rating, "above 0 A")
    return power / source / rating


def beyond(points: tuple[Point, ...], axis: int, low: float, high: float) -> bool:
    """Whether a range of one quantity leaves what the points cover; one place says nothing of it.

    Parameters
    ----------
    points : tuple[Point, ...]
        Efficiency, input, output and load of each, in SI.
    axis : int
        1 input, 2 output, 3 load.
    low, high : float
        Ends of the range, in SI.
    """
    places = [point[axis] for point in points]
    slack = 1e-9 * max(places)
    return low < min(places) - slack or high > max(places) + slack


def worst_input(
    points: tuple[Point, ...], low: float, high: float, output: float, load: float
) -> float:
    """Input voltage of a window at which a converter takes its greatest current. [V].

    Between two points efficiency times voltage has no least value inside, so the ends of the
    window and the points in it are enough.

    Parameters
    ----------
    points : tuple[Point, ...]
        Efficiency, input, output and load of each, in SI.
    low, high : float
        Ends of the window, above 0. [V]
    output, load : float
        Output voltage and share of the usable current. [V], [-]
    """
    places = [low, high, *(point[1] for point in points if low < point[1] < high)]
    return min(
        sorted(set(places)),
        key=lambda volts: volts * efficiency_here(volts, output, load, 0.0, points),
    )
