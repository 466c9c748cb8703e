"""What part of the board a step picture shows, and where it may not be broken."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from guidegen.design.model import Model, Part
from guidegen.design.solid import Box
from guidegen.diagrams.source import union
from guidegen.diagrams.svg import Point


def window(
    model: Model,
    refs: tuple[Collection[str], Collection[str]],
    seen: Sequence[Part],
    ends: Sequence[Point],
    back: bool,
) -> Box:
    """The part of the board that matters: what is new, and what it touches.

    Parameters
    ----------
    model : Model
        Of one panel.
    refs : tuple of collection of str
        What is new, and what was there.
    seen : sequence of Part
        Parts that lie on this side.
    ends : sequence of Point
        Both ends of what new conductors have on this side. [m]
    back : bool
        Whether the back is seen.

    Returns
    -------
    Box
        On the board. [m]
    """
    fresh, there = refs
    new = [part for part in seen if part.ref in fresh]
    places: list[Box | None] = [*(part.box for part in new), *(Box(*at, 0, 0) for at in ends)]
    hosts = {part.on for part in new} & set(there)
    around = [part for part in seen if part.ref in hosts and part.role != "board"]
    lids = model.by_role("lid")
    if not around and any(part.role in lid.covers for part in new for lid in lids):
        # On the floor of the box: its walls say where.
        around = [part for part in model.by_role("wall") if part.ref in there]
    places += [part.box for part in around]
    found, board = union(places), model.board
    beside = found is not None and union([found, board]) != board
    if found is None or not back or (found.width > board.width / 2 and not beside):
        return board
    # What stands beside the board, such as a box of its own, has no edge to stop at.
    grow = 0.25 * max(found.width, found.height, 0.0 if beside else board.width / 8)
    edge = found if beside else board
    left, low = (max(found.x - grow, edge.x - beside * grow),
                 max(found.y - grow, edge.y - beside * grow))  # fmt: skip
    right = min(found.x + found.width + grow, edge.x + edge.width + beside * grow)
    high = min(found.y + found.height + grow, edge.y + edge.height + beside * grow)
    return Box(left, low, right - left, high - low)


def stops(model: Model, there: Sequence[Part], new: Collection[str]) -> list[float]:
    """Board x of all that no break may take away; of holes those that new parts take. [m]."""
    refs = {part.ref for part in there}
    found = [x for part in there if part.box for x in (part.box.x, part.box.x + part.box.width)]
    found += [one.at[0] for one in model.terminals if one.at and one.part in refs]
    found += [hole.at[0] for part in there if part.solid for hole in part.solid.holes
              if hole.holds in new]  # fmt: skip
    return found + [x for part in there for x, _ in part.line or ()]
