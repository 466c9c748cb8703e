"""The curve from dark to full against the network solved at each of its points, and Ohm's law."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from guidegen.calc.ladder import total_current
from guidegen.calc.ladder_solve import solve
from guidegen.design import settle
from guidegen.design.result import Desk
from guidegen.design.solved_curve import SHARES, curve, profiles
from guidegen.design.solved_panel import ladders, way
from guidegen.spec import load

SPECS = sorted((Path(__file__).parents[2] / "specs").glob("*.yaml"))


@pytest.fixture(scope="module", params=SPECS, ids=lambda spec: spec.stem)
def design(request):
    return settle(load(request.param), mends=False)


def test_every_point_is_a_solution(design):
    desk = Desk("test", design.fixture, design.sections)
    net = ladders(desk, way(desk))
    full = solve(net).currents.sum()
    points = curve(design)
    assert [point.light for point in points] == list(SHARES)
    for point in points:
        at = replace(net, volts=point.volts)
        state = solve(at)
        # Between solved points the logarithm of the light is taken as straight.
        assert state.currents.sum() / full == pytest.approx(point.light, rel=0.03)
        assert float(total_current(at, state)[0]) == pytest.approx(point.amps, rel=0.03)
        assert point.watts == pytest.approx(point.amps * point.volts)


def test_light_begins_below_the_threshold_law(design):
    """The law's LEDs hold one voltage and are dark below it; Shockley's give a little sooner."""
    points = curve(design)
    threshold = design.values["tape.threshold"].si
    assert 0.75 * threshold < points[0].volts < threshold
    half = next(point for point in points if point.light == 0.5)
    law = threshold + 0.5 * (design.values["setting.full"].si - threshold)
    assert half.volts == pytest.approx(law, rel=0.06)


def test_profiles_end_in_the_printed_evenness(design):
    found = profiles(design)
    values = [value for line in found.rows for value in line.values]
    assert max(values) == pytest.approx(1)
    own = design.values["network." + {"both ends": "both_ends", "opposite ends": "opposite_ends"}[
        str(design.facts["feed"])]].si  # fmt: skip
    assert min(values) == pytest.approx(own, abs=1e-9)
    for line in found.rails:
        assert len(line.values) == int(design.values["row.count"].si)
        assert np.all(np.array(line.values) > 0)
