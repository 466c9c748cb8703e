"""What each step finds and leaves on the bench: which step must wait for which.

Two steps may change places, or be done side by side, if neither leaves what the other finds or
leaves. What a step must wait for follows from that, from what its file `needs`, and from hold
points, at which all work stops.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from guidegen.content.when import Fact
from guidegen.design.model import Model, Part, owner
from guidegen.guide.net import Net
from guidegen.guide.rules import RULES
from guidegen.guide.state import State
from guidegen.guide.step import Act, Step
from guidegen.islands import Islands


@dataclass(frozen=True)
class Touch:
    """What one step finds and leaves, as names of facts of the bench: `fitted U1`, `joint J4`."""

    finds: frozenset[str]
    leaves: frozenset[str]
    pieces: frozenset[str] = frozenset()
    """What lies under the hands, by its first part: a board with all that is fixed to it."""

    def meets(self, other: Touch) -> bool:
        """Whether two steps can't change places."""
        return bool(self.leaves & (other.finds | other.leaves) or self.finds & other.leaves)


def touches(model: Model, steps: Sequence[Step], facts: Mapping[str, Fact]) -> tuple[Touch, ...]:
    """What every step finds and leaves, in the order of the walk.

    Parameters
    ----------
    model : Model
        The design's parts and circuit.
    steps : sequence of Step
        In working order; the walk of them finds nothing.
    facts : mapping of str to fact
        As `guidegen.guide.walk.walk` takes them.
    """
    state = State(model, facts, Net(model))
    found = []
    for step in steps:
        finds: set[str] = set()
        leaves: set[str] = set()
        pieces: set[str] = set()
        for act in step.acts:
            pieces |= _pieces(act, state)
            before, after = _of_act(act, state)
            finds |= before
            leaves |= after
            for _ in RULES[act.verb](act, step, state):
                pass  # the rule moves the state on; a sound guide has nothing to say
        found.append(Touch(frozenset(finds), frozenset(leaves), frozenset(pieces)))
    return tuple(found)


def must_wait(
    model: Model, steps: Sequence[Step], facts: Mapping[str, Fact]
) -> tuple[frozenset[int], ...]:
    """For every step the earlier ones that must be done first, by their places in the list."""
    known = touches(model, steps, facts)
    places = {step.id: number for number, step in enumerate(steps)}
    after: list[frozenset[int]] = []
    barrier = -1
    for number, step in enumerate(steps):
        first = {i for i in range(number) if known[i].meets(known[number])}
        first |= {places[need] for need in step.needs if need in places}
        # Nothing of the work begins before all is prepared.
        starts = number > 0 and steps[number - 1].stage_index == 0 < step.stage_index
        if step.hold or starts:
            first |= set(range(number))
        if barrier >= 0:
            first.add(barrier)
        if step.hold or starts:
            barrier = number
        after.append(frozenset(i for i in first if i < number))
    return tuple(after)


def _pieces(act: Act, state: State) -> set[str]:
    """The work pieces that a deed takes in hand: whoever has a board has all that sits on it."""
    refs = {*_parts(act.refs, state), *(owner(point) for point in act.at if point)}
    refs |= {owner(state.by_joint[joint].terminal) for joint in act.joints}
    if act.reading is not None and not act.reading.absent:
        refs |= {owner(key) for both in act.reading.probes for key in both}
        refs |= set(act.reading.parts)
    fitted = set(act.refs) if act.verb == "fits" else set()
    return {_whole(ref, fitted, state) for ref in refs if act.verb != "cuts"}


def _whole(ref: str, fitted: set[str], state: State) -> str:
    """The first part of what a part is fixed to; the part alone where it lies loose."""
    part = state.things.get(ref)
    while isinstance(part, Part) and part.on and (ref in fitted or state.is_fitted(ref)):
        ref, part = part.on, state.things.get(part.on)
    return ref


