"""Flat conductors, bars and foil: area, resistance, and the current that they carry lying flat."""

from __future__ import annotations

from math import pi

from guidegen.calc import convection
from guidegen.errors import RangeError
from guidegen.kinds import (
    Ampere,
    Celsius,
    ConductorArea,
    FineMetre,
    OhmMetre,
    OhmPerMetre,
    PerKelvin,
    ThinMetre,
)

#: Temperature that resistivities are given for. [K].
REFERENCE = 293.15


def flat_area(width: FineMetre, thickness: ThinMetre) -> ConductorArea:
    """Area of the metal of a bar or foil.

    References
    ----------
    .. [1] Geometry; rounded edges are not counted.
    """
    return width * thickness


def flat_resistance(resistivity: OhmMetre, area: ConductorArea) -> OhmPerMetre:
    """Resistance a metre of a conductor of any section, at the temperature of the resistivity.

    Parameters
    ----------
    resistivity : OhmMetre
        Of the metal; annealed copper 0.017241 ohm mm²/m at 20 °C. [ohm·m]
    area : ConductorArea
        Area of the metal. [m²]

    Returns
    -------
    OhmPerMetre
        Resistance. [ohm/m]

    Raises
    ------
    RangeError
        If the area is not above zero.

    References
    ----------
    .. [1] Definition of resistivity; that of annealed copper: IEC 60028, 100 % IACS.
    """
    if area <= 0:
        raise RangeError("area", area, "above 0 m²")
    return resistivity / area


def flat_ampacity(
    width: FineMetre,
    thickness: ThinMetre,
    resistivity: OhmMetre,
    coefficient: PerKelvin,
    temperature: Celsius,
    ambient: Celsius,
) -> Ampere:
    """Current that a flat conductor on an insulating board carries for good: an estimate.

    Only the face that is not on the board and the two edges give off heat, by still air under a
    face that looks down, and nothing radiates: all three err on the safe side.

    Parameters
    ----------
    width : FineMetre
        Of the metal. [m]
    thickness : ThinMetre
        Of the metal. [m]
    resistivity : OhmMetre
        At 20 °C. [ohm·m]
    coefficient : PerKelvin
        Rise of the resistance by a kelvin, at 20 °C. [1/K]
    temperature : Celsius
        Highest temperature of the metal. [K]
    ambient : Celsius
        Warmest air around it. [K]

    Returns
    -------
    Ampere
        Current at which heat made equals heat given off. [A]

    Raises
    ------
    RangeError
        If the air is as hot as the metal may be.

    References
    ----------
    .. [1] Heat balance of a metre: I² r = h (w + 2 t) ΔT; h by McAdams for a plate that faces
       down, below the published range of its law, where it is too low.
    """
    if ambient >= temperature:
        raise RangeError("ambient in °C", ambient - 273.15, "below the conductor's temperature")
    rise, film = temperature - ambient, (temperature + ambient) / 2
    # Area over perimeter of a long strip is half its width.
    coefficient_of_air = convection.plate_coefficient(width, width / 2, pi / 2, rise, film)
    given_off = coefficient_of_air * (width + 2 * thickness) * rise
    hot = flat_resistance(resistivity=resistivity, area=width * thickness) * (
        1 + coefficient * (temperature - REFERENCE)
    )
    return (given_off / hot) ** 0.5  # type: ignore[no-any-return]  # float ** float
