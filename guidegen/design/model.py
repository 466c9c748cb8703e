"""The one model of the fixture: solid parts and circuit.

Drawings, schedule, cut list, walk and steps all read it, so they can't disagree.
Board coordinates: metres, origin at the lower left corner of the board seen from the front
(the light side), x to the right, y up. Drawings of the back mirror x.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from guidegen.spec.part import Part as CataloguePart
from guidegen.values import Value


@dataclass(frozen=True)
class Box:
    """A rectangle on the board, in metres."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class Hole:
    """An opening made in a solid from one of its faces: hole, slot, pocket or countersink."""

    role: str
    """What it is for: `cover_screw`, `feed`, `control`, `insert`, ... (words in `en.yaml`)."""
    at: tuple[float, float, float]
    """Its centre, on the face it is made from. [m]."""
    axis: str
    """`x`, `y` or `z`: the way of the tool."""
    shape: str
    """`round`, `square` or `slot` (a slot has round ends)."""
    width: Value
    """Diameter; of a square hole or slot its width."""
    length: float = 0.0
    """Of a square hole or slot: along `along`. [m]."""
    along: str = ""
    """`x`, `y` or `z`: the long way of a square hole or slot."""
    depth: Value | None = None
    """Of a blind hole or pocket, measured from `at` into the solid; None: through."""
    countersink: Value | None = None
    """Diameter of its cone at the face."""
    holds: str = ""
    """Reference of the part that sits in it or passes through it."""

    @property
    def follows(self) -> bool:
        """Whether it is drilled through the hole of the piece that lies on top."""
        return self.role.endswith("_pilot")


@dataclass(frozen=True)
class Solid:
    """A part's place and form: a block, a round bar or a tube, along the axes of the light.

    x to the right and y up as seen from the light side, z towards the reader; the origin is the
    lower left corner of the board's face that carries the tape.
    """

    low: tuple[float, float, float]
    """Lower corner. [m]."""
    high: tuple[float, float, float]
    """Upper corner. [m]."""
    shape: str = "block"
    """`block`, `cylinder` or `tube`."""
    axis: str = "z"
    """Of a cylinder or tube its axis; of a sheet the way of its thickness."""
    bore: float = 0.0
    """Inner diameter of a tube. [m]."""
    holes: tuple[Hole, ...] = ()

    @property
    def size(self) -> tuple[float, float, float]:
        """Extent along x, y and z. [m]."""
        x, y, z = (b - a for a, b in zip(self.low, self.high, strict=True))
        return x, y, z

    @property
    def box(self) -> Box:
        """Its outline seen along z."""
        return Box(self.low[0], self.low[1], self.size[0], self.size[1])

    def marked(self, hole: Hole) -> tuple[float, float]:
        """Where the centre of a hole is marked on the face that it is made from. [m].

        Returns
        -------
        tuple of float
            On a face across z: from the left and from the lower edge, seen from the light side.
            On a face across x or y: along the piece from its lower or left end, and from the edge
            that looks to the light side.
        """
        x, y, z = hole.at
        if hole.axis == "z":
            return x - self.low[0], y - self.low[1]
        along = y - self.low[1] if hole.axis == "x" else x - self.low[0]
        return along, self.high[2] - z


def block(box: Box, low: float, high: float, **more: Any) -> Solid:
    """A solid over a rectangle of the board, between two heights over the tape's face. [m]."""
    ends = sorted((low, high))
    return Solid((box.x, box.y, ends[0]), (box.x + box.width, box.y + box.height, ends[1]), **more)


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
    solid: Solid | None = None
    """Its place and form; None: it has no place of its own (hardware, consumables)."""
    side: str = "front"
    """`front` (light side) or `back` of the board."""
    bare: bool = False
    """Has bare live metal when the joints are made."""
    cures: bool = False
    """Glued or painted: wet until a step waits."""
    ahead: bool = False
    """Put together on the bench with the part that carries it, before that is fitted itself."""
    covers: tuple[str, ...] = ()
    """Roles of the parts that can't be reached once this one is fitted."""
    count: int = 1
    """How many equal pieces a copy has: 6 screws share one reference."""
    key: str = ""
    """Catalogue key, where it is a catalogue part."""
    called: str = ""
    """What the maker calls an own piece."""
    stock: CataloguePart | None = None
    """What a piece that is made here is cut from."""
    fixed_by: str = ""
    """What holds it to the part it is `on`: `glue`, or the reference of screws, clips, tape."""

    @property
    def box(self) -> Box | None:
        """Its outline seen along z; None: not on the board."""
        return self.solid.box if self.solid else None

    def bored(self, holes: Iterable[Hole]) -> Part:
        """The same part with more holes in its solid; a part without a place stays as it is."""
        more = tuple(holes)
        if self.solid is None or not more:
            return self
        return replace(self, solid=replace(self.solid, holes=(*self.solid.holes, *more)))


@dataclass(frozen=True)
class Terminal:
    """A point where a conductor can be joined or a probe be held: `T1:OUT+`."""

    part: str
    name: str
    """As marked on the part."""
    polarity: str = ""
    """`+`, `-` or empty."""
    at: tuple[float, float] | None = None
    """Place on the board. [m]."""
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
    switched: bool = False
    """Opened and closed by a pulse-width stage: not at the supply's potential while dimmed."""


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
