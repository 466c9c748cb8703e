from __future__ import annotations

import json
import os
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from guidegen.publish.build import build
from guidegen.publish.protocol import PublishError
from guidegen.publish.swap import mark_of

TOP = Path(__file__).parents[2]


def tree(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_the_guide_has_what_a_reader_looks_for(toy_site: Path, toy: Any) -> None:
    for name in ("index.html", "print.html", "guide.json", "steps/frame.html", "cuts.csv"):
        assert (toy_site / name).is_file(), name
    assert (toy_site / "guide.json").read_bytes() == toy.data["guide.json"]
    assert mark_of(toy_site)


def test_every_page_carries_identity_title_and_the_way_on(toy_site: Path) -> None:
    pages = ["index.html", "safety.html", "steps/frame.html"]
    texts = [(toy_site / page).read_text(encoding="utf-8") for page in pages]
    for text in texts:
        assert "Toy &amp; &lt;light&gt; · revision 2 · 2026-03-01 · 0a1b2c3d" in text
        assert "<light>" not in text
        assert "<posts>" not in text
        assert '<html lang="en"' in text
    assert "md-footer__link--next" in texts[0]
    assert "md-footer__link--prev" in texts[2]


def test_every_dialog_has_a_name(toy_site: Path) -> None:
    pages = "".join(page.read_text("utf-8") for page in toy_site.rglob("*.html"))
    found = re.findall(r'<[^>]*role="dialog"[^>]*>', pages)
    assert found
    assert [tag for tag in found if 'aria-label="' not in tag] == []


def test_drawings_are_in_the_page_and_not_in_the_search(toy_site: Path) -> None:
    page = (toy_site / "index.html").read_text(encoding="utf-8")
    assert '<figure class="gg-figure" id="figure-outline">' in page
    assert "*U1* board_a_b" in page
    assert "<img" not in page[page.index("<article") : page.index("</article")]
    assert "board_a_b" not in (toy_site / "search" / "search_index.json").read_text()


def test_no_address_of_another_host_is_loaded(toy_site: Path) -> None:
    for path in toy_site.rglob("*.html"):
        loads = re.findall(
            r"<(?:script|link|img)\b[^>]*(?:src|href)=\"?([^\" >]*)", path.read_text()
        )
        assert not [address for address in loads if "//" in address], path


def test_the_same_guide_is_the_same_bytes(
    toy: Any, toy_site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TZ", "Pacific/Auckland")
    monkeypatch.setattr("time.time", lambda: 4e9)  # the year 2096
    build(toy, tmp_path / "elsewhere" / "toy")
    assert tree(tmp_path / "elsewhere" / "toy") == tree(toy_site)


def test_a_stop_is_on_every_page(toy: Any, tmp_path: Path) -> None:
    build(replace(toy, stop=True), tmp_path / "toy")
    for page in ["index.html", "safety.html", "steps/frame.html", "print.html"]:
        assert 'class="gg-stop"' in (tmp_path / "toy" / page).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("old", "new", "trouble"),
    [
        ("(safety.md)", "(safty.md)", "safty.md"),
        ("#step-1-1", "#step-1-9", "step-1-9"),
        ("(guide.json)", "(guid.json)", "guid.json"),
        ("![](figures/outline.svg)", "![x](none.png)", "none.png"),
    ],
)
def test_what_leads_nowhere_stops_the_build(
    toy: Any, tmp_path: Path, old: str, new: str, trouble: str
) -> None:
    build(toy, tmp_path / "toy")
    before = tree(tmp_path / "toy")
    with pytest.raises(PublishError, match=re.escape(trouble)):
        build(toy.with_page("index.md", old, new), tmp_path / "toy")
    assert tree(tmp_path / "toy") == before
    assert os.listdir(tmp_path) == ["toy"]


def test_the_build_is_silent(toy: Any, tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    stages: list[str] = []
    build(toy, tmp_path / "toy", stages.append)
    assert capfd.readouterr() == ("", "")
    assert stages


def test_the_mark_lists_every_file(toy_site: Path) -> None:
    mark = json.loads((toy_site / ".guidegen.json").read_text(encoding="utf-8"))
    assert set(mark["files"]) == set(tree(toy_site)) - {".guidegen.json"}
    assert mark["fingerprint"] == "0a1b2c3d"


def test_no_place_for_mkdocs_to_wipe_or_lose_the_skin() -> None:
    assert not list(TOP.glob("mkdocs.y*ml")), "a build there would empty site/"
    lines = (TOP / ".gitignore").read_text().split()
    assert not [line for line in lines if line.strip("/*") == "site"], "the wheel would lose site/"
    assert not list((TOP / "site").rglob("__init__.py"))
    configuration = (TOP / "site" / "mkdocs.yml").read_text()
    assert re.search(r"^site_dir: \.\./guides/", configuration, re.M)
