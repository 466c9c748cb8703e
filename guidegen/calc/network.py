"""The search for a control network, and what each single fault of it does to the output.

Three arrangements of a control beside a regulator's trimmer (upper leg) and fixed resistor
(lower leg):

- in series with trimmer: upper leg = trimmer setting + end + control with across; lower = fixed
- in place of trimmer: upper leg = end + control with across; lower = fixed
- in place of fixed resistor: upper leg = trimmer setting; lower = end + control with across
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from guidegen.calc import tables
from guidegen.errors import GuidegenError, RangeError, accepted_words
from guidegen.kinds import Ohm, OhmRating, SupplyVolt, Volt

SERIES = "in series with trimmer"
TRIMMER = "in place of trimmer"
FIXED = "in place of fixed resistor"
ARRANGEMENTS = (SERIES, TRIMMER, FIXED)

#: Ids of the single faults, in the order of likelihood (common practice, no source).
FAULTS = ("wiper open", "lead broken", "track open", "across open", "end open", "control short",
          "fixed resistor open")  # fmt: skip

#: An end of the range this near to what was wanted needs no further resistor. [of the range]
NEAR = 0.02

#: The trimmer must stand within these shares of its travel: room to set it both ways, and its
#: own tolerance (common practice, no source).
TRAVEL = (0.05, 0.9)

_Array = npt.NDArray[np.float64]
_Columns = tuple[_Array, _Array, _Array]


@dataclass(frozen=True, slots=True)
class NetworkChoice:
    """Resistors of a control network, and the range they give with nominal values."""

    track: float
    """Track of the control. [ohm]."""
    across: float | None
    """Resistor across the control; None: none. [ohm]."""
    end: float | None
    """Resistor in series with the control; None: none. [ohm]."""
    low: float
    """Output at the dark end of the control. [V]."""
    high: float
    """Output at the bright end. [V]."""
    trimmer: float | None = None
    """Setting of the trimmer; None: it is replaced by the control. [ohm]."""


def choose_network(
    *,
    arrangement: str,
    reference: float,
    fixed: float,
    trimmer: float,
    low: float,
    high: float,
    tracks: Sequence[float],
    ends: Sequence[float | None] | None = None,
    acrosses: Sequence[float | None] | None = None,
    track_tolerance: float = 0.0,
    spread: float = math.inf,
) -> NetworkChoice:
    """Resistors that bring a control's range nearest to the range wanted, never above it.

    Without a spread: the fewest resistors whose ends both lie within 2 % of the range, of those
    the nearest. With a spread: the fewest whose ends stay within it when the track is off by its
    tolerance, of those the control that acts most evenly over its turn. If none is that good,
    the one with the least deviation.

    Parameters
    ----------
    arrangement : str
        One of `ARRANGEMENTS`.
    reference : float
        Reference voltage of the regulator. [V]
    fixed : float
        Its fixed resistor. [ohm]
    trimmer : float
        Its trimmer from end to end. [ohm]
    low, high : float
        Range wanted. [V]
    tracks : Sequence[float]
        Tracks that can be had. [ohm]
    ends, acrosses : Sequence[float | None], optional
        Resistors to choose from, None for none at all; left out: none and all E24 values, ends
        from 100 Ω to 100 kΩ, across from 100 Ω to 1 MΩ. [ohm]
    track_tolerance : float
        Tolerance of the control's track, 0.2 for most. [-]
    spread : float
        How far either end may be off for it. [V]

    Raises
    ------
    RangeError
        If the range is not above the reference, or its ends are in the wrong order.
    GuidegenError
        If the arrangement is unknown or no combination reaches a range within bounds.

    References
    ----------
    .. [1] IEC 60063, series E24; voltage divider.
    """
    _check_arrangement(arrangement)
    if not reference < low < high:
        raise RangeError("low", low, f"above the reference {reference:g} V and below high")
    choices = _combinations(
        tuple(tracks),
        _e24(3) if ends is None else tuple(ends),
        _e24(4) if acrosses is None else tuple(acrosses),
    )
    divider = (arrangement, reference, fixed, high)
    lows, highs, settings = _ranges(divider, choices)
    allowed = (highs <= high * (1 + 1e-9)) & (lows < highs)
    if arrangement != TRIMMER:
        # A divider that draws far more than the module's own would overload the control.
        allowed &= (choices[1] >= fixed / 2) | (arrangement != FIXED)
        allowed &= (settings >= TRAVEL[0] * trimmer) & (settings <= TRAVEL[1] * trimmer)
    if not allowed.any():
        raise GuidegenError(
            f"no control network {arrangement} gives {low:g} V to {high:g} V with a trimmer of "
            f"{trimmer:g} Ω and a fixed resistor of {fixed:g} Ω"
        )
    error = np.where(allowed, np.maximum(abs(lows - low), abs(highs - high)), np.inf)
    worst = np.where(allowed, _worst_deviation(divider, choices, (low, track_tolerance)), np.inf)
    good = error <= NEAR * (high - low) if math.isinf(spread) else worst <= spread
    best = _pick(good, (error if math.isinf(spread) else _unevenness(choices)), worst, choices)
    track, end, across = (float(column[best]) for column in choices)
    return NetworkChoice(
        track,
        across if math.isfinite(across) else None,
        end or None,
        float(lows[best]),
        float(highs[best]),
        None if arrangement == TRIMMER else float(settings[best]),
    )


def fault_outputs(
    *,
    arrangement: str,
    reference: float,
    fixed: float,
    trimmer: float,
    track: float,
    across: float | None = None,
    end: float | None = None,
    across_at_control: bool = True,
    low: bool = False,
) -> dict[str, float]:
    """Output with the control at one of its ends, for each single fault.

    At the high end it is the greatest over all settings.

    The control is wired as a resistance with its wiper tied to the free end of the track, so an
    open wiper leaves the whole track in circuit.

    Parameters
    ----------
    arrangement : str
        One of `ARRANGEMENTS`.
    reference : float
        Reference voltage. [V]
    fixed : float
        Fixed resistor. [ohm]
    trimmer : float
        Setting of the trimmer; not used where the control replaces it. [ohm]
    track : float
        Track of the control. [ohm]
    across, end : float, optional
        Resistor across the control and in series with it; None: none. [ohm]
    across_at_control : bool
        Whether the resistor across sits at the control, beyond the leads: then a broken lead
        opens both.
    low : bool
        With the control at its low end instead of the high one.

    Returns
    -------
    dict[str, float]
        Output by fault; infinite where it rises to the regulator's input. Faults of parts that
        the network lacks are left out. [V]

    Raises
    ------
    GuidegenError
        If the arrangement is unknown.

    References
    ----------
    .. [1] Voltage divider: an open upper leg or a shorted lower leg drives the output to the
       input, an open lower leg to the reference.
    """
    _check_arrangement(arrangement)
    bridge, stop = across or math.inf, end or 0.0
    whole = _side_by_side(track, bridge)
    # Extremes of the leg with the control, from turned fully down to fully up.
    legs = {
        "wiper open": (whole, whole),
        "lead broken": (math.inf,) * 2 if across_at_control else (bridge, bridge),
        "track open": (bridge, bridge),
        "across open": (0.0, track),
        "end open": (math.inf, math.inf),
        "control short": (0.0, 0.0),
        "fixed resistor open": (0.0, whole),
    }
    outputs = {}
    for fault in faults_of(arrangement, across is not None, end is not None):
        # In the lower leg the output rises as the leg's resistance falls.
        leg = stop + legs[fault][(arrangement == FIXED) == low]
        lower = math.inf if fault == "fixed resistor open" else fixed
        outputs[fault] = _with_leg(arrangement, (reference, lower, trimmer), leg)
    return outputs


def faults_of(arrangement: str, across: bool, end: bool) -> tuple[str, ...]:
    """The single faults of a network, those of parts that it lacks left out."""
    absent = {"across open": not across, "end open": not end,
              "fixed resistor open": arrangement == FIXED}  # fmt: skip
    return tuple(fault for fault in FAULTS if not absent.get(fault, False))


def fault_output(
    *,
    fault: str,
    arrangement: str,
    reference: Volt,
    fixed: Ohm,
    trimmer: Ohm,
    track: OhmRating,
    across: OhmRating | None,
    end: OhmRating | None,
    floor: Volt,
    ceiling: Volt,
    low: bool,
) -> SupplyVolt:
    """Output with the control at one of its ends in one single fault.

    At the high end it is the greatest over all settings.

    Parameters
    ----------
    fault : str
        One of `faults_of`.
    arrangement : str
        One of `ARRANGEMENTS`.
    reference : Volt
        Reference voltage. [V]
    fixed : Ohm
        Fixed resistor. [ohm]
    trimmer : Ohm
        Setting of the trimmer. [ohm]
    track : OhmRating
        Track of the control. [ohm]
    across, end : OhmRating, optional
        Resistor across the control and in series with it; None: none. [ohm]
    floor, ceiling : Volt
        Between which the regulator's input and its own range hold the output. [V]
    low : bool
        With the control at its low end instead of the high one.

    Returns
    -------
    SupplyVolt
        Output. [V]

    References
    ----------
    .. [1] Voltage divider.
    """
    outputs = fault_outputs(arrangement=arrangement, reference=reference, fixed=fixed,
                            trimmer=trimmer, track=track, across=across, end=end,
                            low=low)  # fmt: skip
    return max(min(outputs[fault], ceiling), floor)


def _with_leg(arrangement: str, regulator: tuple[float, float, float], leg: float) -> float:
    reference, fixed, trimmer = regulator
    if arrangement == FIXED:
        return _output(reference, trimmer, leg)
    return _output(reference, (trimmer if arrangement == SERIES else 0.0) + leg, fixed)


def _output(reference: float, upper: float, lower: float) -> float:
    if math.isinf(lower):
        return reference
    return reference * (1 + upper / lower) if lower else math.inf


def _side_by_side(a: float, b: float) -> float:
    return a if math.isinf(b) else a * b / (a + b)


def _check_arrangement(arrangement: str) -> None:
    if arrangement not in ARRANGEMENTS:
        accepted = accepted_words(arrangement, ARRANGEMENTS)
        raise GuidegenError(f"unknown arrangement {arrangement!r}. {accepted}")


@lru_cache(maxsize=16)
def _e24(decades: int) -> tuple[float | None, ...]:
    """No resistor, and the E24 values of so many decades from 100 Ω, with the next power."""
    series = tables.preferred("E24")
    values = [value * 10**power for power in range(2, 2 + decades) for value in series]
    return (None, *(float(f"{value:.3g}") for value in values), 10.0 ** (2 + decades))


@lru_cache(maxsize=16)
def _combinations(
    tracks: tuple[float, ...],
    ends: tuple[float | None, ...],
    acrosses: tuple[float | None, ...],
) -> _Columns:
    """All combinations as three flat columns: track, end (0: none), across (infinite: none)."""
    grids = np.meshgrid(
        np.array(tracks, dtype=float),
        np.array([value or 0.0 for value in ends], dtype=float),
        np.array([value or math.inf for value in acrosses], dtype=float),
        indexing="ij",
    )
    track, end, across = (grid.ravel() for grid in grids)
    return track, end, across


def _ranges(
    divider: tuple[str, float, float, float], choices: _Columns, track_factor: float = 1.0
) -> _Columns:
    """Low output, high output and trimmer setting of every combination.

    The trimmer is set with the very track that is there, so it takes up the track's tolerance at
    the bright end.
    """
    arrangement, reference, fixed, high = divider
    track, end, across = choices
    span = 1 / (1 / (track * track_factor) + 1 / across)
    if arrangement == SERIES:
        setting = fixed * (high / reference - 1) - end - span
        return high - reference * span / fixed, np.full_like(span, high), setting
    if arrangement == TRIMMER:
        base = reference * (1 + end / fixed)
        return base, base + reference * span / fixed, np.zeros_like(span)
    setting = end * (high / reference - 1)
    lower_end = reference * (1 + setting / (end + span))
    # No end resistor: at the bright end the lower leg is a short, the output has no bound.
    return lower_end, np.where(end > 0, high, np.inf), setting


def _worst_deviation(
    divider: tuple[str, float, float, float], choices: _Columns, wanted: tuple[float, float]
) -> _Array:
    """How far either end is off with the track at either end of its tolerance. [V]."""
    low, tolerance = wanted
    worst = np.zeros(len(choices[0]))
    for factor in (1 - tolerance, 1 + tolerance):
        lows, highs, _ = _ranges(divider, choices, factor)
        worst = np.maximum.reduce([worst, abs(lows - low), abs(highs - divider[3])])
    return worst


def _unevenness(choices: _Columns) -> _Array:
    """Track over the resistor across it: the larger, the less a turn does at the bright end."""
    return choices[0] / choices[2]


def _pick(good: npt.NDArray[np.bool_], rank: _Array, worst: _Array, choices: _Columns) -> int:
    """Index of the choice: the fewest resistors that are good, else the least deviation."""
    _, end, across = choices
    resistors = (end > 0).astype(int) + np.isfinite(across).astype(int)
    for count in (0, 1, 2):
        mine = good & (resistors == count)
        if mine.any():
            return int(np.argmin(np.where(mine, rank, np.inf)))
    return int(np.argmin(worst))
