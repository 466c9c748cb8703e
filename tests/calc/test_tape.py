"""Tape: limits, guards, and how its laws hang together."""

import pytest

from guidegen.calc import tape
from guidegen.errors import RangeError

GROUP = {"leds_per_group": 3, "forward_voltage": 3.0}


def test_the_rated_point_comes_back():
    current = tape.rated_group_current(power=9.6, increment=0.05, voltage=12)
    assert current == pytest.approx(0.04)
    resistance = tape.group_resistance(voltage=12, group_current=current, **GROUP)
    found = tape.group_current(voltage=12, group_resistance=resistance, **GROUP)
    assert found == pytest.approx(current)
    assert tape.light_ratio(current=found, rated_current=current) == pytest.approx(1)


@pytest.mark.parametrize("voltage", [0, 5, 8.99, 9.0])
def test_dark_at_and_below_the_forward_voltage(voltage):
    assert tape.group_current(voltage=voltage, group_resistance=75, **GROUP) == 0
    assert tape.dark_voltage(**GROUP) == 9


@pytest.mark.parametrize(
    ("length", "groups"), [(0.3, 6), (0.2999999999, 6), (0.299, 5), (0.04, 0), (5.0, 100)]
)
def test_whole_groups(length, groups):
    assert tape.groups_per_row(row_length=length, increment=0.05) == groups


def test_currents_add_up_to_the_power():
    row = tape.row_current(group_current=0.04, groups=6)
    panel = tape.panel_current(row_current=row, rows=12)
    whole = tape.panel_groups(groups=6, rows=12) * 0.04
    assert panel == pytest.approx(whole)
    # The label's power: 12 rows of 0.3 m at 9.6 W/m.
    assert tape.tape_power(voltage=12, current=panel) == pytest.approx(12 * 0.3 * 9.6)


@pytest.mark.parametrize(
    ("law", "values", "words"),
    [
        (tape.group_resistance, {"voltage": 9, "group_current": 0.02, **GROUP},
         "voltage = 9 is outside above the forward voltage"),
        (tape.group_resistance, {"voltage": 12, "group_current": 0, **GROUP},
         "group_current = 0 is outside above 0 A"),
        (tape.group_current, {"voltage": 12, "group_resistance": 0, **GROUP},
         "group_resistance = 0 is outside above 0 Ω"),
        (tape.groups_per_row, {"row_length": 1, "increment": 0}, "increment = 0 is outside"),
        (tape.rated_group_current, {"power": 9, "increment": 0.05, "voltage": 0},
         "voltage = 0 is outside above 0 V"),
        (tape.light_ratio, {"current": 1, "rated_current": 0}, "rated_current = 0 is outside"),
    ],
)  # fmt: skip
def test_guards(law, values, words):
    with pytest.raises(RangeError, match=words):
        law(**values)
