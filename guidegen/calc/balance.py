"""Balance: centres of mass, and what tips a stand."""

from __future__ import annotations

from collections.abc import Iterable
from math import atan, cos, pi
from typing import Annotated

from guidegen.errors import RangeError
from guidegen.kinds import Count, Degree, Kilogram, Kind, Metre

MetrePerSecondSquared = Annotated[float, Kind("m/s**2", 0, "m/s²")]
Newton = Annotated[float, Kind("N", toward="down")]


def centre_of_mass(
    bodies: Iterable[tuple[float, tuple[float, float, float]]],
) -> tuple[float, float, float]:
    """Where several bodies together balance.

    Parameters
    ----------
    bodies : Iterable[tuple[float, tuple[float, float, float]]]
        Mass and centre of each. [kg, m]

    Returns
    -------
    tuple[float, float, float]
        Centre of mass. [m]

    Raises
    ------
    RangeError
        If the mass together is not above zero.

    References
    ----------
    .. [1] Sum of mass times place over the sum of mass.
    """
    known = list(bodies)
    total = sum(weight for weight, _ in known)
    if total <= 0:
        raise RangeError("mass", total, "above 0 kg")
    x, y, z = (sum(weight * at[axis] for weight, at in known) / total for axis in range(3))
    return x, y, z


def combined_offset(
    first_mass: Kilogram, first_offset: Metre, second_mass: Kilogram, second_offset: Metre
) -> Metre:
    """How far from an axis two bodies together balance.

    Parameters
    ----------
    first_mass : Kilogram
        Mass of one, such as the stand. [kg]
    first_offset : Metre
        Its centre from the axis. [m]
    second_mass : Kilogram
        Mass of the other, such as the light. [kg]
    second_offset : Metre
        Its centre from the axis. [m]

    Returns
    -------
    Metre
        Common centre from the axis. [m]

    Raises
    ------
    RangeError
        If the mass together is not above zero.

    References
    ----------
    .. [1] Sum of mass times place over the sum of mass.
    """
    if first_mass + second_mass <= 0:
        raise RangeError("mass", first_mass + second_mass, "above 0 kg")
    return (first_mass * first_offset + second_mass * second_offset) / (first_mass + second_mass)


def tipping_edge(radius: Metre, feet: Count) -> Metre:
    """Nearest tipping edge of a stand with its feet on a circle.

    Parameters
    ----------
    radius : Metre
        Radius of the circle of feet. [m]
    feet : Count
        Number of feet, three and more. [-]

    Returns
    -------
    Metre
        Edge from the axis. [m]

    Raises
    ------
    RangeError
        If there are fewer than three feet.

    References
    ----------
    .. [1] Geometry: the edge joins two neighbouring feet.
    """
    if feet < 3:
        raise RangeError("feet", feet, "3 and more")
    return radius * cos(pi / feet)


def tipping_angle(margin: Metre, height: Metre) -> Degree:
    """Lean at which a stand tips.

    Parameters
    ----------
    margin : Metre
        Centre of mass to tipping edge, level. [m]
    height : Metre
        Height of the centre of mass. [m]

    Returns
    -------
    Degree
        Angle. [rad]

    Raises
    ------
    RangeError
        If the height is not above zero.

    References
    ----------
    .. [1] Moments about the edge.
    """
    if height <= 0:
        raise RangeError("height", height, "above 0 m")
    return atan(margin / height)


def tipping_push(
    mass: Kilogram, gravity: MetrePerSecondSquared, margin: Metre, height: Metre
) -> Newton:
    """Level push that tips a stand.

    Parameters
    ----------
    mass : Kilogram
        Stand and light together. [kg]
    gravity : MetrePerSecondSquared
        Acceleration of gravity, 9.80665 by definition. [m/s²]
    margin : Metre
        Centre of mass to tipping edge, level. [m]
    height : Metre
        Height of the push. [m]

    Returns
    -------
    Newton
        Force. [N]

    Raises
    ------
    RangeError
        If the height is not above zero.

    References
    ----------
    .. [1] Moments about the edge.
    """
    if height <= 0:
        raise RangeError("height", height, "above 0 m")
    return mass * gravity * margin / height
