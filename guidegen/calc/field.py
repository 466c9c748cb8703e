"""Light over a field from panels placed round it, and the stripes of rows on a cover."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from guidegen.errors import GuidegenError, RangeError, accepted_words
from guidegen.kinds import CandelaPerSquareMetre, Degree, Lux, Metre, Percent

#: Nodes along each edge of a panel, and points along each edge of the field.
NODES = 6
POINTS = 11

#: Where a panel stands, as the direction it leans away from the field's axis.
SIDES = {"front": (0.0, 0.0), "left": (-1.0, 0.0), "right": (1.0, 0.0), "top": (0.0, 1.0),
         "bottom": (0.0, -1.0)}  # fmt: skip

_Array = npt.NDArray[np.float64]
_Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class LitPanel:
    """A Lambertian rectangle in front of the field, whose plane is z = 0."""

    luminance: float
    """Luminance, alike in all directions. [cd/m²]."""
    width: float
    """Along `across`. [m]."""
    height: float
    """Along `up`. [m]."""
    centre: _Triple
    """Centre of the rectangle. [m]."""
    across: _Triple
    """Unit vector along the width."""
    up: _Triple
    """Unit vector along the height; `across` times `up` points away from the lit side."""


def placed(
    luminance: float, width: float, height: float, distance: float, angle: float, side: str
) -> LitPanel:
    """A panel that stands at one side of the field and aims at its centre.

    Parameters
    ----------
    luminance : float
        Luminance. [cd/m²]
    width, height : float
        Lit size; the width lies across the field's left and right. [m]
    distance : float
        From the field's centre to the panel's. [m]
    angle : float
        Between the field's axis and the line to the panel; 0 is straight in front. [rad]
    side : str
        One of `SIDES`; `front` stands on the axis whatever the angle.

    Raises
    ------
    RangeError
        If the distance is not above zero or the panel stands beside or behind the field.
    GuidegenError
        If the side is unknown.
    """
    if side not in SIDES:
        raise GuidegenError(f"unknown side {side!r}. {accepted_words(side, list(SIDES))}")
    if distance <= 0:
        raise RangeError("distance", distance, "above 0 m")
    # Below zero only where a tolerance crosses the axis: then the panel leans to the other side.
    if not -math.pi / 2 < angle < math.pi / 2:
        raise RangeError("angle in degrees", math.degrees(angle), "above -90, below 90")
    x, y = SIDES[side]
    lean = angle if (x, y) != (0.0, 0.0) else 0.0
    sine, cosine = math.sin(lean), math.cos(lean)
    centre = (distance * sine * x, distance * sine * y, distance * cosine)
    across = (cosine, 0.0, -sine * x) if x else (1.0, 0.0, 0.0)
    up = (0.0, cosine, -sine * y) if y else (0.0, 1.0, 0.0)
    return LitPanel(luminance, width, height, centre, across, up)


def field_illuminance(panels: tuple[LitPanel, ...], points: _Array) -> _Array:
    """Illuminance at points of the field's plane.

    Parameters
    ----------
    panels : tuple[LitPanel, ...]
        All panels that are lit.
    points : array, shape (points, 2)
        Places in the plane z = 0. [m]

    Returns
    -------
    array, shape (points,)
        Illuminance. [lx]

    References
    ----------
    .. [1] Direct sum of L cos·cos/d² over each panel, at Gauss–Legendre nodes.
    """
    total = np.zeros(len(points))
    for panel in panels:
        nodes, weights, normal = _nodes(panel)
        # Away from the node, towards the point; shape (points, nodes, 3).
        path = np.concatenate([points, np.zeros((len(points), 1))], axis=1)[:, None] - nodes
        square = np.einsum("pnk,pnk->pn", path, path)
        leaving = np.maximum(path @ normal, 0.0)
        arriving = np.maximum(-path[..., 2], 0.0)
        total += panel.luminance * (leaving * arriving / square**2) @ weights
    return total


def _nodes(panel: LitPanel) -> tuple[_Array, _Array, _Array]:
    """Places, area weights and lit normal of a panel."""
    across, up = np.array(panel.across), np.array(panel.up)
    u, v = np.meshgrid(_GAUSS[0], _GAUSS[0])
    nodes = (
        np.array(panel.centre)
        + u.reshape(-1, 1) * across * panel.width / 2
        + v.reshape(-1, 1) * up * panel.height / 2
    )
    weights = np.outer(_GAUSS[1], _GAUSS[1]).ravel() * panel.width * panel.height / 4
    return nodes, weights, -np.cross(across, up)


@lru_cache(maxsize=16)
def _grid(width: float, height: float) -> tuple[_Array, _Array]:
    """Points edge to edge, and the weight that each has in the mean."""
    line = np.linspace(-0.5, 0.5, POINTS)
    # Simpson's rule: edge points count once, the others four times and twice in turn.
    share = np.array([1.0, *[4.0, 2.0] * ((POINTS - 3) // 2), 4.0, 1.0])
    x, y = np.meshgrid(line * width, line * height)
    weight = np.outer(share, share).ravel()
    return np.column_stack([x.ravel(), y.ravel()]), weight / weight.sum()


@lru_cache(maxsize=1024)
def field_centre(
    *,
    luminance: CandelaPerSquareMetre,
    width: Metre,
    height: Metre,
    distance: Metre,
    angle: Degree,
    field_width: Metre,
    field_height: Metre,
    sides: tuple[str, ...],
) -> Lux:
    """Illuminance at the centre of the field, all panels together.

    Parameters
    ----------
    luminance : CandelaPerSquareMetre
        Luminance of each panel, alike in all directions. [cd/m²]
    width : Metre
        Lit width of a panel. [m]
    height : Metre
        Lit height of a panel. [m]
    distance : Metre
        From the field's centre to a panel's centre. [m]
    angle : Degree
        Between the field's axis and the line to a panel. [rad]
    field_width : Metre
        Width of the field; the centre does not depend on it. [m]
    field_height : Metre
        Height of the field; the centre does not depend on it. [m]
    sides : tuple[str, ...]
        Where each panel stands: `front`, `left`, `right`, `top`, `bottom`.

    Returns
    -------
    Lux
        Illuminance. [lx]

    Raises
    ------
    RangeError
        If the distance or the angle is out of range.
    GuidegenError
        If a side is unknown.

    References
    ----------
    .. [1] Direct sum over Lambertian rectangles aimed at the field's centre.
    """
    panels = tuple(placed(luminance, width, height, distance, angle, side) for side in sides)
    return float(field_illuminance(panels, np.zeros((1, 2)))[0])


@lru_cache(maxsize=1024)
def field_evenness(
    *,
    luminance: CandelaPerSquareMetre,
    width: Metre,
    height: Metre,
    distance: Metre,
    angle: Degree,
    field_width: Metre,
    field_height: Metre,
    sides: tuple[str, ...],
) -> Percent:
    """Evenness of the light over the field: least over mean.

    Parameters
    ----------
    luminance : CandelaPerSquareMetre
        Luminance of each panel, alike in all directions. [cd/m²]
    width : Metre
        Lit width of a panel. [m]
    height : Metre
        Lit height of a panel. [m]
    distance : Metre
        From the field's centre to a panel's centre. [m]
    angle : Degree
        Between the field's axis and the line to a panel. [rad]
    field_width : Metre
        Width of the field. [m]
    field_height : Metre
        Height of the field. [m]
    sides : tuple[str, ...]
        Where each panel stands: `front`, `left`, `right`, `top`, `bottom`.

    Returns
    -------
    Percent
        Least illuminance over mean illuminance, corners included. [-]

    Raises
    ------
    RangeError
        If the distance or the angle is out of range, or no light reaches the field.
    GuidegenError
        If a side is unknown.

    References
    ----------
    .. [1] Direct sum over Lambertian rectangles aimed at the field's centre, 11 by 11 points
       from edge to edge, mean by Simpson's rule.
    """
    panels = tuple(placed(luminance, width, height, distance, angle, side) for side in sides)
    points, weights = _grid(field_width, field_height)
    found = field_illuminance(panels, points)
    mean = float(found @ weights)
    if mean <= 0:
        raise RangeError("illuminance", mean, "above 0 lx: no light reaches the field")
    return float(found.min()) / mean


@lru_cache(maxsize=1024)
def nine_point_evenness(
    *,
    luminance: CandelaPerSquareMetre,
    width: Metre,
    height: Metre,
    distance: Metre,
    angle: Degree,
    field_width: Metre,
    field_height: Metre,
    sides: tuple[str, ...],
) -> Percent:
    """Evenness as a meter reads it at nine points of the field: least over plain mean.

    Parameters and errors are those of `field_evenness`.

    Returns
    -------
    Percent
        Least illuminance over mean illuminance. [-]

    References
    ----------
    .. [1] Direct sum over Lambertian rectangles aimed at the field's centre, at its corners, the
       middles of its sides, and its middle.
    """
    panels = tuple(placed(luminance, width, height, distance, angle, side) for side in sides)
    found = field_illuminance(panels, _nine(field_width, field_height))
    if found.max() <= 0:
        raise RangeError("illuminance", 0.0, "above 0 lx: no light reaches the field")
    return float(found.min() / found.mean())


@lru_cache(maxsize=1024)
def nine_point_greatest(
    *,
    luminance: CandelaPerSquareMetre,
    width: Metre,
    height: Metre,
    distance: Metre,
    angle: Degree,
    field_width: Metre,
    field_height: Metre,
    sides: tuple[str, ...],
) -> Lux:
    """Greatest of the nine readings of a field; with the lights aside it is none of the middle.

    Parameters and errors are those of `field_evenness`.

    Returns
    -------
    Lux
        Illuminance. [lx]

    References
    ----------
    .. [1] Direct sum over Lambertian rectangles aimed at the field's centre, at its corners, the
       middles of its sides, and its middle.
    """
    panels = tuple(placed(luminance, width, height, distance, angle, side) for side in sides)
    return float(field_illuminance(panels, _nine(field_width, field_height)).max())


def _nine(width: float, height: float) -> _Array:
    """Corners, middles of the sides and middle of a field about its centre: (point, 2). [m]."""
    x, y = np.meshgrid(np.array([-0.5, 0, 0.5]) * width, np.array([-0.5, 0, 0.5]) * height)
    return np.column_stack([x.ravel(), y.ravel()])


@lru_cache(maxsize=1024)
def cover_ripple(gap: Metre, pitch: Metre) -> Percent:
    """Stripes of the rows on a diffusing cover: amplitude over mean.

    Parameters
    ----------
    gap : Metre
        Tape to cover. [m]
    pitch : Metre
        Row to row, or LED to LED. [m]

    Returns
    -------
    Percent
        Half of greatest less least, over the mean. [-]

    Raises
    ------
    RangeError
        If the gap or the pitch is not above zero.

    References
    ----------
    .. [1] First Fourier term of equal Lambertian lines: 2z·K1(z), z = 2π·gap/pitch, K1 the
       modified Bessel function, by its integral.
    """
    if gap <= 0:
        raise RangeError("gap", gap, "above 0 m")
    if pitch <= 0:
        raise RangeError("pitch", pitch, "above 0 m")
    z = 2 * math.pi * gap / pitch
    return 2 * z * _bessel_k1(z)


def _bessel_k1(z: float) -> float:
    """K1 as the integral of exp(−z cosh t) cosh t: the trapezium rule is exact to rounding."""
    # At its end the integrand has fallen by exp(45), beyond the digits of a float.
    end = math.acosh(1 + 45 / z)
    step = end / 200
    total = 0.5
    for index in range(1, 201):
        grow = math.cosh(index * step)
        total += math.exp(-z * (grow - 1)) * grow
    return math.exp(-z) * total * step


def _legendre() -> tuple[_Array, _Array]:
    nodes, weights = np.polynomial.legendre.leggauss(NODES)
    return nodes, weights


_GAUSS = _legendre()
