"""The panel as a SPICE deck, `circuit.cir`, and its solved voltages by terminal, `nodes.csv`."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from guidegen.calc.held_group import HeldGroup
from guidegen.calc.led_group import BOLTZMANN, GroupLaw
from guidegen.design.fault_cases import Wiring
from guidegen.design.model import minus
from guidegen.design.result import Design
from guidegen.design.solved_panel import Solved

#: Celsius of the deck: that of the design's conductors and LEDs.
_CELSIUS = 25
#: Thermal voltage at that temperature. [V].
_THERMAL = BOLTZMANN * (273.15 + _CELSIUS)
_POLES = "PN"


def circuit_files(design: Design) -> Mapping[str, bytes]:
    """The deck of one panel at the full setting, and what its nodes are.

    Parameters
    ----------
    design : Design
        Settled and complete. Of several panels, which are alike, one is written.

    Returns
    -------
    mapping of str to bytes
        `circuit.cir` and `nodes.csv`; both call a node by the same name.
    """
    work = _Deck(design)
    return {"circuit.cir": work.text(), "nodes.csv": work.nodes()}


@dataclass(frozen=True)
class _Node:
    name: str
    terminals: tuple[str, ...]
    volts: float


class _Deck:
    def __init__(self, design: Design) -> None:
        solved: Solved = design.result("solved panel")
        self.net, self.state, self.design = solved.net, solved.state, design
        self.wiring = wiring = Wiring(self.net, design.model.panels[0])
        self.named: dict[tuple[str, tuple[int, ...]], list[str]] = {}
        for key, point in wiring.points.items():
            self.named.setdefault((point.of, point.at), []).append(key)

    def node(self, what: str, *at: int) -> str:
        """A name that SPICE takes: the terminal's, where there is one."""
        if keys := self.named.get((what, at)):
            return keys[0].replace(":", "_").replace("+", "P").replace("-", "N")
        if what == "rail":
            return f"{self.wiring.rails[at[1]]}_{at[0] + 1}"
        if what == "row":
            return f"{self.wiring.rows[at[0]]}_{at[1] + 1}{_POLES[at[2]]}"
        return f"OUT_{_POLES[at[0]]}"

    def text(self) -> bytes:
        """The deck: one line an element, resistances from the design's conductors and joints."""
        net, law = self.net, self.net.law
        assert isinstance(law, GroupLaw)
        title = " ".join(self.design.fixture.fixture.name.split())
        head = [
            f"* {title}: one panel at the full setting",
            "* The module is a voltage behind a resistance in each pole; nodes.csv says what the"
            " nodes are.",
            f".options temp={_CELSIUS} tnom={_CELSIUS} reltol=1e-6 abstol=1e-12 vntol=1e-9",
            # A junction of so many LEDs in series: their number times their ideality.
            f".model LEDS D(IS={float(np.asarray(law.saturation)):.12g}"
            f" N={float(np.asarray(law.scale)) / _THERMAL:.12g})",
            *_chip(law),
            f"V1 SOURCE 0 {float(np.asarray(net.volts)):.9g}",
        ]  # fmt: skip
        lines = [*head, *self._ends(), *self._rails(), *self._rows(), ".op", ".end"]
        return ("\n".join(lines) + "\n").encode()

    def _ends(self) -> Iterator[str]:
        plus, minus = self.node("end", 0), self.node("end", 1)
        ohms = [1 / float(np.asarray(one)) for one in self.net.source]
        yield f"RSOURCE_P SOURCE {plus} {ohms[0]:.9g}"
        yield f"RSOURCE_N {minus} 0 {ohms[1]:.9g}"
        for number, rail in enumerate(self.net.rails):
            for feed in rail.feeds:
                ohm = 1 / float(np.asarray(feed.conductance))
                yield (f"R{self.wiring.feeds[number].ref} {self.node('end', rail.pole)}"
                       f" {self.node('rail', feed.tap, number)} {ohm:.9g}")  # fmt: skip

    def _rails(self) -> Iterator[str]:
        net = self.net
        for number, rail in enumerate(net.rails):
            for tap, siemens in enumerate(net.wide(rail.segments, net.taps - 1)[0]):
                yield (f"R{self.wiring.rails[number]}_{tap + 1} {self.node('rail', tap, number)}"
                       f" {self.node('rail', tap + 1, number)} {1 / siemens:.9g}")  # fmt: skip
        for number, link in enumerate(net.links):
            for row, siemens in enumerate(net.wide(link.conductance, net.rows)[0]):
                tap = int(net.tap_of_row[row])
                yield (f"R{self.wiring.jumpers[number][row].ref}"
                       f" {self.node('rail', tap, link.rail)}"
                       f" {self.node('row', row, link.station, link.pole)}"
                       f" {1 / siemens:.9g}")  # fmt: skip

    def _rows(self) -> Iterator[str]:
        net = self.net
        count = net.wide(net.groups, net.rows, net.stations)[0]
        tracks = [net.wide(net.tracks[pole], net.rows, net.stations - 1)[0] for pole in (0, 1)]
        assert isinstance(net.law, GroupLaw)
        ohms, chip = float(np.asarray(net.law.ohms)), isinstance(net.law, HeldGroup)
        for row, ref in enumerate(self.wiring.rows):
            for station in range(net.stations):
                plus, minus = (self.node("row", row, station, pole) for pole in (0, 1))
                name = f"{ref}_{station + 1}"
                if count[row, station]:
                    # A station holds one group, or none.
                    yield f"D{name} {plus} {name}J LEDS"
                    yield (f"J{name} {name}J {minus} {minus} CHIP" if chip else
                           f"R{name} {name}J {minus} {ohms:.9g}")  # fmt: skip
                if station:
                    for pole in (0, 1):
                        yield (f"R{name}{_POLES[pole]} {self.node('row', row, station - 1, pole)}"
                               f" {self.node('row', row, station, pole)}"
                               f" {1 / tracks[pole][row, station - 1]:.9g}")  # fmt: skip

    def _all(self) -> Iterator[_Node]:
        """Every node with its terminals and its solved voltage."""
        net, state = self.net, self.state
        places: list[tuple[str, tuple[int, ...], float]] = [
            ("end", (pole,), state.ends[0, pole]) for pole in (0, 1)
        ]
        places += [
            ("rail", (tap, number), state.rails[0, tap, number])
            for number in range(len(net.rails))
            for tap in range(net.taps)
        ]
        places += [("row", (row, station, pole), state.rows[0, row, station, pole])
                   for row in range(net.rows) for station in range(net.stations)
                   for pole in (0, 1)]  # fmt: skip
        for what, at, volts in places:
            yield _Node(self.node(what, *at), tuple(self.named.get((what, at), ())), float(volts))

    def nodes(self) -> bytes:
        """Name, terminals as the schedule calls them, and the solved voltage."""
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(["node", "terminals", "volts"])
        for node in self._all():
            terminals = minus(" ".join(node.terminals))
            writer.writerow([node.name, terminals, f"{node.volts:.9f}"])
        return out.getvalue().encode()


def _chip(law: GroupLaw) -> Iterator[str]:
    """The model of a chip that holds a group's current, if there is one."""
    if isinstance(law, HeldGroup):
        flat = law.dropout / (2 * float(np.asarray(law.ohms)))
        yield "* A chip that holds its current is a JFET with its gate at its source."
        yield (f".model CHIP NJF(VTO={-law.dropout:.12g} BETA={flat / law.dropout**2:.12g}"
               f" LAMBDA={law.growth:.12g} IS=1e-30)")  # fmt: skip
