"""The scan tells a poor joint from sound ones: panels whose joints differ, solved one by one."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from guidegen.calc.ladder_faults import Edit, copies
from guidegen.calc.ladder_readings import Node, Reading, values
from guidegen.calc.ladder_solve import solve
from guidegen.design.fault_cases import BAD_JOINT
from guidegen.values import band

PANELS = 40


def scans(design: Any, poor: tuple[int, int] | None) -> np.ndarray:
    """Up to each pad, in panels whose joints lie anywhere in their band: (panel, link, row)."""
    net = design.result("solved panel").net
    dice = np.random.default_rng(1)
    joint = design.values["joint.resistance"]
    places = [(link, row) for link in range(len(net.links)) for row in range(net.rows)]
    cases = []
    for _ in range(PANELS):
        ends = dice.uniform(*band(joint), (len(places), 2)).sum(axis=1) - 2 * joint.si
        ohms = {at: 1 / net.wide(net.links[at[0]].conductance, net.rows)[0, at[1]] + more
                for at, more in zip(places, ends, strict=True)}  # fmt: skip
        if poor:
            ohms[poor] += BAD_JOINT
        cases.append([Edit("link", at, 1 / one) for at, one in ohms.items()])
    built = copies(net, cases)
    wanted = [Reading("", (Node("end", (net.links[link].pole,)),
                           Node("row", (row, net.links[link].station, net.links[link].pole))))
              for link, row in places]  # fmt: skip
    return np.abs(values(built, solve(built), wanted)).reshape(PANELS, len(net.links), net.rows)


def test_sound_neighbours_pass_and_a_poor_joint_does_not(demo_design: Any) -> None:
    most = demo_design.values["scan.apart"].si
    error = 2 * demo_design.values["scan.error"].si
    assert demo_design.facts["scan_compares"]
    sound = np.abs(np.diff(scans(demo_design, None)))
    assert sound.max() + error < most
    # The whole band is not thrown away either: joints alone reach a third of it.
    assert sound.max() > 0.2 * (most - error)
    rows = demo_design.result("solved panel").net.rows
    for row in (0, rows - 1):
        read = scans(demo_design, (0, row))[:, 0]
        beside = read[:, row - 1 if row else 1]
        assert (read[:, row] - beside).min() - error > most


def test_what_may_lie_between_is_added_up(demo_design: Any) -> None:
    """By hand: the limits of the page's table, and the meter's error at both pads."""
    v = {name: value.si for name, value in demo_design.values.items()}
    joint = band(demo_design.values["network.joint_far_worst"])
    rail = band(demo_design.values["network.rail_drop_worst"])
    meter = 0.005 * v["network.scan_far"] + 2e-4
    added = v["scan.between"] + joint[1] - joint[0] + rail[1] - v["network.rail_drop"] + 2 * meter
    assert v["scan.apart"] == pytest.approx(added)


def test_a_poor_joint_adds_what_its_row_carries(demo_design: Any) -> None:
    """Ohm's law: the poor joint alone, at no more than the current of its side of the row."""
    v = {name: value.si for name, value in demo_design.values.items()}
    assert 0.8 * BAD_JOINT * v["row.side_current"] / 2 < v["scan.poor_adds"]
    assert v["scan.poor_adds"] < BAD_JOINT * v["row.side_current"]
