"""Room for the hand round a handle's bar: places typed here, and one demonstration."""

from pathlib import Path

import pytest

from guidegen.design.grips import longest
from guidegen.design.settle import settle
from guidegen.design.solid import Solid
from guidegen.spec.changes import changed
from guidegen.spec.load import load_fixture

SPEC = Path(__file__).parents[2] / "specs" / "puppet-wash-light.yaml"
BAR = Solid((0.0, 0.18, -0.06), (0.8, 0.20, -0.04))


@pytest.mark.parametrize(
    ("others", "free"),
    [
        ([], 0.8),
        # A box below, 10 mm away, from 0.3 to 0.5 m: the longer side is left.
        ([((0.3, 0.05, -0.09), (0.5, 0.17, -0.01))], 0.3),
        # The same 30 mm away is no hindrance.
        ([((0.3, 0.05, -0.09), (0.5, 0.15, -0.01))], 0.8),
        # 20 mm below and 20 mm behind are 28 mm away.
        ([((0.3, 0.05, -0.02), (0.5, 0.16, 0.0))], 0.8),
        # Two blocks that hold it.
        ([((0.0, 0.16, -0.08), (0.025, 0.22, 0)), ((0.775, 0.16, -0.08), (0.8, 0.22, 0))], 0.75),
    ],
)
def test_the_longest_free_piece(others, free):
    found = longest(BAR, [Solid(low, high) for low, high in others], 0.025)
    assert found == pytest.approx(free)


def test_a_box_under_the_handle_is_told_and_a_longer_bar_helps():
    """Blocks of 25 mm end at 475 mm, the box begins at 490 mm."""
    fixture = changed(load_fixture(SPEC), {"body.handles.1.length": "400 mm"})
    [finding] = [one for one in settle(fixture).findings if one.id == "handle-grip"]
    assert finding.level == "advice"
    assert finding.found.si == pytest.approx(0.015)
    assert {"body.handles.1.length": "800 mm"} in [dict(mend.changes) for mend in finding.mends]
    assert not [one for one in settle(load_fixture(SPEC)).findings
                if one.id == "handle-grip" and one.level != "holds"]  # fmt: skip
