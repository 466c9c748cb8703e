"""Preferred values and fuses against the standards' lists."""

from itertools import pairwise

import pytest

from guidegen.calc import protection, tables
from guidegen.errors import RangeError

# IEC 60063.
E12 = "1.0 1.2 1.5 1.8 2.2 2.7 3.3 3.9 4.7 5.6 6.8 8.2"
E24 = """1.0 1.1 1.2 1.3 1.5 1.6 1.8 2.0 2.2 2.4 2.7 3.0 3.3 3.6 3.9 4.3 4.7 5.1 5.6 6.2 6.8 7.5
8.2 9.1"""


def test_e_series_against_iec_60063():
    assert tables.preferred("E12") == tuple(float(text) for text in E12.split())
    assert tables.preferred("E24") == tuple(float(text) for text in E24.split())


def test_e96_is_the_rounded_power():
    # IEC 60063: E96 is 10^(k/96) rounded to three digits, without an exception.
    rule = tuple(round(10 ** (k / 96), 2) for k in range(96))
    assert tables.preferred("E96") == pytest.approx(rule, abs=1e-9)


# IEC 60063: greatest relative error of the nearest value, (b − a)/(a + b).
@pytest.mark.parametrize(("series", "gap"), [("E12", 0.11111), ("E24", 0.07143), ("E96", 0.01481)])
def test_widest_gap_of_a_series(series, gap):
    values = (*tables.preferred(series), 10.0)
    widest = max((b - a) / (a + b) for a, b in pairwise(values))
    assert widest == pytest.approx(gap, abs=5e-6)


def test_small_fuses_against_iec_60127():
    # IEC 60127 preferred ratings from 32 mA to 10 A (from memory): the R10 series.
    printed = [0.032, 0.04, 0.05, 0.063, 0.08, 0.1, 0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5,
               0.63, 0.8, 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10]  # fmt: skip
    assert list(tables.fuse_ratings("IEC 60127")) == printed
    # ISO 3: R10 is the tenth root of ten; the fuse list rounds it to 1.5 % at most.
    for position, rating in enumerate(printed):
        assert rating == pytest.approx(0.03162 * 10 ** (position / 10), rel=0.015)


def test_blade_fuses_against_iso_8820():
    # ISO 8820-3 type C.
    assert list(tables.fuse_ratings("blade")) == [1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 40]


def test_fuse_for_a_steady_load():
    # 125 % of the normal current, 10 A: 12.5 A, next blade 15 A (training text, found twice).
    least = protection.smallest_fuse(load_current=10, factor=1.25)
    assert least == pytest.approx(12.5)
    assert protection.next_fuse(current=least, series="blade") == 15


def test_gates_against_iec_60127_2():
    # Quick acting: 1.5 times carried for an hour, opens by 2.1 times within 30 minutes.
    assert protection.fuse_carries(rating=3.15, carries=1.5) == pytest.approx(4.725)
    assert protection.fuse_opens_at(rating=3.15, opens=2.1) == pytest.approx(6.615)
    assert protection.largest_fuse(ampacity=6.615, opens=2.1) == pytest.approx(3.15)


def test_no_fuse_beyond_the_series():
    with pytest.raises(RangeError, match=r"current = 12 is outside the IEC 60127 series, up to 10"):
        protection.next_fuse(current=12, series="IEC 60127")
