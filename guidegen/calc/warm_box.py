"""Temperatures of a closed box with heat made inside, in still air and steady state."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from guidegen.calc import convection
from guidegen.calc.numeric import root
from guidegen.calc.radiation import radiation_coefficient
from guidegen.errors import RangeError
from guidegen.kinds import (
    Celsius,
    FineMetre,
    Metre,
    Ratio,
    SquareMetre,
    Watt,
    WattPerMetreKelvin,
)


@dataclass(frozen=True)
class _Wall:
    """An upright wall of a box, and what leaves its faces. [W/m²]."""

    height: float
    emissivity: float
    ambient: float
    film_factor: float

    def convected(self, warm: float, cool: float) -> float:
        """From air to a face, or from a face to air."""
        rise, mean = warm - cool, (warm + cool) / 2
        film = convection.plate_coefficient(self.height, self.height, 0.0, rise, mean)
        return self.film_factor * film * rise

    def given_off(self, outer: float) -> float:
        """By the outer face, to the room."""
        radiated = radiation_coefficient(self.emissivity, outer, self.ambient)
        return self.convected(outer, self.ambient) + radiated * (outer - self.ambient)


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
    flux, wall = loss / area, _Wall(height, emissivity, ambient, film_factor)
    outer = root(lambda face: wall.given_off(face) - flux, ambient, ambient + flux / 8 + 1e-6)
    inner = outer + flux * wall_thickness / wall_conductivity
    return root(lambda hot: wall.convected(hot, inner) - flux, inner, inner + flux / 3 + 1e-6)


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
    wall = _Wall(height, emissivity, ambient, film_factor)

    def excess(outer: float) -> float:
        flux = wall.given_off(outer)
        inner = outer + flux * wall_thickness / wall_conductivity
        return flux - (wall.convected(inside, inner) if inner < inside else 0.0)

    return root(excess, ambient, inside)
