"""Steps that a light does not need are listed with the reason, in words."""

from __future__ import annotations

import re
from html import unescape
from typing import Any

import pytest

from guidegen.content.files import search_path
from guidegen.content.headers import StepHeader
from guidegen.content.load import load_all
from guidegen.content.words import load_words
from guidegen.guide.model import Guide
from guidegen.guide.not_needed import NotNeeded, not_needed

SEARCH = search_path()


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


@pytest.fixture(scope="module")
def listed(guide: Guide) -> tuple[NotNeeded, ...]:
    design = guide.design
    facts = {**design.facts, "stops": design.stops}
    return not_needed(SEARCH, facts, design.values, load_words(SEARCH), guide.steps)


def test_every_step_file_is_in_the_guide_listed_or_stood_in_for(
    guide: Guide, listed: tuple[NotNeeded, ...]
) -> None:
    done = {step.id for step in guide.steps}
    given = {step.gives or step.id for step in guide.steps}
    goals = {step.goal for step in guide.steps} | {one.goal for one in listed}
    for file in load_all(SEARCH, "steps", StepHeader):
        gives = file.header.gives or file.id
        assert file.id in done or gives in given or file.header.goal in goals, file.id


def test_no_step_of_the_guide_is_listed(guide: Guide, listed: tuple[NotNeeded, ...]) -> None:
    assert {step.goal for step in guide.steps} & {one.goal for one in listed} == set()
    assert len({one.goal for one in listed}) == len(listed) > 5


def test_each_has_a_reason_in_words(listed: tuple[NotNeeded, ...]) -> None:
    for one in listed:
        assert one.reason, one.goal
        # A fact without words would stand as 'its name: no'.
        assert not re.search(r"\w: (yes|no)\b", one.reason), one
        assert "_" not in one.reason


def test_the_fan_decides_both_ways(guide: Guide, listed: tuple[NotNeeded, ...]) -> None:
    fan = bool(guide.design.facts["fan"])
    assert any("there is no fan" in one.reason for one in listed) is not fan
    (page,) = [unescape(page.markdown) for page in guide.pages if page.uri == "workings.md"]
    for one in listed:
        assert one.goal in page
