"""Evenly loaded rows and rails against their closed forms and against a nodal solution."""

import numpy as np
import pytest

from guidegen.calc import drops, row_drops

# 24 V, 5 m, 0.6 A/m, one track 0.06 Ω/m: derived by integration and checked against a nodal
# solution outside this project. Far end 23.1 V; opposite ends 23.325 and 23.55 V; both ends
# 23.775 V; losses 1.8, 1.8 and 0.45 W.
ROW = {"row_current": 3.0, "track_resistance": 0.06, "row_length": 5.0}


@pytest.mark.parametrize(
    ("law", "left"),
    [(row_drops.row_drop_one_end, 23.100), (row_drops.row_drop_opposite_ends, 23.325),
     (row_drops.row_end_drop_opposite_ends, 23.550), (row_drops.row_drop_both_ends, 23.775)],
)  # fmt: skip
def test_voltage_left_in_a_row(law, left):
    assert 24 - law(**ROW) == pytest.approx(left, rel=1e-9)


@pytest.mark.parametrize(
    ("law", "loss"), [(row_drops.row_loss_one_end, 1.800), (row_drops.row_loss_both_ends, 0.450)]
)
def test_loss_in_a_row(law, loss):
    assert law(**ROW) == pytest.approx(loss, rel=1e-9)


def nodal(plus, minus, groups=400):
    """Greatest and least drop of the row, and its loss, by solving the resistor network.

    Groups sit in the middle of their segments; plus and minus name the fed ends.
    """
    current, segment = 3.0 / groups, 0.06 * 5.0 / groups
    drop, loss = np.zeros(groups), 0.0
    for ends in (plus, minus):
        matrix = np.diag(np.full(groups - 1, -1 / segment), 1)
        matrix += matrix.T
        matrix -= np.diag(matrix.sum(axis=0))
        # The feed joins half a segment from the outermost group.
        for end, node in (("left", 0), ("right", groups - 1)):
            matrix[node, node] += 2 / segment * (end in ends)
        lost = np.linalg.solve(matrix, np.full(groups, current))
        drop += lost
        loss += float(lost.sum() * current)
    return drop.max(), drop.min(), loss


def test_rows_against_a_nodal_solution():
    # 400 groups stand for the even load within (1/400)².
    rows = {"rel": 2e-4}
    one = nodal(("left",), ("left",))
    assert row_drops.row_drop_one_end(**ROW) == pytest.approx(one[0], **rows)
    assert row_drops.row_loss_one_end(**ROW) == pytest.approx(one[2], **rows)
    opposite = nodal(("left",), ("right",))
    assert row_drops.row_drop_opposite_ends(**ROW) == pytest.approx(opposite[0], **rows)
    assert row_drops.row_end_drop_opposite_ends(**ROW) == pytest.approx(opposite[1], rel=5e-3)
    assert row_drops.row_loss_one_end(**ROW) == pytest.approx(opposite[2], **rows)
    both = nodal(("left", "right"), ("left", "right"))
    assert row_drops.row_drop_both_ends(**ROW) == pytest.approx(both[0], **rows)
    assert row_drops.row_loss_both_ends(**ROW) == pytest.approx(both[2], **rows)


def test_one_track_against_the_nodal_solution():
    """Each track has half of what both lose: 450 mV from one end, 112.5 mV to the middle."""
    one = nodal(("left",), ("left",))
    assert row_drops.track_drop(**ROW, fed_share=1.0) == pytest.approx(one[0] / 2, rel=2e-4)
    both = nodal(("left", "right"), ("left", "right"))
    assert row_drops.track_drop(**ROW, fed_share=0.5) == pytest.approx(both[0] / 2, rel=2e-4)


def ladder(rows, feed, current=0.8, segment=0.004):
    """Greatest drop of one rail, summed segment by segment from the feed.

    `feed` counts in segments from the first tap; a half lies midway between two taps.
    """
    places = [number - feed for number in range(rows)]
    lost = []
    for side in (1, -1):
        reach = sorted(side * place for place in places if side * place >= 0)
        drop, at = 0.0, 0.0
        for position, place in enumerate(reach):
            drop += current * (len(reach) - position) * segment * (place - at)
            at = place
        lost.append(drop)
    return max(lost)


@pytest.mark.parametrize("rows", [1, 2, 3, 4, 5, 12, 13])
def test_rails_against_a_sum_over_their_segments(rows):
    given = {"row_current": 0.8, "rows": rows, "resistance": 0.2, "pitch": 0.02}
    assert drops.rail_drop_end(**given) == pytest.approx(ladder(rows, 0), abs=1e-12)
    assert drops.rail_drop_middle(**given) == pytest.approx(ladder(rows, (rows - 1) / 2), abs=1e-12)


@pytest.mark.parametrize(("rows", "below"), [(2, 1), (5, 1), (5, 4), (12, 3), (12, 6), (13, 9)])
def test_a_rail_fed_below_a_row_against_a_sum_over_its_segments(rows, below):
    beyond = max(below, rows - below)
    given = {"row_current": 0.8, "rows": beyond, "resistance": 0.2, "pitch": 0.02}
    assert drops.rail_drop_point(**given) == pytest.approx(ladder(rows, below - 0.5), abs=1e-12)


def test_ladder_of_ten_against_the_closed_form():
    # N = 10, segment 0.01 Ω, 0.03 A each, fed at the first tap: ρ i N(N−1)/2 = 0.0135 V a rail.
    found = drops.rail_drop_end(row_current=0.03, rows=10, resistance=1.0, pitch=0.01)
    assert found == pytest.approx(0.0135, rel=1e-9)
