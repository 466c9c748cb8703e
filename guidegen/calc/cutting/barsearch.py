"""The search for the cheapest bars: mixes of lengths in rising price, each packed exactly.

Three ways of packing a mix, the cheap ones first: the longest piece with the sum of others that
fills the bar best; knapsacks whose values rise for pieces that were left over; and a complete
search for small problems, which also proves that a mix holds the pieces in no way whatever.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from guidegen.calc.cutting.bound import Mix, Mixes, Rule, rules_of_bars
from guidegen.calc.cutting.columns import Column, Programme, cover, exact, generate
from guidegen.calc.cutting.model import Work

#: Work that must be left for programmes over patterns to be worth their start.
PROGRAMME = 2_000
#: Rounds of the linear programme, and nodes of the integer one.
ROUNDS = 300
NODES = 200

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


@dataclass(frozen=True)
class Found:
    """The cheapest packing found and the least that any can cost."""

    packed: Packed
    price: int
    bound: int


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


class BarSearch:
    """Looks for the cheapest bars that hold all pieces, until the bound or the limit is met."""

    def __init__(self, job: BarJob, effort: int) -> None:
        self.job, self.work = job, Work(effort)
        self.pieces = sum(job.counts)
        self.rules = rules_of_bars(job.lengths, job.counts, job.stock)
        self.mixes = Mixes(job.prices, job.quantities, self.rules)
        self.bound = self.mixes.least(self.pieces)
        self.values = [float(length) for length in job.lengths]
        self.best: Packed | None = None
        self.price = 0

    def run(self) -> Found | None:
        """The best found; None: the bars on hand can't hold the pieces."""
        if self.bound is None:
            return None
        self._try(self.mixes.between(self.bound, self.bound, self.pieces)[:4], 0)
        if not self.closed:
            self._greedy()
        for tries in (0, 1, 4):
            self._round(tries)
        if not self.closed and self.work.left > PROGRAMME:
            self._programme()
        self._round(12)
        if self.best is None:
            return None
        return Found(self.best, self.price, self.bound)

    def _programme(self) -> None:
        """Patterns by linear programme: their weights sharpen the bound, their best cover counts."""
        job = self.job
        alone = [self._alone(kind) for kind in range(len(job.lengths))]
        programme = Programme(job.counts, job.prices, job.quantities, alone)
        for weights in generate(programme, self._price_patterns, ROUNDS)[:3]:
            holds = tuple(int(value) for value, _ in self._price_patterns(weights))
            need = sum(w * n for w, n in zip(weights, job.counts, strict=True))
            self.rules.append(Rule(need, holds))
        self.mixes = Mixes(job.prices, job.quantities, self.rules)
        self.bound = max(self.bound or 0, self.mixes.least(self.pieces) or 0)
        if not self.closed:
            columns = cover(programme, NODES)
            if columns:
                self.keep(tuple(exact(columns, job.counts)))

    def _alone(self, kind: int) -> Column:
        """As many of one kind as the longest bar holds."""
        stock = max(range(len(self.job.stock)), key=lambda s: self.job.stock[s])
        number = self.job.stock[stock] // self.job.lengths[kind]
        return stock, tuple(number if k == kind else 0 for k in range(len(self.job.lengths)))

    def _price_patterns(self, weights: Sequence[int]) -> list[Column]:
        """For each stock the most weight, and a pattern of it."""
        job = self.job
        solved = knapsack(job.lengths, job.counts, weights, max(job.stock))
        return [(round(solved.best[room]), tuple(solved.pattern(room))) for room in job.stock]

    @property
    def closed(self) -> bool:
        """Nothing cheaper can exist."""
        return self.best is not None and self.price <= (self.bound or 0)

    def _price(self, mix: Mix) -> int:
        return sum(p * n for p, n in zip(self.job.prices, mix, strict=True))

    def _round(self, tries: int) -> None:
        """Every cheaper mix once; where all of one price are impossible the bound rises."""
        if self.closed or self.work.over or self.bound is None:
            return
        ceiling = self.price - 1 if self.best else self.bound * 2 + max(self.job.prices)
        mixes = self.mixes.between(self.bound, ceiling, self.pieces)
        if not mixes:
            self.bound = self.price if self.best else self.bound
            return
        self._try(mixes, tries)

    def _try(self, mixes: Sequence[Mix], tries: int) -> None:
        impossible = True
        for mix in mixes:
            if self.best is not None and (self._price(mix) >= self.price or self.work.over):
                return
            packed = self._pack(mix) if not tries else self._valued(mix, tries)
            if packed is None and tries:
                packed, complete = self._complete(mix)
                impossible = impossible and complete
            else:
                impossible = False
            if packed is not None:
                self.keep(packed)
                return
            if impossible:
                self._raise_bound(mix, mixes)

    def _raise_bound(self, mix: Mix, mixes: Sequence[Mix]) -> None:
        """This mix and all cheaper ones are impossible: the next price is the bound."""
        dearer = [price for other in mixes if (price := self._price(other)) > self._price(mix)]
        same = mixes.index(mix) + 1 < len(mixes) and self._price(
            mixes[mixes.index(mix) + 1]
        ) == self._price(mix)
        if not same:
            self.bound = min(dearer, default=self.price if self.best else self.bound)

    def keep(self, packed: Packed) -> None:
        """Take this packing if it is the cheapest so far."""
        price = sum(self.job.prices[stock] for stock, _ in packed)
        if self.best is None or price < self.price:
            self.best, self.price = packed, price

    def _bars(self, mix: Mix) -> list[int]:
        bars = [stock for stock, number in enumerate(mix) for _ in range(number)]
        return sorted(bars, key=lambda stock: -self.job.stock[stock])

    def _pack(self, mix: Mix) -> Packed | None:
        """The longest piece that is left, and the others that fill its bar best."""
        bars = self._bars(mix)
        for order in dict.fromkeys((tuple(bars), tuple(reversed(bars)))):
            packed, left = self._fill(order, self._longest_first)
            if not any(left):
                return packed
        return None

    def _fill(
        self, bars: Sequence[int], choose: Callable[[Sequence[int], int], list[int]]
    ) -> tuple[Packed, list[int]]:
        """Bar after bar; a pattern that would soon be chosen again is taken several times."""
        left, packed, at = list(self.job.counts), [], 0
        while at < len(bars) and any(left):
            stock = bars[at]
            pattern = choose(left, self.job.stock[stock])
            times = min((n // u for n, u in zip(left, pattern, strict=True) if u), default=1)
            same = 1
            while at + same < len(bars) and bars[at + same] == stock and same < (times + 1) // 2:
                same += 1
            left = [n - u * same for n, u in zip(left, pattern, strict=True)]
            packed += [(stock, tuple(pattern))] * same
            at += same
        return tuple(bar for bar in packed if any(bar[1])), left

    def _longest_first(self, left: Sequence[int], room: int) -> list[int]:
        self.work.spend()
        lengths = self.job.lengths
        first = next((k for k, n in enumerate(left) if n and lengths[k] <= room), None)
        if first is None:
            return [0] * len(left)
        rest = list(left)
        rest[first] -= 1
        pattern = Sums(lengths, rest, room).pattern(room - lengths[first])
        pattern[first] += 1
        return pattern

    def _valued(self, mix: Mix, tries: int) -> Packed | None:
        """Knapsacks bar by bar; pieces that were left over are worth more in the next try."""
        for _ in range(tries):
            packed, left = self._fill(self._bars(mix), self._most_valuable)
            if not any(left):
                return packed
            if self.work.over:
                return None
            for kind, number in enumerate(left):
                if number:
                    self.values[kind] *= 1.02
        return None

    def _most_valuable(self, left: Sequence[int], room: int) -> list[int]:
        self.work.spend(4)
        pattern = knapsack(self.job.lengths, left, self.values, room).pattern(room)
        self._revalue(pattern, room)
        return pattern

    def _revalue(self, pattern: Sequence[int], room: int) -> None:
        """A piece is worth the material that it took, its share of the waste included."""
        used = sum(n * length for n, length in zip(pattern, self.job.lengths, strict=True))
        if not used:
            return
        rate = (room / used) ** 1.1
        for kind, number in enumerate(pattern):
            if number:
                new = rate * self.job.lengths[kind] ** 1.02
                share = number / (2 * self.job.counts[kind])
                self.values[kind] += (new - self.values[kind]) * min(share, 0.5)

    def _greedy(self) -> None:
        """Bar by bar, the stock whose filled length costs least."""
        left, packed = list(self.job.counts), []
        numbers = list(self.job.quantities)
        while any(left):
            chosen = min(self._rates(left, numbers), default=None)
            if chosen is None:
                return
            _, stock, pattern = chosen
            left = [a - b for a, b in zip(left, pattern, strict=True)]
            number = numbers[stock]
            numbers[stock] = None if number is None else number - 1
            packed.append((stock, tuple(pattern)))
        self.keep(tuple(packed))

    def _rates(
        self, left: Sequence[int], numbers: Sequence[int | None]
    ) -> Iterator[tuple[float, int, list[int]]]:
        for stock, number in enumerate(numbers):
            if number != 0:
                pattern = self._longest_first(left, self.job.stock[stock])
                used = sum(n * x for n, x in zip(pattern, self.job.lengths, strict=True))
                if used:
                    yield self.job.prices[stock] / used, stock, pattern

    def _complete(self, mix: Mix) -> tuple[Packed | None, bool]:
        """Complete search of one mix; (None, True): it holds the pieces in no way."""
        if self.pieces > 60 or len(self._bars(mix)) > 30:
            return None, False
        search = Complete(self.job, Work(max(self.work.left // 3, 0)))
        packed = search.pack(self._bars(mix))
        self.work.spend(search.limit - search.work.left)
        return packed, packed is None and not search.work.over


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
