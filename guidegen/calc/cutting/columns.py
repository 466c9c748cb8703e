"""Linear and integer programmes over patterns, for the hard cases only.

The linear programme over all patterns gives each piece a price; the most valuable pattern at
those prices either joins the programme or proves that no pattern is missing. The prices of the
last round are weights for a rule of the bound, in whole numbers, so that the rule is exact
whatever the solver rounds.

References
----------
.. [1] P. C. Gilmore, R. E. Gomory, A linear programming approach to the cutting-stock problem,
   Operations Research 9 (1961); from memory.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np

#: Whole steps that the dearest piece's price is told in.
FINE = 1 << 30

Column = tuple[int, tuple[int, ...]]
"""(stock, how many of each kind)."""
Pricing = Callable[[Sequence[int]], list[tuple[int, tuple[int, ...]]]]
"""Weights -> for each stock the most weight that it holds, and a pattern that holds so much."""


@dataclass
class Programme:
    """The patterns found so far and what they must cover."""

    counts: Sequence[int]
    prices: Sequence[int]
    quantities: Sequence[int | None]
    columns: list[Column]

    def matrix(self) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
        """How many of each kind a pattern gives, shape (kinds, patterns)."""
        return np.array([pattern for _, pattern in self.columns], dtype=float).T

    def limits(
        self,
    ) -> tuple[np.ndarray[tuple[int, int], np.dtype[np.float64]], list[int]]:
        """Rows that count the sheets of limited stock, shape (limited, patterns)."""
        limited = [(s, q) for s, q in enumerate(self.quantities) if q is not None]
        rows = np.zeros((len(limited), len(self.columns)))
        for row, (stock, _) in enumerate(limited):
            rows[row] = [other == stock for other, _ in self.columns]
        return rows, [q for _, q in limited]

    def costs(self) -> list[int]:
        """Price of each pattern's stock."""
        return [self.prices[stock] for stock, _ in self.columns]


def generate(programme: Programme, pricing: Pricing, rounds: int) -> list[tuple[int, ...]]:
    """Add patterns until none is missing; the weights of every round, the last one first.

    Parameters
    ----------
    programme : Programme
        Its columns must cover every kind.
    pricing : callable
        Best patterns for given weights.
    rounds : int
        Most rounds.
    """
    # Late: it takes a quarter of a second to import.
    from scipy.optimize import linprog  # type: ignore[import-untyped]

    seen = set(programme.columns)
    weights: list[tuple[int, ...]] = []
    for _ in range(rounds):
        limits, most = programme.limits()
        with quiet():
            solved = linprog(
                programme.costs(),
                A_ub=np.vstack([-programme.matrix(), limits]),
                b_ub=[-n for n in programme.counts] + most,
                method="highs",
            )
        if solved.status != 0:
            break
        duals = -solved.ineqlin.marginals[: len(programme.counts)]
        scale = FINE / max(float(duals.max()), 1e-9)
        weights.append(tuple(int(max(dual, 0.0) * scale) for dual in duals))
        best = pricing(weights[-1])
        fresh = [(stock, pattern) for stock, (_, pattern) in enumerate(best)]
        fresh = [column for column in fresh if column not in seen and any(column[1])]
        if not fresh:
            break
        programme.columns += fresh
        seen.update(fresh)
    return weights[::-1]


def cover(programme: Programme, nodes: int) -> list[Column] | None:
    """The cheapest way to cover the counts with these patterns, as far as the nodes go."""
    # Late: as above.
    from scipy.optimize import Bounds, LinearConstraint, milp

    limits, most = programme.limits()
    constraints = [LinearConstraint(programme.matrix(), lb=np.array(programme.counts))]
    if most:
        constraints.append(LinearConstraint(limits, ub=np.array(most)))
    with quiet():
        solved = milp(
            programme.costs(),
            constraints=constraints,
            bounds=Bounds(0, np.inf),
            integrality=np.ones(len(programme.columns)),
            options={"node_limit": nodes, "mip_rel_gap": 0.0},
        )
    if solved.x is None:
        return None
    times = [round(x) for x in solved.x]
    return [column for column, n in zip(programme.columns, times, strict=True) for _ in range(n)]


def exact(columns: Sequence[Column], counts: Sequence[int]) -> list[Column]:
    """The same sheets without the pieces that are more than wanted."""
    left = list(counts)
    trimmed = []
    for stock, pattern in columns:
        taken = tuple(min(a, b) for a, b in zip(pattern, left, strict=True))
        left = [a - b for a, b in zip(left, taken, strict=True)]
        if any(taken):
            trimmed.append((stock, taken))
    return trimmed


@contextmanager
def quiet() -> Iterator[None]:
    """The solver writes stray lines to the process's standard output, which is the user's."""
    sys.stdout.flush()
    try:
        kept = os.dup(1)
    except OSError:  # closed: nothing can be written there
        yield
        return
    try:
        with open(os.devnull, "wb") as nowhere:
            os.dup2(nowhere.fileno(), 1)
            yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
