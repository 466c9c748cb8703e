"""How much a supply can drive: adapters by their shut-off, a vehicle's socket by its fuse."""

from __future__ import annotations

from guidegen.calc import protection
from guidegen.design.bank import greatest_short
from guidegen.design.parts import is_vehicle, supply_part
from guidegen.design.result import Desk
from guidegen.kinds import Ratio
from guidegen.spec.part import Part
from guidegen.values import Value

#: By how many times its rating the fuse of a socket has opened.
OPENS = 1.35
GATE = "ISO 8820-3, blade fuse, at most 600 s, from memory"


def settle_most_current(desk: Desk) -> None:
    """Enter what the supply can give for good."""
    part = supply_part(desk.fixture)
    if is_vehicle(part):
        desk.work("socket.opens_at", protection.fuse_opens_at, rating=desk.put(part["fuse"]),
                  opens=desk.given("socket.opens", Ratio, OPENS, GATE))  # fmt: skip
    else:
        desk.put(part["highest_current"])


def most_current(desk: Desk) -> Value:
    """What the supply can drive for good, into whatever hangs on it."""
    for name in ("battery.highest_current", "socket.opens_at", "adapter.highest_current"):
        if name in desk:
            return desk[name]
    raise KeyError("most_current")


def settle_socket(desk: Desk, part: Part) -> None:
    """Enter the voltages of a vehicle's socket that are not its window."""
    desk.put(part["cranking"], part["jump_start"], part["load_dump"], part["capacity"])


def stores_or_starts(desk: Desk) -> bool:
    """Whether a battery stands behind the supply: one of its own, or that of a vehicle."""
    return bool(desk.fact("battery") or desk.fact("vehicle"))


def short_current(desk: Desk) -> Value:
    """What flows into a short before anything opens."""
    if stores_or_starts(desk):
        return desk.put(supply_part(desk.fixture)["short_circuit_current"])
    return desk["adapter.highest_current"]


def most_short_current(desk: Desk) -> Value:
    """The upper end of it: with this a fuse must cope."""
    return greatest_short(desk) if stores_or_starts(desk) else short_current(desk)
