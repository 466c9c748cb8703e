"""Tapes whose groups hold their current: the law and the network against ngspice's own JFET."""

from dataclasses import replace

import numpy as np
import pytest

from guidegen.calc import ladder_band, ladder_loop, ladder_steps
from guidegen.calc.held_group import HeldGroup
from guidegen.calc.ladder import MINUS, PLUS
from guidegen.calc.ladder_readings import Reading, derivatives, moved, values
from guidegen.calc.ladder_solve import FORMS, solve
from guidegen.errors import RangeError
from tests.reference.ladder_decks import FEEDS, NGSPICE, SPICE_VOLT, Numbers, spice

LEDS, IDEALITY, SATURATION = 7, 3.0, 1e-18
#: Pinch-off [V], current at it [A], and share that a volt more adds [1/V].
DROPOUT, FLAT, GROWTH = 1.5, 0.02, 0.006
LAW = HeldGroup(LEDS * IDEALITY * SPICE_VOLT, DROPOUT / (2 * FLAT), SATURATION, DROPOUT, GROWTH)
#: A JFET whose gate is tied to its source: β = current over the square of the pinch-off.
MODELS = [
    f".model LED D(IS={SATURATION} N={LEDS * IDEALITY})",
    f".model CHIP NJF(VTO=-{DROPOUT} BETA={FLAT / DROPOUT**2} LAMBDA={GROWTH} IS=1e-30)",
]


def chips(numbers):
    """The panel's deck with a chip in the place of every resistor."""
    lines = [line for line in numbers.deck() if not line.startswith(".model")]
    found = list(MODELS)
    for line in lines:
        name, *nodes, _ = line.split()
        group = name.startswith("R") and name[1].isdigit()
        # Drain, gate and source.
        found.append(f"J{name[1:]} {nodes[0]} {nodes[1]} {nodes[1]} CHIP" if group else line)
    return found


def test_the_law_by_its_definition():
    """Kirchhoff's voltage law: LEDs and chip have the whole voltage between them."""
    volts = np.linspace(0.5, 30, 200)
    current, slope = LAW.at(volts)
    chip = volts - LAW.scale * np.log1p(current / SATURATION)
    share = np.clip(chip / DROPOUT, 0, 1)
    # Where the LEDs are dark their logarithm leaves the chip a rounding.
    lit = current > 1e-9
    wanted = FLAT * share * (2 - share) * (1 + GROWTH * chip)
    assert current[lit] == pytest.approx(wanted[lit], rel=1e-6)
    near = (LAW.at(volts + 1e-6)[0] - LAW.at(volts - 1e-6)[0]) / 2e-6
    assert slope == pytest.approx(near, rel=1e-5, abs=1e-9)


def test_the_law_goes_through_the_rated_point():
    law = HeldGroup.held(24.0, 0.02, 7, 2.85, dropout=1.5, regulation=0.005)
    current, slope = law.at([24.0, 25.0, 22.0])
    # Half a hundredth a volt, of 20 mA; the LEDs take what is left of it for themselves.
    assert current == pytest.approx([0.02, 0.0201, 0.0198], rel=2e-4)
    assert slope == pytest.approx(np.full(3, 1e-4), rel=0.02)
    for volts, ohms in ((24.0, 100.0), (22.0, 10.0), (12.0, 50.0)):
        amps, _ = law.roughly(volts, ohms)
        assert float(law.at(volts - ohms * amps)[0]) == pytest.approx(amps, rel=0.03, abs=1e-9)


