"""A small solver of direct-current circuits: every point's voltage, every source's current.

Modified nodal analysis with Newton's method. LED groups follow any law of current over voltage;
supplies and regulators have modes, such as holding a voltage or a current, which
are changed one at a time until none contradicts itself. What does not converge is an error that
says what was tried, never a result.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from guidegen.calc.circuits import Circuit, Resistor
from guidegen.calc.nodal_system import GROUND, MODES, Modes, System, all_modes, entries, first_modes
from guidegen.errors import GuidegenError
from guidegen.islands import Islands

Floats = NDArray[np.float64]

#: What a digital multimeter puts between its probes on volts (common practice, from memory).
#: [ohm].
METER = 10e6
#: Steps of Newton's method, and halvings of one step: far more than any light takes.
MOST_STEPS, MOST_HALVINGS = 60, 8
#: A step of less than this share of the greatest voltage ends the search. [-].
SETTLED = 1e-8
#: Shares of the full voltage by which it is raised where the full one fails at once.
RAMP = tuple(share / 10 for share in range(1, 11))


class NoSolutionError(GuidegenError):
    """A circuit whose equations were not met; its text says what was tried."""


@dataclass(frozen=True)
class Solution:
    """A circuit that was solved."""

    circuit: Circuit
    ground: str
    volts: dict[str, float]
    """Of every point that hangs together with the ground, against it. [V]."""
    currents: dict[str, float]
    """What every source and the output of every regulator gives, by name. [A]."""
    modes: Modes
    """Mode of every source, regulator and cut-off, by name."""
    floating: tuple[str, ...]
    """Points that nothing ties to the ground: they have no voltage."""
    tied: Islands
    """Points that something that conducts ties together."""
    tried: tuple[str, ...]

    def between(self, red: str, black: str) -> float:
        """What a voltmeter shows, itself an element where it touches what else would float. [V].

        Raises
        ------
        NoSolutionError
            If the circuit with the meter can't be solved.
        """
        ground = self.tied.root(self.ground)
        if self.tied.root(red) == ground and self.tied.root(black) == ground:
            # Its microampere is nothing to what conducts.
            return self.volts[red] - self.volts[black]
        with_meter = solve(self.circuit.beside(Resistor(red, black, METER)), self.ground)
        if red not in with_meter.volts or black not in with_meter.volts:
            return 0.0
        return with_meter.volts[red] - with_meter.volts[black]


def solve(circuit: Circuit, ground: str) -> Solution:
    """Solve a circuit.

    Parameters
    ----------
    circuit : Circuit
        Its elements.
    ground : str
        The point that voltages are counted from, such as the negative pole of the supply.

    Raises
    ------
    NoSolutionError
        If the equations are not met.

    References
    ----------
    .. [1] C.-W. Ho, A. E. Ruehli, P. A. Brennan, "The modified nodal approach to network
       analysis", IEEE Transactions on Circuits and Systems 22 (1975), from memory.
    """
    whole = Islands(circuit.links())
    home = whole.root(ground)
    floating = tuple(point for point in whole.named() if whole.root(point) != home)
    system = System(circuit, [p for p in whole.named() if whole.root(p) == home], ground)
    tried: list[str] = []
    found, modes = _settled(system, tried)
    volts = {point: float(found[i]) for point, i in system.at.items() if i != GROUND}
    volts[ground] = 0.0
    return Solution(circuit, ground, volts, system.currents(found), modes, floating,
                    Islands(system.conducting(found, modes)), tuple(tried))  # fmt: skip


def _settled(system: System, tried: list[str]) -> tuple[Floats, Modes]:
    """Unknowns and modes that agree with one another.

    One contradiction after another is mended; where that leads in a circle, as with a supply too
    weak for a regulator, every other combination of modes is tried.
    """
    modes: Modes | None = first_modes(system)
    found: Floats | None = None
    every = all_modes(system)
    seen: list[Modes] = []
    while modes is not None:
        seen.append(modes)
        change: tuple[str, str] | None = None
        try:
            found = _ramped(system, modes, found, tried)
        except NoSolutionError:
            found = None
        else:
            change = system.contradiction(found, modes)
            if change is None:
                return found, modes
        following = {**modes, change[0]: change[1]} if change else modes
        if change and following not in seen:
            tried.append(f"{change[0]}: {MODES[modes[change[0]]]}, then {MODES[change[1]]}")
        else:
            following = {}
        modes = following or next((other for other in every if other not in seen), None)
    raise NoSolutionError(f"no state of the circuit agrees with itself; tried {_told(tried)}")


def _ramped(system: System, modes: Modes, start: Floats | None, tried: list[str]) -> Floats:
    """The unknowns for these modes: from where it stands, from nothing, or with rising voltage."""
    for text, first in (("from the last state", start), ("from nothing", None)):
        if first is None and text != "from nothing":
            continue
        found = _newton(system, modes, first, 1.0)
        if found is not None:
            return found
        tried.append(f"Newton's method {text}")
    found = None
    for share in RAMP:
        found = _newton(system, modes, found, share)
        if found is None:
            tried.append("supplies raised by tenths")
            break
    if found is None:
        raise NoSolutionError(f"the circuit did not converge; tried {_told(tried)}")
    return found


def _told(tried: Sequence[str]) -> str:
    return "; ".join(dict.fromkeys(tried)) or "nothing"


def _newton(system: System, modes: Modes, start: Floats | None, share: float) -> Floats | None:
    """Newton's method with halved steps where a whole one makes it worse; None: it failed."""
    found = system.start(modes, share) if start is None else start
    if found is None:
        return None
    rest = system.residual(found, modes, share)
    size = system.size(rest)
    for _ in range(MOST_STEPS):
        step = system.step(found, rest, modes)
        if step is None:
            return None
        found, rest, least = _nearest(system, modes, share, (found, step, size))
        # Rounding alone moves points that are tied by a few tenths of a milliohm by so much.
        done = float(np.max(np.abs(step), initial=0.0)) <= SETTLED * (1 + system.scale)
        if done and least <= system.noise:
            return found
        size = least
    return None


