"""Fault finding: symptoms, likely causes, and the checks that lead to them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from guidegen.content.files import ContentError, SearchPath
from guidegen.content.headers import Cause, FaultHeader
from guidegen.content.load import Content, load_all
from guidegen.content.render import Renderer
from guidegen.content.when import Condition, Fact
from guidegen.content.words import Words
from guidegen.design.model import Model
from guidegen.errors import Trouble, nearest
from guidegen.guide.bench import Bench, all_facts, choose, each
from guidegen.guide.selectors import Chooser
from guidegen.guide.step import Step
from guidegen.values import Value

FaultFile = Content[FaultHeader]


@dataclass(frozen=True)
class FaultCause:
    """A likely cause: how to test for it, what to expect, what to do, what to repeat."""

    cause: str
    test: str
    expect: str
    action: str
    retest: str


@dataclass(frozen=True)
class Fault:
    """A row of the fault-finding page."""

    id: str
    symptom: str
    causes: tuple[FaultCause, ...]
    body: str
    routes: tuple[str, ...]
    """Ids of the steps whose failed check leads here, in working order."""

    @property
    def anchor(self) -> str:
        """Its anchor on the fault-finding page."""
        return f"fault-{self.id}"


def load_faults(
    search: SearchPath,
    facts: Mapping[str, Fact],
    model: Model,
    values: Mapping[str, Value],
    words: Words,
    steps: Sequence[Step],
) -> tuple[Fault, ...]:
    """The faults of this fixture, in the order in which they are looked for.

    Raises
    ------
    ContentError
        All faults of the files; also a step whose `if_not` leads nowhere.
    """
    known = all_facts(facts, values)
    every = load_all(search, "faults", FaultHeader)
    chosen = sorted(choose(every, known), key=lambda file: (file.header.order, file.id))
    _check_routes(steps, chosen, every)
    numbers = {step.id: step.number for step in steps}
    bench = Bench(Chooser(model, words), values, known, Renderer(search), numbers)
    return tuple(each(chosen, lambda file: _fault(file, steps, bench)))


def _check_routes(
    steps: Sequence[Step], chosen: Sequence[FaultFile], every: Sequence[FaultFile]
) -> None:
    troubles = []
    for step in steps:
        if step.if_not and step.if_not not in {file.id for file in chosen}:
            troubles.append(Trouble(step.place, "if_not", _lost(step, every)))
    if troubles:
        raise ContentError(troubles)


def _lost(step: Step, every: Sequence[FaultFile]) -> str:
    ids = [file.id for file in every]
    if step.if_not in ids:
        return f"leads to faults/{step.if_not}.md, which is not in this guide: see its 'when'"
    guess = nearest(step.if_not, ids)
    hint = f" Did you mean '{guess}'?" if guess else ""
    return f"no fault is called '{step.if_not}'.{hint}"


def _fault(file: FaultFile, steps: Sequence[Step], bench: Bench) -> Fault:
    causes = tuple(_causes(file, bench))
    return Fault(
        file.id,
        bench.say(file, file.header.symptom, "symptom"),
        causes,
        bench.renderer.body(file.words, bench.speech().context()),
        tuple(step.id for step in steps if step.if_not == file.id),
    )


def _causes(file: FaultFile, bench: Bench) -> Iterator[FaultCause]:
    for i, cause in enumerate(file.header.causes):
        when = Condition(cause.when, file.raw.place("causes", i, "when"))
        if when.holds(bench.facts):
            yield FaultCause(**{
                key: bench.say(file, getattr(cause, key), "causes", i, key)
                for key in Cause.model_fields
                if key != "when"
            })  # fmt: skip
