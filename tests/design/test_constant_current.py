"""Tape whose chips hold the current of each group: what dims it, and what wires do to its light."""

from __future__ import annotations

from pathlib import Path

import pytest

from guidegen.design import Design, Finding, settle
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

PUPPET = Path(__file__).parents[2] / "specs" / "puppet-wash-light.yaml"
HELD = {"rows.1.tape": "{like: tape-12v-10w-cri95, chip_dropout: 1.2 V ± 20 %}"}
FIXED = {"chain.regulator.control": "none", "chain.regulator.output": "11.8 V ± 0.2 V"}


def finding(design: Design, id: str) -> Finding:
    return next(found for found in design.findings if found.id == id)


def test_its_voltage_does_not_dim_it(demo: Fixture) -> None:
    """The demonstration has a control; each mend that is offered takes it away, and holds."""
    design = settle(changed(demo, HELD))
    found = finding(design, "voltage-dims")
    assert found.level == "stop"
    assert [mend.changes.get("chain.+pulse_width") for mend in found.mends] == ["auto", None]
    for mend in found.mends:
        assert mend.changes["chain.regulator.control"] == "none"
        after = settle(changed(demo, HELD | dict(mend.changes)), mends=False)
        assert after.complete
        assert finding(after, "voltage-dims").level == "holds"


@pytest.mark.parametrize("feed", ["left end", "opposite ends"])
def test_wires_and_joints_take_none_of_its_light(demo: Fixture, feed: str) -> None:
    """Evenness by hand: half a hundredth a volt, of the voltage by which groups differ.

    That is no more than what the rows' tracks and both rails lose.
    """
    values = settle(changed(demo, HELD | FIXED | {"rows.1.fed_from": feed}), mends=False).values
    apart = values["row.drop"].si + 2 * values["rail.drop"].si
    even = values["network.one_end" if feed == "left end" else "network.opposite_ends"].si
    assert 1 - 0.006 * apart < even < 1
    # The label's current at every voltage: 9.6 W/m at 12 V are 20 mA a group of 25 mm.
    groups = values["row.groups"].si * values["row.count"].si
    for name in ("panel.current", "panel.loaded_current", "network.current"):
        assert values[name].si == pytest.approx(0.02 * groups, rel=0.005), name
    # With resistors the same joints and tracks cost several hundredths.
    plain = settle(changed(demo, FIXED | {"rows.1.fed_from": feed}), mends=False).values
    assert plain["network.current"].si < 0.95 * values["network.current"].si


@pytest.mark.parametrize(("output", "level"), [("11.8 V ± 0.2 V", "holds"), ("10 V", "advice")])
def test_the_group_that_gets_least_needs_enough_for_its_chip(
    demo: Fixture, output: str, level: str
) -> None:
    """Three LEDs of 2.85 V within 4 % and a chip of 1.2 V within 20 % need up to 10.33 V."""
    design = settle(changed(demo, HELD | FIXED | {"chain.regulator.output": output}), mends=False)
    found = finding(design, "chips-hold")
    assert found.level == level
    assert design.values["tape.holds_from"].si == pytest.approx(3 * 2.85 + 1.2)
    least = design.values["setting.full"].si - 2 * design.values["scan.most"].si
    assert 0 < design.values["chips.spare"].si < least - (3 * 2.85 + 1.2)
    assert not any(one.id == "row-drop" for one in design.findings)


def test_a_current_limit_guards_against_no_wrong_voltage(demo: Fixture) -> None:
    design = settle(changed(demo, HELD | FIXED), mends=False)
    assert finding(design, "limit-clamps").level == "advice"
    assert "limit.tape_voltage" not in design.values


def test_the_tape_of_the_catalogue() -> None:
    """Six LEDs of 2.95 V and 1.5 V: it holds from 19.2 V, and 23.8 V leave room for all drops."""
    design = settle(changed(load(PUPPET), {
        "rows.1.tape": "tape-24v-12w-held", "chain.regulator.control": "none",
        "chain.regulator.output": "23.8 V ± 0.35 V",
    }), mends=False)  # fmt: skip
    assert design.complete
    assert not [found.id for found in design.findings if found.level == "stop"]
    assert finding(design, "chips-hold").level == "holds"
    assert design.values["tape.holds_from"].si == pytest.approx(19.2)


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"measured": "[{of: rows.1.tape, date: 2026-11-20, length: 500 mm,"
                      " points: [400 mA at 12 V]}]"}, "constant-current"),
        ({"rows.1.tape": "{like: tape-12v-10w-cri95, chip_dropout: 4 V}"}, "chip_dropout"),
    ],
)  # fmt: skip
def test_what_can_not_be(demo: Fixture, changes: dict[str, str], why: str) -> None:
    design = settle(changed(demo, HELD | FIXED | changes), mends=False)
    assert why in str(finding(design, "not-computable").names["why"])
