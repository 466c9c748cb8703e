"""Tables: every row has its source, and unknown words are refused with a near match."""

from pathlib import Path

import pytest

from guidegen.calc import tables
from guidegen.errors import GuidegenError

NAMES = sorted(path.stem for path in (Path(tables.__file__).parent / "tables").glob("*.csv"))


@pytest.mark.parametrize("name", NAMES)
def test_every_row_has_a_source(name):
    assert tables.rows(name)
    assert all(row["source"].strip() for row in tables.rows(name))
    assert all(value is not None for row in tables.rows(name) for value in row.values())


def test_values_from_memory_say_so():
    assert "from memory" in tables.source("fuses")
    assert "from memory" in tables.source("air")
    assert "from memory" not in tables.source("conductors")


def test_materials_are_in_si():
    # EN ISO 10456, polycarbonate.
    assert tables.material("polycarbonate") == {
        "density_kg_m3": 1200, "conductivity_W_mK": 0.20, "heat_capacity_J_kgK": 1200,
    }  # fmt: skip


def test_a_near_match_is_offered_and_never_taken():
    with pytest.raises(GuidegenError, match=r"unknown material 'acryllic'.*mean 'acrylic'"):
        tables.material("acryllic")
    with pytest.raises(GuidegenError, match=r"unknown series 'E48'. Accepted: E12, E24, E96"):
        tables.preferred("E48")
