"""Each computed number of performance, calibration and steps has a working that names it."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest

from guidegen.content.files import read, search_path
from guidegen.content.words import load_words
from guidegen.design.result import Design
from guidegen.design.solved_checks import BY_HAND
from guidegen.guide.model import Guide
from guidegen.guide.workings import is_solved, solved, workings
from guidegen.values import Given, Result, Value, is_formula

#: Sources that say that something else was asked: a function, and no part, line or table.
FUNCTION = re.compile(r"\b[a-z_]+\.[a-z_]+(?:,|\(|$)")
#: How far a sum by hand may be from what was solved, by the kind of thing.
NEAR, EVEN, FEW = 0.02, 0.01, 0.5


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


def named() -> set[str]:
    """Values that the templates of these pages print."""
    search = search_path()
    files = [n for n in search.names("steps")] + [f"pages/{n}.md" for n in
             ("performance", "calibration")]  # fmt: skip
    texts = [read(search, name, search.base(name)).body for name in files]  # type: ignore[arg-type]
    return set(re.findall(r"\bv\.((?:\w+\.)+\w+)", " ".join(texts)))


def printed(guide: Guide) -> list[Value]:
    values = guide.design.values
    found = {name: values[name] for name in sorted(named()) if name in values}
    for step in guide.steps:
        for one in step.reads:
            if one.expected and one.expected.name in values:
                found[one.expected.name] = values[one.expected.name]
    for one in guide.design.result("solved bands"):
        found |= {value.name: value for value in (one.part, one.share, one.left, one.within)}
    return list(found.values())


def page(guide: Guide) -> str:
    return next(one.markdown for one in guide.pages if one.uri == "workings.md")


def without_working(guide: Guide, text: str) -> list[str]:
    """Printed values that this workings page does not work out, or give with their source."""
    lines = {anchor: line for line in text.splitlines()
             for anchor in re.findall(r'<span id="([\w-]+)">', line)}  # fmt: skip
    missing = []
    for value in printed(guide):
        line = lines.get(value.anchor, "")
        by_hand = re.search(r"\[sum\]\(#([\w-]+)\)", line)
        if (
            str(value) not in html.unescape(line)
            or (isinstance(value, Result) and "gg-sum" not in line)
            or (is_solved(value) and not (by_hand and "gg-sum" in lines.get(by_hand[1], "")))
            or (isinstance(value, Given) and FUNCTION.search(value.source))
        ):
            missing.append(value.name)
    return missing


def test_every_printed_number_has_its_working(guide: Guide) -> None:
    assert len(printed(guide)) > 60
    assert without_working(guide, page(guide)) == []


def test_a_lost_working_is_seen(guide: Guide) -> None:
    """Spoiled on purpose: the page without the line of a law, of a sum by hand, of a given."""
    for name, told in (("row.current", "row.current"), ("by_hand.one_end", "network.one_end"),
                       ("bench.limit", "bench.limit")):  # fmt: skip
        anchor = guide.design.values[name].anchor
        lost = re.sub(rf'.*<span id="{anchor}">.*\n', "", page(guide))
        assert told in without_working(guide, lost)


def test_the_input_of_the_network_is_there(guide: Guide) -> None:
    text = page(guide)
    for name in ("circuit.cir", "nodes.csv"):
        assert f"]({name})" in text
        assert guide.data[name]


def test_sums_by_hand_come_near_what_was_solved(guide: Guide) -> None:
    """Two methods: laws for one conductor, and the network of all of them."""
    design: Design = guide.design
    search = search_path()
    seen = 0
    for name, value in design.values.items():
        check = design.values.get(name.replace("network.", BY_HAND, 1))
        if not is_solved(value) or check is None or "share" in name:
            continue
        seen += 1
        assert isinstance(check, Result)
        assert is_formula(check.law)
        if name == "network.rail_loss" and design.values["row.count"].si < 8:
            assert check.si == pytest.approx(value.si, rel=FEW)  # so few rows are no even load
        elif name.split(".")[1] in ("one_end", "opposite_ends", "both_ends", "middle", "rows"):
            assert check.si == pytest.approx(value.si, abs=EVEN)
        else:
            assert check.si == pytest.approx(value.si, rel=NEAR), name
    assert seen > 15
    told = solved(design, load_words(search), search)
    assert all(one.by_hand for one in told)
    assert len(told) == sum(map(is_solved, design.values.values()))


def test_shares_by_hand_name_the_same_widest_part(guide: Guide) -> None:
    """The law's own derivative and the network's: the same first part, to a fifth."""
    values = guide.design.values
    for number in ("one", "two"):
        mine, law = values[f"network.share_{number}"], values[f"by_hand.share_{number}"]
        assert law.si == pytest.approx(mine.si, rel=0.25)


def test_the_curve_by_hand_comes_near(guide: Guide) -> None:
    table = page(guide).partition("| Light | Output | Solved | By hand |")[2].partition("\n\n")[0]
    rows = [[float(cell.split()[0]) for cell in line.strip("| ").split("|")]
            for line in html.unescape(table).splitlines()[2:]]  # fmt: skip
    assert bool(rows) is bool(guide.design.facts["control"])
    for light, _, mine, by_hand in rows:
        assert by_hand == pytest.approx(mine, rel=0.03, abs=0.02), light


def test_every_working_is_on_the_page(guide: Guide) -> None:
    search = search_path()
    text = page(guide)
    for one in workings(guide.design, load_words(search), search):
        assert f'id="{one.anchor}"' in text, one.name
