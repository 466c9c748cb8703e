"""Are the checks enough? Which joints no reading would show to be open.

Connection only: a joint counts as seen if the reading could not come out as claimed without it.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sequence

from guidegen.content.when import Fact
from guidegen.design.model import Model
from guidegen.guide.net import CONNECTOR, REGULATOR, ROW, SUPPLY, Net
from guidegen.guide.rules import RULES
from guidegen.guide.state import State
from guidegen.guide.step import Reading, Step

#: Neighbours of a point: (point, joint on the way or an empty text).
Graph = dict[str, list[tuple[str, str]]]


def unseen(
    model: Model, steps: Sequence[Step], facts: Mapping[str, Fact], cold: bool = False
) -> tuple[str, ...]:
    """References of the joints that no reading of the guide depends on, in the model's order.

    Parameters
    ----------
    model, steps, facts
        As for the walk.
    cold : bool
        Count only what is read without power, before the light gets any; joints of the poles
        only, because the control's are judged by the output.
    """
    state = State(model, facts, Net(model))
    seen: set[str] = set()
    for step in steps:
        for act in step.acts:
            for _ in RULES[act.verb](act, step, state):
                pass
            counts = not (cold and state.powered_before)
            if counts and act.reading is not None and not act.reading.absent:
                seen.update(_seen(act.reading, state))
    poles = {key for key, sign in state.net.polarity.items() if sign}
    return tuple(
        joint.ref for joint in model.joints
        if joint.ref not in seen and (not cold or joint.terminal in poles)
    )  # fmt: skip


def _seen(reading: Reading, state: State) -> Iterator[str]:
    if reading.instrument == "mv":
        low = graph(state, low=True)
        for red, black in reading.probes:
            # Current flows through every branch, so a loop hides nothing: what lies between counts.
            yield from path(low, red, black) or ()
    elif reading.instrument == "ohms" and reading.holds == "joined":
        low = graph(state, low=True)
        for red, black in reading.probes:
            yield from needed(low, red, black)
    elif reading.instrument == "ohms" and reading.expected and reading.holds not in _OPEN:
        yield from _measured(reading, state)
    elif reading.instrument in ("volts", "amps", "eye") and state.power:
        yield from _powered(reading, state)


_OPEN = ("open", "not-short")


def _measured(reading: Reading, state: State) -> Iterator[str]:
    """A value in ohms: everything that hangs on the points, up to the poles."""
    points = {key for both in reading.probes for key in both}
    for joint in state.model.joints:
        if joint.ref in state.joints and not state.net.polarity.get(joint.terminal, ""):
            whole = graph(state, low=False)
            if any(path(whole, point, joint.terminal) is not None for point in points):
                yield joint.ref


def _powered(reading: Reading, state: State) -> Iterator[str]:
    assert state.power is not None
    plus, minus = state.power.points
    live = graph(state, low=False)
    points = [key for both in reading.probes for key in both]
    if reading.holds == "lit":
        refs = reading.parts or tuple(ref for ref in state.net.parts if ref[0] == ROW)
        points += [key for ref in refs for key in state.net.terminals.get(ref, [])]
    if not points:
        yield from needed(live, plus, minus)
    for point in points:
        pole = plus if state.net.polarity.get(point) == "+" else minus
        yield from needed(live, pole, point)
    if any(point[0] == REGULATOR for point in points):
        # The output follows the control network: it is read with it.
        yield from (
            joint.ref for joint in state.model.joints
            if joint.ref in state.joints and not state.net.polarity.get(joint.terminal, "")
        )  # fmt: skip


def graph(state: State, low: bool) -> Graph:
    """Points and what links them now.

    Parameters
    ----------
    state : State
        The light at this step.
    low : bool
        Only links of next to no resistance; else through every part.
    """
    found: Graph = {}
    for ref in state.joints:
        _link(found, *state.net.ends[ref], ref)
    closed = state.closed(False)
    for ref, keys in state.net.terminals.items():
        for i, inside in enumerate(state.net.low(ref, keys, closed)):
            for key in inside:
                _link(found, f"{ref}|{i}", key, "")
        if not low and ref[0] not in (SUPPLY, CONNECTOR, "Q"):
            for point in (*keys, *state.net.legs.get(ref, ())):
                # Rows keep their poles apart: current from pole to pole is no path to a pad.
                if ref[0] != ROW:
                    _link(found, ref, point, "")
    return found


def _link(found: Graph, first: str, second: str, joint: str) -> None:
    found.setdefault(first, []).append((second, joint))
    found.setdefault(second, []).append((first, joint))


def path(links: Graph, start: str, end: str, without: str = "-") -> list[str] | None:
    """Joints on a shortest way between two points, or None if there is none."""
    came: dict[str, tuple[str, str]] = {start: ("", "")}
    queue = deque([start])
    while queue and end not in came:
        point = queue.popleft()
        for other, joint in links.get(point, ()):
            if other not in came and joint != without:
                came[other] = (point, joint)
                queue.append(other)
    if end not in came:
        return None
    found: list[str] = []
    while end != start:
        end, joint = came[end]
        found += [joint] if joint else []
    return found


def needed(links: Graph, start: str, end: str) -> Iterable[str]:
    """Joints without which two points would not hang together."""
    return [j for j in path(links, start, end) or () if path(links, start, end, j) is None]
