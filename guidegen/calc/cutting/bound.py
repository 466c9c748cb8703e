"""The least price that any plan must cost, and the stock mixes worth trying, cheapest first.

Every rule gives each piece a weight and each stock the most weight it can hold in any layout;
the stock that is bought must hold the weight of all pieces. The area is the plainest rule.
Superadditive functions of the sides give others that see what the area can't: `floor(side / p)`
counts how many times a length p fits, and the large-side function counts a side that nearly
fills the stock as the whole of it.

References
----------
.. [1] S. P. Fekete, J. Schepers, A general framework for bounds for higher-dimensional
   orthogonal packing problems, Mathematical Methods of Operations Research 60 (2004); from memory.
.. [2] F. Clautiaux, C. Alves, J. Valério de Carvalho, A survey of dual-feasible and superadditive
   functions, Annals of Operations Research 179 (2010); from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from guidegen.calc.cutting.model import Work

Weight = Callable[[int], int]
Mix = tuple[int, ...]


@dataclass(frozen=True)
class Rule:
    """Weight of all pieces, and the most that one of each stock holds."""

    need: int
    holds: tuple[int, ...]

    def share(self, stock: int) -> float:
        """How many of this stock alone hold the need."""
        return self.need / self.holds[stock] if self.holds[stock] else math.inf


class Mixes:
    """The integer programme over the numbers of each stock.

    Parameters
    ----------
    prices, quantities : sequence, one entry a stock
        Prices in whole steps; None: unlimited.
    rules : sequence of Rule
        The first is the area or the length.
    """

    def __init__(
        self, prices: Sequence[int], quantities: Sequence[int | None], rules: Sequence[Rule]
    ) -> None:
        area = rules[0]

        # What is limited is decided first: the rest then prices the remaining need.
        def worth(stock: int) -> tuple[bool, float, int]:
            return quantities[stock] is None, prices[stock] * area.share(stock), stock

        self.order = sorted(range(len(prices)), key=worth)
        self.prices = [prices[stock] for stock in self.order]
        self.limits = [quantities[stock] for stock in self.order]
        self.rules = [
            Rule(rule.need, tuple(rule.holds[stock] for stock in self.order)) for rule in rules
        ]
        self.step = math.gcd(*prices) or 1
        self.cheapest_weight = [self._cheapest_weight(level) for level in range(len(prices) + 1)]

    def _cheapest_weight(self, level: int) -> list[float]:
        """Least price of one weight of each rule from this stock on."""
        prices = self.prices[level:]
        return [
            min((p / h for p, h in zip(prices, rule.holds[level:], strict=True) if h), default=0.0)
            if any(rule.holds[level:])
            else math.inf
            for rule in self.rules
        ]

    def _least(self, needs: Sequence[int], level: int) -> float:
        """No mix of the stocks from this one on covers the needs for less."""
        rates = self.cheapest_weight[level]
        least = max((n * r for n, r in zip(needs, rates, strict=True) if n > 0), default=0.0)
        return least if math.isinf(least) else self._rounded(least)

    def _rounded(self, price: float) -> int:
        """A price that a whole number of sheets can have, not below this one."""
        return math.ceil(round(price / self.step, 6)) * self.step

    def _enough(self, needs: Sequence[int], level: int) -> int | None:
        """How many of this stock alone cover the needs; None: it can't."""
        most = 0
        for need, rule in zip(needs, self.rules, strict=True):
            if need > 0:
                if not rule.holds[level]:
                    return None
                most = max(most, -(-need // rule.holds[level]))
        return most

    def _walk(self, needs: list[int], level: int, price: int, state: _State) -> Iterator[Mix]:
        """All mixes that cover the needs, dearer ones pruned while the ceiling falls."""
        state.work.spend()
        if state.work.over or price + self._least(needs, level) > state.ceiling:
            return
        enough = self._enough(needs, level)
        last = level == len(self.prices) - 1
        limit = self.limits[level]
        if last and enough is None:
            return
        most = self._most(level, price, state, enough)
        if limit is not None:
            most = min(most, limit)
        for count in range(most, (enough or 0) - 1 if last else -1, -1):
            paid = price + count * self.prices[level]
            if paid > state.ceiling:
                continue
            if last:
                yield (count,)
                continue
            rest = [
                n - count * rule.holds[level] for n, rule in zip(needs, self.rules, strict=True)
            ]
            for tail in self._walk(rest, level + 1, paid, state):
                yield (count, *tail)

    def _most(self, level: int, price: int, state: _State, enough: int | None) -> int:
        """More of this stock than that would be too dear or idle."""
        # One sheet a piece is always enough.
        idle = state.pieces if enough is None else min(enough + state.spare, state.pieces)
        if self.prices[level]:
            affordable = int(min(state.ceiling - price, 1 << 60) // self.prices[level])
            return min(affordable, idle)
        return idle

    def _named(self, mix: Mix) -> Mix:
        """In the order of the caller's stock."""
        counts = [0] * len(mix)
        for stock, count in zip(self.order, mix, strict=True):
            counts[stock] = count
        return tuple(counts)

    def _price(self, mix: Mix) -> int:
        return sum(p * n for p, n in zip(self.prices, mix, strict=True))

    def least(self, pieces: int, effort: int = 20_000) -> int | None:
        """Price of the cheapest mix that passes every rule; None: no mix does."""
        needs = [rule.need for rule in self.rules]
        state = _State(math.inf, Work(effort), pieces)
        best: int | None = None
        for mix in self._walk(needs, 0, 0, state):
            price = self._price(mix)
            if best is None or price < best:
                best, state.ceiling = price, price - 1
        if state.work.over:
            floor = self._least(needs, 0)
            return None if math.isinf(floor) else int(floor)
        return best

    def between(self, low: int, high: int, pieces: int, effort: int = 20_000) -> list[Mix]:
        """Mixes that pass every rule, low <= price <= high, cheapest first, then the fewest."""
        state = _State(high, Work(effort), pieces, spare=2)
        needs = [rule.need for rule in self.rules]
        found = [mix for mix in self._walk(needs, 0, 0, state) if self._price(mix) >= low]
        found.sort(key=lambda mix: (self._price(mix), sum(mix), mix))
        return [self._named(mix) for mix in found]


@dataclass
class _State:
    ceiling: float
    work: Work
    pieces: int
    spare: int = 0


def rules_of_sheets(
    sides: Sequence[tuple[int, int, int, bool]],
    stock: Sequence[tuple[int, int]],
    fits: Callable[[int, int], bool],
) -> list[Rule]:
    """Area, what fits which stock, and the rules of sides that say more than the area.

    Parameters
    ----------
    sides : sequence of (width, height, count, turns)
        Pieces, the blade added to each side.
    stock : sequence of (width, height)
        Sheets less their edges, one blade added to each side.
    fits : callable
        (piece, stock) -> whether one piece alone can be cut from it.
    """
    across = _weights([w for w, h, n, t in sides] + [h for w, h, n, t in sides if t], stock, 0)
    upright = _weights([h for w, h, n, t in sides] + [w for w, h, n, t in sides if t], stock, 1)
    rules = [_rule(sides, stock, f, g) for f in across for g in upright]
    return strongest(rules, len(stock)) + _rules_of_fit(sides, stock, fits)


def _rules_of_fit(
    sides: Sequence[tuple[int, int, int, bool]],
    stock: Sequence[tuple[int, int]],
    fits: Callable[[int, int], bool],
) -> list[Rule]:
    """Area of the pieces that this stock can't give, which the others must hold."""
    rules = []
    for number in range(len(stock)):
        barred = [piece for piece in range(len(sides)) if not fits(piece, number)]
        need = sum(sides[p][0] * sides[p][1] * sides[p][2] for p in barred)
        holds = [
            width * height if any(fits(piece, other) for piece in barred) else 0
            for other, (width, height) in enumerate(stock)
        ]
        if need:
            rules.append(Rule(need, tuple(holds)))
    return rules


def _rule(
    sides: Sequence[tuple[int, int, int, bool]],
    stock: Sequence[tuple[int, int]],
    f: Weight,
    g: Weight,
) -> Rule:
    need = 0
    for width, height, count, turns in sides:
        weight = f(width) * g(height)
        if turns and weight:
            weight = min(weight, f(height) * g(width))
        need += count * weight
    return Rule(need, tuple(f(width) * g(height) for width, height in stock))


def _weights(sides: Sequence[int], stock: Sequence[tuple[int, int]], axis: int) -> list[Weight]:
    """Superadditive functions of one side: itself, how often p fits, nearly the whole stock."""
    full = max(plate[axis] for plate in stock)
    distinct = sorted({side for side in sides if side <= full}, reverse=True)
    # Small sides count too many times to say more than the area.
    telling = [side for side in distinct if side * 6 > full][:12]
    functions: list[Weight] = [_itself]
    functions += [_times(side) for side in telling]
    functions += [_times(full // n + 1) for n in range(2, 5)]
    functions += [_large(full, full - side) for side in telling if side * 2 > full]
    return functions


def _itself(side: int) -> int:
    return side


def _times(p: int) -> Weight:
    return lambda side: side // p


def _large(full: int, small: int) -> Weight:
    """A side longer than full − small counts as full, one not longer than small as nothing.

    Beside a side that long only sides up to `small` find room, so the sum never passes full.
    """

    def weight(side: int) -> int:
        if side > full - small - 1:
            return full
        return 0 if side <= small else side

    return weight


def strongest(rules: Sequence[Rule], stocks: int, most: int = 10) -> list[Rule]:
    """The first rule, and those that ask for more of some stock than any other."""
    kept = [rules[0]]
    for stock in range(stocks):
        kept += sorted(rules[1:], key=lambda rule: -rule.share(stock))[:3]
    kept += sorted(rules[1:], key=lambda rule: -min(rule.share(stock) for stock in range(stocks)))[
        :3
    ]
    unique = list(dict.fromkeys(kept))
    return [unique[0], *(rule for rule in unique[1:] if rule.need > 0)][:most]


def rules_of_bars(
    lengths: Sequence[int], counts: Sequence[int], stock: Sequence[int]
) -> list[Rule]:
    """Length, and the superadditive rules that say more, the blade added to all lengths."""
    sides = [(length, 1, count, False) for length, count in zip(lengths, counts, strict=True)]
    bars = [(length, 1) for length in stock]
    rules = [_rule(sides, bars, f, _itself) for f in _weights(lengths, bars, 0)]
    return strongest(rules, len(stock))
