"""A strict reader of a guide: what its words must keep to, whatever the light.

The rules are common ones of technical writing, from memory: one action a sentence, twenty words at
the most, a condition before its action, a check with instrument, points, value and way on.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from html import unescape

from guidegen.content.files import search_path
from guidegen.content.words import load_words
from guidegen.guide.model import Guide
from guidegen.guide.routes import step_ways
from guidegen.guide.step import Reading

MOST_WORDS = 20
#: Pages that are read while working; the others are looked up.
#: Cells of the pages with lists of parts and cuts are no sentences.
READ = ("parts", "cutting", "templates", "wiring", "steps", "calibration", "record", "care")
#: What a procedure of the calibration page must say.
FIELDS = ("Purpose", "Before", "Load", "Supply", "Meter", "Probes", "Start", "Turn", "Target",
          "Stop, supply off", "If not reached", "Lock, verify", "Write down", "End")  # fmt: skip
_ITEM = re.compile(r"^ {0,4}(?:\d+\.|-) ")
_END = re.compile(r"(?<=[.!?;])\s+|(?<=\.\*\*)\s+")
#: In a step a semicolon ends no sentence: it is read with one hand at the work.
_STOP = re.compile(r"(?<=[.!?])\s+|(?<=\.\*\*)\s+")
#: What is read begins here.
_READING = '<span class="gg-reading">'
_CONDITION = re.compile(r"\b(?:if|unless)\b")


def troubles(guide: Guide) -> list[str]:
    """Everything that a strict reader finds, a line each; empty when all is well."""
    return [*long_sentences(guide), *late_conditions(guide), *first_words(guide),
            *two_actions(guide),
            *half_checks(guide), *lost_checks(guide), *half_procedures(guide),
            *repeated(guide), *unlisted(guide), *unchecked(guide),
            *other_ranges(guide), *hanging_tables(guide)]  # fmt: skip


def page(guide: Guide, name: str) -> str:
    """The Markdown of a page."""
    return next(one.markdown for one in guide.pages if one.uri == f"{name}.md")


def blocks(markdown: str, cells: bool = True) -> Iterator[str]:
    """Paragraphs, items and cells as a reader sees them; headings and lists of links left out."""
    joined = ""
    for line in [*markdown.splitlines(), ""]:
        plain = line.strip()
        if plain.startswith(("#", "<script", "![", "```", "|---")) or "gg-pointer" in plain or (
            "gg-meta" in plain):  # fmt: skip
            plain = ""
        if plain.startswith("|"):
            yield from (cell for cell in map(bare, plain.strip("|").split(" | ")) if cells and cell)
            continue
        if _ITEM.match(line) or not plain:
            if bare(joined):
                yield bare(joined)
            joined = ""
        joined += f" {plain}"


def bare(text: str) -> str:
    """Without tags, marks and the targets of links; a number and its unit are one word."""
    text = re.sub(r"\]\([^)]*\)", "]", re.sub(r"<[^>]*>", " ", text))
    text = re.sub(r"[*\[\]`]|^\s*(?:\d+\.|-) ", "", text.strip())
    return " ".join(text.replace("\u00a0", "~").replace("&nbsp;", "~").split())


def sentences(block: str, end: re.Pattern[str] = _END) -> list[str]:
    """The sentences of a block."""
    return [part for part in end.split(block) if part]


def words(sentence: str) -> int:
    """The words of a sentence; a sign alone is none, and `W2, W3 and W7` are one name."""
    names = re.sub(r"\b([A-Z]\d+)(?:, [A-Z]\d+)+ and [A-Z]\d+", r"\1", sentence)
    return sum(any(sign.isalnum() for sign in word) for word in names.split())


def long_sentences(guide: Guide) -> Iterator[str]:
    """Sentences of more than twenty words."""
    whole = {name: page(guide, name) for name in READ}
    tops = {one.uri: one.markdown.split("</div>")[0] for one in guide.pages}
    for name, text in (*whole.items(), *tops.items()):
        for block in blocks(unescape(text), name not in ("parts", "cutting")):
            # The statement that this is no certification is one text on every cover.
            end = _STOP if name == "steps" else _END
            yield from (f"{name}: {words(one)} words: {one}" for one in sentences(block, end)
                        if words(one) > MOST_WORDS and one not in guide.statement)  # fmt: skip


def items(guide: Guide) -> Iterator[tuple[str, str]]:
    """(step, numbered line) of the steps."""
    for step in guide.steps:
        for line in step.body.splitlines():
            if re.match(r"\d+\. ", line):
                yield step.id, bare(line)


def late_conditions(guide: Guide) -> Iterator[str]:
    """'Do this if that': the condition must stand before."""
    for step, item in items(guide):
        for sentence in sentences(item):
            first = sentence.split(", ")[0]
            if _CONDITION.search(sentence) and not _CONDITION.search(first.lower()):
                yield f"{step}: the condition comes late: {sentence}"
            elif _CONDITION.search(sentence) and not re.match(r"(?:If|Unless)\b", first):
                yield f"{step}: the condition comes late: {sentence}"


def first_words(guide: Guide) -> Iterator[str]:
    """A line of a step begins with what to do, or with the condition for it."""
    for step, item in items(guide):
        word = item.split()[0].strip(",.:")
        if word not in VERBS and word not in CONDITIONS:
            yield f"{step}: begins with no verb: {item}"


def two_actions(guide: Guide) -> Iterator[str]:
    """A line of a step asks for one thing; what is done under a condition may be two."""
    for step in guide.steps:
        for line in step.body.splitlines():
            item = bare(line.split(_READING)[0])
            if not re.match(r"\d+\. ", line) or item.startswith(CONDITIONS):
                continue
            asked = [one for one in sentences(item, _STOP) if one.split()[0].strip(",.:") in VERBS]
            if len(asked) > 1:
                yield f"{step.id}: two actions in one line: {item}"


CONDITIONS = ("If", "Once", "Before", "For", "Where", "When", "From", "At")
VERBS = frozenset(
    """
