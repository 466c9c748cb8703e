"""The opposite-end row against ngspice, a circuit simulator of the public domain."""

import re
import shutil
import subprocess

import pytest

from guidegen.calc import drops

NGSPICE = shutil.which("ngspice")


def deck(groups, segment, current):
    """Equal currents from track to track; plus fed at the left, minus at the right."""
    lines = ["* row fed at opposite ends", "V1 p0 0 24"]
    # Half a segment before the first and after the last group: each sits in its increment.
    lines.append(f"RP0 p0 p1 {segment / 2}")
    lines.append(f"RN0 n{groups} 0 {segment / 2}")
    for k in range(1, groups):
        lines += [f"RP{k} p{k} p{k + 1} {segment}", f"RN{k} n{k} n{k + 1} {segment}"]
    lines += [f"I{k} p{k} n{k} {current}" for k in range(1, groups + 1)]
    # One print a node: ngspice folds a long line, and its titles can't be told from values.
    prints = [f"print v(p{k},n{k})" for k in range(1, groups + 1)]
    lines += [".control", "set numdgt=10", "op", *prints, ".endc", ".end"]
    return "\n".join(lines) + "\n"


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")
def test_opposite_ends_against_ngspice(tmp_path):
    groups, segment, current = 101, 0.06 * 5.0 / 101, 3.0 / 101
    file = tmp_path / "row.cir"
    file.write_text(deck(groups, segment, current), encoding="utf-8")
    run = subprocess.run(
        [NGSPICE, "-b", str(file)], capture_output=True, text=True, timeout=60, check=False
    )
    found = [float(text) for text in re.findall(r"v\(p\d+,n\d+\) = (\S+)", run.stdout)]
    assert len(found) == groups, run.stdout + run.stderr
    row = {"row_current": 3.0, "track_resistance": 0.06, "row_length": 5.0}
    # 101 groups stand for the even load within (1/101)² of the drop.
    assert 24 - min(found) == pytest.approx(drops.row_drop_opposite_ends(**row), rel=2e-4)
    assert found.index(min(found)) == groups // 2
    ends = drops.row_end_drop_opposite_ends(**row)
    assert 24 - max(found) == pytest.approx(ends, rel=0.015)
