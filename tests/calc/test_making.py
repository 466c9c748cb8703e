"""Making: ranges and guards."""

import pytest

from guidegen.calc import making, screws
from guidegen.errors import GuidegenError, RangeError


def test_a_range_holds_its_upper_end():
    for length, value in ((0.030, 0.2), (0.0301, 0.3), (0.120, 0.3), (0.0005, 0.1)):
        found = making.tolerance_2768(length=length, tolerance_class="m")
        assert found * 1e3 == pytest.approx(value)


def test_parts_of_a_sheet_weigh_what_the_sheet_weighs():
    piece = {"width": 0.3, "thickness": 0.009, "density": 720, "holes": 0.0}
    whole = making.piece_mass(length=1.0, **piece)
    parts = making.piece_mass(length=0.4, **piece) + making.piece_mass(length=0.6, **piece)
    assert parts == pytest.approx(whole)


def test_pilot_is_thinner_than_the_screw():
    for number in (4, 6, 8, 10, 12):
        screw = screws.screw_diameter(number=number)
        soft = screws.pilot_hole(number=number, hole="softwood")
        assert soft < screws.pilot_hole(number=number, hole="hardwood") < screw
        assert screws.pilot_diameter(screw=screw, share=0.6) < screw


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: making.tolerance_2768(length=5, tolerance_class="m"),
         r"length in mm = 5000 is outside 0.5 to 4000 \(ISO 2768-1 m\)"),
        (lambda: making.tolerance_2768(length=0.002, tolerance_class="v"),
         "length in mm = 2 is outside 3 to 4000"),
        (lambda: making.tolerance_2768(length=1, tolerance_class="x"), "unknown tolerance class"),
        (lambda: screws.pilot_hole(number=7, hole="softwood"), "number = 7 is outside 4, 6, 8"),
        (lambda: screws.pilot_hole(number=8, hole="softwod"), "Did you mean 'softwood'"),
        (lambda: screws.screw_diameter(number=30), "number = 30 is outside 0 to 24"),
        (lambda: screws.pilot_diameter(screw=0.003, share=1), "share = 1 is outside"),
        (lambda: making.centre_of_mass([]), "mass = 0 is outside"),
        (lambda: making.tipping_edge(radius=1, feet=2), "feet = 2 is outside 3 and more"),
        (lambda: making.tipping_angle(margin=1, height=0), "height = 0 is outside"),
        (lambda: screws.countersink_depth(head=8, hole=4, angle=0), "angle = 0 is outside"),
    ],
)  # fmt: skip
def test_guards(call, words):
    with pytest.raises((RangeError, GuidegenError), match=words):
        call()
