"""Units against published values."""

import pytest

from guidegen.kinds import Celsius, ConductorArea, Lux, Metre, kind_of
from guidegen.measures import measure_of
from guidegen.units import read


def si(text: str, kind: object) -> float:
    return read(text, measure_of(kind_of(kind))).si


@pytest.mark.parametrize(
    ("gauge", "area_mm2"),
    # ASTM B258, area of bare round wire; the numbers agree with NBS Handbook 100 to 4 digits.
    [("4", 21.1506), ("10", 5.2612), ("12", 3.3088), ("14", 2.0809), ("18", 0.82305),
     ("20", 0.51762), ("22", 0.32553), ("26", 0.12876), ("30", 0.05093)],
)  # fmt: skip
def test_wire_gauges(gauge: str, area_mm2: float) -> None:
    assert si(f"{gauge} AWG", ConductorArea) == pytest.approx(area_mm2 * 1e-6, rel=5e-4)


def test_four_noughts_is_exactly_0_46_inch() -> None:
    # ASTM B258: 4/0 = 0.4600 in = 11.684 mm, exact.
    assert si("4/0 AWG", ConductorArea) == pytest.approx(3.14159265 / 4 * 11.684e-3**2, rel=1e-6)


def test_exact_conversions() -> None:
    # International yard and pound agreement of 1959: 1 in = 25.4 mm, 1 ft = 304.8 mm.
    assert si("1 in", Metre) == 0.0254
    assert si("1 ft", Metre) == 0.3048
    # One lumen a square foot: 1 / 0.3048² lx = 10.763910417 lx.
    assert si("1 fc", Lux) == pytest.approx(10.763910417, rel=1e-9)
    # Definition of the Fahrenheit scale: °F = 1.8 °C + 32.
    assert si("212 °F", Celsius) == pytest.approx(373.15, abs=1e-9)
    assert si("32 °F", Celsius) == pytest.approx(273.15, abs=1e-9)
