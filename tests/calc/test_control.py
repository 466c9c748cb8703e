"""The control network: the search, its bounds, and its single faults."""

import math

import pytest

from guidegen.calc import control
from guidegen.calc.network import NEAR, TRAVEL
from guidegen.errors import GuidegenError, RangeError

MODULE = {"reference": 1.23, "fixed": 1200.0, "trimmer": 10e3}
TRACKS = (1e3, 2e3, 5e3, 10e3, 20e3, 50e3, 100e3)


def legs(arrangement, choice, turn, track_factor=1.0):
    """Upper and lower leg with the control turned this far, built up from single resistors."""
    pot = choice.track * track_factor * turn
    if choice.across:
        pot = control.parallel(a=pot, b=choice.across)
    leg = pot + (choice.end or 0)
    if arrangement == "in place of fixed resistor":
        return choice.trimmer, leg
    return (choice.trimmer or 0) + leg, MODULE["fixed"]


def output(*given):
    upper, lower = legs(*given)
    return control.divider_output(reference=MODULE["reference"], upper=upper, lower=lower)


@pytest.mark.parametrize("arrangement", control.ARRANGEMENTS)
@pytest.mark.parametrize(("low", "high"), [(7.5, 11.8), (6.0, 12.0), (9.0, 11.0)])
def test_chosen_network_gives_the_range(arrangement, low, high):
    choice = control.choose_network(
        arrangement=arrangement, low=low, high=high, tracks=TRACKS, **MODULE
    )
    ends = sorted((output(arrangement, choice, 0), output(arrangement, choice, 1)))
    assert ends == pytest.approx([choice.low, choice.high])
    assert choice.high <= high * (1 + 1e-9)
    # Without a trimmer both ends hang on standard values: nearest, and not always near.
    near = 0.06 if choice.trimmer is None else NEAR
    assert max(abs(choice.low - low), abs(choice.high - high)) <= near * (high - low) * 1.001
    if choice.trimmer is not None:
        assert TRAVEL[0] <= choice.trimmer / MODULE["trimmer"] <= TRAVEL[1]


def test_a_track_that_fits_needs_no_resistor():
    # 5 kΩ over 1.2 kΩ at 1.23 V spans 5.125 V.
    choice = control.choose_network(
        arrangement="in series with trimmer", low=6.0, high=11.125, tracks=TRACKS, **MODULE
    )
    assert (choice.track, choice.across, choice.end) == (5e3, None, None)


@pytest.mark.parametrize("arrangement", control.ARRANGEMENTS)
def test_with_a_spread_the_tolerance_of_the_track_stays_within_it(arrangement):
    choice = control.choose_network(
        arrangement=arrangement, low=7.5, high=11.8, tracks=TRACKS, track_tolerance=0.2,
        spread=0.3, **MODULE,
    )  # fmt: skip
    for factor in (0.8, 1.2):
        ends = [output(arrangement, choice, turn, factor) for turn in (0, 1)]
        if arrangement == "in series with trimmer":
            # The trimmer is set with the very track that is there.
            ends = [value + 11.8 - max(ends) for value in ends]
        assert min(ends) == pytest.approx(7.5, abs=0.3)
        assert max(ends) == pytest.approx(11.8, abs=0.3)


def test_given_resistors_are_kept_to():
    choice = control.choose_network(
        arrangement="in series with trimmer", low=7.5, high=11.8, tracks=(10e3,), ends=(None,),
        acrosses=(8200.0,), **MODULE,
    )  # fmt: skip
    assert (choice.track, choice.across, choice.end) == (10e3, 8200.0, None)


def test_out_of_reach_is_said():
    with pytest.raises(GuidegenError, match="no control network in series with trimmer gives 30 V"):
        control.choose_network(
            arrangement="in series with trimmer", low=30, high=48, tracks=(1e3,), ends=(None,),
            acrosses=(None,), **MODULE,
        )  # fmt: skip


def test_wrong_order_of_the_range():
    with pytest.raises(RangeError, match=r"low = 12 is outside above the reference 1.23 V"):
        control.choose_network(
            arrangement="in place of trimmer", low=12, high=8, tracks=TRACKS, **MODULE
        )


