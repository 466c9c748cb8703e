"""Which of many suspects fits some readings best, and which reading tells most next.

Readings of a suspect scatter with the meter, with each part's own spread, and with what a whole
batch has in common; the last moves all readings together, so it is no reason to doubt one of them.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: Standard deviation of a reading that nobody can foretell. [V].
UNKNOWN = 10.0
#: Two suspects are told apart by a reading that differs by so many standard deviations.
APART = 4.0
#: What is a thousand times less likely than the best is out.
OUT = float(np.log(1000.0))


@dataclass(frozen=True)
class Signatures:
    """What every suspect would show at every reading."""

    expected: Floats
    """(suspect, reading); NaN: undefined. [V]."""
    shared: Floats
    """(cause, reading): relative change by one standard deviation of a common cause."""
    own: Floats
    """(reading,): relative standard deviation of the reading's own parts."""
    added: NDArray[np.bool_]
    """(suspect,): whether it only adds to what a sound part reads, so that no more than the sound
    reading scatters with the parts. The first suspect is the sound light."""
    digits: Floats
    """(reading,): the meter's error that does not grow with the reading. [V]."""
    share: float
    """The meter's error as a share of the reading."""
    over: Floats
    """(reading,): the range's end, which stands for all beyond it. [V]."""
    effort: Floats
    """(reading,): how much work it is, against the lightest."""

    @cached_property
    def sizes(self) -> Floats:
        """Expected readings, cut to the ranges; nothing where undefined."""
        return np.clip(np.nan_to_num(self.expected), -self.over, self.over)

    @cached_property
    def single(self) -> Floats:
        """Standard deviation of each reading by its own parts and the meter. [V]."""
        size = np.abs(self.sizes)
        # A meter's error is a limit: taken as even between both ends.
        meter = (self.share * size + self.digits) / np.sqrt(3.0)
        sound = np.where(self.added[:, None], np.minimum(size, size[0]), size)
        # Beyond its range a meter shows that and nothing else.
        found = np.where(size < self.over, np.hypot(meter, self.own * sound), meter)
        return np.where(np.isnan(self.expected), UNKNOWN, found)

    def score(self, readings: Mapping[int, float]) -> Floats:
        """Logarithm of the likelihood of every suspect, up to a constant.

        Parameters
        ----------
        readings : mapping of int to float
            Number of a reading to what was read. [V]
        """
        if not readings:
            return np.zeros(len(self.expected))
        taken = sorted(readings)
        ends = self.over[taken]
        read = np.clip([readings[number] for number in taken], -ends, ends)
        size = self.sizes[:, taken]
        moved = size[:, None, :] * self.shared[None][:, :, taken]
        spread = np.einsum("fkm,fkn->fmn", moved, moved)
        spread[:, range(len(taken)), range(len(taken))] += self.single[:, taken] ** 2
        off = read - size
        _, log_size = np.linalg.slogdet(spread)
        far = np.einsum("fm,fm->f", off, np.linalg.solve(spread, off[..., None])[..., 0])
        found: Floats = -0.5 * (far + log_size)
        return found

    def next_reading(self, score: Floats, taken: Collection[int]) -> int | None:
        """The reading that splits the likeliest suspects best; none where none splits them."""
        some = np.flatnonzero(score >= score.max() - OUT)
        weight = np.exp(score[some] - score.max())
        best, found = 0.0, None
        for number in range(self.expected.shape[1]):
            if number not in taken:
                worth = float(weight @ self.apart(some, number) @ weight) / self.effort[number]
                if worth > best * (1 + 1e-9):
                    best, found = worth, number
        return found

    def apart(self, suspects: Collection[int], reading: int) -> NDArray[np.bool_]:
        """Whether a reading tells suspects from one another: (suspect, suspect)."""
        some = list(suspects)
        size, single = self.sizes[some, reading], self.single[some, reading]
        found: NDArray[np.bool_] = (np.abs(size[:, None] - size)
                                    > APART * np.hypot(single[:, None], single))  # fmt: skip
        return found

    def off(self, suspect: int) -> Floats:
        """How far every reading of a suspect is from the sound one, in standard deviations."""
        far = np.abs(self.sizes[suspect] - self.sizes[0])
        found = far / np.hypot(self.single[suspect], self.single[0])
        return np.where(np.isnan(self.expected[suspect]), 0.0, found)

    @staticmethod
    def left(score: Floats) -> list[int]:
        """Suspects that are not out, the likeliest first."""
        order = np.argsort(-score, kind="stable")
        return [int(number) for number in order if score[number] >= score.max() - OUT]
