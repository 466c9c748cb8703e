"""Hole tables and wire list of the cutting page, against the model."""

from __future__ import annotations

import re
from typing import Any

import pytest

from guidegen.content.files import search_path
from guidegen.content.words import load_words
from guidegen.guide.drilling import tables
from guidegen.guide.model import Guide

RANGE = re.compile(r"\bW(\d+) to W(\d+)\b")


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


def test_a_hole_under_a_module_names_the_module_over_it(guide: Guide) -> None:
    model = guide.design.model
    lines = {(ref, line.number): line for table in tables(guide.design, load_words(search_path()))
             for ref in table.ref.split(", ") for line in table.lines}  # fmt: skip
    named = set()
    for part in model.parts:
        own = [hole for hole in part.solid.holes if not hole.follows] if part.solid else []
        for number, hole in enumerate(own, 1):
            if hole.role != "standoff":
                continue
            (over,) = [other.ref for other in model.parts
                       if other.ref[0] in "TK" and other.box
                       and other.box.x < hole.at[0] < other.box.x + other.box.width
                       and other.box.y < hole.at[1] < other.box.y + other.box.height]  # fmt: skip
            assert lines[part.ref, str(number)].what.endswith(f" {over}")
            named.add(over)
    assert bool(named) is guide.design.facts["standoff_screwed"]


def test_a_box_beside_the_light_is_not_measured_from_the_light_side(guide: Guide) -> None:
    roles = {part.ref: part.role for part in guide.design.model.parts}
    separate = guide.design.facts["enclosure_separate"]
    box = 0
    for table in tables(guide.design, load_words(search_path())):
        mine = roles[table.drawn] in ("bottom", "wall", "lid")
        box += mine
        away = bool(mine and separate)
        assert ("light" not in table.measured) is away
        assert ("light" not in guide.figures[f"holes-{table.drawn}"].svg) is away
        faces = {line.face for line in table.lines}
        assert not (away and faces & {"front", "back"})
    assert box


def test_the_wire_list_of_the_cutting_page_has_every_wire(guide: Guide) -> None:
    text = next(page.markdown for page in guide.pages if page.uri == "cutting.md")
    part = text.partition("## Wire\n")[2].partition("\n## ")[0]
    found = set(re.findall(r"\bW\d+\b", part))
    for first, last in RANGE.findall(part):
        found |= {f"W{number}" for number in range(int(first), int(last) + 1)}
    wires = {wire.ref for wire in guide.design.model.conductors}
    rails = {part.ref for part in guide.design.model.by_role("rail")}
    assert wires <= found <= wires | rails


def test_no_terminal_of_a_module_is_drawn_that_nothing_is_joined_to(guide: Guide) -> None:
    modules = {part.ref for part in guide.design.model.parts if part.ref.startswith("T")}
    assert not [t.key for t in guide.design.model.terminals if t.part in modules and t.unused]


def test_the_plate_goes_where_the_drawing_has_it(guide: Guide) -> None:
    (plate,) = guide.design.model.by_role("plate")
    text = next(page.markdown for page in guide.pages if page.uri == "steps.md")
    (line,) = re.findall(r"Stick it on (?:box wall|board) .*", text)
    assert re.search(rf"\b{plate.on}\b", line)
