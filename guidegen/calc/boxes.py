"""Boxes along the axes, many at once: how deep they lie in one another, how far apart they are."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def overlaps(low: Floats, high: Floats, other_low: Floats, other_high: Floats) -> Floats:
    """How deep each box of one list lies in each of another.

    Parameters
    ----------
    low, high : array, shape (n, d)
        Corners of the first boxes. [m]
    other_low, other_high : array, shape (m, d)
        Corners of the others. [m]

    Returns
    -------
    array, shape (n, m)
        The least of the overlaps along the axes; zero or less where two boxes lie apart. [m]

    References
    ----------
    .. [1] Geometry: boxes along the axes meet where they meet along every axis.
    """
    ends = np.minimum(high[:, None, :], other_high[None, :, :])
    starts = np.maximum(low[:, None, :], other_low[None, :, :])
    shared: Floats = (ends - starts).min(axis=2)
    return shared


def gaps(low: Floats, high: Floats, other_low: Floats, other_high: Floats) -> Floats:
    """The distance between each box of one list and each of another.

    Parameters
    ----------
    low, high : array, shape (n, d)
        Corners of the first boxes. [m]
    other_low, other_high : array, shape (m, d)
        Corners of the others. [m]

    Returns
    -------
    array, shape (n, m)
        Zero where two boxes meet. [m]

    References
    ----------
    .. [1] Geometry: the distances along the axes, put together at right angles.
    """
    apart = np.maximum(
        low[:, None, :] - other_high[None, :, :], other_low[None, :, :] - high[:, None, :]
    )
    found: Any = np.sqrt((np.maximum(apart, 0.0) ** 2).sum(axis=2))
    return np.asarray(found, dtype=np.float64)
