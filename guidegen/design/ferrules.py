"""Ferrules on the ends of wires: which ends share one, and how long it is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace

from guidegen.calc.ferrules import ferrule_barrel, stripped_for
from guidegen.design.model import Conductor
from guidegen.design.result import PRACTICE
from guidegen.kinds import FineMetre
from guidegen.values import Value, given

FERRULE, TWIN = "ferrule", "twin"
#: Bare wire under the collar, so that the insulation never enters the barrel. [m].
COLLAR = 0.002


@dataclass(frozen=True)
class Ferrule:
    """What an end gets."""

    barrel: Value
    """Length of its metal."""
    strip: Value
    """Length that is bared."""


def ferrule_for(area: float, treatment: str) -> Ferrule:
    """The ferrule of an end.

    Parameters
    ----------
    area : float
        Of one wire. [m²]
    treatment : str
        FERRULE or TWIN.

    Raises
    ------
    RangeError
        If none is made for so thick a wire.
    """
    barrel = ferrule_barrel(area, "twin" if treatment == TWIN else "single")
    return Ferrule(given("ferrule.barrel", FineMetre, barrel, "DIN 46228-4, from memory"),
                   given("ferrule.strip", FineMetre, stripped_for(barrel, COLLAR),
                         PRACTICE))  # fmt: skip


def shared(conductors: Iterable[Conductor]) -> dict[tuple[str, str], str]:
    """(wire, terminal) to the other wire in its ferrule: feeds of one size under one screw.

    Two bare or two singly ferruled wires under one screw hold badly: the second one slips.
    """
    ends: dict[tuple[str, float], list[str]] = defaultdict(list)
    for wire in conductors:
        for key, treatment in ((wire.start, wire.start_treatment), (wire.end, wire.end_treatment)):
            if wire.role == "feed" and treatment in (FERRULE, TWIN):
                ends[key, wire.size.si].append(wire.ref)
    found: dict[tuple[str, str], str] = {}
    for (key, _), refs in ends.items():
        for one, other in zip(refs[::2], refs[1::2], strict=False):
            found |= {(one, key): other, (other, key): one}
    return found


def twinned(conductors: tuple[Conductor, ...]) -> tuple[Conductor, ...]:
    """The conductors, ends that share a ferrule marked."""
    pairs = shared(conductors)
    return tuple(
        replace(
            wire,
            start_treatment=TWIN if (wire.ref, wire.start) in pairs else wire.start_treatment,
            end_treatment=TWIN if (wire.ref, wire.end) in pairs else wire.end_treatment,
        )
        for wire in conductors
    )
