"""Bands of the solved panel against sums by hand, and against designs whose parts are known."""

import itertools
import math

import numpy as np
import pytest

from guidegen.calc.ladder import MINUS, PLUS
from guidegen.calc.ladder_readings import Node, Reading, values
from guidegen.design import resistances, settle
from guidegen.design.settle import DESCRIBING, JUDGING, SUBJECTS
from guidegen.design.solved_panel import Solved
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.values import band
from tests.design.conftest import DEMO

FULL = "7.5 V ± 0.3 V to {} V"
#: The demonstration's tape as good as known; a figure without a band keeps its data sheet's.
TAPE = ("{{like: tape-12v-10w-cri95, power: {} W/m ± 0.001 %, forward_voltage: {} V ± 0.001 %,"
        " track_resistance: {} ohm/m ± 0.001 %}}")  # fmt: skip
#: Else the design chooses it anew with each figure.
FEED = {"chain.feed.length": "400 mm"}
#: The tape's figures, and the bands that its data sheet has of them.
PLAIN = (9.6, 2.85, 0.160)
SPREAD = (0.1, 0.04, 0.2)


@pytest.fixture(scope="module")
def design():
    return settle(load(DEMO), mends=False)


def known(demo, deviations=(0, 0, 0), volts="11.8"):
    """The demonstration with figures that have no band."""
    figures = [f"{plain * (1 + by):.6f}" for plain, by in zip(PLAIN, deviations, strict=True)]
    return settle(changed(demo, {"rows.1.tape": TAPE.format(*figures),
                                 "chain.regulator.output": FULL.format(volts), **FEED}),
                  mends=False)  # fmt: skip


def test_the_current_by_hand(design):
    """JCGM 100: power and setting alone, each evenly likely within its limits."""
    # Of 20 mA a group at 12 V, 2.85 V of it an LED; ideality 2 at 25 °C.
    slope = 144 / ((12 - 3 * 2.85) / 0.02 + 3 * 2 * 0.025693 / 0.02)
    # Both cores of the feed with two joints each (IEC 60228, 0.75 mm², class 5).
    wires = 2 * (0.026 * design.values["feed.length"].si + 2 * 0.005)
    amps = (144 * 0.02 - 0.2 * slope) / (1 + wires * slope)
    slope /= 1 + wires * slope
    standard = math.hypot(0.1 * amps, 0.2 * slope) / math.sqrt(3)
    low, high = band(design.values["network.current"])
    assert (high - low) / 2 == pytest.approx(2 * standard, rel=0.04)
    share = design.values["network.share_one"].si
    assert share == pytest.approx((0.1 * amps / math.sqrt(3) / standard) ** 2, abs=0.03)
    assert [one.part.name for one in design.result("solved bands")][:2] == [
        "tape.power", "setting.full"]  # fmt: skip


def test_what_is_measured_leaves_the_band_that_is_promised(demo, design):
    """The promise for the tape's power is kept by a spec that holds it without a band."""
    first = design.result("solved bands")[0]
    assert first.part.name == "tape.power"
    tape = "{like: tape-12v-10w-cri95, power: 9.6 W/m ± 0.001 %}"
    kept = settle(changed(demo, {"rows.1.tape": tape}), mends=False)
    assert band(first.left) == pytest.approx(band(kept.values["network.current"]), rel=2e-3)
    assert kept.result("solved bands")[0].part.name == "setting.full"


def test_the_worst_case_is_a_design_at_its_limits(demo, monkeypatch):
    """Every figure at one end of its band, as a spec: no such design passes the worst case."""
    found, design = [], settle(changed(demo, FEED), mends=False)
    for joint in (0.002, 0.008):
        monkeypatch.setattr(resistances, "JOINT", joint)
        monkeypatch.setattr(resistances, "JOINT_SPREAD", 0.0)
        for signs in itertools.product((-1, 1), repeat=2):
            # Power and voltage raise the current together, and track lowers it.
            deviations = np.array([signs[0], signs[1], -signs[0]]) * SPREAD
            found.append(known(demo, deviations, f"{11.8 + 0.2 * signs[0]:.1f}").values)
    for name in ("current", "scan_far"):
        mine = [one[f"network.{name}"].si for one in found]
        low, high = band(design.values[f"network.{name}_worst"])
        error = 0.0 if name == "current" else 0.005 * design.values["network.scan_far"].si + 2e-4
        # At its worst a voltage has the joints that only take current from it at their other end,
        # and warm copper, which these designs have not.
        close = 1e-3 if name == "current" else 0.02
        assert max(mine) == pytest.approx(high - error, rel=close)
        assert min(mine) == pytest.approx(low + error, rel=close)
        assert low + error - 1e-9 < min(mine)
        assert max(mine) < high - error + 1e-9


@pytest.mark.parametrize("name", ["puppet-wash-light", "boatshed-work-bar", DEMO.stem])
def test_laws_and_network_have_one_worst_case(name):
    """The laws' bands, from the same givens and LEDs of one voltage, within a thirtieth."""
    values = settle(load(DEMO.parent / f"{name}.yaml"), mends=False).values
    ends = band(values["panel.loaded_current"])
    assert band(values["network.current_worst"]) == pytest.approx(ends, rel=0.033)
    least, most = band(values["network.current_worst"])
    low, high = band(values["network.current"])
    assert least <= low < values["network.current"].si < high <= most


@pytest.mark.parametrize("name", ["puppet-wash-light", "boatshed-work-bar", DEMO.stem])
def test_no_light_that_the_steps_pass_is_outside_of_the_worst_case(name):
    """Kirchhoff: between the rails lies less than at the output, and more than at the pads."""
    values = settle(load(DEMO.parent / f"{name}.yaml"), mends=False).values
    low, high = band(values["network.feed_voltage_worst"])
    assert band(values["panel.pad_voltage"])[0] < low
    assert high < band(values["setting.full"])[1]


def test_the_negative_side_reads_the_same(settled):
    for name in (
        "as it is",
        "fed from both ends",
        "rows fed between their ends",
        "fed from the left end",
    ):
        solved: Solved = settled(name).result("solved panel")
        net = solved.net
        plus, minus = (next(link for link in net.links if link.pole == pole)
                       for pole in (PLUS, MINUS))  # fmt: skip
        for row in range(net.rows):
            tap = int(net.tap_of_row[row])
            pair = [Reading("", (Node("rail", (tap, link.rail)),
                                 Node("row", (row, link.station, link.pole))))
                    for link in (plus, minus)]  # fmt: skip
            one, other = values(net, solved.state, pair)[0]
            assert one == pytest.approx(-other, rel=1e-9)


def test_findings_do_not_need_what_only_describes(demo):
    """`check` leaves it out and says the same."""
    assert [subject for subject in SUBJECTS if subject not in JUDGING] == list(DESCRIBING)
    whole, judged = (settle(demo, subjects, mends=False) for subjects in (SUBJECTS, JUDGING))
    assert [(one.id, one.level) for one in whole.findings] == [
        (one.id, one.level) for one in judged.findings]  # fmt: skip
    assert "network.current" in whole.values
    assert "network.current" not in judged.values
