"""One bar filled: by the longest sum of lengths, or by the most valuable pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

Pattern = tuple[int, ...]
"""How many of each kind lie on one bar."""
Packed = tuple[tuple[int, Pattern], ...]
"""(stock, pattern) of each bar."""


@dataclass(frozen=True, slots=True)
class BarJob:
    """Merged pieces and stock of one plan, in whole steps, the blade added."""

    lengths: tuple[int, ...]
    """The longest first."""
    counts: tuple[int, ...]
    stock: tuple[int, ...]
    prices: tuple[int, ...]
    quantities: tuple[int | None, ...]


class Sums:
    """The sums of lengths that a bar can be filled with, and the pieces that make one."""

    def __init__(self, lengths: Sequence[int], left: Sequence[int], longest: int) -> None:
        self.lengths, self.left = lengths, left
        full = (1 << (longest + 1)) - 1
        bits = 1
        self.from_kind = [bits]
        for length, count in zip(reversed(lengths), reversed(left), strict=True):
            rest, step = min(count, longest // length), 1
            while rest > 0:  # doubling: 1, 2, 4, ... and what remains of the count
                take = min(step, rest)
                bits |= (bits << (length * take)) & full
                rest, step = rest - take, step * 2
            self.from_kind.append(bits)
        self.from_kind.reverse()

    def pattern(self, room: int) -> list[int]:
        """The pieces of the largest sum within the room, as long ones as possible."""
        rest = (self.from_kind[0] & ((1 << (room + 1)) - 1)).bit_length() - 1
        used = []
        for kind, length in enumerate(self.lengths):
            count = min(self.left[kind], rest // length)
            while not self.from_kind[kind + 1] >> (rest - count * length) & 1:
                count -= 1
            used.append(count)
            rest -= count * length
        return used


def knapsack(
    lengths: Sequence[int], most: Sequence[int], values: Sequence[float], room: int
) -> Knapsack:
    """The most value for every room up to this one, each kind at most so many times."""
    best = np.zeros(room + 1)
    steps = []
    for kind, (length, count, value) in enumerate(zip(lengths, most, values, strict=True)):
        left, step = min(count, room // length), 1
        while left > 0:
            take = min(step, left)
            left, step = left - take, step * 2
            with_it = best[: room + 1 - take * length] + take * value
            better = with_it > best[take * length :] + 1e-12
            best[take * length :] = np.where(better, with_it, best[take * length :])
            steps.append((kind, take, better))
    return Knapsack(best, steps, lengths)


@dataclass(frozen=True, eq=False)
class Knapsack:
    """Best values, shape (room + 1,), and the decisions that led there."""

    best: np.ndarray[tuple[int], np.dtype[np.float64]]
    steps: list[tuple[int, int, np.ndarray[tuple[int], np.dtype[np.bool_]]]]
    lengths: Sequence[int]

    def pattern(self, room: int) -> list[int]:
        """The pieces of the most valuable filling of this room."""
        used = [0] * len(self.lengths)
        for kind, take, better in reversed(self.steps):
            size = take * self.lengths[kind]
            if room >= size and better[room - size]:
                used[kind] += take
                room -= size
        return used
