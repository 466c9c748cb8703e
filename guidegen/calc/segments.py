"""Distances between straight stretches of wire on a face, many at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def distances(first: Floats, second: Floats) -> Floats:
    """Shortest distance of every segment of one set to every segment of another.

    Parameters
    ----------
    first, second : array, shape (n, 4) and (m, 4)
        Ends `x0, y0, x1, y1` of each segment; both ends may be one point. [m]

    Returns
    -------
    array, shape (n, m)
        Zero where they cross or touch. [m]

    References
    ----------
    .. [1] C. Ericson, "Real-Time Collision Detection" (2005), section 5.1.9, from memory: two
       segments in a plane are nearest at an end of one of them, unless they cross.

    Examples
    --------
    >>> wall, point = np.array([[0.0, 0.0, 0.0, 4.0]]), np.array([[3.0, 8.0, 3.0, 8.0]])
    >>> float(distances(wall, point)[0, 0])
    5.0
    """
    a, b = first[:, None, :2], first[:, None, 2:]
    c, d = second[None, :, :2], second[None, :, 2:]
    ends = [_to_segment(c, a, b), _to_segment(d, a, b), _to_segment(a, c, d), _to_segment(b, c, d)]
    nearest: Floats = np.minimum.reduce(ends)
    return np.where(_cross(a, b, c, d), 0.0, nearest)


def _to_segment(point: Floats, start: Floats, end: Floats) -> Floats:
    along = end - start
    length = np.sum(along**2, axis=-1)
    share = np.sum((point - start) * along, axis=-1) / np.where(length > 0, length, 1.0)
    foot = start + np.clip(share, 0.0, 1.0)[..., None] * along
    found: Floats = np.sqrt(np.sum((point - foot) ** 2, axis=-1))
    return found


def _cross(a: Floats, b: Floats, c: Floats, d: Floats) -> NDArray[np.bool_]:
    """Whether both ends of each segment lie on different sides of the other."""
    apart = (_side(a, b, c) * _side(a, b, d) < 0) & (_side(c, d, a) * _side(c, d, b) < 0)
    found: NDArray[np.bool_] = apart
    return found


def _side(start: Floats, end: Floats, point: Floats) -> Floats:
    along, to = end - start, point - start
    found: Floats = along[..., 0] * to[..., 1] - along[..., 1] * to[..., 0]
    return found
