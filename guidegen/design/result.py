"""What a design is made of: sections with values, choices, findings and facts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from guidegen.design.model import Model
from guidegen.errors import GuidegenError, Place
from guidegen.kinds import Law, kind_of
from guidegen.spec.model import Fixture
from guidegen.spec.quantities import Auto
from guidegen.values import Given, Ledger, Value, band, work

Fact = bool | float | str

#: The source of a trade fact that no publication was found for.
PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Mend:
    """A change of the spec that does away with a finding; its effect is computed, not promised."""

    changes: Mapping[str, str]
    """Spec path to the text to write there: `{"chain.lead.size": "1.5 mm²"}`."""
    effect: Value | None = None
    """What the found value becomes; None until the whole design was settled with the change."""
    light: Value | None = None
    """Share of the full light that is left, where the change sets the output lower."""


@dataclass(frozen=True)
class Finding:
    """A limit compared with what was found. Its sentence is `templates/findings/<id>.md`."""

    id: str
    level: str
    """`stop`, `advice` or `holds`."""
    required: Value | None = None
    found: Value | None = None
    place: Place | None = None
    """The spec line that decides."""
    names: Mapping[str, Any] = field(default_factory=dict)
    mends: tuple[Mend, ...] = ()

    @property
    def from_memory(self) -> bool:
        """Whether the limit itself rests on a value from memory."""
        return isinstance(self.required, Given) and self.required.from_memory


@dataclass(frozen=True)
class Choice:
    """What `auto` became, against what, and why."""

    id: str
    """Names `templates/words/en.yaml`, section `choices`."""
    chosen: str
    wanted: Value | None = None
    margin: Value | None = None


@dataclass(frozen=True)
class Section:
    """What one subject settled."""

    subject: str
    values: tuple[Value, ...]
    facts: Mapping[str, Fact]
    choices: tuple[Choice, ...]
    findings: tuple[Finding, ...]
    result: Any = None
    """What is no number: the model, a cutting plan."""


def _result(sections: tuple[Section, ...], subject: str) -> Any:
    return {section.subject: section.result for section in sections}[subject]


@dataclass(frozen=True)
class Own:
    """A part that stays with a supply."""

    kind: str
    """`fuse`, `cut_off`, `lead`, ..."""
    label: str
    """Empty where it is built in."""
    figures: tuple[Value, ...]
    """Rating, opening voltage, size and length."""


@dataclass(frozen=True, eq=False)
class Alternative:
    """The light as it is made, with another supply of its spec."""

    number: int
    """Of the supply in the spec; the first is that of the guide."""
    name: str
    """What the spec calls it; its part's label where it has no name."""
    design: Design
    """As far as a supply decides; nothing of the light is chosen anew."""
    level: str
    """`stop`: must not be used; `advice`: something is worse than with the first; `holds`."""
    reasons: tuple[Finding, ...]
    """What stops it, or is worse than with the first supply."""
    own: tuple[Own, ...]
    """What stays with it, as the current flows."""


@dataclass(frozen=True, eq=False)
class Design:
    """The settled fixture."""

    fixture: Fixture
    sections: tuple[Section, ...]
    values: Mapping[str, Value]
    facts: Mapping[str, Fact]
    choices: tuple[Choice, ...]
    findings: tuple[Finding, ...]
    complete: bool = True
    """Whether every subject could be settled."""
    alternatives: tuple[Alternative, ...] = ()
    """The same light with each further supply of the spec."""

    def result(self, subject: str) -> Any:
        """What a subject settled besides numbers.

        Raises
        ------
        KeyError
            If that subject was not settled: the design is not complete.
        """
        return _result(self.sections, subject)

    @property
    def model(self) -> Model:
        """The solid parts and the circuit.

        Raises
        ------
        KeyError
            If the design is not complete.
        """
        model = self.result("circuit")
        assert isinstance(model, Model)
        return model

    @property
    def stops(self) -> bool:
        """Whether a finding forbids building."""
        return any(finding.level == "stop" for finding in self.findings)


class Halt(GuidegenError):
    """A finding that leaves nothing to go on with; it brings what was settled before it."""

    def __init__(self, section: Section) -> None:
        super().__init__(section.findings[-1].id)
        self.section = section