Aim Apply Ask Bare Begin Bend Bolt Break Bring Call Change Clamp Clean Clear Clip Close Coat
Compare Count Cover Crease Crimp Cut Disconnect Divide Do Draw Drill Drive Ease End Exchange Feel
Find Fix Fold Follow Glue Go Hang Hold Join Keep Lay Lead Leave Let Lift Look Loosen Lower Make
Mark Measure Melt Mix Open Overlap Pare Pass Peel Photograph Plug Press Prick Pull Push Put Raise
Reach Read Repeat Return Roughen Rub Run Scrape Screw See Set Shift Shorten Shrink Sign Slip
Solder Spread Stack Stand Stay Stick Stretch Switch Take Tell Think Tick Tie Tighten Tin Touch Try
Turn Uncover Unplug Use Wear Widen Wipe Work Write
""".split()
)


def checks(guide: Guide) -> Iterator[tuple[str, Reading]]:
    """(step, reading) of all that is read in this fixture."""
    return ((step.id, one) for step in guide.steps for one in step.reads if not one.absent)


def half_checks(guide: Guide) -> Iterator[str]:
    """Checks that lack instrument, range, points, value or tolerance."""
    for step, one in checks(guide):
        if not one.by.strip():
            yield f"{step}: reading {one.number} names no instrument"
        if one.instrument in ("ohms", "volts", "mv", "short") and "range" not in one.by:
            yield f"{step}: reading {one.number} names no range: {one.by}"
        if not (one.where.strip() or one.instrument == "lux"):
            yield f"{step}: reading {one.number} names no points"
        numbers = one.low and one.high and one.low != one.high
        limit = one.holds in ("joined", "open", "not-short") and one.target in one.says
        if not one.says.strip() or (one.instrument != "eye" and not (numbers or limit)):
            yield f"{step}: reading {one.number} has no value with a tolerance: {one.says}"
        if one.instrument == "mv" and one.least <= 0:
            yield f"{step}: reading {one.number} passes a probe that touches nothing: {one.says}"
        printed = page(guide, "steps")
        if str(one.says) not in printed or str(one.by)[1:] not in printed:
            yield f"{step}: reading {one.number} is not printed whole"


def lost_checks(guide: Guide) -> Iterator[str]:
    """Readings that lead nowhere when they are not met, or to power before there may be any."""
    before, powered = True, {fault.id for fault in guide.faults if fault.power}
    there = {fault.id: fault.anchor for fault in guide.faults}
    steps, troubles = page(guide, "steps"), page(guide, "troubleshooting")
    for step in guide.steps:
        if not step.reads:
            yield f"{step.id} has no check"
        section = steps.split(f'id="{step.anchor}"')[1].split("</section>")[0]
        for number, way in ((n, way) for n, ways in step_ways(step, there).items() for way in ways):
            anchor = there.get(way.fault, "")
            if not anchor or f"troubleshooting.md#{anchor}" not in section:
                yield f"{step.id}: no way on where reading {number} is not met"
            elif f'id="{anchor}"' not in troubles:
                yield f"{step.id}: {anchor} is not there"
            elif before and way.fault in powered:
                yield f"{step.id}: reading {number} leads to power before {step.number} is signed"
        before = before and step.hold != "HP2"


def procedures(guide: Guide) -> dict[str, dict[str, str]]:
    """Title of each procedure of the calibration page to its fields."""
    found = {}
    for section in page(guide, "calibration").split("\n## ")[1:]:
        rows = re.findall(r"(?m)^\| ([^|]+) \| (.*) \|$", section)
        found[section.splitlines()[0]] = {name: text for name, text in rows if name != "Field"}
    return found


def half_procedures(guide: Guide) -> Iterator[str]:
    """Procedures that lack a field, a stop or the way to turn; adjustable things without one."""
    found = procedures(guide)
    for title, fields in found.items():
        for name in FIELDS:
            if not fields.get(name, "").strip():
                yield f"calibration of {title}: no {name}"
        if not re.search(r"clockwise|data sheet", fields.get("Turn", "")):
            yield f"calibration of {title}: no direction of turn"
        if "As found" not in fields.get("Write down", ""):
            yield f"calibration of {title}: nothing as found"
    facts = guide.design.facts
    wanted = {
        "upper end": facts["trimmer"],
        "control": facts["control"] or facts["pulse_width"],
        "current limit": facts["current_limit"],
        "cut-off": any(step.id.endswith("cut-off-tested") for step in guide.steps),
    }
    for name, asked in wanted.items():
        if bool(asked) is not any(name in title for title in found):
            yield f"calibration: {name}: {'missing' if asked else 'of nothing'}"


def hanging_tables(guide: Guide) -> Iterator[str]:
    """Tables right under a line of text, which show as bars and dashes."""
    for one in guide.pages:
        lines = one.markdown.splitlines()
        for above, line in itertools.pairwise(lines):
            if line.startswith("|") and above.strip() and not above.startswith("|"):
                yield f"{one.uri}: a table hangs on '{above.strip()[-40:]}'"


def repeated(guide: Guide) -> Iterator[str]:
    """Messages that stand in full more than once on a page, or whose hazard is told twice."""
    for one in guide.pages:
        text = " ".join(one.markdown.split())
        for caution in guide.cautions.chosen:
            for part in (caution.hazard, f"{caution.hazard} {caution.consequence}"):
                if text.count(" ".join(str(part).split())) > 1:
                    yield f"{one.uri}: '{caution.title}' stands there twice"
                    break


def unlisted(guide: Guide) -> Iterator[str]:
    """Tools and consumables that a step's text tells to use by hand, and its lists lack.

    What a template names by `tool()` is listed or refused; this finds what it writes out.
    """
    words = load_words(search_path())
    names = {said.name: id for sort in (words.tools, words.consumables)
             for id, said in sort.items()}  # fmt: skip
    for step in guide.steps:
        mine = {one.id for one in (*step.tools, *step.consumables)}
        mine |= {id for one in step.tools for id in (one.id, *one.does)}
        for name, id in names.items():
            used = rf"\b(?:with|on|over|by|use|using) (?:the|a|an|some) {re.escape(name)}\b"
            if id not in mine and re.search(used, bare(step.body), re.IGNORECASE):
                yield f"{step.id} tells to use what is not in its lists: {name}"
        for one in step.reads:
            if missing := set(one.tools) - mine:
                yield f"{step.id} judges with what is not in its lists: {sorted(missing)}"


def unchecked(guide: Guide) -> Iterator[str]:
    """Joints made after the check before power, which nobody else looks at before power."""
    open_: list[str] = []
    for step in guide.steps:
        if step.stage != "power":
            continue
        if step.who != "B":
            open_ = []
        if open_ and any(act.verb == "powers" and act.source != "none" for act in step.acts):
            yield f"{step.id} powers what {open_} joined, and nobody else has seen it"
        if any(act.verb == "joins" for act in step.acts):
            open_.append(step.id)


def other_ranges(guide: Guide) -> Iterator[str]:
    """Procedures of the calibration page whose range is not that of the step they belong to."""
    there = {step.number: step for step in guide.steps}
    for title, fields in procedures(guide).items():
        number = re.search(r"In step\W+(\d+\.\d+)", unescape(fields["Before"]))
        said = re.search(r"DC volts, (\S+\sV) range", unescape(fields["Meter"]))
        if number and said:
            ranges = [one.by for one in there[number[1]].reads
                      if one.instrument == "volts" and not one.absent]  # fmt: skip
            if any(said[1].split() != by.split("DC volts, ")[1].split()[:2] for by in ranges):
                yield f"calibration of {title}: {said[1]}, and the step says {ranges}"
