"""The cheapest bars for pieces of given lengths: bars, tubes, wire, tape from reels."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence

from guidegen.calc.cutting.barfill import BarJob
from guidegen.calc.cutting.barsearch import BarSearch, Found
from guidegen.calc.cutting.model import (
    Bar,
    BarCut,
    BarPiece,
    BarPlan,
    BarStock,
    CuttingError,
    metres,
    piece_name,
    price_of,
    price_steps,
    steps_down,
    steps_up,
)
from guidegen.calc.cutting.order import Name
from guidegen.calc.cutting.spread import spread

#: Bars filled before the search stops.
EFFORT = 20_000


def bar_plan(
    pieces: Sequence[BarPiece],
    stock: Sequence[BarStock],
    kerf: float,
    end_trim: float = 0.0,
    effort: int = EFFORT,
) -> BarPlan:
    """The cheapest bars that hold all pieces.

    Parameters
    ----------
    pieces : sequence of BarPiece
        Lengths that are wanted.
    stock : sequence of BarStock
        Bars that may be bought and rests on hand.
    kerf : float
        Width of the saw cut; 0 for shears, snips and scissors. [m]
    end_trim : float
        Taken off each end of every bar, its saw cut included. [m]
    effort : int
        Most bars that the search fills. The same effort gives the same plan everywhere.

    Returns
    -------
    BarPlan
        `proven` if no plan whatever costs less.

    Raises
    ------
    CuttingError
        If a piece is longer than every bar, or the bars on hand don't suffice.
    """
    blade, edge = steps_up(kerf), steps_up(end_trim)
    _check_lengths(pieces, stock, edge)
    wanted = [piece for piece in pieces if piece.count > 0]
    if not wanted:
        return BarPlan((), 0.0, 0.0, True)
    job, names = _merged(wanted, stock, blade, edge)
    found = BarSearch(job, effort).run()
    if found is None:
        raise CuttingError(_short(wanted, stock))
    return _plan(found, names, stock, (blade, edge))


def tape_plan(row_length: float, rows: int, reel_length: float, copies: int) -> BarPlan:
    """Reels for rows of tape, which is cut with scissors and not joined within a row.

    Parameters
    ----------
    row_length, reel_length : float
        Whole numbers of cut increments. [m]
    rows, copies : int
        Rows a copy, and copies.

    Returns
    -------
    BarPlan
        One bar a reel.

    Raises
    ------
    CuttingError
        If a row is longer than a reel.
    """
    row = BarPiece("row", row_length, rows * copies)
    return bar_plan([row], [BarStock("reel", reel_length)], 0.0)


def _merged(
    pieces: Sequence[BarPiece], stock: Sequence[BarStock], blade: int, edge: int
) -> tuple[BarJob, list[tuple[int, deque[Name]]]]:
    """Pieces of equal length as one kind; all in the coarsest step that keeps sums exact."""
    names: dict[int, deque[Name]] = {}
    for piece in pieces:
        names.setdefault(steps_up(piece.length), deque()).extend(
            Name(piece.label, copy, piece_name(piece.label, copy, piece.count))
            for copy in range(1, piece.count + 1)
        )
    kinds = sorted(names, reverse=True)
    unit = math.gcd(*(length + blade for length in kinds))
    job = BarJob(
        lengths=tuple((length + blade) // unit for length in kinds),
        counts=tuple(len(names[length]) for length in kinds),
        stock=tuple((steps_down(s.length) - 2 * edge + blade) // unit for s in stock),
        prices=tuple(price_steps(s.price) for s in stock),
        quantities=tuple(s.quantity for s in stock),
    )
    return job, [(length, names[length]) for length in kinds]


def _check_lengths(pieces: Sequence[BarPiece], stock: Sequence[BarStock], edge: int) -> None:
    if not stock:
        raise CuttingError("no bar stock is given; accepted: at least one length")
    longest = max(stock, key=lambda s: (s.quantity != 0, s.length))
    room = steps_down(longest.length) - 2 * edge
    for piece in pieces:
        if steps_up(piece.length) <= 0:
            raise CuttingError(f"piece '{piece.label}' has no length: {_mm(piece.length)}")
        if steps_up(piece.length) > room:
            raise CuttingError(
                f"piece '{piece.label}' ({_mm(piece.length)}) fits no stock; the longest is "
                f"'{longest.name}' ({_mm(longest.length)}, of which {_mm(metres(edge))} are "
                f"trimmed from each end)"
            )


def _mm(length: float) -> str:
    return f"{length * 1000:.10g} mm"


def _short(pieces: Sequence[BarPiece], stock: Sequence[BarStock]) -> str:
    total = sum(piece.count * piece.length for piece in pieces)
    on_hand = ", ".join(
        f"{'any number of' if s.quantity is None else s.quantity} × '{s.name}'" for s in stock
    )
    return (
        f"no way was found to cut {sum(piece.count for piece in pieces)} pieces of "
        f"{total:.4g} m in all from {on_hand}; accepted: more bars, or one length of unlimited "
        f"quantity"
    )


def _plan(
    found: Found,
    names: list[tuple[int, deque[Name]]],
    stock: Sequence[BarStock],
    saw: tuple[int, int],
) -> BarPlan:
    """Names dealt out; equal bars together."""
    blade, edge = saw
    rooms = [steps_down(one.length) - 2 * edge + blade for one in stock]
    packed = sorted(
        spread(found.packed, [length + blade for length, _ in names], rooms),
        key=lambda bar: (-stock[bar[0]].length, tuple(-n for n in bar[1])),
    )
    bars = tuple(_bar(stock[index], pattern, names, saw) for index, pattern in packed)
    return BarPlan(bars, price_of(found.price), price_of(found.bound), found.price == found.bound)


def _bar(
    stock: BarStock,
    pattern: Sequence[int],
    names: list[tuple[int, deque[Name]]],
    saw: tuple[int, int],
) -> Bar:
    blade, edge = saw
    at, cuts = edge, []
    for (length, free), count in zip(names, pattern, strict=True):
        for _ in range(count):
            name = free.popleft()
            cuts.append(BarCut(name.label, name.copy, metres(at), metres(length), name.text))
            at += length + blade
    end = steps_down(stock.length)
    return Bar(stock, tuple(cuts), metres(max(end - at, 0)))
