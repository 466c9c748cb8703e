"""Sparse elimination for nodal equations: inner points go first, a small border is left.

A light is nearly a tree of ladders, so elimination in the order of least degree fills in next to
nothing. It is written in plain Python: a factorisation of a few hundred points takes a
millisecond, and no library's threads wait for one another.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
#: Conductances between points, by row; the diagonal is among them. [S].
Mesh = list[dict[int, float]]


def order_of(neighbours: Sequence[Iterable[int]], border: Iterable[int]) -> list[int]:
    """Inner points in the order of their elimination, the one with the fewest neighbours first.

    Parameters
    ----------
    neighbours : Sequence[Iterable[int]]
        Of every point.
    border : Iterable[int]
        Points that stay.

    References
    ----------
    .. [1] W. F. Tinney, J. W. Walker, "Direct solutions of sparse network equations by optimally
       ordered triangular factorization", Proceedings of the IEEE 55 (1967), from memory: their
       second scheme.

    Examples
    --------
    >>> order_of([[1], [0, 2], [1, 3], [2]], border=[3])
    [0, 1, 2]
    """
    stays = set(border)
    beside = [set(found) - {point} for point, found in enumerate(neighbours)]
    by_degree: dict[int, dict[int, None]] = {}
    for point, found in enumerate(beside):
        if point not in stays:
            by_degree.setdefault(len(found), {})[point] = None
    order: list[int] = []
    while by_degree:
        least = min(by_degree)
        point = next(iter(by_degree[least]))
        _forget(by_degree, least, point)
        order.append(point)
        mine = beside[point]
        for other in sorted(mine):
            before = len(beside[other])
            beside[other] |= mine
            beside[other] -= {other, point}
            after = len(beside[other])
            if other not in stays and after != before:
                _forget(by_degree, before, other)
                by_degree.setdefault(after, {})[other] = None
    return order


def _forget(by_degree: dict[int, dict[int, None]], degree: int, point: int) -> None:
    del by_degree[degree][point]
    if not by_degree[degree]:
        del by_degree[degree]


def solved(
    mesh: Mesh, rest: Floats, order: Sequence[int], border: Sequence[int], more: Floats
) -> Floats | None:
    """Solve symmetric conductances together with a dense border of further equations.

    Parameters
    ----------
    mesh : Mesh
        Conductances; they are used up.
    rest : array, shape (n + m,)
        Right side: n points, then m further equations.
    order : Sequence[int]
        Inner points in the order of their elimination.
    border : Sequence[int]
        The other points.
    more : array, shape (b + m, b + m)
        What the further equations and unknowns add between border points and themselves.

    Returns
    -------
    array, shape (n + m,)
        The unknowns; None where there is no single solution.

    References
    ----------
    .. [1] Gaussian elimination; the border keeps the Schur complement.
    """
    right = rest.tolist()
    gone = []
    for point in order:
        row = mesh[point]
        pivot = row.pop(point, 0.0)
        if pivot <= 0:
            return None
        value = right[point]
        for i, mine in row.items():
            factor = mine / pivot
            other = mesh[i]
            del other[point]
            for j, theirs in row.items():
                other[j] = other.get(j, 0.0) - factor * theirs
            right[i] -= factor * value
        gone.append((point, pivot, row))
    found = _border(mesh, right, border, more)
    if found is None:
        return None
    for point, pivot, row in reversed(gone):
        found[point] = (right[point] - sum(v * found[j] for j, v in row.items())) / pivot
    return np.array(found)


def _border(
    mesh: Mesh, right: list[float], border: Sequence[int], more: Floats
) -> list[float] | None:
    matrix = more.copy()
    place = {point: i for i, point in enumerate(border)}
    for point, i in place.items():
        for other, value in mesh[point].items():
            matrix[i, place[other]] += value
    points = len(mesh)
    try:
        found = np.linalg.solve(matrix, [right[p] for p in border] + right[points:])
    except np.linalg.LinAlgError:
        return None
    if not np.all(np.isfinite(found)):
        return None
    whole: list[float] = [0.0] * points + found[len(border) :].tolist()
    for point, i in place.items():
        whole[point] = float(found[i])
    return whole
