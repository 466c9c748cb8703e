"""The regulator's feedback divider and the control that the hand turns."""

from __future__ import annotations

from guidegen.calc.network import (
    ARRANGEMENTS,
    FAULTS,
    NetworkChoice,
    choose_network,
    fault_outputs,
)
from guidegen.errors import RangeError
from guidegen.kinds import MilliAmpere, MilliWatt, Ohm, OhmRating, Ratio, Volt

__all__ = [
    "ARRANGEMENTS",
    "FAULTS",
    "NetworkChoice",
    "choose_network",
    "divider_current",
    "divider_output",
    "fault_outputs",
    "left_out",
    "lower_needed",
    "parallel",
    "series_pair",
    "track_above",
    "track_below",
    "upper_needed",
    "wiper_power",
]


def divider_output(reference: Volt, upper: Ohm, lower: Ohm) -> Volt:
    """Output voltage that a feedback divider sets.

    Parameters
    ----------
    reference : Volt
        Voltage that the regulator holds at the divider's tap. [V]
    upper : Ohm
        Resistance between output and tap. [ohm]
    lower : Ohm
        Resistance between tap and minus. [ohm]

    Returns
    -------
    Volt
        Output. [V]

    Raises
    ------
    RangeError
        If the lower leg is not above zero: the output would rise without end.

    References
    ----------
    .. [1] Voltage divider; the current into the tap is neglected.
    """
    if lower <= 0:
        raise RangeError("lower", lower, "above 0 Ω")
    return reference * (1 + upper / lower)


def upper_needed(output: Volt, reference: Volt, lower: Ohm) -> Ohm:
    """Upper leg that gives a wanted output.

    Parameters
    ----------
    output : Volt
        Wanted output, not below the reference. [V]
    reference : Volt
        Voltage that the regulator holds at the divider's tap. [V]
    lower : Ohm
        Resistance between tap and minus. [ohm]

    Returns
    -------
    Ohm
        Resistance between output and tap. [ohm]

    Raises
    ------
    RangeError
        If the output is below the reference, or the reference is not above zero.

    References
    ----------
    .. [1] Voltage divider, solved for its upper leg.
    """
    if reference <= 0:
        raise RangeError("reference", reference, "above 0 V")
    if output < reference:
        raise RangeError("output", output, "the reference voltage and more")
    return lower * (output / reference - 1)


def lower_needed(output: Volt, reference: Volt, upper: Ohm) -> Ohm:
    """Lower leg that gives a wanted output.

    Parameters
    ----------
    output : Volt
        Wanted output, above the reference. [V]
    reference : Volt
        Voltage that the regulator holds at the divider's tap. [V]
    upper : Ohm
        Resistance between output and tap. [ohm]

    Returns
    -------
    Ohm
        Resistance between tap and minus. [ohm]

    Raises
    ------
    RangeError
        If the output is not above the reference, or the reference is not above zero.

    References
    ----------
    .. [1] Voltage divider, solved for its lower leg.
    """
    if reference <= 0:
        raise RangeError("reference", reference, "above 0 V")
    if output <= reference:
        raise RangeError("output", output, "above the reference voltage")
    return upper / (output / reference - 1)


def parallel(a: Ohm, b: Ohm) -> Ohm:
    """Resistance of two resistances side by side.

    Parameters
    ----------
    a, b : Ohm
        The two, not both zero. [ohm]

    Returns
    -------
    Ohm
        Together. [ohm]

    Raises
    ------
    RangeError
        If both are zero.

    References
    ----------
    .. [1] Conductances side by side add up.
    """
    if a + b <= 0:
        raise RangeError("a + b", a + b, "above 0 Ω")
    return a * b / (a + b)


def series_pair(a: Ohm, b: Ohm) -> Ohm:
    """Resistance of two resistances one after the other.

    Parameters
    ----------
    a, b : Ohm
        The two. [ohm]

    Returns
    -------
    Ohm
        Together. [ohm]

    References
    ----------
    .. [1] Resistances in series add up.
    """
    return a + b


def track_below(track: OhmRating, travel: Ratio) -> Ohm:
    """Part of a linear track between its low end and the wiper.

    References
    ----------
    .. [1] Definition of a linear track: resistance goes with travel.
    """
    return track * travel


def track_above(track: OhmRating, travel: Ratio) -> Ohm:
    """Part of a linear track between the wiper and its high end.

    References
    ----------
    .. [1] Definition of a linear track: resistance goes with travel.
    """
    return track * (1 - travel)


def left_out(whole: Ohm, used: Ohm) -> Ohm:
    """What of a control's resistance is not in circuit.

    References
    ----------
    .. [1] Resistances in series add up.
    """
    return whole - used


def divider_current(reference: Volt, lower: Ohm) -> MilliAmpere:
    """Current through the feedback divider, and so through the control.

    Parameters
    ----------
    reference : Volt
        Voltage that the regulator holds at the divider's tap. [V]
    lower : Ohm
        Resistance between tap and minus. [ohm]

    Returns
    -------
    Ampere
        Current. [A]

    Raises
    ------
    RangeError
        If the lower leg is not above zero.

    References
    ----------
    .. [1] Ohm's law; the current into the tap is neglected.
    """
    if lower <= 0:
        raise RangeError("lower", lower, "above 0 Ω")
    return reference / lower


def wiper_power(reference: Volt, lower: Ohm, control: OhmRating) -> MilliWatt:
    """Power in the control when the whole of its track is in circuit.

    Parameters
    ----------
    reference : Volt
        Voltage that the regulator holds at the divider's tap. [V]
    lower : Ohm
        Whole lower leg; with the control in it, the control included. [ohm]
    control : OhmRating
        Track of the control; with a resistor across it this errs high. [ohm]

    Returns
    -------
    MilliWatt
        Power in the track, which flows through the wiper. [W]

    Raises
    ------
    RangeError
        If the lower leg is not above zero.

    References
    ----------
    .. [1] Joule's law with the current of the divider.
    """
    if lower <= 0:
        raise RangeError("lower", lower, "above 0 Ω")
    return (reference / lower) ** 2 * control
