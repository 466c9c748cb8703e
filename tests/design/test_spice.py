"""The deck that a guide brings, run by ngspice, a circuit simulator of the public domain."""

import csv
import io
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from guidegen.design import settle
from guidegen.design.spice import circuit_files
from guidegen.spec import load
from guidegen.spec.changes import changed

NGSPICE = shutil.which("ngspice")
SPECS = sorted((Path(__file__).parents[2] / "specs").glob("*.yaml"))
CASES = [(spec, {}) for spec in SPECS] + [
    (SPECS[1], {"rows.1.fed_from": "middle"}), (SPECS[1], {"rows.1.count": "1"}),
    (SPECS[1], {"wiring.rails.fed_at": "below row 3"}),
    (SPECS[1], {"rows.1.tape": "{like: tape-12v-10w-cri95, chip_dropout: 1.2 V}",
                "chain.regulator.control": "none",
                "chain.regulator.output": "11.8 V"})]  # fmt: skip


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed")
@pytest.mark.parametrize(("spec", "changes"), CASES, ids=lambda one: getattr(one, "stem", str(one)))
def test_the_deck_gives_the_voltages_of_its_table(tmp_path, spec, changes):
    files = circuit_files(settle(changed(load(spec), changes), mends=False))
    rows = list(csv.DictReader(io.StringIO(files["nodes.csv"].decode())))
    deck = files["circuit.cir"].decode()
    names = [row["node"] for row in rows]
    assert len(set(name.lower() for name in names)) == len(names)  # SPICE knows no capitals
    prints = "\n".join(f"print v({name})" for name in names)
    run = deck.replace(".end\n", f".control\nset numdgt=12\nop\n{prints}\n.endc\n.end\n")
    file = tmp_path / "circuit.cir"
    file.write_text(run, encoding="utf-8")
    done = subprocess.run([NGSPICE, "-b", str(file)], capture_output=True, text=True, timeout=60,
                          check=False)  # fmt: skip
    found = dict(re.findall(r"^v\((\S+)\) = (\S+)\s*$", done.stdout, re.M))
    assert len(found) == len(names), done.stdout + done.stderr
    for row in rows:
        # ngspice's constants are those of 2014: a few millionths.
        assert float(found[row["node"].lower()]) == pytest.approx(float(row["volts"]), abs=2e-6)


def test_nodes_are_called_by_the_terminals_of_the_schedule():
    design = settle(load(SPECS[1]), mends=False)
    rows = csv.DictReader(io.StringIO(circuit_files(design)["nodes.csv"].decode()))
    named = {key.replace("−", "-") for row in rows for key in row["terminals"].split()}
    jumpers = design.model.wires("jumper")
    assert {key for wire in jumpers for key in (wire.start, wire.end)} <= named
    assert {"T1:OUT+", "T1:OUT-"} <= named
