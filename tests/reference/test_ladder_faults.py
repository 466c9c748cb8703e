"""Single faults of a panel against ngspice, on decks changed by hand, and against Ohm's law.

ngspice is a circuit simulator of the public domain; the decks know no solver of ours.
"""

import re
from dataclasses import replace

import numpy as np
import pytest

from guidegen.calc.ladder import MINUS, PLUS, Link, total_current
from guidegen.calc.ladder_faults import Edit, beside, copies, first, limited
from guidegen.calc.ladder_readings import Node, voltage
from guidegen.calc.ladder_solve import solve
from tests.reference.ladder_decks import NGSPICE, Numbers, spice

PANEL = Numbers(5, 6, "opposite ends")


def changed(lines, name, ohms):
    """The deck with one resistor at another value, or taken out."""
    kept = [line for line in lines if not line.startswith(f"{name} ")]
    assert len(kept) == len(lines) - 1
    if ohms is not None:
        old = next(line for line in lines if line.startswith(f"{name} "))
        kept.append(re.sub(r"\S+$", str(ohms), old))
    return kept


def reversed_row(lines, row):
    """The deck with every diode of a row the other way round, with its resistor."""
    turned = []
    for line in lines:
        if line.startswith(f"D{row}_"):
            name, k = line.split()[0], line.split()[0].split("_")[1]
            turned.append(f"{name} n{row}_{k} x{row}_{k} LED")
        elif line.startswith(f"R{row}_"):
            name, k = line.split()[0], line.split()[0].split("_")[1]
            turned.append(f"{name} x{row}_{k} p{row}_{k} {PANEL.series}")
        else:
            turned.append(line)
    return turned


CASES = {
    "joint open": ((Edit("link", (0, 2), 0.0),), lambda d: changed(d, "RL0_2", None)),
    "joint poor": ((Edit("link", (1, 3), 1 / 0.3),), lambda d: changed(d, "RL1_3", 0.3)),
    "row reversed": ((Edit("groups", (1,), -1.0),), lambda d: reversed_row(d, 1)),
    "rail broken": ((Edit("segment", (0, 2), 0.0),), lambda d: changed(d, "RR0_3", None)),
    "track cracked": ((Edit("track", (PLUS, 4, 2), 0.0),), lambda d: changed(d, "RTp4_3", None)),
    "feed poor": ((Edit("feed", (1, 0), 1 / 0.22),), lambda d: changed(d, "RF1", 0.22)),
    "contact poor": ((Edit("source", (MINUS,), 1 / 0.2),), lambda d: changed(d, "RSN", 0.2)),
    "row shorted": ((Edit("shunt", (2, 0), 100.0),), lambda d: [*d, "RX p2_0 n2_0 0.01"]),
    "voltage low": ((Edit("volts", (), 10.5),),
                    lambda d: [line.replace("V1 s 0 12.0", "V1 s 0 10.5") for line in d]),
}  # fmt: skip


def leaks(lines):
    """A gigaohm across every group, as the solver has it where something hangs in the air."""
    return [*lines, *(f"RK{row}_{k} p{row}_{k} n{row}_{k} 1e9"
                      for row in range(PANEL.rows) for k in range(PANEL.groups))]  # fmt: skip


def nodes_of(case):
    """Nodes to compare. What hangs has its leak only, on which ngspice's own least ones tell."""
    points = {"r0_0": Node("rail", (0, 0)), "r1_4": Node("rail", (4, 1)),
              "ep": Node("end", (PLUS,)), "em": Node("end", (MINUS,))}  # fmt: skip
    for row in (0, 1, 2, 3, 4):
        for k in (0, 1, 5):
            points[f"n{row}_{k}"] = Node("row", (row, k, MINUS))
            hangs = (case == "joint open" and row == 2) or (case == "rail broken" and row > 2) or (
                case == "track cracked" and (row, k) == (4, 5))  # fmt: skip
            if not hangs:
                points[f"p{row}_{k}"] = Node("row", (row, k, PLUS))
    return points


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")
@pytest.mark.parametrize("case", CASES)
def test_a_fault_against_ngspice(tmp_path, case):
    edits, change = CASES[case]
    net = copies(PANEL.net(), [(), edits])
    state = solve(net)
    points = nodes_of(case)
    loose = any(edit.value == 0 for edit in edits)
    deck = change(PANEL.deck())
    found = spice(tmp_path, leaks(deck) if loose else deck, list(points))
    assert found is not None
    ours = np.array([voltage(net, state, point)[1] for point in points.values()])
    assert ours == pytest.approx(found, abs=1e-8)
    sound = spice(tmp_path, PANEL.deck(), list(points))
    assert np.array([voltage(net, state, p)[0] for p in points.values()]) == pytest.approx(
        sound, abs=1e-8
    )


