"""Where labels are on the paper, so that no two overlap and none lies on a line."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from guidegen.diagrams.metrics import ASCENT, DESCENT, width

GAP = 1.5
"""Free paper between two labels, and between a label and a line."""


@dataclass(frozen=True)
class Area:
    """A rectangle on the paper; y runs down."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        """From left to right."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """From top to bottom."""
        return self.y1 - self.y0

    @property
    def middle(self) -> tuple[float, float]:
        """The centre."""
        return (self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2

    def moved(self, x: float, y: float) -> Area:
        """The same rectangle elsewhere."""
        return Area(self.x0 + x, self.y0 + y, self.x1 + x, self.y1 + y)

    def grown(self, by: float) -> Area:
        """The rectangle with a margin."""
        return Area(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def meets(self, other: Area) -> bool:
        """Whether two rectangles have inner points in common."""
        return (
            self.x0 < other.x1 and other.x0 < self.x1 and self.y0 < other.y1 and other.y0 < self.y1
        )

    def holds(self, x: float, y: float) -> bool:
        """Whether a point lies in it or on its edge."""
        return self.x0 <= x <= self.x1 and self.y0 <= y <= self.y1

    def crossed(self, start: tuple[float, float], end: tuple[float, float]) -> bool:
        """Whether a straight line enters the rectangle (clipping after Liang and Barsky)."""
        ax, ay, bx, by = *start, *end
        if (ax <= self.x0 and bx <= self.x0) or (ax >= self.x1 and bx >= self.x1):
            return False
        if (ay <= self.y0 and by <= self.y0) or (ay >= self.y1 and by >= self.y1):
            return False
        low, high = 0.0, 1.0
        for a, b, first, last in (
            (start[0], end[0], self.x0, self.x1),
            (start[1], end[1], self.y0, self.y1),
        ):
            if a == b:
                if not first < a < last:
                    return False
                continue
            near, far = sorted(((first - a) / (b - a), (last - a) / (b - a)))
            low, high = max(low, near), min(high, far)
        return low < high


class Field:
    """The labels and lines of one figure."""

    def __init__(self, wide: float) -> None:
        self.width = wide
        self.top = 0.0
        """Labels that are put where there is room stay below this."""
        self.taken: list[Area] = []
        self.lines: list[tuple[tuple[float, float], tuple[float, float]]] = []
        self.leaders: list[tuple[tuple[float, float], tuple[float, float]]] = []
        """Lines from labels to what they name."""

    @property
    def bottom(self) -> float:
        """The lowest edge of all labels."""
        return max((area.y1 for area in self.taken), default=0)

    def take(self, area: Area) -> None:
        """Note that a label lies here."""
        self.taken.append(area)

    def line(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        """Note that a line runs here."""
        self.lines.append((start, end))

    def cover(self, area: Area) -> None:
        """Forget the lines that an area hides."""
        x0, y0, x1, y1 = area.x0 - 0.5, area.y0 - 0.5, area.x1 + 0.5, area.y1 + 0.5
        self.lines = [
            (a, b) for a, b in self.lines
            if not (x0 <= a[0] <= x1 and y0 <= a[1] <= y1 and x0 <= b[0] <= x1 and y0 <= b[1] <= y1)
        ]  # fmt: skip

    def free(self, area: Area) -> bool:
        """Whether a label may lie here: inside the figure, off labels and lines."""
        wider = area.grown(GAP)
        return (
            wider.x0 >= 0
            and wider.y0 >= self.top
            and wider.x1 <= self.width
            and not any(wider.meets(other) for other in self.taken)
            and not any(wider.crossed(*line) for line in self.lines)
        )

    def spot(
        self, text: str, size: float, around: Iterable[tuple[float, float]]
    ) -> tuple[float, float] | None:
        """The first of some middle points where the text fits; None if it fits nowhere."""
        half, up, down = width(text, size) / 2, ASCENT * size, DESCENT * size
        for x, y in around:
            base = y + (up - down) / 2
            if self.free(Area(x - half, base - up, x + half, base + down)):
                return x, base
        return None


def around(x: float, y: float, reach: float = 12, rings: int = 6) -> Iterable[tuple[float, float]]:
    """Points about a point, nearest first: right, left, above, below, then wider rings."""
    yield x, y
    for ring in range(1, rings + 1):
        far = reach * ring
        for dx, dy in (
            (1, 0), (-1, 0), (0, -1), (0, 1), (1, -1), (-1, -1), (1, 1), (-1, 1),
            (2, -1), (-2, -1), (2, 1), (-2, 1),
        ):  # fmt: skip
            yield x + dx * far * 1.3, y + dy * far
