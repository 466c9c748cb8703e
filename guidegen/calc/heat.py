"""Temperatures of a lit panel and of a closed box, in still air and steady state."""

from __future__ import annotations

import math
from functools import lru_cache

from guidegen.calc import convection
from guidegen.calc.numeric import root
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
    Celsius,
    FineMetre,
    Kelvin,
    Metre,
    Percent,
    Ratio,
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
    "box_temperature",
    "box_wall_temperature",
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


@lru_cache(maxsize=1024)
def box_temperature(
    *,
    loss: Watt,
    area: SquareMetre,
    height: Metre,
    wall_thickness: FineMetre,
    wall_conductivity: WattPerMetreKelvin,
    emissivity: Ratio,
    ambient: Celsius,
    film_factor: Ratio = 1.0,
) -> Celsius:
    """Temperature of the air inside a closed box that cools through its walls alone.

    Parameters
    ----------
    loss : Watt
        Heat made inside. [W]
    area : SquareMetre
        Outside area that meets free air. [m²]
    height : Metre
        Height of its walls. [m]
    wall_thickness : FineMetre
        Thickness of the walls. [m]
    wall_conductivity : WattPerMetreKelvin
        Their thermal conductivity. [W/(m·K)]
    emissivity : Ratio
        Emissivity of the walls. [-]
    ambient : Celsius
        Air and walls of the room. [K]
    film_factor : Ratio
        Multiplies the convection inside and outside; 1 ± 0.2 by the scatter of
        correlations. [-]

    Returns
    -------
    Celsius
        Mean temperature of the air inside. [K]

    Raises
    ------
    RangeError
        If a value is out of range.

    References
    ----------
    .. [1] Heat balance; Churchill and Chu 1975 for a vertical plate on both faces of the walls,
       and the radiation of a grey surface outside. Inside by convection alone: errs hot.
    """
    for name, value in (("area", area), ("height", height), ("emissivity", emissivity),
                        ("wall_conductivity", wall_conductivity),
                        ("film_factor", film_factor)):  # fmt: skip
        if value <= 0:
            raise RangeError(name, value, "above 0")
    if loss < 0:
        raise RangeError("loss", loss, "0 W and more")
    flux = loss / area

    def convected(rise: float, mean: float) -> float:
        return film_factor * convection.plate_coefficient(height, height, 0.0, rise, mean) * rise

    def outside(wall: float) -> float:
        radiated = radiation_coefficient(emissivity, wall, ambient) * (wall - ambient)
        return convected(wall - ambient, (wall + ambient) / 2) + radiated - flux

    outer = root(outside, ambient, ambient + flux / 8 + 1e-6)
    inner = outer + flux * wall_thickness / wall_conductivity
    return root(lambda hot: convected(hot - inner, (hot + inner) / 2) - flux,
                inner, inner + flux / 3 + 1e-6)  # fmt: skip


def box_wall_temperature(
    *,
    inside: Celsius,
    height: Metre,
    wall_thickness: FineMetre,
    wall_conductivity: WattPerMetreKelvin,
    emissivity: Ratio,
    ambient: Celsius,
    film_factor: Ratio = 1.0,
) -> Celsius:
    """Temperature of the outer face of a box whose air is warm: where a thermometer gets at it.

    Parameters
    ----------
    inside : Celsius
        Air inside. [K]
    height : Metre
        Height of its walls. [m]
    wall_thickness : FineMetre
        Thickness of the walls. [m]
    wall_conductivity : WattPerMetreKelvin
        Their thermal conductivity. [W/(m·K)]
    emissivity : Ratio
        Emissivity of the walls. [-]
    ambient : Celsius
        Air and walls of the room. [K]
    film_factor : Ratio
        Multiplies the convection inside and outside. [-]

    Returns
    -------
    Celsius
        Mean temperature of the outer faces. [K]

    Raises
    ------
    RangeError
        If the air inside is cooler than the room.

    References
    ----------
    .. [1] As `box_temperature`: what the outer face gives off comes through wall and inner face.
    """
    if inside < ambient:
        raise RangeError("inside", inside, "the room's temperature and more")
    if inside == ambient:
        return ambient

    def convected(rise: float, mean: float) -> float:
        return film_factor * convection.plate_coefficient(height, height, 0.0, rise, mean) * rise

    def excess(outer: float) -> float:
        radiated = radiation_coefficient(emissivity, outer, ambient) * (outer - ambient)
        flux = convected(outer - ambient, (outer + ambient) / 2) + radiated
        inner = outer + flux * wall_thickness / wall_conductivity
        given = convected(inside - inner, (inside + inner) / 2) if inner < inside else 0.0
        return flux - given

    return root(excess, ambient, inside)


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
