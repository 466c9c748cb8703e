"""The guide as a plain project: built by MkDocs and its theme in a place without guidegen."""

from __future__ import annotations

import html
import os
import re
import subprocess
import sys
import tomllib
import venv
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import yaml
from click.testing import CliRunner
from hypothesis import example, given
from hypothesis import strategies as st

from guidegen import road
from guidegen.cli import main
from guidegen.publish.build import build
from guidegen.publish.plain import NEEDS, harmless, write
from guidegen.publish.protocol import PublishError

TOP = Path(__file__).parents[2]
HOSTILE = """<script>x()</script> &lt;b&gt; "q" | `c` {{ 7*7 }} !ENV A: #1 \N{BRIDGE AT NIGHT}"""


@pytest.fixture(scope="session")
def mkdocs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The `mkdocs` of a new environment that holds it and its theme, and no guidegen."""
    home = tmp_path_factory.mktemp("plain")
    venv.create(home, with_pip=False)
    pip = [sys.executable, "-m", "pip", "--python", home / "bin" / "python", "install", "-q"]
    quick = ["--no-compile", "--retries", "1", "--timeout", "15"]
    done = subprocess.run([*pip, *quick, *NEEDS], capture_output=True, encoding="utf-8",
                          check=False)  # fmt: skip
    if done.returncode:
        pytest.skip(f"pip can't fetch mkdocs: {done.stderr.strip().splitlines()[-1]}")
    probe = [home / "bin" / "python", "-c", "import guidegen"]
    assert subprocess.run(probe, cwd=home, env={}, capture_output=True, check=False).returncode
    return home / "bin" / "mkdocs"


def built(mkdocs: Path, project: Path) -> Path:
    clean = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    done = subprocess.run(
        [mkdocs, "build", "--strict"],
        cwd=project,
        env={**clean, "NO_MKDOCS_2_WARNING": "1"},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return project / "site"


def drawings(site: Path, pattern: str) -> dict[str, list[str]]:
    return {
        path.name: re.findall(pattern, path.read_text(encoding="utf-8"))
        for path in sorted(site.glob("*.html"))
        if path.name not in ("print.html", "404.html")
    }


def test_plain_mkdocs_builds_the_demo_with_every_drawing(
    mkdocs: Path, site_guide: Any, tmp_path: Path
) -> None:
    write(site_guide, tmp_path / "pages")
    site = built(mkdocs, tmp_path / "pages")
    build(site_guide, tmp_path / "guide")
    images = drawings(site, r'<img [^>]*src="figures/([\w.-]+)\.svg"')
    assert images == drawings(tmp_path / "guide", r'<figure class="gg-figure" id="figure-([^"]+)"')
    assert sum(map(len, images.values())) >= 25
    for name in {name for page in images.values() for name in page}:
        assert (site / "figures" / f"{name}.svg").read_text(encoding="utf-8").startswith("<svg")
    for name in ("print.html", "guide.json"):
        assert (site / name).read_bytes() == (tmp_path / "guide" / name).read_bytes()


class Seen(HTMLParser):
    """The elements of a page, and the text of its title and nav."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.inside: list[str] = []
        self.bare: list[str] = []
        self.titles: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.inside.append(tag)
        if not attrs:
            self.bare.append(tag)

    def handle_data(self, data: str) -> None:
        if self.inside[-1:] == ["title"]:
            self.titles.append(data)


def test_hostile_titles_are_text_in_the_plain_site(mkdocs: Path, toy: Any, tmp_path: Path) -> None:
    pages = tuple(replace(page, title=HOSTILE) for page in toy.pages)
    write(replace(toy, title=HOSTILE, pages=pages), tmp_path / "toy")
    site = built(mkdocs, tmp_path / "toy")
    for name in ("index.html", "safety.html", "steps/frame.html"):
        text = (site / name).read_text(encoding="utf-8")
        # The theme's own scripts call no `x()`; a title that came alive would.
        assert not re.search(r"<script[^>]*>x\(\)", text), name
        seen = Seen(text)
        assert "b" not in seen.bare
        assert "{{ 7*7 }} !ENV A: #1 \N{BRIDGE AT NIGHT}" in "".join(seen.titles)


def test_the_plain_site_opens_by_double_click_and_searches(
    mkdocs: Path,
    toy: Any,
    tmp_path: Path,
    troubles_of: Callable[[Path], list[str]],
    search_in: Callable[[Path, str], list[str]],
) -> None:
    write(toy, tmp_path / "toy")
    site = built(mkdocs, tmp_path / "toy")
    (site / "404.html").unlink()  # for a web server: its addresses begin at the server's top
    assert troubles_of(site) == []
    assert search_in(site, "zebrasaw")


@given(st.text())
@example(HOSTILE)
@example("&amp;lt;script&amp;gt; &#60;b&#62; &lt")
def test_a_title_is_the_same_with_and_without_its_entities(text: str) -> None:
    """Character references begin with & and a letter or # (HTML Living Standard, 13.2.5.72)."""
    title = harmless(text)
    assert html.unescape(title) == title
    assert not set('<>"\n') & set(title)


