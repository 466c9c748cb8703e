"""Rules of the walk for what is read."""

from __future__ import annotations

from collections.abc import Iterator

from guidegen.design.model import owner
from guidegen.guide.net import ROW
from guidegen.guide.state import State
from guidegen.guide.step import Act, Reading, Step

Found = Iterator[tuple[str, str]]


def reads(act: Act, step: Step, state: State) -> Found:
    """Probes reach their points, the meter is there, and the claim can hold."""
    reading = act.reading
    if reading is None or reading.absent:
        return
    if reading.instrument != "eye" and not any(reading.instrument in t.does for t in step.tools):
        yield "tool", f"none of its tools can do this: {reading.instrument}"
    if reading.beside:
        return
    yield from _reachable(reading, state)
    yield from _power(reading, state)
    yield from _claim(reading, state)
    if reading.instrument == "ohms" and reading.holds in ("open", "not-short"):
        _cold(reading, state)


def _reachable(reading: Reading, state: State) -> Found:
    points = dict.fromkeys(key for both in reading.probes for key in both)
    refs = dict.fromkeys([*(owner(point) for point in points), *reading.parts])
    for ref in refs:
        if not state.is_made(ref):
            yield "made", f"reads at {ref} before it is made"
        elif reading.probes and not _in_hand(ref, state):
            yield "fitted", f"reads at {ref} before it is fitted"
        cover = state.coverer(ref)
        if cover and reading.probes:
            yield "covered", f"reads at {ref} under {cover}"
    for red, black in reading.probes:
        if red == black:
            yield "probes", f"reads {red} against itself"


def _in_hand(ref: str, state: State) -> bool:
    """In its place, or loose on the bench with nothing joined to it."""
    joined = {owner(point) for point in state.joined_points()}
    return state.is_fitted(ref) or (state.is_made(ref) and ref not in joined)


def _power(reading: Reading, state: State) -> Found:
    what = reading.instrument
    if what == "ohms":
        if state.power:
            yield "power-on", "reads ohms with the power on"
    elif what in ("celsius", "lux"):
        yield from _lit(reading, state, "is dark")
    elif what not in ("eye", "rule"):
        yield from _measured(reading, state)


def on_the_supply(reading: Reading, state: State) -> bool:
    """A supply that is read at its own open plug needs nothing else to be powered."""
    points = {owner(key) for both in reading.probes for key in both}
    return bool(points) and all(state.net.parts[ref].role == "supply" for ref in points)


def _measured(reading: Reading, state: State) -> Found:
    """Volts and currents: the power is on, and reaches the points."""
    what = reading.instrument
    if on_the_supply(reading, state):
        return
    if not state.power:
        yield "power-off", f"reads {what} without power"
        return
    if what == "amps":
        # The display shows what the supply gives, wherever it is clipped.
        if state.power.source != "bench":
            yield "instrument", "reads amps, and only a bench supply shows them"
        stages = {ref for ref, part in state.net.parts.items() if part.role == "pulse_width"}
        if stages & {owner(key) for key in state.live(state.power)}:
            yield from _full(what, state, "the display shows the mean of pulses")
        return
    live = state.fed(state.power)
    for point in dict.fromkeys(key for both in reading.probes for key in both):
        if point not in live:
            yield "dead", f"reads {what} at {point}, which power does not reach"
    if what == "mv":
        yield from _full(what, state)
    elif _pulsed(reading, state):
        yield from _full(what, state, "the meter shows the mean of pulses")


def _pulsed(reading: Reading, state: State) -> bool:
    """Whether a point is read that pulses reach: the feed, the rails or the rows behind a stage."""
    behind = {
        key
        for wire in state.model.conductors
        if wire.role in ("feed", "jumper")
        for key in (wire.start, wire.end)
    }
    pulsed = any(part.role == "pulse_width" for part in state.net.parts.values())
    return pulsed and any(key in behind for both in reading.probes for key in both)


def _full(what: str, state: State, why: str = "too little current to judge by") -> Found:
    for ref, part in state.net.parts.items():
        if part.role == "control" and state.positions.get(ref) != "high":
            yield "control", f"reads {what} while {ref} is not high: {why}"


def _claim(reading: Reading, state: State) -> Found:
    if reading.holds == "lit":
        yield from _lit(reading, state)
        return
    if reading.instrument in ("volts",):
        yield from _signs(reading, state)
    if reading.instrument != "ohms" or reading.holds not in ("joined", "open", "not-short"):
        return
    groups = state.islands()
    either = state.net.islands(state.joints, state.closed(True))
    for red, black in reading.probes:
        together = groups.same(red, black)
        if together != (reading.holds == "joined"):
            found = "joined" if together else "open"
            yield "claim", f"{red} to {black} is {found} at this step, not {reading.holds}"
        elif together != either.same(red, black):
            yield "claim", f"{red} to {black} hangs on a switch that nobody has set"


def _lit(reading: Reading, state: State, what: str = "is not lit") -> Found:
    if not state.power:
        yield "claim", f"the light {what}: it has no power"
        return
    live = state.fed(state.power)
    joined = state.joined_points()
    rows = [ref for ref in state.net.parts if ref[0] == ROW]
    for ref in [ref for ref in reading.parts if ref in rows] or rows:
        keys = set(state.net.terminals.get(ref, [])) & live & joined
        signs = {state.net.polarity[key] for key in keys}
        if not {"+", "-"} <= signs:
            yield "claim", f"{ref} {what} at this step: it lacks a pole"


def _signs(reading: Reading, state: State) -> Found:
    signs = state.net.polarity
    for red, black in reading.probes:
        if signs.get(red) == "-" and signs.get(black) == "+":
            yield "probes", f"reads {red} against {black}: red goes to the positive point"


def _cold(reading: Reading, state: State) -> None:
    """Both nets are checked, if the probes stood on opposite poles."""
    groups = state.islands()
    for red, black in reading.probes:
        if {state.net.polarity.get(red), state.net.polarity.get(black)} == {"+", "-"}:
            roots = {groups.root(red), groups.root(black)}
            state.cold.update(key for key in state.net.polarity if groups.root(key) in roots)
