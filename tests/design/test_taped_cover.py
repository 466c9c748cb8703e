"""A cover on tape: the tape lies on the rim, and gives way as far as the cover moves."""

from pathlib import Path

import pytest

from guidegen.design import settle
from guidegen.design.result import Design
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.spec.parts import catalogue_part
from guidegen.values import band

SPECS = Path(__file__).parents[2] / "specs"


def taped(width: str, rim: str) -> Design:
    """The wash light with a board of this width and a rim of this sheet's thickness."""
    spec = load(SPECS / "puppet-wash-light.yaml")
    changes = {"body.board.width": width, "body.border.thickness": rim,
               "body.cover.fixed_by": "double-sided tape"}  # fmt: skip
    return settle(changed(spec, changes), mends=False)


@pytest.mark.parametrize(("rim", "wide"), [("6 mm", 0.006), ("9 mm", 0.009), ("12 mm", 0.012)])
def test_the_tape_is_no_wider_than_the_rim(rim: str, wide: float) -> None:
    design = taped("1.30 m", rim)
    tape = design.model.by_role("cover_tape")[0]
    assert catalogue_part(tape.key)["width"].si == pytest.approx(wide)


def test_the_foam_is_as_thick_as_the_movement() -> None:
    values = taped("1.30 m", "9 mm").values
    assert values["cover.tape_thickness"].si >= band(values["cover.sheared"])[1]


def test_a_cover_that_moves_farther_than_foam_is_told() -> None:
    # 62e-6 /K over half of 2.6 m and 40 K is 3.2 mm; the thickest foam has 3 mm.
    found = [one for one in taped("2.60 m", "9 mm").findings if one.id == "cover-sheared"]
    assert [one.level for one in found] == ["advice"]
