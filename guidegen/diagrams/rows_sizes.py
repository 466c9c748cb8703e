"""Dimensions of the panel's drawing: places of rails and rows, lengths, the pitch."""

from __future__ import annotations

from typing import TYPE_CHECKING

from guidegen.design.solid import Box
from guidegen.diagrams.dimension import STEP, Written, across, upright
from guidegen.diagrams.metrics import width
from guidegen.diagrams.rows_notes import pitch_text
from guidegen.diagrams.source import millimetres
from guidegen.diagrams.style import TEXT
from guidegen.diagrams.svg import Point, text_area

if TYPE_CHECKING:
    from guidegen.diagrams.rows import Panel

#: How many lines lower a dimension line may move.
_DOWN = 4


def sizes(panel: Panel) -> None:
    """Write all dimensions of one figure of the panel."""
    boxes = [part.box for part in panel.tapes if part.box]
    first, last = boxes[0], boxes[-1]
    _uprights(panel, first.y + first.height / 2, last.y + last.height / 2)
    if panel.last:
        _widths(panel, first)


def _widths(panel: Panel, row: Box) -> None:
    """Offsets of rails and rows from the board's edges, then the lengths."""
    board, canvas, y = panel.model.board, panel.canvas, panel.y(panel.low)
    x0, x1 = panel.x(board.x), panel.x(board.x + board.width)
    left, right = panel.x(row.x), panel.x(row.x + row.width)
    begins = millimetres(row.x - board.x)
    lines = sorted(panel.rail_lines(), key=lambda pair: min(pair[0] - x0, x1 - pair[0]))
    level = {True: y, False: y}
    for x, rail in lines:
        if rail.bends:  # its places stand in a table
            continue
        near = x - x0 < x1 - x
        level[near] += STEP
        at = next(t.at[0] for t in panel.model.terminals if t.part == rail.ref and t.at)
        off = at - board.x if near else board.x + board.width - at
        # A rail between the ends of the rows: the text keeps clear of the line from the end.
        inner = max(left, x0) if near else min(right, x1)
        clear = (inner + x) / 2 if left < x < right else None
        across(canvas, (x0 if near else x1, x), level[near], millimetres(off), y,
               Written(near, clear))  # fmt: skip
    last = max(level.values())
    low = _clear(panel, (x0 - 16, last + STEP), begins)
    across(canvas, (x0, left), low, begins, y, Written(before=True))
    across(canvas, (left, right), low, millimetres(row.width), y)
    across(canvas, (x0, x1), low + STEP, millimetres(board.width), y)


def _clear(panel: Panel, at: Point, text: str) -> float:
    """The height of a dimension line whose text, left of it, is clear of what stands there."""
    for step in range(_DOWN):
        area = text_area((at[0], at[1] - 5 + STEP * step), text, TEXT, "end")
        if not any(one.meets(area) for one in panel.canvas.field.taken):
            return at[1] + STEP * step
    return at[1]


def _uprights(panel: Panel, first: float, last: float) -> None:
    """Offsets of the first and last row's centre line, and what lies between."""
    canvas, board = panel.canvas, panel.model.board
    x, feature = 24, 44
    if len(panel.tapes) > 1:
        ends = (panel.y(first), panel.y(last))
        span = pitch_text(panel.tapes, panel.every)
        total = millimetres(first - last)
        fits = width(span, TEXT) + 8 < ends[1] - ends[0]
        upright(canvas, ends, x, span if fits else total, feature)
    if panel.last:
        ends = (panel.y(last), panel.y(board.y))
        upright(canvas, ends, x + 18, millimetres(last - board.y), feature)
