"""The way of the current from the supply to the feeds, hop by hop."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from guidegen.calc.ladder import MINUS, PLUS, Floats
from guidegen.design.fault_cases import BAD_JOINT, SIGNS, Suspect
from guidegen.design.fault_spreads import deviation
from guidegen.design.model import Model, owner
from guidegen.design.result import Desk
from guidegen.design.solved_panel import INSIDE
from guidegen.values import Value, band

#: Parts that make another voltage of the one they get.
STAGES = ("regulator", "pulse_width")
#: Readings of which a point lies under insulation or a cover.
COVERED = ("feeds", "rails", "joints+", "joints-", "pads")
#: Parts that a pole goes through.
THROUGH = ("connector", "fuse", "switch", "cut_off", "supply_cut_off", "thermal_cut_out", *STAGES)


@dataclass(frozen=True)
class Hop:
    """From one terminal to the next: along a wire or through a part."""

    ref: str
    role: str
    start: str
    end: str
    wire: bool


def path(model: Model, sign: str, goal: str) -> list[Hop]:
    """Hops of one pole from the supply to a terminal; none where it does not get there.

    Parameters
    ----------
    model : Model
        Parts and circuit.
    sign : str
        `+` or `-`.
    goal : str
        Terminal where the feeds of this pole begin.
    """
    near: dict[str, list[Hop]] = {}
    for hop in _hops(model, sign):
        near.setdefault(hop.start, []).append(hop)
    begin = _begin(model, sign)
    came: dict[str, Hop | None] = {begin: None}
    queue = deque([begin])
    while queue:
        for hop in near.get(queue.popleft(), ()):
            if hop.end not in came:
                came[hop.end] = hop
                queue.append(hop.end)
    found: list[Hop] = []
    at = came.get(goal)
    while at is not None:
        found.append(at)
        at = came[at.start]
    return found[::-1]


def _begin(model: Model, sign: str) -> str:
    """The supply's terminal; the connector's where the supply is plugged into it."""
    joined = {key for wire in model.conductors for key in (wire.start, wire.end)}
    keys = [t.key for t in model.terminals if t.polarity == sign]
    for role in ("supply", "connector"):
        refs = {part.ref for part in model.by_role(role)}
        for key in keys:
            if owner(key) in refs and key in joined:
                return key
    return next(iter(keys), "")


def _hops(model: Model, sign: str) -> Iterator[Hop]:
    for wire in model.conductors:
        if wire.polarity == sign:
            yield Hop(wire.ref, wire.role, wire.start, wire.end, True)
            yield Hop(wire.ref, wire.role, wire.end, wire.start, True)
    through = {part.ref: part.role for part in model.parts if part.role in THROUGH}
    keys: dict[str, list[str]] = {}
    for terminal in model.terminals:
        if terminal.part in through and terminal.polarity == sign:
            keys.setdefault(terminal.part, []).append(terminal.key)
    for ref, mine in keys.items():
        for one in mine:
            for other in mine:
                if one != other:
                    yield Hop(ref, through[ref], one, other, False)


@dataclass(frozen=True)
class Judged:
    """What a step accepts at two points, as the header of the step says it."""

    value: Value
    within: Value | None = None
    """A tolerance given by hand; None: the value's own band."""
    floor: Value | None = None


@dataclass(frozen=True)
class Probe:
    """One reading that the fault finder may take."""

    group: str
    """What is read with one instruction: `templates/words`, section `probings`."""
    red: str
    black: str
    """Terminals."""
    unit: str
    """`V` or `mV`."""
    accepted: Judged | None = None
    """What a step accepts at these points; None where no step judges them."""

    @property
    def covered(self) -> bool:
        """Whether a point of it lies under insulation or a cover in the finished light."""
        return self.group in COVERED

    @property
    def key(self) -> str:
        """What tells it from all others."""
        return f"{self.group}:{self.red}:{self.black}"


