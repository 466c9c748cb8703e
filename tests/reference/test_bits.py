"""Bits by the sizes that a set of flat bits and a rack of twist drills hold (common practice)."""

from __future__ import annotations

import pytest

from guidegen.calc.bits import bit_below, pocket_bit
from guidegen.design.bits import bit_for


@pytest.mark.parametrize(("needed", "bit"), [(21, 22), (22, 22), (34, 35), (5, 14), (80, 80)])
def test_a_pocket_is_as_wide_as_the_next_bit(needed: float, bit: float) -> None:
    assert pocket_bit(needed * 1e-3) == pytest.approx(bit * 1e-3)


@pytest.mark.parametrize(
    ("width", "bit", "kind", "filed"),
    [(22.5, 22, "bit_flat", True), (12.2, 12, "bit_twist", True), (38, 38, "bit_flat", False),
     (1.8, 1.8, "bit_twist", False), (13, 13, "bit_twist", False), (7.5, 7.5, "bit_twist", False)],
)  # fmt: skip
def test_a_hole_is_made_with_what_is_sold(width: float, bit: float, kind: str, filed: bool) -> None:
    assert bit_below(width * 1e-3) == pytest.approx(bit * 1e-3)
    assert bit_for(width * 1e-3) == (kind, pytest.approx(bit * 1e-3), filed)