def with_a_sound_panel(lines):
    """The deck with the same panel once more on the same source: its own nodes end in `b`."""
    shared = ("V1", "RSP", "RSN", ".model")
    more = []
    for line in PANEL.deck():
        if not line.startswith(shared):
            name, *nodes, value = line.split()
            nodes = [node if node in ("ep", "em") else f"{node}b" for node in nodes]
            more.append(" ".join([f"{name}b", *nodes, value]))
    return [*lines, *more]


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")
@pytest.mark.parametrize("case", CASES)
def test_a_fault_of_one_of_two_panels_against_ngspice(tmp_path, case):
    edits, change = CASES[case]
    # One panel's network: the source resists as both panels' current makes it.
    sound = PANEL.net()
    sound = replace(sound, source=tuple(np.asarray(one) / 2 for one in sound.source))
    edits = tuple(replace(edit, value=edit.value / 2) if edit.what == "source" else edit
                  for edit in edits)  # fmt: skip
    alone = copies(sound, [(), edits])
    both = beside(alone, sound, 1)
    state = solve(both)
    points = nodes_of(case)
    loose = any(edit.value == 0 for edit in edits)
    deck = with_a_sound_panel(change(PANEL.deck()))
    others = {f"{way}{row}_{k}b": Node("row", (PANEL.rows + row, k, pole))
              for way, pole in (("p", PLUS), ("n", MINUS)) for row in (0, 4)
              for k in (0, 5)}  # fmt: skip
    found = spice(tmp_path, leaks(deck) if loose else deck, [*points, *others])
    assert found is not None
    mine = [voltage(alone, first(alone, state), point)[1] for point in points.values()]
    theirs = [voltage(both, state, point)[1] for point in others.values()]
    # The second panel has no leaks in the deck: a nanoampere a volt of its groups' milliamperes.
    assert np.array(mine) == pytest.approx(found[: len(mine)], abs=1e-7)
    assert np.array(theirs) == pytest.approx(found[len(mine) :], abs=1e-7)
    # Where nothing is wrong both are one panel behind twice the source's resistance.
    assert np.abs(state.rows[0, : PANEL.rows] - solve(sound).rows[0]).max() < 1e-7


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")
def test_a_jumper_on_the_wrong_pad_against_ngspice(tmp_path):
    """+ rail to the − pad at the first station: the − track is then a short of the supply."""
    net = PANEL.net()
    wrong = Link(MINUS, 0, 0, np.zeros(PANEL.rows))
    wide = replace(net, links=(*net.links, wrong))
    state = solve(copies(wide, [(Edit("link", (0, 3), 0.0), Edit("link", (2, 3), 1 / PANEL.link))]))
    deck = [*changed(PANEL.deck(), "RL0_3", None), f"RL0_3 r0_3 n3_0 {PANEL.link}"]
    nodes = {"n3_0": Node("row", (3, 0, MINUS)), "n3_5": Node("row", (3, 5, MINUS)),
             "r0_3": Node("rail", (3, 0)), "r1_3": Node("rail", (3, 1))}  # fmt: skip
    found = spice(tmp_path, leaks(deck), list(nodes))
    assert [float(voltage(wide, state, p)[0]) for p in nodes.values()] == pytest.approx(
        found, abs=1e-8
    )
    # Ohm's law: one track, two joints, rails, feeds and source carry nearly all of it.
    way = 5 * PANEL.track + 2 * PANEL.link + 6 * PANEL.rail + 2 * PANEL.lead + 2 * PANEL.source
    assert total_current(wide, state)[0] == pytest.approx(PANEL.volts / way, rel=0.01)


@pytest.mark.parametrize("limit", [0.5, 3.0])
def test_a_limit_holds_the_current_of_a_short(limit):
    """Ohm's law: below the LEDs' threshold the short alone draws, through what leads to it."""
    net = copies(PANEL.net(), [(), (Edit("shunt", (2, 0), 100.0),)])
    state, volts = limited(net, limit)
    held = replace(net, volts=volts)
    amps = total_current(held, state)
    sound = float(total_current(net, solve(net))[0])
    assert amps[0] == pytest.approx(min(sound, limit), rel=1e-5)
    assert amps[1] == pytest.approx(limit, rel=1e-5)
    # Opposite ends: the short sits at the first station, the − track is walked to the last.
    way = (0.01 + 5 * PANEL.track + 2 * PANEL.link + 4 * PANEL.rail + 2 * PANEL.lead
           + 2 * PANEL.source)  # fmt: skip
    assert volts[1] == pytest.approx(limit * way, rel=1e-3)


def test_a_limit_that_is_not_reached_leaves_the_voltage():
    net = PANEL.net()
    state, volts = limited(net, 1e3)
    assert volts == pytest.approx([PANEL.volts])
    assert state.rows == pytest.approx(solve(net).rows, abs=1e-12)


def test_copies_of_several_cases_are_refused():
    with pytest.raises(ValueError, match="one case"):
        copies(copies(PANEL.net(), [(), ()]), [()])


def test_every_copy_is_its_own():
    """Edits of one copy leave the others alone: each equals the network solved by itself."""
    edits = [edits for edits, _ in CASES.values()]
    together = solve(copies(PANEL.net(), edits))
    for number, one in enumerate(edits):
        alone = solve(copies(PANEL.net(), [one]))
        assert together.rows[number] == pytest.approx(alone.rows[0], abs=1e-9)
