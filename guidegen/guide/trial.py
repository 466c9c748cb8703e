"""What a change of a spec would do: two checks side by side, as plain data for all readers.

`trial` is what `guidegen try --json` prints; text and page are made from it. Its schema is
`trial_schema`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from guidegen.content.files import SearchPath
from guidegen.content.words import Words, load_words
from guidegen.design.compare import LEVELS, moved, paired
from guidegen.design.nearest import Instead
from guidegen.design.result import Design, Finding
from guidegen.design.trial import Tried, Typed
from guidegen.design.usable import Usable
from guidegen.guide.record import MAIN
from guidegen.guide.sentences import Sentences
from guidegen.units import rounded
from guidegen.values import Value

#: Raised when a key changes its meaning or goes.
VERSION = 1
Data = dict[str, Any]


class Teller:
    """Designs in words.

    Parameters
    ----------
    search : SearchPath
        Where sentences and words are looked for.
    before : Design
        What the spec gives as it is.
    """

    def __init__(self, search: SearchPath, before: Design) -> None:
        self.words: Words = load_words(search)
        self.sentences = Sentences(search, plain=True, words=self.words)
        self.before = before

    def trial(self, columns: Sequence[Tried]) -> Data:
        """The whole answer; its schema is `trial_schema`."""
        return {
            "trial": VERSION,
            "spec": self.before.fixture.file,
            "title": self.before.fixture.fixture.name,
            "before": {
                "verdict": verdict(self.before),
                "findings": len(self.before.findings),
                "numbers": self._values(self.before),
            },
            "columns": [self._column(column) for column in columns],
        }

    def _column(self, column: Tried) -> Data:
        before, after = self.before, column.design
        findings = self._findings(before.findings, after.findings)
        numbers = self._numbers(after)
        pairs = len(paired(before.findings, after.findings))
        names = {*self._values(before), *self._values(after)}
        return {
            "changes": [self._change(one) for one in column.typed],
            "gone": list(column.gone),
            "verdict": verdict(after),
            "complete": after.complete,
            "usable": column.usable and self._usable(column.usable),
            "pulses": column.pulses,
            "instead": [self._instead(fit, after) for fit in column.instead],
            "unfit": list(column.unfit),
            "findings": findings,
            "numbers": numbers,
            "choices": self._choices(after),
            "stays": {
                "verdict": verdict(before) == verdict(after),
                "findings": pairs - len(findings),
                "numbers": len(names) - len(numbers),
            },
        }

    def _change(self, one: Typed) -> Data:
        chosen = self.before.values.get(one.name)
        auto = one.before == "(left out)" or one.before.startswith(("auto", "at least", "at most"))
        return {
            "argument": one.change.number,
            "key": one.change.key,
            "value": one.change.value,
            "before": one.before,
            "chosen": str(chosen) if chosen is not None and auto else None,
            "same": one.same,
        }

    def _usable(self, part: Usable) -> Data:
        return {
            "light": _value(part.light),
            "key": part.key,
            "value": part.output,
            "limits": [self.finding(one) for one in part.limits],
            "advice": [self.finding(one) for one in part.advice],
            "left": [self.finding(one) for one in part.left],
        }

    def _instead(self, fit: Instead, after: Design) -> Data:
        """What a part that fits changes: against the spec, and what stopped the one tried."""
        stopped = {one.id for one in after.findings if one.level == "stop"}
        mended = [one for one in self._findings(after.findings, fit.design.findings)
                  if one["id"] in stopped]  # fmt: skip
        return {
            "key": fit.change.key,
            "value": fit.change.value,
            "label": fit.label,
            "as_is": fit.as_is,
            "mended": mended,
            "numbers": self._numbers(fit.design),
        }

    def _findings(self, before: Sequence[Finding], after: Sequence[Finding]) -> list[Data]:
        """Every finding that is not as before, the worst first."""
        found = []
        for old, new in paired(before, after):
            if not moved(old, new):
                continue
            pair = [None if one is None else self.finding(one) for one in (old, new)]
            if not _alike(*pair):
                named = pair[1] or pair[0]
                assert named is not None  # a pair has one at least
                found.append({"id": named["id"], "title": named["title"],
                              "before": pair[0], "after": pair[1]})  # fmt: skip
        return sorted(found, key=_rank)

    def finding(self, finding: Finding) -> Data:
        """One finding in words, with its numbers."""
        said = self.sentences.say(finding)
        return {
            "id": finding.id,
            "level": finding.level,
            "title": said.title,
            "text": " ".join(said.text.split()),
            "required": finding.required and _value(finding.required),
            "found": finding.found and _value(finding.found),
            "place": str(finding.place) if finding.place else None,
            "mends": [
                {
                    "text": text,
                    "changes": dict(mend.changes),
                    "effect": mend.effect and _value(mend.effect),
                    "light": mend.light and _value(mend.light),
                }
                for text, mend in zip(said.mends, finding.mends, strict=True)
            ],
        }

    def _numbers(self, after: Design) -> list[Data]:
        """Every main number that is not as before."""
        old, new = self._values(self.before), self._values(after)
        names = [name for name in MAIN if name in old or name in new]
        return [
            {"name": name, "label": self.words.value(name),
             "before": old.get(name), "after": new.get(name)}
            for name in names
            if _text(old.get(name)) != _text(new.get(name))
        ]  # fmt: skip

    def _values(self, design: Design) -> Data:
        """The main numbers of a design, by name."""
        return {name: _value(design.values[name]) for name in MAIN if name in design.values}

    def _choices(self, after: Design) -> list[Data]:
        """What `auto` chose, where it chose otherwise."""
        old, new = ({one.id: one.chosen for one in design.choices}
                    for design in (self.before, after))  # fmt: skip
        return [
            {"name": name, "label": self._choice(name), "before": old.get(name),
             "after": new.get(name)}
            for name in {**old, **new}
            if old.get(name) != new.get(name)
        ]  # fmt: skip

    def _choice(self, name: str) -> str:
        """A part that `auto` chose is called by its role."""
        role, _, what = name.partition(".")
        plain = self.words.role(role).one if what == "part" else name.replace("_", " ")
        return self.words.choices.get(name, plain)


def verdict(design: Design) -> str:
    """The worst level of a design's findings."""
    return min((one.level for one in design.findings), key=LEVELS.index, default="holds")


def _value(value: Value) -> Data:
    return {"name": value.name, "text": str(value), "si": rounded(value.si), "unit": value.kind.si}


def _text(value: Mapping[str, Any] | None) -> str | None:
    return value["text"] if value else None


def _alike(before: Data | None, after: Data | None) -> bool:
    """Whether a reader sees the same; where it stands in the file is no part of it."""
    if before is None or after is None:
        return before is after
    keys = ("level", "text")
    return all(before[key] == after[key] for key in keys)


def _rank(moved: Data) -> tuple[int, int]:
    levels = [moved[key] and LEVELS.index(moved[key]["level"]) for key in ("after", "before")]
    after, before = (len(LEVELS) if level is None else level for level in levels)
    return after, before
