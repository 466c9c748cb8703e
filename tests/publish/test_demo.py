"""The demonstration guide as a reader gets it."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from guidegen.publish.build import build
from guidegen.road import design_of, guide_of

SPEC = Path(__file__).parents[2] / "specs" / "herbarium-copy-light.yaml"
SHEET_LINE = re.compile(r"Page (\d+) of (\d+)")


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    if not SPEC.exists():
        pytest.skip("the demonstration spec is not written yet")
    out = tmp_path_factory.mktemp("guides") / SPEC.stem
    build(guide_of(SPEC, design_of(SPEC)), out)
    return out


def test_every_page_opens_without_trouble(
    demo: Path, troubles_of: Callable[[Path], list[str]]
) -> None:
    assert len(list(demo.rglob("*.html"))) > 8
    assert troubles_of(demo) == []


def test_search_finds_the_trades_words(
    demo: Path, search_in: Callable[[Path, str], list[str]]
) -> None:
    for word in ("regulator", "fuse", "kerf", "polarity", "rail"):
        assert search_in(demo, word), word


def test_no_page_shows_what_a_program_forgot(demo: Path) -> None:
    for path in demo.rglob("*.html"):
        text = path.read_text(encoding="utf-8")
        body = text[text.index("<body") :]
        words = re.sub(r"<(script|style)\b.*?</\1>|<[^>]*>", " ", body, flags=re.DOTALL)
        found = re.findall(r"\b(?:None|nan|NaN|TODO|Undefined|as required)\b|\{\{|\{%|⟦", words)
        assert found == [], path.name
        assert "<td></td>" not in text, path.name


def test_every_drawing_is_shown_and_every_shown_one_is_there(demo: Path) -> None:
    shown = set()
    for path in demo.rglob("*.html"):
        shown |= set(re.findall(r'id="figure-([\w.-]+)"', path.read_text(encoding="utf-8")))
    there = {path.stem for path in (demo / "figures").glob("*.svg")}
    assert there
    assert there - shown == set()


def test_every_sheet_names_the_issue(demo: Path, tmp_path: Path) -> None:
    program = shutil.which("chromium")
    if program is None or shutil.which("pdftotext") is None:
        pytest.skip("chromium or poppler-utils is not installed")
    pdf = tmp_path / "demo.pdf"
    subprocess.run(
        [program, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
         f"--print-to-pdf={pdf}", (demo / "print.html").as_uri()],
        check=True, capture_output=True,
    )  # fmt: skip
    done = subprocess.run(["pdftotext", pdf, "-"], check=True, capture_output=True)
    sheets = done.stdout.decode("utf-8").split("\f")[:-1]
    identity = re.search(r'class="gg-foot"[^>]*>([^<]*)', (demo / "index.html").read_text("utf-8"))
    assert identity
    for number, sheet in enumerate(sheets, 1):
        assert identity[1] in sheet, number
        assert SHEET_LINE.findall(sheet)[-1] == (str(number), str(len(sheets)))
