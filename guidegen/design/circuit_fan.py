"""The fan in the circuit: behind a stage of the light, beside everything else."""

from __future__ import annotations

from dataclasses import replace

from guidegen.design import places
from guidegen.design.box import FAN_AIR
from guidegen.design.fan import RESISTOR
from guidegen.design.growing import SOLDER, Wiring
from guidegen.spec.parts import catalogue_part

#: Parts at which the fan's negative wire may end, the nearest to the rows first.
NEGATIVE = (("regulator", "IN-"), ("cut_off", "IN-"), ("junction", "-"), ("connector", "-"))
#: What a stage ends at: role of its part and name of its last terminal on the positive pole.
ENDS = {"fuse": "2", "switch": "2", "cut_off": "OUT+", "connector": "+"}


def fan(wiring: Wiring) -> None:
    """Enter the fan with its guard, its resistor and its wires; nothing where there is none."""
    desk = wiring.desk
    wish = desk.fixture.fan
    if wish is None:
        return
    solid = places.in_box(desk, "fan")
    # It leans on the wall; what is left of its place is air.
    solid = replace(solid, high=(solid.high[0] - FAN_AIR, *solid.high[1:]))
    x, (_, y, _) = solid.high[0], solid.middle
    home = wiring.home(solid)
    ref = wiring.part("M", "fan", wish.fan, home, side="back", solid=solid)
    plus = wiring.terminal(ref, "+", "+", (x, y + 0.005))
    minus = wiring.terminal(ref, "-", "-", (x, y - 0.005))
    wiring.part("H", "fan_guard", wish.guard, ref, side="back")
    wiring.part("H", "fan_screw", None, ref, key="fan-screw-m3x25", count=4, side="back")
    start = _positive(wiring, wish.fed_after)
    if desk.fact("dropper"):
        resistor = wiring.part("R", "dropper", catalogue_part(RESISTOR), home, side="back",
                               rating=str(desk["fan.dropper"]))  # fmt: skip
        first = wiring.terminal(resistor, "1", "+", (x + 0.03, y + 0.01), SOLDER)
        second = wiring.terminal(resistor, "2", "+", (x + 0.03, y), SOLDER)
        wiring.wire("fan_wire", start, first, "+")
        start = second
    wiring.wire("fan_wire", start, plus, "+")
    wiring.wire("fan_wire", _negative(wiring), minus, "-")


def _positive(wiring: Wiring, stage: str) -> str:
    """Where the stage that feeds the fan ends."""
    refs = {part.role: part.ref for part in wiring.parts}
    if stage != "lead":
        return f"{refs[stage]}:{ENDS[stage]}"
    return next(w.end for w in wiring.conductors if w.role == "lead" and w.polarity == "+")


def _negative(wiring: Wiring) -> str:
    refs = {part.role: part.ref for part in wiring.parts}
    keys = {terminal.key for terminal in wiring.terminals}
    return next(key for role, name in NEGATIVE
                if role in refs and (key := f"{refs[role]}:{name}") in keys)  # fmt: skip
