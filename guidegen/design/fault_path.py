"""The way of the current from the supply to the feeds, hop by hop."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass

from guidegen.design.model import Model, owner

#: Parts that make another voltage of the one they get.
STAGES = ("regulator", "pulse_width")
#: Parts that a pole goes through.
THROUGH = ("connector", "fuse", "switch", "cut_off", "supply_cut_off", "thermal_cut_out", *STAGES)


@dataclass(frozen=True)
class Hop:
    """From one terminal to the next: along a wire or through a part."""

    ref: str
    role: str
    start: str
    end: str
    wire: bool


def path(model: Model, sign: str, goal: str) -> list[Hop]:
    """Hops of one pole from the supply to a terminal; none where it does not get there.

    Parameters
    ----------
    model : Model
        Parts and circuit.
    sign : str
        `+` or `-`.
    goal : str
        Terminal where the feeds of this pole begin.
    """
    near: dict[str, list[Hop]] = {}
    for hop in _hops(model, sign):
        near.setdefault(hop.start, []).append(hop)
    begin = _begin(model, sign)
    came: dict[str, Hop | None] = {begin: None}
    queue = deque([begin])
    while queue:
        for hop in near.get(queue.popleft(), ()):
            if hop.end not in came:
                came[hop.end] = hop
                queue.append(hop.end)
    found: list[Hop] = []
    at = came.get(goal)
    while at is not None:
        found.append(at)
        at = came[at.start]
    return found[::-1]


def _begin(model: Model, sign: str) -> str:
    """The supply's terminal; the connector's where the supply is plugged into it."""
    joined = {key for wire in model.conductors for key in (wire.start, wire.end)}
    keys = [t.key for t in model.terminals if _sign(t.polarity) == sign]
    for role in ("supply", "connector"):
        refs = {part.ref for part in model.by_role(role)}
        for key in keys:
            if owner(key) in refs and key in joined:
                return key
    return next(iter(keys), "")


def _hops(model: Model, sign: str) -> Iterator[Hop]:
    for wire in model.conductors:
        if _sign(wire.polarity) == sign:
            yield Hop(wire.ref, wire.role, wire.start, wire.end, True)
            yield Hop(wire.ref, wire.role, wire.end, wire.start, True)
    through = {part.ref: part.role for part in model.parts if part.role in THROUGH}
    keys: dict[str, list[str]] = {}
    for terminal in model.terminals:
        if terminal.part in through and _sign(terminal.polarity) == sign:
            keys.setdefault(terminal.part, []).append(terminal.key)
    for ref, mine in keys.items():
        for one in mine:
            for other in mine:
                if one != other:
                    yield Hop(ref, through[ref], one, other, False)


def _sign(polarity: str) -> str:
    return polarity.replace("−", "-")
