"""The record page asks for every reading that steps and calibration name, with its limits."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest

from guidegen.content.files import read, search_path
from guidegen.guide.model import Guide

BLANK = "gg-write"
#: Sentences that tell to read something that is no reading, or has its blank elsewhere: a word of
#: the sentence, and where its blank is.
ELSEWHERE = {
    "calibration page": "", "calibration of": "", "safety page": "", "connection schedule": "",
    "the record from top": "",
    "read the track on it": "",  # printed on the part
    "each resistor near the trimmer": "",  # which one it is; what is lifted is read after
    "until the reading settles": "",  # the probes are then exchanged, and the next line is read
    "axis_distance": "",  # where the meter is held, not what it shows
    "length and width of each piece": "cutting",
    "temperature at which it opens": "",  # printed on the part
    "real thickness": "cutting",
    "pads between which": "",  # which pair it is, not how many ohms
    "stay {{ v.limits.clearance }}": "",  # looked at: a limit, no figure to write
    "nine points": "record", "after 30 minutes": "record", "on the record with": "record",
    "read every 10 minutes": "record",
    "set it as its data sheet says": "record",  # reads again what the line has
}  # fmt: skip


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


def page(guide: Guide, name: str) -> str:
    return html.unescape(next(one.markdown for one in guide.pages if one.uri == f"{name}.md"))


def rows(text: str) -> list[list[str]]:
    return [[cell.strip() for cell in line.strip("|").split("|")]
            for line in text.splitlines() if line.startswith("|")]  # fmt: skip


def missing(guide: Guide, record: str) -> list[str]:
    """Readings of the steps that no line of the record has with number, limits and a blank."""
    found = []
    lines = rows(record)
    for step in guide.steps:
        for one in step.reads:
            if one.absent:
                continue
            numbers = {text for text in (one.target, one.low, one.high) if text}
            mine = [line for line in lines if len(line) > 6 and line[0] == step.number
                    and numbers <= set(line[3:6]) and BLANK in line[6]
                    and one.where in line[2]]  # fmt: skip
            if mine:
                lines.remove(mine[0])  # two readings of one step may be alike
            else:
                found.append(f"{step.number} {one.instrument} {one.where}")
    return found


def test_every_reading_of_the_steps_has_its_line(guide: Guide) -> None:
    assert missing(guide, page(guide, "record")) == []


def test_a_lost_line_is_seen(guide: Guide) -> None:
    """Spoiled on purpose: the record without one line of each step that reads."""
    record = page(guide, "record")
    for step in guide.steps:
        if any(not one.absent for one in step.reads):
            lost = re.sub(rf"^\| {re.escape(step.number)} \|.*\n", "", record, count=1, flags=re.M)
            assert missing(guide, lost), step.number


def test_the_quarters_of_the_control_are_read(guide: Guide) -> None:
    dims = bool(guide.design.facts["control"])
    mine = [one for step in guide.steps if step.id == "dimming-read" for one in step.reads]
    assert len(mine) == (3 if dims else 0)
    assert all(one.low and one.high for one in mine)
    targets = [one.expected.si for one in mine if one.expected]
    assert targets == sorted(targets)


def test_every_setting_of_the_calibration_has_its_line(guide: Guide) -> None:
    record = rows(page(guide, "record").split("## As found")[-1])
    number = re.compile(r"\d[\d.]*(?:\xa0[VA]+)?")
    asked = 0
    for field, *value in rows(page(guide, "calibration")):
        if field in ("Target", "Low end", "High end", "Expect it at"):
            wanted = number.findall(value[0])[:3]
            asked += 1
            assert len(set(wanted)) > 1, value
            assert any(set(wanted) <= set(line[1:4]) and BLANK in line[5] for line in record
                       if len(line) > 5), (field, wanted)  # fmt: skip
    assert asked >= 2


def test_temperatures_have_a_blank_for_every_ten_minutes(guide: Guide) -> None:
    warm = [one for step in guide.steps for one in step.reads
            if one.instrument == "celsius" and not one.absent]  # fmt: skip
    log = page(guide, "record").split("Every ten minutes")[1].split("## ")[0]
    head, _, *lines = rows(log)
    hours = guide.design.values["burn_in.hours"].si
    assert [int(time.split()[0]) for time in head[2:]] == list(range(60, int(hours * 60) + 1, 10))
    assert [line[:2] for line in lines[:-1]] == [[one.where, one.high] for one in warm]
    assert all(all(BLANK in cell for cell in line[2:]) for line in lines)


def test_no_sentence_reads_what_no_line_asks_for() -> None:
    """A sentence that tells to read or to measure prints a reading of the header beside it."""
    search, seen = search_path(), 0
    for name in search.names("steps"):
        file = search.base(name)
        assert file is not None
        for item in read(search, name, file).body.splitlines():
            if not re.search(r"\b(?:Read|Measure|Note)\b|, read\b|: note\b", item):
                continue
            seen += 1
            if "reading(" not in item:
                assert any(word in item for word in ELSEWHERE), f"{name}: {item}"
    assert seen > 30
