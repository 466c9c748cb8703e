"""Where the feed meets the rails: which law their drop follows."""

from __future__ import annotations

from guidegen.calc import drops
from guidegen.design.result import Desk, Finding, Halt, Mend
from guidegen.kinds import Count, Law
from guidegen.values import Value


def fed(desk: Desk, fed_at: str) -> tuple[Law, Value]:
    """The law of a rail's drop for its feed, and the rows that it goes by.

    Raises
    ------
    Halt
        If there is no row there to be fed below.
    """
    rows, below = desk["row.count"], desk.fixture.wiring.rail_fed_below
    if not below:
        return drops.rail_drop_middle if fed_at == "middle" else drops.rail_drop_end, rows
    last = rows.si - 1
    if below > last:
        desk.find(Finding("rail-feed-row", "stop", rows, None,
                          desk.fixture.place("wiring.rails.fed_at"), {"below": str(below)},
                          (Mend({"wiring.rails.fed_at": "middle"}),)))  # fmt: skip
        raise Halt(desk.section())
    return drops.rail_drop_point, desk.given(
        "rail.rows_beyond", Count, max(below, rows.si - below), "wiring.rails.fed_at")  # fmt: skip
