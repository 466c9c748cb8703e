"""The proof of the proof: slips put into the demonstration guides, one at a time.

At least 95 in a hundred must be noticed by the walk or a rule of the circuit; of those that can
hurt somebody all. What is left is named with its reason.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest

from guidegen.guide.bench import all_facts
from guidegen.guide.model import Guide
from guidegen.guide.spoil import Spoiling, spoilings, survivors

LEAST = 0.95
#: Every slip of these kinds is noticed: a part, a joint, a pole, an order, insulation, power.
ALL = {"dropped", "doubled", "part-forgotten", "joint-forgotten", "reversed", "power-first",
       "insulation-late", "swapped"}  # fmt: skip
#: Wires of which one end at the next terminal does nothing that a meter shows.
HARMLESS = {
    "control_lead": "the tie joins both lugs",
    "wiper_tie": "the lead joins both lugs",
    "fan_wire": "input and output share their minus; or the fan alone runs past its switch",
}
#: Why the others may survive.
REASONS = {
    "check-dropped": "another reading says the same of every joint that this one says",
    "wrong-terminal": "of a wire that is listed as harmless",
    "tool-missing": "its deed is no deed of the model: it measures, marks or holds",
}


@pytest.fixture(scope="module")
def told(demo_guide: Any) -> tuple[Counter[str], tuple[Spoiling, ...]]:
    assert isinstance(demo_guide, Guide)
    design, steps = demo_guide.design, demo_guide.steps
    facts = all_facts({**design.facts, "stops": design.stops}, design.values)
    tried = Counter(one.kind for one in spoilings(design.model, steps))
    return tried, survivors(design.model, steps, facts)


def test_enough_slips_are_tried(told: tuple[Counter[str], tuple[Spoiling, ...]]) -> None:
    tried, _ = told
    assert set(tried) == ALL | set(REASONS)
    assert sum(tried.values()) > 300


def test_nearly_all_are_noticed(told: tuple[Counter[str], tuple[Spoiling, ...]]) -> None:
    tried, left = told
    assert len(left) <= (1 - LEAST) * sum(tried.values()), [str(one) for one in left]


def test_none_that_can_hurt_survives(told: tuple[Counter[str], tuple[Spoiling, ...]]) -> None:
    _, left = told
    assert [str(one) for one in left if one.kind in ALL] == []


def test_a_wrong_terminal_is_noticed_but_where_it_changes_nothing(
    told: tuple[Counter[str], tuple[Spoiling, ...]],
) -> None:
    _, left = told
    for one in left:
        if one.kind == "wrong-terminal":
            (ref,) = [joint.conductor for joint in one.model.joints if joint.ref == one.where]
            (wire,) = [wire for wire in one.model.conductors if wire.ref == ref]
            assert wire.role in HARMLESS, str(one)


def test_each_survivor_has_its_reason(told: tuple[Counter[str], tuple[Spoiling, ...]]) -> None:
    _, left = told
    assert {one.kind for one in left} <= set(REASONS)
    # A tool that solders, cuts, screws or feeds is missed by the step that needs it.
    needed = {"soldering-iron", "saw", "side-cutters", "bench-supply", "crimper"}
    assert not needed & {one.what for one in left if one.kind == "tool-missing"}
