"""What the multimeter must be able to show, from all that the steps read with it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from math import isfinite

from guidegen.guide.ranges import range_of
from guidegen.guide.step import Reading, Step
from guidegen.kinds import Kind, VoltRating, kind_of

#: A limit that is printed so is judged in hundredths.
_HUNDREDTHS = re.compile(r"\d\.\d\d")
_VOLT: Kind = kind_of(VoltRating)


def meter_needs(steps: Sequence[Step], stop: float) -> Mapping[str, str]:
    """Ends of what must be shown, as texts; empty where no step asks for it.

    Parameters
    ----------
    steps : sequence of Step
        Of the guide.
    stop : float
        Highest voltage that a setting may pass on its way: the hand stops there. [V]

    Returns
    -------
    mapping of str to str
        `fine`: volts that are judged in hundredths; `volts`: higher ones, in tenths; `mv`: the
        first range of millivolts; `ohms`: the highest range; `short`: range of a current.
    """
    reads = [one for step in steps for one in step.reads if not one.absent]
    judged = [one for one in reads if one.instrument == "volts" and _in_hundredths(one)]
    fine = max(_highest(judged), stop)
    volts = _highest(one for one in reads if one.instrument == "volts")
    return {
        "fine": _VOLT.text(fine, toward="up"),
        "volts": _VOLT.text(volts, toward="up") if volts > fine else "",
        "mv": _range(reads, "mv", first=True),
        "ohms": _range(reads, "ohms"),
        "short": _range(reads, "short"),
    }


def _in_hundredths(reading: Reading) -> bool:
    return any(_HUNDREDTHS.search(text) for text in (reading.target, reading.low, reading.high))


def _highest(reads: Iterable[Reading]) -> float:
    """The greatest voltage that is right at any of them. [V]."""
    return max((_end(one) for one in reads), default=0.0)


def _end(reading: Reading) -> float:
    expected = abs(reading.expected.si) if reading.expected is not None else 0.0
    return max(expected, abs(reading.most) if isfinite(reading.most) else 0.0)


def _range(reads: Iterable[Reading], instrument: str, first: bool = False) -> str:
    """The widest range of an instrument that is read in, or the narrowest, as it is printed."""
    mine = [one for one in reads if one.instrument == instrument and one.expected is not None]
    if not mine:
        return ""
    chosen = min(mine, key=_end) if first else max(mine, key=_end)
    return range_of(instrument, chosen.expected, chosen.most)
