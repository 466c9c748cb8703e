"""Correlations of natural convection: plates, cylinders and layers of air."""

from __future__ import annotations

from math import cos, pi, sin

from guidegen.calc.air import conductivity, prandtl
from guidegen.calc.air import rayleigh as rayleigh_number
from guidegen.errors import RangeError
from guidegen.kinds import Ratio


def churchill_chu_vertical(rayleigh: Ratio, prandtl: Ratio) -> Ratio:
    """Nusselt number of a vertical plate in still air, any Rayleigh number.

    Parameters
    ----------
    rayleigh : Ratio
        Rayleigh number over the height. [-]
    prandtl : Ratio
        Prandtl number. [-]

    Returns
    -------
    Ratio
        Mean Nusselt number over the height. [-]

    Raises
    ------
    RangeError
        If the Rayleigh number is below zero or above 1e12.

    References
    ----------
    .. [1] Churchill and Chu 1975, the form for all Rayleigh numbers.
    """
    if not 0 <= rayleigh <= 1e12:
        raise RangeError("rayleigh", rayleigh, "0 to 1e12")
    return (  # type: ignore[no-any-return]  # float ** float
        0.825 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.492 / prandtl) ** (9 / 16)) ** (8 / 27)
    ) ** 2


def churchill_chu_cylinder(rayleigh: Ratio, prandtl: Ratio) -> Ratio:
    """Nusselt number of a horizontal cylinder in still air.

    Parameters
    ----------
    rayleigh : Ratio
        Rayleigh number over the diameter. [-]
    prandtl : Ratio
        Prandtl number. [-]

    Returns
    -------
    Ratio
        Mean Nusselt number over the diameter. [-]

    Raises
    ------
    RangeError
        If the Rayleigh number is below zero or above 1e12.

    References
    ----------
    .. [1] Churchill and Chu 1975, horizontal cylinder.
    """
    if not 0 <= rayleigh <= 1e12:
        raise RangeError("rayleigh", rayleigh, "0 to 1e12")
    return (  # type: ignore[no-any-return]  # float ** float
        0.60 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)
    ) ** 2


def mcadams_horizontal_up(rayleigh: float) -> float:
    """Nusselt number of a hot horizontal plate that faces up; size is area over perimeter.

    Parameters
    ----------
    rayleigh : float
        Rayleigh number, 1e4 to 1e11. [-]

    Returns
    -------
    float
        Mean Nusselt number. [-]

    Raises
    ------
    RangeError
        If the Rayleigh number is outside the published range.

    References
    ----------
    .. [1] McAdams: 0.54 Ra^(1/4) to 1e7, 0.15 Ra^(1/3) above. The two differ by a tenth there.
    """
    if not 1e4 <= rayleigh <= 1e11:
        raise RangeError("rayleigh", rayleigh, "1e4 to 1e11")
    return _upward(rayleigh)


def mcadams_horizontal_down(rayleigh: float) -> float:
    """Nusselt number of a hot horizontal plate that faces down; size is area over perimeter.

    Parameters
    ----------
    rayleigh : float
        Rayleigh number, 1e5 to 1e10. [-]

    Returns
    -------
    float
        Mean Nusselt number. [-]

    Raises
    ------
    RangeError
        If the Rayleigh number is outside the published range.

    References
    ----------
    .. [1] McAdams: 0.27 Ra^(1/4).
    """
    if not 1e5 <= rayleigh <= 1e10:
        raise RangeError("rayleigh", rayleigh, "1e5 to 1e10")
    return 0.27 * rayleigh ** (1 / 4)  # type: ignore[no-any-return]  # float ** float


def _upward(rayleigh: float) -> float:
    return 0.54 * rayleigh**0.25 if rayleigh <= 1e7 else 0.15 * rayleigh ** (1 / 3)  # type: ignore[no-any-return]  # float ** float


