"""What a substitute for a stage must bear, against the limits that the guide itself sets."""

from __future__ import annotations

from pathlib import Path

import pytest

from guidegen.content.files import search_path
from guidegen.content.words import load_words
from guidegen.design import settle
from guidegen.folders import folder
from guidegen.guide.bill import tape_must
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

SPECS = Path(folder("templates").parent / "specs")


def test_regulator_and_stage_bear_the_upper_end_of_the_limit() -> None:
    """Boatshed: set to 4.00 A ± 0.23 A, so 4.23 A may flow for as long as the light is on."""
    values = settle(load(SPECS / "boatshed-work-bar.yaml"), mends=False).values
    assert values["limit.set"].si == pytest.approx(4.0)
    assert values["regulator.asked"].si == pytest.approx(4.3)
    assert values["pulse_width.asked"].si == pytest.approx(4.3)


def test_a_step_up_bears_the_current_of_its_input() -> None:
    """Puppet: 98 W at 11.0 V by 89 % are 10.0 A; the design's own module bears 10 A."""
    design = settle(load(SPECS / "puppet-wash-light.yaml"), mends=False)
    assert design.facts["rated_at_input"] is True
    assert design.values["regulator.asked"].si == pytest.approx(10.0)


def test_without_a_limit_the_worst_light_counts(demo: Fixture) -> None:
    one = settle(changed(demo, {"chain.regulator.current_limit": "none"}), mends=False)
    assert "limit.set" not in one.values
    # 144 groups at 22 mA, the tape's power ten percent over its label: 3.17 A, in tenths up.
    assert one.values["regulator.asked"].si == pytest.approx(3.2)


def test_a_tape_of_more_power_is_no_substitute() -> None:
    fixture = load(SPECS / "puppet-wash-light.yaml")
    said = tape_must(fixture.rows.tape, load_words(search_path()))
    plain = said.replace("\u00a0", " ").replace("\u202f", " ")
    # 14.4 W/m ± 10 % by its label.
    assert "12.9 W/m to 15.9 W/m, cut every 50 mm" in plain
    for must in ("10 mm wide", "7 LEDs a group", "rendering 90 or more"):
        assert must in plain
