"""Conductors: order, guards, and the estimate below the table."""

import pytest

from guidegen.calc import wire
from guidegen.errors import RangeError

HOT, ROOM = 343.15, 303.15


def ampacity(area_mm2, hottest=HOT, ambient=ROOM):
    return wire.ampacity(area=area_mm2 * 1e-6, insulation_temperature=hottest, ambient=ambient)


def test_more_copper_never_carries_less():
    sizes = [0.14, 0.22, 0.25, 0.34, 0.5, 0.75, 0.82, 1.0, 1.5, 2.5, 4, 6, 10, 16, 21]
    for hottest in (333.15, 343.15, 378.15):
        found = [ampacity(size, hottest) for size in sizes]
        assert found == sorted(found)


def test_hotter_air_never_raises_it():
    for size in (0.34, 0.75, 1.5):
        found = [ampacity(size, ambient=t) for t in (283.15, 303.15, 313.15, 323.15)]
        assert found == sorted(found, reverse=True)
        assert found[-1] > 0


def test_cooler_air_gives_no_more_than_the_table():
    assert ampacity(1.5, ambient=273.15) == ampacity(1.5, ambient=ROOM)


def test_between_two_gauges_the_smaller_counts():
    assert ampacity(1.5) == ampacity(1.31)
    assert ampacity(2.07) > ampacity(1.5)


def test_below_the_table_it_is_marked_as_an_estimate():
    assert wire.is_estimated(0.75e-6)
    assert not wire.is_estimated(0.82e-6)


def test_free_air_estimate_balances():
    current = wire.free_air_current(
        diameter=1e-3, rise=30, coefficient=20, resistance_per_metre=0.025
    )
    assert current**2 * 0.025 == pytest.approx(20 * 3.141592653589793 * 1e-3 * 30)


@pytest.mark.parametrize(("area", "size"), [(0.1, 0.14), (0.5, 0.5), (0.51, 0.75), (15.9, 16)])
def test_next_size(area, size):
    assert wire.next_size(area=area * 1e-6) == pytest.approx(size * 1e-6)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: ampacity(1.5, hottest=323.15), "insulation_temperature in °C = 50 is outside 60"),
        (lambda: ampacity(1.5, ambient=343.15), "ambient in °C = 70 is outside below the insul"),
        (lambda: ampacity(0.5, ambient=350.15), "ambient in °C = 77 is outside"),
        (lambda: ampacity(1.5, ambient=338.15), "ambient in °C = 65 is outside below 60 °C"),
        (lambda: wire.next_size(area=20e-6), "area in mm² = 20 is outside up to 16 mm²"),
        (lambda: wire.resistance_per_metre(area=0.6e-6, build="bare solid"),
         r"area in mm² = 0.6 is outside the bare solid sizes 0.5, 0.75"),
        (lambda: wire.awg_area(gauge=60), r"gauge = 60 is outside -3 \(4/0\) to 40"),
        (lambda: wire.awg_diameter(gauge=-4), r"gauge = -4 is outside"),
        (lambda: wire.free_air_current(diameter=1e-3, rise=-1, coefficient=9,
                                       resistance_per_metre=1), "rise = -1 is outside"),
    ],
)  # fmt: skip
def test_guards(call, words):
    with pytest.raises(RangeError, match=words):
        call()


def test_unknown_build():
    with pytest.raises(ValueError, match="unknown build 'litz', accepted: bare solid"):
        wire.resistance_per_metre(area=1e-6, build="litz")
