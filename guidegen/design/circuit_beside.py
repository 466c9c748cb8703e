"""Fan and pilot light in the circuit: behind a stage of the light, beside everything else."""

from __future__ import annotations

from dataclasses import replace

from guidegen.design import places
from guidegen.design.beside import FAN, PILOT, RESISTOR, Kind, is_behind
from guidegen.design.box import FAN_AIR
from guidegen.design.growing import SOLDER, Wiring
from guidegen.spec.auxiliaries import Beside
from guidegen.spec.parts import catalogue_part

#: Parts at which a negative wire may end that the supply itself feeds, the nearest to the rows
#: first.
NEGATIVE = (("regulator", "IN-"), ("cut_off", "IN-"), ("junction", "-"), ("connector", "-"))
#: What a stage ends at: role of its part and name of its last terminal on the positive pole.
ENDS = {"fuse": "2", "switch": "2", "cut_off": "OUT+", "connector": "+", "regulator": "OUT+"}


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
    _join(wiring, FAN, wish, (plus, minus), (x, y, home))


def pilot_light(wiring: Wiring) -> None:
    """Enter the pilot light with its resistor and its wires; nothing where there is none."""
    wish = wiring.desk.fixture.pilot
    if wish is None:
        return
    solid = places.in_box(wiring.desk, "pilot_light")
    x, (_, y, _) = solid.high[0], solid.middle
    home = wiring.home(solid)
    ref = wiring.part("P", "pilot_light", wish.pilot, home, side="back", solid=solid)
    plus = wiring.terminal(ref, "+", "+", (x, y + 0.003), SOLDER)
    minus = wiring.terminal(ref, "-", "-", (x, y - 0.003), SOLDER)
    _join(wiring, PILOT, wish, (plus, minus), (x, y, home))


def _join(
    wiring: Wiring, kind: Kind, wish: Beside, ends: tuple[str, str], at: tuple[float, float, str]
) -> None:
    """Its wires: from the stage that feeds it, perhaps over a resistor, and back to the negative.

    Parameters
    ----------
    wiring : Wiring
        The circuit so far.
    kind : Kind
        What it is.
    wish : Beside
        What the spec says of it.
    ends : tuple of str
        Its terminals, + and −.
    at : tuple
        Where its wires come out, and what it sits in. [m]
    """
    x, y, home = at
    start = _positive(wiring, wish)
    if wiring.desk.fact(kind.dropper):
        short = kind.wire.removesuffix("_wire")
        resistor = wiring.part("R", kind.dropper, catalogue_part(RESISTOR), home, side="back",
                               rating=str(wiring.desk[f"{kind.name}.dropper"]),
                               name=f"{short} resistor")  # fmt: skip
        first = wiring.terminal(resistor, "1", "+", (x + 0.03, y + 0.01), SOLDER)
        second = wiring.terminal(resistor, "2", "+", (x + 0.03, y), SOLDER)
        # It gets warm: it hangs free between two bases that hold its leads.
        wiring.part("H", f"{kind.dropper}_base", None, home, key="tie-base-adhesive", count=2,
                    side="back", name=f"{short} tie base")  # fmt: skip
        wiring.wire(kind.wire, start, first, "+")
        start = second
    wiring.wire(kind.wire, start, ends[0], "+")
    wiring.wire(kind.wire, _negative(wiring, wish, ends[1]), ends[1], "-")


def _positive(wiring: Wiring, wish: Beside) -> str:
    """Where the stage that feeds it ends; of a second one behind a regulator, at the first one.

    A regulator's screw takes two ends: the feed, and one more.
    """
    refs = {part.role: part.ref for part in wiring.parts}
    first = wiring.desk.fixture.fan
    if is_behind(wish) and first is not None and first is not wish and is_behind(first):
        return f"{refs['dropper']}:1" if "dropper" in refs else f"{refs['fan']}:+"
    if wish.fed_after != "lead":
        return f"{refs[wish.fed_after]}:{ENDS[wish.fed_after]}"
    return next(w.end for w in wiring.conductors if w.role == "lead" and w.polarity == "+")


def _negative(wiring: Wiring, wish: Beside, own: str) -> str:
    """Where a negative wire ends: of the pilot light at the fan, since a screw takes two ends.

    What hangs on a regulator's output goes back to that output, and nowhere else.
    """
    refs = {part.role: part.ref for part in wiring.parts}
    first = wiring.desk.fixture.fan
    if first is not None and first is not wish and is_behind(first) is is_behind(wish):
        return f"{refs['fan']}:-"
    if is_behind(wish):
        return f"{refs['regulator']}:OUT-"
    keys = {terminal.key for terminal in wiring.terminals}
    return next(key for role, name in NEGATIVE
                if role in refs and (key := f"{refs[role]}:{name}") in keys)  # fmt: skip
