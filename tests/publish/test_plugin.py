"""The plug-in in a site of somebody else, and its behaviour while a server runs."""

from __future__ import annotations

import logging
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from mkdocs.commands.build import build as mkdocs_build
from mkdocs.config import load_config
from mkdocs.exceptions import Abort

from guidegen.errors import Place, SpecError, Trouble
from guidegen.publish import plugin as module
from guidegen.publish.build import build
from guidegen.publish.plugin import GuidegenPlugin, announce

CONFIGURATION = """
site_name: A workshop
theme: {name: material, font: false}
plugins:
  guidegen: {spec: light.yaml}
"""


@pytest.fixture
def site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, toy: Any) -> Path:
    (tmp_path / "docs").mkdir()
    (tmp_path / "mkdocs.yml").write_text(CONFIGURATION, encoding="utf-8")
    monkeypatch.setattr(module, "design_of", lambda spec: spec)
    monkeypatch.setattr(module, "guide_of", lambda spec, design: toy)
    return tmp_path


def made(site: Path) -> Path:
    announce()
    mkdocs_build(load_config(str(site / "mkdocs.yml"), strict=True))
    return site / "site"


def test_the_guide_brings_its_own_styles_and_scripts(site: Path) -> None:
    out = made(site)
    page = (out / "steps" / "frame" / "index.html").read_text(encoding="utf-8")
    assert "../../assets/guide.css" in page
    assert "../../assets/guide.js" in page
    assert (out / "assets" / "guide.css").is_file()
    assert '<figure class="gg-figure" id="figure-outline">' in page
    assert '<section class="gg-step" id="step-1-1">' in page
    assert "A workshop" in page


def test_a_page_of_the_site_goes_before_the_guides_own(
    site: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (site / "docs" / "safety.md").write_text("# Our own rules\n", encoding="utf-8")
    with caplog.at_level(logging.INFO, "mkdocs.plugins.guidegen"):
        page = (made(site) / "safety" / "index.html").read_text(encoding="utf-8")
    assert "Our own rules" in page
    assert "Sharp edges." not in page
    assert "'safety.md' of the site stands in place of the guide's own." in caplog.text


def test_a_guide_that_was_given_is_not_kept_for_the_next_site(
    site: Path, toy: Any, tmp_path_factory: pytest.TempPathFactory
) -> None:
    other = replace(toy, title="Another light", fingerprint="ffffffff")
    build(other, tmp_path_factory.mktemp("guides") / "toy")
    assert "ffffffff" not in (made(site) / "index.html").read_text(encoding="utf-8")


def test_a_nav_of_the_site_is_kept(site: Path) -> None:
    text = CONFIGURATION + "nav: [{Start: index.md}, {Rules: safety.md}, {F: steps/frame.md}]\n"
    (site / "mkdocs.yml").write_text(text, encoding="utf-8")
    assert "Rules" in (made(site) / "index.html").read_text(encoding="utf-8")


def broken(spec: Path) -> None:
    raise SpecError([Trouble(Place("light.yaml", 3, 1), "lite", "unknown key <b>")])


def test_a_broken_spec_stops_a_build_and_leaves_the_old_site(
    site: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    before = (made(site) / "index.html").read_bytes()
    monkeypatch.setattr(module, "design_of", broken)
    with pytest.raises(Abort):
        made(site)
    assert "light.yaml:3:1: lite: unknown key <b>" in caplog.text
    assert (site / "site" / "index.html").read_bytes() == before


def test_a_missing_spec_key_is_named(site: Path, caplog: pytest.LogCaptureFixture) -> None:
    text = CONFIGURATION.replace("{spec: light.yaml}", "{}")
    (site / "mkdocs.yml").write_text(text, encoding="utf-8")
    with pytest.raises(Abort):
        made(site)
    assert "mkdocs.yml: plugins: guidegen: 'spec' is missing" in caplog.text


def served(site: Path, plugin: GuidegenPlugin) -> str:
    """One rebuild as a server does it: a new configuration, the same plug-in object."""
    announce()
    config = load_config(str(site / "mkdocs.yml"))
    config.plugins["guidegen"] = plugin
    plugin.load_config({"spec": "light.yaml"})
    config.plugins.events = {name: [] for name in config.plugins.events}
    config.plugins._register_event("config", plugin.on_config)
    for event in ("files", "page_markdown", "page_content", "env", "post_page"):
        config.plugins._register_event(event, getattr(plugin, f"on_{event}"))
    mkdocs_build(config)
    return (site / "site" / "index.html").read_text(encoding="utf-8")


def test_a_server_keeps_the_last_good_guide_with_the_trouble_on_top(
    site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plugin = GuidegenPlugin()
    plugin.on_startup(command="serve", dirty=False)
    assert "gg-trouble" not in served(site, plugin)
    with monkeypatch.context() as spoilt:
        spoilt.setattr(module, "design_of", broken)
        page = served(site, plugin)
    assert (
        '<pre class="gg-trouble" role="alert">light.yaml:3:1: lite: unknown key &lt;b&gt;' in page
    )
    assert "What you will have: a toy." in page
    assert "gg-trouble" not in served(site, plugin)


def test_a_server_that_starts_with_a_broken_spec_says_so(
    site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plugin = GuidegenPlugin()
    plugin.on_startup(command="serve", dirty=False)
    monkeypatch.setattr(module, "design_of", broken)
    page = served(site, plugin)
    assert "light.yaml:3:1: lite: unknown key &lt;b&gt;" in page
    assert "No guide yet" in page
