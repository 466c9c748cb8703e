"""Whether a hand gets round the bar of a handle, now that all that lies beside it has its place."""

from __future__ import annotations

import numpy as np

from guidegen.calc import boxes
from guidegen.design.model import Model, Part
from guidegen.design.result import PRACTICE, Desk, Mend, Section
from guidegen.design.solid import Solid
from guidegen.kinds import FineMetre, Metre
from guidegen.spec.model import Fixture

#: Breadth of a gloved hand, and the air that its fingers need round a bar (common practice, no
#: source). [m].
BREADTH, FINGERS = 0.1, 0.025


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Find the longest free piece of every handle's bar."""
    desk = Desk("grips", fixture, before)
    model: Model = desk.result("circuit")
    for number, bar in enumerate(model.by_role("handle_bar"), 1):
        if bar.solid is None:
            continue
        name = "handle" if number == 1 else f"handle_{number}"
        fingers = desk.given(f"{name}.fingers", FineMetre, FINGERS, PRACTICE)
        grip = desk.given(f"{name}.grip", Metre, longest(bar.solid, _beside(model, bar), FINGERS),
                          "places of the parts")  # fmt: skip
        breadth = desk.given(f"{name}.breadth", Metre, BREADTH, PRACTICE)
        longer = f"{round((bar.solid.size[0] + 4 * BREADTH) * 1e3)} mm"
        desk.limit("handle-grip", breadth, grip, at_most=False, level="advice", handle=bar.ref,
                   fingers=fingers, place=fixture.place("body.handles"),
                   mends=(Mend({"body.handles.1.length": longer}),
                          Mend({"body.enclosure.side": "separate"})))  # fmt: skip
    return desk.section()


def _beside(model: Model, bar: Part) -> list[Solid]:
    """All other parts but the board, which a limit of its own keeps away."""
    return [part.solid for part in model.parts
            if part.solid and part.ref != bar.ref and part.role != "board"
            and part.panel == bar.panel]  # fmt: skip


def longest(bar: Solid, others: list[Solid], air: float) -> float:
    """The longest piece of a bar along x that has this air all round.

    Parameters
    ----------
    bar : Solid
        The bar.
    others : list of Solid
        What may be in the way, the blocks that hold the bar among it.
    air : float
        [m]

    Returns
    -------
    float
        [m]
    """
    low, high = bar.low[0], bar.high[0]
    if not others:
        return high - low
    corners = [np.array([getattr(one, end)[1:] for one in others]) for end in ("low", "high")]
    apart = boxes.gaps(np.array([bar.low[1:]]), np.array([bar.high[1:]]), *corners)[0]
    taken = sorted((one.low[0], one.high[0]) for one, gap in zip(others, apart, strict=True)
                   if gap < air)  # fmt: skip
    best, free = 0.0, low
    for start, end in taken:
        best = max(best, min(start, high) - free)
        free = max(free, end)
    return max(best, high - free)
