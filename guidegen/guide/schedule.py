"""The connection schedule: every conductor and every leg, from terminal to terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from guidegen.content.words import Words
from guidegen.design.ferrules import FERRULE, TWIN, ferrule_for, shared
from guidegen.design.model import Conductor, minus
from guidegen.design.result import Design
from guidegen.guide.step import Step


@dataclass(frozen=True)
class Line:
    """One line of the schedule."""

    ref: str
    start: str
    end: str
    pole: str
    function: str
    size: str
    colour: str
    length: str
    start_end: str
    end_end: str
    current: str
    steps: str
    joints: tuple[str, str]
    """The joint at either end, as the record counts them; empty for a plug or a free leg."""


def schedule(design: Design, steps: Sequence[Step], words: Words) -> tuple[Line, ...]:
    """All conductors in the order of their numbers, then parts with legs of their own."""
    joined = _joined_in(steps, design)
    made = {(joint.conductor, joint.terminal): joint.ref for joint in design.model.joints}
    pairs = shared(design.model.conductors)
    wires = [_wire(wire, words, joined, made, pairs) for wire in design.model.conductors]
    refs = {wire.ref for wire in design.model.conductors}
    legs: dict[str, list[str]] = {}
    for joint in design.model.joints:
        if joint.conductor not in refs:
            legs.setdefault(joint.conductor, []).append(joint.terminal)
    own = [
        Line(ref, ends[0], ends[-1] if len(ends) > 1 else f"{ref}:free", "",
             words.role(design.model.part(ref).role).one, "–", "–", "–",
             words.treatments["own"], words.treatments["own"], "–",
             joined.get(ref, "–"),
             (made[ref, ends[0]], made[ref, ends[-1]] if len(ends) > 1 else ""))
        for ref, ends in legs.items()
    ]  # fmt: skip
    return (*wires, *own)


def _wire(
    wire: Conductor,
    words: Words,
    joined: dict[str, str],
    made: Mapping[tuple[str, str], str],
    pairs: Mapping[tuple[str, str], str],
) -> Line:
    return Line(
        wire.ref,
        minus(wire.start),
        minus(wire.end),
        minus(wire.polarity) if wire.polarity in "+-" else "",
        words.role(wire.role).one + (f", {words.phrases['switched']}" if wire.switched else ""),
        wire.size_text,
        f"{words.colours.get(wire.colour, wire.colour)} ({wire.colour})"
        if wire.colour in words.colours
        else wire.colour or "–",
        str(wire.length),
        _end(wire, wire.start, wire.start_treatment, words, pairs),
        _end(wire, wire.end, wire.end_treatment, words, pairs),
        str(wire.current),
        joined.get(wire.ref, "–"),
        (made.get((wire.ref, wire.start), ""), made.get((wire.ref, wire.end), "")),
    )


def _end(
    wire: Conductor, key: str, treatment: str, words: Words, pairs: Mapping[tuple[str, str], str]
) -> str:
    """How one end is made ready; a ferrule says its length, a twin one with which wire."""
    said = words.treatments[treatment]
    if treatment not in (FERRULE, TWIN):
        return said
    ferrule = ferrule_for(wire.size.si, treatment)
    other = pairs.get((wire.ref, key), "")
    return said.format(strip=ferrule.strip, barrel=ferrule.barrel, other=other)


def _joined_in(steps: Sequence[Step], design: Design) -> dict[str, str]:
    """Steps in which each conductor is joined."""
    conductor = {joint.ref: joint.conductor for joint in design.model.joints}
    found: dict[str, list[str]] = {}
    for step in steps:
        for act in step.acts:
            for joint in act.joints:
                numbers = found.setdefault(conductor[joint], [])
                if step.number not in numbers:
                    numbers.append(step.number)
    return {ref: ", ".join(numbers) for ref, numbers in found.items()}
