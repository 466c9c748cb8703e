"""What a step is, once it is chosen, ordered and its selectors are expanded."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import inf
from typing import TYPE_CHECKING

from guidegen.content.headers import Shows
from guidegen.errors import Place
from guidegen.guide.routes import Routes
from guidegen.values import Value

if TYPE_CHECKING:  # a caution knows its steps, and a step its cautions
    from guidegen.guide.cautions import Placed


@dataclass(frozen=True)
class Tool:
    """A tool, and what it is good for."""

    id: str
    name: str
    check: str = ""
    does: tuple[str, ...] = ()
    hot: bool = False
    """It can light vapour."""


@dataclass(frozen=True)
class Use:
    """An amount of a consumable."""

    id: str
    name: str
    amount: Value
    text: str
    """`12 g`."""
    hazard: str = ""
    flammable: bool = False
    """Its vapour can burn until it is dry."""


@dataclass(frozen=True)
class PartUse:
    """A part or conductor that a step handles."""

    ref: str
    role: str
    name: str
    count: int = 1


@dataclass(frozen=True)
class Reading:
    """What a step reads, where, and what it must show."""

    number: int
    """From 1, in the order of the header."""
    instrument: str
    """ohms, volts, mv, amps, eye"""
    probes: tuple[tuple[str, str], ...] = ()
    """Terminal keys, red probe first."""
    parts: tuple[str, ...] = ()
    """What is looked at, where there are no probes."""
    holds: str = ""
    """The claim: joined, open, not-short, lit, or a value's name."""
    expected: Value | None = None
    target: str = ""
    low: str = ""
    high: str = ""
    least: float = -inf
    """The number that `low` shows, in SI."""
    most: float = inf
    where: str = ""
    """The points in words: 'red on L+ of rows E1 to E12'."""
    says: str = ""
    """The claim in words: '11.80 V (11.60 V to 12.00 V)'."""
    by: str = ""
    """The instrument in words, with its range: 'multimeter, DC volts, 20 V range'."""
    tools: tuple[str, ...] = ()
    """Tools that its claim is judged with."""
    far: bool = False
    """Its points lie farther apart than a usual pair of leads reaches."""
    aside: bool = False
    """What is read is no part of the light."""
    absent: bool = False
    """Its optional points are not in this fixture."""
    routes: Routes = field(default_factory=Routes)
    """Where it leads that is not as it must be."""
    place: Place | None = field(default=None, compare=False)
    """Where its header stands."""


@dataclass(frozen=True)
class Act:
    """One deed on the model, all selectors expanded."""

    verb: str
    text: str
    """As written, for messages."""
    refs: tuple[str, ...] = ()
    named: tuple[str, ...] = ()
    """Those of `refs` that the header names, and sentences therefore must."""
    joints: tuple[str, ...] = ()
    to: str = ""
    hours: Value | None = None
    source: str = ""
    """bench, supply or none"""
    at: tuple[str, str] = ("", "")
    """Where a bench supply is joined: + first."""
    volts: Value | None = None
    limit: Value | None = None
    reading: Reading | None = None


@dataclass(frozen=True)
class Step:
    """One step of the guide."""

    id: str
    number: str
    """`3.4`: stage, step."""
    stage: str
    stage_title: str
    stage_index: int
    goal: str
    who: str
    minutes: Value
    waiting: Value | None
    acts: tuple[Act, ...]
    parts: tuple[PartUse, ...]
    """All that it handles."""
    takes: tuple[PartUse, ...]
    """What it uses up: over all steps, every part exactly once."""
    tools: tuple[Tool, ...]
    consumables: tuple[Use, ...]
    reads: tuple[Reading, ...]
    needs: tuple[str, ...]
    """Ids of the steps that must stand before it."""
    body: str
    """Markdown."""
    place: Place
    hold: str = ""
    pair: bool = False
    """A second person helps, if there is one."""
    if_not: str = ""
    """Where a reading leads that does not say its own."""
    no_check: str = ""
    gives: str = ""
    shows: Shows | None = None
    after: float = 0.0
    """Of its minutes, those that follow the waiting. [min]."""
    amid: str = ""
    """Id of the step in whose midst it is done, by the same person."""
    cautions: tuple[Placed, ...] = field(default=())

    @property
    def anchor(self) -> str:
        """Its anchor on the page: the id, which outlives a new numbering."""
        return f"step-{self.id}"
