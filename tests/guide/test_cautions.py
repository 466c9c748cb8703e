from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from guidegen.content.files import ContentError, SearchPath
from guidegen.content.words import Words
from guidegen.design.model import Model
from guidegen.guide.cautions import Cautions, load_cautions, placed
from guidegen.guide.faults import Fault, load_faults
from guidegen.guide.step import Step
from guidegen.guide.steps import load_steps
from guidegen.values import band

Made = tuple[tuple[Step, ...], Cautions]


class Maker:
    def __init__(self, toy: Path, facts: dict, model: Model, values: dict, words: Words) -> None:
        self.toy, self.facts, self.model, self.values, self.words = toy, facts, model, values, words
        self.own: Path | None = None

    def change(self, name: str, old: str, new: str) -> None:
        file = self.toy / f"{name}.md"
        assert old in file.read_text()
        file.write_text(file.read_text().replace(old, new, 1))

    def _with(self, load: Callable) -> tuple:
        search = SearchPath(self.toy, self.own)
        given = (search, self.facts, self.model, self.values, self.words)
        steps = load_steps(*given)
        return steps, load(*given, steps)

    def cautions(self) -> Made:
        return self._with(load_cautions)

    def faults(self) -> tuple[Fault, ...]:
        return self._with(load_faults)[1]


@pytest.fixture
def maker(toy: Path, facts: dict, model: Model, values: dict, words: Words) -> Maker:
    return Maker(toy, facts, model, values, words)


def where(steps: tuple[Step, ...]) -> dict[str, list[tuple[str, bool]]]:
    return {s.id: [(p.caution.id, p.full) for p in s.cautions] for s in steps if s.cautions}


def test_a_caution_stands_before_each_step_that_it_concerns(maker: Maker) -> None:
    steps, cautions = maker.cautions()
    assert where(placed(steps, cautions, lambda step: "assembly")) == {
        "rows-stuck": [("bare-rails", True)],
        "rows-joined": [("iron-hot", True)],
        "box-wired": [("iron-hot", False)],
        "first-light": [("bare-rails", False)],
        "full-light": [("bare-rails", False)],
    }


def test_it_is_whole_once_a_page(maker: Maker) -> None:
    steps, cautions = maker.cautions()
    by_stage = where(placed(steps, cautions, lambda step: step.stage))
    assert by_stage["box-wired"] == [("iron-hot", True)]
    assert by_stage["full-light"] == [("bare-rails", True)]


def test_a_line_says_where_the_whole_message_stands(maker: Maker) -> None:
    steps, cautions = maker.cautions()
    shown = {s.id: s.cautions for s in placed(steps, cautions, lambda step: "assembly")}
    assert shown["full-light"][0].first == "rows-stuck"
    assert shown["rows-stuck"][0].first == "rows-stuck"


def test_the_word_is_computed(maker: Maker) -> None:
    found = {c.id: c for c in maker.cautions()[1].chosen}
    assert (found["bare-rails"].signal, found["bare-rails"].word) == ("caution", "CAUTION")
    assert found["bare-rails"].hazard == "A tool across rails W7 and W8 carries 4.0\u00a0A"
    maker.facts["battery"] = True
    found = {c.id: c for c in maker.cautions()[1].chosen}
    assert (found["bare-rails"].signal, found["bare-rails"].word) == ("warning", "WARNING")


def test_the_most_severe_comes_first(maker: Maker) -> None:
    maker.facts["battery"] = True
    chosen = maker.cautions()[1].chosen
    assert [caution.number for caution in chosen] == ["H08", "H11", "H17"]
    assert [caution.rank for caution in chosen] == [1, 1, 2]


def test_what_does_not_apply_is_listed_with_its_reason(maker: Maker) -> None:
    others = maker.cautions()[1].not_applying
    assert [(other.number, other.title, other.reason) for other in others] == [
        ("H08", "Charging", "battery: no")
    ]


@pytest.mark.parametrize(
    ("when", "reason"),
    [
        ("battery or adapter.highest_current > 5",
         "battery: no; current at which the adapter shuts off: 4.0\u00a0A (applies above"
         " 5.0\u00a0A)"),
        ("bare_rails and not cover", "cover: yes"),
        ("faces == 'down'", "faces: sideways"),
    ],
)  # fmt: skip
def test_reasons(maker: Maker, when: str, reason: str) -> None:
    maker.change("cautions/battery-fire", "when: battery", f"when: {when}")
    assert [other.reason for other in maker.cautions()[1].not_applying] == [reason]


