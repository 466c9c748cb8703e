"""The top of every page, and every hazard where it belongs: safety page, page box, step.

The catalogue's numbers are typed here; what a page's box must hold is worked out from the steps.
"""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from guidegen.content.files import search_path
from guidegen.content.words import load_words
from guidegen.errors import SpecError
from guidegen.folders import folder
from guidegen.guide import tops
from guidegen.guide.make import PAGES
from guidegen.guide.model import Guide
from guidegen.guide.selectors import Chooser
from guidegen.guide.tops import hazards, page_file
from guidegen.spec import load
from guidegen.spec.changes import changed

#: Every hazard of the project's catalogue.
CATALOGUE = {f"H{n:02}" for n in (*range(1, 42), *range(43, 46))}
#: Pages on which nothing is done with the hands.
READ_ONLY = {"index", "safety", "plan", "workings", "revisions"}
SEARCH = search_path()
WORDS = load_words(SEARCH)


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


def text(guide: Guide, name: str) -> str:
    return next(page.markdown for page in guide.pages if page.uri == f"{name}.md")


def boxed(guide: Guide, name: str) -> list[str]:
    """Anchors in the boxes at the top of a page."""
    top = text(guide, name).split('<div class="gg-top"')[1].split("\n\n</div>\n\n##")[0]
    boxes = re.findall(r"gg-hazards.*?</div>", top, re.DOTALL)
    return re.findall(r"safety\.md#caution-([\w-]+)", " ".join(boxes))


@pytest.mark.parametrize("name", PAGES)
def test_a_page_opens_with_its_goal_and_what_comes_first(guide: Guide, name: str) -> None:
    heading, top, goal, *_ = [line for line in text(guide, name).splitlines() if line]
    assert heading.startswith("# ")
    assert 'class="gg-top"' in top
    assert goal.startswith("You will ")
    assert text(guide, name).count("**Before:** ") == 1


@pytest.mark.parametrize("name", PAGES)
def test_its_box_holds_the_messages_of_its_steps(guide: Guide, name: str) -> None:
    found = boxed(guide, name)
    assert len(set(found)) == len(found)
    assert bool(found) is (name not in READ_ONLY)
    if name == "steps":
        assert set(found) == {p.caution.id for step in guide.steps for p in step.cautions}
    if name == "care":
        assert set(found) == {c.id for c in guide.cautions.chosen if "care" in c.pages}
    if name == "cutting":
        sawing = {s.id for s in guide.steps if s.stage == "cut"}
        assert set(found) >= {c.id for c in guide.cautions.chosen if sawing & set(c.steps)}
    if name in ("cutting", "templates"):
        assert {"moving-blades", "noise", "wood-dust"} <= set(found)
        # The step that drills the box also fits a switch and modules: no matter of these pages.
        assert not {"dc-arc", "static", "short-circuit", "bare-rails"} & set(found)
    if name == "templates":
        assert not {"solvents", "sharp-ends"} & set(found)
    ranks = [next(c.rank for c in guide.cautions.chosen if c.id == one) for one in found]
    assert ranks == sorted(ranks)


def test_a_page_that_names_no_step_has_no_box(guide: Guide) -> None:
    """Spoiled on purpose: the rule, not the template, fills the box."""
    file = page_file(SEARCH, "cutting", WORDS)
    chooser = Chooser(guide.design.model, WORDS)
    whole = hazards(file, guide.cautions, guide.steps, chooser)
    none = hazards(file, guide.cautions, (), chooser)
    assert len(none) < len(whole)


def test_every_hazard_stands_on_the_safety_page_in_a_box_and_at_its_action(guide: Guide) -> None:
    safety, care = text(guide, "safety"), text(guide, "care")
    in_boxes = {one for name in PAGES if name not in READ_ONLY for one in boxed(guide, name)}
    at_steps = {placed.caution.id for step in guide.steps for placed in step.cautions}
    sections = care.split("\n## ")[1:]
    for one in guide.cautions.chosen:
        assert safety.count(f'id="caution-{one.id}"') == 1
        assert one.id in in_boxes, one.id
        pointed = [part for part in sections if f"#caution-{one.id})" in part]
        assert one.id in at_steps or pointed, one.id
        if "care" in one.pages:
            assert pointed, f"care.md names {one.id} before none of its actions"
        for part in pointed:
            first = re.search(r"^1\. |^\|", part, re.MULTILINE)
            assert first is None or part.index(f"#caution-{one.id})") < first.start()


def test_a_short_message_has_hazard_consequence_and_avoidance(guide: Guide) -> None:
    for one in guide.cautions.chosen:
        for whole in (one.hazard, one.consequence, one.avoid):
            first = re.match(r".*?[.!?](?=\s+[A-Z]|$)", whole, re.DOTALL)
            assert first is not None
            assert first[0] in one.brief
        assert len(one.brief.split()) <= 60, one.id


