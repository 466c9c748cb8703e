"""Which named points hang together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence


class Islands:
    """Which points hang together; a union-find."""

    def __init__(self, links: Iterable[Sequence[str]] = ()) -> None:
        self._above: dict[str, str] = {}
        for link in links:
            self.join(link)

    def copy(self) -> Islands:
        """The same islands, to be joined further."""
        other = Islands()
        other._above = dict(self._above)
        return other

    def root(self, point: str) -> str:
        """The point that stands for its island; of a point nobody named, itself."""
        above = self._above
        while (up := above.get(point, point)) != point:
            above[point] = above.get(up, up)
            point = above[point]
        return point

    def join(self, points: Sequence[str]) -> None:
        """Make one island of these points; of none, nothing."""
        for first in points[:1]:
            top = self.root(first)
            self._above.setdefault(top, top)
            for point in points[1:]:
                self._above[self.root(point)] = top

    def same(self, first: str, second: str) -> bool:
        """Whether two points hang together."""
        return self.root(first) == self.root(second)

    def named(self) -> tuple[str, ...]:
        """All points, in the order in which they were joined."""
        return tuple(self._above)
