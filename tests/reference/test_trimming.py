"""Trimmed regulators and bench settings against worked dividers."""

from __future__ import annotations

import pytest

from guidegen.calc import bench, tapes, trimming
from guidegen.calc.led_group import group_current


def test_low_end_of_an_upper_leg_against_a_worked_range() -> None:
    # Generic three-terminal formula Vout = Vref (1 + Rup / Rlow): 1.25 V, 10 kΩ + control 0 to
    # 5 kΩ over 820 Ω gives 16.493902 V to 24.115854 V.
    low = trimming.low_end_upper_leg(high=24.115854, reference=1.25, span=5000.0, lower=820.0)
    assert low == pytest.approx(16.493902, abs=1e-6)


def test_low_end_of_a_lower_leg_against_a_worked_range() -> None:
    # The same formula with the control in the lower leg: 1.25 V, 10 kΩ over 680 Ω + 0 to 470 Ω
    # gives 19.632353 V down to 12.119565 V.
    low = trimming.low_end_lower_leg(high=19.632353, reference=1.25, end=680.0, span=470.0)
    assert low == pytest.approx(12.119565, abs=1e-6)


@pytest.mark.parametrize(
    ("high", "reference", "lower", "upper"),
    # 1.25 V, 240 Ω and 720 Ω: 5.000 V; 1.25 V, 240 Ω and 1.5 kΩ: 9.0625 V (data-sheet formula).
    [(5.0, 1.25, 240.0, 720.0), (9.0625, 1.25, 240.0, 1500.0)],
)
def test_trimmer_setting_against_worked_dividers(
    high: float, reference: float, lower: float, upper: float
) -> None:
    setting = trimming.trimmer_setting(high=high, reference=reference, lower=lower, others=100.0)
    assert setting == pytest.approx(upper - 100.0, rel=1e-12)


def test_a_turn_against_worked_dividers() -> None:
    # Vout = Vref (1 + Rup / Rlow), 1.25 V over 240 Ω: 720 Ω gives 5.000 V and 960 Ω 6.250 V. A
    # trimmer of 2.4 kΩ with ten turns moves by 240 Ω in one of them.
    per_turn = trimming.volts_per_turn(reference=1.25, lower=240.0, trimmer=2400.0, turns=10.0)
    assert per_turn == pytest.approx(6.25 - 5.0, rel=1e-12)
    assert trimming.slow_from(full=5.0, per_turn=per_turn, reference=1.25) == pytest.approx(3.75)
    assert trimming.slow_from(full=2.0, per_turn=per_turn, reference=1.25) == 1.25


@pytest.mark.parametrize("window", [0.8, 0.4, 0.2, 0.1])
def test_no_part_of_a_turn_passes_over_the_window(window: float) -> None:
    """The dividers above, stepped through: some position lies in the window, wherever it lies."""
    parts = trimming.parts_of_turn(per_turn=1.25, window=window)
    reached = [1.25 * (1 + (720 + 240 * n / parts) / 240) for n in range(65)]
    for start in (5.1, 5.33, 5.777):
        assert any(start <= volts <= start + window for volts in reached)
    if parts > 4:  # half as fine would be too coarse
        assert 1.25 / (parts / 2) > window / 2


def test_the_least_of_a_scan_by_hand() -> None:
    # Ohm's law: 40 mV in both cores at 4 A are 20 mV a core, 10 mV at 2 A, and half of that is 5.
    least = bench.least_scan(feed=0.040, at=4.0, current=2.0, share=0.5)
    assert least == pytest.approx(0.005)


@pytest.mark.parametrize("share", [0.5, 1.0, 1.3])
def test_voltage_at_limit_is_where_the_group_law_draws_it(share: float) -> None:
    # Kirchhoff: the law of the limit and the law of the group are one equation.
    leds = {"rated_voltage": 12.0, "leds_per_group": 3, "forward_voltage": 2.85, "ideality": 2.0}
    thermal = 1.380649e-23 * 298.15 / 1.602176634e-19  # SI 2019, 25 °C
    voltage = trimming.voltage_at_limit(limit=2.88 * share, rated_current=2.88, thermal=thermal,
                                        **leds)  # fmt: skip
    current = group_current(voltage=voltage, rated_current=0.02, **leds)
    assert current * 144 == pytest.approx(2.88 * share, rel=1e-9)


def test_power_ratio_is_one_at_the_rated_voltage_and_four_at_twice_a_resistor() -> None:
    assert trimming.power_ratio(voltage=12.0, tangent=8.4, rated=12.0) == pytest.approx(1.0)
    # Ohm's law: without a threshold, twice the voltage is four times the power.
    assert trimming.power_ratio(voltage=24.0, tangent=0.0, rated=12.0) == pytest.approx(4.0)


def test_rows_from_reels_against_a_hand_count() -> None:
    # 5 m reels, 7 rows of 1150 mm, no joints: 4 rows a reel, 400 mm left, 2 reels (by hand).
    a_reel = tapes.rows_a_reel(reel=5.0, row=1.15)
    needed = tapes.rows_needed(rows=7, copies=1)
    assert (a_reel, tapes.reels(rows=needed, a_reel=a_reel)) == (4, 2)
    assert tapes.spare_rows(reels=2, a_reel=a_reel, rows=needed) == 1


def test_a_row_of_a_whole_share_of_the_reel_loses_none_to_rounding() -> None:
    # 0.3 m goes 16 times into 4.8 m, and floats say 15.999...
    assert tapes.rows_a_reel(reel=4.8, row=0.3) == 16


def test_total_mass_against_worked_pieces() -> None:
    # MDF 600 x 400 x 12 at 750 kg/m³, acrylic 600 x 400 x 3 at 1190, bar 20 x 400 x 3 at 2700:
    # 2.160, 0.8568 and 0.0648 kg, together 3.0816 kg (density times volume).
    assert tapes.total_mass(a=2.160, b=0.8568, c=0.0648) == pytest.approx(3.0816, rel=1e-12)


def test_meter_error_of_half_a_percent_and_two_digits() -> None:
    # A meter of 0.5 % + 2 digits on 20 V (0.01 V a digit) at 11.80 V: 0.059 V + 0.02 V.
    assert bench.meter_error(reading=11.8, share=0.005, digits=0.02) == pytest.approx(0.079)
