"""The opposite-end row against ngspice, a circuit simulator of the public domain."""

import re
import shutil
import subprocess

import pytest

from guidegen.calc import row_drops

NGSPICE = shutil.which("ngspice")


def deck(groups, segment, current, feed, cut=0):
    """Equal currents from track to track; `feed` joins the source, also behind group `cut`."""
    lines = ["* row of an evenly loaded tape", "V1 p0 0 24", *feed]
    for k in range(1, groups):
        if k != cut:
            lines += [f"RP{k} p{k} p{k + 1} {segment}", f"RN{k} n{k} n{k + 1} {segment}"]
    lines += [f"I{k} p{k} n{k} {current}" for k in range(1, groups + 1)]
    # One print a node: ngspice folds a long line, and its titles can't be told from values.
    prints = [f"print v(p{k},n{k})" for k in range(1, groups + 1)]
    lines += [".control", "set numdgt=10", "op", *prints, ".endc", ".end"]
    return "\n".join(lines) + "\n"


def voltages(tmp_path, groups, segment, current, feed, cut=0):
    file = tmp_path / "row.cir"
    file.write_text(deck(groups, segment, current, feed, cut), encoding="utf-8")
    run = subprocess.run(
        [NGSPICE, "-b", str(file)], capture_output=True, text=True, timeout=60, check=False
    )
    found = [float(text) for text in re.findall(r"v\(p\d+,n\d+\) = (\S+)", run.stdout)]
    assert len(found) == groups, run.stdout + run.stderr
    return found


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")
def test_opposite_ends_against_ngspice(tmp_path):
    groups, segment, current = 101, 0.06 * 5.0 / 101, 3.0 / 101
    # Half a segment before the first and after the last group: each sits in its increment.
    feed = [f"RP0 p0 p1 {segment / 2}", f"RN0 n{groups} 0 {segment / 2}"]
    found = voltages(tmp_path, groups, segment, current, feed)
    row = {"row_current": 3.0, "track_resistance": 0.06, "row_length": 5.0}
    # 101 groups stand for the even load within (1/101)² of the drop.
    assert 24 - min(found) == pytest.approx(row_drops.row_drop_opposite_ends(**row), rel=2e-4)
    assert found.index(min(found)) == groups // 2
    ends = row_drops.row_end_drop_opposite_ends(**row)
    assert 24 - max(found) == pytest.approx(ends, rel=0.015)


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")
@pytest.mark.parametrize("after", [50, 30])
def test_a_feed_between_the_ends_against_ngspice(tmp_path, after):
    """Fed at the cut line behind a number of groups; the far end of the longer side loses most."""
    groups, segment, current = 100, 0.06 * 5.0 / 100, 3.0 / 100
    # A cut line lies half a segment from the groups beside it.
    feed = [f"R{way}{side}0 {node} {way.lower()}{k} {segment / 2}"
            for way, node in (("P", "p0"), ("N", "0"))
            for side, k in (("L", after), ("R", after + 1))]  # fmt: skip
    found = voltages(tmp_path, groups, segment, current, feed, cut=after)
    share = max(after, groups - after) / groups
    row = {"row_current": 3.0, "track_resistance": 0.06, "row_length": 5.0}
    lost = row_drops.row_drop_at_point(**row, longer_share=share)
    # 50 or more groups stand for the even load within (1/50)² of the drop.
    assert 24 - found[-1] == pytest.approx(lost, rel=4e-4)
    assert found[-1] == pytest.approx(min(found), rel=1e-12)
    at_point = row_drops.row_drop_at_point
    assert at_point(**row, longer_share=1.0) == row_drops.row_drop_one_end(**row)
    assert at_point(**row, longer_share=0.5) == row_drops.row_drop_both_ends(**row)
