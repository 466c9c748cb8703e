"""The steps of a guide: chosen by `when`, ordered by need, expanded against the model, written."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from guidegen.content.files import ContentError, SearchPath
from guidegen.content.headers import StepHeader
from guidegen.content.load import load_all
from guidegen.content.render import Renderer
from guidegen.content.when import Condition, Fact
from guidegen.content.words import Words
from guidegen.design.model import Model, Part, owner
from guidegen.errors import Place, Trouble, accepted_words
from guidegen.guide.amounts import amount, minutes, named
from guidegen.guide.bench import Bench, all_facts, choose, each
from guidegen.guide.deeds import Reader, acts
from guidegen.guide.order import StepFile, needed, numbers, ordered
from guidegen.guide.selectors import Chooser, ranges
from guidegen.guide.speech import EXTENSION, Speech
from guidegen.guide.step import Act, PartUse, Reading, Step, Tool, Use
from guidegen.kinds import Hour
from guidegen.values import Value

# A reference in a sentence must come from part() or terminal(), or it outlives its part.
_BY_HAND = re.compile(r"(?<![\w&#])[EFGHKQRTUWX]\d{1,3}(?!\w)")
_EXPRESSION = re.compile(r"\{\{.*?\}\}|\{%.*?%\}|\{#.*?#\}", re.S)


def load_steps(
    search: SearchPath,
    facts: Mapping[str, Fact],
    model: Model,
    values: Mapping[str, Value],
    words: Words,
) -> tuple[Step, ...]:
    """The steps of this fixture, in working order, numbered and written.

    Raises
    ------
    ContentError
        All faults that were found in the content files.
    """
    known = all_facts(facts, values)
    every = load_all(search, "steps", StepHeader)
    chosen = choose(every, known)
    ids = [file.id for file in every]
    each(chosen, lambda file: _check_ids(file, words, ids))
    needs = needed(chosen, every)
    files = ordered(chosen, needs)
    chooser, renderer = Chooser(model, words), Renderer(search)
    bench = Bench(chooser, values, known, renderer, numbers(files))
    reader = Reader(chooser, values, renderer, known)
    steps = each(files, lambda file: _step(file, acts(file, reader), needs[file.id], bench))
    return tuple(_with_takes(steps, chooser))


def _check_ids(file: StepFile, words: Words, ids: Sequence[str]) -> None:
    troubles = list(_id_troubles(file, words, ids))
    if troubles:
        raise ContentError(troubles)


def _id_troubles(file: StepFile, words: Words, ids: Sequence[str]) -> Iterator[Trouble]:
    if file.header.amid and file.header.amid not in ids:
        message = f"no step is called '{file.header.amid}'. {accepted_words(file.header.amid, ids)}"
        yield Trouble(file.raw.place("amid"), "amid", message)
    for i, written in enumerate(file.header.tools):
        tool = written.removesuffix("?")
        if tool not in words.tools:
            message = f"no tool is called '{tool}'. " + accepted_words(tool, list(words.tools))
            yield Trouble(file.raw.place("tools", i), "tools", message)
    for name in file.header.uses:
        if name.removesuffix("?") not in words.consumables:
            accepted = accepted_words(name, list(words.consumables))
            message = f"no consumable is called '{name}'. {accepted}"
            yield Trouble(file.raw.place("uses", name), "uses", message)
    # Only what the writer typed: references from part() are in the expressions taken out here.
    prose = _EXPRESSION.sub(lambda found: re.sub(r"[^\n]", " ", found[0]), file.words.body)
    for found in _BY_HAND.finditer(prose):
        line = file.words.body_line + prose[: found.start()].count("\n")
        message = f"'{found[0]}' is written by hand: name it with part() or terminal()"
        yield Trouble(Place(file.words.file, line, 1), "", message)


def _step(file: StepFile, deeds: tuple[Act, ...], needs: tuple[str, ...], bench: Bench) -> Step:
    header, raw, words = file.header, file.raw, bench.chooser.words
    reads = tuple(act.reading for act in deeds if act.reading is not None)
    stages = list(dict.fromkeys(number.split(".")[0] for number in bench.numbers.values()))
    number = bench.numbers[file.id]
    waiting = named(header.waiting, bench.values, raw.place("waiting"), Hour)
    goal = bench.say(file, header.goal, "goal")
    body, speech = _body(file, deeds, bench)
    times = _panels(deeds, bench.chooser)
    return Step(
        id=file.id,
        number=number,
        stage=header.stage,
        stage_title=words.stages.get(header.stage, header.stage),
        stage_index=stages.index(number.split(".")[0]),
        goal=goal,
        who=header.who,
        minutes=minutes(header.minutes, file.id, bench.facts, raw.place("minutes"), times),
        waiting=waiting if waiting.si else None,
        after=header.minutes.after * times if waiting.si else 0.0,
        amid=header.amid,
        acts=deeds,
        parts=tuple(part_use(ref, bench.chooser) for ref in handled(deeds, bench.chooser)),
        takes=(),
        tools=tuple(
            _tool(name, words) for name in _chosen((*header.tools, f"{EXTENSION}?"), speech.tools)
        ),
        consumables=tuple(
            _use(name, file, bench, times) for name in _chosen(header.uses, speech.used)
        ),
        reads=reads,
        needs=needs,
        body=body,
        place=raw.place(),
        hold=header.hold or "",
        pair=_pair(file, bench),
        if_not=header.if_not,
        no_check=header.no_check,
        gives=header.gives,
        shows=header.shows,
    )


def _pair(file: StepFile, bench: Bench) -> bool:
    asked = Condition(file.header.pair, file.raw.place("pair"))
    asked.check(bench.facts)
    return bool(file.header.pair) and asked.holds(bench.facts)


def _tool(name: str, words: Words) -> Tool:
    said = words.tools[name.removesuffix("?")]
    return Tool(name.removesuffix("?"), said.name, said.check, said.does, said.hot)


def _panels(deeds: Iterable[Act], chooser: Chooser) -> int:
    """How many panels a step is done to: what its file says of one goes with their number."""
    refs = {ref for act in deeds if act.verb in ("cuts", "fits", "joins") for ref in act.refs}
    joints = {ref for act in deeds for ref in act.joints}
    refs |= {owner(j.terminal) for j in chooser.model.joints if j.ref in joints}
    numbers = {part.panel for part in chooser.model.parts if part.ref in refs}
    return max(numbers, default=0) or 1


def _use(name: str, file: StepFile, bench: Bench, times: int) -> Use:
    said = bench.chooser.words.consumables[name.removesuffix("?")]
    place = file.raw.place("uses", name)
    value = amount(file.header.uses[name], said.unit, bench.facts, bench.values, place, times)
    short = name.removesuffix("?")
    return Use(short, said.name, value, str(value), said.hazard, said.flammable)


def handled(deeds: Iterable[Act], chooser: Chooser) -> tuple[str, ...]:
    """References that deeds cut, fit or join, each once; conductors, not what they end on."""
    found: dict[str, None] = {}
    joints = {joint.ref: joint for joint in chooser.model.joints}
    for act in deeds:
        if act.verb in ("cuts", "fits"):
            found |= dict.fromkeys(act.refs)
        found |= dict.fromkeys(joints[ref].conductor for ref in act.joints)
    return tuple(found)


def part_use(ref: str, chooser: Chooser) -> PartUse:
    """A part or conductor as a line of a step's list."""
    item = chooser.parts.get(ref) or chooser.wires[ref]
    if isinstance(item, Part):
        return PartUse(ref, item.role, item.name, item.count)
    return PartUse(ref, item.role, item.function)


