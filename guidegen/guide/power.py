"""Rules of the walk for power and for what is set."""

from __future__ import annotations

from collections.abc import Iterator

from guidegen.design.model import Conductor, Part, owner
from guidegen.guide.net import REGULATOR, ROW
from guidegen.guide.state import HARMLESS, Power, State
from guidegen.guide.step import Act, Step

Found = Iterator[tuple[str, str]]


def powers(act: Act, step: Step, state: State) -> Found:
    """No power comes before its checks; none is taken off that isn't there."""
    if act.source == "none":
        if not state.power:
            yield "power-off", "takes the power off, and there is none"
        state.power = None
        return
    if state.power:
        yield "power-on", f"powers from {act.source}, and the power is on already"
    power = state.power_of(act)
    if act.source == "bench":
        yield from _bench(act, step, state)
    yield from _points(power, state)
    live = state.live(power)
    yield from first_power(power, live, state)
    yield from _low(power, live, state)
    yield from live_rules(power, live, state)
    state.power = power
    state.own_supply = state.own_supply or power.source == "supply"


def _bench(act: Act, step: Step, state: State) -> Found:
    if not any("bench" in tool.does for tool in step.tools):
        yield "tool", "none of its tools can do this: bench"
    limit, own = (act.limit.si if act.limit else float("inf")), state.supply_current()
    if limit > own:
        yield "limit", f"a limit of {act.limit} is more than the light's own supply gives"


def _points(power: Power, state: State) -> Found:
    for point, sign in zip(power.points, "+-", strict=True):
        if not point:
            yield "points", f"the {sign} of the supply goes nowhere"
            continue
        ref = owner(point)
        if state.net.polarity.get(point) not in (sign, ""):
            yield "polarity", f"the {sign} of the supply goes to {point}"
        if not state.is_made(ref):
            yield "made", f"power comes to {ref} before it is made"
        cover = state.coverer(ref)
        if cover and power.source == "bench":
            yield "covered", f"power comes to {ref} under {cover}"


def assembled(live: set[str], power: Power, state: State) -> bool:
    """Whether this is the light, and not one part of it: a joined row, or its own supply."""
    joined = state.joined_points()
    rows = any(key[0] == ROW and key in joined for key in live)
    return rows or (power.source == "supply" and bool(state.joints))


def first_power(power: Power, live: set[str], state: State) -> Found:
    """The first power on the assembled light is held back, and comes after hold point 2."""
    if not assembled(live, power, state):
        return
    if "HP2" not in state.hold_points:
        yield "hold", "power on the assembled light before hold point HP2"
    if not state.powered_before and power.limit >= state.supply_current():
        yield "first-power", "the first power on the assembled light has no limit below its supply"
    state.powered_before = True


def _low(power: Power, live: set[str], state: State) -> Found:
    """Control low when power comes; trimmer low, or set; set if the limit lets much pass."""
    joined = state.joined_points()
    for ref, part in state.net.parts.items():
        keys = [key for key in state.net.terminals.get(ref, []) if key in live]
        if part.role == "control" and any(key in joined for key in keys):
            stands = state.positions.get(ref, "unknown")
            if stands != "low":
                yield "control", f"power comes while {ref} is {stands}, and must be low"
    for ref in state.trimmers():
        if not any(owner(key) == ref.split(".")[0] for key in live):
            continue
        stands = state.positions.get(ref, "unknown")
        accepted = ("design",) if power.limit > HARMLESS else ("low", "design")
        if stands not in accepted:
            text = " or ".join(accepted)
            yield "trimmer", f"power comes while {ref} is {stands}, and must be {text}"


def live_rules(power: Power, live: set[str], state: State) -> Found:
    """Nothing live is unchecked, wet, or bare where the limit lets much pass."""
    unchecked = sorted(
        key for key in live & state.joined_points()
        if state.net.polarity[key] and key not in state.cold
        # A battery's own poles are never without power: nobody reads ohms there.
        and state.net.parts[owner(key)].role != "supply"
    )  # fmt: skip
    if unchecked:
        shown = ", ".join(unchecked[:4]) + (" …" if len(unchecked) > 4 else "")
        yield "cold", f"power on nets not read against their opposite pole since joined: {shown}"
    if power.limit > HARMLESS:
        yield from _bare(live, state)
    for ref in sorted({owner(key) for key in live} & state.wet):
        yield "wet", f"power on {ref} while it is wet"


def _bare(live: set[str], state: State) -> Found:
    for ref, thing in state.things.items():
        if not thing.bare or state.coverer(ref):
            continue
        if isinstance(thing, Conductor):
            mine = {thing.start, thing.end}
            joined = any(state.by_joint[j].conductor == ref for j in state.joints)
        else:
            mine = set(state.net.terminals.get(ref, []))
            joined = bool(mine & state.joined_points())
        sleeved = any(
            part.on == ref and part.role in ("sleeve", "insulation") and part.ref in state.fitted
            for part in state.model.parts
        )
        if joined and mine & live and not sleeved:
            yield "bare", f"power with a limit above {HARMLESS:g} A while {ref} is bare"


def sets(act: Act, step: Step, state: State) -> Found:
    """Reachable; with the power on it changes something, and all rules of power hold again.

    Without power, setting what is set already is a safe habit.
    """
    for ref in act.refs:
        carrier = ref.split(".")[0]
        thing = state.things[carrier]
        if not state.is_made(carrier):
            yield "made", f"sets {ref} before it is made"
        if isinstance(thing, Part) and "." in ref:
            yield from _trims(ref, carrier, step, state)
        if state.power and state.positions.get(ref) == act.to:
            yield "setting", f"sets {ref} to {act.to}, which it is already"
        state.positions[ref] = act.to
    if state.power:
        live = state.live(state.power)
        yield from live_rules(state.power, live, state)
        if act.to == "closed":
            yield from first_power(state.power, live, state)
            yield from _low(state.power, live, state)


def _trims(ref: str, carrier: str, step: Step, state: State) -> Found:
    if not any("trim" in tool.does for tool in step.tools):
        yield "tool", "none of its tools can do this: trim"
    cover = state.coverer(carrier)
    if cover and carrier[0] == REGULATOR:
        yield "covered", f"sets {ref} under {cover}"
