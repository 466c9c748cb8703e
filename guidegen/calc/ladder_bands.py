"""How far readings of a solved panel may lie from their values, by what its parts may be.

JCGM 100:2008, the guide to the expression of uncertainty in measurement: of a part only its limits
are known, so that any value between them is as likely (4.3.7). A part that is *shared* is the same
everywhere, as one reel or one batch is; of others each has its own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from guidegen.calc.ladder import Floats, Ladders, State
from guidegen.calc.ladder_readings import Reading, derivatives, moved, shapes, values
from guidegen.calc.ladder_solve import solve

#: Of the normal distribution's middle, two standard uncertainties hold 95 % (JCGM 100, 6.2.2).
COVERAGE = 2.0
#: Below this share of the full current a reading is no straight line of its parts (project
#: default; at 1 % of it a Monte Carlo is twice as wide). [-].
STRAIGHT = 0.1
#: Samples where it is none.
SAMPLES = 200
_STEP = 1e-3

DERIVATIVES, SAMPLED = "derivatives", "samples"


@dataclass(frozen=True)
class Part:
    """Something whose value is known within limits, and what it does to the network."""

    name: str
    half: float
    """Half of the width between its limits, in the unit of what `acts` takes."""
    acts: Mapping[str, Callable[[Floats], Floats]]
    """By kind of `ladder_readings.KINDS`: deviation, of an array of (case, ...), to a factor."""
    shared: bool = True
    """One deviation for all; else one for each, and `acts` names one kind."""
    of: int = 1
    """So many equal parts, each with its own deviation, make one."""

    @property
    def standard(self) -> float:
        """Standard uncertainty of one deviation."""
        return self.half / math.sqrt(3 * self.of)


@dataclass(frozen=True)
class Band:
    """A reading and how far it may lie from its value, the meter's error included."""

    name: str
    value: float
    standard: float
    """Standard uncertainty, the meter apart."""
    likely: tuple[float, float]
    """Within two standard uncertainties (k = 2), or 95 of 100 samples; never past the worst."""
    worst: tuple[float, float]
    """Every part at the limit that moves the reading that way, solved again."""
    method: str
    """`derivatives`, or `samples` where the light is too weak for them."""
    shares: Mapping[str, float]
    """Of each part in the square of the standard uncertainty; added up, 1."""
    meter: float = 0.0
    """Its error, on both sides of both bands."""

    def known(self, *names: str) -> float:
        """The standard uncertainty if these parts were known."""
        left = 1 - sum(self.shares[name] for name in names)
        return self.standard * math.sqrt(max(left, 0.0))

    def without(self, *names: str) -> tuple[float, float]:
        """The likely band if these parts were known, never past the one if they are not."""
        half = COVERAGE * self.known(*names) + self.meter
        return max(self.value - half, self.likely[0]), min(self.value + half, self.likely[1])


