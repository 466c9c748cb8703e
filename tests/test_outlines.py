"""Outlines: areas, what goes into them and what lies between them, against plane geometry."""

from __future__ import annotations

from itertools import pairwise
from math import cos, pi, sin, sqrt

import pytest

from guidegen import outlines

#: The pentagon by which the surveyor's formula is usually explained (B. Braden, "The Surveyor's
#: Area Formula", The College Mathematics Journal 17, 1986; the figures from memory).
PENTAGON = [(3.0, 4.0), (5.0, 11.0), (12.0, 8.0), (9.0, 5.0), (5.0, 6.0)]
#: A regular hexagon of side 1, two of its corners on the x axis.
HEXAGON = [(1.0, 0.0), (0.5, sqrt(0.75)), (-0.5, sqrt(0.75)),
           (-1.0, 0.0), (-0.5, -sqrt(0.75)), (0.5, -sqrt(0.75))]  # fmt: skip
ELL = [(0.0, 0.0), (3.0, 0.0), (3.0, 1.0), (1.0, 1.0), (1.0, 3.0), (0.0, 3.0)]


def test_areas_are_those_of_the_surveyors_formula() -> None:
    assert outlines.area(PENTAGON) == pytest.approx(30)
    assert outlines.area(PENTAGON[::-1]) == pytest.approx(30)
    # Of a hexagon: 3 √3 / 2 of the square of its side (Euclid's Elements, IV.15).
    assert outlines.area(HEXAGON) == pytest.approx(1.5 * sqrt(3))


def test_the_widest_disc_and_square_of_a_hexagon() -> None:
    # Across flats √3; the widest square that a regular hexagon surrounds has the side 3 - √3
    # (plane geometry: x + x / √3 = √3 where its corners meet four of the sides).
    assert outlines.widest_disc(HEXAGON) == pytest.approx(sqrt(3))
    assert outlines.widest_square(HEXAGON) == pytest.approx(3 - sqrt(3))
    away = [(x + 5, y) for x, y in HEXAGON]
    assert outlines.widest_disc(away) == outlines.widest_square(away) == 0


def test_an_outline_that_crosses_itself_is_not_sound() -> None:
    assert outlines.sound(ELL)
    assert not outlines.sound([(0, 0), (2, 2), (2, 0), (0, 2)])
    assert not outlines.sound([(0, 0), (1, 1), (2, 2)])


def test_gaps_between_points_lines_and_outlines() -> None:
    # 3-4-5: two round holes of radius 1 and 2.
    assert outlines.gap([(0, 0)], 1, [(3, 4)], 2) == pytest.approx(2)
    # A slot whose straight part ends at (4, 0), widened by 1, and a hole of radius 2 at (7, 4).
    assert outlines.gap([(0, 0), (4, 0)], 1, [(7, 4)], 2) == pytest.approx(2)
    # A hole in the corner that the box round the angle surrounds, and the angle does not.
    assert outlines.gap(ELL, 0, [(2, 2)], 0.5) == pytest.approx(0.5)
    assert outlines.gap(ELL, 0, [(0.5, 0.5)], 0.1) < 0


def test_what_an_outline_surrounds() -> None:
    assert outlines.holds(ELL, (0, 0), (3, 1))
    assert not outlines.holds(ELL, (0, 0), (2, 2))
    assert outlines.centred(ELL) == ((1.5, 1.5), (3, 3))


def test_lines_of_an_outline_on_a_sheet() -> None:
    found = outlines.clipped(ELL, (-1, -1), (2, 2))
    length = sum(abs(x1 - x0) + abs(y1 - y0) for line in found
                 for (x0, y0), (x1, y1) in pairwise(line))  # fmt: skip
    # On the sheet: 2 along the bottom, 2 up the left, 1 and 1 from the inner corner.
    assert length == pytest.approx(6)
    assert outlines.clipped(ELL, (5, 5), (6, 6)) == []


def test_many_corners_come_near_a_circle() -> None:
    ring = [(cos(2 * pi * n / 60), sin(2 * pi * n / 60)) for n in range(60)]
    assert outlines.area(ring) == pytest.approx(pi, rel=2e-3)
