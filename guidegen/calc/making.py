"""Making: mass, movement with heat, tolerances, screws and holes, balance."""

from __future__ import annotations

from math import pi, tan
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
    Degree,
    FineMetre,
    Kelvin,
    Kilogram,
    KilogramPerCubicMetre,
    Kind,
    Metre,
    PerKelvin,
    Ratio,
)

__all__ = [
    "INCH",
    "CubicCentimetre",
    "CubicMetre",
    "centre_of_mass",
    "combined_offset",
    "countersink_depth",
    "expansion",
    "mass",
    "piece_mass",
    "pilot_diameter",
    "pilot_hole",
    "pocket_depth",
    "pocket_width",
    "pull_load",
    "rod_mass",
    "screw_diameter",
    "screw_reach",
    "shank_hole",
    "stacked",
    "tipping_angle",
    "tipping_edge",
    "tipping_push",
    "tolerance_2768",
]

#: An inch, exactly. [m]
INCH = 0.0254

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


def screw_diameter(number: Count, inch: FineMetre = INCH) -> FineMetre:
    """Shank diameter of a wood screw by its number.

    Parameters
    ----------
    number : Count
        Screw number, 0 to 24. [-]
    inch : FineMetre
        An inch, 25.4 mm by definition. [m]

    Returns
    -------
    FineMetre
        Diameter. [m]

    Raises
    ------
    RangeError
        If the number is out of range.

    References
    ----------
    .. [1] ASME B18.6.1: 0.060 in and 0.013 in more for each number.
    """
    if not 0 <= number <= 24:
        raise RangeError("number", number, "0 to 24")
    return (0.060 + 0.013 * number) * inch


def pilot_hole(number: Count, hole: str) -> FineMetre:
    """Drill for a wood screw of a number.

    Parameters
    ----------
    number : Count
        Screw number: 4, 6, 8, 10 or 12. [-]
    hole : str
        `softwood` or `hardwood` for the thread, `shank` for the clearance. [-]

    Returns
    -------
    FineMetre
        Diameter of the drill. [m]

    Raises
    ------
    RangeError
        If the number is not in the chart.
    GuidegenError
        If there is no such hole.

    References
    ----------
    .. [1] Two wood-screw charts that agree; common practice, no publication.
    """
    drills = tables.pilot_holes(hole)
    if number not in drills:
        raise RangeError("number", number, ", ".join(str(known) for known in drills))
    return drills[int(number)]


def pilot_diameter(screw: FineMetre, share: Ratio) -> FineMetre:
    """Pilot hole for a screw of a diameter.

    Parameters
    ----------
    screw : FineMetre
        Outer diameter of the thread. [m]
    share : Ratio
        Hole over screw, 0 to 1. [-]

    Returns
    -------
    FineMetre
        Diameter of the hole. [m]

    Raises
    ------
    RangeError
        If the share is not between 0 and 1.

    References
    ----------
    .. [1] Common practice, no source: 0.6 for softwood and boards, 0.7 for hardwood.
    """
    if not 0 < share < 1:
        raise RangeError("share", share, "above 0, below 1")
    return screw * share


def shank_hole(screw: FineMetre, play: FineMetre) -> FineMetre:
    """Hole that a screw passes without holding.

    Parameters
    ----------
    screw : FineMetre
        Outer diameter of the thread. [m]
    play : FineMetre
        Room around it, both sides together. [m]

    Returns
    -------
    FineMetre
        Diameter of the hole. [m]

    References
    ----------
    .. [1] Geometry.
    """
    return screw + play


def screw_reach(length: FineMetre, through: FineMetre) -> FineMetre:
    """How far a screw reaches into the piece that it holds in.

    Parameters
    ----------
    length : FineMetre
        Length of the screw under its seat. [m]
    through : FineMetre
        Thickness of what it passes through first. [m]

    Returns
    -------
    FineMetre
        Depth of its pilot hole; not above zero: the screw is too short. [m]

    References
    ----------
    .. [1] Geometry.
    """
    return length - through


def stacked(first: FineMetre, second: FineMetre) -> FineMetre:
    """Height of two things that lie on one another.

    Parameters
    ----------
    first, second : FineMetre
        Their thicknesses. [m]

    Returns
    -------
    FineMetre
        Both together. [m]

    References
    ----------
    .. [1] Geometry.
    """
    return first + second


def pocket_depth(wall: FineMetre, panel: FineMetre) -> FineMetre:
    """Depth of a pocket that thins a wall for a part that clamps a thin panel.

    Parameters
    ----------
    wall : FineMetre
        Thickness of the wall. [m]
    panel : FineMetre
        Thickest panel that the part clamps. [m]

    Returns
    -------
    FineMetre
        Depth. [m]

    References
    ----------
    .. [1] Geometry.
    """
    return wall - panel


def pocket_width(body: FineMetre, air: FineMetre) -> FineMetre:
    """Diameter of a pocket that a part's body goes into.

    Parameters
    ----------
    body : FineMetre
        Widest size of the body. [m]
    air : FineMetre
        Room around it, both sides together. [m]

    Returns
    -------
    FineMetre
        Diameter. [m]

    References
    ----------
    .. [1] Geometry.
    """
    return body + air


def countersink_depth(head: FineMetre, hole: FineMetre, angle: Degree) -> FineMetre:
    """How deep a countersink must go for a flush head.

    Parameters
    ----------
    head : FineMetre
        Diameter of the head. [m]
    hole : FineMetre
        Diameter of the hole. [m]
    angle : Degree
        Angle of the head, 90° for metric wood screws. [rad]

    Returns
    -------
    FineMetre
        Depth of the cone. [m]

    Raises
    ------
    RangeError
        If the angle is out of range.

    References
    ----------
    .. [1] Geometry of a cone.
    """
    if not 0 < angle < pi:
        raise RangeError("angle", angle, "above 0, below π rad")
    return (head - hole) / 2 / tan(angle / 2)
