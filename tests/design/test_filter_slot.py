"""A slot for a filter: spacers on three sides of the rim, the cover on them, one side open."""

import pytest

from guidegen.design import settle
from guidegen.spec.changes import changed


@pytest.fixture(scope="module", params=["top", "left", "right"])
def slotted(request, demo):
    change = {"body.border.filter_slot": f"{{edge: {request.param}, thickness: 3 mm}}"}
    return request.param, settle(changed(demo, change), mends=False)


def spacers(design):
    return [part.solid for part in design.model.by_role("slot_spacer")]


def test_a_filter_can_be_slid_in_at_its_edge_alone(slotted):
    """A thin sheet between the spacers meets nothing on its way in, and each other way a spacer."""
    edge, design = slotted
    board = design.model.board
    assert len(spacers(design)) == 3
    middle = (board.width / 2, board.height / 2)
    ways = {"left": (-1, 0), "right": (1, 0), "top": (0, 1), "bottom": (0, -1)}
    open_ways = [
        way for way, (dx, dy) in ways.items()
        if not any(_meets(s, middle, dx, dy) for s in spacers(design))
    ]  # fmt: skip
    assert open_ways == [edge]


def _meets(solid, middle, dx, dy):
    """Whether a ray from the middle of the panel meets a solid, seen along z."""
    x, y = middle
    if dx:
        ahead = solid.low[0] > x if dx > 0 else solid.high[0] < x
        return ahead and solid.low[1] <= y <= solid.high[1]
    ahead = solid.low[1] > y if dy > 0 else solid.high[1] < y
    return ahead and solid.low[0] <= x <= solid.high[0]


def test_sizes_by_hand(slotted):
    """Rim of 12 mm, 2 mm of it a ledge: spacers 10 mm wide; board 360 mm x 210 mm; 25 mm high."""
    edge, design = slotted
    assert design.values["slot.width"].si == pytest.approx(0.010)
    long = 0.360 if edge == "top" else 0.210
    assert design.values["slot.opening"].si == pytest.approx(long - 2 * 0.010)
    assert {s.low[2] for s in spacers(design)} == {0.025}
    (cover,) = design.model.by_role("cover")
    assert cover.solid.low[2] == pytest.approx(0.025 + 0.003)
    tape = design.fixture.rows.tape["thickness"].si
    assert design.values["cover.gap"].si == pytest.approx(0.028 - tape)


def test_every_screw_of_the_cover_has_a_spacer_under_it(slotted):
    _, design = slotted
    (cover,) = design.model.by_role("cover")
    (screws,) = design.model.by_role("cover_screw")
    through = [hole.at[:2] for s in spacers(design) for hole in s.holes]
    assert sorted(through) == sorted(hole.at[:2] for hole in cover.solid.holes)
    assert screws.count == len(through) > 4


def test_nothing_forbids_building_it(slotted):
    _, design = slotted
    assert [f.id for f in design.findings if f.level == "stop"] == []
