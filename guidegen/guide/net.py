"""What is connected to what, at a step of the walk: no solver, connection only."""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field

from guidegen.design.model import Model, Part
from guidegen.guide.selector import ascii_sign
from guidegen.islands import Islands

# IEC 81346-2 letters as this project uses them: what a part lets pass.
SUPPLY, CONNECTOR, FUSE, SWITCH, REGULATOR, ROW = "G", "X", "F", "Q", "T", "E"


@dataclass(frozen=True)
class Net:
    """The fixed part of the circuit: what each part connects within itself.

    A point is a terminal's key, `T1:OUT+`, or an end of a conductor, `W7`; the legs of a part
    that is joined by its own legs are `R3#J12`.
    """

    model: Model
    terminals: dict[str, list[str]] = field(default_factory=dict)
    """Terminal keys by part."""
    legs: dict[str, list[str]] = field(default_factory=dict)
    """Points of a part that is joined by its own legs."""
    parts: dict[str, Part] = field(default_factory=dict)
    polarity: dict[str, str] = field(default_factory=dict)
    """`+`, `-` or empty, by terminal key."""
    ends: dict[str, tuple[str, str]] = field(default_factory=dict)
    """(conductor's point, terminal key) by joint."""
    last: dict[tuple[frozenset[str], frozenset[str]], Islands] = field(default_factory=dict)
    """What was asked last: most readings ask again of the same state."""

    @property
    def switched(self) -> str:
        """The pole that a pulse-width stage opens between pulses; empty: none."""
        return next((wire.polarity for wire in self.model.conductors if wire.switched), "")

    def __post_init__(self) -> None:
        self.parts.update({part.ref: part for part in self.model.parts})
        for terminal in self.model.terminals:
            self.terminals.setdefault(terminal.part, []).append(terminal.key)
            self.polarity[terminal.key] = terminal.polarity.replace("−", "-")
        for joint in self.model.joints:
            point = joint.conductor
            if point in self.parts:
                point = f"{joint.conductor}#{joint.ref}"
                self.legs.setdefault(joint.conductor, []).append(point)
            self.ends[joint.ref] = (point, joint.terminal)

    def islands(self, joints: Collection[str], closed: Collection[str]) -> Islands:
        """Groups of points with next to no resistance between them.

        Parameters
        ----------
        joints : collection of str
            References of the joints that are made.
        closed : collection of str
            References of the switches that are closed, and of the connectors that are plugged in.

        Returns
        -------
        Islands
            Shared with whoever asks the same: to be read only.
        """
        state = frozenset(joints), frozenset(closed)
        if state not in self.last:
            self.last.clear()
            self.last[state] = self._islands(joints, closed)
        return self.last[state]

    def _islands(self, joints: Collection[str], closed: Collection[str]) -> Islands:
        groups = Islands()
        for ref in joints:
            groups.join(self.ends[ref])
        for ref, keys in self.terminals.items():
            for inside in self.low(ref, keys, closed):
                groups.join(inside)
        return groups

    def live(
        self, joints: Collection[str], closed: Collection[str], sources: Iterable[str]
    ) -> set[str]:
        """Terminal keys that power reaches from these points, through every part."""
        groups = self.islands(joints, closed).copy()
        for ref, keys in self.terminals.items():
            letter = ref[0]
            if letter not in (SUPPLY, CONNECTOR, SWITCH) and self.parts[ref].role != "rail":
                groups.join([*keys, *self.legs.get(ref, ())])
        for ref, points in self.legs.items():
            if ref not in self.terminals:
                groups.join(points)
        roots = {groups.root(source) for source in sources}
        return {key for key in self.polarity if groups.root(key) in roots}

    def fed(
        self, joints: Collection[str], closed: Collection[str], sources: tuple[str, str]
    ) -> set[str]:
        """Terminal keys that the right pole of the supply reaches: + from +, - from -.

        What neither pole marks, such as the pads of a control, is fed with either.
        """
        groups = self.islands(joints, closed).copy()
        for ref, keys in self.terminals.items():
            if ref[0] in (SUPPLY, CONNECTOR, SWITCH):
                continue
            for sign in "+-":
                groups.join([key for key in keys if self.polarity[key] == sign])
            groups.join([key for key in keys if not self.polarity[key]] + self.legs.get(ref, []))
        roots = {sign: groups.root(key) for sign, key in zip("+-", sources, strict=True)}
        return {
            key for key, sign in self.polarity.items()
            if not sign or groups.root(key) == roots[sign]
        }  # fmt: skip

    def low(self, ref: str, keys: list[str], closed: Collection[str]) -> Iterator[list[str]]:
        """Terminals of one part that are one piece of metal, as far as a meter can tell."""
        part, letter = self.parts[ref], ref[0]
        if part.role == "rail" or letter == FUSE or (letter == SWITCH and ref in closed):
            yield keys
        elif part.role == "pulse_width":
            # One pole goes through; the other is open until the stage has power.
            yield [key for key in keys if self.polarity[key] not in ("", self.switched)]
        elif letter == ROW or (letter == CONNECTOR and ref in closed):
            for sign in "+-":
                yield [key for key in keys if self.polarity[key] == sign]

    def supply_points(self) -> tuple[str, str]:
        """Where the design's own supply comes in: + and -; its plug's mate, if it has one."""
        supply = next((ref for ref in sorted(self.terminals) if ref[0] == SUPPLY), "")
        joined = {terminal for _, terminal in self.ends.values()}
        mine = self.terminals.get(supply, [])
        if not any(key in joined for key in mine):
            mate = next((ref for ref in sorted(self.terminals) if ref[0] == CONNECTOR), "")
            mine = self.terminals.get(mate, mine)
        return self._pole(mine, "+"), self._pole(mine, "-")

    def _pole(self, keys: list[str], sign: str) -> str:
        return next((key for key in keys if self.polarity[key] == sign), "")


def hops(model: Model, start: str) -> dict[str, int]:
    """How far every terminal is that hangs together with one: conductors and parts between."""
    beside: dict[str, list[str]] = {}
    for wire in model.conductors:
        beside.setdefault(wire.start, []).append(wire.end)
        beside.setdefault(wire.end, []).append(wire.start)
    poles: dict[tuple[str, str], list[str]] = {}
    for terminal in model.terminals:
        poles.setdefault((terminal.part, ascii_sign(terminal.polarity)), []).append(terminal.key)
    for (_, sign), keys in poles.items():
        for key in keys if sign else ():
            beside.setdefault(key, []).extend(keys)
    found = {start: 0}
    queue = deque([start])
    while queue:
        key = queue.popleft()
        for other in beside.get(key, ()):
            if other not in found:
                found[other] = found[key] + 1
                queue.append(other)
    return found