@pytest.mark.parametrize(
    "wrong", [{"voltage": 21.0}, {"current": 0.0}, {"regulation": 0.3}, {"regulation": -0.01}]
)
def test_what_is_no_such_tape(wrong):
    rated = {"voltage": 24.0, "current": 0.02, "leds": 7, "forward": 2.85, "dropout": 1.5,
             "regulation": 0.005}  # fmt: skip
    with pytest.raises(RangeError):
        HeldGroup.held(**rated | wrong)


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")
def test_one_group_against_ngspice(tmp_path):
    for volts in (14.0, 17.0, 19.0, 20.0, 21.0, 24.0, 30.0):
        lines = [*MODELS, f"V1 a 0 {volts}", "D1 a b LED", "J1 b c c CHIP", "RS c 0 1"]
        found = spice(tmp_path, lines, ["c"])
        # A volt over an ohm is an ampere, and the ohm stands before the group.
        assert float(LAW.at(volts - found[0])[0]) == pytest.approx(found[0], rel=1e-6, abs=1e-12)


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")
@pytest.mark.parametrize("volts", [24.0, 21.2])
@pytest.mark.parametrize("feed", FEEDS)
def test_every_node_against_ngspice(tmp_path, feed, volts):
    """At 24 V all chips hold their current; at 21.2 V those far from the feed do not."""
    numbers = Numbers(6, 12, feed, volts=volts, leds=LEDS)
    net = replace(numbers.net(), law=LAW)
    state = solve(net)
    across = state.rows[0, ..., PLUS] - state.rows[0, ..., MINUS]
    held = across - LAW.scale * np.log1p(state.currents[0] / SATURATION) > DROPOUT
    assert held.all() == (volts == 24.0)
    nodes = [f"{way}{row}_{k}" for way in "pn" for row in range(6) for k in range(12)]
    theirs = spice(tmp_path, chips(numbers), nodes)
    assert theirs is not None
    ours = np.concatenate([state.rows[0, ..., pole].ravel() for pole in (PLUS, MINUS)])
    assert np.abs(ours - theirs).max() < 1e-9 * volts


@pytest.mark.parametrize("volts", [24.0, 21.2, 20.0])
@pytest.mark.parametrize("feed", FEEDS)
def test_all_forms_agree(feed, volts):
    """The second is in the middle of the chips' knees, where the law bends the other way."""
    net = replace(Numbers(12, 25, feed, volts=volts, leds=LEDS).net(), law=LAW)
    band = ladder_band.solve(net)
    for suits, form in FORMS:
        if suits(net):
            found = ladder_steps.solve(form(net))
            assert found is not None
            assert np.abs(found.rows - band.rows).max() < 1e-11
    assert ladder_loop.suits(net) == (feed == "one end")


def test_joints_that_differ_leave_the_light_alone():
    """Where the chips hold, a tenth of an ohm at one row moves its light by what they let through.

    The row's 12 groups lose 24 mV in each pole: at 0.6 % a volt that is 0.03 % of their light.
    With 200 Ω a group in place of the chip it would be 48 mV of some 4.5 V, a hundredth.
    """
    numbers = Numbers(6, 12, "one end", volts=24.0, leds=LEDS)
    sound, plain = replace(numbers.net(), law=LAW), replace(numbers.net(), law=replace(
        numbers.law(), ohms=(24 - 20) / FLAT))  # fmt: skip
    shares = []
    for net in (sound, plain):
        worse = np.full(6, 1 / numbers.link)
        worse[3] = 1 / (numbers.link + 0.1)
        links = tuple(replace(link, conductance=worse) for link in net.links)
        rows = [solve(one).currents[0, 3].sum() for one in (net, replace(net, links=links))]
        shares.append(1 - rows[1] / rows[0])
    assert shares[0] < 4e-4
    assert shares[1] > 5e-3


def test_derivatives_against_finite_differences():
    net = replace(Numbers(3, 6, "opposite ends", volts=21.5, leds=LEDS).net(), law=LAW)
    reading = Reading("total", None, np.ones((3, 6)))
    found = derivatives(net, solve(net), [reading])
    for kind in ("ohms", "saturation", "track", "link"):
        one = np.ones((2, *found[kind].shape[1:])) * np.exp([1e-4, -1e-4]).reshape(
            2, *[1] * (found[kind].ndim - 1)
        )
        both = moved(net, {kind: one}, 2)
        high, low = values(both, solve(both), [reading])[:, 0]
        assert found[kind].sum() == pytest.approx((high - low) / 2e-4, rel=1e-4), kind
