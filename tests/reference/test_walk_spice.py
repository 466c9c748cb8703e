"""Solved readings of the demonstrations against ngspice, on decks written here by hand.

The decks know nothing of the model: resistances are the published ones, lengths are typed from the
printed schedule, the tape is its data sheet. ngspice is a circuit simulator of the public domain.
"""

import math
import re
import shutil
import subprocess
from itertools import pairwise
from pathlib import Path

import pytest

from guidegen.design.solved_faults import fault_table

NGSPICE = shutil.which("ngspice")
pytestmark = pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")

# IEC 60228, greatest resistance at 20 °C: 0.75 mm² and 4 mm² class 5, 1.5 mm² and 0.5 mm² class 1.
FLEX_075, FLEX_4, SOLID_15, SOLID_05 = 26.0e-3, 4.95e-3, 12.1e-3, 36.0e-3
JOINT, CONTACT = 5e-3, 10e-3  # project defaults, which the guide prints
# The tape: 9.6 W/m at 12 V, a group of three LEDs of 2.85 V every 25 mm, 160 mΩ/m a track.
INCREMENT, TRACK = 0.025, 160e-3
GROUP = 9.6 * INCREMENT / 12
SERIES = (12 - 3 * 2.85) / GROUP
# The LEDs at 25 °C: ideality 2 (from memory: 1.5 to 3.5 are measured); 25.69 mV are kT/q (SI 2019).
IDEALITY, THERMAL = 2, 1.380649e-23 * 298.15 / 1.602176634e-19
SATURATION = GROUP / math.expm1(3 * 2.85 / (3 * IDEALITY * THERMAL))
MODEL = f".model LEDS D(IS={SATURATION:.15g} N={3 * IDEALITY})"


def wire(per_metre, length):
    return per_metre * length + 2 * JOINT


def row(name, plus, minus, groups=12):
    """One row, group by group: `plus` and `minus` are the points at its left end."""
    lines = []
    for sign, first in (("p", plus), ("n", minus)):
        points = [first, *(f"{name}{sign}{k}" for k in range(groups)), f"{name}{sign}end"]
        steps = [INCREMENT / 2, *[INCREMENT] * (groups - 1), INCREMENT / 2]
        for k, ((a, b), step) in enumerate(zip(pairwise(points), steps, strict=True)):
            lines.append(f"R{name}{sign}{k} {a} {b} {TRACK * step}")
    for k in range(groups):
        lines.append(f"R{name}_{k} {name}p{k} {name}x{k} {SERIES}")
        lines.append(f"D{name}_{k} {name}x{k} {name}n{k} LEDS")
    return lines


def run(tmp_path, lines, prints):
    file = tmp_path / "deck.cir"
    control = [MODEL, ".options temp=25 tnom=25 reltol=1e-6 abstol=1e-12 vntol=1e-9", ".control",
               "set numdgt=10", "op", *(f"print {one}" for one in prints), ".endc",
               ".end"]  # fmt: skip
    file.write_text("\n".join(["* by hand", *lines, *control]) + "\n", encoding="utf-8")
    done = subprocess.run(
        [NGSPICE, "-b", str(file)], capture_output=True, text=True, timeout=60, check=False
    )
    found = [float(text) for text in re.findall(r"^\S+ = (\S+)\s*$", done.stdout, re.M)]
    assert len(found) == len(prints), done.stdout + done.stderr
    return found


def solved(guide, step, number):
    """What the guide's own solver found for one reading of a step."""
    rows = [row for row in guide.walk.solved if row.step.endswith(f" {step}")]
    return next(r.solved.values for r in rows if r.solved.reading.number == number)


def test_one_row_on_the_bench_supply(tmp_path, site_guide):
    deck = ["V1 a 0 12", *row("e", "a", "0")]
    (current,) = run(tmp_path, deck, ["i(V1)"])
    # The guide puts 12 groups into 8 lumps.
    assert solved(site_guide, "row-sampled", 1)[0] == pytest.approx(-current, rel=2e-4)


def test_the_regulator_at_both_ends_of_its_control(tmp_path, site_guide):
    """An amplifier of great gain holds the tap at 1.23 V; the trimmer was set for 11.80 V."""
    span = 1 / (1 / 2e3 + 1 / 910)
    for number, control in ((1, span), (3, 0.001)):
        deck = ["V1 ref 0 1.23", "E1 out 0 ref tap 1e7", f"R1 out tap {TRIMMER}",
                f"R2 tap x {control + LEADS}", "R3 x 0 910"]  # fmt: skip
        (output,) = run(tmp_path, deck, ["v(out)"])
        assert solved(site_guide, "lower-end-read", number)[0] == pytest.approx(output, rel=2e-5)
        lower = 910 + control + LEADS
        assert output == pytest.approx(1.23 * (1 + TRIMMER / lower), rel=1e-5)


#: The trimmer as it was computed for 11.80 V, and what the control's leads add to the lower leg:
#: 0.24 m each, 99 mΩ/m (the greatest resistance of 0.2 mm² class 5, from memory), and a joint at
#: the resistor's leg. At the high end, with the wiper's track next to nothing.
TRIMMER = 910 * (11.8 / 1.23 - 1)
LEADS = 2 * (0.24 * 0.099 + 2 * JOINT) + JOINT
FULL = 1.23 * (1 + TRIMMER / (910 + LEADS))


