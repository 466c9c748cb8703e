"""The cheapest sheets for rectangular pieces, and how each sheet is cut."""

from __future__ import annotations

import math
from collections.abc import Sequence

from guidegen.calc.cutting.fill import Job
from guidegen.calc.cutting.model import (
    CuttingError,
    Piece,
    Sheet,
    SheetPlan,
    SheetStock,
    metres,
    piece_name,
    price_of,
    price_steps,
    steps_down,
    steps_up,
)
from guidegen.calc.cutting.offcuts import gathered
from guidegen.calc.cutting.order import Name, deal, lay_out
from guidegen.calc.cutting.search import Found, Search

#: Plates filled before the search stops, where nothing proves its plan the cheapest before.
EFFORT = 3_000
#: The same for each piece.
EFFORT_EACH = 10
#: The same for the offcuts of one sheet.
EFFORT_OFFCUT = 600

Kind = tuple[int, int, bool]


def sheet_plan(
    pieces: Sequence[Piece],
    stock: Sequence[SheetStock],
    kerf: float,
    trim: float = 0.0,
    min_strip: float = 0.0,
    effort: int | None = None,
) -> SheetPlan:
    """The cheapest sheets that hold all pieces, cut by through cuts only.

    Parameters
    ----------
    pieces : sequence of Piece
        Sizes that are wanted; with `turns=False` the width stays along the sheet's width.
    stock : sequence of SheetStock
        Sheets that may be bought and offcuts on hand.
    kerf : float
        Width of the saw cut. [m]
    trim : float
        Taken off each edge of every sheet, its saw cut included. [m]
    min_strip : float
        No cut leaves a strip narrower than this; a sheet that is scored and snapped needs it.
        [m]
    effort : int, optional
        Most plates that the search fills. The same effort gives the same plan everywhere.

    Returns
    -------
    SheetPlan
        `proven` if no plan whatever costs less.

    Raises
    ------
    CuttingError
        If a piece fits no stock, or the stock on hand doesn't suffice.
    """
    blade, edge, strip = steps_up(kerf), steps_up(trim), steps_up(min_strip)
    edge = max(edge, blade) if edge else 0  # a trim takes at least the blade
    _check_sizes(pieces, stock, strip)
    wanted = [piece for piece in pieces if piece.count > 0]
    if not wanted:
        return SheetPlan((), 0.0, 0.0, True)
    job, names = merged(wanted, stock, blade, edge, strip)
    _check_fit(wanted, stock, job, edge)
    limit = EFFORT + EFFORT_EACH * sum(job.counts) if effort is None else effort
    found = Search(job, limit).run()
    if found is None:
        raise CuttingError(_short(wanted, stock))
    return _plan(found, job, names, stock, edge)


def merged(
    pieces: Sequence[Piece], stock: Sequence[SheetStock], blade: int, edge: int, strip: int
) -> tuple[Job, list[list[Name]]]:
    """Pieces of equal size as one kind, the largest first, so labels and order change nothing."""
    names: dict[Kind, list[Name]] = {}
    for piece in pieces:
        kind = _kind(piece, blade)
        sides = (steps_up(piece.width) + blade, steps_up(piece.height) + blade)
        names.setdefault(kind, []).extend(
            Name(piece.label, copy, piece_name(piece.label, copy, piece.count), kind[:2] != sides)
            for copy in range(1, piece.count + 1)
        )
    kinds = sorted(names, key=lambda kind: (-kind[0] * kind[1], kind))
    plates = [
        (steps_down(s.width) - 2 * edge + blade, steps_down(s.height) - 2 * edge + blade)
        for s in stock
    ]
    job = Job(
        kinds=tuple(kinds),
        counts=tuple(len(names[kind]) for kind in kinds),
        plates=tuple(plates),
        prices=tuple(price_steps(s.price) for s in stock),
        quantities=tuple(s.quantity for s in stock),
        kerf=blade,
        min_strip=strip,
        unit=math.gcd(*(side for kind in kinds for side in kind[:2])),
    )
    return job, [names[kind] for kind in kinds]


def _kind(piece: Piece, blade: int) -> Kind:
    width, height = steps_up(piece.width) + blade, steps_up(piece.height) + blade
    if not piece.turns or width == height:
        return width, height, False
    return max(width, height), min(width, height), True


def _check_sizes(pieces: Sequence[Piece], stock: Sequence[SheetStock], strip: int) -> None:
    """There is stock, and every piece is a rectangle that can be cut off."""
    if not stock:
        raise CuttingError("no sheet stock is given; accepted: at least one size of sheet")
    for piece in pieces:
        least = min(steps_up(piece.width), steps_up(piece.height))
        if least <= 0:
            raise CuttingError(f"piece '{piece.label}' has no size: {_size(piece)}")
        if least < strip:
            raise CuttingError(
                f"piece '{piece.label}' ({_size(piece)}) is narrower than the narrowest strip "
                f"that can be cut off, {_mm(metres(strip))} mm"
            )


def _check_fit(pieces: Sequence[Piece], stock: Sequence[SheetStock], job: Job, edge: int) -> None:
    """Every piece alone must fit some sheet."""
    there = [n for n, sheet in enumerate(stock) if sheet.quantity != 0]
    kinds = {kind: number for number, kind in enumerate(job.kinds)}
    for piece in pieces:
        if any(job.fits(kinds[_kind(piece, job.kerf)], number) for number in there):
            continue
        largest = max(stock, key=lambda s: s.width * s.height)
        grain = "" if piece.turns else " and may not be turned"
        trims = f", {_mm(metres(edge))} mm off each edge" if edge else ""
        strips = f"; no strip under {_mm(metres(job.min_strip))} mm" if job.min_strip else ""
        raise CuttingError(
            f"piece '{piece.label}' ({_size(piece)}{grain}) fits no stock; the largest is "
            f"'{largest.name}' ({_size(largest)}{trims}{strips})"
        )


def _size(thing: Piece | SheetStock) -> str:
    return f"{_mm(thing.width)} mm × {_mm(thing.height)} mm"


def _mm(length: float) -> str:
    return f"{length * 1000:.10g}"


def _short(pieces: Sequence[Piece], stock: Sequence[SheetStock]) -> str:
    count = sum(piece.count for piece in pieces)
    area = sum(piece.count * piece.width * piece.height for piece in pieces)
    on_hand = ", ".join(
        f"{'any number of' if s.quantity is None else s.quantity} × '{s.name}'" for s in stock
    )
    return (
        f"no way was found to cut {count} pieces of {area:.4g} m² in all from {on_hand}; "
        f"accepted: more sheets, or one size of unlimited quantity"
    )


def _plan(
    found: Found, job: Job, names: list[list[Name]], stock: Sequence[SheetStock], edge: int
) -> SheetPlan:
    """Names dealt out and cuts put in order, sheet by sheet, the largest sheets first."""
    free = deal(names)
    sheets = []
    for index, filled in found.packed:
        node = gathered(job, index, filled, EFFORT_OFFCUT)
        size = (steps_down(stock[index].width), steps_down(stock[index].height))
        layout = lay_out(node, size, edge, job.kerf, free)
        sheets.append(Sheet(stock[index], layout.placed, layout.cuts, layout.offcuts))
    return SheetPlan(
        tuple(sheets),
        price_of(found.price),
        price_of(found.bound),
        found.price == found.bound,
    )