def _with_takes(steps: Sequence[Step], chooser: Chooser) -> Iterator[Step]:
    """Each part goes to the step that fits it, or else to the first that handles or joins it."""
    taken: dict[str, str] = {}
    for step in steps:
        for act in step.acts:
            if act.verb == "fits":
                taken |= dict.fromkeys((r for r in act.refs if r not in taken), step.id)
    for step in steps:
        # Supply and sockets lie on the bench: they are joined or plugged, never fitted.
        joined = [ref for act in step.acts if act.verb in ("joins", "powers") for ref in act.refs]
        for ref in (*(use.ref for use in step.parts), *joined):
            taken.setdefault(ref, step.id)
    for step in steps:
        mine = [ref for ref, name in taken.items() if name == step.id]
        yield replace(step, takes=tuple(part_use(ref, chooser) for ref in mine))


def _chosen(written: Iterable[str], named: Collection[str]) -> list[str]:
    """What a header lists; with a `?`, only if a sentence names it in this fixture."""
    return [name for name in written if not name.endswith("?") or name[:-1] in named]


def _body(file: StepFile, deeds: tuple[Act, ...], bench: Bench) -> tuple[str, Speech]:
    speech = bench.speech()
    speech.readings = {act.reading.number: act.reading for act in deeds if act.reading}
    text = bench.renderer.body(file.words, speech.context())
    place = Place(file.words.file, file.words.body_line, 1)
    messages = list(_differences(file, deeds, speech))
    if messages:
        raise ContentError(Trouble(place, "", message) for message in messages)
    return text, speech


