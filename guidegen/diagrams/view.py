"""From the board's coordinates to the paper."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from guidegen.design.solid import Box
from guidegen.diagrams.field import Area
from guidegen.diagrams.rows_axis import breaks
from guidegen.diagrams.svg import Point

#: Paper between both sides of a break, and the least that is left of a stretch that is broken.
GAP, STUB = 10.0, 30.0
#: A view lower than this is drawn larger and broken, as far as what it shows lets.
LEAST = 80.0
#: A view that is broken more often is hard to read.
BREAKS = 2


@dataclass(frozen=True)
class View:
    """Where the board lies on the paper."""

    left: float
    top: float
    scale: float
    """Drawing units in a metre."""
    board: Box
    mirrored: bool = False
    """Seen from the back."""
    breaks: tuple[tuple[float, float], ...] = ()
    """Board x of the middle of each stretch that is left out, and the paper that this saves."""

    @property
    def wide(self) -> float:
        """Width on the paper."""
        return self.board.width * self.scale - sum(jump for _, jump in self.breaks)

    def point(self, x: float, y: float) -> Point:
        """A point of the board on the paper."""
        saved = sum(jump for at, jump in self.breaks if x > at)
        along = (x - self.board.x) * self.scale - saved
        return (
            self.left + (self.wide - along if self.mirrored else along),
            self.top + (self.board.y + self.board.height - y) * self.scale,
        )

    def gaps(self) -> list[float]:
        """Paper's x of the middle of each break."""
        way = -1 if self.mirrored else 1
        return [self.point(at, 0.0)[0] - way * jump / 2 for at, jump in self.breaks]

    def area(self, box: Box) -> Area:
        """A rectangle of the board on the paper."""
        ax, ay = self.point(box.x, box.y)
        bx, by = self.point(box.x + box.width, box.y + box.height)
        return Area(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))


def fitted(board: Box, wide: float, high: float) -> float:
    """The scale at which a board fits into a room on the paper."""
    return min(wide / board.width, high / board.height)


def broken(
    board: Box, stops: Iterable[float], wide: float, high: float
) -> tuple[float, tuple[tuple[float, float], ...]]:
    """The scale at which a board fits into a room, and what is left out of a long and low one.

    Parameters
    ----------
    board : Box
        What is drawn.
    stops : iterable of float
        Its x of all that must be seen. [m]
    wide, high : float
        Of the room on the paper.

    Returns
    -------
    tuple
        Drawing units in a metre; `View.breaks`.
    """
    whole = fitted(board, wide, high)
    left, right = board.x, board.x + board.width
    inside = [left, *(x for x in stops if left < x < right), right]
    scale = min(LEAST, high) / board.height
    while scale > 1.2 * whole:
        found = breaks(inside, scale, board.width * scale - wide)
        sizes = {(a + b) / 2: (b - a) * scale for a, b in pairwise(sorted(set(inside)))}
        if len(found) <= BREAKS and all(sizes[at] - jump >= STUB for at, jump in found):
            return scale, found
        scale *= 0.9
    return whole, ()
