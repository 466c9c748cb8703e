"""How large the panel is drawn, and what is left out where it would be too wide."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from guidegen.design.model import Model, Part
from guidegen.design.solid import Box
from guidegen.diagrams.style import SHEET, TALL

#: Least height of a row, so that its labels are clear of the next one's; of a tape, for its signs.
_LEAST_ROW, _LEAST_TAPE = 21, 15
#: An edge of the board no wider than this is never broken. [m].
UNBROKEN = 0.03
MARGIN = 300
"""Paper above and below the board: names, dimensions, notes."""


def pitch(tapes: Sequence[Part]) -> float:
    """Distance of neighbours in metres; of a single row twice its width."""
    first, last = tapes[0].box, tapes[-1].box
    assert first is not None
    assert last is not None
    return (first.y - last.y) / (len(tapes) - 1) if len(tapes) > 1 else 2 * first.height


def scale_for(model: Model, tapes: Sequence[Part]) -> float:
    """Drawing units in a metre: as large as the sheet allows, never too small for the labels."""
    box = tapes[0].box
    assert box
    fits = min((SHEET - 220) / model.board.width, (TALL - MARGIN) / model.board.height)
    return max(fits, _LEAST_ROW / pitch(tapes), _LEAST_TAPE / box.height)


def edges(board: Box, tapes: Sequence[Part]) -> float:
    """What the board has beyond its outer rows, as far as no break shortens it. [m]."""
    first, last = tapes[0].box, tapes[-1].box
    assert first
    assert last
    beyond = (board.y + board.height - first.y - first.height, last.y - board.y)
    return sum(min(edge, UNBROKEN) for edge in beyond)


@dataclass(frozen=True)
class Across:
    """The x axis: to scale, with stretches left out where the board would be too wide."""

    left: float
    scale: float
    start: float
    """Board x at `left`. [m]"""
    breaks: tuple[tuple[float, float], ...] = ()
    """Board x of the middle of each stretch, and how much paper its break saves."""

    def __call__(self, x: float) -> float:
        """The paper's x of a board's x."""
        saved = sum(jump for at, jump in self.breaks if x > at)
        return self.left + (x - self.start) * self.scale - saved


def breaks(stops: Iterable[float], scale: float, jump: float) -> tuple[tuple[float, float], ...]:
    """Where to break a view: in the longest stretches without a terminal, all left equally long.

    Parameters
    ----------
    stops : iterable of float
        Board x of all that must be seen. [m]
    scale : float
        Drawing units in a metre.
    jump : float
        Paper to save in all.
    """
    if jump <= 0:
        return ()
    stretches = sorted(((b - a, (a + b) / 2) for a, b in pairwise(sorted(set(stops)))),
                       reverse=True)  # fmt: skip
    saved: list[tuple[float, float]] = []
    for count in range(1, len(stretches) + 1):
        longest = stretches[:count]
        level = (sum(size for size, _ in longest) * scale - jump) / count
        rest = stretches[count][0] * scale if count < len(stretches) else 0.0
        saved = [(at, size * scale - level) for size, at in longest]
        if level >= rest:
            break
    return tuple(sorted(saved))