def test_reasons_in_the_words_of_the_language(maker: Maker) -> None:
    facts = {"battery": {"yes": "a battery", "no": "no battery in this light"}}
    maker.words = Words.model_validate({**maker.words.model_dump(), "facts": facts})
    assert maker.cautions()[1].not_applying[0].reason == "no battery in this light"


def test_a_tool_that_no_step_uses_brings_no_caution(maker: Maker) -> None:
    maker.change("cautions/iron-hot", "tools: [soldering-iron]", "tools: [drill]")
    _, cautions = maker.cautions()
    assert "iron-hot" not in {caution.id for caution in cautions.chosen}
    assert "no step uses drill" in {other.reason for other in cautions.not_applying}


def test_a_deed_to_what_lies_within_a_part_brings_its_caution(maker: Maker) -> None:
    maker.change("cautions/iron-hot", "tools: [soldering-iron]", "does: [sets trimmer]")
    steps, cautions = maker.cautions()
    setting = {
        step.id
        for step in steps
        for act in step.acts
        if act.verb == "sets" and any(ref.endswith(".trimmer") for ref in act.refs)
    }
    found = {caution.id: caution for caution in cautions.chosen}
    assert setting
    assert set(found["iron-hot"].steps) == setting


def test_a_deed_that_no_step_does_brings_no_caution(maker: Maker) -> None:
    maker.change("cautions/iron-hot", "tools: [soldering-iron]", "does: [cuts control]")
    _, cautions = maker.cautions()
    assert "iron-hot" not in {caution.id for caution in cautions.chosen}
    assert "no step of this guide does it" in {one.reason for one in cautions.not_applying}


@pytest.mark.parametrize(
    ("name", "old", "new", "message"),
    [
        ("cautions/battery-fire", "when: battery", "when: batery",
         r"battery-fire.md:3:1: no fact is called 'batery'. Did you mean 'battery'"),
        ("cautions/bare-rails", "when: battery, word", "when: batery, word",
         r"bare-rails.md:4:\d+: no fact is called 'batery'"),
        ("cautions/iron-hot", "tools: [soldering-iron]", "tools: [solderingiron]",
         r"iron-hot.md:4:\d+: at.tools: 'solderingiron' is not known.*mean 'soldering-iron'"),
        ("cautions/iron-hot", "tools: [soldering-iron]", "steps: [rows-joint]",
         r"at.steps: 'rows-joint' is not known.*Did you mean 'rows-joined'"),
        ("cautions/iron-hot", "tools: [soldering-iron]", "does: [fits rwo]",
         r"at.does: 'fits rwo' is not known.*Did you mean 'fits row'"),
        ("cautions/iron-hot", "{{ tool('soldering-iron') }}", "{{ v.iron }}",
         r"iron-hot.md:6:1: no value is called 'iron'"),
    ],
)  # fmt: skip
def test_faults_of_cautions(maker: Maker, name: str, old: str, new: str, message: str) -> None:
    maker.change(name, old, new)
    with pytest.raises(ContentError, match=message):
        maker.cautions()


def test_an_own_file_rewords_and_never_loses(maker: Maker, tmp_path: Path) -> None:
    maker.own = tmp_path / "own"
    (maker.own / "cautions").mkdir(parents=True)
    (maker.own / "cautions/iron-hot.md").write_text("---\navoid: Hold it by the grip\n---\n")
    found = {c.id: c for c in maker.cautions()[1].chosen}
    assert found["iron-hot"].avoid == "Hold it by the grip"
    assert found["iron-hot"].steps == ("rows-joined", "box-wired")
    (maker.own / "cautions/iron-hot.md").write_text("---\nwhen: battery\n---\n")
    with pytest.raises(ContentError, match="decides, and only guidegen's own file may"):
        maker.cautions()


