"""Barrels of ferrules against the lengths that data sheets of DIN 46228-4 ferrules give."""

from __future__ import annotations

from pathlib import Path

import pytest

from guidegen.calc.ferrules import ferrule_barrel, stripped_for
from guidegen.design import settle
from guidegen.design.ferrules import shared
from guidegen.errors import GuidegenError
from guidegen.folders import folder
from guidegen.spec import load

SPECS = Path(folder("templates").parent / "specs")


# From memory of DIN 46228-4: area in mm², single and twin barrel in mm.
@pytest.mark.parametrize(
    ("area", "single", "twin"), [(0.5, 8, 8), (0.75, 8, 8), (1.5, 8, 8), (2.5, 8, 10), (4, 10, 12)]
)
def test_barrels_of_the_standard(area: float, single: float, twin: float) -> None:
    assert ferrule_barrel(area * 1e-6, "single") == pytest.approx(single * 1e-3)
    assert ferrule_barrel(area * 1e-6, "twin") == pytest.approx(twin * 1e-3)
    # Two millimetres stay bare under the collar.
    assert stripped_for(single * 1e-3, 0.002) == pytest.approx((single + 2) * 1e-3)


def test_no_ferrule_is_invented_for_a_thick_wire() -> None:
    with pytest.raises(GuidegenError):
        ferrule_barrel(150e-6, "single")
    with pytest.raises(GuidegenError):
        ferrule_barrel(25e-6, "twin")


def test_two_feeds_under_one_screw_share_a_twin_ferrule() -> None:
    """Boatshed: two panels, OUT+ and OUT− of the stage take two feed wires each."""
    model = settle(load(SPECS / "boatshed-work-bar.yaml"), mends=False).model
    feeds = [wire for wire in model.conductors if wire.role == "feed"]
    assert len(feeds) == 4
    assert {wire.start_treatment for wire in feeds} == {"twin"}
    assert {wire.end_treatment for wire in feeds} == {"tinned"}
    pairs = shared(model.conductors)
    assert len(pairs) == 4
    poles = {wire.ref: wire.polarity for wire in feeds}
    assert all(poles[ref] == poles[other] for (ref, _), other in pairs.items())


def test_a_feed_with_a_terminal_of_its_own_has_its_own_ferrule() -> None:
    model = settle(load(SPECS / "puppet-wash-light.yaml"), mends=False).model
    assert shared(model.conductors) == {}
