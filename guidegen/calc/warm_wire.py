"""A wire where it is warmer than its ampacity was told for."""

from __future__ import annotations

import math

from guidegen.kinds import Ampere, Celsius


def in_the_warm(
    around: Celsius,
    current: Ampere,
    ampacity: Ampere,
    insulation_temperature: Celsius,
    ambient: Celsius,
) -> Celsius:
    """Temperature of a wire that lies on a warm board or in warm air, its own heat included.

    Parameters
    ----------
    around : Celsius
        Temperature of the board under it, or of the air. [K]
    current : Ampere
        What it carries. [A]
    ampacity : Ampere
        What would bring its insulation to its greatest temperature in the warmest air. [A]
    insulation_temperature, ambient : Celsius
        What that ampacity was told for. [K]

    Returns
    -------
    Celsius
        Temperature of its insulation. [K]

    References
    ----------
    .. [1] The rise of a conductor goes with the square of its current (IEC 60287-1-1, 1.4.1.1,
       with no loss but that of the conductor; from memory); here it begins at what is around it.
    """
    return around + (insulation_temperature - ambient) * (current / ampacity) ** 2


def warm_ampacity(
    ampacity: Ampere, around: Celsius, insulation_temperature: Celsius, ambient: Celsius
) -> Ampere:
    """What a wire carries for good where it is warmer than its ampacity was told for.

    Parameters
    ----------
    ampacity : Ampere
        What it carries in the warmest air. [A]
    around : Celsius
        Temperature of the board under it, or of the air. [K]
    insulation_temperature, ambient : Celsius
        What that ampacity was told for. [K]

    Returns
    -------
    Ampere
        None where all around it is as warm as its insulation may be. [A]

    References
    ----------
    .. [1] The rise of a conductor goes with the square of its current (IEC 60287-1-1, 1.4.1.1,
       from memory).
    """
    return ampacity * math.sqrt(
        max(insulation_temperature - around, 0) / (insulation_temperature - ambient)
    )