def bands(
    net: Ladders, state: State, readings: Sequence[Reading], parts: Sequence[Part], full: float
) -> list[Band]:
    """Bands of readings.

    Parameters
    ----------
    net : Ladders
        Of one case, its groups by `GroupLaw`.
    state : State
        Its solution.
    readings : Sequence[Reading]
        What is read.
    parts : Sequence[Part]
        What may be otherwise.
    full : float
        Current of the panel at full light. [A]

    Returns
    -------
    list of Band
        One for each reading. [V] or [A].

    References
    ----------
    .. [1] JCGM 100:2008, 5.1.2 and 6.2: sum of squares, coverage factor 2; from readings solved
       200 times where the current is below a tenth (JCGM 101:2008, 7.7: 95 of 100).
    """
    size = shapes(net)
    by = derivatives(net, state, readings)
    count = len(readings)
    slopes = [_slopes(part, by, size) for part in parts]
    squares = np.array([
        ((slope.reshape(count, -1) * part.standard) ** 2).sum(axis=1)
        for part, slope in zip(parts, slopes, strict=True)
    ]).reshape(len(parts), count)  # fmt: skip
    whole = squares.sum(axis=0)
    middle, error = values(net, state, readings)[0], np.array([one.meter for one in readings])
    # Upward for each reading, then downward.
    ends = [np.concatenate([np.sign(slope), -np.sign(slope)]) * part.half
            for part, slope in zip(parts, slopes, strict=True)]  # fmt: skip
    corners = read_moved(net, parts, ends, readings)[:, np.arange(2 * count) % count].diagonal()
    high, low = np.maximum(corners[:count], middle), np.minimum(corners[count:], middle)
    standard = np.sqrt(whole)
    likely = middle - COVERAGE * standard, middle + COVERAGE * standard
    method = DERIVATIVES
    if state.currents.sum() < STRAIGHT * full:
        method = SAMPLED
        found = read_moved(net, parts, _samples(parts, size), readings)
        standard = found.std(axis=0, ddof=1)
        likely = tuple(np.quantile(found, (0.025, 0.975), axis=0))
    return [
        Band(
            one.name, float(middle[k]), float(standard[k]),
            (float(max(likely[0][k], low[k]) - error[k]),
             float(min(likely[1][k], high[k]) + error[k])),
            (float(low[k] - error[k]), float(high[k] + error[k])), method,
            {part.name: float(squares[number, k] / whole[k]) if whole[k] else 0.0
             for number, part in enumerate(parts)},
            one.meter,
        )
        for k, one in enumerate(readings)
    ]  # fmt: skip


def _slopes(part: Part, by: dict[str, Floats], size: dict[str, tuple[int, ...]]) -> Floats:
    """Derivatives of every reading by a part: (reading,), or (reading, ...) of parts of their own.

    The logarithm of a factor is differentiated on both sides of no deviation.
    """
    step = _STEP * part.half or _STEP
    found: list[Floats] = []
    for kind, act in part.acts.items():
        here = np.full((2, *(1,) * len(size[kind])), step)
        here[1] = -step
        high, low = np.log(act(here))
        found.append(by[kind] * ((high - low) / (2 * step)))
    if not part.shared:
        return found[0]
    total: Floats = sum(one.reshape(len(one), -1).sum(axis=1) for one in found)
    return total


def read_moved(
    net: Ladders, parts: Sequence[Part], deviations: Sequence[Floats], readings: Sequence[Reading]
) -> Floats:
    """Readings of a network with parts that deviate: (case, reading). [V] or [A].

    Parameters
    ----------
    net : Ladders
        Of one case, its groups by `GroupLaw`.
    parts : Sequence[Part]
        What deviates.
    deviations : Sequence[Floats]
        Of each part: (case,), or (case, ...) of parts of their own, as `shapes` has them.
    readings : Sequence[Reading]
        What is read.
    """
    size, cases = shapes(net), len(deviations[0])
    factors: dict[str, Floats] = {}
    for part, deviation in zip(parts, deviations, strict=True):
        for kind, act in part.acts.items():
            shape = (cases, *(1,) * len(size[kind])) if part.shared else (cases, *size[kind])
            factors[kind] = factors.get(kind, np.ones(1)) * act(deviation.reshape(shape))
    # A case has all axes of its kind, or arrays of one case and of many are told apart no more.
    factors = {kind: np.broadcast_to(one, (cases, *size[kind])) for kind, one in factors.items()}
    net = moved(net, factors, cases)
    return values(net, solve(net), readings)


def _samples(parts: Sequence[Part], size: dict[str, tuple[int, ...]]) -> list[Floats]:
    """Deviations of each part, spread evenly over its limits and mixed by chance (Latin hypercube).

    The chance is always the same one.
    """
    chance = np.random.Generator(np.random.PCG64(1))
    even = (np.arange(SAMPLES) + 0.5) * 2 / SAMPLES - 1
    found = []
    for part in parts:
        shape = () if part.shared else size[next(iter(part.acts))]
        deck = np.broadcast_to(even, (*shape, part.of, SAMPLES))
        mixed = chance.permuted(deck, axis=-1).mean(axis=-2)
        found.append(part.half * np.moveaxis(mixed, -1, 0))
    return found
