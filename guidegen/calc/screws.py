"""Screws and what is drilled for them: pilots, clearance, countersinks, pockets."""

from __future__ import annotations

from math import pi, sqrt, tan

from guidegen.calc import tables
from guidegen.errors import RangeError
from guidegen.kinds import Count, Degree, FineMetre, Metre, Ratio

#: An inch, exactly. [m]
INCH = 0.0254


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


def across_corners(side: FineMetre) -> FineMetre:
    """Width of a square from corner to corner.

    Parameters
    ----------
    side : FineMetre
        Its side. [m]

    Returns
    -------
    FineMetre
        Its diagonal. [m]

    References
    ----------
    .. [1] Geometry.
    """
    return side * sqrt(2)


def barrel(length: FineMetre, plate: FineMetre) -> FineMetre:
    """What a nut with a plate is long beyond that plate.

    Parameters
    ----------
    length : FineMetre
        Its length, the plate included. [m]
    plate : FineMetre
        Thickness of the plate. [m]

    Returns
    -------
    FineMetre
        Length of its barrel; zero of a plain nut. [m]

    References
    ----------
    .. [1] Geometry.
    """
    return length - plate


def least_wood(width: Metre, height: Metre, seat: FineMetre, outer: FineMetre) -> FineMetre:
    """The thinnest wood that holds a nut in a block of layers.

    Parameters
    ----------
    width, height : Metre
        Sides of the layer that its pocket lies in the middle of. [m]
    seat : FineMetre
        Width of the pocket. [m]
    outer : FineMetre
        Thickness of the layers outside of it. [m]

    Returns
    -------
    FineMetre
        Beside the pocket or outside of it. [m]

    References
    ----------
    .. [1] Geometry.
    """
    return min((width - seat) / 2, (height - seat) / 2, outer)
