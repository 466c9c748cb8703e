"""The steps that ship with guidegen, over fixtures that differ from the demonstration in one thing.

Nothing here is compared with a number: what is asked is that the steps can be followed.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from pathlib import Path

import pytest

from guidegen.content.files import SearchPath, read, search_path
from guidegen.content.headers import StepHeader
from guidegen.content.load import load_all
from guidegen.content.render import template_troubles
from guidegen.content.when import Condition, Fact, can_be
from guidegen.content.words import load_words
from guidegen.design import settle
from guidegen.design.model import Model
from guidegen.errors import Place
from guidegen.folders import folder
from guidegen.guide.bench import all_facts, condition
from guidegen.guide.cautions import Cautions, load_cautions
from guidegen.guide.coverage import unseen
from guidegen.guide.faults import Fault, load_faults
from guidegen.guide.step import Step
from guidegen.guide.steps import load_steps
from guidegen.guide.walk import walk
from guidegen.spec import load

TEMPLATES = folder("templates")
DEMO = TEMPLATES.parent / "specs" / "herbarium-copy-light.yaml"

pytestmark = pytest.mark.skipif(
    not any((TEMPLATES / "steps").glob("*.md")) or not DEMO.is_file(),
    reason="needs templates/steps and the demonstration spec",
)


def between(text: str, start: str, end: str) -> str:
    return text[text.index(start) : text.index(end)]


@functools.cache
def demo() -> str:
    return DEMO.read_text(encoding="utf-8")


#: A fixture by name: (what is written in the demonstration, what is written instead).
VARIATIONS: dict[str, list[tuple[str, str]]] = {
    "as it is": [],
    "fed at one end": [("opposite ends", "left end")],
    "fed at both ends": [("opposite ends", "both ends")],
    "one row": [("count: 12", "count: 1")],
    "without switch": [("  - switch: switch-dc-6a\n", "  - switch: none\n")],
    "without fuse": [("  - fuse: fuse-5x20\n    rating: 3.15 A\n", "  - fuse: none\n")],
    "without box": [("  enclosure: {sheet: mdf, thickness: 6 mm}\n", "")],
    "without cover": [("<  cover:|  mount:", "")],
    "without rim and cover": [("<  border:|  mount:", "")],
    "without mount": [("<  mount:|  enclosure:", "")],
    "without finish": [("  finish: {coat: paint-white}\n", "")],
    "without current limit": [("    current_limit: auto\n", "")],
    "without control": [("<    control:|  - feed: twin-flex", "")],
    "without regulator": [("<  - regulator|  - feed: twin-flex", "  - regulator: none\n"),
                          ("adapter-19v-65w", "adapter-12v-60w")],
    "control in place of the trimmer": [("track: 2 kohm ± 20 %", "track: auto"),
                                        ("in place of fixed resistor", "in place of trimmer")],
    "battery": [("adapter: adapter-19v-65w", "battery: lifepo4-4s-20ah")],
    "bare jumpers": [("size: 1.5 mm²}\n\nsupplies",
                      "size: 1.5 mm²}\n  jumpers: {conductor: bare-copper}\n\nsupplies")],
    "aluminium board": [("board: {sheet: mdf, thickness: 9 mm",
                         "board: {sheet: aluminium, thickness: 3 mm")],
}  # fmt: skip


def varied(name: str) -> str:
    text = demo()
    for old, new in VARIATIONS[name]:
        if old.startswith("<"):
            old = between(text, *old[1:].split("|"))
        assert text.count(old) == 1, f"{name}: the demonstration no longer says {old!r} once"
        text = text.replace(old, new)
    return text


@dataclass(frozen=True)
class Whole:
    model: Model
    facts: dict[str, Fact]
    steps: tuple[Step, ...]
    cautions: Cautions
    faults: tuple[Fault, ...]


@functools.cache
def whole(name: str, folder_: Path) -> Whole:
    spec = folder_ / "spec.yaml"
    spec.write_text(varied(name), encoding="utf-8")
    design = settle(load(spec))
    search, words = search_path(), load_words(search_path())
    facts = {**design.facts, "stops": design.stops}
    parts = (search, facts, design.model, design.values, words)
    steps = load_steps(*parts)
    return Whole(design.model, all_facts(facts, design.values), steps,
                 load_cautions(*parts, steps), load_faults(*parts, steps))  # fmt: skip


@pytest.fixture(params=VARIATIONS)
def light(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Whole:
    return whole(request.param, tmp_path_factory.mktemp("spec"))


def test_the_steps_can_be_followed(light: Whole) -> None:
    assert [str(finding) for finding in walk(light.model, light.steps, light.facts).findings] == []


def test_every_part_is_used_up_once(light: Whole) -> None:
    taken = [use.ref for step in light.steps for use in step.takes]
    assert sorted(taken) == sorted(light.model.refs())


def test_every_joint_is_seen_by_a_reading(light: Whole) -> None:
    assert unseen(light.model, light.steps, light.facts) == ()


def test_the_cold_checks_come_before_any_power_on_the_light(light: Whole) -> None:
    hold = next(i for i, step in enumerate(light.steps) if step.hold == "HP2")
    for i, step in enumerate(light.steps):
        for act in step.acts:
            if act.verb == "powers" and act.source == "supply":
                assert i > hold, f"{step.id} before {light.steps[hold].id}"


def test_what_sets_or_dries_is_waited_for(light: Whole) -> None:
    """Their labels give a time for each of these; nobody goes on before it is over."""
    sets = {"wood-glue", "epoxy", "paint", "lacquer"}
    hasty = [step.id for step in light.steps
             if step.waiting is None and sets & {use.id for use in step.consumables}]  # fmt: skip
    assert hasty == []


def test_every_check_leads_to_a_fault_row(light: Whole) -> None:
    rows = {fault.id for fault in light.faults}
    assert [step.id for step in light.steps if step.reads and step.if_not not in rows] == []


def files() -> list[str]:
    search = SearchPath(TEMPLATES)
    return [name for sort in ("steps", "findings", "pages") for name in search.names(sort)]


@pytest.mark.parametrize("name", files())
def test_templates_decide_nothing(name: str) -> None:
    raw = read(SearchPath(TEMPLATES), name, TEMPLATES / name)
    assert list(template_troubles(raw.body, Place(raw.file, raw.body_line))) == []


def test_every_condition_can_hold_and_can_fail() -> None:
    stuck = {}
    for file in load_all(SearchPath(TEMPLATES), "steps", StepHeader):
        asked: Condition = condition(file)
        if not asked.always and can_be(asked) != {True, False}:
            stuck[file.id] = asked.text
    assert stuck == {}


def test_the_fuse_has_its_place_before_the_battery_side_is_soldered(light: Whole) -> None:
    """A holder that is soldered in too far away is cut out again; so are wires on B+ and B−."""
    for step in light.steps:
        if step.gives == "battery-side-wired":
            solder = step.body.index("Solder every other end")
            assert step.body.find("from the battery, or nearer") < solder
            assert step.body.index("B+ of the battery's half, the black one") < solder


def test_sleeves_that_are_shrunk_last_are_looked_at(light: Whole) -> None:
    closed = next(step for step in light.steps if step.id == "light-closed")
    assert ("Shrink the sleeves" in closed.body) == any(
        one.holds == "sleeves-tight" and not one.absent for one in closed.reads)  # fmt: skip
