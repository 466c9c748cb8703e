"""The panel as a network, against ngspice on a deck that is written here by hand.

ngspice is a circuit simulator of the public domain. The deck knows nothing of the model: it has
the resistances of IEC 60228, lengths from the printed schedule, and the tape's data sheet.
"""

import math
import re
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from guidegen.calc import ladder_band, ladder_steps
from guidegen.calc.ladder import total_current
from guidegen.calc.ladder_solve import solve
from guidegen.design import settle
from guidegen.design.result import Desk
from guidegen.design.solved_panel import WAYS, evenness, ladders, losses, way
from guidegen.spec import load
from guidegen.spec.changes import changed

NGSPICE = shutil.which("ngspice")
SPECS = Path(__file__).parents[2] / "specs"
DATA = Path(__file__).parents[1] / "data"
# 1.5 mm² and 0.5 mm² class 1, 0.75 mm² class 5: greatest resistance at 20 °C. [ohm/m].
RAIL, JUMPER, FEED = 12.1e-3, 36.0e-3, 26.0e-3
JOINT, INSIDE = 5e-3, 1e-3  # project defaults, which the guide prints
DIRECT = "thermal cut-out before tape straight on the adapter, no box"
ROWS, GROUPS, PITCH = 12, 12, 0.015
# 9.6 W/m at 12 V, a group of three LEDs of 2.85 V every 25 mm, 160 mΩ/m a track.
STEP, AMPS = 0.160 * 0.025, 9.6 * 0.025 / 12
# kT/q of ngspice 39 (CODATA 2014) at 25 °C, ideality 2.
SCALE = 3 * 2 * 1.38064852e-23 / 1.6021766208e-19 * 298.15


