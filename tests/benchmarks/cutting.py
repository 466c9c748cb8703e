"""A demonstration job for the plans of sheets and bars, and how long they take."""

from __future__ import annotations

import statistics
import time

from guidegen.calc.cutting import (
    BarPiece,
    BarPlan,
    BarStock,
    Piece,
    SheetPlan,
    SheetStock,
    bar_plan,
    sheet_plan,
)

#: Eight copies of a light of about twenty pieces in three sheet materials, and its bars.
COPIES = 8
#: The aim for all of it together. [s]
GOAL = 0.06


def demonstration() -> tuple[SheetPlan | BarPlan, ...]:
    """The plans of all materials; sizes and prices are invented."""
    n = COPIES
    stock = [
        SheetStock("2440 × 1220", 2.44, 1.22, 36),
        SheetStock("1220 × 1220", 1.22, 1.22, 21),
        SheetStock("1220 × 610", 1.22, 0.61, 12),
        SheetStock("600 × 400", 0.6, 0.4, 5.5),
    ]
    board = [
        Piece("P1", 0.40, 0.30, n),
        Piece("P2", 0.42, 0.05, 2 * n),
        Piece("P3", 0.30, 0.05, 2 * n),
        Piece("P4", 0.16, 0.09, 2 * n),
        Piece("P5", 0.16, 0.06, 2 * n),
        Piece("P6", 0.08, 0.06, 2 * n),
        Piece("P7", 0.07, 0.07, n),
        Piece("P8", 0.045, 0.085, 4 * n),
    ]
    cover = [Piece("C1", 0.418, 0.328, n), Piece("C2", 0.414, 0.051, 2 * n)]
    metal = [Piece("A1", 0.38, 0.28, n, turns=False), Piece("A2", 0.05, 0.04, 3 * n)]
    bars = [BarPiece("B1", 0.42, 2 * n), BarPiece("B2", 0.3, 2 * n)]
    return (
        sheet_plan(board, stock, 0.003, 0.01),
        sheet_plan(cover, stock, 0.0, 0.005, 0.015),
        sheet_plan(metal, stock, 0.002, 0.005),
        bar_plan(bars, [BarStock("2.4 m", 2.4, 4), BarStock("1 m", 1.0, 2)], 0.002),
    )


def seconds(runs: int) -> float:
    """Seconds that the whole job takes, as a median."""
    took = []
    for _ in range(runs):
        start = time.perf_counter()
        demonstration()
        took.append(time.perf_counter() - start)
    return statistics.median(took)
