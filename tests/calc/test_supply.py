"""Supplies and fuses: balances and guards."""

import pytest

from guidegen.calc import battery, budget, protection, supply
from guidegen.errors import GuidegenError, RangeError


def test_power_in_is_power_out_and_loss():
    taken = supply.input_power(output_power=45, efficiency=0.92)
    assert taken == pytest.approx(45 + supply.regulator_loss(output_power=45, efficiency=0.92))
    current = budget.current_of(power=taken, voltage=19)
    assert current * 19 == pytest.approx(taken)


def test_what_is_used_and_what_is_spare_make_the_whole():
    assert budget.spare_share(power=48.75, rated=65) == pytest.approx(0.25)
    assert budget.spare_share(power=78, rated=65) == pytest.approx(-0.2)


def test_a_regulator_holds_its_supply_less_lead_and_dropout():
    assert budget.room_above(voltage=12, lead=0.2, dropout=1.5) == pytest.approx(10.3)


@pytest.mark.parametrize(
    ("law", "values", "words"),
    [
        (supply.input_power, {"output_power": 1, "efficiency": 1.2},
         "efficiency = 1.2 is outside above 0, up to 1"),
        (budget.current_of, {"power": 1, "voltage": 0}, "voltage = 0 is outside"),
        (supply.input_power, {"output_power": 1, "efficiency": 0}, "efficiency = 0 is outside"),
        (supply.regulator_loss, {"output_power": 1, "efficiency": 0}, "efficiency = 0 is"),
        (budget.spare_share, {"power": 1, "rated": 0}, "rated = 0 is outside"),
        (supply.run_time, {"energy": 1, "usable": 1, "efficiency": 1, "load_power": 0,
                            "beside": 0},
         "load_power = 0 is outside"),
        (supply.run_time, {"energy": 1, "usable": 1, "efficiency": 0, "load_power": 1,
                            "beside": 0},
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
