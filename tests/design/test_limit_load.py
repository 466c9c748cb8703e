"""A current limit against what the tape takes at full, by the law of its diodes."""

from __future__ import annotations

import pytest

from guidegen.design import settle
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

LOW = {
    "chain.regulator.output": "9.2 V ± 0.1 V",
    "chain.regulator.control": "none",
    "rows.1.count": "4",
    "chain.regulator.current_limit": "0.2 A",
}


def told(fixture: Fixture):
    design = settle(fixture)
    (found,) = [one for one in design.findings if one.id == "limit-load"]
    return design, found


def test_near_its_rating_the_limit_leaves_the_light_alone(demo: Fixture) -> None:
    design, found = told(demo)
    assert found.names["kept"]
    # Twelve rows of twelve groups at 11.8 V: some 2.6 A (Ohm, by the label), limit a tenth over it.
    assert design.values["limit.set"].si > found.required.si == pytest.approx(2.6, rel=0.1)


def test_far_below_its_rating_the_mend_lifts_the_limit_over_what_flows(demo: Fixture) -> None:
    low = changed(demo, LOW)
    _, found = told(low)
    # Ohm's law along the label's line: three LEDs of 2.85 V, the rest on the resistor. Shockley's
    # diodes take more there, as ngspice says of the same panel (tests/reference/test_ladders.py).
    straight = 4 * 12 * (9.2 - 3 * 2.85) / ((12 - 3 * 2.85) / (9.6 * 0.025 / 12))
    assert straight < 0.2 < found.required.si
    assert found.level == "advice"
    assert found.required.si > 1.2 * straight
    (mend,) = found.mends
    _, after = told(changed(low, mend.changes))
    assert after.names["kept"]