def test_faults_know_the_steps_that_lead_to_them(maker: Maker) -> None:
    fault = maker.faults()[0]
    assert fault.routes == ("rows-joined", "cold-read", "first-light", "full-light")
    assert [cause.cause for cause in fault.causes] == ["A jumper is loose"]
    assert fault.causes[0].retest == "Repeat step\u00a03.2"
    maker.facts["battery"] = True
    assert len(maker.faults()[0].causes) == 2


@pytest.mark.parametrize(
    ("name", "old", "new", "message"),
    [
        ("steps/rows-joined", "if_not: row-open", "if_not: row-opn",
         r"rows-joined.md.*no fault is called 'row-opn'. Did you mean 'row-open'"),
        ("steps/rows-joined", "holds: open}", "holds: open, if_not: row-opn}",
         r"rows-joined.md:10:\d+: if_not: no fault is called 'row-opn'. Did you mean 'row-open'"),
        ("steps/rows-joined", "if_not: row-open", "if_not: ''",
         r"rows-joined.md:2:1: if_not: a reading leads nowhere: the step needs an if_not"),
        ("faults/row-open", "symptom:", "power: true\nsymptom:",
         r"rows-joined: leads to faults/row-open.md, which needs power, and the light has none"),
        ("faults/row-open", "symptom:", "when: battery\nsymptom:",
         r"leads to faults/row-open.md, which is not in this guide: see its 'when'"),
        ("faults/row-open", "step('rows-joined')", "step('rows-joint')",
         r"row-open.md:8:\d+: no step of this guide is called 'rows-joint'.*'rows-joined'"),
        ("faults/row-open", "when: battery", "when: flat",
         r"row-open.md:10:\d+: no fact is called 'flat'"),
    ],
)  # fmt: skip
def test_faults_of_faults(maker: Maker, name: str, old: str, new: str, message: str) -> None:
    maker.change(name, old, new)
    with pytest.raises(ContentError, match=message):
        maker.faults()


def test_exchanged_poles_are_mended_where_they_are_found(demo_guide: Any) -> None:
    """What reads wrong at the supply alone is no fault of the light: its connector stays."""
    causes = [cause for fault in demo_guide.faults for cause in fault.causes]
    reversed_ = [
        one for one in causes if "minus sign" in one.expect and "open plug" in one.test
    ] + [one for one in causes if "minus sign" in one.expect and "connector" in one.test]
    assert reversed_
    for one in reversed_:
        assert "light's connector" not in one.action, one
        assert "harge" not in one.action, one
    # Who is sent on arrives.
    symptoms = {str(fault.symptom).rstrip(".") for fault in demo_guide.faults}
    for one in causes:
        for name in re.findall(r"[Gg]o to '([^']+)'", one.action):
            assert name in symptoms, one


def test_no_temperature_is_accepted_that_a_part_does_not_bear(demo_guide: Any) -> None:
    """Where the rows' place is hotter than what is read, it counts."""
    design = demo_guide.design
    values = {name: value.si for name, value in design.values.items()}
    limit = values["limits.board_temperature"]
    read = {one.holds: one for step in demo_guide.steps for one in step.reads
            if one.instrument == "celsius" and not one.absent}  # fmt: skip
    back = read["board.back_temperature"]
    hotter = values["board.tape_temperature"] - values["board.back_temperature"]
    assert back.most + hotter <= limit + 1e-6
    assert back.least < values["board.back_temperature"] < back.most
    if design.fixture.body.cover:
        assert read["cover.outer_temperature"].most <= values["cover.highest_temperature"] + 1e-6


def test_hot_bare_metal_is_a_warning(demo_guide: Any) -> None:
    """From 65 °C on bare metal burns within a second (ISO 13732-1, from memory)."""
    design = demo_guide.design
    found = {one.id: one for one in demo_guide.cautions.chosen}.get("hot-surface")
    hottest = band(design.values["board.back_temperature"])[1] - 273.15
    metal = design.fixture.body.board.sheet.words.get("conducting") == "yes"
    word = found.signal if found else "none"
    assert (word == "warning") is (metal and hottest > 65.0)
    record = next(page.markdown for page in demo_guide.pages if page.uri == "record.md")
    plate = record.split("## Rating plate")[1].split("\n## ")[0]
    assert ("| Hot: do not touch |" in plate) is bool(found)
