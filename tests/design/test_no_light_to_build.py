"""Specs that can be read and must not be built: the finding, what it says, and where it points."""

from __future__ import annotations

from pathlib import Path

import pytest

from guidegen.design import settle
from guidegen.guide.sentences import finding_text
from guidegen.spec import load
from guidegen.spec.changes import changed
from tests.design.by_hand import share_of_rated

SPECS = Path(__file__).parents[2] / "specs"
HERBARIUM, PUPPET, BOATSHED = "herbarium-copy-light", "puppet-wash-light", "boatshed-work-bar"
#: Spec, changes, finding, words of it.
BAD = {
    "more volts than the supply leaves": (
        HERBARIUM, {"supplies.1": "{adapter: adapter-12v-60w}"}, "headroom", "never reaches"),
    "a cut-off above the full battery": (
        PUPPET, {"supplies.1.battery": "{like: lifepo4-4s-20ah, full_voltage: 10.9 V,"
                 " voltage: 10.5 V, empty_voltage: 10 V}"}, "cut-off-above", "never comes on"),
    "tape straight on a charging bank": (
        BOATSHED, {"rows.1.tape": "tape-24v-10w-cri90", "rows.1.length": "auto",
                   "chain.regulator": "none", "chain.pulse_width": "none"},
        "direct-voltage", "2.60 times its power"),
    "no fuse at a battery": (PUPPET, {"supplies.1.chain.fuse": "none"}, "fuse-far", "first at the"),
    "a fuse that outlasts its wire": (
        PUPPET, {"supplies.1.chain.fuse.rating": "20 A", "chain.lead.size": "0.75 mm²",
                 "chain.lead.lead": "twin-flex"},
        "fuse-wire", "opens only from 27.0 A; the lead core of 0.75 mm² bears 8.7 A"),
    "a wire that its tolerance overheats": (
        HERBARIUM, {"chain.regulator.output": "7.5 V to 18.5 V"}, "ampacity",
        "its tolerance takes that above"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_it_is_a_stop(name: str) -> None:
    spec, changes, id_, words = BAD[name]
    design = settle(changed(load(SPECS / f"{spec}.yaml"), changes), mends=False)
    found = [one for one in design.findings if one.id == id_ and one.level == "stop"]
    assert found, [(one.id, one.level) for one in design.findings if one.level != "holds"]
    assert any(words in " ".join(finding_text(one).split()) for one in found)
    if id_ != "fuse-far":
        assert found[0].place is not None


def test_the_power_of_24_v_tape_at_31_v_by_hand() -> None:
    """Six LEDs of 2.9 V and their resistor (Shockley, Ohm), at 31 V in the place of 24 V."""
    spec, changes, _, _ = BAD["tape straight on a charging bank"]
    design = settle(changed(load(SPECS / f"{spec}.yaml"), changes), mends=False)
    by_hand = share_of_rated(31, 24, 6, 2.9) * 31 / 24
    # The law goes along the tangent at 24 V.
    assert design.values["direct.power_ratio"].si == pytest.approx(by_hand, rel=0.01)
