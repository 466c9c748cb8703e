"""Feedback dividers against worked values; bands against their corners."""

import pytest

from guidegen.calc import control
from guidegen.kinds import OhmRating, Volt
from guidegen.values import band, given, work


def divider(reference, upper, lower):
    """A divider of givens, each as (value, relative tolerance)."""
    parts = {
        name: given(name, kind, value, "test", value * spread)
        for name, kind, (value, spread) in (
            ("reference", Volt, reference), ("upper", OhmRating, upper),
            ("lower", OhmRating, lower))
    }  # fmt: skip
    return work("output", control.divider_output, **parts)


def test_generic_three_terminal_regulator():
    # Data-sheet formula of the generic adjustable three-terminal regulator: 1.25 V, 240 Ω, 720 Ω.
    assert control.divider_output(reference=1.25, upper=720, lower=240) == pytest.approx(5.0)


# Corners of Vref (1 + R_up/R_low), worked by hand to six decimals.
@pytest.mark.parametrize(
    ("reference", "upper", "lower", "value", "low", "high"),
    [((0.8, 0.01), (105e3, 0.01), (20e3, 0.01), 5.0, 4.867663, 5.135697),
     ((1.23, 0.02), (22e3, 0.01), (1200, 0.01), 23.78, 22.866796, 24.720267),
     ((1.25, 0.015), (1500, 0.01), (240, 0.01), 9.0625, 8.774180, 9.358633)],
)  # fmt: skip
def test_worst_case_is_the_corner(reference, upper, lower, value, low, high):
    output = divider(reference, upper, lower)
    assert output.si == pytest.approx(value, abs=1e-6)
    assert band(output) == pytest.approx((low, high), abs=1e-6)


# 1.25 V, upper leg 10 kΩ + control 0 to 5 kΩ, lower 820 Ω: straight line (divider formula).
@pytest.mark.parametrize(
    ("knob", "output"),
    [(0, 16.493902), (0.25, 18.399390), (0.5, 20.304878), (0.75, 22.210366), (1, 24.115854)],
)
def test_control_in_the_upper_leg(knob, output):
    upper = control.series_pair(a=10e3, b=knob * 5e3)
    found = control.divider_output(reference=1.25, upper=upper, lower=820)
    assert found == pytest.approx(output, abs=1e-6)


# 1.25 V, upper leg 10 kΩ, lower 680 Ω + control 0 to 470 Ω: hyperbola (divider formula).
@pytest.mark.parametrize(
    ("knob", "output"),
    [(0, 19.632353), (0.25, 16.923981), (0.5, 14.911202), (0.75, 13.356538), (1, 12.119565)],
)
def test_control_in_the_lower_leg(knob, output):
    lower = control.series_pair(a=680, b=knob * 470)
    found = control.divider_output(reference=1.25, upper=10e3, lower=lower)
    assert found == pytest.approx(output, abs=1e-6)


def test_control_of_twenty_per_cent():
    # The upper-leg network above, reference ±2 %, resistors ±1 %, control ±20 %: corners
    # 21.784647 and 26.561401 V at the bright end, 15.868202 and 17.137897 V at the dark end.
    reference = given("reference", Volt, 1.25, "test", 0.025)
    fixed = given("fixed", OhmRating, 10e3, "test", 100)
    lower = given("lower", OhmRating, 820, "test", 8.2)
    knob = given("control", OhmRating, 5e3, "test", 1e3)
    upper = work("upper", control.series_pair, a=fixed, b=knob)
    bright = work("bright", control.divider_output, reference=reference, upper=upper, lower=lower)
    dark = work("dark", control.divider_output, reference=reference, upper=fixed, lower=lower)
    assert band(bright) == pytest.approx((21.784647, 26.561401), abs=1e-6)
    assert band(dark) == pytest.approx((15.868202, 17.137897), abs=1e-6)


def test_faults_of_a_control_in_the_upper_leg():
    # 10 kΩ end, 5 kΩ control, 15 kΩ across, 820 Ω: with the control open the bridge leaves
    # 25 kΩ, 39.36 V: a resistor across does not make it safe (circuit laws).
    given_parts = {"arrangement": "in place of trimmer", "reference": 1.25, "fixed": 820,
                   "trimmer": 0.0, "track": 5e3, "across": 15e3, "end": 10e3}  # fmt: skip
    found = control.fault_outputs(**given_parts)
    assert found["track open"] == pytest.approx(39.36, abs=0.01)
    assert found["lead broken"] == float("inf")
    assert found["end open"] == float("inf")
    assert found["across open"] == pytest.approx(24.115854, abs=1e-6)
    assert found["control short"] == pytest.approx(16.493902, abs=1e-6)
    assert found["fixed resistor open"] == 1.25
    near = control.fault_outputs(**given_parts, across_at_control=False)
    assert near["lead broken"] == pytest.approx(39.36, abs=0.01)


def test_faults_of_a_control_in_the_lower_leg():
    # Lower leg open: the output falls to the reference; lower leg short: it rises (circuit laws).
    found = control.fault_outputs(
        arrangement="in place of fixed resistor", reference=1.25, fixed=0.0, trimmer=10e3,
        track=470, end=680,
    )  # fmt: skip
    assert found == {
        "wiper open": pytest.approx(12.119565, abs=1e-6), "lead broken": 1.25,
        "track open": 1.25, "end open": 1.25,
        "control short": pytest.approx(19.632353, abs=1e-6),
    }  # fmt: skip
    bare = control.fault_outputs(
        arrangement="in place of fixed resistor", reference=1.25, fixed=0.0, trimmer=10e3, track=470
    )
    assert bare["control short"] == float("inf")
