"""The work plan: what two people can do side by side, and how long it takes from first to last."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from guidegen.content.when import Fact
from guidegen.design.model import Model
from guidegen.guide.step import Step
from guidegen.guide.touched import must_wait, touches

#: Whoever checks or accepts is never the builder of that piece.
BUILDER = "B"
#: Hands that a plan is made for; more than two stand in each other's way at one light.
MOST_HANDS = 2


@dataclass(frozen=True)
class Turn:
    """One step of a plan. [min]."""

    step: Step
    begins: float
    ends: float
    """When the hands are free again."""
    people: tuple[int, ...]
    """From 1. The first builds, any other helps. A check takes all: each looks at others' work."""
    checks: tuple[tuple[int, tuple[Step, ...]], ...] = ()
    """Who checks which steps; empty for work, and where one works alone."""

    @property
    def done(self) -> float:
        """When what waits for it may begin: glue has cured. [min]."""
        return self.ends + _waiting(self.step)


@dataclass(frozen=True)
class Plan:
    """The work of one copy for so many people."""

    people: int
    turns: tuple[Turn, ...]
    """In the order of their beginnings."""

    @property
    def length(self) -> float:
        """From the first step to the end of the last one, nights not counted. [min]."""
        return max((turn.done for turn in self.turns), default=0.0)


@dataclass(frozen=True)
class Work:
    """What follows from which step must wait for which."""

    alone: Plan
    together: Plan
    longest: tuple[Step, ...]
    """Steps that wait for one another, from the first to the last, and take longest."""
    longest_time: float
    """No number of hands makes it shorter. [min]"""
    longest_hands_on: float
    """Of it, what is no waiting. [min]"""
    least_tools: tuple[str, ...]
    """Tools of which two people want one each at some time, and have to take turns."""


def work(model: Model, steps: Sequence[Step], facts: Mapping[str, Fact]) -> Work:
    """Plan the steps for one person and for two, each tool and each work piece there once.

    Parameters
    ----------
    model : Model
        The design's parts and circuit.
    steps : sequence of Step
        In working order.
    facts : mapping of str to fact
        As `guidegen.guide.walk.walk` takes them.
    """
    after = must_wait(model, steps, facts)
    tails = _tails(steps, after)
    way = _longest(steps, after, tails)
    pieces = [one.pieces for one in touches(model, steps, facts)]
    wanted: set[str] = set()
    alone = _planned(steps, after, tails, pieces, 1, set())
    together = _planned(steps, after, tails, pieces, MOST_HANDS, wanted)
    return Work(
        alone,
        together,
        tuple(steps[i] for i in way),
        sum(_whole(steps[i]) for i in way),
        sum(steps[i].minutes.si for i in way),
        tuple(sorted(wanted)),
    )


def _waiting(step: Step) -> float:
    return step.waiting.si * 60 if step.waiting else 0.0


def _whole(step: Step) -> float:
    return step.minutes.si + _waiting(step)


def _tails(steps: Sequence[Step], after: Sequence[frozenset[int]]) -> list[float]:
    """For each step the time from its beginning to the end of all that waits for it. [min]."""
    tails = [_whole(step) for step in steps]
    for number in reversed(range(len(steps))):
        for first in after[number]:
            tails[first] = max(tails[first], _whole(steps[first]) + tails[number])
    return tails


def _longest(
    steps: Sequence[Step], after: Sequence[frozenset[int]], tails: Sequence[float]
) -> list[int]:
    """The way of steps that takes longest, in their order."""
    if not steps:
        return []
    at = max(range(len(steps)), key=lambda i: (tails[i], -i))
    way = [at]
    while True:
        following = [i for i in range(len(steps)) if at in after[i]]
        if not following:
            return way
        at = max(following, key=lambda i: (tails[i], -i))
        way.append(at)


def _planned(
    steps: Sequence[Step],
    after: Sequence[frozenset[int]],
    tails: Sequence[float],
    pieces: Sequence[frozenset[str]],
    people: int,
    wanted: set[str],
) -> Plan:
    """Whoever is free takes the step, of those that wait for nothing, with most behind it."""
    done: dict[int, float] = {}
    everybody = tuple(range(1, people + 1))
    free = dict.fromkeys(range(1, people + 1), 0.0)
    tools: dict[str, float] = {}
    held: dict[str, float] = {}  # until when a work piece is in somebody's hands
    vapour = heat = 0.0  # until when there is some in the room
    turns: list[Turn] = []
    left, now = list(range(len(steps))), 0.0
    while left:
        for person in everybody:
            if free[person] > now:
                continue
            ready = [i for i in left if all(done.get(j, float("inf")) <= now for j in after[i])]
            idle = max(free.values()) <= now
            mine = [i for i in ready if idle or not _takes_all(steps[i])]
            fit = [i for i in mine if all(tools.get(t.id, 0.0) <= now for t in steps[i].tools)]
            if not fit:
                busy = {t.name for i in mine for t in steps[i].tools if tools.get(t.id, 0.0) > now}
                wanted |= busy
                continue
            fit = [i for i in fit if all(held.get(piece, 0.0) <= now for piece in pieces[i])]
            fit = [i for i in fit if not ((_heats(steps[i]) and vapour > now)
                                          or (_vapours(steps[i]) and heat > now))]  # fmt: skip
            if not fit:
                continue
            chosen = max(fit, key=lambda i: (tails[i], -i))
            others = tuple(one for one in everybody if one != person)
            helped = others if _takes_all(steps[chosen]) else ()
            checked = people > 1 and steps[chosen].who != BUILDER
            working = everybody if checked else (person, *helped)
            checks = _checks(turns, everybody) if checked else ()
            turn = Turn(steps[chosen], now, now + steps[chosen].minutes.si, working, checks)
            turns.append(turn)
            left.remove(chosen)
            done[chosen] = turn.done
            vapour = max(vapour, turn.done if _vapours(turn.step) else 0.0)
            heat = max(heat, turn.ends if _heats(turn.step) else 0.0)
            free |= dict.fromkeys(working, turn.ends)
            tools |= dict.fromkeys((tool.id for tool in steps[chosen].tools), turn.ends)
            held |= dict.fromkeys(pieces[chosen], turn.ends)
        # Until something dries, a step ends, or a tool is laid down.
        later = [t for t in (*done.values(), *free.values(), *tools.values()) if t > now]
        now = min(later, default=now)
    return Plan(people, tuple(turns))


def _takes_all(step: Step) -> bool:
    """Whether nobody is left for another step meanwhile."""
    return step.who != BUILDER or step.pair


def _vapours(step: Step) -> bool:
    """What it leaves to dry gives off vapour that can burn."""
    return any(use.flammable for use in step.consumables)


def _heats(step: Step) -> bool:
    """A tool of it can light that vapour."""
    return any(tool.hot for tool in step.tools)


def _checks(
    turns: Sequence[Turn], everybody: Sequence[int]
) -> tuple[tuple[int, tuple[Step, ...]], ...]:
    """To each person the steps since the last hold point that somebody else built."""
    last = max((i for i, turn in enumerate(turns) if turn.step.hold), default=-1)
    built = [turn for turn in turns[last + 1 :] if turn.step.who == BUILDER]
    return tuple(
        (one, tuple(turn.step for turn in built if one != turn.people[0])) for one in everybody
    )
