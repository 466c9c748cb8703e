"""Temperatures of a lit panel, in still air and steady state."""

from __future__ import annotations

import math
from functools import lru_cache

from guidegen.calc.panel import (
    Panel,
    PanelTemperatures,
    back_film,
    board_back_temperature,
    cover_temperature,
    front_film,
    panel_temperatures,
    tape_face_temperature,
)
from guidegen.calc.radiation import radiation_coefficient
from guidegen.errors import RangeError
from guidegen.kinds import (
    FineMetre,
    Kelvin,
    Metre,
    Percent,
    SquareMetre,
    Watt,
    WattPerMetre,
    WattPerMetreKelvin,
    WattPerSquareMetre,
    WattPerSquareMetreKelvin,
)

__all__ = [
    "Panel",
    "PanelTemperatures",
    "back_film",
    "board_back_temperature",
    "cover_temperature",
    "front_film",
    "heat_balance",
    "heat_flux",
    "heat_left",
    "heat_per_metre",
    "panel_temperatures",
    "radiation_coefficient",
    "sheet_rise",
    "spreading_rise",
    "tape_face_temperature",
]

#: Terms of the Fourier series: 100 agree with finite differences within 0.3 %.
TERMS = 100


def heat_flux(heat: Watt, area: SquareMetre) -> WattPerSquareMetre:
    """Heat over the area of the board.

    Parameters
    ----------
    heat : Watt
        Heat made at the tape plane. [W]
    area : SquareMetre
        Area of one face of the board. [m²]

    Returns
    -------
    WattPerSquareMetre
        Heat flux. [W/m²]

    Raises
    ------
    RangeError
        If the area is not above zero.

    References
    ----------
    .. [1] Definition.
    """
    if area <= 0:
        raise RangeError("area", area, "above 0 m²")
    return heat / area


def heat_left(power: Watt, light_share: Percent) -> Watt:
    """Heat that stays in the panel: power less the light that leaves it.

    Parameters
    ----------
    power : Watt
        Electrical power of the tape. [W]
    light_share : Percent
        Share of the power that leaves as light, 0 to 1; 0 errs on the hot side. [-]

    Returns
    -------
    Watt
        Heat. [W]

    Raises
    ------
    RangeError
        If the share is out of range.

    References
    ----------
    .. [1] Conservation of energy.
    """
    if not 0 <= light_share < 1:
        raise RangeError("light_share", light_share, "0 up to below 1")
    return power * (1 - light_share)


def heat_per_metre(heat: Watt, tape_length: Metre) -> WattPerMetre:
    """Heat for each metre of tape.

    Parameters
    ----------
    heat : Watt
        Heat of all rows. [W]
    tape_length : Metre
        Length of all rows together. [m]

    Returns
    -------
    WattPerMetre
        Heat a metre of row. [W/m]

    Raises
    ------
    RangeError
        If the length is not above zero.

    References
    ----------
    .. [1] Definition.
    """
    if tape_length <= 0:
        raise RangeError("tape_length", tape_length, "above 0 m")
    return heat / tape_length


def sheet_rise(
    heat_flux: WattPerSquareMetre, thickness: FineMetre, conductivity: WattPerMetreKelvin
) -> Kelvin:
    """Difference of temperature across a sheet.

    Parameters
    ----------
    heat_flux : WattPerSquareMetre
        Heat through it. [W/m²]
    thickness : FineMetre
        Its thickness. [m]
    conductivity : WattPerMetreKelvin
        Its thermal conductivity. [W/(m·K)]

    Returns
    -------
    Kelvin
        Hot face over cold face. [K]

    Raises
    ------
    RangeError
        If the conductivity is not above zero.

    References
    ----------
    .. [1] Fourier's law.
    """
    if conductivity <= 0:
        raise RangeError("conductivity", conductivity, "above 0 W/(m·K)")
    return heat_flux * thickness / conductivity


@lru_cache(maxsize=1024)
def spreading_rise(
    *,
    heat_per_metre: WattPerMetre,
    pitch: FineMetre,
    tape_width: FineMetre,
    board_thickness: FineMetre,
    board_conductivity: WattPerMetreKelvin,
    front_coefficient: WattPerSquareMetreKelvin,
    back_coefficient: WattPerSquareMetreKelvin,
) -> Kelvin:
    """How much hotter the board is under a row than the mean of its face.

    Parameters
    ----------
    heat_per_metre : WattPerMetre
        Heat of a metre of row. [W/m]
    pitch : FineMetre
        Row to row. [m]
    tape_width : FineMetre
        Width of the tape, below the pitch. [m]
    board_thickness : FineMetre
        Thickness of the board. [m]
    board_conductivity : WattPerMetreKelvin
        Its thermal conductivity. [W/(m·K)]
    front_coefficient : WattPerSquareMetreKelvin
        Heat transfer from the lit face. [W/(m²·K)]
    back_coefficient : WattPerSquareMetreKelvin
        Heat transfer from the back. [W/(m²·K)]

    Returns
    -------
    Kelvin
        Mean under the tape over the mean of the face: add it to the face's temperature. [K]

    Raises
    ------
    RangeError
        If a size or a coefficient is not above zero.

    References
    ----------
    .. [1] Heat conduction in a slab heated in strips: Fourier series over half a pitch.
    """
    for name, value in (("pitch", pitch), ("tape_width", tape_width),
                        ("board_thickness", board_thickness),
                        ("board_conductivity", board_conductivity),
                        ("front_coefficient", front_coefficient),
                        ("back_coefficient", back_coefficient)):  # fmt: skip
        if value <= 0:
            raise RangeError(name, value, "above 0")
    if tape_width >= pitch:
        return 0.0
    half, total = tape_width / 2, 0.0
    for term in range(1, TERMS + 1):
        wave = 2 * math.pi * term / pitch
        across = math.tanh(wave * board_thickness)
        carried = board_conductivity * wave
        into = carried * (back_coefficient + carried * across)
        into /= carried + back_coefficient * across
        shape = math.sin(wave * half)
        total += shape**2 / (wave * half) / (term * (front_coefficient + into))
    return 2 * heat_per_metre / tape_width / math.pi * total


def heat_balance(heat_flux: WattPerSquareMetre, front_flux: WattPerSquareMetre,
                 back_flux: WattPerSquareMetre) -> WattPerSquareMetre:  # fmt: skip
    """Heat that no face accounts for: zero in a steady state.

    Parameters
    ----------
    heat_flux : WattPerSquareMetre
        Heat made. [W/m²]
    front_flux : WattPerSquareMetre
        Heat that leaves the front. [W/m²]
    back_flux : WattPerSquareMetre
        Heat that leaves the back. [W/m²]

    Returns
    -------
    WattPerSquareMetre
        Residual. [W/m²]

    References
    ----------
    .. [1] Conservation of energy.
    """
    return heat_flux - front_flux - back_flux
