"""Forces of the pull tests against the standards that they are taken from."""

from __future__ import annotations

import pytest

from guidegen.calc import checks, tables
from guidegen.errors import RangeError

MM2 = 1e-6
#: IEC 60999-1 (the same steps as IEC 60947-1, table 5), from memory: N by mm².
CLAMPED = {0.5: 20, 0.75: 30, 1: 35, 1.5: 40, 2.5: 50, 4: 60, 6: 80, 10: 90, 16: 100, 25: 135,
           35: 190}  # fmt: skip


@pytest.mark.parametrize(("area", "force"), CLAMPED.items())
def test_a_clamped_conductor_stands_the_pull_of_its_size(area: float, force: float) -> None:
    assert checks.clamped_pull(area * MM2) == force
    # A size between two of the table is pulled as the smaller one.
    assert checks.clamped_pull(1.02 * area * MM2) == force


def test_a_conductor_thinner_than_the_table_is_refused() -> None:
    with pytest.raises(RangeError):
        checks.clamped_pull(0.1 * MM2)


# IEC 60598-1, test of a cord anchorage, from memory: 60 N up to 3 mm², 80 N to 5 mm², then 120 N.
@pytest.mark.parametrize(("area", "force"), [(1.0, 60), (2.9, 60), (4.9, 80), (5.1, 120)])
def test_a_lead_stands_the_pull_of_its_anchorage(area: float, force: float) -> None:
    assert checks.anchored_pull(area * MM2) == force


def test_forces_are_marked_as_from_memory() -> None:
    assert "from memory" in tables.source("pulls")


def test_a_hanging_scale_shows_a_force_as_a_mass() -> None:
    """One kilogram-force is 9.806 65 N exactly (SI brochure, units outside the SI)."""
    assert checks.hung(9.80665, 9.80665) == pytest.approx(1.0, rel=1e-12)
