"""Complete search: all pieces on given bars, or the proof that there is no way whatever."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from guidegen.calc.cutting.barfill import BarJob, Packed, Pattern, Sums
from guidegen.calc.cutting.model import Work


class Complete:
    """Depth-first: the longest piece goes on some bar, which is filled in every maximal way.

    The waste that the mix allows in all is what prunes it.
    """

    def __init__(self, job: BarJob, work: Work) -> None:
        self.job, self.work, self.limit = job, work, work.left
        self.dead: set[tuple[Pattern, tuple[int, ...]]] = set()

    def pack(self, bars: Sequence[int]) -> Packed | None:
        """All pieces on these bars."""
        need = sum(n * x for n, x in zip(self.job.counts, self.job.lengths, strict=True))
        spare = sum(self.job.stock[stock] for stock in bars) - need
        found = self._pack(self.job.counts, tuple(bars), spare) if spare >= 0 else None
        return tuple(found) if found is not None else None

    def _pack(
        self, left: Pattern, bars: tuple[int, ...], spare: int
    ) -> list[tuple[int, Pattern]] | None:
        if not any(left):
            return []
        self.work.spend()
        if self.work.over or (left, bars) in self.dead:
            return None
        first = next(kind for kind, number in enumerate(left) if number)
        for stock in dict.fromkeys(bars):
            rest = list(bars)
            rest.remove(stock)
            for pattern, waste in self._fillings(left, first, self.job.stock[stock], spare):
                after = tuple(a - b for a, b in zip(left, pattern, strict=True))
                tail = self._pack(after, tuple(rest), spare - waste)
                if tail is not None:
                    return [(stock, pattern), *tail]
                if self.work.over:
                    return None
        self.dead.add((left, bars))
        return None

    def _fillings(
        self, left: Pattern, first: int, room: int, spare: int
    ) -> Iterator[tuple[Pattern, int]]:
        """Maximal fillings with the first piece, the least waste first."""
        lengths = self.job.lengths
        if lengths[first] > room:
            return
        found: list[tuple[int, Pattern]] = []
        used = [0] * len(left)
        rest_of = list(left)
        rest_of[first] -= 1
        sums = Sums(lengths, rest_of, room).from_kind

        def extend(kind: int, rest: int) -> None:
            self.work.spend()
            lowest = max(rest - spare, 0)
            # No sum of the kinds from here on ends within the waste that is allowed.
            if self.work.over or not sums[kind] >> lowest & (1 << (rest - lowest + 1)) - 1:
                return
            if kind == len(left):
                if not any(
                    n > u and length <= rest
                    for n, u, length in zip(left, used, lengths, strict=True)
                ):
                    found.append((rest, tuple(used)))
                return
            own = kind == first
            for more in range(min(rest_of[kind], rest // lengths[kind]), -1, -1):
                used[kind] = more + own
                extend(kind + 1, rest - more * lengths[kind])
            used[kind] = 0

        extend(first, room - lengths[first])
        for waste, pattern in sorted(found, key=lambda item: (item[0], tuple(-n for n in item[1]))):
            yield pattern, waste
