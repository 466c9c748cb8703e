"""Bands of readings against finite differences, Monte Carlo (JCGM 101) and closed forms."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from guidegen.calc import ladder_readings
from guidegen.calc.ladder import MINUS, PLUS
from guidegen.calc.ladder_bands import DERIVATIVES, SAMPLED, Part, bands, read_moved
from guidegen.calc.ladder_readings import Node, Reading, derivatives, moved, shapes, total, values
from guidegen.calc.ladder_solve import solve
from tests.reference.ladder_decks import FEEDS, Numbers

REEL, JOINTS = 0.10, 0.5


def readings_of(net):
    """What a builder reads: total, lead, feed, both rails, the joints of a row."""
    last = net.stations - 1 if net.links[1].station else 0
    return [
        total("total", net),
        Reading("lead", (Node("source", (PLUS,)), Node("end", (PLUS,)))),
        Reading("feed", (Node("rail", (0, 0)), Node("rail", (0, 1)))),
        Reading("rail +", (Node("rail", (0, 0)), Node("rail", (net.taps - 1, 0)))),
        Reading("rail -", (Node("rail", (net.taps - 1, 1)), Node("rail", (0, 1)))),
        Reading("joint +", (Node("rail", (2, 0)), Node("row", (2, 0, PLUS)))),
        Reading("joint -", (Node("row", (2, last, MINUS)), Node("rail", (2, 1)))),
        Reading("row", None, np.eye(net.rows)[1][:, None]),
    ]


def parts_of(net, forward=0.1):
    """One reel for all groups, and each joint, lead and piece of rail its own."""
    scale = float(net.law.scale)
    return [
        Part("power", REEL, {"ohms": lambda d: 1 / (1 + d), "saturation": lambda d: 1 + d}),
        Part("forward", forward, {"saturation": lambda d: np.exp(-d / scale)}),
        Part("resistor", 0.05, {"ohms": lambda d: 1 + d}, shared=False),
        Part("track", 0.2, {"track": lambda d: 1 + d}),
        Part("joint", JOINTS, {"link": lambda d: 1 + d}, shared=False),
        Part("rail", 0.1, {"rail": lambda d: 1 + d}),
        Part("feed", 0.1, {"feed": lambda d: 1 + d}, shared=False),
        Part("lead", 0.05, {"source": lambda d: 1 + d}),
        Part("volts", 0.01, {"volts": lambda d: 1 + d}),
    ]


def monte_carlo(net, count, seed, spread=0.1):
    """Readings of panels drawn at random; the draws are written here once more."""
    rng = np.random.default_rng(seed)

    def even(half, *shape):
        return rng.uniform(-half, half, (count, *shape))

    size = shapes(net)
    power, forward = even(REEL)[:, None, None], even(spread)[:, None, None]
    factors = {
        "ohms": (1 + even(0.05, *size["ohms"])) / (1 + power),
        "saturation": np.broadcast_to((1 + power) * np.exp(-forward / float(net.law.scale)),
                                      (count, *size["ohms"])),
        "track": np.broadcast_to(1 + even(0.2)[:, None, None, None], (count, *size["track"])),
        "link": 1 + even(JOINTS, *size["link"]),
        "rail": np.broadcast_to(1 + even(0.1)[:, None, None], (count, *size["rail"])),
        "feed": 1 + even(0.1, *size["feed"]),
        "source": np.broadcast_to(1 + even(0.05)[:, None], (count, 2)),
        "volts": 1 + even(0.01),
    }  # fmt: skip
    drawn = moved(net, factors, count)
    return values(drawn, solve(drawn), readings_of(net))


def panel(rows=5, groups=6, feed="opposite ends", volts=12.0):
    net = Numbers(rows, groups, feed, volts=volts, track=0.01, rail=0.0005, link=0.02).net()
    return net, solve(net)


@pytest.mark.parametrize("feed", FEEDS)
@pytest.mark.parametrize("volts", [12.0, 8.0])
def test_derivatives_against_finite_differences(feed, volts):
    # Pads without a group, two groups at one place, one the wrong way round.
    groups = np.array([[1, 0, 1, 2, 1], [1, 1, 1, 1, -1], [0, 1, 1, 1, 1], [1, 1, 1, 1, 0]])
    net = replace(panel(4, 5, feed, volts)[0], groups=groups)
    state, readings = solve(net), readings_of(net)
    found, step = derivatives(net, state, readings), 1e-3
    most = np.max([np.abs(each.reshape(len(readings), -1)).max(axis=1)
                   for each in found.values()], axis=0)  # fmt: skip
    for kind, shape in shapes(net).items():
        size = int(np.prod(shape))
        by = np.ones((4, size, size))
        by[:, range(size), range(size)] = np.exp(step * np.array([[2], [1], [-1], [-2]]))
        many = moved(net, {kind: by.reshape(4 * size, *shape)}, 4 * size)
        far, high, low, deep = values(many, solve(many), readings).reshape(4, size, -1)
        # Five points, the fourth order (Abramowitz and Stegun 25.3.6).
        slope = ((8 * (high - low) - far + deep) / (12 * step)).T
        off = np.abs(slope - found[kind].reshape(slope.shape)).max(axis=1)
        assert np.all(off <= 1e-6 * most), kind


@pytest.mark.parametrize(("rows", "groups", "volts"), [(24, 12, 12.0), (24, 12, 9.5), (5, 6, 9.0)])
def test_uncertainty_against_monte_carlo(rows, groups, volts):
    """2,000 samples tell a standard deviation within 1.6 %: 5 % is three times that."""
    net, state = panel(rows, groups, volts=volts)
    full = panel(rows, groups)[1].currents.sum()
    assert state.currents.sum() > 0.1 * full
    drawn = monte_carlo(net, 2000, 5)
    for number, band in enumerate(bands(net, state, readings_of(net), parts_of(net), full)):
        assert band.method == DERIVATIVES
        assert band.standard == pytest.approx(drawn[:, number].std(), rel=0.05), band.name
        inside = (drawn[:, number] >= band.likely[0]) & (drawn[:, number] <= band.likely[1])
        assert 0.93 < inside.mean()
        # No panel within the limits passes the worst case.
        assert drawn[:, number].min() > band.worst[0]
        assert drawn[:, number].max() < band.worst[1]


def test_near_first_light_samples_are_taken():
    net, state = panel(6, 8, volts=7.2)
    full = panel(6, 8)[1].currents.sum()
    # Forward voltage of three LEDs of 2.85 V within 4 %: half again of what makes e-fold.
    parts, drawn = parts_of(net, 0.34), monte_carlo(net, 2000, 6, 0.34)
    found = bands(net, state, readings_of(net), parts, full)
    straight = bands(net, state, readings_of(net), parts, 0.0)
    assert state.currents.sum() < 0.1 * full
    assert {band.method for band in found} == {SAMPLED}
    for name in ("total", "row"):
        number = [band.name for band in found].index(name)
        assert found[number].standard == pytest.approx(drawn[:, number].std(), rel=0.15)
        # The straight line is wrong here, or samples would not be needed.
        assert drawn[:, number].std() > 1.2 * straight[number].standard
        ends = np.quantile(drawn[:, number], (0.025, 0.975))
        assert found[number].likely == pytest.approx(tuple(ends), rel=0.25)
        assert found[number].likely[0] > 0


def test_shared_and_own_parts_are_kept_apart():
    """N groups behind wires of no resistance: what is shared is √N times what each has."""
    net = Numbers(4, 9, "one end", track=1e-7, link=1e-7, rail=1e-7, lead=1e-7, source=1e-7).net()
    state = solve(net)
    each = Part("each", 0.1, {"ohms": lambda d: 1 + d}, shared=False)
    one = Part("one", 0.1, {"ohms": lambda d: 1 + d})

    def standard(*parts):
        return bands(net, state, [total("total", net)], parts, 0.0)[0].standard

    assert standard(one) / standard(each) == pytest.approx(np.sqrt(36), rel=1e-6)
    # JCGM 100, 5.1.2: squares add up; both shares do.
    assert standard(one, each) ** 2 == pytest.approx(standard(one) ** 2 + standard(each) ** 2)
    both = bands(net, state, [total("total", net)], [one, each], 0.0)[0]
    assert both.known("one") == pytest.approx(standard(each))
    assert both.known("each") == pytest.approx(standard(one))
    assert both.known("one", "each") == pytest.approx(0, abs=1e-9)
    # JCGM 100, 4.3.7: half the width over √3. A group is its resistor, less what its LEDs take.
    law, amps = net.law, state.currents[0, 0, 0]
    slope = law.at(12.0)[1]
    assert standard(one) == pytest.approx(36 * amps * slope * law.ohms * 0.1 / np.sqrt(3), rel=1e-4)


def test_two_joints_in_one_jumper_spread_less():
    """Two independent halves: 1/√2 of the spread of one whole."""
    net, state = panel()
    reading = readings_of(net)[5:6]
    joints = [Part("joint", 0.5, {"link": lambda d: 1 + d}, shared=False, of=of) for of in (1, 2)]
    one, two = (bands(net, state, reading, [part], 0.0)[0] for part in joints)
    assert two.standard == pytest.approx(one.standard / np.sqrt(2))
    assert two.worst == one.worst
    sampled = bands(net, state, reading, joints[1:], 1e9)[0]
    assert sampled.method == SAMPLED
    assert sampled.standard == pytest.approx(two.standard, rel=0.1)


@pytest.mark.parametrize("volts", [12.0, 8.5])
def test_the_worst_case_is_the_worst_of_all_corners(volts):
    net, state = panel(volts=volts)
    parts = [part for part in parts_of(net) if part.shared]
    readings = readings_of(net)
    signs = np.array(list(itertools.product((-1, 1), repeat=len(parts))))
    moves = [column * part.half for column, part in zip(signs.T, parts, strict=True)]
    corners = read_moved(net, parts, moves, readings)
    for number, band in enumerate(bands(net, state, readings, parts, 0.0)):
        assert band.worst[1] == pytest.approx(corners[:, number].max(), rel=1e-9)
        assert band.worst[0] == pytest.approx(corners[:, number].min(), rel=1e-9)


def test_the_meter_adds_its_error():
    net, state = panel()
    plain, read = (bands(net, state, [total("total", net, error)], parts_of(net), 0.0)[0]
                   for error in (0.0, 0.03))  # fmt: skip
    assert read.standard == plain.standard
    for wide, narrow in ((read.likely, plain.likely), (read.worst, plain.worst)):
        assert np.subtract(wide, narrow) == pytest.approx([-0.03, 0.03])


def test_readings_are_what_kirchhoff_says():
    net, state = panel(24, 12)
    found = dict(zip([one.name for one in readings_of(net)],
                     values(net, state, readings_of(net))[0], strict=True))  # fmt: skip
    # Lead of 0.03 Ω before the feed, and the whole current through it.
    assert found["lead"] == pytest.approx(0.03 * found["total"], rel=1e-9)
    # Row 2 through its joint of 0.02 Ω.
    assert found["joint +"] == pytest.approx(0.02 * state.currents[0, 2].sum(), rel=1e-9)
    assert found["row"] == pytest.approx(state.currents[0, 1].sum())


def test_only_one_case_has_derivatives():
    net, state = panel()
    with pytest.raises(TypeError, match="one case"):
        derivatives(moved(net, {}, 3), state, [total("total", net)])
    assert set(ladder_readings.KINDS) == set(shapes(net))
