"""Every single fault that the wiring of a panel can have, as changes of its network."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from guidegen.calc.ladder import MINUS, PLUS, Bridge, Ladders, Link
from guidegen.calc.ladder_faults import Edit
from guidegen.calc.ladder_readings import Node
from guidegen.design.model import Conductor, Model, owner

#: A bad joint: forty times a good one, and yet the light hardly shows it (project default). [ohm].
BAD_JOINT = 0.2
#: Where two bare conductors touch (project default). [ohm].
TOUCH = 0.01
#: Taps with more between them than this stand in one place: nothing breaks there. [S].
SAME_PLACE = 1e5
SIGNS = "+-"


@dataclass(frozen=True)
class Suspect:
    """One single fault."""

    kind: str
    """Names its words: `templates/words`, section `suspects`."""
    names: Mapping[str, str]
    """References and places that the words take."""
    edits: tuple[Edit, ...] = ()
    """Of the panel's network."""
    shorts: bool = False
    """Whether its current must be held by something."""
    over: bool = False
    """Whether the stage's current limit may hold its voltage down, where it has one."""
    at: tuple[int, ...] = ()
    """Position in the path, where the fault lies before the panel."""

    @property
    def key(self) -> str:
        """What tells it from all others."""
        return ":".join([self.kind, *self.names.values()])


@dataclass(frozen=True)
class Wiring:
    """One panel's network beside the terminals and wires that it stands for."""

    net: Ladders
    model: Model

    @cached_property
    def rows(self) -> list[str]:
        """References of the rows, in the order of the network."""
        return [part.ref for part in self.model.by_role("row")]

    @cached_property
    def _jumpers(self) -> dict[str, list[Conductor]]:
        """Jumpers of every row."""
        found: dict[str, list[Conductor]] = {row: [] for row in self.rows}
        for wire in self.model.wires("jumper"):
            for key in (wire.start, wire.end):
                if owner(key) in found:
                    found[owner(key)].append(wire)
        return found

    @cached_property
    def jumpers(self) -> list[list[Conductor]]:
        """Of every link: its jumper at each row."""
        return [[self._jumper(number, row) for row in self.rows]
                for number in range(len(self.net.links))]  # fmt: skip

    def _jumper(self, number: int, row: str) -> Conductor:
        link = self.net.links[number]
        # Of two links of one pole the left one comes first, as the stations run from the left.
        same = [i for i, one in enumerate(self.net.links) if one.pole == link.pole]
        mine = [
            wire
            for wire in self._jumpers[row]
            if self.model.terminal(self.ends(wire)[1]).polarity == SIGNS[link.pole]
        ]
        mine.sort(key=lambda wire: (self.model.terminal(self.ends(wire)[1]).at or (0.0,))[0])
        return mine[same.index(number)]  # fmt: skip

    def ends(self, jumper: Conductor) -> tuple[str, str]:
        """Terminals of a jumper: at the rail, at the row."""
        on_row = owner(jumper.start) in self._jumpers
        return (jumper.end, jumper.start) if on_row else (jumper.start, jumper.end)

    @cached_property
    def rails(self) -> list[str]:
        """References of the rails, in the order of the network."""
        found = [""] * len(self.net.rails)
        for link, wires in zip(self.net.links, self.jumpers, strict=True):
            found[link.rail] = owner(self.ends(wires[0])[0])
        return found

    @cached_property
    def feeds(self) -> list[Conductor]:
        """The feed of every rail."""
        by_rail = {owner(key): wire for wire in self.model.wires("feed")
                   for key in (wire.start, wire.end)}  # fmt: skip
        return [by_rail[rail] for rail in self.rails]

    def out(self, pole: int) -> str:
        """Terminal where the feeds of a pole begin."""
        number = next(i for i, rail in enumerate(self.net.rails) if rail.pole == pole)
        wire = self.feeds[number]
        return wire.end if wire.start == self.fed(number) else wire.start

    def fed(self, number: int) -> str:
        """Terminal of a rail where its feed ends."""
        wire = self.feeds[number]
        return wire.start if owner(wire.start) == self.rails[number] else wire.end

    @cached_property
    def points(self) -> dict[str, Node]:
        """Every terminal that a probe can reach on the panel, as a point of the network."""
        found = {self.out(pole): Node("end", (pole,)) for pole in (PLUS, MINUS)}
        for number, link in enumerate(self.net.links):
            for row, wire in enumerate(self.jumpers[number]):
                at_rail, at_row = self.ends(wire)
                found[at_rail] = Node("rail", (int(self.net.tap_of_row[row]), link.rail))
                found[at_row] = Node("row", (row, link.station, link.pole))
        for number, rail in enumerate(self.net.rails):
            found.setdefault(self.fed(number), Node("rail", (rail.feeds[0].tap, number)))
        return found

    @cached_property
    def taps(self) -> list[list[str]]:
        """Of every rail: the row at each tap; empty: the feed alone."""
        at = {int(tap): row for row, tap in zip(self.rows, self.net.tap_of_row, strict=True)}
        return [[at.get(tap, "") for tap in range(self.net.taps)] for _ in self.net.rails]

    @cached_property
    def wide(self) -> Ladders:
        """The network with a place for every wrong joint, none of which is made."""
        net = self.net
        none = np.zeros(net.rows)
        wrong = tuple(Link(1 - link.pole, link.station, link.rail, none) for link in net.links)
        bridges = tuple(Bridge(pair, tap, 0.0) for pair in self.pairs
                        for tap in dict.fromkeys(int(t) for t in net.tap_of_row))  # fmt: skip
        return replace(net, links=net.links + wrong, bridges=bridges)

    @cached_property
    def pairs(self) -> list[tuple[int, int]]:
        """Rails of opposite poles on one side of the rows."""
        sides = [(link.rail, link.pole, link.station) for link in self.net.links]
        return [(min(a, b), max(a, b)) for a, pole, place in sides for b, other, at in sides
                if pole == PLUS and other == MINUS and place == at]  # fmt: skip