def _of_act(act: Act, state: State) -> tuple[set[str], set[str]]:
    if act.verb in ("cuts", "waits"):
        word = {"cuts": "made", "waits": "dry"}[act.verb]
        return set(), {f"{word} {ref}" for ref in act.refs}
    if act.verb == "fits":
        return _of_fit(act, state)
    if act.verb == "joins":
        ends = {point for ref in act.joints for point in _owners(ref, state)}
        cold = {f"cold {state.net.ends[ref][1]}" for ref in act.joints}
        return _handled(ends, state), {f"joint {ref}" for ref in act.joints} | cold
    if act.verb == "sets":
        return _handled(_parts(act.refs, state), state), {f"set {ref}" for ref in act.refs}
    if act.verb == "powers":
        return _powered(act, state), set()
    return _of_reading(act, state), _cold(act, state)


def _cold(act: Act, state: State) -> set[str]:
    """Nets that a reading finds sound before the first power: power must wait for it."""
    reading = act.reading
    if reading is None or reading.instrument != "ohms" or reading.holds == "joined":
        return set()
    groups = state.islands()
    roots = {groups.root(key) for both in reading.probes for key in both}
    return {f"cold {key}" for key in state.net.polarity if groups.root(key) in roots}


def _of_fit(act: Act, state: State) -> tuple[set[str], set[str]]:
    finds: set[str] = set()
    leaves: set[str] = set()
    for ref in act.refs:
        part = state.things[ref]
        leaves.add(f"fitted {ref}")
        finds.add(f"made {ref}")
        if isinstance(part, Part):
            if part.on:
                finds |= {f"fitted {part.on}", f"dry {part.on}"}
            if part.cures:
                leaves.add(f"dry {ref}")
            leaves |= {f"reach {one}" for one in state.things if state.covers(part, one)}
    return finds, leaves


def _owners(joint: str, state: State) -> Iterator[str]:
    one = state.by_joint[joint]
    yield one.conductor
    yield owner(one.terminal)


def _parts(refs: Sequence[str], state: State) -> set[str]:
    """The parts that carry these: a trimmer sits on its module."""
    return {ref.split(".")[0] for ref in refs if ref.split(".")[0] in state.things}


def _handled(refs: set[str], state: State) -> set[str]:
    """Parts that must be there, in their place and within reach."""
    found = set()
    for ref in refs & set(state.things):
        found |= {f"made {ref}", f"fitted {ref}", f"dry {ref}", f"reach {ref}"}
    return found


def _of_reading(act: Act, state: State) -> set[str]:
    reading = act.reading
    if reading is None or reading.absent:
        return set()
    points = {key for both in reading.probes for key in both}
    found = _handled({owner(key) for key in points} | set(reading.parts), state)
    if points and reading.instrument != "rule":
        found |= _network(points, state)
    return found


def _powered(act: Act, state: State) -> set[str]:
    if act.source in ("", "none"):
        return set()
    power = state.power_of(act)
    points = {point for point in power.points if point}
    return _network(points, state) | {f"cold {key}" for key in state.live(power)}


def _network(points: set[str], state: State) -> set[str]:
    """All that hangs together with these points: its joints, its insulation, its settings."""
    groups = Islands()
    for ref in state.joints:
        groups.join(state.net.ends[ref])
    for ref, keys in state.net.terminals.items():
        groups.join([*keys, *state.net.legs.get(ref, ())])
    roots = {groups.root(point) for point in points}
    joints = {ref for ref in state.joints if groups.root(state.net.ends[ref][1]) in roots}
    parts = {end for ref in joints for end in _owners(ref, state)}
    parts |= {owner(point) for point in points}
    over = {part.ref for part in state.coverers if part.on in parts and part.ref in state.fitted}
    set_there = {ref for ref in state.positions if ref.split(".")[0] in parts}
    return (
        {f"joint {ref}" for ref in joints}
        | {f"fitted {ref}" for ref in parts | over}
        | {f"set {ref}" for ref in set_there}
    )
