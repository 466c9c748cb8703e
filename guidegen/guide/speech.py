"""What content may say of the fixture: parts, tools, terminals, readings and values by rule."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from jinja2.exceptions import UndefinedError
from markupsafe import Markup, escape

from guidegen.content.when import Fact
from guidegen.content.words import Words
from guidegen.design.model import Model, minus, owner
from guidegen.errors import GuidegenError, Place, accepted_words, nearest
from guidegen.guide.bends import bent_rails
from guidegen.guide.routes import Routes
from guidegen.guide.selector import selector
from guidegen.guide.selectors import Chooser, listed_words, ranges
from guidegen.guide.step import Reading
from guidegen.values import Value, shown_band

#: What a reading needs whose points lie far apart; no header lists it.
EXTENSION = "probe-extension"


class SpeechError(GuidegenError):
    """A template asked for something that the fixture or the words don't have."""


@lru_cache(maxsize=16)
def _branches(names: tuple[str, ...]) -> frozenset[str]:
    """What stands before a dot of a name: asked for at every value that a sentence prints."""
    return frozenset(name[:at] for name in names for at, sign in enumerate(name) if sign == ".")


class Names:
    """Values by their dotted names: `v.panel.current`."""

    def __init__(self, values: Mapping[str, Value], before: str = "") -> None:
        self._values, self._before = values, before

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_"):
            raise AttributeError(name)
        return self[name]

    def __getitem__(self, name: str) -> Any:
        full = f"{self._before}{name}"
        deeper = full in _branches(tuple(self._values))
        if full in self._values and not deeper:
            return self._values[full]
        if deeper:
            return _Both(self._values, full) if full in self._values else _names(self._values, full)
        guess = nearest(full, self._values)
        hint = f" Did you mean '{guess}'?" if guess else ""
        raise UndefinedError(f"no value is called '{full}'.{hint}")

    def __str__(self) -> str:
        name = self._before.removesuffix(".")
        raise UndefinedError(f"no value is called '{name}', only names that begin so")

    __html__ = __str__


def _names(values: Mapping[str, Value], full: str) -> Names:
    return Names(values, full + ".")


class _Both(Names):
    """A value whose name is also the beginning of others."""

    def __init__(self, values: Mapping[str, Value], full: str) -> None:
        super().__init__(values, full + ".")
        self._value = values[full]

    def __str__(self) -> str:
        return str(self._value)

    def __html__(self) -> str:
        return escape(str(self._value))


