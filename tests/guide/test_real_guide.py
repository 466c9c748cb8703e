"""The published demonstration guide as a whole: slips in it are found, and words decide nothing."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest
import yaml

from guidegen.content.files import search_path
from guidegen.content.headers import FindingHeader
from guidegen.content.load import load_all
from guidegen.content.render import template_troubles
from guidegen.errors import Place
from guidegen.folders import folder
from guidegen.guide.bench import all_facts
from guidegen.guide.model import Guide
from guidegen.guide.spoil import Spoiling, spoilings, survivors

#: A slip of one of these kinds can hurt somebody, or burns what was just built.
SAFETY = ("power-first", "insulation-late", "reversed", "joint-forgotten", "part-forgotten",
          "dropped", "doubled", "swapped")  # fmt: skip

#: Steps that join a battery: polarity is read with the fuse out, and again with it in.
FUSE_LAST = ("bank-joined", "battery-joined")
#: Steps in which a dropped check goes unnoticed, and what sees the same joints.
REPEATED = {
    "panel-read-cold": "three of its readings: scanned under load, millivolt by millivolt",
    "control-wired": "both ends of the control are read again with power, as voltages",
    "polarity-read-cut-off": "current and output voltage prove the supply side once more",
    "polarity-read": "current and output voltage prove the supply side once more",
    **dict.fromkeys(FUSE_LAST, "read once more at the connector; test_at_battery.py holds it"),
    "lower-end-read": "the two ends of the control are read cold before, as resistances",
    "first-light": "the same joints carry the current that the scan reads next",
    "fan-turns": "the same wires are seen by the blades that turn",
    "dimmer-wired": "the control is seen again by the light that follows it",
    "dimmer-checked": "the same joints carry the current that the scan reads next",
    "dimmer-joints-scanned": "the same voltage is read at the rows",
    "test-lead-made": "it reads a lead of the bench: no reading of the light shows it alone",
    "meter-proved": "it reads a cell and its own leads: no reading of the light shows them",
    "dimming-read": "between the ends that other readings show",
    "module-ready-lower": "both ends of the control hang on the same resistor",
    "metal-read": "no joint leads to the metal: a short to it is in no design, only in a light",
    "joints-scanned": "the same joints are read cold before",
    "settings-locked": "both ends of the control are read before, as it is set",
    "output-locked": "the output is read before, as it is set",
    "switch-read-cut-off": "no joint that other readings do not see: it looks for a wire too many",
    "switch-read": "no joint that other readings do not see: it looks for a wire too many",
}
#: Wires of which one end at the next terminal of its part changes nothing that a meter shows.
HARMLESS = {
    "control_lead": "the tie joins both lugs",
    "wiper_tie": "the lead joins both lugs",
    "fan_wire": "input and output share their minus; or the fan alone runs past its switch",
}
#: Tools that no rule asks for: their sentences name them, so a header without them does not load.
NAMED = {"meter-proved", "cover-cut", "cover-cut-plain", "fuse-in-box", "bars-cut",
         "rows-stuck", "rails-insulated", "light-measured", "underlays-stuck",
         "connector-in-wall", "bolted-fuse-in", "bank-joined"}  # fmt: skip


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


@pytest.fixture(scope="module")
def tried(guide: Guide) -> list[Spoiling]:
    return list(spoilings(guide.design.model, guide.steps))


@pytest.fixture(scope="module")
def left(guide: Guide) -> list[Spoiling]:
    design = guide.design
    facts = all_facts({**design.facts, "stops": design.stops}, design.values)
    return list(survivors(design.model, guide.steps, facts))


def test_the_table_of_slips(tried: list[Spoiling], left: list[Spoiling]) -> None:
    every, survived = Counter(s.kind for s in tried), Counter(s.kind for s in left)
    rows = [f"{kind:<16} {count:4} tried, {count - survived[kind]:4} found"
            for kind, count in every.items()]  # fmt: skip
    rows += [f"not found: {spoiling}" for spoiling in left]
    print(*rows, sep="\n")  # noqa: T201 - pytest -s shows it
    assert set(SAFETY) | {"check-dropped", "tool-missing", "wrong-terminal"} == set(every)
    assert len(tried) > 400
    # Of all three together 95.4 % are found. The puppet light has more checks that see the same
    # joints twice than the others.
    assert len(left) < 0.055 * len(tried)


@pytest.mark.parametrize("kind", SAFETY)
def test_a_slip_that_can_hurt_is_found(kind: str, left: list[Spoiling]) -> None:
    assert [str(spoiling) for spoiling in left if spoiling.kind == kind] == []


def test_what_is_not_found_is_known_and_repeated_elsewhere(
    guide: Guide, left: list[Spoiling]
) -> None:
    bodies = {step.id: step.body for step in guide.steps}
    for spoiling in left:
        if spoiling.kind == "wrong-terminal":
            (joint,) = [one for one in spoiling.model.joints if one.ref == spoiling.where]
            roles = [wire.role for wire in spoiling.model.conductors
                     if wire.ref == joint.conductor]  # fmt: skip
            assert set(roles) <= set(HARMLESS), str(spoiling)
            continue
        known = REPEATED if spoiling.kind == "check-dropped" else NAMED
        assert spoiling.where in known, str(spoiling)
        if spoiling.kind == "tool-missing":
            name = next(tool.name for step in guide.steps for tool in step.tools
                        if tool.id == spoiling.what)  # fmt: skip
            assert name in bodies[spoiling.where], str(spoiling)


def test_a_tool_that_a_deed_needs_is_missed(tried: list[Spoiling], left: list[Spoiling]) -> None:
    tools = [spoiling for spoiling in tried if spoiling.kind == "tool-missing"]
    lost = [spoiling for spoiling in left if spoiling.kind == "tool-missing"]
    assert len(lost) < 0.2 * len(tools)


def test_words_and_findings_decide_nothing() -> None:
    words = yaml.safe_load((folder("templates") / "words" / "en.yaml").read_text(encoding="utf-8"))
    texts = [(text, f"ratings {role}") for role, text in words["ratings"].items()]
    for file in load_all(search_path(), "findings", FindingHeader):
        texts += [(file.words.body, file.name), (file.header.title, file.name)]
    assert len(texts) > 60
    assert [trouble for text, name in texts
            for trouble in template_troubles(text, Place(name))] == []  # fmt: skip


def test_every_template_that_a_finding_needs_is_there(guide: Guide) -> None:
    files = {name.split("/")[1].removesuffix(".md") for name in search_path().names("findings")}
    assert {finding.id for finding in guide.design.findings} <= files