def plate_coefficient(height: float, short: float, lean: float, rise: float, film: float) -> float:
    """Film coefficient of a hot plate at any lean. [W/(m²·K)].

    The larger of the vertical plate with gravity along it and the horizontal plate with gravity
    across it. Below the published range of the horizontal plate the same law goes on: it is too
    low there, so temperatures err on the hot side.

    Parameters
    ----------
    height : float
        Length of the plate along its slope. [m]
    short : float
        Area over perimeter. [m]
    lean : float
        Angle of the hot face's outward normal below the horizontal: 0 vertical plate, pi/2
        faces down, -pi/2 faces up. [rad]
    rise : float
        Plate over air, zero or more. [K]
    film : float
        Mean of plate and air. [K]

    References
    ----------
    .. [1] Churchill and Chu 1975; McAdams; the larger of the two by Raithby and Hollands, from
       memory.
    """
    thermal, fluid = conductivity(film), prandtl(film)
    base = rayleigh_number(1.0, max(rise, 0.0), film)
    along = churchill_chu_vertical(max(cos(lean), 0.0) * base * height**3, fluid)
    across = abs(sin(lean)) * base * short**3
    flat = _upward(across) if lean < 0 else 0.27 * across**0.25
    return max(along * thermal / height, flat * thermal / short)


def hollands(rayleigh: float, angle: float) -> float:
    """Nusselt number of an air layer that is heated from below.

    Parameters
    ----------
    rayleigh : float
        Rayleigh number over the gap, up to 1e5 by the authors. [-]
    angle : float
        Tilt from the horizontal, 0 to 60°. [rad]

    Returns
    -------
    float
        Nusselt number, never below 1. [-]

    Raises
    ------
    RangeError
        If the angle is outside the range above.

    References
    ----------
    .. [1] Hollands, Unny, Raithby and Konicek 1976.
    """
    if not 0 <= angle <= pi / 3 + 1e-9:
        raise RangeError("angle in degrees", angle * 180 / pi, "0 to 60")
    driven = rayleigh * cos(angle)
    if driven <= 1708:
        return 1.0
    first = 1.44 * (1 - 1708 / driven) * (1 - 1708 * sin(1.8 * angle) ** 1.6 / driven)
    return 1 + first + max((driven / 5830) ** (1 / 3) - 1, 0.0)  # type: ignore[no-any-return]  # float ** float


def el_sherbiny(rayleigh: float, aspect: float) -> float:
    """Nusselt number of a vertical air layer.

    Parameters
    ----------
    rayleigh : float
        Rayleigh number over the gap. [-]
    aspect : float
        Height over gap. [-]

    Returns
    -------
    float
        Nusselt number, never below 1. [-]

    References
    ----------
    .. [1] ElSherbiny, Raithby and Hollands 1982: the largest of three forms; aspect 5 to 110,
       Rayleigh number 1e2 to 2e7, from memory.
    """
    if rayleigh <= 0:
        return 1.0
    turbulent = 0.0605 * rayleigh ** (1 / 3)
    mixed = (1 + (0.104 * rayleigh**0.293 / (1 + (6310 / rayleigh) ** 1.36)) ** 3) ** (1 / 3)
    laminar = 0.242 * (rayleigh / aspect) ** 0.272
    return max(turbulent, mixed, laminar)  # type: ignore[no-any-return]  # float ** float


def gap_nusselt(rayleigh: float, aspect: float, lean: float) -> float:
    """Nusselt number of an air layer at any lean. [-].

    Parameters
    ----------
    rayleigh : float
        Rayleigh number over the gap. [-]
    aspect : float
        Height over gap. [-]
    lean : float
        Angle of the hot side's outward normal below the horizontal: pi/2 heats the layer from
        above. [rad]

    References
    ----------
    .. [1] ISO 15099, 5.3.3: Hollands to 60°, linear between 60° and 90°, and above that
       1 + (vertical − 1) times the sine; clause from memory.
    """
    tilt = pi / 2 + lean
    if tilt <= pi / 3:
        return hollands(rayleigh, max(tilt, 0.0))
    upright = el_sherbiny(rayleigh, aspect)
    if tilt <= pi / 2:
        share = (tilt - pi / 3) / (pi / 6)
        return (1 - share) * hollands(rayleigh, pi / 3) + share * upright
    return 1 + (upright - 1) * max(sin(tilt), 0.0)
