"""Small numeric helpers of the solvers."""

from __future__ import annotations

from collections.abc import Callable

from guidegen.errors import GuidegenError


def root(function: Callable[[float], float], low: float, high: float) -> float:
    """The place where a rising function passes zero, by false position with the Illinois step.

    Parameters
    ----------
    function : Callable[[float], float]
        Continuous, or with upward steps only.
    low, high : float
        Function at `low` is at most zero; the bracket is widened upward until `high` holds it.

    Raises
    ------
    GuidegenError
        If no zero is found within the widest bracket.
    """
    at_low = function(low)
    if at_low >= 0:
        return low
    at_high = function(high)
    for _ in range(60):
        if at_high >= 0:
            break
        low, at_low, high = high, at_high, high + 2 * (high - low)
        at_high = function(high)
    else:
        raise GuidegenError(f"no solution between {low:.6g} and {high:.6g}")
    return _false_position(function, (low, at_low), (high, at_high))


def _false_position(
    function: Callable[[float], float], lower: tuple[float, float], upper: tuple[float, float]
) -> float:
    (low, at_low), (high, at_high) = lower, upper
    middle, last = high, 0
    for step in range(200):
        # Every eighth step halves the bracket: a jump of a correlation can't stall the search.
        halve = step % 8 == 7
        middle = (low + high) / 2 if halve else high - at_high * (high - low) / (at_high - at_low)
        value = function(middle)
        if value == 0 or high - low < 1e-10 or abs(value) < 1e-11:
            break
        if value < 0:
            at_high = at_high / 2 if last < 0 else at_high
            low, at_low, last = middle, value, -1
        else:
            at_low = at_low / 2 if last > 0 else at_low
            high, at_high, last = middle, value, 1
    return middle