def test_unknown_arrangement():
    with pytest.raises(GuidegenError, match="Did you mean 'in place of trimmer'"):
        control.fault_outputs(arrangement="in place of trimer", track=5e3, **MODULE)


@pytest.mark.parametrize("arrangement", ["in series with trimmer", "in place of trimmer"])
def test_an_open_upper_leg_lets_the_output_rise_to_the_input(arrangement):
    found = control.fault_outputs(arrangement=arrangement, track=5e3, **MODULE)
    assert found["lead broken"] == found["track open"] == math.inf
    assert found["fixed resistor open"] == MODULE["reference"]
    assert "across open" not in found
    assert "end open" not in found


def test_an_open_wiper_leaves_the_whole_track():
    choice = control.choose_network(
        arrangement="in series with trimmer", low=7.5, high=11.8, tracks=TRACKS, **MODULE
    )
    found = control.fault_outputs(
        arrangement="in series with trimmer", reference=1.23, fixed=1200, trimmer=choice.trimmer,
        track=choice.track, across=choice.across, end=choice.end,
    )  # fmt: skip
    assert found["wiper open"] == pytest.approx(choice.high)
    assert found["control short"] == pytest.approx(choice.low)


@pytest.mark.parametrize("arrangement", ["in series with trimmer", "in place of fixed resistor"])
def test_faults_at_both_ends_of_the_control(arrangement):
    """By the divider: an open bridge shows where the track is in circuit, an open wiper elsewhere.

    At one end the track is shorted by the wiper, so what lies across it does nothing there.
    """
    track, across, end, trimmer = 10e3, 7.5e3, 820.0, 3e3
    parts = {"arrangement": arrangement, "reference": 1.23, "fixed": 1200.0, "trimmer": trimmer,
             "track": track, "across": across, "end": end}  # fmt: skip
    both = track * across / (track + across)

    def output(leg):
        if arrangement == "in series with trimmer":
            return 1.23 * (1 + (trimmer + end + leg) / 1200)
        return 1.23 * (1 + trimmer / (end + leg))

    at = {side: control.fault_outputs(**parts, low=side == "low") for side in ("low", "high")}
    upper = arrangement == "in series with trimmer"
    whole, shorted = ("high", "low") if upper else ("low", "high")
    assert at[whole]["across open"] == pytest.approx(output(track))
    assert at[shorted]["across open"] == pytest.approx(output(0))
    for found in at.values():
        assert found["wiper open"] == pytest.approx(output(both))
        assert found["control short"] == pytest.approx(output(0))


def test_legs_solve_the_divider():
    upper = control.upper_needed(output=12, reference=1.23, lower=1200)
    lower = control.lower_needed(output=12, reference=1.23, upper=upper)
    assert lower == pytest.approx(1200)
    assert control.divider_output(reference=1.23, upper=upper, lower=1200) == pytest.approx(12)


def test_power_in_the_track():
    current = control.divider_current(reference=1.23, lower=1200)
    found = control.wiper_power(reference=1.23, lower=1200, control=5e3)
    assert found == pytest.approx(current**2 * 5e3)


@pytest.mark.parametrize(
    ("law", "values", "words"),
    [
        (control.divider_output, {"reference": 1, "upper": 1, "lower": 0}, "lower = 0 is outside"),
        (control.upper_needed, {"output": 1, "reference": 2, "lower": 1}, "output = 1 is outside"),
        (control.upper_needed, {"output": 1, "reference": 0, "lower": 1}, "reference = 0 is"),
        (control.lower_needed, {"output": 2, "reference": 2, "upper": 1}, "output = 2 is outside"),
        (control.lower_needed, {"output": 2, "reference": 0, "upper": 1}, "reference = 0 is"),
        (control.parallel, {"a": 0, "b": 0}, r"a \+ b = 0 is outside above 0 Ω"),
        (control.divider_current, {"reference": 1, "lower": 0}, "lower = 0 is outside"),
        (control.wiper_power, {"reference": 1, "lower": 0, "control": 1}, "lower = 0 is outside"),
    ],
)
def test_guards(law, values, words):
    with pytest.raises(RangeError, match=words):
        law(**values)
