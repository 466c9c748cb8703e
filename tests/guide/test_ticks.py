"""Tick lists: every row once, every joint of a row to tick, a blank for each reading of it."""

from __future__ import annotations

from typing import Any

import pytest

from guidegen.guide.model import Guide
from guidegen.guide.ticks import ticks


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


def test_the_jumpers_are_ticked_row_by_row_each_once(guide: Guide) -> None:
    model = guide.design.model
    (step,) = [step for step in guide.steps if step.id == "jumpers-joined"]
    found = ticks(step, model)
    assert found is not None
    assert [line.row for line in found.lines] == [row.ref for row in model.by_role("row")]
    told = [wire for line in found.lines for wire in line.wires]
    assert sorted(told) == sorted(wire.ref for wire in model.wires("jumper"))
    for line in found.lines:
        for ref in line.wires:
            (wire,) = [wire for wire in model.conductors if wire.ref == ref]
            assert line.row in {wire.start.split(":")[0], wire.end.split(":")[0]}


def test_rows_that_are_read_one_by_one_have_a_blank_for_each_reading(guide: Guide) -> None:
    model = guide.design.model
    (step,) = [step for step in guide.steps if step.id == "panel-read-cold"]
    found = ticks(step, model)
    assert found is not None
    # Positive rail to the + pads, negative rail to the - pads; rail to rail is read once.
    ends = 2 if "Boatshed" in guide.title else 1  # its rows are fed at both ends
    assert len(found.readings) == len(set(found.readings)) == 2 * ends
    assert {sum(line.read) for line in found.lines} == {2 * ends}
    assert len(found.lines) == len(model.by_role("row"))


def test_the_pads_of_a_row_are_read_against_each_other_at_one_end(guide: Guide) -> None:
    (step,) = [step for step in guide.steps if step.id == "first-light"]
    (volts,) = [reading for reading in step.reads if reading.instrument == "volts"]
    used = {key for pair in volts.probes for key in pair}
    fed = {t.key for t in guide.design.model.terminals
           if t.part in {row.ref for row in guide.design.model.by_role("row")}
           and not t.unused}  # fmt: skip
    assert used == fed
    both = "Boatshed" in guide.title
    for red, black in volts.probes:
        (row, plus), (other, minus) = red.split(":"), black.split(":")
        assert row == other
        assert (plus[0] == minus[0]) == both  # the others are fed crosswise


def test_a_step_that_does_not_repeat_has_no_list(guide: Guide) -> None:
    for step in guide.steps:
        if step.stage in ("prepare", "frame", "accept"):
            assert ticks(step, guide.design.model) is None


def test_the_page_prints_the_lists(guide: Guide) -> None:
    (page,) = [page.markdown for page in guide.pages if page.uri == "steps.md"]
    for wire in guide.design.model.wires("jumper"):
        assert page.count(f'<span class="gg-tick"></span> {wire.ref} ') == 1
    lists = [found for step in guide.steps if (found := ticks(step, guide.design.model))]
    blanks = sum(sum(line.read) for found in lists for line in found.lines)
    rows = "\n".join(line for line in page.splitlines() if line.startswith("| E"))
    assert rows.count("gg-write") == blanks > 0