def deck(jumper, feed, volts):
    """Fed at opposite ends, the feed between the middle two taps of each rail."""
    ohms = JUMPER * jumper + 2 * JOINT + STEP / 2
    saturation = AMPS / math.expm1(3 * 2.85 / SCALE)
    lines = [f"V1 s 0 {volts}", f"RSP s ep {INSIDE}", f"RSN em 0 {INSIDE}",
             f".model LED D(IS={saturation:.12e} N=6)"]  # fmt: skip
    for pole, start in (("p", "ep"), ("n", "em")):
        lines.append(f"RF{pole} {start} {pole}f {FEED * feed + 2 * JOINT}")
        for row in range(ROWS):
            end = 0 if pole == "p" else GROUPS - 1
            lines.append(f"RJ{pole}{row} {pole}t{row} {pole}{row}_{end} {ohms}")
            if row and row != ROWS // 2:
                lines.append(f"RR{pole}{row} {pole}t{row - 1} {pole}t{row} {RAIL * PITCH}")
        for row in (ROWS // 2 - 1, ROWS // 2):
            lines.append(f"RM{pole}{row} {pole}f {pole}t{row} {RAIL * PITCH / 2}")
    for row in range(ROWS):
        for k in range(GROUPS):
            lines += [f"D{row}_{k} p{row}_{k} x{row}_{k} LED",
                      f"R{row}_{k} x{row}_{k} n{row}_{k} {(12 - 3 * 2.85) / AMPS}"]  # fmt: skip
            if k:
                lines += [f"RT{w}{row}_{k} {w}{row}_{k - 1} {w}{row}_{k} {STEP}" for w in "pn"]
    return lines


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")
def test_the_demonstration_against_a_deck_by_hand(tmp_path):
    design = settle(load(SPECS / "herbarium-copy-light.yaml"), mends=False)
    jumper, feed = (design.values[f"{name}.length"].si for name in ("jumper", "feed"))
    currents = [f"@d{row}_{k}[id]" for row in range(ROWS) for k in range(GROUPS)]
    control = [".options reltol=1e-7 abstol=1e-14 vntol=1e-11 gmin=1e-16 temp=25 tnom=25",
               ".control", "set numdgt=10", "op", "print i(v1)",
               *(f"print {one}" for one in currents), ".endc", ".end"]  # fmt: skip
    file = tmp_path / "panel.cir"
    file.write_text("\n".join(["* panel", *deck(jumper, feed, 11.8), *control]), encoding="utf-8")
    run = subprocess.run(
        [NGSPICE, "-b", str(file)], capture_output=True, text=True, timeout=60, check=False
    )
    found = [float(text) for text in re.findall(r"^\S+ = (\S+)\s*$", run.stdout, re.M)]
    assert len(found) == 1 + len(currents), run.stdout + run.stderr
    total, groups = -found[0], found[1:]
    values = design.values
    # The constants of ngspice and of the SI of 2019 differ by a millionth.
    assert values["network.current"].si == pytest.approx(total, rel=3e-6)
    assert values["network.opposite_ends"].si == pytest.approx(min(groups) / max(groups), abs=3e-6)


def test_power_in_is_light_and_heat():
    """What the source gives is what groups take and conductors lose."""
    design = settle(load(SPECS / "puppet-wash-light.yaml"), mends=False)
    desk = Desk("test", design.fixture, design.sections)
    for name in WAYS:
        net = ladders(desk, name)
        state = solve(net)
        amps = state.currents.sum()
        across = state.rows[..., 0] - state.rows[..., 1]
        groups = float((state.currents * across).sum())
        inside = 2 * 0.001 * amps**2
        given = float(net.volts) * amps
        assert groups + sum(losses(net, state).values()) + inside == pytest.approx(given, rel=1e-9)


def test_longer_rows_are_less_even_and_a_better_feed_mends_it():
    """Even load: the drop of one end is four times that of both ends (IR/2 against IR/8)."""
    fixture = changed(load(SPECS / "puppet-wash-light.yaml"), {"rows.1.length": "1200 mm"})
    values = settle(fixture, mends=False).values
    worse = {name: 1 - values[f"network.{name}"].si for name in WAYS}
    assert worse["one_end"] / worse["both_ends"] == pytest.approx(4, rel=0.06)
    assert worse["middle"] == pytest.approx(worse["both_ends"], rel=0.2)
    assert worse["opposite_ends"] < worse["one_end"] / 3


@pytest.mark.parametrize("changes", [
    {"rows.1.fed_from": "middle"}, {"rows.1.fed_from": "both ends"},
    {"rows.1.fed_from": "left end"}, {"wiring.rails.fed_at": "below row 3"},
    {"wiring.rails.fed_at": "end"}, {"rows.1.count": "1"}, {"rows.1.count": "11"},
])  # fmt: skip
def test_any_feed_is_solved(demo, changes):
    design = settle(changed(demo, changes), mends=False)
    law = design.values["panel.loaded_current"].si
    # The law takes LEDs of one voltage, a mean drop and no stage: the network is within 3 %.
    assert design.values["network.current"].si == pytest.approx(law, rel=0.03)
    assert evenness(solve(ladders_of(design))) <= 1


def ladders_of(design):
    desk = Desk("test", design.fixture, design.sections)
    return ladders(desk, way(desk))


@pytest.mark.parametrize("name", ["boatshed-work-bar", "direct"])
def test_what_lies_before_the_feed_counts(demo, settled, name):
    """Behind a pulse-width stage, and without a regulator behind the leads, less is left."""
    design = settled(DIRECT) if name == "direct" else settle(
        load(SPECS / f"{name}.yaml"), mends=False)  # fmt: skip
    law = design.values["panel.loaded_current"].si
    assert design.values["network.current"].si == pytest.approx(law, rel=0.01)
    assert law < 0.97 * design.values["panel.current"].si


def test_the_warm_panel_by_a_design_of_more_resistance(demo):
    """Copper has 1 + 0.00393·(T − 20) times its resistance (IEC 60028, coefficient from memory)."""
    design = settle(demo, mends=False)
    warm = 1 + 0.00393 * (design.values["board.face_temperature"].si - 293.15)
    assert 1.1 < warm < 1.25
    tape = f"{{like: tape-12v-10w-cri95, track_resistance: {0.160 * warm:.8f} ohm/m}}"
    other = settle(changed(demo, {"rows.1.tape": tape}), mends=False)
    # Its tracks decide the evenness; rails and jumpers, warm as well, add a twentieth.
    uneven = 1 - design.values["network.warm_evenness"].si
    assert uneven == pytest.approx(1 - other.values["network.opposite_ends"].si, rel=0.08)
    assert uneven > 1.1 * (1 - design.values["network.opposite_ends"].si)


def test_a_panel_that_is_not_solved_is_never_a_result(monkeypatch):
    """With no step allowed: the design says what was tried, and has no solved number."""
    for form in (ladder_steps, ladder_band):
        monkeypatch.setattr(form, "MOST_STEPS", 0)
    design = settle(load(SPECS / "herbarium-copy-light.yaml"), mends=False)
    (found,) = [one for one in design.findings if one.id == "not-computable"]
    assert found.level == "stop"
    assert "source stepping" in str(found.names["why"])
    assert not design.complete
    assert not [name for name in design.values if name.startswith("network.one_end")]


def test_what_was_needed_beside_whole_steps_is_kept(monkeypatch):
    monkeypatch.setattr(ladder_steps, "MOST_STEPS", 0)
    design = settle(load(SPECS / "herbarium-copy-light.yaml"), mends=False)
    assert design.result("solved panel").tried == ("two-pole form",)
    assert design.complete


def test_two_panels_on_one_source_are_one_behind_twice_its_resistance():
    """Both written out as one network, their rails joined by nothing to speak of."""
    design = settle(load(DATA / "sixty-rows.yaml"), mends=False)
    assert design.fixture.panel_count == 2
    alone = design.result("solved panel")
    net = alone.net

    def twice(values):
        wide = np.asarray(values, dtype=float)
        return np.concatenate([wide, wide])

    both = replace(
        net, rows=2 * net.rows, taps=2 * net.taps,
        tap_of_row=np.concatenate([net.tap_of_row, net.tap_of_row + net.taps]),
        links=tuple(replace(link, conductance=twice(link.conductance)) for link in net.links),
        rails=tuple(replace(rail, segments=np.concatenate([rail.segments, [1e-12], rail.segments]),
                            feeds=tuple(replace(feed, tap=feed.tap + shift) for feed in rail.feeds
                                        for shift in (0, net.taps))) for rail in net.rails),
        source=tuple(2 * np.asarray(one) for one in net.source),
    )  # fmt: skip
    found = solve(both)
    for panel in (slice(None, net.rows), slice(net.rows, None)):
        assert np.abs(found.rows[:, panel] - alone.state.rows).max() < 1e-10
    assert total_current(both, found)[0] == pytest.approx(2 * total_current(net, alone.state)[0])
