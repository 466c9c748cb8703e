"""Which step must wait for which, and the plan for one person and for two."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import pytest

from guidegen.content.when import Fact
from guidegen.design.model import Model
from guidegen.guide.bench import all_facts
from guidegen.guide.model import Guide
from guidegen.guide.plan import BUILDER, Plan, Work, work
from guidegen.guide.step import Step, Tool, Use
from guidegen.guide.touched import must_wait
from guidegen.guide.walk import walk
from guidegen.kinds import Hour, Minute
from guidegen.values import given

ORDERS = 25
Told = tuple[Model, Sequence[Step], Mapping[str, Fact]]


@pytest.fixture(scope="module")
def told(demo_guide: Any) -> Told:
    assert isinstance(demo_guide, Guide)
    design = demo_guide.design
    facts = all_facts({**design.facts, "stops": design.stops}, design.values)
    return design.model, demo_guide.steps, facts


@pytest.fixture(scope="module")
def planned(told: Told) -> Work:
    return work(*told)


def shuffled(after: Sequence[frozenset[int]], seed: int) -> list[int]:
    """Some order in which every step comes after those that it must wait for."""
    chance, left, done = random.Random(seed), set(range(len(after))), []
    while left:
        ready = sorted(i for i in left if after[i] <= set(done))
        done.append(chance.choice(ready))
        left.discard(done[-1])
    return done


def test_every_order_that_keeps_the_waits_can_be_walked(told: Told) -> None:
    """The walk is the judge: what is called free may be done in any order."""
    model, steps, facts = told
    after = must_wait(*told)
    orders = {tuple(shuffled(after, seed)) for seed in range(ORDERS)}
    assert len(orders) > ORDERS / 2, "hardly anything is free: this proves nothing"
    for order in orders:
        report = walk(model, [steps[i] for i in order], facts)
        # Stages number the pages; that they go forward is no matter of what can be done.
        assert [str(one) for one in report.findings if one.rule != "stage"] == []


def test_an_order_that_breaks_a_wait_of_the_bench_is_caught(told: Told) -> None:
    """The other way round: first power before the reading that it must wait for."""
    model, steps, facts = told
    after = must_wait(*told)
    powered = next(i for i, step in enumerate(steps)
                   if step.id in ("upper-end-set", "fixed-output-set", "direct-joined")
                   or any(act.source == "supply" for act in step.acts))  # fmt: skip
    cold = [i for i in after[powered] if any(act.reading and act.reading.holds == "not-short"
                                             for act in steps[i].acts)]  # fmt: skip
    assert cold
    order = [*[i for i in range(len(steps)) if i != cold[-1]], cold[-1]]
    report = walk(model, [steps[i] for i in order], facts)
    assert [one for one in report.findings if one.rule != "stage"]


@pytest.mark.parametrize("people", [1, 2])
def test_nobody_does_two_things_and_nothing_begins_too_early(
    people: int, told: Told, planned: Work
) -> None:
    _, steps, _ = told
    plan: Plan = planned.alone if people == 1 else planned.together
    assert sorted(t.step.id for t in plan.turns if not t.rest) == sorted(s.id for s in steps)
    assert {t.step.id for t in plan.turns if t.rest} == {s.id for s in steps if s.after}
    begun = {turn.step.id: turn for turn in plan.turns if not turn.rest}
    done = {turn.step.id: turn.done for turn in plan.turns}  # the last turn of each counts
    for number, first in enumerate(must_wait(*told)):
        step = steps[number]
        early = {i for i in first if steps[i].id == step.amid}
        assert all(done[steps[i].id] <= begun[step.id].begins + 1e-9 for i in first - early)
        assert all(begun[steps[i].id].ends == begun[step.id].begins for i in early)
        assert all(begun[steps[i].id].people == begun[step.id].people for i in early)
    for turn in plan.turns:
        if turn.rest:
            assert turn.begins >= begun[turn.step.id].done
            assert turn.people == begun[turn.step.id].people
    hands = sum(turn.ends - turn.begins for turn in plan.turns)
    assert hands == pytest.approx(sum(step.minutes.si for step in steps))
    for turn in plan.turns:
        assert set(turn.people) <= set(range(1, people + 1))
        for other in plan.turns:
            if other is turn or other.ends <= turn.begins or turn.ends <= other.begins:
                continue
            assert not set(other.people) & set(turn.people)
            tools = {tool.id for tool in turn.step.tools}
            assert not tools & {tool.id for tool in other.step.tools}


def test_no_board_or_box_is_in_two_hands_at_once(told: Told, planned: Work) -> None:
    """Rows, blocks and walls sit on one board: whoever works on one of them holds it."""
    model, steps, _ = told
    hosts = {part.ref: part.on for part in model.parts}

    def root(ref: str) -> str:
        while hosts.get(ref):
            ref = hosts[ref]
        return ref

    # What a step itself fixes to a board, or fixes on something that is fixed there.
    fixed = {step.id: {root(ref) for act in step.acts if act.verb == "fits" for ref in act.refs
                       if hosts.get(ref)} for step in steps}  # fmt: skip
    assert sum(bool(roots) for roots in fixed.values()) > 6
    for turn in planned.together.turns:
        for other in planned.together.turns:
            # Curing counts: nobody works on a board whose glue is wet.
            if other is turn or other.done <= turn.begins or turn.done <= other.begins:
                continue
            assert not fixed[turn.step.id] & fixed[other.step.id], (turn.step.id, other.step.id)


def test_two_are_no_slower_than_one_and_no_faster_than_the_longest_way(planned: Work) -> None:
    hands_on = sum(turn.step.minutes.si for turn in planned.alone.turns)
    assert planned.longest_time <= planned.together.length <= planned.alone.length
    assert planned.alone.length >= hands_on
    assert planned.longest_hands_on <= hands_on
    assert any(turn.people == (2,) for turn in planned.together.turns)


def test_nobody_checks_what_they_built(planned: Work) -> None:
    """Every step is looked at by somebody else before the next hold point is passed."""
    builder: dict[str, tuple[int, ...]] = {}
    unseen: set[str] = set()
    checked: set[str] = set()
    for turn in planned.together.turns:
        if turn.step.who == BUILDER:
            # Who only helps to lift has built nothing.
            assert len(turn.people) == (2 if turn.step.pair else 1)
            builder[turn.step.id] = turn.people[:1]
            unseen.add(turn.step.id)
            continue
        assert turn.people == (1, 2)
        for person, steps in turn.checks:
            assert all(person not in builder[step.id] for step in steps)
            checked |= {step.id for step in steps}
            if turn.step.hold:
                unseen -= {step.id for step in steps}
        if turn.step.hold:
            assert unseen == set(), turn.step.id
    assert len(checked) > 20
    assert all(turn.checks == () for turn in planned.alone.turns)


def test_hold_points_stop_all_work(told: Told, planned: Work) -> None:
    holds = [turn for turn in planned.together.turns if turn.step.hold]
    assert len(holds) >= 4
    for hold in holds:
        for turn in planned.together.turns:
            assert (
                turn.done <= hold.begins + 1e-9 or turn.begins >= hold.done - 1e-9 or (turn is hold)
            )


# --- four steps by hand -------------------------------------------------------------------------


def bare(step: Step, name: str, minutes: float, after: tuple[str, ...] = (), **more: Any) -> Step:
    """A step that touches nothing, so that only its needs order it."""
    return replace(step, id=name, minutes=given(f"m.{name}", Minute, minutes, "test"), acts=(),
                   reads=(), needs=after, hold="", who="B", stage_index=1,
                   after=0.0, amid="", waiting=more.get("waiting"), tools=more.get("tools", ()),
                   consumables=more.get("uses", ()))  # fmt: skip


def test_four_steps_by_hand(told: Told) -> None:
    """A 30 min, then glue for an hour; B 20 min; C 40 min after A; D 10 min after B and C.

    By hand: the longest way is A, C, D: 30 + 60 + 40 + 10 = 140 min, 80 of them work. One person
    does B while the glue dries: 140 min. So do two.
    """
    one = told[1][0]
    glue = given("w.a", Hour, 1.0, "test")
    steps = [bare(one, "a", 30, waiting=glue), bare(one, "b", 20), bare(one, "c", 40, ("a",)),
             bare(one, "d", 10, ("b", "c"))]  # fmt: skip
    found = work(told[0], steps, told[2])
    assert [step.id for step in found.longest] == ["a", "c", "d"]
    assert (found.longest_time, found.longest_hands_on) == (140, 80)
    assert (found.alone.length, found.together.length) == (140, 140)
    begins = {turn.step.id: turn.begins for turn in found.together.turns}
    assert begins == {"a": 0, "b": 0, "c": 90, "d": 130}


def test_what_follows_the_glue_by_hand(told: Told) -> None:
    """A 30 min, of them 10 after an hour of glue; B 70 min beside it; C 5 min after A.

    By hand: A's hands until 20, its glue until 80, its rest at 90 where one person does B from 20
    to 90: until 100, then C: 105. Two: the rest from 80 to 90, C until 95.
    """
    one = told[1][0]
    glue = given("w.a", Hour, 1.0, "test")
    first = replace(bare(one, "a", 30, waiting=glue), after=10.0)
    steps = [first, bare(one, "b", 70), bare(one, "c", 5, ("a",))]
    found = work(told[0], steps, told[2])
    assert (found.alone.length, found.together.length) == (105, 95)
    assert [(t.step.id, t.rest, t.begins, t.ends) for t in found.alone.turns] == [
        ("a", False, 0, 20), ("b", False, 20, 90), ("a", True, 90, 100),
        ("c", False, 100, 105)]  # fmt: skip


def test_a_step_in_the_midst_of_another_follows_at_once(told: Told) -> None:
    """B is done amid A, by the same hands; C of 60 min would be first by what hangs on it."""
    one = told[1][0]
    steps = [bare(one, "a", 20), replace(bare(one, "b", 15, ("a",)), amid="a"),
             bare(one, "c", 60)]  # fmt: skip
    for people in (work(told[0], steps, told[2]).alone, work(told[0], steps, told[2]).together):
        begins = {turn.step.id: turn.begins for turn in people.turns}
        who = {turn.step.id: turn.people for turn in people.turns}
        assert begins["b"] == begins["a"] + 20
        assert who["a"] == who["b"]


def test_one_tool_between_two_people(told: Told) -> None:
    """Two steps of 30 min that both want the saw take an hour, whoever helps."""
    one = told[1][0]
    saw = Tool("saw", "saw")
    steps = [bare(one, "a", 30, tools=(saw,)), bare(one, "b", 30, tools=(saw,))]
    found = work(told[0], steps, told[2])
    assert (found.alone.length, found.together.length) == (60, 60)
    assert found.least_tools == ("saw",)
    free = [bare(one, "a", 30), bare(one, "b", 30)]
    assert work(told[0], free, told[2]).together.length == 30


def test_no_iron_is_hot_while_vapour_can_burn(told: Told) -> None:
    """Paint of 30 min that dries for an hour, soldering of 20 min: 110 min, whoever helps."""
    one = told[1][0]
    dries, some = given("w.a", Hour, 1.0, "test"), given("u.a", Hour, 1.0, "test")
    iron = Tool("soldering-iron", "iron", hot=True)
    for flammable, length in ((True, 110), (False, 90)):
        paint = Use("paint", "paint", some, "1", flammable=flammable)
        steps = [
            bare(one, "a", 30, waiting=dries, uses=(paint,)),
            bare(one, "b", 20, tools=(iron,)),
        ]
        assert work(told[0], steps, told[2]).together.length == length


def test_irons_and_vapour_are_apart_in_the_plan(planned: Work) -> None:
    """The safety message of cleaner, paint and lacquer says so of the room."""
    for plan in (planned.alone, planned.together):
        hot = [turn for turn in plan.turns if any(tool.hot for tool in turn.step.tools)]
        wet = [turn for turn in plan.turns if any(use.flammable for use in turn.step.consumables)]
        assert hot
        assert wet
        assert all(a.ends <= b.begins or b.done <= a.begins for a in hot for b in wet if a is not b)