def test_the_project_says_what_it_needs_and_nothing_of_ours(toy: Any, tmp_path: Path) -> None:
    write(toy, tmp_path / "toy")
    text = (tmp_path / "toy" / "mkdocs.yml").read_text(encoding="utf-8")
    found = yaml.safe_load(text)
    assert set(found["plugins"]) == {"search", "offline"}
    assert found["nav"][0] == {"Overview": "index.md"}
    assert found["nav"][2] == {"Frame & \u2039posts\u203a": "steps/frame.md"}
    assert "site_dir" not in found
    named = [*found["extra_css"], *found["extra_javascript"], *found["extra"]["polyfills"]]
    assert all((tmp_path / "toy" / "docs" / name).is_file() for name in named)
    assert str(TOP) not in text
    ours = tomllib.loads((TOP / "pyproject.toml").read_text())["project"]["dependencies"]
    lines = (tmp_path / "toy" / "requirements.txt").read_text().split()
    assert lines == [need for need in ours if need.startswith("mkdocs")]


def test_a_drawing_is_an_image_with_its_caption(toy: Any, tmp_path: Path) -> None:
    figure = replace(toy.figures["outline"], caption="Size *a* <b>, in\nmm.")
    write(replace(toy, figures={"outline": figure}), tmp_path / "toy")
    page = (tmp_path / "toy" / "docs" / "steps" / "frame.md").read_text(encoding="utf-8")
    assert "(../figures/outline.svg)\n\n*Size \\*a\\* &lt;b&gt;, in mm.*\n" in page


def tree(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_the_next_one_replaces_it_with_the_site_that_was_built_in_it(
    toy: Any, tmp_path: Path
) -> None:
    write(toy, tmp_path / "toy")
    first = tree(tmp_path / "toy")
    (tmp_path / "toy" / "site" / "steps").mkdir(parents=True)
    (tmp_path / "toy" / "site" / "steps" / "index.html").write_text("built")
    write(replace(toy, revision="3"), tmp_path / "toy")
    second = tree(tmp_path / "toy")
    assert set(second) == set(first)
    assert second["docs/index.md"] != first["docs/index.md"]
    write(toy, tmp_path / "toy")
    assert tree(tmp_path / "toy") == first
    assert os.listdir(tmp_path) == ["toy"]


@pytest.mark.parametrize("name", ["docs/index.md", "mkdocs.yml", "docs/own.md", "sites/a.html"])
def test_what_somebody_wrote_is_never_lost(toy: Any, tmp_path: Path, name: str) -> None:
    write(toy, tmp_path / "toy")
    (tmp_path / "toy" / name).parent.mkdir(exist_ok=True)
    (tmp_path / "toy" / name).write_text("mine", encoding="utf-8")
    before = tree(tmp_path / "toy")
    with pytest.raises(PublishError, match=re.escape(name)):
        write(toy, tmp_path / "toy")
    assert tree(tmp_path / "toy") == before


def test_a_guide_that_is_a_site_is_not_replaced_by_pages(toy: Any, tmp_path: Path) -> None:
    build(toy, tmp_path / "toy")
    before = tree(tmp_path / "toy")
    with pytest.raises(PublishError, match="holds a guide as a site"):
        write(toy, tmp_path / "toy")
    assert tree(tmp_path / "toy") == before


def test_a_link_that_leads_nowhere_writes_nothing(toy: Any, tmp_path: Path) -> None:
    with pytest.raises(PublishError, match=r"safty\.md"):
        write(toy.with_page("index.md", "(safety.md)", "(safty.md)"), tmp_path / "toy")
    assert os.listdir(tmp_path) == []


def test_the_folder_one_stands_in_is_left_alone(
    toy: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for place in (Path("."), tmp_path, tmp_path.parent):
        with pytest.raises(PublishError, match="is the folder that you are in"):
            write(toy, place)
    assert tmp_path.is_dir()


@pytest.mark.parametrize(("options", "status"), [([], 1), (["--even-so"], 0)])
def test_a_stop_writes_nothing_unless_asked(
    toy: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, options: list[str], status: int
) -> None:
    finding = SimpleNamespace(level="stop", place=None)
    monkeypatch.setattr(road, "design_of", lambda spec: SimpleNamespace(findings=[finding]))
    monkeypatch.setattr(road, "guide_of", lambda spec, design: replace(toy, stop=True))
    monkeypatch.setattr("guidegen.guide.sentences.finding_text", lambda one: "Too hot.")
    done = CliRunner().invoke(main, ["pages", "toy.yaml", str(tmp_path / "toy"), *options])
    assert done.exit_code == status, done.output
    assert "Too hot." in done.output
    assert (tmp_path / "toy").exists() is (status == 0)
    if status == 0:
        pages = sorted((tmp_path / "toy" / "docs").rglob("*.md"))
        assert len(pages) == 3
        assert all("gg-stop" in page.read_text(encoding="utf-8") for page in pages)


def test_a_spec_that_can_not_be_read_is_one_sentence(tmp_path: Path) -> None:
    done = CliRunner().invoke(main, ["pages", str(tmp_path / "no.yaml"), str(tmp_path / "toy")])
    assert done.exit_code == 2
    assert "no.yaml" in done.output
    assert "Traceback" not in done.output
    assert os.listdir(tmp_path) == []
