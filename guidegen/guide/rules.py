"""The rules of the walk: of the design, of a step, of each verb, and of the end."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from guidegen.design.model import Joint, Model, Part, owner
from guidegen.guide.netlist import TRAVEL
from guidegen.guide.power import powers, sets
from guidegen.guide.readings import reads
from guidegen.guide.state import State
from guidegen.guide.step import Act, Step

#: (rule, what is wrong)
Found = Iterator[tuple[str, str]]
Rule = Callable[[Act, Step, State], Found]

#: Joints that take a tool, by kind.
JOINT_TOOLS = {"solder": "solder", "screw": "screw", "bolt": "bolt"}
#: Joints after which nobody reads the net again without power.
UNREAD = ("plug", "pole")


def of_design(model: Model) -> Found:
    """A joint joins equal polarity, and no pair of ends twice."""
    wires = {wire.ref: wire.polarity for wire in model.conductors}
    signs = {terminal.key: terminal.polarity for terminal in model.terminals}
    seen: set[tuple[str, str]] = set()
    for joint in model.joints:
        wire, sign = _sign(wires.get(joint.conductor, "")), _sign(signs.get(joint.terminal, ""))
        if joint.terminal not in signs:
            yield "design", f"{joint.ref} ends at {joint.terminal}, which is no terminal"
        elif wire and sign and wire != sign:
            yield "polarity", f"{joint.ref} joins {joint.conductor} ({wire}) to {joint.terminal}"
        ends = (joint.conductor, joint.terminal)
        if ends in seen:
            yield "design", f"{joint.ref} joins {ends[0]} to {ends[1]} a second time"
        seen.add(ends)


def _sign(polarity: str) -> str:
    sign = polarity.replace("−", "-")
    return sign if sign in ("+", "-") else ""


def of_step(step: Step, before: Sequence[Step]) -> Found:
    """What it needs is done, stages go forward, and its tools can do what it does."""
    done = {other.id for other in before}
    for need in step.needs:
        if need not in done:
            yield "needs", f"needs {need}, which comes later or not at all"
    if before and before[-1].stage_index > step.stage_index:
        yield "stage", f"stage {step.stage} comes after {before[-1].stage}"
    if not step.reads and not step.no_check:
        yield "check", "reads nothing, and gives no reason"


def tool_for(deed: str, step: Step) -> Found:
    """A deed that needs a tool finds it among the step's tools."""
    if not any(deed in tool.does for tool in step.tools):
        yield "tool", f"none of its tools can do this: {deed}"


def no_power(state: State, what: str) -> Found:
    """Nobody cuts, fits or joins with the power on."""
    if state.power:
        yield "power-on", f"{what} with the power on"


def cuts(act: Act, step: Step, state: State) -> Found:
    """Power none; the part is made here, and not made yet."""
    yield from no_power(state, f"cuts {act.text}")
    yield from tool_for("cut", step)
    for ref in act.refs:
        thing = state.things[ref]
        if isinstance(thing, Part) and not thing.made:
            yield "made", f"cuts {ref}, which is bought ready"
        elif ref in state.made:
            yield "made", f"cuts {ref} a second time"
        state.made.add(ref)


def fits(act: Act, step: Step, state: State) -> Found:
    """Made, not fitted, reachable, its host fitted and dry."""
    yield from no_power(state, f"fits {act.text}")
    if any(state.things[ref].role.endswith("screw") for ref in act.refs):
        yield from tool_for("screw", step)
    # Pieces of one role are put together in one go: what one does to the next is no order.
    fitted = set(state.fitted)
    for ref in act.refs:
        yield from _fits_one(ref, state, fitted)
    for ref in act.refs:
        thing = state.things[ref]
        state.fitted.add(ref)
        if isinstance(thing, Part) and thing.cures:
            state.wet.add(ref)


def _fits_one(ref: str, state: State, fitted: set[str]) -> Found:
    thing = state.things[ref]
    if not isinstance(thing, Part):
        yield "fitted", f"fits {ref}: a conductor is joined, not fitted"
        return
    if not state.is_made(ref):
        yield "made", f"fits {ref} before it is made"
    if ref in fitted:
        yield "fitted", f"fits {ref} a second time"
    if ref in state.wet:
        yield "wet", f"fits {ref} while it is wet"
    cover = state.coverer(ref)
    if cover:
        yield "covered", f"fits {ref} under {cover}"
    yield from _host(thing, state)


