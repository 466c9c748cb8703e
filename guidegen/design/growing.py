"""The circuit while it grows, from the supply's plug on: parts, terminals, conductors, joints."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from guidegen.calc import geometry
from guidegen.calc.wire import resistance_per_metre
from guidegen.design import places
from guidegen.design.looks import LOOKS, Look
from guidegen.design.model import Conductor, Joint, Part, Terminal, owner
from guidegen.design.openings import home_of
from guidegen.design.pieces import Screw, piece
from guidegen.design.result import Desk
from guidegen.design.solid import Hole, Solid
from guidegen.kinds import LongMetre, Metre
from guidegen.spec.part import Part as CataloguePart
from guidegen.values import Value

SCREW, SOLDER, PLUG, POLE, BOLT = "screw", "solder", "plug", "pole", "bolt"
#: Conductors between parts in the box, and how their values begin.
MEASURED = {"link": "link.wire", "stage_link": "link.stage", "control_lead": "control.lead",
            "pulse_lead": "control.lead", "fan_wire": "fan.wire",
            "pilot_wire": "pilot_light.wire"}  # fmt: skip
TREATMENT = {SCREW: "ferrule", SOLDER: "tinned", PLUG: "plug", POLE: "lug", BOLT: "bolt_lug"}


@dataclass
class Pole:
    """The end of the circuit so far on one pole, and the conductor that waits to be led on."""

    terminal: str
    pending: str = "link"
    lead: str = ""
    """Of a lead that is due: what its values are called, `lead` or `lead_2`."""
    past: str = ""
    """A lead that this core has run beside before, with no part of its pole between."""
    beside: int = 0
    """Pieces of wire that the other pole has had since both poles last met in a part."""


@dataclass
class Wiring:
    """The circuit while it grows."""

    desk: Desk
    body: tuple[Part, ...]
    """Where its parts find a place."""
    parts: list[Part] = field(default_factory=list)
    terminals: list[Terminal] = field(default_factory=list)
    conductors: list[Conductor] = field(default_factory=list)
    joints: list[Joint] = field(default_factory=list)
    kinds: dict[str, str] = field(default_factory=dict)
    counts: dict[str, int] = field(default_factory=dict)
    poles: dict[str, Pole] = field(default_factory=dict)
    at_supply: bool = False
    """Before the connector: what is entered stays with the battery."""
    bar_screw: Screw | None = None
    """What holds the bars that rails are made of; None: adhesive, or no bars."""
    switched: str = ""
    """The pole that a pulse-width stage has opened and closed since it was entered, or empty."""

    def home(self, solid: Solid) -> str:
        """Reference of the wall or floor that a part in the box is fixed to."""
        return home_of(self.body, solid).ref

    def name(self, letter: str) -> str:
        """The next reference of this letter."""
        self.counts[letter] = self.counts.get(letter, 0) + 1
        return f"{letter}{self.counts[letter]}"

    def part(
        self, letter: str, role: str, catalogue: CataloguePart | None, on: str, **more: Any
    ) -> str:
        """Enter a part of the circuit."""
        ref = self.name(letter)
        self.parts.append(piece(ref, role, catalogue, on=on, **more))
        return ref

    def bore(self, ref: str, holes: Iterable[Hole]) -> None:
        """Make holes in a part that is entered already."""
        holes = tuple(holes)
        self.parts = [part.bored(holes) if part.ref == ref else part for part in self.parts]

    def part_of(self, terminal: str) -> Part:
        """The part that a terminal is on."""
        ref = owner(terminal)
        return next(part for part in self.parts if part.ref == ref)

    def terminal(
        self, part: str, name: str, polarity: str, at: places.Point | None, joint: str = SOLDER,
        mark: str = "",
    ) -> str:  # fmt: skip
        """Enter a terminal and say how things are joined to it."""
        terminal = Terminal(part, name, polarity, at, mark=mark)
        self.terminals.append(terminal)
        self.kinds[terminal.key] = joint
        return terminal.key

    def wire(
        self, role: str, start: str, end: str, polarity: str, row: int = 0, look: Look | None = None
    ) -> str:
        """Lead a conductor from one terminal to another; its role says its look, or `look` does."""
        look = look or LOOKS[role](self.desk, polarity)
        ref = self.name("W")
        self.conductors.append(
            Conductor(
                ref,
                role,
                start,
                end,
                polarity,
                role,
                look.material,
                look.size,
                look.size_text,
                look.colour,
                look.length,
                look.current,
                TREATMENT[self.kinds[start]],
                TREATMENT[self.kinds[end]],
                row=row,
                bare=look.bare,
                cores=look.cores,
                switched=bool(polarity) and polarity == self.switched,
                per_metre=resistance_per_metre(area=look.size.si, build=look.build),
            )
        )
        for terminal in (start, end):
            self.join(ref, terminal)
        return ref

    def measured(self) -> tuple[Conductor, ...]:
        """The conductors, those in the box with their length: all of a kind are cut alike.

        Until both ends of all were known, they had their slack alone.
        """
        points = {terminal.key: terminal.at for terminal in self.terminals}
        lengths: dict[str, Value] = {}
        for role, name in MEASURED.items():
            spans = [
                (abs(a[0] - b[0]), abs(a[1] - b[1]))
                for wire in self.conductors if wire.role == role
                if (a := points[wire.start]) and (b := points[wire.end])
            ]  # fmt: skip
            if spans:
                lengths[role] = self._cut(name, max(spans, key=sum))
        return tuple(replace(wire, length=lengths.get(wire.role, wire.length))
                     for wire in self.conductors)  # fmt: skip

    def _cut(self, name: str, span: tuple[float, float]) -> Value:
        """Square to the walls, with slack, in whole 10 mm upward."""
        desk, source = self.desk, "places in the box"
        route = desk.work(f"{name}_route", geometry.route_length, slack=desk["wire.slack"],
                          along=desk.given(f"{name}_along", Metre, span[0], source),
                          across=desk.given(f"{name}_across", Metre, span[1], source))  # fmt: skip
        chosen = desk.given(f"{name}_length", LongMetre, math.ceil(route.si * 100 - 1e-9) / 100)
        desk.chose(f"{name}_length", str(chosen), wanted=route)
        return chosen

    def join(self, conductor: str, terminal: str) -> None:
        """Join one end of a conductor, or a leg of a part with legs of its own."""
        self.joints.append(
            Joint(f"J{len(self.joints) + 1}", conductor, terminal, self.kinds[terminal])
        )
