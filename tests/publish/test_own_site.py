"""Guides in a site of one's own: its nav, its theme, its pages, several guides."""

from __future__ import annotations

import logging
import os
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml
from mkdocs.commands.build import build as mkdocs_build
from mkdocs.config import load_config
from mkdocs.exceptions import Abort

from guidegen.publish import plugin as module
from guidegen.publish.plugin import announce

TOP = Path(__file__).parents[2]
Make = Callable[..., Path]
ONE = [{"guidegen": {"spec": "toy.yaml"}}]
TWO = [
    "search",
    {"guidegen": {"spec": "toy.yaml", "folder": "toy"}},
    {"guidegen": {"spec": "lamp.yaml", "folder": "lamps/one"}},
]


@pytest.fixture
def make(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, toy: Any) -> Make:
    """Writes a site and builds it strictly; each spec is the toy with another title."""
    lamp = replace(toy, name="lamp", title="Lamp <b>", fingerprint="ffffffff")
    monkeypatch.setattr(module, "design_of", lambda spec: spec)
    monkeypatch.setattr(module, "guide_of", lambda spec, _: lamp if spec.stem == "lamp" else toy)

    def made(
        pages: dict[str, str], plugins: list[Any], theme: str = "material", **more: Any
    ) -> Path:
        for name, text in pages.items():
            path = tmp_path / "docs" / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        (tmp_path / "docs").mkdir(exist_ok=True)
        settings = {"site_name": "A workshop", "theme": {"name": theme}, "plugins": plugins, **more}
        text = yaml.safe_dump(settings, sort_keys=False)
        (tmp_path / "mkdocs.yml").write_text(text, encoding="utf-8")
        announce()
        mkdocs_build(load_config(str(tmp_path / "mkdocs.yml"), strict=True))
        return tmp_path / "site"

    return made


