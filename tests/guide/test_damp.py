"""Damp surroundings: the joints get their lacquer, where the guide's own advice says so."""

from __future__ import annotations

from typing import Any

import pytest

from guidegen.guide.model import Guide


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


def test_joints_are_lacquered_only_in_the_damp(guide: Guide) -> None:
    wet = bool(guide.design.facts["use.damp"] or guide.design.facts["use.rain"])
    coats = [step for step in guide.steps if "lacquered" in step.id]
    assert [step.id for step in coats] == (
        ["joints-lacquered", "pads-lacquered"] if wet else []
    )  # fmt: skip
    assert any(finding.id == "damp" for finding in guide.design.findings) is wet
    order = {step.id: number for number, step in enumerate(guide.steps)}
    for step in coats:
        # It dries for the time of the design, under the message about vapour.
        assert step.waiting is guide.design.values["lacquer.drying"]
        assert "solvents" in {placed.caution.id for placed in step.cautions}
        assert "Disconnect every supply" in step.body or "every supply is disconnected" in step.body
    if wet:
        # What is read stays bare until it is read; what is covered is coated before.
        assert order["panel-read-cold"] < order["joints-lacquered"] < order["rails-insulated"]
        last = max(n for n, step in enumerate(guide.steps) if any(
            one.instrument == "mv" for one in step.reads))  # fmt: skip
        assert last < order["pads-lacquered"] < order["light-closed"]


def test_a_module_is_screwed_down_without_washers(guide: Guide) -> None:
    lines = next(p.markdown for p in guide.pages if p.uri == "parts.md").splitlines()
    screws = [line for line in lines if "screw of a module" in line]
    assert len(screws) == len(guide.design.model.by_role("standoff_screw"))
    for line in screws:
        assert "without a washer" in line
        assert "with washer" not in line


def test_a_joint_that_is_soldered_again_is_read_and_covered_again(guide: Guide) -> None:
    numbers = {step.id: f"step\u00a0{step.number}" for step in guide.steps}
    wanted = {
        "panel-read-cold",
        "rails-insulated",
        "joints-lacquered",
        "metal-read",
        "lining-read",
    } & set(numbers)
    scan = next(step for step in guide.steps if step.id.endswith("joints-scanned"))
    for id in wanted:
        assert numbers[id] in scan.body, id
    page = next(one.markdown for one in guide.pages if one.uri == "troubleshooting.md")
    loop = page.split("## Solder a joint again")[1].split("\n## ")[0]
    for id in wanted:
        assert numbers[id] in loop, id


def test_metal_is_read_where_the_message_says_so(guide: Guide) -> None:
    read = {"metal-read", "lining-read"} & {step.id for step in guide.steps}
    said = [one.avoid for one in guide.cautions.chosen if one.id == "metal-near-rails"]
    assert not said or ("Read each rail" in said[0]) is bool(read)
