"""Making: mass, movement with heat, tolerances, screws and holes, balance."""

from __future__ import annotations

from math import pi
from typing import Annotated

from guidegen.calc import tables
from guidegen.calc.balance import (
    centre_of_mass,
    combined_offset,
    tipping_angle,
    tipping_edge,
    tipping_push,
)
from guidegen.errors import RangeError
from guidegen.kinds import (
    Count,
    FineMetre,
    Kelvin,
    Kilogram,
    KilogramPerCubicMetre,
    Kind,
    LongMetre,
    Metre,
    PerKelvin,
    Ratio,
)

__all__ = [
    "CubicCentimetre",
    "CubicMetre",
    "centre_of_mass",
    "combined_offset",
    "expansion",
    "mass",
    "piece_mass",
    "pull_load",
    "rod_mass",
    "tipping_angle",
    "tipping_edge",
    "tipping_push",
    "tolerance_2768",
]

CubicCentimetre = Annotated[float, Kind("m**3", 0.1, "cm³", 1e6)]
CubicMetre = Annotated[float, Kind("m**3", 0, "m³")]


def mass(density: KilogramPerCubicMetre, volume: CubicMetre) -> Kilogram:
    """Mass of a body.

    Parameters
    ----------
    density : KilogramPerCubicMetre
        Density. [kg/m³]
    volume : CubicMetre
        Volume. [m³]

    Returns
    -------
    Kilogram
        Mass. [kg]

    References
    ----------
    .. [1] Definition of density.
    """
    return density * volume


def piece_mass(
    length: Metre,
    width: Metre,
    thickness: FineMetre,
    holes: CubicCentimetre,
    density: KilogramPerCubicMetre,
) -> Kilogram:
    """Mass of a rectangular piece with its holes.

    Parameters
    ----------
    length : Metre
        Length. [m]
    width : Metre
        Width. [m]
    thickness : FineMetre
        Thickness. [m]
    holes : CubicCentimetre
        What its holes take out of it. [m³]
    density : KilogramPerCubicMetre
        Density. [kg/m³]

    Returns
    -------
    Kilogram
        Mass. [kg]

    References
    ----------
    .. [1] Definition of density.
    """
    return (length * width * thickness - holes) * density


def rod_mass(length: Metre, diameter: FineMetre, density: KilogramPerCubicMetre) -> Kilogram:
    """Mass of a round bar.

    Parameters
    ----------
    length : Metre
        Length. [m]
    diameter : FineMetre
        Diameter. [m]
    density : KilogramPerCubicMetre
        Density. [kg/m³]

    Returns
    -------
    Kilogram
        Mass. [kg]

    References
    ----------
    .. [1] Definition of density.
    """
    return pi / 4 * diameter**2 * length * density


def pull_load(mass: Kilogram, factor: Ratio) -> Kilogram:
    """What a handle must hold in its pull test.

    Parameters
    ----------
    mass : Kilogram
        Of the light. [kg]
    factor : Ratio
        For jerks and years. [-]

    Returns
    -------
    Kilogram
        Load. [kg]

    References
    ----------
    .. [1] Common practice, no source: a small multiple of the mass.
    """
    return mass * factor


def expansion(coefficient: PerKelvin, length: Metre, change: Kelvin) -> FineMetre:
    """How much longer a piece grows when it warms.

    Parameters
    ----------
    coefficient : PerKelvin
        Coefficient of linear expansion. [1/K]
    length : Metre
        Length when cool. [m]
    change : Kelvin
        Change of temperature. [K]

    Returns
    -------
    FineMetre
        Growth. [m]

    References
    ----------
    .. [1] Definition of the coefficient.
    """
    return coefficient * length * change


def sheared_by(
    coefficient: PerKelvin, below: PerKelvin, length: Metre, change: Kelvin
) -> FineMetre:
    """How far the end of a sheet moves over what it is stuck to, both as warm as each other.

    Parameters
    ----------
    coefficient, below : PerKelvin
        Coefficient of linear expansion of the sheet and of what carries it. [1/K]
    length : Metre
        Length of both when cool. [m]
    change : Kelvin
        Change of temperature. [K]

    Returns
    -------
    FineMetre
        Movement of either end: the middle stays. [m]

    References
    ----------
    .. [1] Definition of the coefficient; both grow from the middle.
    """
    return abs(coefficient - below) * length * change / 2


def tolerance_2768(length: Metre, tolerance_class: str) -> FineMetre:
    """General tolerance of a linear dimension, plus or minus.

    Parameters
    ----------
    length : Metre
        Nominal dimension, 0.5 mm to 4 m. [m]
    tolerance_class : str
        `f`, `m`, `c` or `v`. [-]

    Returns
    -------
    FineMetre
        Plus or minus. [m]

    Raises
    ------
    RangeError
        If the class has no value for the dimension.
    GuidegenError
        If there is no such class.

    References
    ----------
    .. [1] ISO 2768-1 table 1.
    """
    ranges = tables.linear_tolerances(tolerance_class)
    for position, (above, up_to, plus_minus) in enumerate(ranges):
        first = position == 0 and length >= above - 1e-9
        if (first or length > above) and length <= up_to + 1e-9:
            return plus_minus
    accepted = f"{ranges[0][0] * 1e3:g} to {ranges[-1][1] * 1e3:g} (ISO 2768-1 {tolerance_class})"
    raise RangeError("length in mm", length * 1e3, accepted)


def film_length(along: Metre, across: Metre, rim_bands: Count, board_bands: Count) -> LongMetre:
    """Film from a roll for the inside of a rim and for the board within it.

    Parameters
    ----------
    along, across : Metre
        Width and height inside of the rim. [m]
    rim_bands, board_bands : Count
        Bands side by side on the rim's height, and on the board's. [-]

    Returns
    -------
    LongMetre
        Length of all bands. [m]

    References
    ----------
    .. [1] Geometry; bands on the board lie along it.
    """
    return 2 * (along + across) * rim_bands + along * board_bands
