"""Plans for bars hold the pieces, the blades and the ends; faults are named."""

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guidegen.calc.cutting import BarPiece, BarStock, CuttingError, bar_plan, tape_plan

BARS = [BarStock("short", 1.0, 4.5), BarStock("long", 2.0, 7.9), BarStock("rest", 0.7, 0.0, 2)]
SIZES = st.lists(
    st.tuples(st.integers(20, 1900), st.integers(1, 6)),
    min_size=1,
    max_size=7,
    unique_by=lambda s: s[0],
)


def pieces_of(sizes):
    return [BarPiece(f"P{n}", x / 1000, count) for n, (x, count) in enumerate(sizes)]


def tenths(metres):
    return round(metres * 10_000)


@settings(deadline=None)
@given(SIZES, st.integers(0, 5))
def test_every_piece_lies_on_one_bar_with_a_blade_between(sizes, kerf):
    plan = bar_plan(pieces_of(sizes), BARS, kerf / 1000, 0.01, effort=200)
    got = Counter()
    for bar in plan.bars:
        at = 100
        for cut in bar.pieces:
            assert tenths(cut.start) == at
            at += tenths(cut.length) + kerf * 10
            got[cut.label] += 1
        end = tenths(bar.stock.length)
        assert at - kerf * 10 <= end - 100
        assert tenths(bar.offcut) == max(end - at, 0)
    assert got == {f"P{n}": count for n, (_, count) in enumerate(sizes)}
    assert sum(bar.stock.name == "rest" for bar in plan.bars) <= 2
    assert plan.price == pytest.approx(sum(bar.stock.price for bar in plan.bars))
    assert plan.bound <= plan.price


@settings(deadline=None)
@given(SIZES)
def test_order_labels_and_scale_change_nothing(sizes):
    pieces = pieces_of(sizes)
    price = bar_plan(pieces, BARS, 0.003, effort=200).price
    mixed = [BarPiece(f"other {p.label}", p.length, p.count) for p in reversed(pieces)]
    assert bar_plan(mixed, BARS, 0.003, effort=200).price == price
    twice = [BarPiece(p.label, p.length * 2, p.count) for p in pieces]
    stock = [BarStock(s.name, s.length * 2, s.price, s.quantity) for s in BARS]
    assert bar_plan(twice, stock, 0.006, effort=200).price == price


@settings(deadline=None)
@given(SIZES)
def test_more_is_never_cheaper(sizes):
    plan = bar_plan(pieces_of(sizes), BARS[:2], 0.003, effort=500)
    more = bar_plan(pieces_of([(x, n + 1) for x, n in sizes]), BARS[:2], 0.003, effort=500)
    wider = bar_plan(pieces_of(sizes), BARS[:2], 0.004, effort=500)
    assert more.price >= plan.bound
    assert wider.price >= plan.bound
    if more.proven and plan.proven:
        assert more.price >= plan.price


def test_a_piece_that_fits_no_bar_is_named():
    with pytest.raises(CuttingError, match=r"piece 'rail' \(2100 mm\).*'long' \(2000 mm"):
        bar_plan([BarPiece("rail", 2.1)], BARS, 0.003)


def test_too_few_bars_are_a_fault():
    with pytest.raises(CuttingError, match=r"4 pieces of 2.4 m in all from 2 × 'rest'"):
        bar_plan([BarPiece("rail", 0.6, 4)], BARS[2:], 0.003)


def test_a_row_longer_than_the_reel_is_named():
    with pytest.raises(CuttingError, match="row"):
        tape_plan(6.0, 1, 5.0, 1)


def test_no_pieces_cost_nothing():
    assert bar_plan([], BARS, 0.003).price == 0


def test_no_bar_is_used_to_its_last_hair_where_another_has_room():
    # Three pieces of 795 mm and their two cuts of 7.5 mm take the whole of 2.4 m. Ten on four bars:
    # two bars must have three, by the pigeonholes; no third one need.
    plan = bar_plan([BarPiece("rail", 0.795, 10)], [BarStock("bar", 2.4)], 0.0075)
    assert len(plan.bars) == 4
    assert sum(bar.offcut < 1e-4 for bar in plan.bars) == 2
    assert sum(len(bar.pieces) for bar in plan.bars) == 10
    roomy = bar_plan([BarPiece("long", 1.2, 2), BarPiece("short", 0.3, 1)],
                     [BarStock("bar", 2.4)], 0.0)  # fmt: skip
    assert len(roomy.bars) == 2
    assert min(bar.offcut for bar in roomy.bars) > 0