@dataclass(frozen=True)
class PathReader:
    """What a meter shows along the way from the supply to the feeds, and across its hops."""

    desk: Desk
    hops: list[list[Hop]]
    """Of each pole, from the supply on."""
    model: Model

    def probes(self) -> Iterator[Probe]:
        """Volts along each pole, millivolts across each hop but a stage."""
        (plus, minus) = self.hops
        if not plus or not minus:
            return
        start, back = plus[0].start, minus[0].start
        # The step reads it at rest: under load a battery may show less.
        rests = self.desk.fact("battery")
        yield Probe(
            "path+", start, back, "V", None if rests else Judged(self.desk["supply.reading"])
        )
        for hop in plus:
            yield Probe("path+", hop.end, back, "V")
        for hop in minus:
            yield Probe("path-", start, hop.end, "V")
        for pole, hops in enumerate(self.hops):
            for hop in hops:
                if hop.role not in STAGES:
                    ends = (hop.start, hop.end) if pole == 0 else (hop.end, hop.start)
                    yield Probe("path-mv", *ends, "mV", self._scanned(pole, *ends))

    def _scanned(self, pole: int, red: str, black: str) -> Judged | None:
        """Where one hop is the whole way to the regulator, the scan has judged it."""
        way = (("connector", "+"), ("regulator", "IN+")) if pole == PLUS else (
            ("regulator", "IN-"), ("connector", "-"))  # fmt: skip
        ends = [{f"{part.ref}:{name}" for part in self.model.by_role(role)} for role, name in way]
        if red not in ends[0] or black not in ends[1]:
            return None
        name = f"side.{('plus', 'minus')[pole]}"
        return Judged(*(self.desk[f"{name}_{end}"] for end in ("drop", "tolerance", "least")))

    def volts(self, probe: Probe, every: Sequence[Suspect], out: Floats, amps: Floats) -> Floats:
        """Volts along the way: the supply's less what is lost, none behind a break. [V].

        Behind a stage they are its output's, and what the other pole loses on its way back.
        """
        found = np.array([self._volts(probe, one, out[n]) for n, one in enumerate(every)])
        return np.where(found > 0, found + self.besides(probe) * amps / amps[0], found)

    def besides(self, probe: Probe) -> float:
        """What a sound light adds to the supply's voltage, or to the output's behind a stage. [V].

        References
        ----------
        .. [1] Kirchhoff's voltage law, from the probe by way of the output to the other probe.
        """
        pole, place = self._place(probe)
        if self.behind(probe):
            return self._lost(PLUS, place, None) + self._lost(MINUS, 0, None)
        return -self._lost(pole, 0, place)

    def _lost(self, pole: int, first: int, last: int | None) -> float:
        """What the hops of one pole lose in the sound light, from one place to another. [V]."""
        numbers = range(len(self.hops[pole]))[first:last]
        return sum(self.ohms(self.hops[pole][n], pole) * self._amps(pole, n) for n in numbers)

    def _place(self, probe: Probe) -> tuple[int, int]:
        """Pole of the point that moves, and how many hops lie before it."""
        pole = 0 if probe.group == "path+" else 1
        key = probe.red if pole == 0 else probe.black
        return pole, next((i + 1 for i, hop in enumerate(self.hops[pole]) if hop.end == key), 0)

    def behind(self, probe: Probe) -> bool:
        """Whether the point that moves lies behind a stage, which gives the output's voltage."""
        pole, place = self._place(probe)
        return pole == 0 and any(hop.role in STAGES for hop in self.hops[0][:place])

    def _volts(self, probe: Probe, one: Suspect, out: float) -> float:
        if one.kind == "supply-dead":
            return 0.0
        pole, place = self._place(probe)
        broken = one.at if one.kind.endswith(("-open", "-dead")) and one.at else None
        if broken and broken[0] == pole and place > broken[1]:
            return 0.0
        if broken and broken[0] != pole and self.behind(probe):
            return float("nan")
        return float(out) if self.behind(probe) else self.desk["supply.voltage"].si

    def drop(self, probe: Probe, every: Sequence[Suspect], amps: Floats) -> Floats:
        """Millivolts across one hop: its resistance times the current there. [V]."""
        pole, number, hop = next((pole, i, hop) for pole, hops in enumerate(self.hops)
                                 for i, hop in enumerate(hops)
                                 if {hop.start, hop.end} == {probe.red, probe.black})  # fmt: skip
        ohms = np.full(len(every), self.ohms(hop, pole))
        for i, one in enumerate(every):
            if one.at == (pole, number):
                ohms[i] = ohms[i] + BAD_JOINT if one.kind.endswith("-weak") else np.nan
        # Across a break the meter shows the whole voltage: over its range.
        return np.where(np.isnan(ohms), self.desk["supply.voltage"].si,
                        ohms * self._amps(pole, number) * amps / amps[0])  # fmt: skip

    def _amps(self, pole: int, place: int) -> float:
        """Sound current there: before a regulator the supply's, behind it the panel's. [A]."""
        ahead = any(hop.role == "regulator" for hop in self.hops[pole][place:])
        return self.desk["input.bench_current" if ahead else "panel.loaded_current"].si

    def ohms(self, hop: Hop, pole: int) -> float:
        """Resistance of a wire with its ends, or of a part; none of a regulator. [ohm]."""
        if hop.wire:
            wire = next(w for w in self.model.conductors if w.ref == hop.ref)
            return wire.per_metre * wire.length.si + 2 * self.desk["joint.resistance"].si
        if hop.role in STAGES:
            opens = hop.role == "pulse_width" and self._switched() == SIGNS[pole]
            return self.desk["pulse_width.resistance"].si if opens else 0.0
        if pole == MINUS and hop.role in ("cut_off", "supply_cut_off"):
            return INSIDE  # it opens +; − goes through its board
        if hop.role == "fuse":
            return self.desk["fuse.own_drop"].si / self.desk["fuse.rating"].si
        return self.desk["contact.resistance"].si

    def _switched(self) -> str:
        """The pole that a pulse-width stage opens."""
        return next((wire.polarity for wire in self.model.conductors if wire.switched), "")

    def supply_spread(self, probes: Sequence[Probe]) -> Floats:
        """Relative deviation of each reading with the supply's own voltage: (reading,)."""
        ends = (self.desk["supply.lowest"].si, self.desk["supply.highest"].si)
        share = deviation(ends) / self.desk["supply.voltage"].si
        return np.array([share if probe.group in ("path+", "path-") and not self.behind(probe)
                         else 0.0 for probe in probes])  # fmt: skip

    def window(self, probes: Sequence[Probe]) -> Floats:
        """Ends of each reading of the supply's voltage in a sound light: (2, reading).

        A battery may stand anywhere between its ends, and what lies behind its closed cut-off gets
        no less than its voltage, less what is lost from there on. NaN: no such reading. [V].
        """
        ends = self.desk["supply.lowest"].si, self.desk["supply.highest"].si
        found = [
            (self._least(probe, ends[0]), ends[1])
            if probe.group in ("path+", "path-") and not self.behind(probe) and ends[0] < ends[1]
            else (np.nan, np.nan)
            for probe in probes
        ]
        return np.array(found, dtype=float).reshape(-1, 2).T

    def _least(self, probe: Probe, lowest: float) -> float:
        """The lower the supply stands, the more a regulator takes and the ways lose. [V]."""
        more = self.desk["input.highest_current"].si / self.desk["input.bench_current"].si
        pole, place = self._place(probe)
        least = lowest - more * self._lost(pole, 0, place)
        gates = [n for n, hop in enumerate(self.hops[PLUS][:place]) if "cut_off" in hop.role]
        if pole == PLUS and gates:
            trips = band(self.desk["cut_off.trips_at"])[0]
            least = max(least, trips - more * self._lost(PLUS, gates[0], place))
        return least
