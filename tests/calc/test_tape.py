"""Tape: limits, guards, and how its laws hang together."""

import math

import pytest

from guidegen.calc import tape
from guidegen.calc.led_group import group_current, tangent_voltage
from guidegen.errors import RangeError

GROUP = {"leds_per_group": 3, "forward_voltage": 3.0}


def test_the_rated_point_comes_back():
    current = tape.rated_group_current(power=9.6, increment=0.05, voltage=12)
    assert current == pytest.approx(0.04)
    resistance = tape.group_resistance(voltage=12, group_current=current, **GROUP)
    # Ohm's law: 3 V are left for the resistor.
    assert resistance == pytest.approx(3 / 0.04)
    rated = {"rated_voltage": 12, "rated_current": current, "ideality": 2.0, **GROUP}
    found = group_current(voltage=12, **rated)
    assert found == pytest.approx(current)
    assert tape.light_ratio(current=found, rated_current=current) == pytest.approx(1)


@pytest.mark.parametrize("share", [2.0, 1.0, 0.5, 0.1, 1e-3])
def test_a_group_follows_shockleys_law(share):
    """Each LED loses ideality × kT/q × ln of the share of its current, the resistor that share."""
    thermal = 1.380649e-23 * 298.15 / 1.602176634e-19  # SI 2019, 25 °C
    voltage = 3 * (3.0 + 2.0 * thermal * math.log(share)) + share * 3.0
    rated = {"rated_voltage": 12, "rated_current": 0.04, "ideality": 2.0, **GROUP}
    assert group_current(voltage=voltage, **rated) == pytest.approx(share * 0.04, rel=1e-9)
    # The tangent there, which meets no current below the threshold.
    tangent = tangent_voltage(9.0, 3, 2.0, thermal)
    slope = (group_current(voltage=12.001, **rated) - group_current(voltage=11.999, **rated)) / 2e-3
    assert slope == pytest.approx(0.04 / (12 - tangent), rel=1e-6)
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
        (group_current, {"voltage": 12, "rated_voltage": 9, "rated_current": 0.02, "ideality": 2,
                         **GROUP}, "voltage = 9 is outside above the forward voltage"),
        (tape.groups_per_row, {"row_length": 1, "increment": 0}, "increment = 0 is outside"),
        (tape.rated_group_current, {"power": 9, "increment": 0.05, "voltage": 0},
         "voltage = 0 is outside above 0 V"),
        (tape.light_ratio, {"current": 1, "rated_current": 0}, "rated_current = 0 is outside"),
    ],
)  # fmt: skip
def test_guards(law, values, words):
    with pytest.raises(RangeError, match=words):
        law(**values)