def _differences(file: StepFile, deeds: tuple[Act, ...], speech: Speech) -> Iterator[str]:
    """What the sentences name and the header does not, and the other way round."""
    words = speech.words
    done, near = _meant(deeds, speech.chooser)
    unsaid = sorted(done - speech.named - speech.probed, key=_by_number)
    if unsaid:
        yield f"does act on {ranges(unsaid, words)}, and no sentence names it: write part('…')"
    undone = sorted((speech.named | speech.probed) - done - near, key=_by_number)
    if undone:
        yield f"a sentence names {ranges(undone, words)}, and does act on no such part"
    tools = {name.removesuffix("?") for name in file.header.tools}
    always = {name for name in file.header.tools if not name.endswith("?")}
    for tool in sorted(always - speech.tools):
        yield f"'{tool}' is listed under tools, and no sentence names it: write tool('{tool}')"
    for tool in sorted(speech.tools - tools - {EXTENSION}):
        yield f"a sentence names the tool '{tool}', which is not listed under tools"
    for name in sorted(speech.used - {name.removesuffix("?") for name in file.header.uses}):
        yield f"a sentence names '{name}', which is not listed under uses"
    said = [speech.readings[number] for number in speech.read]
    for number, reading in speech.readings.items():
        if (
            number not in speech.read
            and not reading.absent
            and not _looked_at(reading, said, speech)
        ):
            yield f"reads number {number} ({reading.instrument}), and no sentence has it: " \
                  f"write reading({number})"  # fmt: skip


def _looked_at(reading: Reading, said: Sequence[Reading], speech: Speech) -> bool:
    """One sentence may claim the same of several parts, if all of them are named."""
    alike = any(other.instrument == "eye" and other.holds == reading.holds for other in said)
    return reading.instrument == "eye" and alike and set(reading.parts) <= speech.named


def _meant(deeds: tuple[Act, ...], chooser: Chooser) -> tuple[set[str], set[str]]:
    """(what sentences must name, what they may name besides)."""
    done: set[str] = set()
    near: set[str] = set()
    for act in deeds:
        done.update(act.named)
        near.update(act.refs)
    for ref in done:
        part = chooser.parts.get(ref)
        if part is not None and part.on:
            near.add(part.on)
    return done, near | {ref.split(".")[0] for ref in done}


def _by_number(ref: str) -> tuple[str, int]:
    digits = re.search(r"\d+", ref)
    return ref[:1], int(digits[0]) if digits else 0
