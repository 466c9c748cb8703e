"""Every single fault solved: what the eye sees and what a meter shows, over all suspects."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from guidegen.calc.ladder import PLUS, Floats, Ladders, State, total_current
from guidegen.calc.ladder_band import NetworkError
from guidegen.calc.ladder_faults import Edit, beside, copies, first, limited
from guidegen.calc.ladder_readings import voltage
from guidegen.calc.ladder_solve import solve
from guidegen.calc.telling import Signatures
from guidegen.design.fault_cases import BAD_JOINT, SIGNS, Suspect, Wiring, suspects
from guidegen.design.fault_looks import Look, looked
from guidegen.design.fault_path import STAGES, Judged, PathReader, Probe, path
from guidegen.design.fault_spreads import (
    FAINT,
    JOINT_SPREAD,
    ROW_SPREAD,
    batches,
    deviation,
)
from guidegen.design.result import Design, Desk
from guidegen.design.solved_panel import Solved
from guidegen.errors import GuidegenError
from guidegen.values import band

#: End of the range in which joints are read; two digits of it. [V].
RANGE, DIGITS = 0.4, 0.0002
#: Points under insulation and cover cost so many times the work (project default).
COVERED = 3.0
#: Share of the full voltage at which shorts are looked at first.
START = 0.02
#: A wrong output that is to be found (project default).
OFF = 0.05


@dataclass(frozen=True)
class FaultTable:
    """All suspects of one light against all readings."""

    suspects: tuple[Suspect, ...]
    """The first is the sound light."""
    probes: tuple[Probe, ...]
    signatures: Signatures
    looks: tuple[tuple[Look, ...], ...]
    """Of each suspect: what the eye may say, the likeliest first."""
    limit: float
    """To which a bench supply or the stage holds the current of a short. [A]."""
    amps: Floats
    """(suspect,): what all panels draw. [A]."""
    window: Floats
    """(2, reading): ends of a reading that goes with the supply's own window; NaN: no such. [V]."""
    drawn: tuple[float, float]
    """What a short of the rows or rails draws from the supply, the least and the most. [A]."""
    tried: tuple[str, ...]
    """What was needed beside whole steps of Newton's method."""


SOUND = Suspect("sound", {})


class UnsolvedError(GuidegenError):
    """A light whose faults were not solved; its text tells what was tried."""


def fault_table(design: Design) -> FaultTable:
    """Solve all single faults of a design.

    Parameters
    ----------
    design : Design
        Settled and complete. Of several panels, which are alike, one has the faults.

    Raises
    ------
    UnsolvedError
        If a network is not solved.
    """
    try:
        return FaultSolver(design).table()
    except NetworkError as error:
        raise UnsolvedError(str(error)) from error


