"""What takes heat out of a box: a sink in free air, and air that rises through vents."""

from __future__ import annotations

from functools import lru_cache
from math import cos, pi, sqrt

from guidegen.calc import air
from guidegen.calc.numeric import root
from guidegen.calc.warm_box import box_temperature
from guidegen.errors import RangeError
from guidegen.kinds import (
    Celsius,
    Count,
    Degree,
    FineMetre,
    FreeArea,
    KelvinPerWatt,
    Metre,
    Percent,
    Ratio,
    SquareMetre,
    Watt,
    WattPerMetreKelvin,
    WattPerSquareMetreKelvin,
)

#: Flow through a hole with sharp edges, over its area.
DISCHARGE = 0.6
#: Heat capacity of air. [J/(kg·K)].
HEAT_CAPACITY = 1006.0


def sink_resistance(area: SquareMetre, coefficient: WattPerSquareMetreKelvin) -> KelvinPerWatt:
    """Thermal resistance of a body to the air around it.

    Parameters
    ----------
    area : SquareMetre
        Its outer area, without the face that lies on the module and without its fins. [m²]
    coefficient : WattPerSquareMetreKelvin
        Heat transfer at that area. [W/(m²·K)]

    Returns
    -------
    KelvinPerWatt
        Resistance. [K/W]

    Raises
    ------
    RangeError
        If the area or the coefficient is not above zero.

    References
    ----------
    .. [1] Definition of the coefficient of heat transfer.
    """
    if area <= 0:
        raise RangeError("area", area, "above 0 m²")
    if coefficient <= 0:
        raise RangeError("coefficient", coefficient, "above 0 W/(m²·K)")
    return 1 / (coefficient * area)


def by_share(loss: Watt, share: Percent) -> Watt:
    """The part of a module's heat that its sink takes.

    References
    ----------
    .. [1] Definition of the share.
    """
    return loss * share


def rest_of(loss: Watt, share: Percent) -> Watt:
    """The part of a module's heat that its sink does not take.

    References
    ----------
    .. [1] Conservation of energy.
    """
    return loss * (1 - share)


def sink_temperature(around: Celsius, resistance: KelvinPerWatt, heat: Watt) -> Celsius:
    """Temperature of a sink.

    Parameters
    ----------
    around : Celsius
        Air around it. [K]
    resistance : KelvinPerWatt
        From the sink to that air. [K/W]
    heat : Watt
        Heat that it takes. [W]

    Returns
    -------
    Celsius
        Temperature. [K]

    References
    ----------
    .. [1] Definition of thermal resistance.
    """
    return around + resistance * heat


def round_area(count: Count, diameter: FineMetre) -> FreeArea:
    """Free area of round holes.

    References
    ----------
    .. [1] Area of a circle.
    """
    return count * pi * diameter**2 / 4


def slot_area(count: Count, width: FineMetre, length: FineMetre) -> FreeArea:
    """Free area of slots with round ends.

    References
    ----------
    .. [1] A rectangle between two half circles.
    """
    return count * (pi * width**2 / 4 + width * (length - width))


def upright(height: Metre, tilt: Degree) -> Metre:
    """How much higher one wall is than the other in a light that leans.

    Parameters
    ----------
    height : Metre
        From wall to wall, up the board. [m]
    tilt : Degree
        Of the light side below the horizontal. [rad]

    References
    ----------
    .. [1] Geometry.
    """
    return height * abs(cos(tilt))


def carried_off(inside: float, ambient: float, area: float, rise: float) -> float:
    """Heat that air carries off as it rises through two equal rows of holes. [W].

    Parameters
    ----------
    inside, ambient : float
        Air in the box, and around it. [K]
    area : float
        Free area of one row. [m²]
    rise : float
        How much higher the upper row is. [m]

    References
    ----------
    .. [1] Stack effect, ASHRAE Handbook of Fundamentals, chapter on ventilation (from memory):
       flow C A √(2 g H ΔT / T); two equal openings in series count as one of A/√2; sharp edges,
       C = 0.6.
    """
    warmer = max(inside - ambient, 0.0)
    flow = DISCHARGE * area / sqrt(2) * sqrt(2 * air.GRAVITY * max(rise, 0.0) * warmer / inside)
    return air.density(inside) * HEAT_CAPACITY * flow * warmer


@lru_cache(maxsize=1024)
def vented_temperature(
    *,
    loss: Watt,
    area: SquareMetre,
    height: Metre,
    wall_thickness: FineMetre,
    wall_conductivity: WattPerMetreKelvin,
    emissivity: Ratio,
    ambient: Celsius,
    film_factor: Ratio = 1.0,
    vent_area: FreeArea,
    vent_rise: Metre,
    vent_share: Percent,
) -> Celsius:
    """Temperature of the air inside a box that cools through its walls and its vents.

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
        Multiplies the convection inside and outside. [-]
    vent_area : FreeArea
        Free area of one of two equal rows of vents. [m²]
    vent_rise : Metre
        How much higher the upper row is than the lower one. [m]
    vent_share : Percent
        What dust and grilles leave of the free area. [-]

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
    .. [1] The heat balance of the closed box, and the stack effect through its vents.
    """
    if not 0 <= vent_share <= 1:
        raise RangeError("vent_share", vent_share, "0 to 1")

    def closed(left: float) -> float:
        return box_temperature(
            loss=left, area=area, height=height, wall_thickness=wall_thickness,
            wall_conductivity=wall_conductivity, emissivity=emissivity, ambient=ambient,
            film_factor=film_factor,
        )  # fmt: skip

    def excess(inside: float) -> float:
        off = carried_off(inside, ambient, vent_area * vent_share, vent_rise)
        return inside - closed(max(loss - off, 0.0))

    return root(excess, ambient, closed(loss) + 1e-6)
