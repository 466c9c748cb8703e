"""Every variation settles and can be built; together they ask every question of the content."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from guidegen.content.files import search_path
from guidegen.content.headers import CautionHeader, FaultHeader, StepHeader
from guidegen.content.load import load_all
from guidegen.content.when import Condition, Fact, can_be, decides
from guidegen.design import Design, settle
from guidegen.guide.bench import all_facts
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture
from guidegen.values import finite

HERE = Path(__file__).parent
WORKERS = 2
Settled = Callable[[str], Design]


def stops(design: Design) -> list[str]:
    return sorted({finding.id for finding in design.findings if finding.level == "stop"})


def test_it_settles_and_stops_as_expected(
    variation: str, settled: Settled, variations: Mapping[str, Any]
) -> None:
    design = settled(variation)
    why = [str(f.names["why"]) for f in design.findings if "why" in f.names]
    assert design.complete, why
    assert stops(design) == sorted(variations[variation].get("stops", [])), why


def test_every_number_of_it_can_be_shown(variation: str, settled: Settled) -> None:
    assert [v.name for v in settled(variation).values.values() if not finite(v)] == []


def test_every_design_knows_the_same_facts(variation: str, settled: Settled) -> None:
    """A condition that asks a fact which this fixture lacks would be an error of the content."""
    mine, others = settled(variation).facts, settled("as it is").facts
    assert mine.keys() == others.keys()
    assert {name: type(fact) for name, fact in mine.items()} == {
        name: type(fact) for name, fact in others.items()
    }


# --- guides -----------------------------------------------------------------------------------
@pytest.fixture(scope="module")
def walked(demo: Fixture) -> dict[str, str]:
    """What was wrong with the guide of each variation; empty where it could be made."""
    runs = [
        subprocess.Popen(
            [sys.executable, HERE / "walk_some.py", demo.path, HERE.parent / "variations.yaml",
             str(part), str(WORKERS)],
            stdout=subprocess.PIPE, text=True,
        )
        for part in range(WORKERS)
    ]  # fmt: skip
    lines = [line for run in runs for line in run.communicate()[0].splitlines()]
    assert [run.returncode for run in runs] == [0] * WORKERS
    return {found["name"]: found["trouble"] for found in map(json.loads, lines)}


def test_the_guides_of_every_twelfth_of_them_can_be_followed(
    walked: dict[str, str], variations: Mapping[str, Mapping[str, Any]]
) -> None:
    assert {name: trouble for name, trouble in walked.items() if trouble} == {}
    assert len(walked) >= len(variations) // 12


# --- conditions -------------------------------------------------------------------------------
@dataclass(frozen=True)
class Asked:
    """One condition of the content, and where it stands."""

    where: str
    sort: str
    condition: Condition


def _conditions() -> Iterator[Asked]:
    search = search_path()
    for step in load_all(search, "steps", StepHeader):
        yield Asked(step.name, "step", Condition(step.header.when))
    for caution in load_all(search, "cautions", CautionHeader):
        yield Asked(caution.name, "caution", Condition(caution.header.when))
        for word in caution.header.word if not isinstance(caution.header.word, str) else ():
            yield Asked(f"{caution.name} {word.word}", "word", Condition(word.when))
    for fault in load_all(search, "faults", FaultHeader):
        yield Asked(fault.name, "fault", Condition(fault.header.when))
        for i, cause in enumerate(fault.header.causes, 1):
            yield Asked(f"{fault.name} cause {i}", "cause", Condition(cause.when))


def asked() -> list[Asked]:
    return [one for one in _conditions() if not one.condition.always]


@pytest.fixture(scope="module")
def worlds(settled: Settled, variations: Mapping[str, Any]) -> dict[str, dict[str, Fact]]:
    """All that conditions may ask, of each variation that can be built."""
    designs = {name: settled(name) for name in variations}
    return {
        name: {**all_facts(design.facts, design.values), "stops": design.stops}
        for name, design in designs.items()
    }


def outcomes(condition: Condition, worlds: Mapping[str, Mapping[str, Fact]]) -> tuple[int, int]:
    """In how many worlds it is true, and in how many false."""
    true = sum(condition.holds(facts) for facts in worlds.values())
    return true, len(worlds) - true


def test_every_condition_is_true_in_some_variations_and_false_in_others(
    worlds: dict[str, dict[str, Fact]],
) -> None:
    table = [(*outcomes(one.condition, worlds), one) for one in asked()]
    for true, false, one in table:
        counts = f"{true:3} true {false:3} false"
        sys.stdout.write(f"{counts}  {one.where:40} {one.condition.text}\n")
    assert len(table) > 80
    assert [one.where for true, false, one in table if not (true and false)] == []


def test_every_condition_can_be_true_and_false_at_all() -> None:
    assert [one.where for one in asked() if can_be(one.condition) != {True, False}] == []


def test_every_question_of_a_caution_decides_it_in_some_variation(
    worlds: dict[str, dict[str, Fact]],
) -> None:
    never = [
        f"{one.where}: {atom}"
        for one in asked()
        if one.sort in ("caution", "word")
        for atom in one.condition.atoms
        if not any(decides(one.condition, atom, facts) for facts in worlds.values())
    ]
    assert never == []


def test_a_condition_that_no_variation_makes_true_is_seen(
    worlds: dict[str, dict[str, Fact]],
) -> None:
    """Spoiled on purpose: the tables above can fail."""
    true, _ = outcomes(Condition("adapter and battery"), worlds)
    assert true == 0
    assert can_be(Condition("cover or not cover")) == {True}
    double = Condition("battery or battery and cover")
    assert not any(decides(double, "cover", facts) for facts in worlds.values())


def test_a_shaft_that_the_knob_does_not_take_is_told(demo: Fixture) -> None:
    """A quarter of an inch is no 6 mm: the knob does not go on."""
    quarter = {"chain.regulator.control.potentiometer":
               "{like: potentiometer-16mm, shaft: 6.35 mm}"}  # fmt: skip
    (usual,) = [f for f in settle(demo, mends=False).findings if f.id == "knob-fit"]
    (wrong,) = [f for f in settle(changed(demo, quarter), mends=False).findings
                if f.id == "knob-fit"]  # fmt: skip
    assert (usual.level, wrong.level) == ("holds", "advice")


def test_rails_are_not_fed_below_a_row_that_is_not_there(demo: Fixture) -> None:
    """Twelve rows: below the last there is no rail."""
    last = settle(changed(demo, {"wiring.rails.fed_at": "below row 12"}))
    (found,) = [finding for finding in last.findings if finding.id == "rail-feed-row"]
    assert (found.level, last.complete) == ("stop", False)
    assert [mend.changes for mend in found.mends] == [{"wiring.rails.fed_at": "middle"}]
    below = settle(changed(demo, {"wiring.rails.fed_at": "below row 11"}), mends=False)
    assert below.complete
    feeds = [t.at[1] for t in below.model.terminals if t.name == "feed" and t.at]
    rows = {part.row: part.box for part in below.model.by_role("row")}
    upper, lower = rows[11], rows[12]
    assert upper is not None
    assert lower is not None
    assert all(lower.y < y < upper.y + upper.height for y in feeds)
