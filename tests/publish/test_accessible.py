"""No page breaks a rule of WCAG 2.2, level AA, that a program can check."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from guidegen.publish.build import build

# The rules as the axe-core library has them, Deque Systems, MPL 2.0; a test tool only.
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
LIBRARY = "axe_playwright_python"
RUN = """rules => axe.run(document, {runOnly: {type: "tag", values: rules},
  resultTypes: ["violations"]}).then(found => found.violations.map(one =>
  one.id + ": " + one.nodes.map(node => node.target.join(" ")).slice(0, 3).join(", ")))"""
LOOKS = {"light": ("light", "screen"), "dark": ("dark", "screen"), "print": ("light", "print")}
#: The longest pages have nothing that the others have not, but take most of the time; the
#: print file holds them all.
LONG = ("workings.html", "steps.html", "print.html")


@pytest.fixture(scope="module")
def demo(demo_guide: Any, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("guides") / demo_guide.name
    build(demo_guide, out)
    return out


@pytest.fixture(scope="module")
def one(site_guide: Any, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One demonstration stands for all where the skin, not the text, is looked at."""
    out = tmp_path_factory.mktemp("guides") / site_guide.name
    build(site_guide, out)
    return out


@pytest.fixture(scope="module")
def rules() -> str:
    pytest.importorskip(LIBRARY)
    return files(LIBRARY).joinpath("axe.min.js").read_text(encoding="utf-8")


@contextmanager
def opened(browser: Any, look: str) -> Iterator[Any]:
    page = browser.new_page()
    scheme, medium = LOOKS[look]
    page.emulate_media(color_scheme=scheme, media=medium)
    yield page
    page.close()


def broken(page: Any, path: Path, rules: str, without: str = "") -> list[str]:
    """The rules that a page breaks, and where."""
    page.goto(path.as_uri())
    if without:
        page.eval_on_selector_all(without, "found => found.forEach(one => one.remove())")
    page.add_script_tag(content=rules)
    return [f"{path.name}: {one}" for one in page.evaluate(RUN, RULES)]


@pytest.mark.parametrize("look", ["light", "dark"])
def test_pages(demo: Path, browser: Any, rules: str, look: str) -> None:
    paths = [path for path in sorted(demo.glob("*.html")) if path.name not in LONG]
    assert len(paths) > 8
    if look == "dark" and "herbarium" not in str(demo):
        pytest.skip("the dark skin is the same in every guide")
    # Between them these have every sort of box, table and drawing; the first guide is read whole.
    if look == "dark" or "herbarium" not in str(demo):
        paths = [path for path in paths if path.stem in ("index", "safety", "parts", "record")]
    with opened(browser, look) as page:
        found = [line for path in paths for line in broken(page, path, rules)]
        scheme = page.evaluate("() => document.body.dataset.mdColorScheme")
    assert scheme == {"light": "default", "dark": "slate"}[look]
    assert found == []


def test_print_page(one: Path, browser: Any, rules: str) -> None:
    # The longest parts are made of the same tables and drawings as the rest.
    long = "#page-workings, #page-troubleshooting, #page-templates"
    with opened(browser, "print") as page:
        assert broken(page, one / "print.html", rules, long) == []


def test_the_work_in_the_dark(one: Path, browser: Any, rules: str) -> None:
    with opened(browser, "dark") as page:
        assert broken(page, one / "steps.html", rules) == []


def test_a_printed_page(one: Path, browser: Any, rules: str) -> None:
    with opened(browser, "print") as page:
        assert broken(page, one / "safety.html", rules) == []


@pytest.mark.parametrize(
    ("name", "old", "new", "rule"),
    [
        ("index.html", "<title>", "<title></title><p hidden>", "document-title"),
        ("index.html", "<h1", '<img src="figures/finished.svg"><h1', "image-alt"),
        (
            "index.html",
            "</h1>",
            '</h1><p style="color:#aaa;background:#fff">pale</p>',
            "color-contrast",
        ),
        ("index.html", '<html lang="en"', "<html", "html-has-lang"),
        ("index.html", "</h1>", '</h1><a href="safety.html"></a>', "link-name"),
        (
            "print.html",
            "</style>",
            ".gg-contents li { line-height: 1.3; margin: .25em 0 }</style>",
            "target-size",
        ),
    ],
)
def test_a_broken_rule_is_found(  # noqa: PLR0917 - a table of cases
    one: Path, browser: Any, rules: str, tmp_path: Path, name: str, old: str, new: str, rule: str
) -> None:
    """Spoiled on purpose."""
    site = Path(shutil.copytree(one, tmp_path / "spoilt"))
    text = (site / name).read_text(encoding="utf-8")
    assert old in text
    if name == "print.html":  # its head and its list of contents are enough
        text = text.partition("<section")[0] + "</main></body></html>"
    (site / name).write_text(text.replace(old, new, 1), encoding="utf-8")
    with opened(browser, "light") as page:
        assert [hit for hit in broken(page, site / name, rules) if f": {rule}:" in hit]


# --- letters of the drawings --------------------------------------------------------------------

LETTERS = """() => [...document.querySelectorAll("figure.gg-figure")].flatMap(figure =>
  [...figure.querySelectorAll("svg text")].map(text => {
    const turn = text.getScreenCTM();
    return [figure.id, text.textContent,
            parseFloat(getComputedStyle(text).fontSize) * Math.hypot(turn.a, turn.b)];
  }))"""
#: Height of the capitals over the font's size, DejaVu Sans 2.37: 1493 of 2048 units.
CAPITAL = 1493 / 2048
#: Between the margins of A4, in CSS px: 171 mm.
BETWEEN_MARGINS = 646


def too_small(page: Any, path: Path, least: float) -> list[str]:
    page.goto(path.as_uri())
    letters = page.evaluate(LETTERS)
    return sorted({f"{path.name} {figure}: {text!r} is {size:.1f} px"
                   for figure, text, size in letters if size < least})  # fmt: skip


def test_letters_of_all_drawings_are_12_px_on_a_phone(demo: Path, browser: Any) -> None:
    """WCAG has no least size; 12 px in a window of 360 px is common practice, no source."""
    page = browser.new_page(viewport={"width": 360, "height": 640})
    paths = [path for path in sorted(demo.glob("*.html")) if path.name != "print.html"]
    found = [line for path in paths for line in too_small(page, path, 12.0)]
    assert found == []
    # Spoiled: what the rule for the card of a step prevents.
    page.add_init_script("addEventListener('DOMContentLoaded', () => document.head.append(Object"
                         ".assign(document.createElement('style'), {textContent:"
                         " '.gg-step .gg-figure { margin: 0 !important }'})))")  # fmt: skip
    assert too_small(page, demo / "steps.html", 12.0)
    page.close()


def test_letters_of_all_drawings_are_2_5_mm_on_paper(demo: Path, browser: Any) -> None:
    """Capitals of 2.5 mm, from the series of ISO 3098-1 (from memory); a mm is 96/25.4 px."""
    page = browser.new_page(viewport={"width": BETWEEN_MARGINS, "height": 950})
    page.emulate_media(media="print")
    assert too_small(page, demo / "print.html", 2.5 * 96 / 25.4 / CAPITAL) == []
    page.close()
