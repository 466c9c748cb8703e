"""One quantity, one text: on every page, in every figure and in the record.

The guide is made a second time with a mark in place of each value's text. Where the marks are
replaced by the texts of the record, the published guide must come out, letter for letter.
"""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path
from typing import Any

import pytest

from guidegen.design.model import minus
from guidegen.guide.model import Guide
from guidegen.road import design_of, guide_of
from guidegen.values import Value

MARK = re.compile(r"⟦(\d+)⟧")


class Marked:
    """A guide with marks, and the values behind them."""

    def __init__(self, spec: Path) -> None:
        self.values: list[Value] = []
        numbers: dict[int, int] = {}

        def mark(value: Value) -> str:
            if id(value) not in numbers:
                numbers[id(value)] = len(self.values)
                self.values.append(value)
            return f"⟦{numbers[id(value)]}⟧"

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(Value, "__str__", mark)
            guide = guide_of(spec, design_of(spec))
        assert isinstance(guide, Guide)
        self.guide = guide
        # What a mend would give is no value of this light, although it has the name of one.
        self.elsewhere = {id(mend.effect) for finding in guide.design.findings
                          for mend in finding.mends}  # fmt: skip

    def shown(self) -> list[Value]:
        """The values whose marks stand on a page or in a figure."""
        texts = [page.markdown for page in self.guide.pages]
        texts += [figure.svg for figure in self.guide.figures.values()]
        found = dict.fromkeys(int(mark) for text in texts for mark in MARK.findall(text))
        return [self.values[number] for number in found
                if id(self.values[number]) not in self.elsewhere]  # fmt: skip

    def spoken(self, text: str, record: dict[str, str]) -> str:
        """The text with each mark replaced by the record's text of that name."""
        return MARK.sub(lambda found: self.text(self.values[int(found[1])], record), text)

    def text(self, value: Value, record: dict[str, str]) -> str:
        """The record's text; the value's own where the record does not list it."""
        own = value.kind.text(value.si)
        return own if id(value) in self.elsewhere else record.get(value.name, own)


@pytest.fixture(scope="module")
def marked(demo_spec: Path) -> Marked:
    return Marked(demo_spec)


@pytest.fixture(scope="module")
def texts(demo_guide: Any) -> dict[str, str]:
    record = json.loads(demo_guide.data["guide.json"])
    return {name: entry["text"] for key in ("givens", "values")
            for name, entry in record[key].items()}  # fmt: skip


PAGES = ("index", "safety", "parts", "cutting", "templates", "wiring", "plan", "steps",
         "calibration", "record", "performance", "care", "troubleshooting", "workings",
         "revisions")  # fmt: skip


@pytest.mark.parametrize("page", PAGES)
def test_pages_say_what_the_record_says(
    page: str, marked: Marked, demo_guide: Any, texts: dict[str, str]
) -> None:
    mine = next(one for one in marked.guide.pages if one.uri == f"{page}.md")
    published = next(one for one in demo_guide.pages if one.uri == f"{page}.md")
    said = marked.spoken(mine.markdown, texts).splitlines()
    assert lines(said) == lines(published.markdown.splitlines())


def lines(page: list[str]) -> list[str]:
    """Without what is put together by its text, whatever its name: wires in the parts tables, and
    those that are pulled alike. Marks are longer than their texts: where paper breaks a step, and
    where its lines are empty, says nothing."""
    alike = re.compile(r"\| W\d+[^|]*\| \d|\| coil of |Hanging scale, a pull|Metal-film resistor"
                       r"|^$|^</?div|gg-again")  # fmt: skip
    return [re.sub(r"^\| [\d, ]+ \|", "|", line).replace(" gg-tall", "") for line in page
            if not alike.search(line)]  # fmt: skip


