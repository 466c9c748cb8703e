"""A small guide with everything in it that publishing must carry."""

from __future__ import annotations

import datetime
import json
import shutil
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import pytest

from guidegen.publish.build import build

# Helpers beside these tests are no tests and belong to no package.
sys.path.insert(0, str(Path(__file__).parent))

INDEX = """# Toy light

What you will have: a toy. Read [Safety](safety.md) first, then [step 1.1](steps/frame.md#step-1-1).
The [print page](print.html) and the [record](guide.json) hold the same numbers.

![](figures/outline.svg)

<table class="gg-key"><tbody><tr><th>Voltage</th><td>12.00\u00a0V</td></tr></tbody></table>
"""
SAFETY = """# Safety

<section class="gg-emergency" markdown="block">

| What you see | What you do first |
|---|---|
| Smoke | Pull the plug. |

</section>

<div class="gg-caution gg-warning" markdown="block">
<p class="gg-word">WARNING</p>

**Burns.** A tool across both rails can burn you. *Keep the supply unplugged.*

</div>

<div class="gg-caution gg-danger" markdown="block">
<p class="gg-word">DANGER</p>

Never open the adapter.

</div>

<div class="gg-caution" markdown="block">
<p class="gg-word">CAUTION</p>

Sharp edges.

</div>

<div class="gg-caution gg-notice" markdown="block">
<p class="gg-word">NOTICE</p>

Static discharge.

</div>
"""
WIDE = " | ".join(f"Column{number}" for number in range(12))
FRAME = f"""# Frame

<section class="gg-step" id="step-1-1" markdown="block">

### 1.1 Board cut to size <span class="gg-tick"></span>

<p class="gg-meta">Builder · 10 min</p>

1. Cut the board with the zebrasaw. See [the drawing](../index.md).

![](../figures/outline.svg)

The board is 360\u00a0mm long: <span class="gg-write"></span>
<span class="gg-band">± 1\u00a0mm</span>

<p class="gg-hold">HP1: dry fit accepted</p>
</section>

| {WIDE} |
| {" | ".join(["---"] * 12)} |
| {" | ".join(["widecontent"] * 12)} |
"""
OUTLINE = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 328 120">'
    "<title>Outline</title><defs><clipPath id='outline-c'><rect width='328' height='120'/>"
    '</clipPath></defs><g clip-path="url(#outline-c)">'
    '<rect x="4" y="4" width="320" height="100" style="fill:none;stroke:var(--gg-ink, #111)"/>'
    '<text x="20" y="50" style="fill:var(--gg-ink, #111)">*U1* board_a_b</text></g></svg>'
)
CHART = {
    "name": "light",
    "title": "Light by distance",
    "alt": "Chart: light falls with distance.",
    "caption": "Computed.",
}


@dataclass(frozen=True)
class ToyPage:
    uri: str
    title: str
    markdown: str


@dataclass(frozen=True)
class ToyFigure:
    svg: str = OUTLINE
    alt: str = 'Outline of the "toy" board, <360> by 120, a|b'
    caption: str = "Outline, sizes in mm."


@dataclass(frozen=True)
class ToyGuide:
    name: str = "toy"
    title: str = "Toy & <light>"
    revision: str = "2"
    date: datetime.date | None = datetime.date(2026, 3, 1)
    fingerprint: str = "0a1b2c3d"
    paper: str = "A4"
    stop: bool = False
    statement: str = "A toy is no <certified> light."
    pages: tuple[ToyPage, ...] = (
        ToyPage("index.md", "Overview", INDEX),
        ToyPage("safety.md", "Safety", SAFETY),
        ToyPage("steps/frame.md", "Frame & <posts>", FRAME),
    )
    figures: dict[str, ToyFigure] = field(default_factory=lambda: {"outline": ToyFigure()})
    data: dict[str, bytes] = field(
        default_factory=lambda: {
            "guide.json": json.dumps({"main": {"Fuse": "5 A"}}).encode(),
            "cuts.csv": b"part,mm\nU1,360\n",
        }
    )
    charts: tuple[dict[str, Any], ...] = ()

    def with_page(self, uri: str, old: str, new: str) -> ToyGuide:
        """The guide with one text of one page changed; it must have been there."""
        assert any(page.uri == uri and old in page.markdown for page in self.pages)
        return replace(
            self,
            pages=tuple(
                replace(page, markdown=page.markdown.replace(old, new)) if page.uri == uri else page
                for page in self.pages
            ),
        )


@pytest.fixture
def toy() -> ToyGuide:
    return ToyGuide()


