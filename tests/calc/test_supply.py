"""Supplies and fuses: balances and guards."""

import pytest

from guidegen.calc import battery, protection, supply
from guidegen.errors import GuidegenError, RangeError


def test_power_in_is_power_out_and_loss():
    taken = supply.input_power(output_power=45, efficiency=0.92)
    assert taken == pytest.approx(45 + supply.regulator_loss(output_power=45, efficiency=0.92))
    current = supply.input_current(output_power=45, efficiency=0.92, input_voltage=19)
    assert current * 19 == pytest.approx(taken)


def test_margin_and_share_make_one():
    margin = supply.adapter_margin(current=2.5, rated=3.42)
    assert margin + supply.load_share(current=2.5, rating=3.42) == pytest.approx(1)
    assert supply.adapter_margin(current=4, rated=3.42) < 0


def test_headroom_below_zero_is_told_not_hidden():
    assert supply.headroom(input_voltage=12, dropout=1.5, output_voltage=11.8) == pytest.approx(
        -1.3
    )


@pytest.mark.parametrize(
    ("law", "values", "words"),
    [
        (supply.input_current, {"output_power": 1, "efficiency": 1.2, "input_voltage": 9},
         "efficiency = 1.2 is outside above 0, up to 1"),
        (supply.input_current, {"output_power": 1, "efficiency": 0.9, "input_voltage": 0},
         "input_voltage = 0 is outside"),
        (supply.input_power, {"output_power": 1, "efficiency": 0}, "efficiency = 0 is outside"),
        (supply.regulator_loss, {"output_power": 1, "efficiency": 0}, "efficiency = 0 is"),
        (supply.adapter_margin, {"current": 1, "rated": 0}, "rated = 0 is outside"),
        (supply.load_share, {"current": 1, "rating": 0}, "rating = 0 is outside"),
        (supply.run_time, {"energy": 1, "usable": 1, "efficiency": 1, "load_power": 0},
         "load_power = 0 is outside"),
        (supply.run_time, {"energy": 1, "usable": 1, "efficiency": 0, "load_power": 1},
         "efficiency = 0 is outside"),
        (battery.peukert, {"rated_time": 20, "capacity": 7, "current": 0, "exponent": 1.2},
         "current = 0 is outside"),
        (battery.peukert, {"rated_time": 20, "capacity": 7, "current": 1, "exponent": 0.9},
         "exponent = 0.9 is outside 1 and more"),
        (protection.short_circuit_current, {"voltage": 12, "loop_resistance": 0},
         "loop_resistance = 0 is outside"),
        (protection.largest_fuse, {"ampacity": 6, "opens": 0}, "opens = 0 is outside"),
    ],
)  # fmt: skip
def test_guards(law, values, words):
    with pytest.raises(RangeError, match=words):
        law(**values)


def test_a_rating_hit_exactly_is_taken():
    assert protection.next_fuse(current=2.5 * (1 + 1e-9), series="IEC 60127") == 2.5
    assert protection.next_fuse(current=2.51, series="IEC 60127") == 3.15


def test_unknown_series():
    with pytest.raises(GuidegenError, match=r"unknown fuse series 'blades'.*mean 'blade'"):
        protection.next_fuse(current=1, series="blades")


def test_a_short_is_stopped_by_resistance_alone():
    assert protection.short_circuit_current(voltage=12.8, loop_resistance=0.08) == pytest.approx(
        160
    )
