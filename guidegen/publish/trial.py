"""What `guidegen try` found, as lines for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from guidegen.content.words import Words

Data = Mapping[str, Any]
#: Makes a text of a level stand out; it adds no visible character.
Paint = Callable[[str, str], str]
LETTERS = "ABCDEFGHIJKL"
#: Of the table of several columns: label, and each of the others.
LABEL, CELL = 28, 13


def plain(level: str, text: str) -> str:
    """A text as it is: no colour."""
    return text


class Said:
    """The answer in words.

    Parameters
    ----------
    found : mapping
        As `guidegen.guide.trial` gives it.
    words : Words
        Of the language.
    """

    def __init__(self, found: Data, words: Words) -> None:
        self.found, self.words = found, words.trial
        self.columns: Sequence[Data] = found["columns"]

    def say(self, phrase: str, **parts: str) -> str:
        """A phrase with its parts put in."""
        text = self.words[phrase]
        for name, part in parts.items():
            text = text.replace(f"{{{name}}}", part)
        return text

    def change(self, one: Data) -> str:
        """One change: `chain.fuse.rating: auto (3.15 A) → 5 A`."""
        before = self.say("chosen", value=one["chosen"]) if one["chosen"] else one["before"]
        phrase = "same" if one["same"] else "change"
        return self.say(phrase, key=one["key"], before=before, value=one["value"])

    def verdict(self, column: Data) -> str:
        """Whether it can be built, and whether it could before."""
        phrase = "verdict_same" if column["stays"]["verdict"] else "verdict"
        return self.say(phrase, verdict=self.words[column["verdict"]],
                        before=self.words[self.found["before"]["verdict"]])  # fmt: skip

    def notes(self, column: Data) -> Iterator[str]:
        """What is known of the light, and what fits in the place of what does not."""
        if not column["complete"]:
            yield self.words["halted"]
        if part := column["usable"]:
            yield self.say("usable", light=part["light"]["text"], key=part["key"],
                           value=part["value"], limits=_titles(part["limits"]))  # fmt: skip
            for phrase, which in (("usable_advice", "advice"), ("usable_left", "left")):
                if part[which]:
                    yield self.say(phrase, titles=_titles(part[which]))
        elif column["pulses"]:
            yield self.words["usable_pulses"]
        for one in column["instead"]:
            yield self._instead(one)
        if column["unfit"]:
            yield self.say("unfit", keys=", ".join(column["unfit"]))

    def _instead(self, one: Data) -> str:
        value, label = one["value"], one["label"]
        part = self.say("part", value=value, label=label) if label else value
        found = "; ".join(f"{moved['title']}: {self._found(moved)}" for moved in one["mended"])
        phrase = "instead_as_is" if one["as_is"] else "instead"
        numbers = self._counted("number", len(one["numbers"]))
        return self.say(phrase, key=one["key"], part=part, found=found, numbers=numbers)

    def _found(self, moved: Data) -> str:
        """The number of a finding before and after; its level where it has none."""
        if moved["after"] is None:
            return self.words["gone_finding"]
        return self._numbers_of(moved) or str(moved["after"]["level"])

    def _numbers_of(self, moved: Data) -> str:
        sides = (moved["before"], moved["after"])
        old, new = (self.text(one["found"]) if one and one["found"] else "" for one in sides)
        return f"{old} → {new}" if old and new and old != new else ""

    def finding(self, moved: Data) -> str:
        """A finding as it is with the change, and what it was before."""
        before, after = moved["before"], moved["after"]
        if after is None:
            return f"{moved['title']} ({self.say('was', level=before['level'])})"
        was = self.words["new"] if before is None else ""
        if before is not None and before["level"] != after["level"]:
            was = self.say("was", level=before["level"])
        note = ", ".join(filter(None, [was, self._numbers_of(moved)]))
        return f"{after['title']}: {after['text']}" + (f" ({note})" if note else "")

    def level(self, moved: Data) -> str:
        """The level of a finding with the change, or that it is gone."""
        after = moved["after"]
        return str(after["level"]) if after else self.words["gone_finding"]

    def number(self, one: Data) -> str:
        """A number, before and after."""
        return f"{one['label']}: {self.text(one['before'])} → {self.text(one['after'])}"

    def choice(self, one: Data) -> str:
        """What `auto` chose, before and after."""
        before, after = (one[key] or self.words["unchosen"] for key in ("before", "after"))
        return f"{one['label']}: {before} → {after}"

    def text(self, value: Any) -> str:
        """A value of the record as text."""
        if value is None:
            return self.words["none"]
        return str(value["text"]) if isinstance(value, Mapping) else str(value)

    def stays(self, column: Data) -> str:
        """How much is as before."""
        stay = column["stays"]
        return self.say("stays", findings=self._counted("finding", stay["findings"]),
                        numbers=self._counted("number", stay["numbers"]))  # fmt: skip

    def _counted(self, word: str, number: int) -> str:
        return self.words[word] if number == 1 else self.say(f"many_{word}s", count=str(number))

    def rows(self) -> list[tuple[str, str, list[str]]]:
        """Side by side: label, before, and one text a column, empty where it stays."""
        before = self.found["before"]
        short = [self.words[f"{one['verdict']}_short"] for one in (before, *self.columns)]
        rows = [(self.words["row_verdict"], short[0], short[1:])]
        light = [self.text(one["usable"]["light"]) if one["usable"] else ""
                 for one in self.columns]  # fmt: skip
        if any(light):
            rows.append((self.words["row_usable"], "", light))
        moved = [{one["name"]: one for one in column["numbers"]} for column in self.columns]
        # What was there before keeps its order; what comes new stands below.
        names = dict.fromkeys([*before["numbers"], *(name for one in moved for name in one)])
        for name in names:
            here = [one.get(name) for one in moved]
            some = next((one for one in here if one), None)
            if some is not None:
                texts = ["" if one is None else self.text(one["after"]) for one in here]
                rows.append((some["label"], self.text(some["before"]), texts))
        return rows


def _titles(findings: Sequence[Data]) -> str:
    return ", ".join(dict.fromkeys(one["title"] for one in findings))


def lines(found: Data, words: Words, width: int = 80, paint: Paint = plain) -> Iterator[str]:
    """The answer for a terminal.

    Parameters
    ----------
    found : mapping
        As `guidegen.guide.trial` gives it.
    words : Words
        Of the language.
    width : int
        Columns of the terminal.
    paint : callable
        Makes a text of a level stand out.
    """
    said = Said(found, words)
    several = len(said.columns) > 1
    yield from _wrapped(said.say("head", title=found["title"], spec=found["spec"]), width)
    for letter, column in zip(LETTERS, said.columns, strict=False):
        head = f"{letter}: " if several else "  "
        for change in column["changes"]:
            yield from _wrapped(said.change(change), width, head, "    ")
            head = " " * len(head)
        if column["gone"]:
            keys = ", ".join(column["gone"])
            yield from _wrapped(said.say("gone", keys=keys), width, head, "    ")
    if several:
        yield ""
        yield from _table(said, width)
    for letter, column in zip(LETTERS, said.columns, strict=False):
        yield ""
        yield from _column(said, column, width, f"{letter}: " if several else "", paint)


def _wrapped(text: str, width: int, first: str = "", more: str = "") -> list[str]:
    return textwrap.wrap(text, width, initial_indent=first, subsequent_indent=more,
                         break_on_hyphens=False)  # fmt: skip


def _column(said: Said, column: Data, width: int, head: str, paint: Paint) -> Iterator[str]:
    first, *rest = _wrapped(head + said.verdict(column), width)
    yield from (paint(column["verdict"], first), *rest)
    for note in said.notes(column):
        yield from _wrapped(note, width, "", "  ")
    yield from _findings(said, column, width, paint)
    for key, worded in (("numbers", said.number), ("choices", said.choice)):
        if column[key]:
            yield ""
            yield said.words[key]
            for one in column[key]:
                yield from _wrapped(worded(one), width, "  ", "    ")
    yield ""
    yield from _wrapped(said.stays(column), width)


def _findings(said: Said, column: Data, width: int, paint: Paint) -> Iterator[str]:
    if column["findings"]:
        yield ""
        yield said.words["findings"]
    for moved in column["findings"]:
        after, word = moved["after"], f"{said.level(moved):<8}"
        first, *rest = _wrapped(said.finding(moved), width - 9) or [""]
        yield f"{paint(after['level'], word) if after else word} {first}"
        yield from (f"{'':9}{line}" for line in rest)
        for mend in after["mends"] if after else ():
            yield from _wrapped(f"→ {mend['text']}", width, " " * 9, " " * 11)


def _table(said: Said, width: int) -> Iterator[str]:
    """The main numbers side by side, as many columns at a time as there is room for."""
    count = len(said.columns)
    at_once = max(1, (width - LABEL) // CELL - 1)
    for start in range(0, count, at_once):
        letters = LETTERS[start : min(count, start + at_once)]
        yield _row("", said.words["before"], list(letters))
        for label, before, texts in said.rows():
            here = texts[start : start + at_once]
            first, *more = _wrapped(label, LABEL - 3)
            yield _row(first, before, [text or "·" for text in here])
            yield from (f"  {line}" for line in more)
        yield f"· {said.words['unchanged']}"


def _row(label: str, before: str, texts: Sequence[str]) -> str:
    return (f"{label:<{LABEL}}" + "".join(f"{text:<{CELL}}" for text in (before, *texts))).rstrip()
