"""A new subject shows up everywhere without a change of any other room."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from guidegen.calc import geometry
from guidegen.content.files import search_path
from guidegen.design import SUBJECTS, Design, Mend, Section, settle
from guidegen.design.result import Desk
from guidegen.guide import make
from guidegen.guide.model import Guide
from guidegen.kinds import Metre
from guidegen.publish.figures import drawings
from guidegen.publish.pages import files
from guidegen.spec.model import Fixture

#: The sentence of the toy's finding, as the maker of a subject would write it.
SENTENCE = """---
title: Ribbon
---
The ribbon of {{ found }} is {% if kept %}long enough{% else %}shorter than {{ required
}}{% endif +%}
"""


def ribbon(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """How long a ribbon around the board must be: a subject of three lines."""
    desk = Desk("ribbon", fixture, before)
    length = desk.work("ribbon.diagonal", geometry.diagonal, width=desk["board.width"],
                       height=desk["board.height"])  # fmt: skip
    wanted = desk.given("ribbon.wanted", Metre, 0.5, "the toy's own wish")
    desk.limit("ribbon-length", wanted, length, at_most=False, level="advice",
               mends=(Mend({"body.board.height": "400 mm"}),))  # fmt: skip
    desk.set(ribbon=True)
    desk.chose("ribbon.kind", "silk")
    return desk.section()


@pytest.fixture(scope="module")
def design(demo: Fixture) -> Design:
    return settle(demo, (*SUBJECTS, ribbon))


@pytest.fixture(scope="module")
def guide(design: Design, tmp_path_factory: pytest.TempPathFactory) -> Guide:
    own: Path = tmp_path_factory.mktemp("own")
    (own / "templates" / "findings").mkdir(parents=True)
    (own / "templates" / "findings" / "ribbon-length.md").write_text(SENTENCE, "utf-8")
    return make(design, search_path(own), drawings)


def test_its_values_facts_and_choices_are_in_the_design(design: Design) -> None:
    # 360 mm by 210 mm: Pythagoras.
    assert design.values["ribbon.diagonal"].si == pytest.approx(0.41677, abs=1e-5)
    assert design.facts["ribbon"] is True
    assert [choice.chosen for choice in design.choices if choice.id == "ribbon.kind"] == ["silk"]


def test_its_mend_is_tried_on_the_whole_design(design: Design) -> None:
    [finding] = [f for f in design.findings if f.id == "ribbon-length"]
    assert finding.level == "advice"
    [mend] = finding.mends
    # 360 mm by 400 mm: Pythagoras.
    assert mend.effect is not None
    assert mend.effect.si == pytest.approx(0.53814, abs=1e-5)


def test_it_is_in_the_record(guide: Guide) -> None:
    record = json.loads(guide.data["guide.json"])
    entry = record["values"]["ribbon.diagonal"]
    assert entry["law"] == "diagonal"
    assert entry["inputs"] == {"width": "board.width", "height": "board.height"}
    assert record["givens"]["ribbon.wanted"]["source"] == "the toy's own wish"
    assert "ribbon-length" in {finding["id"] for finding in record["findings"]}


def test_it_is_on_the_pages(guide: Guide, design: Design) -> None:
    text = {page.uri: page.markdown for page in guide.pages}
    value = design.values["ribbon.diagonal"]
    assert f'id="{value.anchor}"' in text["workings.md"] or value.anchor in text["workings.md"]
    plain = re.sub(r"\s|\u00a0|&nbsp;", " ", " ".join(text.values()))
    said = str(value).replace("\u00a0", " ")
    assert f"The ribbon of {said} is shorter than" in plain
    assert "the toy&#39;s own wish" in plain or "the toy's own wish" in plain


def test_without_it_none_of_that_is_there(demo: Fixture) -> None:
    plain = settle(demo, mends=False)
    assert not [name for name in (*plain.values, *plain.facts) if name.startswith("ribbon")]


def test_publishing_takes_it_as_it_comes(guide: Guide) -> None:
    one = next(iter(guide.figures.values()))
    charts = {request["name"]: one for request in guide.charts}
    found = files(guide, charts)
    assert "ribbon.diagonal" in str(found["guide.json"])
    assert "ribbon" in str(found["workings.md"])
