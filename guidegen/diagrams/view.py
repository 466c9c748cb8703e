"""From the board's coordinates to the paper."""

from __future__ import annotations

from dataclasses import dataclass

from guidegen.design.solid import Box
from guidegen.diagrams.field import Area
from guidegen.diagrams.svg import Point


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

    def point(self, x: float, y: float) -> Point:
        """A point of the board on the paper."""
        along = self.board.x + self.board.width - x if self.mirrored else x - self.board.x
        return (
            self.left + along * self.scale,
            self.top + (self.board.y + self.board.height - y) * self.scale,
        )

    def area(self, box: Box) -> Area:
        """A rectangle of the board on the paper."""
        ax, ay = self.point(box.x, box.y)
        bx, by = self.point(box.x + box.width, box.y + box.height)
        return Area(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))


def fitted(board: Box, wide: float, high: float) -> float:
    """The scale at which a board fits into a room on the paper."""
    return min(wide / board.width, high / board.height)
