"""Heat radiated between surfaces."""

from __future__ import annotations

from typing import Annotated

from guidegen.kinds import (
    Celsius,
    FineMetre,
    Kind,
    Metre,
    Ratio,
    SquareMetre,
    WattPerSquareMetreKelvin,
)

#: Kind of the Stefan–Boltzmann constant.
StefanBoltzmann = Annotated[float, Kind("W/(m**2*K**4)")]

#: Stefan–Boltzmann constant, CODATA 2018. [W/(m²·K⁴)]
SIGMA = 5.670374419e-8


def radiation_coefficient(
    emissivity: Ratio,
    surface: Celsius,
    surroundings: Celsius,
    stefan_boltzmann: StefanBoltzmann = SIGMA,
) -> WattPerSquareMetreKelvin:
    """Heat radiated for each kelvin between a grey surface and its surroundings.

    Parameters
    ----------
    emissivity : Ratio
        Emissivity of the surface. [-]
    surface : Celsius
        Its temperature. [K]
    surroundings : Celsius
        Temperature of the walls around. [K]
    stefan_boltzmann : StefanBoltzmann
        The constant. [W/(m²·K⁴)]

    Returns
    -------
    WattPerSquareMetreKelvin
        Coefficient. [W/(m²·K)]

    References
    ----------
    .. [1] Stefan–Boltzmann law; the difference of fourth powers over the difference.
    """
    return emissivity * stefan_boltzmann * (surface**2 + surroundings**2) * (surface + surroundings)


def mean_emissivity(
    tape: Ratio, film: Ratio, tape_length: Metre, tape_width: FineMetre, area: SquareMetre
) -> Ratio:
    """Emissivity of a face that tape covers in part, and film for the rest.

    Parameters
    ----------
    tape, film : Ratio
        Emissivities of both. [-]
    tape_length : Metre
        Length of all rows. [m]
    tape_width : FineMetre
        Width of the tape. [m]
    area : SquareMetre
        Area of the face. [m²]

    Returns
    -------
    Ratio
        Mean by area. [-]

    References
    ----------
    .. [1] Stefan–Boltzmann law: at one temperature the parts of a face radiate by their areas.
    """
    return film + (tape - film) * tape_length * tape_width / area
