"""Tolerances, screws, mass and balance against standards and arithmetic."""

import math

import pytest

from guidegen.calc import making, screws

# ISO 2768-1 table 1, plus or minus in mm, by the upper end of each range.
UPPER = (3, 6, 30, 120, 400, 1000, 2000, 4000)
TABLE = {
    "f": (0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, None),
    "m": (0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2),
    "c": (0.2, 0.3, 0.5, 0.8, 1.2, 2, 3, 4),
    "v": (None, 0.5, 1, 1.5, 2.5, 4, 6, 8),
}


@pytest.mark.parametrize("tolerance_class", TABLE)
def test_tolerances_against_iso_2768(tolerance_class):
    for upper, value in zip(UPPER, TABLE[tolerance_class], strict=True):
        if value is not None:
            found = making.tolerance_2768(length=upper / 1e3, tolerance_class=tolerance_class)
            assert found * 1e3 == pytest.approx(value)


# ASME B18.6.1: 0.060 in + 0.013 in for each number.
@pytest.mark.parametrize(
    ("number", "inches"),
    [(4, 0.112), (6, 0.138), (8, 0.164), (10, 0.190), (12, 0.216), (14, 0.242)],
)
def test_wood_screws_against_asme_b18_6_1(number, inches):
    assert screws.screw_diameter(number=number) == pytest.approx(inches * 0.0254, rel=1e-9)


# Two wood-screw charts that agree (common practice, no source).
@pytest.mark.parametrize(
    ("number", "holes"),
    [(4, ("3/64", "1/16", "7/64")), (6, ("1/16", "5/64", "9/64")), (8, ("5/64", "3/32", "11/64")),
     (10, ("3/32", "7/64", "3/16")), (12, ("7/64", "1/8", "7/32"))],
)  # fmt: skip
def test_pilot_holes_against_the_charts(number, holes):
    for hole, inches in zip(("softwood", "hardwood", "shank"), holes, strict=True):
        top, bottom = inches.split("/")
        found = screws.pilot_hole(number=number, hole=hole)
        assert found == pytest.approx(int(top) / int(bottom) * 0.0254, abs=1e-6)


# Cone: (8.0 − 4.2)/2 over the tangent of half of 90° and 82°.
@pytest.mark.parametrize(("angle", "depth"), [(90, 1.900), (82, 2.186)])
def test_countersink(angle, depth):
    found = screws.countersink_depth(head=8e-3, hole=4.2e-3, angle=math.radians(angle))
    assert found * 1e3 == pytest.approx(depth, abs=5e-4)


# Coefficients from memory, arithmetic exact: acrylic 70e-6, aluminium 23.1e-6 a kelvin.
@pytest.mark.parametrize(("coefficient", "growth"), [(70e-6, 2.10), (23.1e-6, 0.693)])
def test_expansion_of_a_metre_in_thirty_kelvin(coefficient, growth):
    found = making.expansion(coefficient=coefficient, length=1.0, change=30)
    assert found * 1e3 == pytest.approx(growth, rel=1e-4)


# The same definition: acrylic at 70e-6 on aluminium at 23e-6, 1.6 m long and 40 K warmer, grows by
# 4.48 mm on 1.472 mm; half of the difference at either end, by hand.
def test_a_sheet_moves_over_what_carries_it_by_half_at_either_end():
    found = making.sheared_by(coefficient=70e-6, below=23e-6, length=1.6, change=40)
    assert found * 1e3 == pytest.approx(1.504, rel=1e-6)


# ρV: MDF 600×400×12 at 750, acrylic 600×400×3 at 1190, bar 20×400×3 mm at 2700 kg/m³.
@pytest.mark.parametrize(
    ("size", "density", "mass"),
    [((0.6, 0.4, 0.012), 750, 2.160), ((0.6, 0.4, 0.003), 1190, 0.8568),
     ((0.02, 0.4, 0.003), 2700, 0.0648)],
)  # fmt: skip
def test_mass_of_sheets(size, density, mass):
    length, width, thickness = size
    found = making.piece_mass(length=length, width=width, thickness=thickness, holes=0.0,
                              density=density)  # fmt: skip
    assert found == pytest.approx(mass, abs=1e-4)
    assert making.mass(density=density, volume=math.prod(size)) == pytest.approx(found)


# By hand: a dowel of 22 mm and 400 mm, π/4 · 0.022² · 0.4 · 700 = 0.10644 kg; a plate of
# 100 x 100 x 10 mm of 750 kg/m³ less a hole of 20 cm³: 80 cm³ · 0.75 g/cm³ = 60 g.
def test_mass_of_a_bar_and_of_a_bored_piece():
    assert making.rod_mass(length=0.4, diameter=0.022, density=700) == pytest.approx(
        0.10644, abs=1e-5
    )
    bored = making.piece_mass(length=0.1, width=0.1, thickness=0.01, holes=20e-6, density=750)
    assert bored == pytest.approx(0.06)


# Σmx/Σm, by hand.
@pytest.mark.parametrize(
    ("bodies", "centre"),
    [([(2.16, (300, 200, 6)), (0.8568, (300, 200, 41.5)), (0.0648, (10, 200, 13.5))],
      (293.9019, 200.0, 16.0280)),
     ([(2.16, (300, 200, 6)), (0.35, (450, 120, -30)), (0.20, (300, 420, 0))],
      (319.3727, 205.9041, 0.9077))],
)  # fmt: skip
def test_centre_of_mass(bodies, centre):
    assert making.centre_of_mass(bodies) == pytest.approx(centre, abs=1e-3)


def test_a_light_on_a_stand():
    # Moments about the edge: stand 3.0 kg on the axis, light 2.5 kg 0.45 m out, edge at 0.35 m,
    # centre 1.2 m high: centre at 0.204545 m, tips at 6.911°, push at 1.8 m of 4.359 N.
    centre = making.combined_offset(
        first_mass=3.0, first_offset=0, second_mass=2.5, second_offset=0.45
    )
    assert centre == pytest.approx(0.204545, abs=1e-6)
    margin = 0.35 - centre
    assert math.degrees(making.tipping_angle(margin=margin, height=1.2)) == pytest.approx(
        6.911, abs=1e-3
    )
    push = making.tipping_push(mass=5.5, gravity=9.80665, margin=margin, height=1.8)
    assert push == pytest.approx(4.359, abs=1e-3)


def test_three_feet():
    # Geometry: R cos 60° with three feet on a circle of 0.5 m.
    assert making.tipping_edge(radius=0.5, feet=3) == pytest.approx(0.25)
