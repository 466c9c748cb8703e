"""Several panels on one chain: all alike, laid out beside one another in the drawings."""

from __future__ import annotations

from guidegen.design.result import Desk
from guidegen.values import Value

Point = tuple[float, float]
#: Between two panels, as they are drawn. [m].
APART = 0.06


def numbers(desk: Desk) -> range:
    """The panels' numbers, from 1."""
    return range(1, desk.fixture.panel_count + 1)


def label(desk: Desk, panel: int) -> int:
    """What a part of a panel carries: its number, or 0 where there is only one panel."""
    return panel if desk.fixture.panel_count > 1 else 0


def origin(desk: Desk, panel: int) -> Point:
    """Lower left corner of a panel's board in the drawings. [m].

    Panels that are wider than high lie one below the other, others side by side.
    """
    width, height = desk["board.width"].si, desk["board.height"].si
    if width >= height:
        return 0.0, -(panel - 1) * (height + APART)
    return (panel - 1) * (width + APART), 0.0


def of_row(desk: Desk, number: int) -> tuple[int, int]:
    """The panel that a row is on, and its number there, both from 1."""
    panel, row = divmod(number - 1, int(desk["row.count"].si))
    return panel + 1, row + 1


def one(desk: Desk, figure: str) -> Value:
    """Of one panel: `current` or `power`; all panels together have `panel.current`."""
    return desk[f"one_panel.{figure}" if desk.fixture.panel_count > 1 else f"panel.{figure}"]


def all_rows(desk: Desk) -> Value:
    """Number of rows of all panels."""
    return desk["rows.all" if desk.fixture.panel_count > 1 else "row.count"]
