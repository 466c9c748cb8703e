"""Two panels on one chain: what adds up, what stays a panel's own, and that they are alike."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest

from guidegen.content.files import search_path
from guidegen.content.words import load_words
from guidegen.design import Design
from guidegen.design.model import Part
from guidegen.design.solid import Solid
from guidegen.design.solved_faults import fault_table
from guidegen.guide.steps import load_steps
from tests.design.by_hand import share_of_rated

Settled = Callable[[str], Design]
CASES = ("two panels", "two tall panels of metal, fed between the ends of their rows")


@pytest.fixture(scope="module", params=CASES)
def design(request: pytest.FixtureRequest, settled: Settled) -> Design:
    return settled(request.param)


@pytest.fixture(scope="module")
def two(settled: Settled) -> Design:
    return settled("two panels")


def test_the_chain_carries_what_all_rows_take_and_a_panel_half_of_it(two: Design) -> None:
    """18 rows of 300 mm of tape that is sold as 9.6 W/m at 12 V, fed with 11.8 V.

    By hand: three LEDs of 2.85 V and a resistor a group of 25 mm that take 20 mA at 12 V (Ohm and
    Shockley), 12 groups a row.
    """
    row = 12 * 20e-3 * share_of_rated(11.8, 12, 3, 2.85)
    assert two.values["row.current"].si == pytest.approx(row, rel=1e-3)
    assert two.values["panel.current"].si == pytest.approx(18 * row, rel=1e-3)
    assert two.values["one_panel.current"].si == pytest.approx(9 * row, rel=1e-3)
    # The regulator's data sheet gives 92 %.
    assert two.values["input.power"].si == pytest.approx(18 * row * 11.8 / 0.92, rel=1e-3)
    for role in ("rail", "feed"):
        kept = [f for f in two.findings if f.id == "ampacity" and f.names["conductor"] == role]
        assert [f.found.si for f in kept if f.found] == [pytest.approx(9 * row, rel=1e-3)]
    feeds = two.model.wires("feed")
    assert [wire.current.si for wire in feeds] == [pytest.approx(9 * row, rel=1e-3)] * 4


def test_the_light_is_that_of_two_lights_that_stand_there(settled: Settled) -> None:
    """The first design is a set of two single lights; panels at the same places light the same."""
    panels, lights = settled("two panels"), settled("as it is")
    nine = 9 / 12  # rows of each
    flux = lights.values["light.flux"].si
    assert panels.values["light.flux"].si == pytest.approx(nine * flux, rel=1e-6)
    # 2000 lx from twelve rows; the nine stand a little nearer to the middle of their board.
    reached = panels.values["light.illuminance"].si / lights.values["light.illuminance"].si
    assert reached == pytest.approx(nine, rel=0.01)
    assert not panels.facts["several_lights"]
    assert panels.facts["several_panels"]
    # One panel heats its own board: nine rows less than twelve, though the chain carries eighteen.
    heat = panels.values["panel.heat"].si / lights.values["panel.heat"].si
    assert heat == pytest.approx(nine, rel=1e-6)


def test_parts_of_both_panels_are_alike(design: Design) -> None:
    """Each piece of one panel is one of the other, as far away as their boards are."""
    model = design.model
    boards = model.by_role("board")
    assert [board.panel for board in boards] == [1, 2]
    first, second = (solid(board) for board in boards)
    away = [b - a for a, b in zip(first.low, second.low, strict=True)]
    assert max(abs(x) for x in away) > min(first.size[:2])
    assert away[2] == 0

    def told(panel: int) -> list[tuple[object, ...]]:
        by = away if panel == 2 else [0.0, 0.0, 0.0]
        return sorted(
            (p.role, p.count, [str(size) for size in p.size],
             *(round(c - b, 9) for end in ((p.solid.low, p.solid.high) if p.solid else ())
               for c, b in zip(end, by, strict=True)),
             sorted((h.role, *(round(c - b, 9) for c, b in zip(h.at, by, strict=True)))
                    for h in (p.solid.holes if p.solid else ())))
            for p in model.parts if p.panel == panel
        )  # fmt: skip

    assert told(1) == told(2)
    assert len(told(1)) > 20


def solid(part: Part) -> Solid:
    assert part.solid is not None
    return part.solid


def test_what_is_fixed_is_fixed_on_its_own_panel(design: Design) -> None:
    parts = {part.ref: part for part in design.model.parts}
    for part in parts.values():
        if part.panel:
            assert parts[part.on].panel in (0, part.panel) if part.on else part.role == "board"
            if part.fixed_by in parts:
                assert parts[part.fixed_by].panel == part.panel
            for hole in part.solid.holes if part.solid else ():
                if hole.holds in parts:
                    assert parts[hole.holds].panel == part.panel


def test_every_wire_of_a_panel_stays_on_it_but_for_its_feed(design: Design) -> None:
    model = design.model
    for wire in model.conductors:
        ends = {model.part(key.split(":")[0]).panel for key in (wire.start, wire.end)}
        assert len(ends) == 1 or (wire.role == "feed" and 0 in ends), wire.ref
    feeds: dict[int, list[str]] = {}
    for wire in model.wires("feed"):
        feeds.setdefault(model.part(wire.end.split(":")[0]).panel, []).append(wire.polarity)
    assert {panel: sorted(poles) for panel, poles in feeds.items()} == {1: ["+", "-"],
                                                                        2: ["+", "-"]}  # fmt: skip
    assert len({str(wire.length) for wire in model.wires("feed")}) == 1


def test_each_feed_leaves_the_box_through_a_grommet_of_its_own(design: Design) -> None:
    model = design.model
    grommets = [part for part in model.by_role("feed_grommet") if part.solid]
    assert len(grommets) == 2
    walls = [part for part in model.by_role("wall")
             if part.solid and any(hole.role.startswith("feed_grommet")
                                   for hole in part.solid.holes)]  # fmt: skip
    assert len(walls) == 1
    heights = sorted(solid(part).low[1] for part in grommets)
    for low, high in pairwise(heights):
        assert high - low >= solid(grommets[0]).size[1]
    # Rails on the back, fed between the rows: the wires come through no board.
    bases = 2 if design.facts["fed_middle"] else 4
    assert [part.count for part in model.by_role("tie_base")] == [bases, bases]


def test_a_model_of_one_panel_holds_nothing_of_the_other(design: Design) -> None:
    for number, one in enumerate(design.model.panels, 1):
        assert {part.panel for part in one.parts} == {0, number}
        assert one.board == solid(one.by_role("board")[0]).box
        known = {terminal.key for terminal in one.terminals}
        assert all({wire.start, wire.end} <= known for wire in one.conductors)
        assert len(one.by_role("row")) == int(design.values["row.count"].si)


def test_the_cut_list_holds_every_piece_twice(two: Design) -> None:
    cutting = two.result("making")
    labels = [piece.name or piece.label for work in cutting.bars for bar in work.plan.bars
              for piece in bar.pieces]  # fmt: skip
    sheets = [place.label for work in cutting.sheets for sheet in work.plan.sheets
              for place in sheet.placed]  # fmt: skip
    copies = int(two.values["making.copies"].si)
    assert sum("U1/U18" in label for label in sheets) == 2 * copies
    assert sum(label.startswith("U2/") for label in labels) == 4 * copies  # long strips
    assert two.values["tape.rows_needed"].si == 18 * copies


def test_what_a_panel_takes_is_counted_for_each(two: Design, settled: Settled) -> None:
    """Time, paint and glue of both: twice the mount's 10 g, twice the paint of one board."""
    words = load_words(search_path())
    mine = load_steps(search_path(), {**two.facts, "stops": False}, two.model, two.values, words)
    steps = {step.id: step for step in mine}
    (glue,) = [use.amount.si for use in steps["mount-fitted"].consumables]
    assert glue == pytest.approx(20)
    used = {use.id: use.amount.si for use in steps["board-painted"].consumables}
    assert used["paint"] == pytest.approx(2 * two.values["coat.amount"].si)
    rows = steps["rows-stuck"].minutes.si
    single = settled("as it is")
    one = load_steps(search_path(), {**single.facts, "stops": False}, single.model,
                     single.values, words)  # fmt: skip
    (alone,) = [step.minutes.si for step in one if step.id == "rows-stuck"]
    # Nine rows on each of two boards, against twelve on one.
    assert rows > 1.4 * alone


def test_a_fault_of_one_panel_is_solved_with_the_other_beside_it(two: Design) -> None:
    """A row that is dark takes its own share of the current of all rows, and no more."""
    table = fault_table(two)
    values, kinds = two.values, [one.kind for one in table.suspects]
    assert table.amps[0] == pytest.approx(values["panel.loaded_current"].si, rel=0.01)
    dark = table.amps[kinds.index("jumper-open")] / table.amps[0]
    assert 1 - dark == pytest.approx(1 / values["rows.all"].si, rel=0.05)