def test_no_message_stands_in_full_twice_on_a_page(guide: Guide) -> None:
    for page in guide.pages:
        for one in guide.cautions.chosen:
            # Before what can bring it about its orders stand again.
            most = 1 + len(one.again) * (page.uri == "steps.md")
            assert page.markdown.count(one.avoid) <= most or one.avoid in one.brief, (
                page.uri, one.id,
            )  # fmt: skip


def test_a_message_is_whole_at_the_first_step_and_a_line_with_an_order_later(guide: Guide) -> None:
    """ANSI Z535.6 (from memory): word, hazard, consequence and avoidance, before the action."""
    parts = text(guide, "steps").split('<section class="gg-step')[1:]
    body = {step.id: part for step, part in zip(guide.steps, parts, strict=True)}
    for one in guide.cautions.chosen:
        for number, id in enumerate(one.steps):
            head = body[id].partition("\n1. ")[0]
            whole = f"**{one.title}.** {one.hazard} {one.consequence} {one.avoid}" in head
            assert whole is (number == 0), (one.id, id)
            if number:
                first = next(step for step in guide.steps if step.id == one.steps[0])
                named = f"{one.word}: {one.title}."
                line = next(line for line in head.splitlines() if named in line)
                assert "gg-pointer" in line
                assert one.order in line
                assert f"[step\u00a0{first.number}]" in line.replace("step ", "step\u00a0")
                assert f"(steps.md#{first.anchor})" in line


def test_page_boxes_name_who_decides(guide: Guide) -> None:
    for name in PAGES:
        if name in READ_ONLY or name == "steps":
            continue
        box = text(guide, name).split('<div class="gg-top"')[1].split("\n\n</div>\n\n##")[0]
        chosen = {one.id: one for one in guide.cautions.chosen}
        for id in boxed(guide, name):
            line = next(line for line in box.splitlines() if f"#caution-{id})" in line)
            assert str(chosen[id].defers_to) in line, (name, id)


def test_who_joins_a_battery_reads_all_orders_about_its_short_circuit(guide: Guide) -> None:
    supply = {part.ref for part in guide.design.model.by_role("supply")}
    joining = {
        step.id: step for step in guide.steps
        for act in step.acts if act.verb == "joins" and supply & set(act.refs)
    }  # fmt: skip
    assert bool(joining) is bool(guide.design.facts["battery_wires"])
    whole = {one.id: one for one in guide.cautions.chosen}
    for step in joining.values():
        body = text(guide, "steps").split(f'id="{step.anchor}"')[1].split("</section>")[0]
        for id in {"short-circuit", "lead-acid"} & set(whole):
            assert f"{whole[id].title}." in body
            assert f"{whole[id].consequence} {whole[id].avoid}" in body


def test_every_hazard_of_the_catalogue_is_shown_or_listed_with_its_reason(guide: Guide) -> None:
    shown = {one.number for one in guide.cautions.chosen}
    others = {one.number: one for one in guide.cautions.not_applying}
    assert CATALOGUE <= shown | set(others)
    assert not shown & set(others)
    safety = unescape(text(guide, "safety")).split("## Hazards that this light does not have")[1]
    for one in others.values():
        assert len(one.reason) > 8, one
        assert not re.search(r"\w: (yes|no)\b", one.reason), one
        assert f"| {unescape(one.title)} | {one.reason} |" in safety


@pytest.mark.parametrize(
    "change",
    [
        {"chain.switch": "{like: switch-dc-10a, voltage: 230 V}"},
        {"supplies.1": "{mains: 230 V}"},
        {"use.surroundings": "[above people]"},
        {"guide.edition": "class"},
    ],
)
def test_what_no_spec_can_bring_is_refused(change: dict[str, str]) -> None:
    """The reasons under `never` in the words: H02, H32 and H41."""
    assert set(WORDS.never) == {"H02", "H25", "H32", "H41"}
    demo = load(Path(folder("templates").parent / "specs" / "herbarium-copy-light.yaml"))
    with pytest.raises(SpecError):
        changed(demo, change)


def test_no_step_cuts_by_laser_or_hot_wire() -> None:
    """The reason for H25."""
    said = [tool.name.lower() for tool in WORDS.tools.values()]
    said += [file.read_text("utf-8").lower() for file in (folder("templates") / "steps").iterdir()]
    assert not [one for one in said if re.search(r"\blaser|hot[ -]wire", one)]


def test_an_own_page_keeps_its_hazards(tmp_path: Path) -> None:
    """A maker words a page; which steps it concerns is not for words."""
    own = tmp_path / "pages"
    own.mkdir()
    (own / "cutting.md").write_text("---\ngoal: You will have cut.\n---\nNo heading.\n")
    file = tops.page_file(type(SEARCH)(SEARCH.package, tmp_path), "cutting", WORDS)
    assert file.header.hazards == page_file(SEARCH, "cutting", WORDS).header.hazards
    assert file.header.goal == "You will have cut."
