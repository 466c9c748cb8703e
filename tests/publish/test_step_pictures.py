"""Step pictures: nothing is there before a step has put it there, and what is new is in sight."""

from __future__ import annotations

import re
from typing import Any

import pytest

from guidegen.publish import figures


@pytest.fixture(scope="module")
def asked(demo_guide: Any) -> list[tuple[str, set[str], set[str], str]]:
    """(step, new, shown, drawing) of each picture that was asked for."""
    found: list[tuple[str, set[str], set[str], str]] = []
    draw = figures.step_figure

    def record(design: Any, name: str, new: Any, shown: Any, view: str, probes: Any = ()) -> Any:
        figure = draw(design, name, new, shown, view, probes)
        # What is only read there is no news.
        fresh = set() if probes else set(new)
        found.append((name.removeprefix("step-"), fresh, set(shown), figure.svg))
        return figure

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(figures, "step_figure", record)
        figures.drawings(demo_guide.design, demo_guide.steps)
    return found


def test_nothing_is_shown_before_it_is_in_place(demo_guide: Any, asked: Any) -> None:
    """By the header alone: `fits` and `joins` put things there; what carries all is only cut."""
    design = demo_guide.design
    conductor = {joint.ref: joint.conductor for joint in design.model.joints}
    loose = {part.ref for part in design.model.parts if not part.on}
    there: dict[str, set[str]] = {}
    so_far: set[str] = set()
    for step in demo_guide.steps:
        there[step.id] = set(so_far)
        for act in step.acts:
            so_far |= {conductor[joint] for joint in act.joints}
            if act.verb in ("fits", "cuts"):
                so_far |= {r for r in act.refs if act.verb == "fits" or r in loose}
    assert asked
    for step_id, _, shown, _ in asked:
        assert shown <= there[step_id], step_id


def test_new_parts_with_a_place_are_in_sight(demo_guide: Any, asked: Any) -> None:
    """Few new parts are labelled one by one: each label stands in the picture."""
    parts = {part.ref: part for part in demo_guide.design.model.parts}
    few = 0
    for step_id, new, _, svg in asked:
        placed = [ref for ref in new if ref in parts and parts[ref].solid]
        for ref in placed if len(placed) <= 2 else ():
            few += 1
            if "Seen from the back" not in svg and parts[ref].side == "back":
                assert f">{ref}: " in svg, (step_id, ref)
            else:
                # Small parts that sit on it share its label.
                assert re.search(rf">{ref}(, [A-Z]\d+)*</text>", svg), (step_id, ref)
    assert few > 2
