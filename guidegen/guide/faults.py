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
from guidegen.guide.routes import led_to
from guidegen.guide.selectors import Chooser
from guidegen.guide.step import Step
from guidegen.values import Value

FaultFile = Content[FaultHeader]
#: The hold point that is signed before the light gets any power.
BEFORE_POWER = "HP2"


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
    power: bool = False
    """Its tests need power on the light."""

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
        All faults of the files; also a step or a reading that leads nowhere, or to what needs
        power before there is any.
    """
    known = all_facts(facts, values)
    every = load_all(search, "faults", FaultHeader)
    chosen = sorted(choose(every, known), key=lambda file: (file.header.order, file.id))
    there = {file.id: file for file in chosen}
    _check_routes(steps, there, every)
    numbers = {step.id: step.number for step in steps}
    bench = Bench(Chooser(model, words), values, known, Renderer(search), numbers)
    return tuple(each(chosen, lambda file: _fault(file, steps, bench, there)))


def _check_routes(
    steps: Sequence[Step], there: Mapping[str, FaultFile], every: Sequence[FaultFile]
) -> None:
    troubles = [one for step in steps for one in _lost_routes(step, there, every)]
    for step in _before_power(steps):
        for name in sorted(led_to(step, there)):
            if name in there and there[name].header.power:
                message = (
                    f"leads to faults/{name}.md, which needs power, and the light has none yet"
                )
                troubles.append(Trouble(step.place, step.id, message))
    if troubles:
        raise ContentError(troubles)


def _lost_routes(
    step: Step, there: Mapping[str, FaultFile], every: Sequence[FaultFile]
) -> Iterator[Trouble]:
    """A reading's own entry may be absent; what it then falls back to may not."""
    ids = [file.id for file in every]
    for one in step.reads:
        for key, name in one.routes.named():
            if name not in ids:
                yield Trouble(one.place or step.place, key, _unknown(name, ids))
    if any(not name for name in led_to(step, there)):
        yield Trouble(step.place, "if_not", "a reading leads nowhere: the step needs an if_not")
    if step.if_not and step.if_not not in there:
        known = step.if_not in ids
        message = (f"leads to faults/{step.if_not}.md, which is not in this guide: see its 'when'"
                   if known else _unknown(step.if_not, ids))  # fmt: skip
        yield Trouble(step.place, "if_not", message)


def _unknown(name: str, ids: Sequence[str]) -> str:
    guess = nearest(name, ids)
    hint = f" Did you mean '{guess}'?" if guess else ""
    return f"no fault is called '{name}'.{hint}"


def _before_power(steps: Sequence[Step]) -> Sequence[Step]:
    """The steps up to the hold point before the first power."""
    last = max((n for n, step in enumerate(steps) if step.hold == BEFORE_POWER), default=-1)
    return steps[: last + 1]


def _fault(
    file: FaultFile, steps: Sequence[Step], bench: Bench, there: Mapping[str, FaultFile]
) -> Fault:
    causes = tuple(_causes(file, bench))
    return Fault(
        file.id,
        bench.say(file, file.header.symptom, "symptom"),
        causes,
        bench.renderer.body(file.words, bench.speech().context()),
        tuple(step.id for step in steps if file.id in led_to(step, there)),
        file.header.power,
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