class FaultSolver:
    """Solves suspects over a network of the panel.

    Parameters
    ----------
    design : Design
        Settled and complete.
    net : Ladders, optional
        The panel as it really is; else as the design has it.
    """

    def __init__(self, design: Design, net: Ladders | None = None) -> None:
        self.desk = desk = Desk("solved faults", design.fixture, design.sections)
        solved: Solved = design.result("solved panel")
        self.net = net or solved.net
        self.panels = design.fixture.panel_count
        self.wiring = Wiring(self.net, design.model.panels[0])
        self.hops = [path(design.model, sign, self.wiring.out(pole))
                     for pole, sign in enumerate(SIGNS)]  # fmt: skip
        self.way = PathReader(desk, self.hops, design.model)
        self.full = float(np.asarray(self.net.volts))
        self.regulated = bool(desk.fact("regulator"))
        #: Voltages at which the current of shorts is held, part by part. [V].
        self.held: list[Floats] = []
        self.tried: dict[str, None] = {}
        self.clamped = bool(desk.fact("current_limit"))
        self.limit = desk["limit.set" if self.clamped else "bench.limit"].si

    def table(self) -> FaultTable:
        """All suspects against all readings."""
        every = [SOUND, *suspects(self.wiring), *self._before()]
        probes = list(self._probes())
        expected, groups, amps = self.solved(every, probes)
        shared, own = self._spreads(probes, expected[0])
        over = np.array([RANGE if probe.unit == "mV" else np.inf for probe in probes])
        digits = self.desk["meter.digits"].si
        signatures = Signatures(
            expected, shared, own, np.array([one.kind.endswith("-weak") for one in every]),
            np.array([DIGITS if probe.unit == "mV" else digits for probe in probes]),
            self.desk["meter.share"].si, over,
            np.array([COVERED if probe.covered else 1.0 for probe in probes]),
        )  # fmt: skip
        looks = tuple(looked(one, groups[0], self.wiring.rows) for one in groups)
        return FaultTable(tuple(every), tuple(probes), signatures, looks, self.limit, amps,
                          self.way.window(probes), self._drawn(every),
                          tuple(self.tried))  # fmt: skip

    # --- suspects before the panel ---------------------------------------------------------------

    def _before(self) -> Iterator[Suspect]:
        yield Suspect("supply-dead", {}, (Edit("volts", (), 0.0),))
        for pole, hops in enumerate(self.hops):
            for number, hop in enumerate(hops):
                if hop.role in STAGES:
                    if pole == PLUS:
                        yield Suspect("stage-dead", {"part": hop.ref}, (Edit("volts", (), 0.0),),
                                      at=(pole, number))  # fmt: skip
                    continue
                kind = "wire" if hop.wire else "part"
                yield Suspect(f"{kind}-open", {"part": hop.ref, "pole": SIGNS[pole]},
                              (Edit("volts", (), 0.0),), at=(pole, number))  # fmt: skip
                yield Suspect(f"{kind}-weak", {"part": hop.ref, "pole": SIGNS[pole]},
                              self._weak(pole, number), at=(pole, number))  # fmt: skip
        if self.regulated:
            yield Suspect("output-low", {}, (Edit("volts", (), self.full * (1 - OFF)),))
            yield Suspect("output-high", {}, (Edit("volts", (), self.full * (1 + OFF)),),
                          over=True)  # fmt: skip
        for name, value in self.desk.values.items():
            if name.startswith("fault.") and self._differs(value.si):
                yield Suspect(f"control-{name.removeprefix('fault.').replace('_', '-')}", {},
                              (Edit("volts", (), value.si),), over=True)  # fmt: skip

    def _differs(self, volts: float) -> bool:
        """Whether a control's fault shows at one of its ends."""
        return abs(volts - self.full) > 0.02 * self.full or "control.low_output" in self.desk

    def _weak(self, pole: int, number: int) -> tuple[Edit, ...]:
        """A bad contact before the panel's regulator is made good by it; behind it, it is not."""
        if self.regulated and any(hop.role == "regulator" for hop in self.hops[pole][number:]):
            return ()
        good = float(np.asarray(self.net.source[pole]))
        # The source of one panel's network resists as all panels' current makes it.
        return (Edit("source", (pole,), 1 / (1 / good + self.panels * BAD_JOINT)),)

    # --- solving ---------------------------------------------------------------------------------

    def solved(
        self, every: Sequence[Suspect], probes: Sequence[Probe]
    ) -> tuple[Floats, Floats, Floats]:
        """Readings [V], currents of groups and of all [A]; the first suspect is the sound light.

        Returns
        -------
        readings, groups, amps : ndarray
            (suspect, reading), (suspect, row, station), (suspect,).
        """
        volts, groups, amps = self._solved(every)
        columns = [self._column(probe, every, volts, amps) for probe in probes]
        return np.stack(columns, axis=1), groups, amps

    def _solved(self, every: Sequence[Suspect]) -> tuple[dict[str, Floats], Floats, Floats]:
        """Voltage of every terminal of the panel, current of groups, of all: suspect first."""
        points = self.wiring.points
        volts = {key: np.zeros(len(every)) for key in points}
        groups = np.zeros((len(every), self.net.rows, self.net.stations))
        amps = np.zeros(len(every))
        kinds = [(one.shorts, one.over and self.clamped) for one in every]
        for kind in dict.fromkeys(kinds):
            mine = [number for number, one in enumerate(kinds) if one == kind]
            cases = [every[number].edits for number in mine]
            for part, state, drawn in self._parts(cases, *kind):
                at = [mine[number] for number in part]
                for key, point in points.items():
                    volts[key][at] = voltage(self.net, state, point)
                groups[at], amps[at] = state.currents, drawn
        return volts, groups, amps

    def _parts(
        self, cases: Sequence[Sequence[Edit]], shorts: bool, over: bool
    ) -> Iterator[tuple[range, State, Floats]]:
        """Cases, the state of the changed panel, and what all panels draw. [A]."""
        base = self.wiring.wide if shorts else self.net
        step = max(1, 2_000_000 // (self.panels * self.net.rows * self.net.stations))
        for begin in range(0, len(cases), step):
            alone = copies(base, cases[begin : begin + step])
            net = beside(alone, base, self.panels - 1) if self.panels > 1 else alone
            if shorts or over:
                state, volts = limited(net, self.limit, START if shorts else 1.0)
                net = replace(net, volts=volts)
                if shorts:
                    self.held.append(volts)
            else:
                state = solve(net)
            self.tried |= dict.fromkeys(state.fallbacks)
            amps = total_current(net, state)
            yield range(begin, begin + net.cases), first(alone, state), amps

    def _drawn(self, every: Sequence[Suspect]) -> tuple[float, float]:
        """What the supply must give into a short behind whatever holds it.

        A stage that limits its output takes the power of the short; its own losses, not told
        for so low an output, are left out. One that does not lets through what the supply gives
        and the way resists.
        """
        supply = self.desk["supply.voltage"].si
        if self.clamped:
            drawn = np.concatenate(self.held) * self.limit / supply
        else:
            cases = [one.edits for one in every if one.shorts]
            net = copies(self.wiring.wide, cases)
            inside = self.desk["short.source"].si if "short.source" in self.desk else 0.0
            ohms = [1 / float(np.asarray(self.net.source[pole])) + inside / 2
                    + sum(self.way.ohms(hop, pole) for hop in self.hops[pole]
                          if hop.role not in STAGES)
                    for pole in (0, 1)]  # fmt: skip
            open_net = replace(net, volts=supply, source=(1 / ohms[0], 1 / ohms[1]))
            state = solve(open_net)
            self.tried |= dict.fromkeys(state.fallbacks)
            drawn = total_current(open_net, state)
        return float(drawn.min()), float(drawn.max())

    # --- readings --------------------------------------------------------------------------------

    def _probes(self) -> Iterator[Probe]:
        plus, minus = (self.wiring.out(pole) for pole in (0, 1))
        last = next((hop.role for hop in self.hops[PLUS][::-1] if hop.role in STAGES), "")
        accepted = {"regulator": "setting.full", "pulse_width": "pulse_width.reading"}.get(last)
        yield Probe("output", plus, minus, "V", Judged(self.desk[accepted]) if accepted else None)
        if self.regulated and "control.low_output" in self.desk:
            yield Probe("output-low-end", plus, minus, "V",
                        Judged(self.desk["control.low_output"]))  # fmt: skip
        ends = self.wiring.net.rails
        feeds = [self.wiring.fed(number) for number in range(len(ends))]
        yield from (Probe("feeds", *self._turned(rail.pole, self.wiring.out(rail.pole), key), "mV")
                    for rail, key in zip(ends, feeds, strict=True))  # fmt: skip
        for number, rail in enumerate(ends):
            links = [n for n, link in enumerate(self.net.links) if link.rail == number]
            wires = self.wiring.jumpers[links[0]]
            far = dict.fromkeys(self.wiring.ends(wire)[0] for wire in (wires[0], wires[-1]))
            for key in far:
                if key != feeds[number]:
                    yield Probe("rails", *self._turned(rail.pole, feeds[number], key), "mV")
        for number, link in enumerate(self.net.links):
            group = f"joints{SIGNS[link.pole]}"
            for wire in self.wiring.jumpers[number]:
                yield Probe(group, *self._turned(link.pole, *self.wiring.ends(wire)), "mV")
        seen = set()
        for row, ref in enumerate(self.wiring.rows):
            pads = tuple(next(self.wiring.ends(wires[row])[1] for link, wires
                              in zip(self.net.links, self.wiring.jumpers, strict=True)
                              if link.pole == pole) for pole in (0, 1))  # fmt: skip
            if ref not in seen:
                seen.add(ref)
                yield Probe("pads", pads[0], pads[1], "V", Judged(self.desk["panel.pad_voltage"]))
        yield from self.way.probes()

    def _turned(self, pole: int, near: str, far: str) -> tuple[str, str]:
        """Red where the current comes from."""
        return (near, far) if pole == PLUS else (far, near)

    def _column(
        self, probe: Probe, every: Sequence[Suspect], volts: dict[str, Floats], amps: Floats
    ) -> Floats:
        """One reading over all suspects. [V]."""
        if probe.group == "output-low-end":
            return self._low_end(every)
        if not probe.group.startswith("path"):
            return volts[probe.red] - volts[probe.black]
        if probe.group == "path-mv":
            return self.way.drop(probe, every, amps)
        return self.way.volts(probe, every, volts[self.wiring.out(0)] - volts[self.wiring.out(1)],
                              amps)  # fmt: skip

    def _low_end(self, every: Sequence[Suspect]) -> Floats:
        low = self.desk["control.low_output"].si
        found = np.full(len(every), low)
        for number, one in enumerate(every):
            if one.kind.startswith("control-"):
                fault = one.kind.removeprefix("control-").replace("-", "_")
                found[number] = self.desk[f"fault_at_low.{fault}"].si
            elif one.kind in ("output-low", "output-high"):
                found[number] = low * one.edits[0].value / self.full
            elif one.edits and one.edits[0].what == "volts":
                found[number] = 0.0
            elif one.shorts:
                found[number] = np.nan
        return found

    # --- what makes readings scatter -------------------------------------------------------------

    def _spreads(self, probes: Sequence[Probe], sound: Floats) -> tuple[Floats, Floats]:
        """Relative change of every reading by what a batch has in common, and by its own parts."""
        moved = list(batches(self.desk, self.net, self.full))
        shared, own = np.zeros((len(moved), len(probes))), np.zeros(len(probes))
        calm = float(total_current(self.net, solve(self.net))[0])
        for number, net in enumerate(moved):
            state = solve(net)
            current = float(total_current(net, state)[0]) / calm - 1
            output = float(np.asarray(net.volts)) / self.full - 1
            for m, probe in enumerate(probes):
                if probe.group == "output-low-end":
                    shared[number, m] = output
                elif not probe.group.startswith("path"):
                    shared[number, m] = self._shift(probe, net, state, float(sound[m]))
                elif probe.unit == "mV":
                    shared[number, m] = current
                elif self.way.behind(probe):
                    shared[number, m] = output
        for m, probe in enumerate(probes):
            own[m] = self._own_spread(probe, float(sound[m]), shared[:, m])
        return np.vstack([shared, self.way.supply_spread(probes)]), own

    def _shift(self, probe: Probe, net: Ladders, state: State, sound: float) -> float:
        """Relative change of a reading of the panel."""
        red, black = (voltage(net, state, self.wiring.points[key])
                      for key in (probe.red, probe.black))  # fmt: skip
        return float((red - black)[0]) / sound - 1 if abs(sound) > FAINT else 0.0

    def _own_spread(self, probe: Probe, sound: float, shared: Floats) -> float:
        if probe.group == "output-low-end":
            # The step accepts more than the high end alone moves it by: control and trimmer.
            whole = deviation(band(self.desk["control.low_output"])) / sound
            return float(np.sqrt(max(whole**2 - float(np.sum(shared**2)), 0.0)))
        if probe.group == "path-mv":
            return JOINT_SPREAD
        if probe.group in ("path+", "path-"):
            return JOINT_SPREAD * abs(self.way.besides(probe)) / sound
        if probe.group in ("feeds", "rails"):
            return ROW_SPREAD
        if not probe.group.startswith("joints"):
            return 0.0
        number = next(n for n, wires in enumerate(self.wiring.jumpers) for wire in wires
                      if {probe.red, probe.black} == set(self.wiring.ends(wire)))  # fmt: skip
        whole = 1 / float(self.net.wide(self.net.links[number].conductance, self.net.rows)[0][0])
        joints = JOINT_SPREAD * 2**0.5 * self.desk["joint.resistance"].si / whole
        return float(np.hypot(joints, ROW_SPREAD))
