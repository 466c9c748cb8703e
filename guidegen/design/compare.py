"""Two designs side by side: which finding of one is which of the other."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from guidegen.design.result import Design, Finding

#: What tells findings of one id apart.
WHICH = ("conductor", "contact", "lead", "spares", "supply", "peak")
#: The worst first.
LEVELS = ("stop", "advice", "holds")
Identity = tuple[str, ...]
Pair = tuple[Finding | None, Finding | None]


def identity(finding: Finding) -> Identity:
    """What a finding judges: its id, and the conductor or contact that it is about."""
    return (finding.id, *(str(finding.names.get(word, "")) for word in WHICH))


def stops(design: Design) -> frozenset[Identity]:
    """What forbids building a design."""
    return frozenset(identity(one) for one in design.findings if one.level == "stop")


def fresh_stops(design: Design, before: Design) -> tuple[Finding, ...]:
    """The stops of a design that another one has not."""
    old = stops(before)
    return tuple(one for one in design.findings
                 if one.level == "stop" and identity(one) not in old)  # fmt: skip


def paired(before: Sequence[Finding], after: Sequence[Finding]) -> list[Pair]:
    """Findings of two designs that judge the same, in the order of the later one.

    Returns
    -------
    list of tuple
        Before and after; None where only one of the designs has it.
    """
    names = dict.fromkeys(identity(one) for one in (*after, *before))
    return [
        pair
        for name in names
        for pair in zip_longest(
            [one for one in before if identity(one) == name],
            [one for one in after if identity(one) == name],
        )
    ]


def worse(before: Finding | None, after: Finding | None) -> bool:
    """Whether what was kept, or was not judged, is a stop or an advice now.

    A limit from memory that is kept is an advice in both: that alone is no worse.
    """
    ranks = [
        LEVELS.index("holds" if one is None or one.names.get("kept") else one.level)
        for one in (before, after)
    ]
    return ranks[1] < ranks[0]


def moved(before: Finding | None, after: Finding | None) -> bool:
    """Whether a finding says something else: its level, or a number or word of its sentence."""
    said = [
        one
        and (one.level, str(one.found), str(one.required),
             {word: str(name) for word, name in one.names.items()})
        for one in (before, after)
    ]  # fmt: skip
    return said[0] != said[1]
