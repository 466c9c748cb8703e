"""The one model of the fixture: solid parts and circuit.

Drawings, schedule, cut list, walk and steps all read it, so they can't disagree.
Board coordinates: metres, origin at the lower left corner of the board seen from the front
(the light side), x to the right, y up. Drawings of the back mirror x.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from guidegen.calc import paths
from guidegen.design.solid import AXES, Box, Hole, Solid
from guidegen.spec.part import Part as CataloguePart
from guidegen.values import Value


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
    panel: int = 0
    """Number of the panel it belongs to, from 1; 0: to none, or there is only one."""
    solid: Solid | None = None
    """Its place and form; None: it has no place of its own (hardware, consumables)."""
    line: tuple[tuple[float, float], ...] = ()
    """Of a rail the points of its middle line on the board. [m]."""
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

    @property
    def bends(self) -> list[tuple[float, tuple[float, float], float]]:
        """Of a rail (how far along, where, by what angle) for each bend. [m], [rad]."""
        return paths.bends(self.line) if self.line else []

    def crossings(self, y: float) -> list[float]:
        """Of a rail each x at which its line meets a height. [m]."""
        return paths.crossings(self.line, y)

    @property
    def halfway(self) -> tuple[float, float]:
        """Of a rail the point in the middle of its line. [m]."""
        return paths.point(self.line, paths.length(self.line) / 2)

    @cached_property
    def openings(self) -> tuple[Opening, ...]:
        """Its holes as boxes, in their order."""
        return tuple(_opening(self, hole) for hole in self.solid.holes) if self.solid else ()

    def again(self, panel: int, by: tuple[float, float], names: Mapping[str, str]) -> Part:
        """The part of another panel that is alike.

        Parameters
        ----------
        panel : int
            Number of that panel, from 1.
        by : tuple of float
            How far that panel lies away in the drawings. [m]
        names : mapping of str to str
            Reference of each part of this panel to that of its like.
        """
        return replace(
            self, ref=names[self.ref], on=names.get(self.on, self.on), panel=panel,
            fixed_by=names.get(self.fixed_by, self.fixed_by),
            solid=self.solid.moved(by, names) if self.solid else None,
            line=tuple((x + by[0], y + by[1]) for x, y in self.line),
        )  # fmt: skip

    def bored(self, holes: Iterable[Hole]) -> Part:
        """The same part with more holes in its solid; a part without a place stays as it is."""
        more = tuple(holes)
        if self.solid is None or not more:
            return self
        return replace(self, solid=replace(self.solid, holes=(*self.solid.holes, *more)))


@dataclass(frozen=True)
class Opening:
    """A hole as the box that it takes out of its part. [m]."""

    part: Part
    hole: Hole
    low: tuple[float, float, float]
    high: tuple[float, float, float]

    @property
    def name(self) -> str:
        """`U1, feed`."""
        return f"{self.part.ref} ({self.hole.role.replace('_', ' ')})"

    @property
    def margins(self) -> list[float]:
        """From the hole to the edges of the face that it is made from, smallest first. [m]."""
        solid = self.part.solid
        assert solid is not None
        return sorted(
            side
            for axis in self.hole.face
            for side in (self.low[axis] - solid.low[axis], solid.high[axis] - self.high[axis])
        )


def owner(key: str) -> str:
    """The part of a terminal's key: `T1` of `T1:OUT+`."""
    return key.partition(":")[0]


def minus(text: str) -> str:
    """A polarity or a terminal as it is printed: with a true minus sign."""
    return text.replace("-", "−")


def _opening(part: Part, hole: Hole) -> Opening:
    """The box that a hole takes out of its part; a through hole goes from face to face."""
    solid = part.solid
    assert solid is not None
    half = [hole.width.si / 2] * 3
    if hole.along:
        half[AXES.index(hole.along)] = hole.length / 2
    low = [at - h for at, h in zip(hole.at, half, strict=True)]
    high = [at + h for at, h in zip(hole.at, half, strict=True)]
    axis = AXES.index(hole.axis)
    if hole.depth is None:
        low[axis], high[axis] = solid.low[axis], solid.high[axis]
    elif abs(hole.at[axis] - solid.high[axis]) <= abs(hole.at[axis] - solid.low[axis]):
        low[axis], high[axis] = hole.at[axis] - hole.depth.si, hole.at[axis]
    else:
        low[axis], high[axis] = hole.at[axis], hole.at[axis] + hole.depth.si
    return Opening(part, hole, (low[0], low[1], low[2]), (high[0], high[1], high[2]))


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
    per_metre: float = 0.0
    """Greatest resistance of a metre, by its build and size. [ohm/m]."""


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

    @cached_property
    def panels(self) -> tuple[Model, ...]:
        """Each of several panels alone, with all that belongs to none; one that is alone, whole."""
        numbers = sorted({part.panel for part in self.parts} - {0})
        return tuple(self._panel(number) for number in numbers) or (self,)

    def _panel(self, number: int) -> Model:
        parts = tuple(part for part in self.parts if part.panel in (0, number))
        refs = {part.ref for part in parts}
        terminals = tuple(t for t in self.terminals if t.part in refs)
        keys = {terminal.key for terminal in terminals}
        wires = tuple(w for w in self.conductors if {w.start, w.end} <= keys)
        joints = tuple(joint for joint in self.joints if joint.terminal in keys)
        board = next(part.box for part in parts if part.role == "board" and part.panel)
        return Model(parts, terminals, wires, joints, board or self.board)

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
