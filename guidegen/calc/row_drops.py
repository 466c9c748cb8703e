"""Voltage drops and losses along a row of tape."""

from __future__ import annotations

from guidegen.kinds import Ampere, Metre, MilliVolt, OhmPerMetre, Ratio, Watt


def row_drop_one_end(
    row_current: Ampere, track_resistance: OhmPerMetre, row_length: Metre
) -> MilliVolt:
    """Voltage lost at the far end of a row that is fed at one end.

    Parameters
    ----------
    row_current : Ampere
        Current of the whole row, drawn evenly along it. [A]
    track_resistance : OhmPerMetre
        Resistance of one of the two tracks. [ohm/m]
    row_length : Metre
        Length of the row. [m]

    Returns
    -------
    Volt
        Drop in both tracks together, at the far end. [V]

    References
    ----------
    .. [1] Evenly loaded line: half of the whole current times the whole loop, and the loop is
       two tracks.
    """
    return row_current * track_resistance * row_length


def row_drop_opposite_ends(
    row_current: Ampere, track_resistance: OhmPerMetre, row_length: Metre
) -> MilliVolt:
    """Greatest voltage lost along a row fed plus at one end and minus at the other.

    Parameters
    ----------
    row_current : Ampere
        Current of the whole row, drawn evenly along it. [A]
    track_resistance : OhmPerMetre
        Resistance of one of the two tracks. [ohm/m]
    row_length : Metre
        Length of the row. [m]

    Returns
    -------
    Volt
        Drop in both tracks together, at the middle of the row. [V]

    References
    ----------
    .. [1] Evenly loaded line with opposite feeds: r1 i (L²/2 + Lx − x²), greatest at x = L/2.
    """
    return 3 / 4 * row_current * track_resistance * row_length


def row_end_drop_opposite_ends(
    row_current: Ampere, track_resistance: OhmPerMetre, row_length: Metre
) -> MilliVolt:
    """Least voltage lost along a row fed plus at one end and minus at the other: at its ends.

    Parameters
    ----------
    row_current : Ampere
        Current of the whole row, drawn evenly along it. [A]
    track_resistance : OhmPerMetre
        Resistance of one of the two tracks. [ohm/m]
    row_length : Metre
        Length of the row. [m]

    Returns
    -------
    Volt
        Drop in both tracks together, at either end of the row. [V]

    References
    ----------
    .. [1] Evenly loaded line with opposite feeds: r1 i (L²/2 + Lx − x²), least at x = 0 and L.
    """
    return row_current * track_resistance * row_length / 2


def row_drop_both_ends(
    row_current: Ampere, track_resistance: OhmPerMetre, row_length: Metre
) -> MilliVolt:
    """Voltage lost at the middle of a row that is fed at both ends.

    Parameters
    ----------
    row_current : Ampere
        Current of the whole row, drawn evenly along it. [A]
    track_resistance : OhmPerMetre
        Resistance of one of the two tracks. [ohm/m]
    row_length : Metre
        Length of the row. [m]

    Returns
    -------
    Volt
        Drop in both tracks together, at the middle of the row. [V]

    References
    ----------
    .. [1] Evenly loaded line fed at both ends: a quarter of the drop with one end fed.
    """
    return row_current * track_resistance * row_length / 4


def row_drop_at_point(
    row_current: Ampere, track_resistance: OhmPerMetre, row_length: Metre, longer_share: Ratio
) -> MilliVolt:
    """Voltage lost at the farther end of a row that is fed at a point between its ends.

    Parameters
    ----------
    row_current : Ampere
        Current of the whole row, drawn evenly along it. [A]
    track_resistance : OhmPerMetre
        Resistance of one of the two tracks. [ohm/m]
    row_length : Metre
        Length of the row. [m]
    longer_share : Ratio
        Part of the row on the longer side of the feed point, from 0.5 to 1.

    Returns
    -------
    Volt
        Drop in both tracks together. [V]

    References
    ----------
    .. [1] Evenly loaded line fed at one end, for the longer side: its share of the current times
       its share of the loop.
    """
    return row_current * longer_share * track_resistance * row_length * longer_share


def track_drop(
    row_current: Ampere, track_resistance: OhmPerMetre, row_length: Metre, fed_share: Ratio
) -> MilliVolt:
    """Voltage lost along one track, from where it is fed to where its current ends.

    Parameters
    ----------
    row_current : Ampere
        Current of the whole row, drawn evenly along it. [A]
    track_resistance : OhmPerMetre
        Resistance of one of the two tracks. [ohm/m]
    row_length : Metre
        Length of the row. [m]
    fed_share : Ratio
        Part of the row that the feed carries: 1 from one end, 0.5 where both ends are fed. [-]

    Returns
    -------
    Volt
        Drop in one track. [V]

    References
    ----------
    .. [1] Evenly loaded line: half of the current that enters times the resistance of the part
       that it feeds.
    """
    return row_current * fed_share * track_resistance * row_length * fed_share / 2


def row_loss_one_end(row_current: Ampere, track_resistance: OhmPerMetre, row_length: Metre) -> Watt:
    """Power lost in the tracks of a row fed at one end, or at opposite ends.

    Parameters
    ----------
    row_current : Ampere
        Current of the whole row, drawn evenly along it. [A]
    track_resistance : OhmPerMetre
        Resistance of one of the two tracks. [ohm/m]
    row_length : Metre
        Length of the row. [m]

    Returns
    -------
    Watt
        Loss in both tracks. [W]

    References
    ----------
    .. [1] Evenly loaded line: a third of the square of the whole current times the loop.
    """
    return row_current**2 * 2 * track_resistance * row_length / 3


def row_loss_both_ends(
    row_current: Ampere, track_resistance: OhmPerMetre, row_length: Metre
) -> Watt:
    """Power lost in the tracks of a row fed at both ends.

    Parameters
    ----------
    row_current : Ampere
        Current of the whole row, drawn evenly along it. [A]
    track_resistance : OhmPerMetre
        Resistance of one of the two tracks. [ohm/m]
    row_length : Metre
        Length of the row. [m]

    Returns
    -------
    Watt
        Loss in both tracks. [W]

    References
    ----------
    .. [1] Evenly loaded line fed at both ends: a quarter of the loss with one end fed.
    """
    return row_current**2 * track_resistance * row_length / 6
