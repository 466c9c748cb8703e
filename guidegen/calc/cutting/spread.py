"""Pieces moved from bars that are used up to bars with room: real stock is often a hair short."""

from __future__ import annotations

from collections.abc import Sequence

from guidegen.calc.cutting.model import STEPS

#: A bar with less left has nothing to spare. [m] (common practice, no source).
HAIR = 0.003

#: One bar: the index of its stock, and how many pieces of each kind are cut from it.
Packed = tuple[int, tuple[int, ...]]


def spread(
    packed: Sequence[Packed], lengths: Sequence[int], rooms: Sequence[int]
) -> tuple[Packed, ...]:
    """The same bars with as few of them used to their last hair as single moves allow.

    Parameters
    ----------
    packed : sequence of (int, tuple of int)
        Bars as a plan fills them.
    lengths : sequence of int
        What each kind takes of a bar, saw cut included, in steps.
    rooms : sequence of int
        What each stock holds, in steps.

    Returns
    -------
    tuple of (int, tuple of int)
        As many bars of each stock, with the same pieces on them in all.
    """
    bars = [(index, list(pattern)) for index, pattern in packed]
    hair = HAIR * STEPS

    def left(bar: tuple[int, list[int]]) -> int:
        index, pattern = bar
        return rooms[index] - sum(n * length for n, length in zip(pattern, lengths, strict=True))

    for full in bars:
        if left(full) >= hair:
            continue
        # The shortest piece leaves the most choice, and the emptiest bar the most room.
        kinds = sorted((k for k, n in enumerate(full[1]) if n), key=lambda k: lengths[k])
        others = sorted((bar for bar in bars if bar is not full), key=left, reverse=True)
        for kind in kinds:
            home = next((bar for bar in others if left(bar) - lengths[kind] >= hair), None)
            if home is not None and sum(full[1]) > 1:
                full[1][kind] -= 1
                home[1][kind] += 1
                break
    return tuple((index, tuple(pattern)) for index, pattern in bars)