def read(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def navigation(site: Path) -> list[str]:
    """Titles in the theme's own list of pages, in order."""
    text = read(site / "index.html").partition('<nav class="md-nav md-nav--primary')[2]
    found = re.findall(r'<span class="md-ellipsis">\s*(.*?)\s*</span>', text, re.DOTALL)
    return [" ".join(title.split()) for title in found]


def local_troubles(site: Path) -> list[str]:
    """Links and anchors inside the site that lead nowhere; themes name other hosts."""
    pages = {path: read(path) for path in sorted(site.rglob("*.html")) if path.name != "404.html"}
    anchors = {path: set(re.findall(r'\bid="([^"]+)"', text)) for path, text in pages.items()}
    found = []
    for path, text in pages.items():
        for link in re.findall(r'<(?:a|img|link|script)\b[^>]*?\b(?:href|src)="([^"]*)"', text):
            address, _, anchor = link.partition("#")
            if re.match(r"[a-z]+:|//|/", link):
                continue
            target = (path.parent / address).resolve() if address else path
            target = target / "index.html" if target.is_dir() else target
            if not target.is_file():
                found.append(f"{path.relative_to(site)}: {link}")
            elif anchor and target in anchors and anchor not in {*anchors[target], "__skip", ""}:
                found.append(f"{path.relative_to(site)}: {link}")
    return found


@pytest.mark.parametrize("theme", ["material", "mkdocs", "readthedocs"])
@pytest.mark.parametrize("directories", [True, False])
def test_two_guides_stand_in_one_site_of_any_theme(
    make: Make, theme: str, directories: bool
) -> None:
    home = {"index.md": "# Home\n\n[One](toy/index.md), [two](lamps/one/steps/frame.md)\n"}
    site = make(home, TWO, theme, use_directory_urls=directories)
    name = "frame/index.html" if directories else "frame.html"
    for folder, title, mark in (("toy", "Toy", "0a1b2c3d"), ("lamps/one", "Lamp", "ffffffff")):
        page = read(site / folder / "steps" / name)
        assert mark in page
        assert '<figure class="gg-figure" id="figure-outline">' in page
        assert "assets/guide.css" in page
        assert "assets/guide.js" in page
        assert (site / folder / "guide.json").is_file()
        paper = read(site / folder / "print.html")
        assert f"<title>{title}" in paper
        assert 'href="#page-steps-frame--step-1-1"' in paper
        assert 'href="guide.json"' in paper
    assert local_troubles(site) == []
    assert "<b>" not in read(site / "index.html")


def test_without_a_nav_pages_of_both_are_listed(make: Make) -> None:
    own = {"index.md": "# Home\n", "about.md": "# About us\n", "deep/more.md": "# More\n"}
    assert "More" in navigation(make(own, TWO))
    titles = navigation(
        make({**own, "templates/x.md": "# Never shown\n"}, TWO, not_in_nav="/deep/*")
    )
    order = ["Home", "Toy &amp; &lt;light&gt;", "Overview", "Safety", "Lamp &lt;b&gt;", "About us"]
    places = [titles.index(title) for title in order]
    assert places == sorted(places)
    assert not {"More", "Never shown"} & set(titles)


def test_a_page_of_the_same_name_stands_and_is_said(
    make: Make, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.INFO, "mkdocs.plugins.guidegen"):
        site = make({"index.md": "# Our workshop\n\n[Safety](safety.md)\n"}, ONE)
    assert "What you will have: a toy." not in read(site / "index.html")
    assert "'index.md' of the site stands in place of the guide's own." in caplog.text
    assert "WARNING" not in caplog.text
    titles = navigation(site)
    assert titles.count("Our workshop") == 1
    assert "Overview" not in titles
    assert local_troubles(site) == []


def test_a_readme_is_the_first_page_of_a_site(
    make: Make, toy: Any, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    alone = toy.with_page("steps/frame.md", "[the drawing](../index.md)", "the drawing")
    monkeypatch.setattr(module, "guide_of", lambda spec, _: alone)
    with caplog.at_level(logging.INFO, "mkdocs.plugins.guidegen"):
        site = make({"README.md": "# Our workshop\n\n[Safety](safety.md)\n"}, ONE)
    assert "Our workshop" in read(site / "index.html")
    assert "'README.md' of the site stands in place of the guide's own." in caplog.text
    assert navigation(site)[0] == "Our workshop"
    assert "Overview" not in navigation(site)


def test_the_print_file_leads_to_the_page_that_stands_in(make: Make) -> None:
    site = make({"safety.md": "# Our rules\n"}, ONE)
    paper = read(site / "print.html")
    assert 'href="safety/index.html"' in paper
    assert "Our rules" not in paper
    assert local_troubles(site) == []


def test_a_nav_of_its_own_stays_as_it_is(make: Make) -> None:
    nav = [{"Start": "index.md"}, {"Light": [{"Rules": "toy/safety.md"}]}]
    titles = navigation(make({"index.md": "# Home\n", "about.md": "# About us\n"}, TWO, nav=nav))
    assert titles[:3] == ["Start", "Light", "Rules"]
    assert "About us" not in titles
    assert "Frame" not in " ".join(titles)


@pytest.mark.parametrize(
    ("first", "second", "trouble"),
    [
        ("", "", "folder: 2 guides have ''. Accepted: one of its own for each"),
        ("a", "a/", "folder: 2 guides have 'a'"),
        ("../out", "b", "folder: '../out' is no name for a folder. Accepted: letters"),
        ("a/../../b", "b", "is no name for a folder"),
    ],
)
def test_a_folder_that_can_not_be_is_named(
    make: Make, caplog: pytest.LogCaptureFixture, first: str, second: str, trouble: str
) -> None:
    both = [{"guidegen": {"spec": "toy.yaml", "folder": name}} for name in (first, second)]
    with pytest.raises(Abort):
        make({}, both)
    assert f"mkdocs.yml: plugins: guidegen: {trouble}" in caplog.text or trouble in caplog.text


RUN = (
    "from guidegen.publish.plugin import announce; announce(); "
    "from mkdocs.__main__ import cli; cli()"
)


def test_the_demo_site_builds_strictly_where_it_lies(tmp_path: Path, site_guide: Any) -> None:
    done = subprocess.run(
        [sys.executable, "-c", RUN, "build", "--strict", "--site-dir", tmp_path / "out"],
        cwd=TOP / "site",
        env={**os.environ, "PYTHONPATH": str(TOP), "NO_MKDOCS_2_WARNING": "1"},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert site_guide.fingerprint in read(tmp_path / "out" / "index.html")
    assert len(list((tmp_path / "out").glob("*.html"))) >= len(site_guide.pages)