@pytest.fixture(scope="session")
def toy_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The toy as a finished guide; nobody may change it."""
    out = tmp_path_factory.mktemp("guides") / "toy"
    build(ToyGuide(), out)
    return out


class Addresses(HTMLParser):
    """What a page leads to, and what leads to it."""

    def __init__(self, page: Path) -> None:
        super().__init__()
        self.links: list[str] = []
        self.anchors: list[str] = []
        self.feed(page.read_text(encoding="utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        self.anchors += [value for key in ("id", "name") if (value := found.get(key))]
        self.links += [value for key in ("href", "src") if (value := found.get(key))]


def broken_links(site: Path) -> list[str]:
    """Every address in every page that leads nowhere, or to another host."""
    pages = {page: Addresses(page) for page in sorted(site.rglob("*.html"))}
    found = []
    for page, addresses in pages.items():
        name = page.relative_to(site)
        twice = {a for a in addresses.anchors if addresses.anchors.count(a) > 1}
        # The theme's own drawer names its two switches once for each of two layouts.
        found += [f"{name}: id {a} is there twice" for a in sorted(twice) if a[:2] != "__"]
        for link in addresses.links:
            parts = urlsplit(link)
            if parts.scheme == "data":
                continue
            target = (page.parent / unquote(parts.path)).resolve() if parts.path else page
            if target.is_dir():
                target /= "index.html"
            if parts.scheme or parts.netloc or not target.is_file():
                found.append(f"{name}: {link} leads nowhere")
            elif parts.fragment and target.suffix == ".html":
                anchor = unquote(parts.fragment)
                if anchor not in pages[target].anchors and anchor != "__skip":
                    found.append(f"{name}: {link} has no such place")
    return found


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    program = shutil.which("chromium")
    if program is None:
        pytest.skip("chromium is not installed")
    from playwright.sync_api import sync_playwright  # only tests have it, and only here

    with sync_playwright() as driver:
        chromium = driver.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield chromium
        chromium.close()


LAYOUT = """() => ({
  sideways: document.documentElement.scrollWidth - window.innerWidth,
  figures: [...document.querySelectorAll("figure.gg-figure")].map(figure => {
    const svg = figure.querySelector("svg"), box = svg && svg.getBoundingClientRect();
    return [figure.id, Boolean(box && box.width > 20 && box.height > 20 && svg.children.length)];
  }),
  images: [...document.images].filter(image => !image.naturalWidth).map(image => image.src),
})"""


def page_troubles(page: Any, path: Path, width: int) -> list[str]:
    """What goes wrong while a page is opened at one width."""
    page.set_viewport_size({"width": width, "height": 640})
    page.goto(path.as_uri())
    page.wait_for_load_state("load")
    seen = page.evaluate(LAYOUT)
    found = [
        f"{path.name}: {name} shows no drawing" for name, drawn in seen["figures"] if not drawn
    ]
    found += [f"{path.name}: image {source} is broken" for source in seen["images"]]
    if seen["sideways"] > 0:
        found.append(f"{path.name}: scrolls sideways by {seen['sideways']} px at {width} px")
    return found


@pytest.fixture
def troubles_of(browser: Any) -> Callable[[Path], list[str]]:
    """Opens every page of a site from its folder, with the network watched."""

    def troubles(site: Path) -> list[str]:
        found = broken_links(site)
        page = browser.new_page()
        page.on("console", lambda m: m.type == "error" and found.append(f"console: {m.text}"))
        page.on("pageerror", lambda error: found.append(f"script: {error}"))
        # The browser gives up what it still fetches (a favicon) when the next page is asked for.
        page.on(
            "requestfailed",
            lambda request: (
                request.failure == "net::ERR_ABORTED" or found.append(f"failed: {request.url}")
            ),
        )
        page.on(
            "request",
            lambda request: (
                urlsplit(request.url).scheme in ("file", "data", "blob")
                or found.append(f"foreign: {request.url}")
            ),
        )
        for path in sorted(site.rglob("*.html")):
            for width in (320, 360, 1280):
                found += page_troubles(page, path, width)
        page.close()
        return found

    return troubles


@pytest.fixture
def search_in(browser: Any) -> Callable[[Path, str], list[str]]:
    """Types a word into the search of a site and returns where the hits lead."""

    def search(site: Path, word: str) -> list[str]:
        page = browser.new_page()
        page.goto((site / "index.html").as_uri())
        page.wait_for_load_state("load")
        page.keyboard.press("/")
        page.keyboard.type(word)
        page.wait_for_function(
            "() => /[0-9]|No/.test(document.querySelector('.md-search-result__meta').textContent)"
        )
        hits: list[str] = page.eval_on_selector_all(
            ".md-search-result__link", "links => links.map(link => link.href)"
        )
        page.close()
        return hits

    return search