class Speech:
    """The helpers that bodies and header sentences call, and a memory of what was named.

    Parameters
    ----------
    chooser : Chooser
        Finds parts in the model.
    values : mapping of str to Value
        Values of the design.
    facts : mapping of str to fact
        All facts, values among them.
    numbers : mapping of str to str
        Step numbers by id.
    """

    def __init__(
        self,
        chooser: Chooser,
        values: Mapping[str, Value],
        facts: Mapping[str, Fact],
        numbers: Mapping[str, str],
    ) -> None:
        self.chooser, self.words, self.model = chooser, chooser.words, chooser.model
        self.values, self.facts, self.numbers = values, facts, numbers
        self.readings: dict[int, Reading] = {}
        self.named: set[str] = set()
        self.tools: set[str] = set()
        self.used: set[str] = set()
        self.read: set[int] = set()
        self.probed: set[str] = set()

    def context(self) -> dict[str, Any]:
        """What a template sees."""
        return {
            "v": Names(self.values), "part": self.part, "terminal": self.terminal,
            "tool": self.tool, "consumable": self.consumable, "reading": self.reading,
            "step": self.step, "calibration": self.calibration, "has": self.has,
            "fact": self.fact, "lengths": self.lengths, "to_length": self.to_length,
            "carrier": self.carrier,
            "bent_rails": lambda: bent_rails(self.model, self.words),
            "low": lambda value: shown_band(value).low,
            "high": lambda value: shown_band(value).high,
        }  # fmt: skip

    def part(self, text: str) -> Markup:
        """'rows E1 to E12', 'screws H2 (6 ×)'; `A to B`: the conductors of A that end at B."""
        wanted = selector(text.split(" to ")[0], _HERE)
        refs = self.chooser.refs(wanted)
        if " to " in text:
            joined = {joint.conductor for joint in self.chooser.joints(text, _HERE)}
            refs = tuple(ref for ref in refs if ref in joined)
        self.named.update(refs)
        return Markup(escape(phrase(refs, wanted.polarity, wanted.role, self.chooser)))

    def carrier(self, text: str) -> Markup:
        """'box wall U8': what carries the first of these parts; it is there already."""
        first = self.chooser.refs(selector(text, _HERE))[0]
        host = self.chooser.parts[self.chooser.parts[first].on]
        return Markup(escape(phrase((host.ref,), host.polarity, host.role, self.chooser)))

    def lengths(self, text: str) -> Markup:
        """'lead cores W3 and W4 to 2.00 m, lead core W5 to 1.50 m': what to cut, and how long."""
        return Markup(", ").join(self.to_length(text))

    def to_length(self, *texts: str) -> list[Markup]:
        """The same of several selectors, each length apart: for a list."""
        return [line for text in texts for line in self._to_length(text)]

    def _to_length(self, text: str) -> list[Markup]:
        wanted = selector(text, _HERE)
        refs = self.chooser.refs(wanted)
        self.named.update(refs)
        return [
            Markup("{} {} {}").format(
                phrase(group, wanted.polarity, wanted.role, self.chooser),
                self.words.phrases["to"], length)
            for group, length in by_length(refs, self.chooser)
        ]  # fmt: skip

    def terminal(self, text: str) -> Markup:
        """'terminal OUT+ of regulator T1'."""
        keys = self.chooser.points(selector(text, _HERE))
        self.probed.update(owner(key) for key in keys)
        return Markup(escape(spots(keys, self.chooser, self.words.phrases["terminal"] + " ")))

    def tool(self, name: str) -> Markup:
        """A tool by its id."""
        said = _known(name, self.words.tools, "tool")
        self.tools.add(name)
        return Markup(escape(said.name))

    def consumable(self, name: str) -> Markup:
        """A consumable by its id."""
        said = _known(name, self.words.consumables, "consumable")
        self.used.add(name)
        return Markup(escape(said.name))

    def reading(self, which: int | str) -> Markup:
        """A reading of the step: instrument, points, and what it must show.

        Parameters
        ----------
        which : int or str
            Its number among the header's `reads`; or what it `holds`: all of these that are in
            this fixture, those that are judged alike together.
        """
        alike: dict[tuple[str, str, Routes], list[str]] = {}
        firsts: dict[Routes, int] = {}
        first: list[Markup] = []
        for found in self._readings(which):
            self.read.add(found.number)
            if found.far and not first:
                words = Markup(self.words.phrases["far"]).format(tool=self.tool(EXTENSION))
                first = [_FIRST.format(words)]
            where = found.where or self.words.phrases["axis"]
            alike.setdefault((found.by, found.says, found.routes), []).append(where)
            firsts.setdefault(found.routes, found.number)
        texts = [
            # Three sentences: with which instrument, where, and what is right; then what if not.
            Markup("{}. {}. {}: **{}**.").format(
                _capital(by), _capital(", ".join(points)), self.words.phrases["good"], says
            )
            + _WAYS.format(firsts[routes])
            for (by, says, routes), points in alike.items()
        ]
        return _READ.format(Markup(" ").join(first + texts))

    def _readings(self, which: int | str) -> list[Reading]:
        mine = [r for r in self.readings.values() if which in (r.number, r.holds)]
        if not mine:
            raise SpeechError(f"reading({which!r}): the header has {len(self.readings)} 'reads'")
        here = [reading for reading in mine if not reading.absent]
        if not here:
            raise SpeechError(f"reading({which!r}) is not in this fixture: ask has('role') first")
        return here

    def step(self, name: str) -> Markup:
        """'step 3.4', by the id of a step in this guide."""
        number = _known(name, self.numbers, "step of this guide")
        return Markup("{}\u00a0{}").format(self.words.phrases["step"], number)

    def calibration(self, name: str) -> Markup:
        """A procedure of the calibration page, by its id."""
        title = _known(name, self.words.procedures, "procedure")
        return Markup("[{}](calibration.md#calibration-{})").format(title, name)

    def has(self, role: str) -> bool:
        """Whether the fixture has parts of a role."""
        known = {*self.words.roles, *self.chooser.roles}
        if role not in known:
            _known(role, dict.fromkeys(sorted(known), True), "role")
        return self.chooser.has(role)

    def fact(self, name: str) -> bool:
        """A fact that is yes or no."""
        found = _known(name, self.facts, "fact")
        if not isinstance(found, bool):
            raise SpeechError(f"fact('{name}') is {found!r}: only yes or no can be asked here")
        return found


