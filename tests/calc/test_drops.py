"""Drops: half, quarter and double where the laws say so; guards."""

import pytest

from guidegen.calc import drops, row_drops
from guidegen.errors import RangeError

ROW = {"row_current": 2.0, "track_resistance": 0.16, "row_length": 0.5}


def test_feeding_better_lowers_the_drop():
    one = row_drops.row_drop_one_end(**ROW)
    assert row_drops.row_drop_opposite_ends(**ROW) == pytest.approx(0.75 * one)
    assert row_drops.row_drop_both_ends(**ROW) == pytest.approx(0.25 * one)


def test_opposite_ends_quarter_the_spread_along_a_row():
    spread = row_drops.row_drop_opposite_ends(**ROW) - row_drops.row_end_drop_opposite_ends(**ROW)
    assert spread == pytest.approx(row_drops.row_drop_one_end(**ROW) / 4)


def test_half_the_row_at_equal_power_a_metre_has_a_quarter_of_the_drop():
    half = {"row_current": 1.0, "track_resistance": 0.16, "row_length": 0.25}
    assert row_drops.row_drop_one_end(**half) == pytest.approx(
        row_drops.row_drop_one_end(**ROW) / 4
    )


@pytest.mark.parametrize("law", [drops.rail_drop_end, drops.rail_drop_middle])
def test_one_row_loses_nothing_in_the_rail(law):
    assert law(row_current=1, rows=1, resistance=0.01, pitch=0.02) == 0


def test_a_rail_fed_in_the_middle_loses_a_quarter_or_so():
    rail = {"row_current": 1, "rows": 100, "resistance": 0.01, "pitch": 0.02}
    ratio = drops.rail_drop_middle(**rail) / drops.rail_drop_end(**rail)
    assert ratio == pytest.approx(0.25, rel=0.02)


def test_loss_is_drop_times_current():
    drop = drops.wire_drop(current=3, resistance=0.2)
    assert drops.wire_loss(current=3, resistance=0.2) == pytest.approx(3 * drop)


def test_no_change_at_the_reference_temperature():
    found = drops.copper_resistance_at(
        resistance_20=0.02, temperature_coefficient=0.00393, temperature=293.15
    )
    assert found == 0.02


def test_share_needs_a_voltage():
    with pytest.raises(RangeError, match="voltage = 0 is outside above 0 V"):
        drops.drop_share(drop=1, voltage=0)
