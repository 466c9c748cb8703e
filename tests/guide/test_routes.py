"""Where a reading leads that is not as it must be."""

from __future__ import annotations

from typing import Any

import pytest

from guidegen.guide.routes import Routes, Way, led_to, step_ways, ways
from guidegen.guide.step import Reading

HERE = {"step", "other", "every", "above", "below"}


class Plain:
    """As much of a step as a way on asks for."""

    id, if_not = "a", "step"

    def __init__(self, *reads: Reading) -> None:
        self.reads = reads


def of(**routes: str) -> Reading:
    return Reading(1, "volts", routes=Routes(**routes))


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ({}, [("", "step")]),
        ({"if_not": "other"}, [("", "other")]),
        ({"if_high": "above"}, [("high", "above"), ("low", "step")]),
        ({"if_low": "below", "if_not": "other"}, [("high", "other"), ("low", "below")]),
        ({"if_high": "other", "if_low": "other"}, [("", "other")]),
        ({"if_all": "every"}, [("all", "every"), ("one", "step")]),
        ({"if_all": "every", "if_low": "below"},
         [("all", "every"), ("high", "step"), ("low", "below")]),
        ({"if_all": "step"}, [("", "step")]),
        # An entry that this fixture has not: what holds for the reading or its step.
        ({"if_not": "absent"}, [("", "step")]),
        ({"if_high": "absent", "if_not": "other"}, [("", "other")]),
        ({"if_high": "above", "if_low": "absent"}, [("high", "above"), ("low", "step")]),
        ({"if_all": "absent", "if_not": "other"}, [("", "other")]),
    ],
)  # fmt: skip
def test_a_reading_leads_on_by_how_it_fails(
    said: dict[str, str], found: list[tuple[str, str]]
) -> None:
    step: Any = Plain(of(**said))
    assert ways(step, step.reads[0], HERE) == tuple(Way(*one) for one in found)
    assert led_to(step, HERE) == {fault for _, fault in found}


def test_a_reading_that_is_not_in_this_fixture_leads_nowhere() -> None:
    absent = Reading(2, "volts", routes=Routes(if_not="other"), absent=True)
    step: Any = Plain(of(), absent)
    assert step_ways(step, HERE) == {1: (Way("", "step"),)}
    assert led_to(step, HERE) == {"step"}