_HERE = Place("template")
#: Round a reading, and round what it asks for before the line that it stands in.
_READ = Markup('<span class="gg-reading">{}</span>')
_FIRST = Markup("<!--first-->{}<!--then-->")
#: Where the ways on of a reading will stand: faults are not known yet while steps are written.
_WAYS = Markup("<!--ways {}-->")
WAYS = re.compile(str(_WAYS).format(r"(\d+)"))
#: A reading in a text; a line that asks for something first; a line that ends with readings.
READING = re.compile(str(_READ).format("(.*?)"))
ASKS_FIRST = re.compile(rf"^(\s*\d+\. )(.*?){str(_FIRST).format('(.*?)')} ?", re.MULTILINE)
ENDS_READ = re.compile(rf"^(\s*\d+\. )(\S.*?) ?((?:{str(_READ).format('.*?')} ?)+)$", re.MULTILINE)


def _capital(text: str) -> Markup:
    """A sentence's beginning; what the renderer wrote is escaped already."""
    return escape(text)[:1].upper() + escape(text)[1:]


def _known(name: str, accepted: Mapping[str, Any], what: str) -> Any:
    if name not in accepted:
        guess = nearest(name, accepted)
        hint = f"Did you mean '{guess}'?" if guess else accepted_words(name, list(accepted)[:20])
        raise SpeechError(f"no {what} is called '{name}'. {hint}")
    return accepted[name]


def phrase(refs: tuple[str, ...], polarity: str, role: str, chooser: Chooser) -> str:
    """Words and references of equal parts: 'positive jumpers W11 to W33, every second one'."""
    if not refs:
        return ""
    words = chooser.words
    said = words.role(role)
    if "." in refs[0]:
        carrier = refs[0].split(".")[0]
        host = chooser.parts[carrier]
        return f"{said.one} {words.phrases['of']} {words.role(host.role).one} {carrier}"
    many = len(refs) > 1 or _count(refs[0], chooser) > 1
    text = said.many if many else said.one
    if polarity:
        text = f"{words.polarity[polarity]} {text}"
    if said.ref:
        text += f" {ranges(refs, words)}"
    count = sum(_count(ref, chooser) for ref in refs)
    return text + (f" ({count} {words.phrases['times']})" if count != len(refs) else "")


def by_length(refs: tuple[str, ...], chooser: Chooser) -> list[tuple[tuple[str, ...], str]]:
    """Conductors or rails of equal length together: (references, length as text)."""
    groups: dict[str, list[str]] = {}
    for ref in refs:
        wire = chooser.wires.get(ref)
        length = wire.length if wire else chooser.parts[ref].size[0]
        groups.setdefault(str(length), []).append(ref)
    return [(tuple(group), length) for length, group in groups.items()]


def cut_lengths(role: str, chooser: Chooser) -> list[tuple[str, str]]:
    """(words and references, length) of the conductors of a role, equal lengths together."""
    refs = chooser.refs(selector(f"{role}?", _HERE))
    return [(phrase(group, "", role, chooser), text) for group, text in by_length(refs, chooser)]


def _count(ref: str, chooser: Chooser) -> int:
    part = chooser.parts.get(ref)
    return part.count if part else 1


def spots(keys: tuple[str, ...], chooser: Chooser, before: str = "") -> str:
    """Terminals in words: 'L+ of rows E1 to E12'."""
    words = chooser.words
    groups: dict[tuple[str, str], list[str]] = {}
    for key in keys:
        ref, name = key.split(":")
        part = chooser.parts[ref]
        # The taps of one rail differ in nothing but their numbers.
        tap = part.polarity and name.isdigit()
        groups.setdefault((ref if tap else part.role, "" if tap else name), []).append(key)
    # 'L+ and R+ of rows E1 and E2': equal parts are named once.
    carried: dict[tuple[str, ...], list[str]] = {}
    for (_, name), members in groups.items():
        refs = tuple(dict.fromkeys(owner(key) for key in members))
        names = name or _numbers([key.split(":")[1] for key in members], words)
        carried.setdefault(refs, []).append(minus(names))
    texts = [
        f"{before}{listed_words(names, words)} {words.phrases['of']} "
        f"{phrase(refs, '', chooser.parts[refs[0]].role, chooser)}"
        for refs, names in carried.items()
    ]
    return listed_words(texts, words)


def _numbers(names: list[str], words: Words) -> str:
    if len(names) < 3:
        return listed_words(names, words)
    return f"{names[0]} {words.phrases['to']} {names[-1]}"


def speech(
    model: Model, words: Words, values: Mapping[str, Value], facts: Mapping[str, Fact]
) -> Speech:
    """A speech without steps: for findings, parts tables and pages."""
    return Speech(Chooser(model, words), values, facts, {})
