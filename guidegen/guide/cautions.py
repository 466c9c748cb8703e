"""Safety messages: chosen by rule, worded by severity, placed before what they concern."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from guidegen.content.files import ContentError, Raw, SearchPath
from guidegen.content.headers import INSTRUMENTS, SIGNALS, STAGES, VERBS, At, CautionHeader
from guidegen.content.load import Content, load_all
from guidegen.content.render import Renderer
from guidegen.content.when import Condition, Fact
from guidegen.content.words import Words
from guidegen.design.model import Model, owner
from guidegen.errors import Trouble, nearest
from guidegen.guide.bench import Bench, all_facts, condition, each
from guidegen.guide.reasons import reason
from guidegen.guide.selectors import Chooser, listed_words
from guidegen.guide.step import Act, Step
from guidegen.values import Value

#: A point, and the capital letter of the next sentence: not that of `12.60 V`.
SENTENCE_END = re.compile(r"(?<=[.!?])\s+(?=[A-Z])")

#: A meter on what nothing holds back: the light's own supply, or what it feeds.
READS_SUPPLY, SUPPLY = "reads supply", "supply"
VOLTS = ("volts", "mv")

CautionFile = Content[CautionHeader]


@dataclass(frozen=True)
class Caution:
    """A safety message of this guide."""

    id: str
    number: str
    """Of the hazard in the catalogue; for tests, not for readers."""
    signal: str
    """danger, warning, caution or notice"""
    word: str
    """`WARNING`, in the guide's language."""
    title: str
    hazard: str
    consequence: str
    avoid: str
    defers_to: str
    body: str
    """More words, if the file has any."""
    pages: tuple[str, ...]
    steps: tuple[str, ...]
    """Ids of the steps that it concerns, in working order."""
    again: frozenset[str]
    """Ids of those whose own action can bring it about: there more than one order stands."""
    at: At
    """Why it concerns them."""

    @property
    def rank(self) -> int:
        """0 for the most severe word."""
        return SIGNALS.index(self.signal)

    @property
    def brief(self) -> str:
        """Hazard, consequence and the first order of the avoidance, a sentence each."""
        return " ".join(
            SENTENCE_END.split(text, maxsplit=1)[0]
            for text in (self.hazard, self.consequence, self.avoid)
        )

    @property
    def order(self) -> str:
        """The first order of the avoidance: the line of a step that has met the message before."""
        return SENTENCE_END.split(self.avoid, maxsplit=1)[0]

    @property
    def anchor(self) -> str:
        """Its anchor on the safety page."""
        return f"caution-{self.id}"


@dataclass(frozen=True)
class Placed:
    """A safety message before a step: in full where the page first has it, else one line."""

    caution: Caution
    first: str
    """Id of the step of this page before which it stands in full."""
    full: bool
    """This is that step."""
    own: bool = False
    """What the step does can itself bring it about."""


@dataclass(frozen=True)
class NotApplying:
    """A hazard that this fixture does not have, and why."""

    id: str
    number: str
    title: str
    reason: str


@dataclass(frozen=True)
class Cautions:
    """All safety messages of a guide."""

    chosen: tuple[Caution, ...]
    """The most severe first."""
    not_applying: tuple[NotApplying, ...]


def load_cautions(
    search: SearchPath,
    facts: Mapping[str, Fact],
    model: Model,
    values: Mapping[str, Value],
    words: Words,
    steps: Sequence[Step],
) -> Cautions:
    """Choose the messages that apply, and say why the others don't.

    Raises
    ------
    ContentError
        All faults of the files.
    """
    known = all_facts(facts, values)
    files = load_all(search, "cautions", CautionHeader)
    every_step = set(search.names("steps"))
    each(files, lambda file: _check(file, words, every_step, known))
    numbers = {step.id: step.number for step in steps}
    bench = Bench(Chooser(model, words), values, known, Renderer(search), numbers)
    chosen: list[CautionFile] = []
    others: list[NotApplying] = []
    for file in files:
        why = _why_not(file, steps, bench)
        if why:
            title = bench.say(file, file.header.title, "title")
            others.append(NotApplying(file.id, file.header.number, title, why))
        else:
            chosen.append(file)
    others += [
        NotApplying(f"never-{number}", number, said.title, said.reason)
        for number, said in words.never.items()
    ]
    cautions = each(chosen, lambda file: _caution(file, steps, bench))
    return Cautions(
        tuple(sorted(cautions, key=lambda caution: (caution.rank, caution.number, caution.id))),
        tuple(sorted(others, key=lambda other: other.number)),
    )


def placed(
    steps: Sequence[Step], cautions: Cautions, page_of: Callable[[Step], str]
) -> tuple[Step, ...]:
    """The steps with their messages, the most severe first.

    Parameters
    ----------
    steps : sequence of Step
        In working order.
    cautions : Cautions
        The guide's messages.
    page_of : callable
        The page that a step stands on: a message is printed in full once a page.
    """
    first: dict[tuple[str, str], str] = {}
    found: list[Step] = []
    for step in steps:
        shown = []
        for caution in cautions.chosen:
            if step.id not in caution.steps:
                continue
            at = first.setdefault((page_of(step), caution.id), step.id)
            shown.append(Placed(caution, at, at == step.id, step.id in caution.again))
        found.append(replace(step, cautions=tuple(shown)))
    return tuple(found)