def herbarium():
    """The whole herbarium light at full: lead, module, feed, rails with their taps, twelve rows."""
    deck = [
        "V1 plug 0 19",
        f"Rlead plug fuse {wire(FLEX_075, 1.5)}",
        f"Rfuse fuse f2 {0.1 / 3.15}",
        f"Rlink1 f2 q1 {wire(FLEX_075, 0.18)}",
        f"Rswitch q1 q2 {CONTACT}",
        f"Rlink2 q2 in {wire(FLEX_075, 0.18)}",
        f"Rback inm 0 {wire(FLEX_075, 1.5)}",
        "Rcopper inm m 1m",
        # The module: next to 11.8 V at its output, whose power comes from its input at 92 %.
        f"Vout out m {FULL}",
        f"Rdivider out m {11.8 / (1.23 / 910)}",
        "Bin in inm I = -i(Vout)*11.8/(0.92*v(in,inm))",
        f"Rfeedp out railp {wire(FLEX_075, 0.40)}",
        f"Rfeedn railn m {wire(FLEX_075, 0.40)}",
    ]
    # Fed at the middle of twelve taps: half a pitch of 15 mm to the sixth and seventh.
    for sign in "pn":
        half, whole = SOLID_15 * 0.0075, SOLID_15 * 0.015
        deck += [f"Rm{sign}6 rail{sign} t{sign}6 {half}", f"Rm{sign}7 rail{sign} t{sign}7 {half}"]
        deck += [f"Rt{sign}{k} t{sign}{k} t{sign}{k + 1} {whole}" for k in range(1, 12) if k != 6]
        deck += [f"Rj{sign}{k} t{sign}{k} e{k}{'p' if sign == 'p' else 'nend'}{'a' * (sign == 'p')}"
                 f" {wire(SOLID_05, 0.021)}" for k in range(1, 13)]  # fmt: skip
    for k in range(1, 13):
        deck += row(f"e{k}", f"e{k}pa", f"e{k}na")
    return deck


def test_first_light_at_full_and_the_scan(tmp_path, site_guide):
    prints = [f"v(e{k}pa,e{k}nend)" for k in range(1, 13)]
    prints += [f"v(out,e{k}pa)" for k in range(1, 13)] + [f"v(e{k}nend,m)" for k in range(1, 13)]
    *found, current = run(tmp_path, herbarium(), [*prints, "i(V1)"])
    assert solved(site_guide, "first-light", 2) == pytest.approx(found[:12], rel=1e-5)
    assert solved(site_guide, "joints-scanned", 1) == pytest.approx(found[12:24], rel=1e-3)
    assert solved(site_guide, "joints-scanned", 2) == pytest.approx(found[24:], rel=1e-3)
    assert solved(site_guide, "first-light", 3)[0] == pytest.approx(-current, rel=1e-3)


def test_the_scan_of_the_supply_side(tmp_path, site_guide):
    """What the step prints goes along the tangent of the LEDs' law."""
    found = run(tmp_path, herbarium(), ["v(plug,in)", "v(inm)"])
    for number, name, volts in zip((3, 4), ("side.plus_drop", "side.minus_drop"), found,
                                   strict=True):  # fmt: skip
        assert solved(site_guide, "joints-scanned", number)[0] == pytest.approx(volts, rel=1e-3)
        assert site_guide.design.values[name].si == pytest.approx(volts, rel=0.01)


def test_the_way_to_the_output_as_fault_finding_has_it(tmp_path, site_guide):
    """Volts from the plug's other pole: behind the module its output, and what the way back loses.

    The page shows hundredths of a volt. The network's source has 1 mΩ in each pole.
    """
    points = {"F1:1": "fuse", "F1:2": "f2", "Q1:1": "q1", "Q1:2": "q2", "T1:IN+": "in",
              "T1:OUT+": "out"}  # fmt: skip
    found = run(tmp_path, herbarium(), [*(f"v({one})" for one in points.values()), "v(plug,inm)"])
    table = fault_table(site_guide.design)
    sound = {(probe.red, probe.black): volts for probe, volts
             in zip(table.probes, table.signatures.expected[0], strict=True)
             if probe.unit == "V"}  # fmt: skip
    mine = [*(sound[key, "X1:-"] for key in points), sound["X1:+", "T1:IN-"]]
    assert mine == pytest.approx(found, abs=0.005)


def test_a_battery_lead_in_ohms(tmp_path):
    """The puppet light: a fuse of 15 A, half a metre of 4 mm², 1 A through both."""
    from guidegen.road import design_of, guide_of

    spec = Path(__file__).parents[2] / "specs" / "puppet-wash-light.yaml"
    guide = guide_of(spec, design_of(spec))
    deck = ["I1 0 a 1", f"Rfuse a b {0.1 / 15}", f"Rlead b 0 {wire(FLEX_4, 0.5)}"]
    (volts,) = run(tmp_path, deck, ["v(a)"])
    assert solved(guide, "battery-lead-read", 1)[0] == pytest.approx(volts, rel=1e-6)
