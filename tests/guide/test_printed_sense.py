"""What the pages print makes sense at the bench, held against the design by other ways."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any

import pytest

from guidegen.design import rail_rules
from guidegen.guide.model import Guide

SPACE = "\u00a0"


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


def page(guide: Guide, uri: str) -> str:
    return next(one.markdown for one in guide.pages if one.uri == uri)


def test_the_meter_still_shows_where_the_hand_must_stop(guide: Guide) -> None:
    """A meter over its range shows no number: the trimmer would be turned on blindly."""
    text = page(guide, "calibration.md")
    ranges = re.findall(rf"DC volts, ([\d.]+){SPACE}V range", text)
    stops = re.findall(rf"[Aa]bove ([\d.]+){SPACE}V", text)
    assert bool(ranges) == bool(stops) == bool(guide.design.facts["trimmer"])
    assert all(float(end) > float(stop) for end in ranges for stop in stops)


def test_a_rail_is_measured_where_it_lies(guide: Guide) -> None:
    """From the places of the model: of two rails at one end, the outer one is farther."""
    model = guide.design.model
    pads = {pad.key: pad.at for pad in model.terminals}
    read = {ref: act.reading for step in guide.steps for act in step.acts
            if act.reading and act.reading.instrument == "rule"
            for ref in act.reading.parts if model.part(ref).role == "rail"}  # fmt: skip
    if guide.design.facts["fed_middle"] or guide.design.facts["rail_bent"]:
        return
    for rail in model.by_role("rail"):
        ends = [pads[wire.end] for wire in model.wires("jumper")
                if wire.start.split(":")[0] == rail.ref]  # fmt: skip
        nearest = min(abs(rail.line[0][0] - end[0]) for end in ends if end)
        found = read[rail.ref]
        assert found.expected is not None
        assert found.expected.si == pytest.approx(nearest, abs=1e-9), rail.ref
        assert found.least < nearest < found.most


def test_a_hole_in_metal_keeps_the_clearance(guide: Guide) -> None:
    """Its edge is bare: measured here from rail to hole; a hole on a rail is found by the rule."""
    model = guide.design.model
    near = rail_rules.nearest_hole(model)
    rails = [rail for rail in model.by_role("rail") if rail.bare]
    assert (near is None) == (not rails)
    if near is None or not guide.design.facts["conductive_board"]:
        return
    least = guide.design.values["limits.clearance"].si
    wire = math.sqrt(guide.design.values["rail.size"].si / math.pi)
    holes = [hole for board in model.by_role("board") if board.solid
             for hole in board.solid.holes if hole.role == "feed"]  # fmt: skip
    assert holes
    assert all(abs(hole.at[0] - rail.line[0][0]) - hole.width.si / 2 - wire >= least - 1e-9
               for hole in holes for rail in rails)  # fmt: skip
    x, y = rails[0].line[0]
    moved = [replace(part, solid=replace(part.solid, holes=tuple(
        replace(hole, at=(x + 0.001, y, 0.0)) for hole in part.solid.holes)))
        if part.role == "board" and part.solid else part for part in model.parts]  # fmt: skip
    worse = rail_rules.nearest_hole(replace(model, parts=tuple(moved)))
    assert worse is not None
    assert worse[2] < 0 < near[2]
    sleeves = sum(part.count for part in model.by_role("feed_sleeve"))
    assert sleeves == len(holes)


def test_the_parts_table_asks_for_the_cut_off_that_the_design_rests_on(guide: Guide) -> None:
    """The battery's own board, or a part: whichever it is, its voltage is bought with it."""
    if not guide.design.facts["cut_off"]:
        return
    rows = [row for row in page(guide, "parts.md").splitlines() if "opens by itself at" in row
            or "opens at" in row]  # fmt: skip
    volts = str(guide.design.values["cut_off.trips_at"])
    own = not {"cut_off", "supply_cut_off"} & {part.role for part in guide.design.model.parts}
    (row,) = [row for row in rows if volts in row]
    assert ("| G1 |" in row) is own
    assert volts in page(guide, "steps.md")


def test_tape_at_the_rails_fits_inside_the_rim(guide: Guide) -> None:
    """Strips end at the rim; under rails on metal two layers reach from beyond the rails to rows.

    Fifteen millimetres of tape, each strip lapping over the next: common practice, no source.
    """
    model, values = guide.design.model, guide.design.values
    inside = values["board.height"].si - 2 * values["border.thickness"].si
    for role in ("underlay", "insulation"):
        for strip in model.by_role(role):
            for size in strip.size:
                assert size.si <= inside + 1e-9
                assert str(size) in page(guide, "steps.md")
    under = model.by_role("underlay")
    if not guide.design.facts["conductive_board"]:
        return
    ends = [row.box.x for row in model.by_role("row") if row.box]
    left = [rail.line[0][0] for rail in model.by_role("rail") if rail.line[0][0] < min(ends)]
    sides = len(model.by_role("rail")) / len(left)
    strips = sum(part.count for part in under) / sides / 2
    assert strips * 0.015 - (strips - 1) * 0.003 >= min(ends) - min(left) + 2 * 0.005


def test_as_many_ferrules_are_bought_as_the_schedule_has(guide: Guide) -> None:
    schedule = page(guide, "wiring.md").split("## Connection schedule")[1].split("\n## ")[0]
    # A twin ferrule is told at both wires that it takes.
    twins = len(re.findall(r"\btwin ferrule\b", schedule))
    wanted = len(re.findall(r"\bferrule\b", schedule)) - twins
    rows = page(guide, "parts.md").splitlines()
    (line,) = [row for row in rows if row.startswith("| ferrules")]
    assert int(line.split("|")[3]) == wanted > 0
    bought = [int(row.split("|")[3]) for row in rows if row.startswith("| twin ferrules")]
    assert bought == ([twins // 2] if twins else [])


def test_all_copies_take_copies_times_one(guide: Guide) -> None:
    text = page(guide, "parts.md").split("## Consumables")[1]
    copies = int(guide.design.values["making.copies"].si)
    rows = [row.split("|") for row in text.splitlines() if row.startswith("| ")][1:]
    number = re.compile(r"[\d.]+")
    assert rows
    for _, name, _, one, every, *_ in rows:
        (each,), (total,) = number.findall(one), number.findall(every)
        # What a bench keeps serves all copies that are built there.
        least = float(each) * (1 if "for each bench" in one else copies)
        # Large totals are shown in coarser steps, rounded up.
        assert least - 1e-9 <= float(total) <= 1.1 * least, name