def test_marks_stand_on_the_pages(marked: Marked) -> None:
    """The comparison above compares something."""
    marks = {page.uri: len(MARK.findall(page.markdown)) for page in marked.guide.pages}
    assert min(marks[f"{name}.md"] for name in ("index", "performance", "record", "wiring")) > 15
    assert sum(marks.values()) > 800


def labels(svg: str) -> set[str]:
    return set(re.findall(r"<text[^>]*>(.*?)</text>", svg, re.DOTALL))


def test_figures_say_what_the_record_says(
    marked: Marked, demo_guide: Any, texts: dict[str, str]
) -> None:
    seen = 0
    for name, figure in marked.guide.figures.items():
        published = demo_guide.figures[name]
        there = labels(published.svg)
        for label in labels(figure.svg):
            if MARK.search(label):
                seen += 1
                said = marked.spoken(label, texts)
                # Wires with one text share a label; one too long says the beginning of it.
                ends = {one.rpartition(": ")[2] for one in there}
                short = {one for one in there if one.endswith("…")}
                assert said.rpartition(": ")[2] in ends or any(
                    said.startswith(one[:-1]) for one in short
                ), f"{name}: {said}"
        for own, other in ((figure.alt, published.alt), (figure.caption, published.caption)):
            assert marked.spoken(own, texts) == other, name
    assert seen > 20


def test_one_name_has_one_text(marked: Marked, texts: dict[str, str]) -> None:
    found: dict[str, set[str]] = {}
    for value in marked.shown():
        found.setdefault(value.name, set()).add(value.kind.text(value.si))
    for name, said in found.items():
        if name in texts:
            assert said == {texts[name]}, name


def test_the_main_numbers_agree_everywhere(marked: Marked, demo_guide: Any) -> None:
    """Names that stand on several pages, each with the text of `main`."""
    record = json.loads(demo_guide.data["guide.json"])
    pages = {page.uri: page.markdown for page in demo_guide.pages}
    behind: dict[str, set[str]] = {}
    for page in marked.guide.pages:
        for found in MARK.findall(page.markdown):
            behind.setdefault(marked.values[int(found)].name, set()).add(page.uri)
    several = [name for name in record["main"] if len(behind.get(name, ())) > 1]
    assert len(several) >= 6, several
    for name in several:
        for uri in behind[name]:
            text = record["main"][name]["text"]
            assert text in pages[uri], f"{name} on {uri}"


def test_a_number_of_its_own_is_seen(
    marked: Marked, demo_guide: Any, texts: dict[str, str]
) -> None:
    """Spoiled on purpose: another text under a known name."""
    index = next(one for one in marked.guide.pages if one.uri == "index.md")
    wrong = {**texts, "panel.power": "31.0 W"}
    assert marked.spoken(index.markdown, wrong) != demo_guide.pages[0].markdown
    assert marked.spoken(index.markdown, texts) == demo_guide.pages[0].markdown.strip("\n")


def test_fault_finding_has_the_limits_of_the_steps(demo_guide: Guide) -> None:
    """The same points in the same state: what a step passes is no fault, and the reverse."""
    sheet = csv.DictReader(io.StringIO(demo_guide.data["readings.csv"].decode()))
    limits = {(row["red"], row["black"], row["what"] == "Output at the low end"):
              (row["low"], row["high"]) for row in sheet if row["red"]}  # fmt: skip
    found, low_end = 0, False
    for step in demo_guide.steps:
        for act in step.acts:
            if act.verb == "sets" and "control" in act.text:
                low_end = act.to == "low"
            reading = act.reading
            # A battery is read at rest; fault finding reads it under the full current.
            if reading is None or reading.instrument != "volts" or (
                reading.holds == "supply.reading" and demo_guide.design.facts["battery"]
            ):  # fmt: skip
                continue
            for red, black in reading.probes:
                key = (minus(red), minus(black), low_end)
                if key in limits:
                    assert limits[key] == (reading.low, reading.high), (step.id, key)
                    found += 1
    # Of every light the pads at least.
    assert found >= demo_guide.design.values["row.count"].si
