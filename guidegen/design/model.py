"""The one model of the fixture: solid parts and circuit.

Drawings, schedule, cut list, walk and steps all read it, so they can't disagree.
Board coordinates: metres, origin at the lower left corner of the board seen from the front
(the light side), x to the right, y up. Drawings of the back mirror x.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from guidegen.values import Value


@dataclass(frozen=True)
class Box:
    """A rectangle on the board, in metres."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class Part:
    """A thing that is bought or made once a copy; `E3` is one tape row, `P1` the board."""

    ref: str
    """Reference designation, as printed everywhere."""
    role: str
    """What steps select it by: `row`, `rail`, `regulator`, `board`, `cover`, ..."""
    name: str
    """Words for the reader: 'regulator, step-down'."""
    made: bool = False
    """Cut or made here, rather than bought ready."""
    on: str = ""
    """Reference of the part that carries it; empty: it lies on the bench."""
    material: str = ""
    """Catalogue label of what it is made of, or of the bought part."""
    rating: str = ""
    """What a substitute must reach, in words and numbers already written."""
    size: tuple[Value, ...] = ()
    """Finished length x width x thickness, as far as they apply."""
    polarity: str = ""
    """`+` or `-` for a rail; else empty."""
    row: int = 0
    """Number of the row it belongs to, from 1; 0: to none."""
    box: Box | None = None
    """Where it lies on the board; None: not on the board."""
    side: str = "front"
    """`front` (light side) or `back` of the board."""
    bare: bool = False
    """Has bare live metal when the joints are made."""
    cures: bool = False
    """Glued or painted: wet until a step waits."""
    covers: tuple[str, ...] = ()
    """Roles of the parts that can't be reached once this one is fitted."""
    count: int = 1
    """How many equal pieces a copy has: 6 screws share one reference."""
    key: str = ""
    """Catalogue key, where it is a catalogue part."""


@dataclass(frozen=True)
class Terminal:
    """A point where a conductor can be joined or a probe be held: `T1:OUT+`."""

    part: str
    name: str
    """As marked on the part."""
    polarity: str = ""
    """`+`, `-` or empty."""
    at: tuple[float, float] | None = None
    """Place on the board. [m]"""
    unused: bool = False
    mark: str = ""
    """What a step may call it by, where the name differs with the wiring: `live`."""

    @property
    def key(self) -> str:
        """`T1:OUT+`."""
        return f"{self.part}:{self.name}"


@dataclass(frozen=True)
class Conductor:
    """A wire or core; a part with two ends."""

    ref: str
    """`W7`."""
    role: str
    """`lead`, `link`, `feed`, `jumper`, `control_lead`."""
    start: str
    """Terminal key."""
    end: str
    """Terminal key."""
    polarity: str
    """`+`, `-` or empty."""
    function: str
    """Words: 'supply to fuse, positive'."""
    material: str
    """Catalogue label."""
    size: Value
    """Conductor area."""
    size_text: str
    """`0.75 mm² (19 AWG)`."""
    colour: str
    """IEC 60757 letters, `RD`, or `bare`."""
    length: Value
    """Length to cut."""
    current: Value
    """Expected at the full setting."""
    start_treatment: str
    end_treatment: str
    row: int = 0
    bare: bool = False
    cores: int = 1
    """Cores of the cable that it is bought as: 2 for one core of a twin cable."""


@dataclass(frozen=True)
class Joint:
    """One end of a conductor at one terminal."""

    ref: str
    """`J14`; numbered in the order of the schedule."""
    conductor: str
    terminal: str
    kind: str
    """`solder`, `screw` or `plug`."""


@dataclass(frozen=True)
class Model:
    """All parts, terminals, conductors and joints of one copy."""

    parts: tuple[Part, ...] = ()
    terminals: tuple[Terminal, ...] = ()
    conductors: tuple[Conductor, ...] = ()
    joints: tuple[Joint, ...] = ()
    board: Box = field(default=Box(0, 0, 0.1, 0.1))

    @cached_property
    def _parts(self) -> Mapping[str, Part]:
        return {part.ref: part for part in self.parts}

    @cached_property
    def _terminals(self) -> Mapping[str, Terminal]:
        return {terminal.key: terminal for terminal in self.terminals}

    def by_role(self, role: str) -> list[Part]:
        """Parts of one role, in order of reference."""
        return [part for part in self.parts if part.role == role]

    def part(self, ref: str) -> Part:
        """The part of this reference.

        Raises
        ------
        KeyError
            If there is none; a conductor has a reference, and is no part.
        """
        return self._parts[ref]

    def terminal(self, key: str) -> Terminal:
        """The terminal of this key.

        Raises
        ------
        KeyError
            If there is none.
        """
        return self._terminals[key]

    def wires(self, role: str) -> list[Conductor]:
        """Conductors of one role."""
        return [wire for wire in self.conductors if wire.role == role]

    def refs(self) -> Iterable[str]:
        """References of all parts and conductors."""
        yield from (part.ref for part in self.parts)
        yield from (wire.ref for wire in self.conductors)
