"""What the meter can judge, and what it shows at the ends of a trimmer."""

from __future__ import annotations

from pathlib import Path

import pytest

from guidegen.design import settle
from guidegen.spec import load
from guidegen.spec.changes import changed

SPECS = Path(__file__).parents[2] / "specs"


def test_a_chosen_limit_is_as_wide_as_a_usual_meter_judges() -> None:
    """On 10 A 1.5 % and 0.03 A (project default), 2.5 times that (common practice, no source)."""
    for spec, limit in (("herbarium-copy-light", 3.0), ("boatshed-work-bar", 4.0)):
        found = settle(load(SPECS / f"{spec}.yaml"), mends=False)
        assert found.values["limit.set"].si == pytest.approx(limit)
        spread = found.values["limit.tolerance"].si
        assert spread >= 2.5 * (0.015 * limit + 0.03) > spread - 0.01
        # It never holds the light itself back, at its own lower end.
        assert limit - spread > found.values["panel.current"].si


def test_a_tolerance_that_the_meter_can_not_see_is_told() -> None:
    """0.5 % of 21 V and two digits of 0.01 V, 2.5 times: 0.31 V."""
    levels = {}
    for spread in ("0.30 V", "0.35 V"):
        own = changed(load(SPECS / "boatshed-work-bar.yaml"),
                      {"supplies.1.chain.cut_off.trips_at": f"21.0 V ± {spread}"})  # fmt: skip
        (levels[spread],) = (
            one.level for one in settle(own, mends=False).findings
            if one.id == "meter-too-coarse" and one.names["what"] == "cut_off")  # fmt: skip
    assert levels == {"0.30 V": "advice", "0.35 V": "holds"}


def test_the_ends_of_a_trimmer_by_hand() -> None:
    """1.23 V, a trimmer of 10 kΩ over 910 Ω and 625 Ω of control: 1.23 V and 9.24 V."""
    v = settle(load(SPECS / "herbarium-copy-light.yaml"), mends=False).values
    lower = 910 + v["control.span"].si
    assert v["trimmer.low_output"].si == pytest.approx(1.23)
    assert v["bench.wrong_end"].si == pytest.approx(1.23 * (1 + 10e3 / lower))
    assert v["bench.wrong_end"].si == pytest.approx(9.24, abs=0.01)
    # Where the divider asks for more than there is, the input less the dropout is the end.
    v = settle(load(SPECS / "boatshed-work-bar.yaml"), mends=False).values
    most = v["bench.start"].si - v["regulator.dropout"].si
    assert v["bench.wrong_end"].si == pytest.approx(min(v["trimmer.high_output"].si, most))
    assert v["trimmer.high_output"].si > most
