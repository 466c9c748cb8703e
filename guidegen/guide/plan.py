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
    """One step of a plan, or the part of it that follows its waiting. [min]."""

    step: Step
    begins: float
    ends: float
    """When the hands are free again."""
    people: tuple[int, ...]
    """From 1. The first builds, any other helps. A check takes all: each looks at others' work."""
    checks: tuple[tuple[int, tuple[Step, ...]], ...] = ()
    """Who checks which steps; empty for work, and where one works alone."""
    rest: bool = False
    """It is what follows the waiting."""

    @property
    def done(self) -> float:
        """When what waits for it may begin: glue has cured. [min]."""
        return self.ends + (0.0 if self.rest else _waiting(self.step))


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


@dataclass
class _Shop:
    """Until when whom and what is busy. [min]."""

    free: dict[int, float]
    tools: dict[str, float]
    held: dict[str, float]
    """Work pieces, in somebody's hands or curing: nobody works on a board whose glue is wet."""
    vapour: float = 0.0
    heat: float = 0.0

    def tools_free(self, steps: Sequence[Step], now: float) -> bool:
        return all(self.tools.get(t.id, 0.0) <= now for step in steps for t in step.tools)

    def air_free(self, steps: Sequence[Step], now: float) -> bool:
        """No iron beside what gives off vapour that can burn."""
        return not any((_heats(one) and self.vapour > now) or (_vapours(one) and self.heat > now)
                       for one in steps)  # fmt: skip

    def take(self, turn: Turn, pieces: frozenset[str]) -> None:
        """Hands and tools until the work ends, the piece until it has cured."""
        self.vapour = max(self.vapour, turn.done if _vapours(turn.step) else 0.0)
        self.heat = max(self.heat, turn.ends if _heats(turn.step) else 0.0)
        self.free |= dict.fromkeys(turn.people, turn.ends)
        self.tools |= dict.fromkeys((tool.id for tool in turn.step.tools), turn.ends)
        self.held |= dict.fromkeys(pieces, turn.done)


def _planned(
    steps: Sequence[Step],
    after: Sequence[frozenset[int]],
    tails: Sequence[float],
    pieces: Sequence[frozenset[str]],
    people: int,
    wanted: set[str],
) -> Plan:
    """Whoever is free takes the step, of those that wait for nothing, with most behind it.

    What follows a step's waiting is taken up by the same person, and until then nobody takes the
    piece. A step that is done in the midst of another follows it at once.
    """
    done: dict[int, float] = {}
    everybody = tuple(range(1, people + 1))
    shop = _Shop(dict.fromkeys(everybody, 0.0), {}, {})
    amid = {i: [j for j, one in enumerate(steps) if one.amid == steps[i].id]
            for i in range(len(steps))}  # fmt: skip
    inner = {j for others in amid.values() for j in others}
    rests: dict[int, Turn] = {}  # what waits for its glue, and then for its hands
    turns: list[Turn] = []
    left, now = [i for i in range(len(steps)) if i not in inner], 0.0
    while left or rests:
        for person in everybody:
            if shop.free[person] > now:
                continue
            again = [i for i, turn in rests.items() if turn.done <= now and person in turn.people
                     and shop.tools_free([steps[i]], now)
                     and shop.air_free([steps[i]], now)]  # fmt: skip
            ready = [i for i in left if _ready(i, amid[i], after, done, now)]
            idle = max(shop.free.values()) <= now
            mine = [i for i in ready if idle or not _takes_all(steps[i])]
            whole = {i: [steps[n] for n in (i, *amid[i])] for i in mine}
            fit = [i for i in mine if shop.tools_free(whole[i], now)]
            if not fit and not again:
                busy = {t.name for i in mine for one in whole[i] for t in one.tools
                        if shop.tools.get(t.id, 0.0) > now}  # fmt: skip
                wanted |= busy
                continue
            curing = {piece for i in rests for piece in pieces[i]}
            fit = [i for i in fit if all(shop.held.get(piece, 0.0) <= now and piece not in curing
                                         for n in (i, *amid[i]) for piece in pieces[n])
                   and shop.air_free(whole[i], now)]  # fmt: skip
            if not fit and not again:
                continue
            chosen = max((*fit, *again), key=lambda i: (tails[i], -i))
            if chosen in again:
                turn = Turn(steps[chosen], now, now + steps[chosen].after, (person,), rest=True)
                del rests[chosen]
                turns.append(turn)
                shop.take(turn, pieces[chosen])
                done[chosen] = turn.done
                continue
            left.remove(chosen)
            working, checked = _working(steps[chosen], person, everybody)
            at = now
            for number in (chosen, *amid[chosen]):
                checks = _checks(turns, everybody) if checked else ()
                one = steps[number]
                turn = Turn(one, at, at + one.minutes.si - one.after, working, checks)
                turns.append(turn)
                shop.take(turn, pieces[number])
                at = turn.ends
                if one.after:
                    rests[number] = turn
                else:
                    done[number] = turn.done
        # Until something dries, a step ends, or a tool is laid down.
        cured = (turn.done for turn in rests.values())
        busy_until = (*done.values(), *cured, *shop.free.values(), *shop.tools.values())
        now = min((t for t in busy_until if t > now), default=now)
    return Plan(people, tuple(sorted(turns, key=lambda turn: turn.begins)))


def _ready(
    number: int, inner: Sequence[int], after: Sequence[frozenset[int]], done: Mapping[int, float],
    now: float,
) -> bool:  # fmt: skip
    """Whether all is done that a step waits for, and that those wait for which are in its midst."""
    own = {number, *inner}
    return all(done.get(j, float("inf")) <= now for i in own for j in after[i] if j not in own)


def _working(step: Step, person: int, everybody: tuple[int, ...]) -> tuple[tuple[int, ...], bool]:
    """Who is busy with a step, its builder first; whether the others check what was built."""
    if len(everybody) > 1 and step.who != BUILDER:
        return everybody, True
    others = tuple(one for one in everybody if one != person)
    return (person, *(others if _takes_all(step) else ())), False


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
    built = [turn for turn in turns[last + 1 :] if turn.step.who == BUILDER and not turn.rest]
    return tuple(
        (one, tuple(turn.step for turn in built if one != turn.people[0])) for one in everybody
    )