def _nearest(
    system: System, modes: Modes, share: float, at: tuple[Floats, Floats, float]
) -> tuple[Floats, Floats, float]:
    """The best of a whole step, a half, a quarter ...: the first that makes it better."""
    found, step, size = at
    best: tuple[Floats, Floats, float] | None = None
    for halving in range(MOST_HALVINGS):
        there = found + step / 2**halving
        rest = system.residual(there, modes, share)
        now = system.size(rest)
        if best is None or now < best[2]:
            best = there, rest, now
        if now <= max(size, system.noise):
            break
    assert best is not None
    return best


def resistances(circuit: Circuit, pairs: Iterable[tuple[str, str]]) -> tuple[float, ...]:
    """What an ohmmeter shows on the dead circuit, of whose elements only resistors conduct.

    Its test voltage is too low to light LEDs or to wake a module (common practice, from memory).

    Parameters
    ----------
    circuit : Circuit
        Its elements.
    pairs : Iterable[tuple[str, str]]
        Points of both probes.

    Returns
    -------
    tuple of float
        Resistance between each pair; infinite where nothing joins them. [ohm]

    References
    ----------
    .. [1] Effective resistance: e'·L⁻¹·e, with L the matrix of conductances of the island with
       one of its points left out.

    Examples
    --------
    >>> divider = Circuit([Resistor("a", "b", 100.0), Resistor("b", "c", 200.0)])
    >>> [round(ohms, 9) for ohms in resistances(divider, [("a", "c"), ("a", "d")])]
    [300.0, inf]
    """
    islands = Islands((one.a, one.b) for one in circuit.resistors)
    members: dict[str, list[Resistor]] = {}
    for one in circuit.resistors:
        members.setdefault(islands.root(one.a), []).append(one)
    inverses: dict[str, tuple[dict[str, int], Floats]] = {}
    return tuple(_ohms(pair, islands, members, inverses) for pair in pairs)


def _ohms(
    pair: tuple[str, str],
    islands: Islands,
    members: dict[str, list[Resistor]],
    inverses: dict[str, tuple[dict[str, int], Floats]],
) -> float:
    red, black = pair
    if red == black:
        return 0.0
    home = islands.root(red)
    if islands.root(black) != home:
        return inf
    if home not in inverses:
        inverses[home] = _inverse(members[home])
    at, inverse = inverses[home]
    i, j = at[red], at[black]
    # The last row and column are the point left out: zeros.
    return float(inverse[i, i] + inverse[j, j] - inverse[i, j] - inverse[j, i])


def _inverse(resistors: Sequence[Resistor]) -> tuple[dict[str, int], Floats]:
    """Points of an island by number, and the inverse of its conductances, zeros added."""
    names = dict.fromkeys(point for one in resistors for point in (one.a, one.b))
    at = {point: i for i, point in enumerate(names)}
    whole = np.zeros((len(at), len(at)))
    for one in resistors:
        for i, j, value in entries(at[one.a], at[one.b], 1 / one.ohms):
            whole[i, j] += value
    inverse = np.zeros_like(whole)
    inverse[:-1, :-1] = np.linalg.inv(whole[:-1, :-1])
    return at, inverse
