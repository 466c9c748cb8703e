"""Spoiled guides: nearly every slip must be noticed by the walk."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from guidegen.content.files import SearchPath
from guidegen.content.words import Words
from guidegen.design.model import Model
from guidegen.guide.coverage import unseen
from guidegen.guide.spoil import spoilings, survivors
from guidegen.guide.step import Step
from guidegen.guide.steps import load_steps


@pytest.fixture
def steps(
    search: SearchPath, facts: dict, model: Model, values: dict, words: Words
) -> tuple[Step, ...]:
    return load_steps(search, facts, model, values, words)


def test_every_kind_of_slip_is_tried(model: Model, steps: tuple[Step, ...]) -> None:
    kinds = Counter(spoiling.kind for spoiling in spoilings(model, steps))
    assert set(kinds) == {
        "dropped", "doubled", "part-forgotten", "joint-forgotten", "check-dropped", "swapped",
        "reversed", "wrong-terminal", "power-first", "insulation-late", "tool-missing",
    }  # fmt: skip
    # Every joint of the design is forgotten once.
    assert kinds["joint-forgotten"] == len(model.joints)


def test_no_slip_survives_but_checks_that_others_repeat(
    model: Model, steps: tuple[Step, ...], known: dict
) -> None:
    found = {str(spoiling) for spoiling in survivors(model, steps, known)}
    # The panel's own short check: the same nets are read again from the regulator's output.
    assert found == {"check-dropped: rows-joined: reads ohms rail+.feed to rail-.feed"}


def test_a_guide_that_does_not_pass_is_not_judged(
    model: Model, steps: tuple[Step, ...], known: dict
) -> None:
    with pytest.raises(ValueError, match="the unspoiled guide does not pass"):
        survivors(model, steps[1:], known)


def test_every_joint_is_seen_by_a_reading(
    model: Model, steps: tuple[Step, ...], known: dict
) -> None:
    assert unseen(model, steps, known) == ()
    assert unseen(model, steps, known, cold=True) == ()


def without(steps: tuple[Step, ...], name: str, text: str) -> tuple[Step, ...]:
    return tuple(
        replace(step, acts=tuple(act for act in step.acts if text not in act.text))
        if step.id == name else step
        for step in steps
    )  # fmt: skip


def test_joints_that_no_reading_needs_are_told(
    model: Model, steps: tuple[Step, ...], known: dict
) -> None:
    less = without(steps, "rows-joined", "ohms rail-.feed to row-.fed")
    # Cold, nothing else reads the negative jumpers: W13 and W14, both ends.
    assert unseen(model, less, known, cold=True) == ("J21", "J22", "J23", "J24")
    # With power on, each row that is lit shows its own.
    assert unseen(model, less, known) == ()


def test_a_jumper_beside_another_path_is_not_seen_by_continuity(
    model: Model, steps: tuple[Step, ...], known: dict
) -> None:
    # W13 turned into a second jumper from W7 to the right + pad of row 1: fed at both ends.
    wires = tuple(
        replace(w, start="W7:1", end="E1:R+", polarity="+") if w.ref == "W13" else w
        for w in model.conductors
    )
    ends = {"W8:1": "W7:1", "E1:R-": "E1:R+"}
    joints = tuple(
        replace(j, terminal=ends.get(j.terminal, j.terminal)) if j.conductor == "W13" else j
        for j in model.joints
    )
    both = replace(model, conductors=wires, joints=joints)
    blind = unseen(both, steps, known, cold=True)
    wire_of = {joint.ref: joint.conductor for joint in both.joints}
    assert {wire_of[ref] for ref in blind} == {"W11", "W13"}
