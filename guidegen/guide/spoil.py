"""Spoiled guides: one slip each, put in to see whether the walk notices."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from guidegen.content.when import Fact
from guidegen.design import circuit_rules
from guidegen.design.model import Conductor, Joint, Model, owner
from guidegen.guide.coverage import unseen
from guidegen.guide.net import ROW, Net
from guidegen.guide.solved import Solver
from guidegen.guide.step import Act, Step
from guidegen.guide.walk import WalkReport, walk
from guidegen.islands import Islands

#: Rules of the circuit that look at where conductors end.
CIRCUIT = (circuit_rules.free, circuit_rules.wrong_poles, circuit_rules.joined_poles,
           circuit_rules.doubled, circuit_rules.split_feeds)  # fmt: skip
#: Readings whose worth follows from what is joined to what; the others need an eye to judge.
ELECTRICAL = ("ohms", "volts", "mv", "amps")


@dataclass(frozen=True)
class Spoiling:
    """A guide with one slip in it."""

    kind: str
    """dropped, doubled, swapped, part-forgotten, joint-forgotten, reversed, wrong-terminal,
    power-first, insulation-late, tool-missing, check-dropped"""
    where: str
    what: str
    model: Model
    steps: tuple[Step, ...]
    verb: str = ""
    """Of the deed that was dropped."""

    def __str__(self) -> str:
        return f"{self.kind}: {self.where}: {self.what}"


def spoilings(model: Model, steps: Sequence[Step]) -> Iterator[Spoiling]:
    """Every slip that can be made in one place."""
    steps = tuple(steps)
    yield from _acts(model, steps)
    yield from _swaps(model, steps)
    yield from _reversed(model, steps)
    yield from _wrong_terminal(model, steps)
    yield from _power_first(model, steps)
    yield from _insulation_late(model, steps)
    yield from _tools(model, steps)


def survivors(
    model: Model, steps: Sequence[Step], facts: Mapping[str, Fact]
) -> tuple[Spoiling, ...]:
    """The spoilings that neither the walk nor a rule of the circuit notices.

    A dropped check counts as noticed if some joint is then seen by no reading at all, or by none
    before the first power: a check that survives says nothing that another does not say.

    Raises
    ------
    ValueError
        If the walk finds something in the guide as it is: nothing can be told from that.
    """
    sound = walk(model, steps, facts)
    if sound.findings:
        raise ValueError(f"the unspoiled guide does not pass: {sound.findings[0]}")
    blind = _blind(model, steps, facts)
    return tuple(
        spoiling
        for spoiling in spoilings(model, steps)
        if not _refused(spoiling, steps)
        and not _noticed(spoiling, walk(spoiling.model, spoiling.steps, facts, briefly=True), sound)
        and not (spoiling.model is not model and _read(spoiling, facts))
        and not (
            spoiling.kind == "check-dropped"
            and _blind(spoiling.model, spoiling.steps, facts) - blind
        )
    )


def _refused(spoiling: Spoiling, steps: Sequence[Step]) -> bool:
    """Whether a step file with this slip is not read: a sentence names a tool that it lacks."""
    return spoiling.kind == "tool-missing" and any(
        tool.id == spoiling.what and tool.name in step.body
        for step in steps if step.id == spoiling.where for tool in step.tools
    )  # fmt: skip


def _read(spoiling: Spoiling, facts: Mapping[str, Fact]) -> bool:
    """Whether a reading shows what is joined wrongly: the circuit as it stands is solved."""
    return not walk(spoiling.model, spoiling.steps, facts, Solver(), briefly=True).passed


def _noticed(spoiling: Spoiling, report: WalkReport, sound: WalkReport) -> bool:
    """Whether the walk objects; a setting that changed no later step was none."""
    if spoiling.kind == "wrong-terminal" and any(rule(spoiling.model) for rule in CIRCUIT):
        return True
    same = [row.before for row in report.rows] == [row.before for row in sound.rows]
    return not report.passed or (spoiling.verb == "sets" and same)


def _blind(model: Model, steps: Sequence[Step], facts: Mapping[str, Fact]) -> set[tuple[str, bool]]:
    return {
        (ref, cold) for cold in (False, True) for ref in unseen(model, steps, facts, cold=cold)
    }  # fmt: skip


def _with_acts(steps: tuple[Step, ...], i: int, acts: Sequence[Act]) -> tuple[Step, ...]:
    reads = tuple(act.reading for act in acts if act.reading is not None)
    return (*steps[:i], replace(steps[i], acts=tuple(acts), reads=reads), *steps[i + 1 :])


def _acts(model: Model, steps: tuple[Step, ...]) -> Iterator[Spoiling]:
    loose = _loose(model)
    for i, step in enumerate(steps):
        for k, act in enumerate(step.acts):
            text = f"{act.verb} {act.text}"
            rest = _with_acts(steps, i, [*step.acts[:k], *step.acts[k + 1 :]])
            if act.reading is not None:
                if not act.reading.absent and act.reading.instrument in ELECTRICAL:
                    yield Spoiling("check-dropped", step.id, text, model, rest)
                continue
            # Nothing is done where an optional part is absent, or where nothing carries it.
            if act.verb != "powers" and set(act.refs) <= (loose if act.verb == "fits" else set()):
                continue
            yield Spoiling("dropped", step.id, text, model, rest, act.verb)
            yield from _twice_or_less(model, steps, (i, k), text)


def _twice_or_less(
    model: Model, steps: tuple[Step, ...], where: tuple[int, int], text: str
) -> Iterator[Spoiling]:
    i, k = where
    step, act = steps[i], steps[i].acts[k]
    if act.verb != "sets":  # to set a thing twice changes nothing
        twice = [*step.acts[: k + 1], act, *step.acts[k + 1 :]]
        yield Spoiling("doubled", step.id, text, model, _with_acts(steps, i, twice))
    for less, kind, what in _less(act):
        acts = [*step.acts[:k], less, *step.acts[k + 1 :]]
        yield Spoiling(kind, step.id, f"{text}: {what}", model, _with_acts(steps, i, acts))


def _loose(model: Model) -> set[str]:
    """Parts with no place of their own: on the bench, or held by their own legs."""
    legs = {joint.conductor for joint in model.joints}
    return {p.ref for p in model.parts if (not p.on and not p.cures) or p.ref in legs}


def _less(act: Act) -> Iterator[tuple[Act, str, str]]:
    if act.verb in ("cuts", "fits", "waits", "sets") and len(act.refs) > 1:
        for ref in act.refs:
            yield replace(act, refs=tuple(r for r in act.refs if r != ref)), "part-forgotten", ref
    if len(act.joints) > 1:
        for ref in act.joints:
            left = tuple(r for r in act.joints if r != ref)
            yield replace(act, joints=left), "joint-forgotten", ref


def _swaps(model: Model, steps: tuple[Step, ...]) -> Iterator[Spoiling]:
    """Neighbours changed over, where the order of the two is not free."""
    for i, (first, second) in enumerate(pairwise(steps)):
        if first.id in second.needs or first.stage != second.stage:
            order = (*steps[:i], second, first, *steps[i + 2 :])
            yield Spoiling("swapped", first.id, f"after {second.id}", model, order)


def _reversed(model: Model, steps: tuple[Step, ...]) -> Iterator[Spoiling]:
    """A joint at the other pole of the same part."""
    signs = {terminal.key: terminal.polarity for terminal in model.terminals}
    keys = list(signs)
    for i, joint in enumerate(model.joints):
        other = _other_pole(joint, signs, keys)
        if other:
            joints = (*model.joints[:i], replace(joint, terminal=other), *model.joints[i + 1 :])
            wrong = replace(model, joints=joints)
            yield Spoiling("reversed", joint.ref, f"{joint.terminal} to {other}", wrong, steps)


def _wrong_terminal(model: Model, steps: tuple[Step, ...]) -> Iterator[Spoiling]:
    """A conductor's end one terminal farther on the same part, of the same pole or of none.

    Where both are one piece of metal - taps of a rail, ends of a row's track - nothing is wrong.
    """
    net = Net(model)
    metal = Islands()
    for ref, keys in net.terminals.items():
        if net.parts[ref].role == "rail" or ref[0] == ROW:
            for sign in ("+", "-", ""):
                metal.join([key for key in keys if net.polarity[key] == sign])
    for i, joint in enumerate(model.joints):
        here = joint.terminal
        others = [key for key in net.terminals[owner(here)]
                  if key != here and net.polarity[key] == net.polarity[here]
                  and not metal.same(key, here)]  # fmt: skip
        for other in others[:1]:
            joints = (*model.joints[:i], replace(joint, terminal=other), *model.joints[i + 1 :])
            wires = tuple(_moved(wire, here, other) if wire.ref == joint.conductor else wire
                          for wire in model.conductors)  # fmt: skip
            wrong = replace(model, joints=joints, conductors=wires)
            yield Spoiling("wrong-terminal", joint.ref, f"{here} to {other}", wrong, steps)


def _moved(wire: Conductor, here: str, other: str) -> Conductor:
    if wire.start == here:
        return replace(wire, start=other)
    return replace(wire, end=other) if wire.end == here else wire


def _other_pole(joint: Joint, signs: Mapping[str, str], keys: Sequence[str]) -> str:
    sign = signs.get(joint.terminal, "")
    part, name = joint.terminal.split(":")
    same = [key for key in keys if owner(key) == part and signs[key] not in (sign, "")]
    alike = [key for key in same if key.split(":")[1][:-1] == name[:-1]]
    return (alike or same or [""])[0] if sign else ""


def _power_first(model: Model, steps: tuple[Step, ...]) -> Iterator[Spoiling]:
    """A step with power moved before the first step that reads nets cold."""
    check = next((i for i, step in enumerate(steps) if any(map(_is_cold, step.acts))), len(steps))
    for i, step in enumerate(steps[check + 1 :], check + 1):
        if any(act.verb == "powers" and act.source != "none" for act in step.acts):
            moved = [*steps[:i], *steps[i + 1 :]]
            moved.insert(check, step)
            text = f"before {steps[check].id}"
            yield Spoiling("power-first", step.id, text, model, tuple(moved))


def _is_cold(act: Act) -> bool:
    return act.reading is not None and act.reading.holds in ("open", "not-short")


def _insulation_late(model: Model, steps: tuple[Step, ...]) -> Iterator[Spoiling]:
    """What covers bare metal, fitted at the very end only."""
    bare = {part.role for part in model.parts if part.bare}
    bare |= {wire.role for wire in model.conductors if wire.bare}
    covers = {part.ref for part in model.parts if bare & set(part.covers)}
    for step in steps[:-1]:
        for k, act in enumerate(step.acts):
            mine = tuple(ref for ref in act.refs if ref in covers)
            if act.verb != "fits" or not mine:
                continue
            # All of them: one cover may do the work of another.
            late = [
                replace(
                    s,
                    acts=tuple(
                        a for a in s.acts if not (a.verb == "fits" and covers & set(a.refs))
                    ),
                )
                for s in steps
            ]
            last = replace(late[-1], acts=(*late[-1].acts, act))
            text = ", ".join(mine)
            yield Spoiling("insulation-late", f"{step.id}.{k}", text, model, (*late[:-1], last))


def _tools(model: Model, steps: tuple[Step, ...]) -> Iterator[Spoiling]:
    """A tool that can do something left out of the list."""
    for i, step in enumerate(steps):
        for tool in step.tools:
            if tool.does:
                left = tuple(other for other in step.tools if other != tool)
                spoiled = (*steps[:i], replace(step, tools=left), *steps[i + 1 :])
                yield Spoiling("tool-missing", step.id, tool.id, model, spoiled)
