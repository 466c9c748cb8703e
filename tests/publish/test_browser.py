"""The finished guide in a real browser, opened by double click, with the network watched."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Troubles = Callable[[Path], list[str]]


@pytest.fixture
def copy(toy_site: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(toy_site, tmp_path / "toy"))


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_every_page_opens_without_trouble(toy_site: Path, troubles_of: Troubles) -> None:
    assert troubles_of(toy_site) == []


def test_search_finds_a_word_on_its_page(
    toy_site: Path, search_in: Callable[[Path, str], list[str]]
) -> None:
    hits = search_in(toy_site, "zebrasaw")
    assert hits
    assert all("steps/frame.html" in hit for hit in hits)
    assert search_in(toy_site, "0a1b2c3d") == []


@pytest.mark.parametrize(
    ("page", "old", "new", "trouble"),
    [
        ("index.html", 'href="safety.html"', 'href="safty.html"', "safty.html leads nowhere"),
        ("index.html", "#step-1-1", "#step-1-9", "#step-1-9 has no such place"),
        ("index.html", "<h1", '<img src="figures/none.svg"><h1', "none.svg is broken"),
        ("index.html", "assets/guide.js", "assets/gide.js", "failed: "),
        ("index.html", "<h1", '<script src="https://example.org/a.js"></script><h1', "foreign: "),
        ("assets/guide.js", '"use strict";', '"use strict"; unknown();', "script: "),
        ("assets/guide.css", ".gg-scroll {", ".gg-scrll {", "scrolls sideways"),
        ("index.html", '<svg role="img"', '<svg role="img" hidden style="width:0"', "no drawing"),
        ("index.html", "<h1", '<p id="figure-outline"></p><h1', "figure-outline is there twice"),
    ],
)
def test_one_broken_thing_is_found(
    copy: Path, troubles_of: Troubles, page: str, old: str, new: str, trouble: str
) -> None:
    change(copy / page, old, new)
    assert [found for found in troubles_of(copy) if trouble in found]


def test_a_lost_drawing_is_found(copy: Path, troubles_of: Troubles) -> None:
    (copy / "figures" / "outline.svg").unlink()
    assert [found for found in troubles_of(copy) if "outline.svg leads nowhere" in found]


def test_search_without_its_index_finds_nothing(
    copy: Path, search_in: Callable[[Path, str], list[str]]
) -> None:
    change(copy / "search" / "search_index.js", "zebrasaw", "zebrasew")
    assert search_in(copy, "zebrasaw") == []


def test_a_ticked_step_stays_ticked(toy_site: Path, browser: Any) -> None:
    page = browser.new_page()
    page.goto((toy_site / "steps" / "frame.html").as_uri())
    page.locator("#step-1-1 input").check()
    page.reload()
    assert page.locator("#step-1-1 input").is_checked()
    page.close()


def test_pages_are_whole_without_scripts(toy_site: Path, browser: Any) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((toy_site / "steps" / "frame.html").as_uri())
    assert page.locator("#step-1-1 svg text").text_content() == "*U1* board_a_b"
    assert page.locator("#step-1-1 .gg-tick").is_visible()
    context.close()


LUMINANCE = """selector => {
  const style = getComputedStyle(document.querySelector(selector));
  const light = text => text.match(/[0-9.]+/g).slice(0, 3).map(Number).map(part => part / 255)
    .map(part => part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4)
    .reduce((sum, part, place) => sum + part * [0.2126, 0.7152, 0.0722][place], 0);
  const [low, high] = [light(style.color), light(style.backgroundColor)].sort((a, b) => a - b);
  return (high + 0.05) / (low + 0.05);
}"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("grade", ["danger", "warning", "caution:not([class*=' '])", "notice"])
def test_signal_words_stand_out(toy_site: Path, browser: Any, scheme: str, grade: str) -> None:
    # WCAG 2.2, success criterion 1.4.3: contrast 4.5 to 1, with its formula of relative luminance.
    page = browser.new_page(color_scheme=scheme)
    page.goto((toy_site / "safety.html").as_uri())
    assert page.evaluate(LUMINANCE, f".gg-{grade} > .gg-word") >= 4.5
    page.close()
