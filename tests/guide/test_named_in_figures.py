"""What a step handles is named in a figure, with the designation that the step uses."""

from __future__ import annotations

import re
from typing import Any

import pytest

from guidegen.guide.model import Guide
from guidegen.guide.selector import WITHIN

RANGE = re.compile(r"\b([A-Z])(\d+)–\1?(\d+)\b")
#: Screws of a module as figures call them; a step says 'trimmer of regulator T1'.
CALLED = {"trimmer": "trimmer", "limit": "current-limit trimmer"}


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


def drawn(guide: Guide) -> list[str]:
    """The words that stand in each drawing itself, ranges written out."""
    found = []
    for figure in guide.figures.values():
        text = " | ".join(re.findall(r"<text[^>]*>([^<]*)</text>", figure.svg))
        more = [f"{letter}{n}" for letter, first, last in RANGE.findall(text)
                for n in range(int(first), int(last) + 1)]  # fmt: skip
        found.append(" ".join([text, *more]))
    return found


def unnamed(guide: Guide, texts: list[str]) -> set[str]:
    """What steps handle or set and no drawing names."""
    handled = {ref for step in guide.steps for act in step.acts for ref in act.refs}
    handled |= {key.partition(":")[0] for step in guide.steps for one in step.reads
                for pair in one.probes for key in pair}  # fmt: skip
    missing = set()
    for ref in handled | set(guide.design.model.refs()):
        part, _, inside = ref.partition(".")
        word = f"{CALLED[inside]} of {part}" if inside else part
        if not any(re.search(rf"(?<![\w-]){re.escape(word)}\b", text) for text in texts):
            missing.add(ref)
    return missing


def test_all_that_steps_handle_is_named_in_a_drawing(guide: Guide) -> None:
    assert set(CALLED) == set(WITHIN)
    assert unnamed(guide, drawn(guide)) == set()


def test_a_lost_name_is_seen(guide: Guide) -> None:
    """Spoiled on purpose: without the trimmer's name, and without that of the regulator."""
    without = [text.replace("trimmer of T1", "") for text in drawn(guide)]
    assert "T1.trimmer" in unnamed(guide, without)
    assert "T1" in unnamed(guide, [text.replace("T1", "") for text in drawn(guide)])
