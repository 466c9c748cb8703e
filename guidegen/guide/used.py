"""At which steps a part must be at hand."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from guidegen.design.model import Model, owner
from guidegen.guide.step import Act, Step

#: The claim of the step that compares what was bought with the parts table.
UNPACKED = "as-rated"
#: What wires end on, by the part that the circuit has there.
HOLDERS = ("fuse_holder", "supply_fuse_holder")


def used_in(steps: Sequence[Step], model: Model) -> Mapping[str, list[str]]:
    """Numbers of the steps that need each part, in working order.

    A part is needed where it is cut, fitted, joined or joined to, and where it is first set or
    read; the supply also wherever it feeds the light.
    """
    held = {fuse.ref: holder.ref for fuse in model.by_role("fuse")
            for role in HOLDERS for holder in model.by_role(role)}  # fmt: skip
    ends = {
        joint.ref: (joint.conductor, held.get(owner(joint.terminal), owner(joint.terminal)))
        for joint in model.joints
    }
    used: dict[str, list[str]] = defaultdict(list)
    for step in steps:
        for act in step.acts:
            for ref in _worked_on(act, ends):
                if step.number not in used[ref]:
                    used[ref].append(step.number)
            for ref in _touched(act):
                if not used[ref]:
                    used[ref].append(step.number)
    return used


def _worked_on(act: Act, ends: Mapping[str, tuple[str, str]]) -> tuple[str, ...]:
    """What is cut, fitted or joined, what it is joined to, and the supply that feeds."""
    if act.verb == "joins":
        return tuple(ref for joint in act.joints for ref in ends[joint])
    fed = act.verb == "powers" and act.source == "supply"
    return act.refs if fed or act.verb in ("cuts", "fits") else ()


def _touched(act: Act) -> Iterator[str]:
    """What is set or read: it lies on the bench from then on."""
    if act.verb == "sets":
        yield from (ref.split(".")[0] for ref in act.refs)
    # Before the work every label is read; that is done along this table.
    if act.reading is not None and act.reading.holds != UNPACKED:
        yield from act.reading.parts
        yield from (owner(key) for both in act.reading.probes for key in both)