def concerns(at: At, step: Step, chooser: Chooser) -> bool:
    """Whether a step is one of those that a header names by what they are and do."""
    return (
        step.stage in at.stages
        or step.id in at.steps
        or any(tool.id in at.tools for tool in step.tools)
        or any(use.id in at.uses for use in step.consumables)
        or any(deed in at.does for deed in _deeds(step, chooser))
    )


def _deeds(step: Step, chooser: Chooser) -> Iterator[str]:
    """`cuts`, `cuts border`, `sets trimmer`, `powers supply`, `reads ohms`, `reads supply` ..."""
    source = ""
    for act in step.acts:
        yield act.verb
        source = act.source if act.verb == "powers" else source
        if act.verb == "powers":
            yield f"powers {act.source}"
        elif act.reading is not None:
            yield f"reads {act.reading.instrument}"
            if act.reading.instrument in VOLTS and (source == SUPPLY or _at_supply(act, chooser)):
                yield READS_SUPPLY
        for ref in act.refs:
            yield f"{act.verb} {chooser.role(ref)}"


def _at_supply(act: Act, chooser: Chooser) -> bool:
    """Whether probes stand on the supply itself, whatever the step powers."""
    assert act.reading is not None
    ends = (owner(key) for pair in act.reading.probes for key in pair)
    return not act.reading.absent and any(chooser.role(ref) == SUPPLY for ref in ends)


def _why_not(file: CautionFile, steps: Sequence[Step], bench: Bench) -> str:
    asked = condition(file)
    words = bench.chooser.words
    if not asked.holds(bench.facts):
        return reason(asked, bench.facts, bench.values, words)
    at = file.header.at
    if (
        not _finds_steps(file)
        or at.pages
        or any(concerns(at, step, bench.chooser) for step in steps)
    ):
        return ""
    names = [words.tools[name].name for name in at.tools]
    names += [words.consumables[name].name for name in at.uses]
    if not names:
        return words.phrases["no_step_does"]
    return f"{words.phrases['no_step_uses']} {listed_words(names, words)}"


def _finds_steps(file: CautionFile) -> bool:
    at = file.header.at
    return bool(at.stages or at.tools or at.uses or at.does or at.steps)


def _caution(file: CautionFile, steps: Sequence[Step], bench: Bench) -> Caution:
    header = file.header
    chooser = bench.chooser
    signal = _signal(file, bench.facts)
    said = {key: bench.say(file, getattr(header, key), key) for key in
            ("title", "hazard", "consequence", "avoid", "defers_to")}  # fmt: skip
    return Caution(
        id=file.id,
        number=header.number,
        signal=signal,
        word=chooser.words.signals[signal],
        body=bench.renderer.body(file.words, bench.speech().context()),
        pages=header.at.pages,
        steps=tuple(step.id for step in steps if concerns(header.at, step, chooser)),
        at=header.at,
        again=frozenset(step.id for step in steps if concerns(header.again, step, chooser)),
        **said,
    )


def _signal(file: CautionFile, facts: Mapping[str, Fact]) -> str:
    word = file.header.word
    if isinstance(word, str):
        return word
    for i, option in enumerate(word):
        if Condition(option.when, file.raw.place("word", i)).holds(facts):
            return option.word
    raise AssertionError("the last word holds always")


def _check(file: CautionFile, words: Words, steps: set[str], facts: Mapping[str, Fact]) -> None:
    """Every id that `at` names is known; every condition can be asked."""
    troubles = unknown_places(file.raw, "at", file.header.at, words, steps)
    troubles += unknown_places(file.raw, "again", file.header.again, words, steps)
    try:
        condition(file).check(facts)
        _signal(file, facts)
    except ContentError as error:
        troubles += error.troubles
    if troubles:
        raise ContentError(troubles)


def unknown_places(raw: Raw, key: str, at: At, words: Words, steps: set[str]) -> list[Trouble]:
    """What a header names by a word that nothing here has.

    Parameters
    ----------
    raw : Raw
        The file, for places.
    key : str
        The header's key that holds `at`.
    at : At
        What is named.
    words : Words
        Tools, consumables and roles that there are.
    steps : set of str
        Names of the step files.
    """
    names = [name.removeprefix("steps/").removesuffix(".md") for name in sorted(steps)]
    deeds = [*VERBS, *(f"reads {i}" for i in INSTRUMENTS), READS_SUPPLY, "powers bench",
             "powers supply",
             *(f"{verb} {role}" for verb in VERBS for role in words.roles)]  # fmt: skip
    accepted: dict[str, list[str]] = {
        "stages": list(STAGES), "tools": list(words.tools), "uses": list(words.consumables),
        "steps": names, "does": deeds,
    }  # fmt: skip
    return [
        Trouble(raw.place(key, sort, i), f"{key}.{sort}", _unknown(name, known))
        for sort, known in accepted.items()
        for i, name in enumerate(getattr(at, sort))
        if name not in known
    ]


def _unknown(name: str, known: list[str]) -> str:
    guess = nearest(name, known)
    more = ", …" if len(known) > 16 else ""
    hint = f" Did you mean '{guess}'?" if guess else ""
    return f"'{name}' is not known. Accepted: {', '.join(known[:16])}{more}.{hint}"
