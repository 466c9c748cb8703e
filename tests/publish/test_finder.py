"""The fault finder of the page against the one of the terminal, and as a builder uses it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from guidegen.content.files import search_path
from guidegen.content.words import load_words
from guidegen.design.solved_faults import fault_table
from guidegen.guide.tracing import Tracer
from guidegen.publish.build import build
from guidegen.road import design_of, guide_of

SPEC = Path(__file__).parents[2] / "specs" / "boatshed-work-bar.yaml"


@pytest.fixture(scope="module")
def tracer() -> Tracer:
    return Tracer(fault_table(design_of(SPEC)), load_words(search_path(SPEC.parent)))


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory, browser: Any) -> Any:
    folder = tmp_path_factory.mktemp("finder") / "light"
    design = design_of(SPEC)
    build(guide_of(SPEC, design), folder)
    shown = browser.new_page(viewport={"width": 360, "height": 900})
    shown.goto((folder / "troubleshooting.html").as_uri())
    shown.locator("#gg-finder").wait_for(state="visible", timeout=15_000)
    yield shown
    shown.close()


def test_page_and_terminal_rank_alike(page: Any, tracer: Tracer) -> None:
    """Thirty planted readings: the same causes in the same order, the same next reading."""
    table, rng = tracer.table, np.random.default_rng(3)
    for number in range(0, len(table.suspects), 3):
        look = table.looks[number][0]
        chosen = rng.choice(len(table.probes), size=5, replace=False)
        taken = {int(n): float(tracer.size[number, n] + 0.0003 * rng.standard_normal())
                 for n in sorted(chosen)}  # fmt: skip
        fits = np.array([any(one.kind == look.kind for one in looks) for looks in table.looks])
        score = np.where(fits, table.signatures.score(taken), -np.inf)
        ours = tracer.signatures.left(score)
        theirs = page.evaluate(
            """([look, taken]) => {
                 const found = guidegenFinder.ranked(guidegenFaults, look, "", taken);
                 const next = guidegenFinder.next(guidegenFaults, found, taken);
                 return [found.map(one => [one.number, one.score]), next && next.n - 1];
               }""",
            [look.kind, {str(n): volts for n, volts in taken.items()}],
        )
        mine, top = score - score.max(), max(points for _, points in theirs[0])
        page_left = {n: points - top for n, points in theirs[0]}
        for n in {*ours, *page_left}:
            # The page's table has five digits, and leaves out a tenth of a deviation; what is
            # just out here may be just in there.
            if mine[n] > -6:
                assert page_left[n] == pytest.approx(mine[n], abs=0.2), table.suspects[n].key


def test_a_builder_finds_a_poor_joint(page: Any, tracer: Tracer) -> None:
    """Look, type what is asked for, end at the one cause."""
    number = next(i for i, one in enumerate(tracer.table.suspects) if one.kind == "jumper-weak")
    cause = tracer.said(tracer.table.suspects[number]).cause
    finder = page.locator("#gg-finder")
    finder.locator("select").first.select_option("all-alike")
    for _ in range(len(tracer.table.probes)):
        said = finder.locator("[role=status]").inner_text()
        if "Next: reading" not in said:
            break
        n = int(said.split("Next: reading ")[1].split(",")[0]) - 1
        volts = float(tracer.size[number, n])
        unit = 1000 if tracer.table.probes[n].unit == "mV" else 1
        finder.locator("input").fill(f"{volts * unit:.1f}")
        finder.locator("button", has_text="Add").click()
    assert finder.locator("ol > li").count() <= 3
    assert cause in finder.locator("ol > li").first.inner_text()
    finder.locator("input").fill("much")
    finder.locator("button", has_text="Add").click()
    assert "A number is wanted" in finder.locator("[role=status]").inner_text()


def test_the_table_is_what_the_page_has(page: Any, tracer: Tracer) -> None:
    text = tracer.script().decode().removeprefix("window.guidegenFaults=").rstrip(";\n")
    assert page.evaluate("guidegenFaults") == json.loads(text)