class Desk:
    """Where one subject does its work; it sees what earlier subjects settled."""

    def __init__(self, subject: str, fixture: Fixture, before: tuple[Section, ...]) -> None:
        self.subject = subject
        self.fixture = fixture
        self.before = before
        self._ledger = Ledger({v.name: v for section in before for v in section.values})
        self._facts = {k: f for section in before for k, f in section.facts.items()}
        self._own_facts: dict[str, Fact] = {}
        self._own: list[Value] = []
        self._choices: list[Choice] = []
        self._findings: list[Finding] = []

    def __getitem__(self, name: str) -> Value:
        return self._ledger.values[name]

    def __contains__(self, name: str) -> bool:
        return name in self._ledger.values

    @property
    def values(self) -> Mapping[str, Value]:
        """All values settled so far."""
        return self._ledger.values

    @property
    def held(self) -> Mapping[str, Given]:
        """What another design of the same light has chosen; empty where this one chooses."""
        return self.fixture.held.values if self.fixture.held else {}

    def fact(self, name: str) -> Fact:
        """A fact that was settled before, here or by an earlier subject.

        Raises
        ------
        KeyError
            If nobody settled it.
        """
        return self._facts[name]

    def result(self, subject: str) -> Any:
        """What an earlier subject settled besides numbers.

        Raises
        ------
        KeyError
            If that subject does not settle before this one.
        """
        return _result(self.before, subject)

    def put(self, *values: Value) -> Value:
        """Enter values and what they rest on; returns the last.

        Raises
        ------
        ValueError
            If the name of one is taken by another value.
        """
        for value in values:
            self._own += self._ledger.extend([value])
        return values[-1]

    def work(self, name: str, law: Law, **inputs: Any) -> Value:
        """Compute a value and enter it.

        Raises
        ------
        RangeError
            If the law's inputs are outside what it holds for.
        ValueError
            If the name is taken.
        """
        return self.put(work(name, law, **inputs))

    def given(
        self, name: str, kind: Any, si: float, source: str = "chosen", spread: float = 0.0
    ) -> Given:
        """Enter a number that this subject brings: a choice or a project default."""
        value = Given(name, float(si), kind_of(kind), source=source, spread=spread)
        self.put(value)
        return value

    def once(
        self, name: str, kind: Any, si: float, source: str = "chosen", spread: float = 0.0
    ) -> Value:
        """The same for a number that several subjects ask for: entered where it is asked first."""
        return self[name] if name in self else self.given(name, kind, si, source, spread)

    def settle(
        self, asked: Given | Auto | None, name: str, kind: Any, si: float, **why: Any
    ) -> Given:
        """The spec's own number, or, where it says `auto`, the computed one, as a choice."""
        if isinstance(asked, Given):
            self.put(asked)
            return asked
        if name in self.held:
            self.put(self.held[name])
            return self.held[name]
        chosen = self.given(name, kind, si)
        self.chose(name, str(chosen), **why)
        return chosen

    def chose(
        self, choice: str, chosen: str, wanted: Value | None = None, margin: Value | None = None
    ) -> None:
        """Record what `auto` became."""
        self._choices.append(Choice(choice, chosen, wanted, margin))

    def set(self, **facts: Fact) -> None:
        """Enter facts; dots are written as double underscores."""
        for name, fact in facts.items():
            self._facts[name.replace("__", ".")] = fact
            self._own_facts[name.replace("__", ".")] = fact

    def find(self, finding: Finding) -> None:
        """Enter a finding."""
        self._findings.append(finding)

    def find_if(self, true: bool, id: str, level: str, **more: Any) -> None:
        """Enter a finding where something is so."""
        if true:
            self._findings.append(Finding(id, level, **more))

    def limit(  # noqa: PLR0913 - a finding has this many sides
        self,
        id: str,
        required: Value,
        found: Value,
        *,
        at_most: bool = True,
        worst: bool = False,
        by_heart: bool = False,
        level: str = "stop",
        place: Place | None = None,
        mends: tuple[Mend, ...] = (),
        **names: Any,
    ) -> bool:
        """Compare a value with its limit and enter the finding; true where it holds.

        Parameters
        ----------
        id : str
            Of the finding.
        required, found : Value
            The limit and what stands against it.
        at_most : bool
            Whether the limit is the greatest allowed value; else the least.
        worst : bool
            Compare the unsafe end of the found value's band, not its middle.
        by_heart : bool
            Whether the found value hangs on one from memory: it is never `holds` then.
        level : str
            Of the finding where the limit is not kept.
        place : Place, optional
            The spec line that decides.
        mends : tuple of Mend
            What would help.
        **names
            Further words and values for the sentence.
        """
        ends = band(found) if worst else (found.si, found.si)
        slack = 1e-9 * max(abs(required.si), abs(found.si))
        holds = (
            ends[1] <= required.si + slack if at_most else ends[0] >= required.si - slack
        )  # fmt: skip
        verdict = "holds" if holds else level
        if holds and (by_heart or (isinstance(required, Given) and required.from_memory)):
            # A limit that nobody looked up proves nothing by being kept.
            verdict = "advice"
        middle = found.si <= required.si if at_most else found.si >= required.si
        names = {**names, "kept": holds, "from_memory": verdict == "advice" and holds,
                 "by_tolerance": middle and not holds}  # fmt: skip
        self.find(
            Finding(id, verdict, required, found, place, names, () if holds else mends)
        )  # fmt: skip
        return holds

    def section(self, result: Any = None) -> Section:
        """What this subject settled."""
        return Section(
            self.subject,
            tuple(self._own),
            self._own_facts,
            tuple(self._choices),
            tuple(self._findings),
            result,
        )
