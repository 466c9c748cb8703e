"""Where a step leads whose reading is not as it must be: an entry of fault finding."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # a reading knows its routes
    from guidegen.guide.step import Reading, Step


@dataclass(frozen=True)
class Routes:
    """What a reading's own header says; the ids of entries, `""` where it says nothing."""

    if_not: str = ""
    if_all: str = ""
    """Where it fails alike at every point that is read."""
    if_high: str = ""
    if_low: str = ""

    def named(self) -> Iterator[tuple[str, str]]:
        """(key of the header, entry) of those that are said."""
        for key in ("if_not", "if_all", "if_high", "if_low"):
            if entry := getattr(self, key):
                yield key, entry


@dataclass(frozen=True)
class Way:
    """One way to fail, and the entry that it leads to."""

    how: str
    """all, one, high, low; `""`: whichever way."""
    fault: str


def ways(step: Step, reading: Reading, there: Collection[str]) -> tuple[Way, ...]:
    """Where a reading leads in this fixture.

    Parameters
    ----------
    step : Step
        Its own `if_not` is where a reading leads that says nothing, or whose entry is not here.
    reading : Reading
        One of its readings.
    there : collection of str
        Entries of this fixture's guide.
    """
    said = reading.routes
    plain = said.if_not if said.if_not in there else step.if_not
    high, low = (one if one in there else plain for one in (said.if_high, said.if_low))
    every = said.if_all if said.if_all in there else ""
    sides = [Way("high", high), Way("low", low)] if high != low else [Way("", high)]
    if not every or sides == [Way("", every)]:
        return tuple(sides)
    if len(sides) == 1:
        sides = [Way("one", sides[0].fault)]
    return (Way("all", every), *sides)


def step_ways(step: Step, there: Collection[str]) -> dict[int, tuple[Way, ...]]:
    """By their numbers, where the readings of a step lead that are in this fixture."""
    return {one.number: ways(step, one, there) for one in step.reads if not one.absent}


def led_to(step: Step, there: Collection[str]) -> set[str]:
    """All entries that a step leads to."""
    found = {way.fault for one in step_ways(step, there).values() for way in one}
    return found or ({step.if_not} if step.if_not else set())
