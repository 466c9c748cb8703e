"""Dimming by pulses: currents and light against duty, losses of the stage, flicker."""

from __future__ import annotations

from guidegen.errors import RangeError
from guidegen.kinds import Ampere, Lux, MilliOhm, MilliVolt, Percent, Ratio, Volt, Watt


def stage_drop(current: Ampere, resistance: MilliOhm) -> MilliVolt:
    """Voltage that the stage loses while it is on.

    Parameters
    ----------
    current : Ampere
        Current while it is on. [A]
    resistance : MilliOhm
        Resistance from input to output, both poles together. [ohm]

    Returns
    -------
    MilliVolt
        Voltage. [V]

    References
    ----------
    .. [1] Ohm's law.
    """
    return current * resistance


def behind(full: Volt, drop: MilliVolt) -> Volt:
    """Voltage behind the stage while it is on.

    References
    ----------
    .. [1] Kirchhoff's voltage law.
    """
    return full - drop


def stage_loss(current: Ampere, resistance: MilliOhm, voltage: Volt, idle_current: Ampere) -> Watt:
    """Heat of the stage at full duty, where it is greatest.

    Parameters
    ----------
    current : Ampere
        Current while it is on. [A]
    resistance : MilliOhm
        Resistance from input to output. [ohm]
    voltage : Volt
        Supply voltage of the stage. [V]
    idle_current : Ampere
        Current that its own circuit takes. [A]

    Returns
    -------
    Watt
        Heat. [W]

    References
    ----------
    .. [1] Joule's law; losses while it switches are left out: at full duty it does not switch.
    """
    return current**2 * resistance + voltage * idle_current


def loaded(power: Watt, loss: Watt) -> Watt:
    """Power of the light with the stage before it.

    References
    ----------
    .. [1] Conservation of energy.
    """
    return power + loss


def average_current(peak: Ampere, duty: Percent) -> Ampere:
    """Mean of a current that is either at its peak or zero.

    Parameters
    ----------
    peak : Ampere
        Current while it is on. [A]
    duty : Percent
        Share of the time that it is on, 0 to 1. [-]

    Returns
    -------
    Ampere
        Mean current. [A]

    Raises
    ------
    RangeError
        If the duty is out of range.

    References
    ----------
    .. [1] Definition of the mean over a period.
    """
    if not 0 <= duty <= 1:
        raise RangeError("duty", duty, "0 to 1")
    return peak * duty


def light_at_duty(full: Lux, duty: Percent) -> Lux:
    """Light at a duty, as eye and lux meter see it.

    Raises
    ------
    RangeError
        If the duty is out of range.

    References
    ----------
    .. [1] Talbot-Plateau law: above fusion, pulsed light looks as bright as its mean over time.
    """
    if not 0 <= duty <= 1:
        raise RangeError("duty", duty, "0 to 1")
    return full * duty


def percent_flicker(brightest: Ratio, dimmest: Ratio) -> Percent:
    """Depth of the modulation over one period.

    Parameters
    ----------
    brightest, dimmest : Ratio
        Light at its greatest and least within a period. [-]

    Returns
    -------
    Percent
        0 for steady light, 1 for light that goes out between pulses. [-]

    Raises
    ------
    RangeError
        If there is no light, or the dimmest is above the brightest.

    References
    ----------
    .. [1] IES definition of percent flicker: (max - min) / (max + min).
    """
    if not 0 <= dimmest <= brightest or brightest == 0:
        raise RangeError("dimmest", dimmest, "0 up to the brightest, which is above 0")
    return (brightest - dimmest) / (brightest + dimmest)


def pulse_index(duty: Percent) -> Ratio:
    """Flicker index of light that is either full or out.

    Parameters
    ----------
    duty : Percent
        Share of the time that it is on, above 0 up to 1. [-]

    Returns
    -------
    Ratio
        Area above the mean over the whole area. [-]

    Raises
    ------
    RangeError
        If the duty is out of range.

    References
    ----------
    .. [1] IES definition of the flicker index; of a rectangular pulse it is 1 - duty.
    """
    if not 0 < duty <= 1:
        raise RangeError("duty", duty, "above 0, up to 1")
    return 1 - duty
