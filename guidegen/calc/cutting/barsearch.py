"""The search for the cheapest bars: mixes of lengths in rising price, each packed exactly.

Three ways of packing a mix, the cheap ones first: the longest piece with the sum of others that
fills the bar best; knapsacks whose values rise for pieces that were left over; and a complete
search for small problems, which also proves that a mix holds the pieces in no way whatever.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from guidegen.calc.cutting.barfill import BarJob, Packed, Sums, knapsack
from guidegen.calc.cutting.barproof import Complete
from guidegen.calc.cutting.bound import Mix, Mixes, Rule, rules_of_bars
from guidegen.calc.cutting.columns import Column, Programme, cover, exact, generate
from guidegen.calc.cutting.model import Work

#: Work that must be left for programmes over patterns to be worth their start.
PROGRAMME = 2_000
#: Rounds of the linear programme, and nodes of the integer one.
ROUNDS = 300
NODES = 200


@dataclass(frozen=True)
class Found:
    """The cheapest packing found and the least that any can cost."""

    packed: Packed
    price: int
    bound: int


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
        """Patterns by linear programme: their weights sharpen the bound, the best cover counts."""
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
        """All mixes up to the price of this one are impossible: the next price is the bound."""
        later = [self._price(other) for other in mixes[mixes.index(mix) + 1 :]]
        if self._price(mix) not in later:
            self.bound = min(later, default=self.price if self.best else self.bound)

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
