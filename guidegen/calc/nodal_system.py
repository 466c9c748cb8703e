"""The equations behind `guidegen.calc.nodal`: unknowns, residual, Jacobian, modes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from guidegen.calc.circuits import Circuit, Regulator
from guidegen.calc.elimination import Mesh, order_of, solved

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Arrays = tuple[Ints, Ints, Floats]
Modes = dict[str, str]

#: Number of the point that voltages are counted from: the place behind all unknowns.
GROUND = -1
#: Leak beside a group, lest points float: a nanoampere a volt (project default). [S].
LEAK = 1e-9
#: Modes, in the words of a message.
MODES = {
    "voltage": "holds its voltage", "current": "holds its current limit",
    "regulates": "regulates", "passes": "only passes its input on", "limits": "holds its limit",
    "off": "gives nothing", "closed": "closed", "open": "tripped",
}  # fmt: skip
#: Room over a limit before it counts as passed.
SLIP = 1e-9


def first_modes(system: System) -> Modes:
    """Everything does what it was made for."""
    return {
        **{source.name: "voltage" for source in system.sources},
        **{stage.name: "regulates" for stage in system.regulators},
        **{gate.name: "closed" for gate in system.cut_offs},
    }


def all_modes(system: System) -> Iterator[Modes]:
    """Every combination of modes; what has no limit can't be at it."""
    kinds = {
        **{one.name: ("voltage", "current")[: 2 if isfinite(one.limit) else 1]
           for one in system.sources},
        **{one.name: ("regulates", "passes", "off", "limits")[: 4 if isfinite(one.limit) else 3]
           for one in system.regulators},
        **{gate.name: ("closed", "open") for gate in system.cut_offs},
    }  # fmt: skip
    for chosen in product(*kinds.values()):
        yield dict(zip(kinds, chosen, strict=True))


def entries(a: int, b: int, value: float) -> tuple[tuple[int, int, float], ...]:
    """What a conductance between two points adds to a matrix: row, column, value."""
    return (a, a, value), (b, b, value), (a, b, -value), (b, a, -value)


@dataclass
class _Stamp:
    """Entries of a matrix."""

    rows: list[int] = field(default_factory=list)
    columns: list[int] = field(default_factory=list)
    values: list[float] = field(default_factory=list)

    def put(self, row: int, column: int, value: float) -> None:
        if GROUND not in (row, column):
            self.rows.append(row)
            self.columns.append(column)
            self.values.append(value)

    def arrays(self) -> Arrays:
        return (np.array(self.rows, dtype=np.intp), np.array(self.columns, dtype=np.intp),
                np.array(self.values, dtype=float))  # fmt: skip

    def conductance(self, a: int, b: int, value: float) -> None:
        for row, column, entry in entries(a, b, value):
            self.put(row, column, entry)