def _host(part: Part, state: State) -> Found:
    if not part.on or part.on not in state.things:
        return
    if not state.is_fitted(part.on) and not (part.ahead and state.is_made(part.on)):
        yield "host", f"fits {part.ref} on {part.on}, which is not there yet"
    # Glued pieces are put together while the glue is wet; anything else waits.
    if part.on in state.wet and not part.cures:
        yield "wet", f"fits {part.ref} on {part.on}, which is wet"
    ends = [joint.ref for joint in state.model.joints if joint.conductor == part.on]
    if part.role == "sleeve" and ends and all(ref in state.joints for ref in ends):
        yield "sleeve", f"slips {part.ref} over {part.on} when both its ends are joined"


def joins(act: Act, step: Step, state: State) -> Found:
    """Power none; both made, fitted, dry, reachable; the joint is not made yet."""
    yield from no_power(state, f"joins {act.text}")
    kinds = dict.fromkeys(state.by_joint[ref].kind for ref in act.joints)
    for kind in kinds:
        if kind in JOINT_TOOLS:
            yield from tool_for(JOINT_TOOLS[kind], step)
    for ref in act.joints:
        joint = state.by_joint[ref]
        if ref in state.joints:
            yield "joint", f"joins {joint.conductor} to {joint.terminal} a second time"
        yield from _joinable(joint, state)
    state.joints.update(act.joints)
    _warm(act.joints, state)


def _joinable(joint: Joint, state: State) -> Found:
    for ref in (joint.conductor, owner(joint.terminal)):
        if ref not in state.things:
            yield "design", f"{joint.ref} joins {ref}, which is no part"
            continue
        if not state.is_made(ref):
            yield "made", f"joins {ref} before it is made"
        elif not state.is_fitted(ref):
            yield "fitted", f"joins {ref} before it is fitted"
        if ref in state.wet:
            yield "wet", f"joins {ref} while it is wet"
        cover = state.coverer(ref)
        if cover:
            yield "covered", f"joins {ref} under {cover}"


def _warm(joints: Iterable[str], state: State) -> None:
    """A joint makes its whole net unchecked; a plug, or a lug on a live pole, does not."""
    ends = [state.net.ends[ref][1] for ref in joints if state.by_joint[ref].kind not in UNREAD]
    groups = state.islands()
    changed = {groups.root(end) for end in ends}
    state.cold = {key for key in state.cold if groups.root(key) not in changed}


def waits(act: Act, step: Step, state: State) -> Found:
    """Something is wet."""
    if act.refs and not any(ref in state.wet for ref in act.refs):
        yield "wait", f"waits for {act.text}, and nothing of it is wet"
    state.wet.difference_update(act.refs)


RULES: dict[str, Rule] = {
    "cuts": cuts,
    "fits": fits,
    "joins": joins,
    "waits": waits,
    "sets": sets,
    "powers": powers,
    "reads": reads,
}


def after_step(state: State) -> Found:
    """Every step ends safe: without power the switch is not closed, and the control not up."""
    if state.power:
        return
    for ref, part in state.net.parts.items():
        stands = state.positions.get(ref, "")
        if (part.role, stands) in (
            ("switch", "closed"),
            ("supply_switch", "closed"),
            *(("control", place) for place in TRAVEL if place != "low"),
        ):
            yield "left-set", f"{ref} is left {stands} without power"


def at_end(state: State) -> Found:
    """Everything made, fitted, dry and joined; power none; the controls as they must stand."""
    for ref, thing in state.things.items():
        if not state.is_made(ref):
            yield "left-over", f"{ref} ({thing.role}) was never made"
        elif not state.is_fitted(ref):
            yield "left-over", f"{ref} ({thing.role}) was never fitted"
        elif isinstance(thing, Part) and thing.cures and not thing.on and ref not in state.fitted:
            yield "left-over", f"{ref} ({thing.role}) was never glued or painted: fits it"
    for ref in sorted(state.wet):
        yield "wet", f"{ref} is still wet"
    for joint in state.model.joints:
        if joint.ref not in state.joints:
            yield "joint", f"{joint.conductor} was never joined to {joint.terminal}"
    if state.power:
        yield "power-on", "the power is still on"
    if not state.own_supply:
        yield "own-supply", "the light was never fed from its own supply"
    yield from _positions(state)


def _positions(state: State) -> Found:
    wanted = {
        **{ref: "low" for ref, part in state.net.parts.items() if part.role == "control"},
        **{
            ref: "open"
            for ref, part in state.net.parts.items()
            if part.role in ("switch", "supply_switch")
        },
        **dict.fromkeys((*state.trimmers(), *state.limits()), "design"),
    }
    for ref, position in wanted.items():
        stands = state.positions.get(ref, "unknown")
        if stands != position:
            yield "position", f"{ref} is left {stands}, and must be {position}"
