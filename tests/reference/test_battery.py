"""Batteries against Peukert's law and plain arithmetic."""

import pytest

from guidegen.calc import battery, budget, supply


# Peukert's law of 1897 in Bode's form, t = H (C/(I H))^k, worked to five digits.
@pytest.mark.parametrize(
    ("capacity", "exponent", "current", "hours"),
    [(100, 1.2, 10, 8.7055), (100, 1.3, 20, 3.29877), (40, 1.15, 6, 5.65380)],
)
def test_peukert(capacity, exponent, current, hours):
    found = battery.peukert(rated_time=20, capacity=capacity, current=current, exponent=exponent)
    assert found == pytest.approx(hours, rel=1e-5)


@pytest.mark.parametrize("current", [0.5, 5, 50])
def test_an_ideal_battery_gives_its_capacity(current):
    # Limit k = 1: t = C/I.
    found = battery.peukert(rated_time=20, capacity=100, current=current, exponent=1)
    assert found == pytest.approx(100 / current, rel=1e-12)


def test_packs():
    # Arithmetic: 4 LiFePO4 cells of 3.2 V, 20 Ah; 4 × 3.6 V, three of 2.6 Ah side by side.
    assert supply.battery_energy(voltage=12.8, capacity=20) == pytest.approx(256)
    assert supply.battery_energy(voltage=14.4, capacity=7.8) == pytest.approx(112.32)


def test_run_time():
    # Arithmetic: 256 Wh, 90 % usable, converter 92 %, load 45 W.
    found = supply.run_time(energy=256, usable=0.9, efficiency=0.92, load_power=45, beside=0)
    assert found == pytest.approx(4.7104, abs=1e-4)


@pytest.mark.parametrize(("voltage", "current"), [(12.8, 3.821), (10.0, 4.891)])
def test_a_sagging_battery_gives_more_current(voltage, current):
    # Arithmetic: 45 W through a converter of 92 %.
    taken = supply.input_power(output_power=45, efficiency=0.92)
    found = budget.current_of(power=taken, voltage=voltage)
    assert found == pytest.approx(current, abs=0.001)