def suspects(wiring: Wiring) -> Iterator[Suspect]:
    """Single faults of the panel: joints, rows, rails and feeds."""
    yield from _joints(wiring)
    yield from _rows(wiring)
    yield from _rails(wiring)
    yield from _shorts(wiring)


def _joints(wiring: Wiring) -> Iterator[Suspect]:
    for number, link in enumerate(wiring.net.links):
        good = wiring.net.wide(link.conductance, wiring.net.rows)[0]
        for row, wire in enumerate(wiring.jumpers[number]):
            at = {"row": wiring.rows[row], "wire": wire.ref, "pad": wiring.ends(wire)[1]}
            yield Suspect("jumper-open", at, (Edit("link", (number, row), 0.0),))
            weak = 1 / (1 / good[row] + BAD_JOINT)
            yield Suspect("jumper-weak", at, (Edit("link", (number, row), weak),))


def _rows(wiring: Wiring) -> Iterator[Suspect]:
    net = wiring.net
    for row, ref in enumerate(wiring.rows):
        # Fed at both ends, a row is dark when two of its joints are open, too.
        kind = "row-reversed" if len(net.links) == 2 else "row-dark"
        yield Suspect(kind, {"row": ref}, (Edit("groups", (row,), -1.0),))
        if net.stations > 2:
            for pole in (PLUS, MINUS):
                # Between two feeds no current flows in the middle: a crack there does nothing.
                piece = (net.stations - 1) // (4 if len(net.links) > 2 else 2)
                yield Suspect("track-cracked", {"row": ref, "pole": SIGNS[pole]},
                              (Edit("track", (pole, row, piece), 0.0),))  # fmt: skip
    turned = tuple(Edit("groups", (row,), -1.0) for row in range(net.rows))
    if net.rows > 1:
        yield Suspect("feeds-crossed", {}, turned)


def _rails(wiring: Wiring) -> Iterator[Suspect]:
    net = wiring.net
    for number, rail in enumerate(net.rails):
        wire = wiring.feeds[number]
        at = {"wire": wire.ref, "rail": wiring.rails[number]}
        good = float(net.wide(rail.feeds[0].conductance)[0])
        yield Suspect("feed-open", at, (Edit("feed", (number, 0), 0.0),))
        weak = 1 / (1 / good + BAD_JOINT)
        yield Suspect("feed-weak", at, (Edit("feed", (number, 0), weak),))
        along = net.wide(rail.segments, net.taps - 1)[0]
        for piece in np.flatnonzero(along < SAME_PLACE):
            one, other = wiring.taps[number][piece : piece + 2]
            place = {"rail": wiring.rails[number], "one": one, "other": other}
            yield Suspect("rail-broken", place, (Edit("segment", (number, int(piece)), 0.0),))


def _shorts(wiring: Wiring) -> Iterator[Suspect]:
    net, touch = wiring.net, 1 / TOUCH
    plus = next(link for link in net.links if link.pole == PLUS)
    for row, ref in enumerate(wiring.rows):
        yield Suspect("row-short", {"row": ref},
                      (Edit("shunt", (row, plus.station), touch),), shorts=True)  # fmt: skip
        for number, link in enumerate(net.links):
            good = net.wide(link.conductance, net.rows)[0][row]
            wire = wiring.jumpers[number][row]
            yield Suspect("wrong-pad", {"row": ref, "wire": wire.ref},
                          (Edit("link", (number, row), 0.0),
                           Edit("link", (len(net.links) + number, row), good)),
                          shorts=True)  # fmt: skip
    taps = list(dict.fromkeys(int(tap) for tap in net.tap_of_row))
    for pair, (low, high) in enumerate(wiring.pairs):
        for place in range(len(taps)):
            at = {"rail": wiring.rails[low], "other": wiring.rails[high],
                  "row": wiring.rows[place]}  # fmt: skip
            yield Suspect("rails-bridged", at,
                          (Edit("bridge", (pair * len(taps) + place,), touch),),
                          shorts=True)  # fmt: skip
