"""What every reading shows, by solving the circuit as it stands at its step.

The printed expectation stays the closed-form law of the design with its band; the solved value is
its check, from other equations: Kirchhoff's laws over the joints that the steps have made.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf, isinf

from guidegen.calc.circuits import Circuit, Resistor
from guidegen.calc.nodal import NoSolutionError, Solution, resistances, solve
from guidegen.design.model import owner
from guidegen.guide.efficient import settled
from guidegen.guide.netlist import SHUNT, Netlist, UnknownError
from guidegen.guide.readings import on_the_supply
from guidegen.guide.state import Power, State
from guidegen.guide.step import Reading
from guidegen.kinds import Ohm, kind_of

Found = Iterator[tuple[str, str]]
#: Instruments whose reading follows from the circuit.
SOLVED = ("ohms", "volts", "mv", "amps", "short")
#: Of ohms: what holds on one side of a limit.
CLAIMS = ("joined", "open", "not-short")


@dataclass(frozen=True)
class Solved:
    """One reading, solved."""

    reading: Reading
    values: tuple[float, ...]
    """What the meter shows at each pair of points, in SI; infinite: open."""
    tried: tuple[str, ...] = ()
    """What was needed beside whole steps from nothing, and modes that were changed."""

    @property
    def low(self) -> float:
        """The least of them."""
        return min(self.values)

    @property
    def high(self) -> float:
        """The greatest of them."""
        return max(self.values)


class Solver:
    """Solves the states of a walk; a state that did not change is solved once."""

    def __init__(self) -> None:
        self._key: object = None
        self._circuit: Circuit | None = None
        self._solution: Solution | None = None

    def reading(self, reading: Reading, state: State) -> Solved | None:
        """What a reading shows; None where no circuit decides it.

        Raises
        ------
        UnknownError
            If it depends on something that nobody has set.
        NoSolutionError
            If the circuit can't be solved.
        """
        if reading.absent or reading.aside or reading.instrument not in SOLVED:
            return None
        if reading.instrument == "ohms":
            return Solved(reading, resistances(self._dead(state), reading.probes))
        power = state.power or _own(reading, state)
        if power is None:
            return None
        solution = self._live(state, power)
        if reading.instrument == "amps":
            return Solved(reading, (solution.currents["supply"],), solution.tried)
        if reading.instrument == "short":
            shorts = [_shorted(solution, *pair) for pair in reading.probes]
            tried = dict.fromkeys(text for _, texts in shorts for text in texts)
            return Solved(reading, tuple(amps for amps, _ in shorts), tuple(tried))
        volts = tuple(solution.between(*pair) for pair in reading.probes)
        return Solved(reading, volts, solution.tried)

    def _dead(self, state: State) -> Circuit:
        key = ("dead", *_stands(state))
        if key != self._key or self._circuit is None:
            self._key, self._circuit = key, Netlist(state, None).circuit
        return self._circuit

    def _live(self, state: State, power: Power) -> Solution:
        key = ("live", power, *_stands(state))
        if key != self._key or self._solution is None:
            netlist = Netlist(state, power)
            found = settled(netlist.circuit, power.points[1], state.facts)
            unset = [thing for point, thing in netlist.unknown.items() if point in found.volts]
            if unset:
                raise UnknownError(unset[0])
            self._solution, self._key = found, key
        return self._solution


def _stands(state: State) -> tuple[object, ...]:
    return (frozenset(state.joints), frozenset(state.fitted), tuple(state.positions.items()))


def _own(reading: Reading, state: State) -> Power | None:
    """A supply that is read at its own terminals, with nothing else powered."""
    volts = state.facts.get("supply.voltage")
    if not on_the_supply(reading, state) or not isinstance(volts, int | float):
        return None
    ref = owner(reading.probes[0][0])
    return Power("supply", (f"{ref}:+", f"{ref}:-"), inf, float(volts))


def _shorted(solution: Solution, red: str, black: str) -> tuple[float, tuple[str, ...]]:
    """The current through a meter on amperes [A], and what was tried to find it."""
    short = solve(solution.circuit.beside(Resistor(red, black, SHUNT)), solution.ground)
    return (short.volts[red] - short.volts[black]) / SHUNT, short.tried


def judged(solved: Solved) -> Found:
    """What a solved reading and what the step claims of it disagree in."""
    reading = solved.reading
    # A supply's display shows one current, wherever it is clipped.
    pairs = reading.probes if len(reading.probes) == len(solved.values) else reading.probes[:1]
    wrong = [(" to ".join(pair), text) for pair, value in zip(pairs, solved.values, strict=True)
             if (text := _against(reading, value))]  # fmt: skip
    if wrong:
        where, text = wrong[0]
        more = f"; and {len(wrong) - 1} more of its points" if len(wrong) > 1 else ""
        yield "solved", f"{reading.instrument} {where} solves to {text}{more}"


def _against(reading: Reading, value: float) -> str:
    if reading.expected is None:
        return ""
    text = shown(reading, value, finer=1) or "an open circuit"
    if reading.holds not in CLAIMS:
        # A meter is read as finely as the step prints, not finer.
        kind = reading.expected.kind.sized(reading.expected.si)
        read = kind.as_shown(value, "nearest", kind.step_at(reading.expected.si))
        slip = 1e-9 * abs(reading.expected.si)
        holds = reading.least - slip <= read <= reading.most + slip
        return "" if holds else f"{text}, and the step prints {reading.low} to {reading.high}"
    below = value < reading.expected.si
    holds = below == (reading.holds == "joined")
    return "" if holds else f"{text}, and {reading.holds} means {reading.says}"


def shown(reading: Reading, value: float, finer: int = 0) -> str:
    """A solved value as the reading's expectation is printed; empty: an open circuit.

    Raises
    ------
    ValueError
        If the reading expects no number.
    """
    if reading.expected is None:
        raise ValueError(f"{reading.instrument} expects no number")
    if isinf(value):
        return ""
    if reading.holds in CLAIMS:
        return kind_of(Ohm).text(value, finer)
    kind = reading.expected.kind.sized(reading.expected.si)
    return kind.text(value, finer, toward="nearest", step=kind.step_at(reading.expected.si))


def solves(
    reading: Reading, state: State, solver: Solver
) -> tuple[Solved | None, list[tuple[str, str]]]:
    """A reading solved, and what the walk finds wrong with it.

    Parameters
    ----------
    reading : Reading
        One of the step's.
    state : State
        The light when it is read.
    solver : Solver
        Keeps what it solved of this walk.
    """
    where = reading.where or reading.instrument
    try:
        found = solver.reading(reading, state)
    except UnknownError as error:
        return None, [("solved", f"{where}: what it shows hangs on {error}, which nobody has set")]
    except NoSolutionError as error:
        return None, [("solved", f"{where}: {error}")]
    return found, list(judged(found)) if found else []
