"""What a fault drives in each conductor, and the sizes that hang on a real thickness."""

from __future__ import annotations

import re
from typing import Any

import pytest

from guidegen.content.files import search_path
from guidegen.content.words import Words, load_words
from guidegen.guide.model import Guide
from guidegen.values import Given

WORDS: Words = load_words(search_path())


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


def table(guide: Guide, name: str, head: str) -> list[list[str]]:
    text = next(page.markdown for page in guide.pages if page.uri == f"{name}.md")
    lines = text[text.index(head) :].split("\n\n")[0].splitlines()
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def amperes(text: str) -> float:
    found = re.fullmatch(r"([\d.]+)\u00a0(m?)A", text)
    assert found, text
    return float(found[1]) / (1000 if found[2] else 1)


def test_every_conductor_has_a_line_and_its_verdict_is_right(guide: Guide) -> None:
    rows = table(guide, "wiring", "| Conductors | A fault drives")
    said = {row[0] for row in rows}
    model, fuse = guide.design.model, guide.design.facts["fuse"]
    roles = {wire.role for wire in model.conductors} & {"feed", "jumper", "control_lead"}
    roles |= {"pilot_wire"} if guide.design.facts["pilot_light"] else set()
    roles |= {"rail"} | ({"fan_wire"} if guide.design.facts["fan"] else set())
    if fuse and guide.design.facts["lead"]:
        near = {"lead", "supply_lead", "battery_wire", "link", "stage_link"}
        roles |= near & {wire.role for wire in model.conductors}
    assert {WORDS.role(role).many for role in roles} | {"tracks of the tape"} <= said
    assert len(said) == len(rows), "a conductor has two lines"
    findings = [(str(one.found), str(one.required), one) for one in guide.design.findings
                if one.required is not None]  # fmt: skip
    for what, draws, bears, verdict in rows:
        safe = amperes(draws) <= amperes(bears)
        assert ("not protected" not in verdict) is safe, what
        judged = [one for found, required, one in findings if (found, required) == (draws, bears)]
        assert judged, what
        if not safe:
            assert {one.level for one in judged} <= {"advice", "stop"}
        memory = any(isinstance(one.required, Given) and "from memory" in one.required.source
                     for one in judged)  # fmt: skip
        assert ("from memory" in verdict) is (safe and memory), what


def test_tracks_bear_the_current_of_a_reel(guide: Guide) -> None:
    """By hand: 9.6 W/m over 5 m is 48 W: 4 A at 12 V; 14.4 W/m: 3 A at 24 V, 6 A at 12 V."""
    tape = guide.design.fixture.rows.tape
    volts, watts = tape["voltage"].si, tape["power"].si
    by_hand = {(12.0, 9.6): 4.0, (24.0, 14.4): 3.0, (12.0, 14.4): 6.0}[volts, round(watts, 3)]
    assert guide.design.values["track.allowed"].si == pytest.approx(by_hand, rel=1e-9)


def test_sizes_that_hang_on_a_thickness_say_so_with_blanks(guide: Guide) -> None:
    """Geometry: between two strips, or two walls, lies what is left of the outside."""
    rows = table(guide, "cutting", "| Pieces | Size as planned")
    strips = [row for row in rows if "rim strip" in row[0]]
    walls = [row for row in rows if "box wall" in row[0]]
    assert strips
    assert {row[4] for row in strips} == {"2\u00a0mm less"}
    assert "2\u00a0mm less" in {row[4] for row in walls}
    values = guide.design.values
    inside = values["board.height"].si - 2 * values["border.thickness"].si
    assert float(strips[0][1].partition("\u00a0")[0]) / 1000 == pytest.approx(inside, abs=5e-4)
    for row in rows:
        assert row[2].startswith("thickness of"), row
        assert [cell.count("gg-write") for cell in row[5:]] == [1]
    listed = {ref for row in rows for ref in re.findall(r"[A-Z]\d+", row[0])}
    # A board is as large as the spec says, however thick it is.
    assert not listed & {part.ref for part in guide.design.model.by_role("board")}
