"""Steps that a light does not need, and why: what a builder may look for in vain."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from guidegen.content.files import SearchPath
from guidegen.content.headers import StepHeader
from guidegen.content.load import load_all
from guidegen.content.when import Fact
from guidegen.content.words import Words
from guidegen.guide.bench import all_facts, condition
from guidegen.guide.reasons import reason
from guidegen.guide.step import Step
from guidegen.values import Value


@dataclass(frozen=True)
class NotNeeded:
    """A step of other lights."""

    goal: str
    reason: str
    """The answers that left it out: 'no battery'."""


def not_needed(
    search: SearchPath,
    facts: Mapping[str, Fact],
    values: Mapping[str, Value],
    words: Words,
    steps: Sequence[Step],
) -> tuple[NotNeeded, ...]:
    """The steps that stand in no stage of this guide, in the order of their stages.

    One that another step stands in for - it gives the same, or has the same goal - is none.
    """
    known = all_facts(facts, values)
    given = {step.gives or step.id for step in steps} | {step.id for step in steps}
    goals = {step.goal for step in steps}
    found: dict[str, NotNeeded] = {}
    for file in load_all(search, "steps", StepHeader):
        header, asked = file.header, condition(file)
        stands_in = (header.gives or file.id) in given or header.goal in goals
        if stands_in or asked.holds(known):
            continue
        found.setdefault(header.goal, NotNeeded(header.goal, reason(asked, known, values, words)))
    return tuple(found.values())
