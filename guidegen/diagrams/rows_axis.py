"""How large the panel is drawn, and how its middle is left out where it would be too wide."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from guidegen.design.model import Model, Part
from guidegen.diagrams.style import SHEET, TALL

#: Least height of a row, so that its labels are clear of the next one's; of a tape, for its signs.
_LEAST_ROW, _LEAST_TAPE = 21, 15
MARGIN = 260
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


@dataclass(frozen=True)
class Across:
    """The x axis: to scale, with the middle of the board left out where it would be too wide."""

    left: float
    scale: float
    start: float
    """Board x at `left`. [m]"""
    jump: float = 0
    """How much paper the break saves."""
    middle: float = 0
    """Board x of the break. [m]"""

    def __call__(self, x: float) -> float:
        """The paper's x of a board's x."""
        return self.left + (x - self.start) * self.scale - (self.jump if x > self.middle else 0)
