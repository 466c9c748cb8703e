"""Sizes that follow from one another, against figures worked by hand."""

from __future__ import annotations

import pytest

from guidegen.calc import geometry


def test_diagonal_against_a_pythagorean_triple() -> None:
    assert geometry.diagonal(width=0.3, height=0.4) == pytest.approx(0.5, rel=1e-12)


def test_rows_span_and_what_fits_are_each_others_inverse() -> None:
    # 12 rows of 8 mm tape at 15 mm: 11 x 15 + 8 = 173 mm (by hand).
    span = geometry.rows_span(rows=12, pitch=0.015, tape_width=0.008)
    assert span == pytest.approx(0.173, rel=1e-12)
    fits = geometry.rows_that_fit(outer=0.213, margin=0.02, tape_width=0.008, pitch=0.015)
    assert fits == pytest.approx(12.0, rel=1e-12)


def test_box_surface_is_a_cube_less_the_face_on_the_board() -> None:
    assert geometry.box_surface(width=0.1, height=0.1, depth=0.1) == pytest.approx(0.05)


def test_paint_needed_against_a_tin() -> None:
    # A tin that says 10 m²/l: two coats on both faces of 1 m² are 4 m², 0.4 l (by hand).
    needed = geometry.paint_needed(area=1.0, coats=2, coverage=10_000.0)
    assert needed == pytest.approx(0.4e-3, rel=1e-12)