class System:
    """A circuit's equations: currents into every point, and one more for every source and stage.

    Parameters
    ----------
    circuit : Circuit
        Its elements.
    points : sequence of str
        Those that hang together with the ground; elements elsewhere are left out.
    ground : str
        Which of them has no voltage.
    """

    def __init__(self, circuit: Circuit, points: Sequence[str], ground: str) -> None:
        self.circuit = circuit
        others = [point for point in points if point != ground]
        self.at: dict[str, int] = {point: i for i, point in enumerate(others)}
        self.at[ground] = GROUND
        self.sources = [one for one in circuit.sources if one.plus in self.at]
        self.regulators = [one for one in circuit.regulators if one.in_plus in self.at]
        self.cut_offs = [one for one in circuit.cut_offs if one.in_plus in self.at]
        first = len(others)
        self.extra = {one.name: first + i for i, one in enumerate(self.sources)}
        first += len(self.sources)
        self.outputs = {one.name: first + 2 * i for i, one in enumerate(self.regulators)}
        self.unknowns = first + 2 * len(self.regulators)
        self.scale = max((abs(one.volts) for one in self.sources), default=1.0)
        groups = [one for one in circuit.groups if one.plus in self.at]
        self.plus = np.array([self.at[one.plus] for one in groups], dtype=np.intp)
        self.minus = np.array([self.at[one.minus] for one in groups], dtype=np.intp)
        #: Of each law the groups that follow it.
        laws = dict.fromkeys(one.law for one in groups)
        self.laws = [(law, np.array([one.law == law for one in groups])) for law in laws]
        self.count = np.array([one.count for one in groups], dtype=float)
        self.leaks = self.count * LEAK
        self.groups = groups
        self.points = len(others)
        conducting, self._beside = self._linear()
        self._conducting = conducting.arrays()
        self._fixed = _joined(self._conducting, self._beside.arrays())
        most = max((abs(value) for value in conducting.values), default=1.0)
        #: What rounding alone leaves of the equations. [A, V or W].
        self.noise = 1e-12 * (1 + most * self.scale)
        self._mesh = self._meshed()
        self._border, self._order = self._ordered()

    def _linear(self) -> tuple[_Stamp, _Stamp]:
        """What never changes: conductances, and currents of sources and regulators."""
        conducting, beside = _Stamp(), _Stamp()
        for one in self.circuit.resistors:
            if one.a in self.at:
                conducting.conductance(self.at[one.a], self.at[one.b], 1 / one.ohms)
        for source in self.sources:
            beside.put(self.at[source.plus], self.extra[source.name], -1.0)
            beside.put(self.at[source.minus], self.extra[source.name], 1.0)
        for stage in self.regulators:
            out = self.outputs[stage.name]
            beside.put(self.at[stage.out_plus], out, -1.0)
            beside.put(self.at[stage.out_minus], out, 1.0)
            beside.put(self.at[stage.in_plus], out + 1, 1.0)
            beside.put(self.at[stage.in_minus], out + 1, -1.0)
        return conducting, beside

    def _meshed(self) -> Mesh:
        mesh: Mesh = [{} for _ in range(self.points)]
        for row, column, value in zip(*(part.tolist() for part in self._conducting), strict=True):
            mesh[row][column] = mesh[row].get(column, 0.0) + value
        return mesh

    def _ordered(self) -> tuple[list[int], list[int]]:
        """Points that sources and regulators touch, and the order of all others."""
        names = [key for one in self.sources for key in (one.plus, one.minus)]
        names += [key for one in self.regulators for key in
                  (one.in_plus, one.in_minus, one.out_plus, one.out_minus, one.tap)]  # fmt: skip
        border = sorted({self.at[name] for name in names} - {GROUND})
        beside = [set(row) for row in self._mesh]
        pairs = [(self.at[one.in_plus], self.at[one.out_plus]) for one in self.cut_offs]
        pairs += list(zip(self.plus.tolist(), self.minus.tolist(), strict=True))
        for a, b in pairs:
            if GROUND not in (a, b):
                beside[a].add(b)
                beside[b].add(a)
        return border, order_of(beside, border)

    def currents(self, found: Floats) -> dict[str, float]:
        """What sources, and the outputs of regulators, give. [A]."""
        places = {**self.extra, **self.outputs}
        return {name: float(found[place]) for name, place in places.items()}

    # --- equations ---------------------------------------------------------------------------

    def start(self, modes: Modes, share: float) -> Floats | None:
        """A first state: all groups leak, and every regulator takes the current that it gives."""
        nothing = np.zeros(self.unknowns)
        rest = self.residual(nothing, modes, share, plain=True)
        step = self._solve(self._matrix(nothing, modes, plain=True), modes, rest)
        return None if step is None else nothing + step

    def residual(
        self, found: Floats, modes: Modes, share: float = 1.0, plain: bool = False
    ) -> Floats:
        """What is missing in every equation: currents in A, voltages in V, powers in W."""
        all_volts = np.append(found, 0.0)
        rest = np.zeros(self.unknowns)
        for rows, columns, values in (self._fixed, self._rows(found, modes, plain).arrays()):
            rest -= np.bincount(rows, values * all_volts[columns], minlength=self.unknowns)
        if len(self.groups):
            flow, _ = self._flows(all_volts)
            for places, sign in ((self.plus, -1), (self.minus, 1)):
                inside = places != GROUND
                rest += np.bincount(places[inside], sign * flow[inside], minlength=self.unknowns)
        for row, value in self._targets(modes, share):
            rest[row] += value
        for a, b, value in self._gates(modes):
            flow = value * (all_volts[a] - all_volts[b])
            for row, sign in ((a, -1), (b, 1)):
                if row != GROUND:
                    rest[row] += sign * flow
        return rest

    def _gates(self, modes: Modes) -> Iterator[tuple[int, int, float]]:
        """Both points and conductance of every cut-off."""
        for gate in self.cut_offs:
            closed = modes[gate.name] == "closed"
            yield self.at[gate.in_plus], self.at[gate.out_plus], 1 / gate.ohms if closed else LEAK

    def _targets(self, modes: Modes, share: float) -> Iterator[tuple[int, float]]:
        for source in self.sources:
            holds = modes[source.name] == "voltage"
            yield self.extra[source.name], source.volts * share if holds else source.limit
        for stage in self.regulators:
            mode, row = modes[stage.name], self.outputs[stage.name]
            if mode == "regulates":
                yield row, stage.reference * share
            elif mode == "limits":
                yield row, stage.limit
            elif mode == "passes":
                yield row, -stage.dropout * share

    def _rows(self, found: Floats, modes: Modes, plain: bool) -> _Stamp:
        """What modes add; of a product of two unknowns, one as a factor of the other."""
        stamp = _Stamp()
        self._modal(stamp, modes)
        for stage in self.regulators:
            if not self._converts(stage, modes, plain):
                self._passes(stamp, stage, modes)
                continue
            row = self.outputs[stage.name] + 1
            # Efficiency × input power − output power: one factor of each product is known.
            volts_in = self._volts(found, stage.in_plus, stage.in_minus)
            volts_out = self._volts(found, stage.out_plus, stage.out_minus)
            stamp.put(row, row, stage.efficiency * volts_in)
            stamp.put(row, row - 1, -volts_out)
        return stamp

    def _converts(self, stage: Regulator, modes: Modes, plain: bool) -> bool:
        return modes[stage.name] in ("regulates", "limits") and not plain

    def _passes(self, stamp: _Stamp, stage: Regulator, modes: Modes) -> None:
        row = self.outputs[stage.name] + 1
        stamp.put(row, row, 1.0)
        if modes[stage.name] != "off":
            stamp.put(row, row - 1, -1.0)

    def _modal(self, stamp: _Stamp, modes: Modes) -> None:
        """What sources and regulators hold."""
        for source in self.sources:
            row = self.extra[source.name]
            if modes[source.name] == "voltage":
                stamp.put(row, self.at[source.plus], 1.0)
                stamp.put(row, self.at[source.minus], -1.0)
            else:
                stamp.put(row, row, 1.0)
        for stage in self.regulators:
            row, mode = self.outputs[stage.name], modes[stage.name]
            if mode in ("limits", "off"):
                stamp.put(row, row, 1.0)
                continue
            held = stage.tap if mode == "regulates" else stage.out_plus
            stamp.put(row, self.at[held], 1.0)
            stamp.put(row, self.at[stage.out_minus], -1.0)
            if mode == "passes":
                stamp.put(row, self.at[stage.in_plus], -1.0)
                stamp.put(row, self.at[stage.in_minus], 1.0)

    def _volts(self, found: Floats, plus: str, minus: str) -> float:
        a, b = self.at[plus], self.at[minus]
        return float((found[a] if a != GROUND else 0.0) - (found[b] if b != GROUND else 0.0))

    def _matrix(self, found: Floats, modes: Modes, plain: bool = False) -> _Stamp:
        """The Jacobian, without what never changes and without the groups."""
        stamp = self._rows(found, modes, plain)
        for stage in self.regulators:
            if not self._converts(stage, modes, plain):
                continue
            out = self.outputs[stage.name]
            row, gives, takes = out + 1, float(found[out]), float(found[out + 1])
            stamp.put(row, self.at[stage.in_plus], stage.efficiency * takes)
            stamp.put(row, self.at[stage.in_minus], -stage.efficiency * takes)
            stamp.put(row, self.at[stage.out_plus], -gives)
            stamp.put(row, self.at[stage.out_minus], gives)
        return stamp

    def step(self, found: Floats, rest: Floats, modes: Modes) -> Floats | None:
        """The whole step of Newton's method; None: the matrix has no inverse."""
        _, slopes = self._flows(np.append(found, 0.0))
        return self._solve(self._matrix(found, modes), modes, rest, slopes)

    def _flows(self, all_volts: Floats) -> tuple[Floats, Floats]:
        """Currents and slopes of the groups."""
        across = all_volts[self.plus] - all_volts[self.minus]
        flow, slope = across * self.leaks, self.leaks.copy()
        for law, own in self.laws:
            amps, slopes = law.at(across[own])
            flow[own] += self.count[own] * amps
            slope[own] += self.count[own] * slopes
        return flow, slope

    def _solve(
        self, stamp: _Stamp, modes: Modes, rest: Floats, slopes: Floats | None = None
    ) -> Floats | None:
        mesh = [dict(row) for row in self._mesh]
        slopes = self.leaks if slopes is None else slopes
        for a, b, value in zip(self.plus.tolist(), self.minus.tolist(), slopes.tolist(),
                               strict=True):  # fmt: skip
            _conduct(mesh, a, b, value)
        for a, b, value in self._gates(modes):
            _conduct(mesh, a, b, value)
        place = {point: i for i, point in enumerate(self._border)}
        inner, more = len(self._border), self.unknowns - self.points
        dense = np.zeros((inner + more, inner + more))
        for part in (self._beside, stamp):
            for row, column, value in zip(part.rows, part.columns, part.values, strict=True):
                i = place[row] if row < self.points else row - self.points + inner
                j = place[column] if column < self.points else column - self.points + inner
                dense[i, j] += value
        return solved(mesh, rest, self._order, self._border, dense)

    def size(self, rest: Floats) -> float:
        """The largest error of any equation."""
        return float(np.max(np.abs(rest), initial=0.0))

    # --- modes -------------------------------------------------------------------------------

    def contradiction(self, found: Floats, modes: Modes) -> tuple[str, str] | None:
        """The first element whose mode its own state denies, and the mode that it needs."""
        return next(self._contradictions(found, modes), None)

    def _contradictions(self, found: Floats, modes: Modes) -> Iterator[tuple[str, str]]:
        for gate in self.cut_offs:
            sees, mode = self._volts(found, gate.in_plus, gate.in_minus), modes[gate.name]
            if mode == "closed" and sees < gate.trips_at * (1 - SLIP):
                yield gate.name, "open"
            if mode == "open" and sees > gate.trips_at * (1 + SLIP):
                yield gate.name, "closed"
        for source in self.sources:
            gives, mode = found[self.extra[source.name]], modes[source.name]
            if mode == "voltage" and gives > source.limit * (1 + SLIP):
                yield source.name, "current"
            volts = self._volts(found, source.plus, source.minus)
            if mode == "current" and volts > source.volts * (1 + SLIP):
                yield source.name, "voltage"
        for stage in self.regulators:
            wanted = self._wanted(stage, found, modes[stage.name])
            if wanted != modes[stage.name]:
                yield stage.name, wanted

    def _wanted(self, stage: Regulator, found: Floats, mode: str) -> str:
        gives = float(found[self.outputs[stage.name]])
        room = self._volts(found, stage.in_plus, stage.in_minus) - stage.dropout
        output = self._volts(found, stage.out_plus, stage.out_minus)
        tap = self._volts(found, stage.tap, stage.out_minus)
        slip = SLIP * (1 + self.scale)
        if mode != "limits" and gives > stage.limit * (1 + SLIP):
            return "limits"
        if mode == "off":
            return "passes" if room > output + slip else "off"
        if mode != "regulates" and tap > stage.reference + slip:
            # A step-up can't hold back what it passes on.
            return mode if stage.step_up and mode == "passes" else "regulates"
        if mode == "passes":
            if gives < -slip:
                return "off"
            below = tap < stage.reference - slip
            return "regulates" if stage.step_up and below else "passes"
        past = output < room - slip if stage.step_up else output > room + slip
        return "passes" if past else mode

    def conducting(self, found: Floats, modes: Modes) -> Iterator[tuple[str, ...]]:
        """Points that something ties together in this state."""
        yield from ((one.a, one.b) for one in self.circuit.resistors if one.a in self.at)
        yield from ((one.plus, one.minus) for one in self.sources)
        _, slopes = self._flows(np.append(found, 0.0))
        for group, slope, leak in zip(self.groups, slopes, self.leaks, strict=True):
            if slope > 2 * leak:
                yield group.plus, group.minus
        for stage in self.regulators:
            if modes[stage.name] != "off":
                yield stage.in_plus, stage.out_plus
        for gate in self.cut_offs:
            if modes[gate.name] == "closed":
                yield gate.in_plus, gate.out_plus


def _joined(first: Arrays, second: Arrays) -> Arrays:
    rows, columns, values = (np.concatenate(pair) for pair in zip(first, second, strict=True))
    return rows, columns, values


def _conduct(mesh: Mesh, a: int, b: int, value: float) -> None:
    for i, j in ((a, b), (b, a)):
        if i == GROUND:
            continue
        mesh[i][i] = mesh[i].get(i, 0.0) + value
        if j != GROUND:
            mesh[i][j] = mesh[i].get(j, 0.0) - value
