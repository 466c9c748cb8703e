"""Lines of straight pieces, by hand: a foot of 3 m, a wall of 4 m, and what lies on them."""

import math

import pytest

from guidegen.calc import paths

CORNER = ((3.0, 0.0), (0.0, 0.0), (0.0, 4.0))
SLANT = ((0.0, 0.0), (3.0, 4.0))


def test_lengths():
    assert paths.lengths(CORNER) == [0.0, 3.0, 7.0]
    assert paths.length(SLANT) == pytest.approx(5.0)  # 3, 4, 5


@pytest.mark.parametrize(
    ("at", "far"), [((2.0, 0.0), 1.0), ((2.0, -9.0), 1.0), ((-1.0, 1.0), 4.0), ((9.0, 0.0), 0.0)]
)
def test_the_nearest_point_of_a_line(at, far):
    assert paths.along(CORNER, at) == pytest.approx(far)


@pytest.mark.parametrize("far", [0.0, 1.0, 3.0, 5.5, 7.0])
def test_a_point_lies_as_far_along_as_it_was_asked_for(far):
    assert paths.along(CORNER, paths.point(CORNER, far)) == pytest.approx(far)


def test_ends_are_not_passed():
    assert paths.point(CORNER, 99.0) == (0.0, 4.0)
    assert paths.point(CORNER, -1.0) == (3.0, 0.0)


def test_where_a_line_meets_a_height():
    assert paths.crossings(CORNER, 2.0) == [0.0]
    assert paths.crossings(SLANT, 2.0) == [pytest.approx(1.5)]
    assert paths.crossings(CORNER, 0.0) == [3.0, 0.0]
    assert paths.crossings(CORNER, 4.1) == []


def test_bends_turn_right_and_left():
    (first,) = paths.bends(CORNER)
    assert first == (3.0, (0.0, 0.0), pytest.approx(-math.pi / 2))
    (other,) = paths.bends(CORNER[::-1])
    assert other[2] == pytest.approx(math.pi / 2)
    assert paths.bends(((0.0, 0.0), (1.0, 0.0), (2.0, 0.0))) == []


def test_boxes_cover_a_strip_and_no_more():
    """Along the axes one box a piece; a slanting strip by boxes that hold each of its edges."""
    assert paths.boxes(CORNER, 0.1) == [
        pytest.approx((-0.1, -0.1, 3.0, 0.1)), pytest.approx((-0.1, -0.1, 0.1, 4.0))]  # fmt: skip
    found = paths.boxes(SLANT, 0.5)
    for step in range(51):
        x, y = paths.point(SLANT, step / 10)
        for side in (-0.5, 0.5):  # square to (3, 4) / 5
            edge = (x - side * 0.8, y + side * 0.6)
            assert any(a - 1e-9 <= edge[0] <= c + 1e-9 and b - 1e-9 <= edge[1] <= d + 1e-9
                       for a, b, c, d in found)  # fmt: skip
    # None reaches farther from the line than the corner of a box round its own piece.
    far = max(math.dist(paths.point(SLANT, paths.along(SLANT, corner)), corner)
              for a, b, c, d in found for corner in ((a, b), (a, d), (c, b), (c, d)))  # fmt: skip
    assert far < 0.5 * 2**0.5 + 0.5
