"""The search for the cheapest sheets: stock mixes in rising price, each packed exactly."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from guidegen.calc.cutting.bound import Mix, Mixes, Rule, rules_of_sheets
from guidegen.calc.cutting.columns import Column, Programme, generate
from guidegen.calc.cutting.fill import Filler, Job, Node, Taste, pieces_of
from guidegen.calc.cutting.knapsack import Knapsacks, weightings
from guidegen.calc.cutting.model import Work

Packed = tuple[tuple[int, Node], ...]
"""(stock, filled plate) of each sheet."""


@dataclass(frozen=True)
class Found:
    """The cheapest packing found and the least that any can cost."""

    packed: Packed
    price: int
    bound: int


def tastes(job: Job, weights: Sequence[float], first: int, count: int, pilots: int) -> list[Taste]:
    """Ways of filling, in a fixed order that mixes what they prefer.

    Parameters
    ----------
    weights : sequence of float
        Worth of each kind so far: what was left over before is worth more.
    first, count : int
        Which stretch of the order.
    """
    largest = max(job.area(kind) for kind in range(len(job.kinds)))
    made = []
    for number in range(first, first + count):
        lean, dead, tall, single = TASTES[number % len(TASTES)]
        worth = []
        for kind, weight in enumerate(weights):
            # Golden-ratio steps spread evenly and are the same in every run.
            spread = (number // len(TASTES)) * 0.25 * ((number * 0.618034 + kind * 0.414214) % 1.0)
            worth.append(weight * (job.area(kind) / largest) ** lean * (1 + spread))
        made.append(Taste(tuple(worth), dead, tall, single, pilots))
    return made


#: (lean to large pieces, weight of spoilt area, first cut across the width, single rows)
TASTES: tuple[tuple[float, float, bool | None, bool], ...] = (
    (0.2, 1.0, None, False),
    (0.5, 0.5, None, False),
    (0.2, 1.0, True, True),
    (0.2, 1.0, False, True),
    (0.05, 1.0, None, False),
    (0.4, 2.0, None, False),
    (0.2, 0.5, True, False),
    (0.2, 0.5, False, False),
    (0.8, 0.3, None, True),
    (0.1, 2.0, None, True),
    (0.3, 0.2, None, False),
    (0.0, 0.5, None, True),
)


class Search:
    """Looks for the cheapest sheets that hold all pieces, until the bound or the limit is met."""

    def __init__(self, job: Job, effort: int) -> None:
        self.job, self.work = job, Work(effort)
        unit = job.unit  # sums of sides end at its multiples only, so plates may end there too
        sides = [
            (w // unit, h // unit, n, t) for (w, h, t), n in zip(job.kinds, job.counts, strict=True)
        ]
        plates = [(width // unit, height // unit) for width, height in job.plates]
        self.pieces = sum(job.counts)
        self.rules = rules_of_sheets(sides, plates, job.fits)
        self.mixes = Mixes(job.prices, job.quantities, self.rules)
        self.weights = [1.0] * len(job.kinds)
        self.bound = self.mixes.least(self.pieces)
        self.best: Packed | None = None
        self.price = 0
        self.pilots = 1

    def run(self) -> Found | None:
        """The best found; None: the stock on hand can't hold the pieces, or no way was found."""
        if self.bound is None:
            return None
        first = self.mixes.between(self.bound, self.bound, self.pieces)[:3]
        self._try(first, 0, 2)
        if not self._closed():
            self._greedy()
        round_ = 0
        while self.bound is not None and not self._closed() and not self.work.over:
            if round_ == 2:
                self._sharpen()
            if round_ == 4:
                self._programme()
            self._round(round_)
            round_ += 1
        if self.best is None or self.bound is None:
            return None
        return Found(self.best, self.price, self.bound)

    def _sharpen(self) -> None:
        """Rules that see how pieces fit beside one another, as far as a third of the work goes."""
        budget = self.work.left // 3
        knapsacks = Knapsacks(self.job, 40 if budget < 10_000 else 100)
        for weights in weightings(self.job):
            if budget < knapsacks.cost // 3 or self._closed():
                break
            budget -= knapsacks.cost // 3
            self.work.spend(knapsacks.cost // 3)
            self._add_rule(knapsacks.rule(weights))

    def _programme(self) -> None:
        """Weights from the linear programme over patterns, as far as a third of the work goes."""
        job, kinds = self.job, range(len(self.job.kinds))
        knapsacks = Knapsacks(job, 100)
        rounds = min(self.work.left // 3 // (knapsacks.cost // 3 + 100), 100)
        if rounds < 8:
            return
        self.work.spend(rounds * (knapsacks.cost // 3 + 100))
        alone: list[Column] = []
        for kind in kinds:
            patterns = enumerate(knapsacks.patterns([int(other == kind) for other in kinds]))
            alone.append(max((p[0], s, p[1]) for s, p in patterns)[1:])
        programme = Programme(job.counts, job.prices, [None] * len(job.prices), alone)
        for weights in generate(programme, knapsacks.patterns, rounds)[:4]:
            self._add_rule(knapsacks.rule(weights))

    def _add_rule(self, rule: Rule) -> None:
        self.rules.append(rule)
        self.mixes = Mixes(self.job.prices, self.job.quantities, self.rules)
        least = self.mixes.least(self.pieces)
        self.bound = least if least is None else max(self.bound or 0, least)

    def _closed(self) -> bool:
        return self.best is not None and self.price <= (self.bound or 0)

    def _round(self, number: int) -> None:
        """Every cheaper mix once, with a few more ways of filling each time."""
        low = self.bound or 0
        ceiling = self.price - 1 if self.best else low * 2 + max(self.job.prices)
        mixes = self.mixes.between(low, ceiling, self.pieces)
        if not mixes:
            self.bound = self.price
            return
        self.pilots = 1 if number == 0 else 3 + number
        self._try(mixes[: 40 << number], 2 + 3 * number, 2 + number)

    def _try(self, mixes: Sequence[Mix], first: int, count: int) -> None:
        for mix in mixes:
            if self.work.over and self.best is not None:
                return
            price = sum(p * n for p, n in zip(self.job.prices, mix, strict=True))
            if self.best is not None and price >= self.price:
                return
            packed = self._pack(mix, first, count)
            if packed is not None:
                self._keep(packed)
                return

    def _keep(self, packed: Packed) -> None:
        price = sum(self.job.prices[stock] for stock, _ in packed)
        if self.best is None or price < self.price:
            self.best, self.price = packed, price

    def _pack(self, mix: Mix, first: int, count: int) -> Packed | None:
        """All pieces on these sheets, the largest sheet first; None: some are left over."""
        order = [stock for stock, number in enumerate(mix) for _ in range(number)]
        order.sort(key=lambda stock: -self.job.plates[stock][0] * self.job.plates[stock][1])
        left = list(self.job.counts)
        packed: list[tuple[int, Node]] = []
        for stock in order:
            if not any(left):
                break
            node, left = self._fullest(stock, left, first, count)
            packed.append((stock, node))
        if any(left):
            self._learn(left)
            return None
        return tuple(packed)

    def _fullest(
        self, stock: int, left: Sequence[int], first: int, count: int
    ) -> tuple[Node, list[int]]:
        """The best of several fills of one sheet."""
        best: tuple[float, Node, list[int]] | None = None
        for taste in tastes(self.job, self.weights, first, count, self.pilots):
            filler = Filler(self.job, left, taste, self.work)
            node = filler.fill(*self.job.plates[stock])
            used = sum(
                (a - b) * self.job.area(kind) * self.weights[kind]
                for kind, (a, b) in enumerate(zip(left, filler.left, strict=True))
            )
            if best is None or used > best[0]:
                best = used, node, filler.left
            if not any(filler.left):
                break
        assert best is not None
        return best[1], best[2]

    def _learn(self, left: Sequence[int]) -> None:
        """What is left over is hard to place: worth more from now on."""
        for kind, number in enumerate(left):
            if number:
                self.weights[kind] = min(self.weights[kind] * 1.1, 3.0)

    def _greedy(self) -> None:
        """Sheet by sheet, the stock that holds most area for its price."""
        for first in (0, 3):
            left = list(self.job.counts)
            stock_left = list(self.job.quantities)
            packed: list[tuple[int, Node]] = []
            while any(left):
                chosen = self._best_value(left, stock_left, first)
                if chosen is None:
                    break
                stock, node, left = chosen
                packed.append((stock, node))
                number = stock_left[stock]
                stock_left[stock] = None if number is None else number - 1
            else:
                self._keep(self._smaller_tail(packed, stock_left))

    def _best_value(
        self, left: Sequence[int], stock_left: Sequence[int | None], first: int
    ) -> tuple[int, Node, list[int]] | None:
        best: tuple[tuple[float, float], int, Node, list[int]] | None = None
        for stock, number in enumerate(stock_left):
            if number == 0:
                continue
            node, rest = self._fullest(stock, left, first, 2)
            used = sum(piece.width * piece.height for piece in pieces_of(node))
            if not used:
                continue
            rate = (used / self.job.prices[stock] if self.job.prices[stock] else 1e30, used)
            if best is None or rate > best[0]:
                best = rate, stock, node, rest
        return best[1:] if best else None

    def _smaller_tail(
        self, packed: list[tuple[int, Node]], stock_left: Sequence[int | None]
    ) -> Packed:
        """The last sheet exchanged for the cheapest that holds the same pieces."""
        last, node = packed[-1]
        counts = Counter(piece.kind for piece in pieces_of(node))
        wanted = [counts[kind] for kind in range(len(self.job.kinds))]
        for stock in sorted(range(len(stock_left)), key=lambda s: self.job.prices[s]):
            if self.job.prices[stock] >= self.job.prices[last]:
                break
            if stock_left[stock] == 0:
                continue
            other, left = self._fullest(stock, wanted, 0, 3)
            if not any(left):
                return (*packed[:-1], (stock, other))
        return tuple(packed)
