"""Elements of a direct-current circuit as `guidegen.calc.nodal` solves them; points have names."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from math import inf
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Resistor:
    """A resistance between two points: a wire, a contact, a track, a meter."""

    a: str
    b: str
    ohms: float
    """Above zero. [ohm]."""


class Law(Protocol):
    """Current and slope of a group of LEDs over the voltage across it."""

    def at(self, volts: ArrayLike) -> tuple[Floats, Floats]:
        """Current and its slope. [A], [S]."""


@dataclass(frozen=True, slots=True)
class Group:
    """Equal groups of LEDs and resistor or chip side by side, from plus to minus."""

    plus: str
    minus: str
    law: Law
    """Of one group."""
    count: float = 1.0
    """Groups side by side; a part of one counts as such."""


@dataclass(frozen=True, slots=True)
class Source:
    """A supply that holds its voltage until the current reaches its limit, and then the current."""

    name: str
    plus: str
    minus: str
    volts: float
    """Set voltage. [V]."""
    limit: float = inf
    """Current limit. [A]."""


@dataclass(frozen=True, slots=True)
class Regulator:
    """A switching regulator: it holds its tap at the reference, and takes the power it gives.

    Step-down: with too little input it only passes the input on, less its dropout. Step-up: its
    output never falls below the input less what its coil and diode lose.
    """

    name: str
    in_plus: str
    in_minus: str
    out_plus: str
    out_minus: str
    tap: str
    """Tap of the feedback divider, whose resistors are elements of their own."""
    reference: float
    """Voltage between tap and negative output. [V]."""
    dropout: float
    """Lost from input to output while it only passes on. [V]."""
    efficiency: float
    """Power out over power in, above 0 up to 1."""
    limit: float = inf
    """Limit of the output current. [A]."""
    step_up: bool = False


@dataclass(frozen=True, slots=True)
class CutOff:
    """A low-voltage disconnect in the positive pole: open below its voltage, else a contact."""

    name: str
    in_plus: str
    in_minus: str
    out_plus: str
    trips_at: float
    """Input voltage below which it opens. [V]."""
    ohms: float
    """While it is closed. [ohm]."""


@dataclass(slots=True)
class Circuit:
    """What is joined to what. Points come to be by being named."""

    resistors: list[Resistor] = field(default_factory=list)
    groups: list[Group] = field(default_factory=list)
    sources: list[Source] = field(default_factory=list)
    regulators: list[Regulator] = field(default_factory=list)
    cut_offs: list[CutOff] = field(default_factory=list)

    def beside(self, *more: Resistor) -> Circuit:
        """The same circuit with resistances added, such as a meter; this one stays as it is."""
        return Circuit([*self.resistors, *more], self.groups, self.sources, self.regulators,
                       self.cut_offs)  # fmt: skip

    def links(self) -> Iterator[tuple[str, ...]]:
        """Points that an element ties together, whatever state it is in."""
        for one in self.resistors:
            yield one.a, one.b
        for group in self.groups:
            yield group.plus, group.minus
        for source in self.sources:
            yield source.plus, source.minus
        for stage in self.regulators:
            yield stage.in_plus, stage.in_minus
            yield stage.in_plus, stage.out_plus, stage.out_minus, stage.tap
        for gate in self.cut_offs:
            yield gate.in_plus, gate.in_minus, gate.out_plus
