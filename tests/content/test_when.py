from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guidegen.content.files import ContentError
from guidegen.content.when import Condition, can_be, decides
from guidegen.errors import Place

FACTS = {"battery": True, "rails.bare": False, "rails.current": 4.2, "limit": 3.0, "faces": "down"}


@pytest.mark.parametrize(
    ("text", "holds"),
    [
        ("", True),
        ("battery", True),
        ("rails.bare", False),
        ("not rails.bare", True),
        ("battery and rails.bare", False),
        ("battery or rails.bare", True),
        ("not (battery and rails.bare) and battery", True),
        ("rails.current > 3", True),
        ("rails.current > limit", True),
        ("3 < rails.current", True),
        ("rails.current <= 4.2", True),
        ("rails.current != 4.2", False),
        ("rails.current > -1", True),
        ("faces == 'down'", True),
        ('faces != "up"', True),
    ],
)
def test_conditions(text: str, holds: bool) -> None:
    assert Condition(text).holds(FACTS) is holds


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("batery", r"no fact is called 'batery'. Did you mean 'battery'\?"),
        # The one that Jinja's own expressions lose: the misspelt fact is never reached.
        ("rails.bare and batery", r"no fact is called 'batery'"),
        ("rails.curent > 3", r"Did you mean 'rails.current'\?"),
        ("rails.current", r"'rails.current' is a number: compare it with something"),
        ("faces", r"'faces' is a word"),
        ("battery > 3", r"a fact that is yes or no stands alone"),
        ("battery == rails.bare", r"a fact that is yes or no stands alone"),
        ("faces > 3", r"compares a word with a number"),
        ("rails.current == 'a'", r"compares a number with a word"),
        ("faces < 'up'", r"words can only be equal or not"),
    ],
)
def test_facts_and_types_are_checked(text: str, message: str) -> None:
    with pytest.raises(ContentError, match=message):
        Condition(text, Place("steps/a.md", 3, 1)).holds(FACTS)


@pytest.mark.parametrize(
    "text",
    [
        "battery()", "rails['x']", "1 + 1", "battery +", "[battery]",
        "battery if battery else faces",
        "lambda: battery", "faces in 'down'", "battery is True", "True", "battery == True",
        "f'{battery}'", "battery; faces", "x := 1", "1 < rails.current < 5", "3", "'a'", "1 == 1",
        "__import__('os')", "battery.__class__()", "~battery", "None", "rails.current > 1j",
        "rails.current > b'x'", "battery, faces", "*battery", "(" * 500 + "battery" + ")" * 500,
    ],
)  # fmt: skip
def test_everything_else_is_refused(text: str) -> None:
    with pytest.raises(ContentError):
        Condition(text)


@settings(max_examples=300, deadline=None)
@given(st.text(alphabet=" ()<>=!.'0123456789abnotrd+-*[]{}\n\x00é", max_size=30))
def test_any_text_is_a_condition_or_a_content_error(text: str) -> None:
    try:
        found = Condition(text).holds(FACTS)
    except ContentError:
        return
    assert found in (True, False)


def test_atoms_and_names() -> None:
    condition = Condition("a and (b.c > 3 or not a) and b.c > d")
    assert condition.atoms == ("a", "b.c > 3", "b.c > d")
    assert condition.names == ("a", "b.c", "d")


@pytest.mark.parametrize(
    ("text", "outcomes"),
    [
        ("", {True}),
        ("a", {True, False}),
        ("a or not a", {True}),
        ("a and not a", {False}),
        ("x == 'a' and x == 'b'", {False}),
        ("x != 'a' or x != 'b'", {True}),
        ("n > 3 and n < 2", {False}),
        ("n > 3 or n <= 3", {True}),
        ("n > 2 and n < 3", {True, False}),
        ("n > m", {True, False}),
        ("n > m and m > n", {False}),
        ("n > m and m > 5 and n < 4", {False}),
    ],
)
def test_which_outcomes_a_condition_can_have(text: str, outcomes: set[bool]) -> None:
    assert can_be(Condition(text)) == outcomes


def test_which_question_decided() -> None:
    condition = Condition("battery and rails.current > 3")
    assert decides(condition, "battery", FACTS)
    assert not decides(Condition("battery or rails.current > 3"), "battery", FACTS)
