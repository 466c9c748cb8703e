"""The most weight of pieces that through cuts can get out of one sheet, pieces in any number.

Every weighting of the pieces gives a rule for the bound: the sheets that are bought must hold the
weight of all pieces. The recursion tries every cut of every smaller plate; plates are cut only
where sums of sides end. Where there are too many such places, sizes are rounded down to a coarse
grid, stock and pieces alike: rounding down never makes a layout impossible, so the rule holds.

References
----------
.. [1] P. C. Gilmore, R. E. Gomory, The theory and computation of knapsack functions, Operations
   Research 14 (1966); from memory.
.. [2] J. E. Beasley, Algorithms for unconstrained two-dimensional guillotine cutting, Journal of
   the Operational Research Society 36 (1985); from memory.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from guidegen.calc.cutting.bound import Rule
from guidegen.calc.cutting.fill import Job

Ints = np.ndarray[tuple[int, ...], np.dtype[np.int64]]


class Knapsacks:
    """One knapsack for each stock of a job.

    Parameters
    ----------
    job : Job
        Pieces and stock.
    most : int
        Places along one side; more are rounded down to a grid of that many.
    """

    def __init__(self, job: Job, most: int) -> None:
        self.job = job
        self.each = [PlateKnapsack(job, plate, most) for plate in job.plates]
        self.cost = sum(len(one.x) * len(one.y) for one in self.each)

    def rule(self, weights: Sequence[int]) -> Rule:
        """The rule that these weights of the pieces give."""
        need = sum(w * n for w, n in zip(weights, self.job.counts, strict=True))
        return Rule(need, tuple(int(one.best(weights)[-1, -1]) for one in self.each))

    def patterns(self, weights: Sequence[int]) -> list[tuple[int, tuple[int, ...]]]:
        """For each stock the most weight, and how many of each kind weigh so much."""
        return [one.pattern(weights) for one in self.each]


class PlateKnapsack:
    """Places where one stock is cut; solves for any weights of the pieces."""

    def __init__(self, job: Job, plate: tuple[int, int], most: int) -> None:
        self.kinds = len(job.kinds)
        unit = job.unit  # sums of sides end at its multiples only
        width, height = plate[0] // unit, plate[1] // unit
        ways = [(kind, w // unit, h // unit) for kind, w, h, _ in job.ways()]
        ways = [way for way in ways if way[1] <= width and way[2] <= height]
        x_step = _step([w for _, w, _ in ways], width, most)
        y_step = _step([h for _, _, h in ways], height, most)
        self.ways = [(kind, w // x_step, h // y_step) for kind, w, h in ways]
        self.x = _places([w for _, w, _ in self.ways], width // x_step)
        self.y = _places([h for _, _, h in self.ways], height // y_step)

    def pattern(self, weights: Sequence[int]) -> tuple[int, tuple[int, ...]]:
        """The most weight, and how many of each kind weigh so much."""
        best = self.best(weights)
        counts = [0] * self.kinds
        self._count(best, weights, (len(self.x) - 1, len(self.y) - 1), counts)
        return int(best[-1, -1]), tuple(counts)

    def _count(
        self, best: Ints, weights: Sequence[int], plate: tuple[int, int], counts: list[int]
    ) -> None:
        """Follow the cuts that gave this plate its weight, down to the pieces."""
        waiting = [plate]
        while waiting:
            i, j = waiting.pop()
            weight = best[i, j]
            if not weight:
                continue
            halves = self._halves_of(best, i, j)
            if halves:
                waiting += halves
                continue
            counts[
                next(
                    kind
                    for kind, w, h in self.ways
                    if weights[kind] == weight and w <= self.x[i] and h <= self.y[j]
                )
            ] += 1

    def _halves_of(self, best: Ints, i: int, j: int) -> list[tuple[int, int]]:
        """The two parts, or the one smaller plate, that weigh as much; none: it's one piece."""
        weight = best[i, j]
        if i and best[i - 1, j] == weight:
            return [(i - 1, j)]
        if j and best[i, j - 1] == weight:
            return [(i, j - 1)]
        near, far = _halves(self.x, i)
        hit = np.flatnonzero(best[near, j] + best[far, j] == weight)
        if len(hit):
            return [(int(near[hit[0]]), j), (int(far[hit[0]]), j)]
        near, far = _halves(self.y, j)
        hit = np.flatnonzero(best[i, near] + best[i, far] == weight)
        if len(hit):
            return [(i, int(near[hit[0]])), (i, int(far[hit[0]]))]
        return []

    def best(self, weights: Sequence[int]) -> Ints:
        """Most weight of every plate, shape (places along x, places along y)."""
        best = np.zeros((len(self.x), len(self.y)), dtype=np.int64)
        for kind, width, height in self.ways:
            fits = np.ix_(self.x >= width, self.y >= height)
            best[fits] = np.maximum(best[fits], weights[kind])
        halves_y = [_halves(self.y, index) for index in range(len(self.y))]
        for i in range(1, len(self.x)):
            near, far = _halves(self.x, i)
            row = best[i]
            if len(near):
                np.maximum(row, (best[near] + best[far]).max(axis=0), out=row)
            np.maximum(row, best[i - 1], out=row)
            for j in range(1, len(self.y)):
                low, high = halves_y[j]
                most = (row[low] + row[high]).max() if len(low) else 0
                row[j] = max(row[j], row[j - 1], most)
        return best


def _step(sides: Sequence[int], longest: int, most: int) -> int:
    """1 where the sums of sides end at few places, else the width of the grid."""
    bits, full = 1, (1 << (longest + 1)) - 1
    for side in sorted(set(sides)):
        reach = side
        while reach <= longest:  # doubling covers any number of times
            bits |= (bits << reach) & full
            reach *= 2
    return 1 if bits.bit_count() <= most else -(-longest // most)


def _places(sides: Sequence[int], longest: int) -> Ints:
    """All sums of sides up to the longest."""
    bits, full = 1, (1 << (longest + 1)) - 1
    for side in sorted(set(sides)):
        reach = side
        while 0 < reach <= longest:
            bits |= (bits << reach) & full
            reach *= 2
    return np.array([n for n in range(longest + 1) if bits >> n & 1], dtype=np.int64)


def _halves(places: Ints, index: int) -> tuple[Ints, Ints]:
    """Cuts of a plate that ends at this place: the nearer part up to half, and the other."""
    length = places[index]
    near = np.arange(1, np.searchsorted(places, length // 2, side="right"))
    far = np.searchsorted(places, length - places[near], side="right") - 1
    return near, far


def weightings(job: Job) -> list[tuple[int, ...]]:
    """Weights worth a rule: area, large pieces only, numbers of the largest kinds."""
    areas = [job.area(kind) for kind in range(len(job.kinds))]
    found = [tuple(areas)]
    for kind in range(min(3, len(areas))):
        found.append(tuple(int(other == kind) for other in range(len(areas))))
        found.append(tuple(area if other <= kind else 0 for other, area in enumerate(areas)))
        found.append(tuple(int(other <= kind) for other in range(len(areas))))
    # Half-way between number and area: a little more for the large.
    found.append(tuple(int(area * (1 + area / areas[0])) for area in areas))
    return list(dict.fromkeys(found))
