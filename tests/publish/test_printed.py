from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from guidegen.publish.build import build
from guidegen.publish.printed import document, joined, quoted


class Asked(HTMLParser):
    """Everything in a page that a browser would fetch."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = ("src", "srcset", "data", "poster") + (("href",) if tag in ("link", "use") else ())
        self.found += [value for key, value in attrs if key in names and value]


def test_the_print_file_asks_for_nothing(toy_site: Path) -> None:
    text = (toy_site / "print.html").read_text(encoding="utf-8")
    assert [address for address in Asked(text).found if not address.startswith("#")] == []
    styles = text[text.index("<style>") : text.index("</style>")]
    assert "@import" not in styles
    assert all(address.startswith('"data:') for address in re.findall(r"url\(([^)]*)", styles))
    assert Asked(text.replace("<h1", '<img src="a.png"><h1', 1)).found == ["a.png"]


def test_the_cover_says_what_the_guide_is_not(toy_site: Path) -> None:
    text = (toy_site / "print.html").read_text(encoding="utf-8")
    cover = text[text.index('<header class="gg-cover">') : text.index("</header>")]
    assert "A toy is no &lt;certified&gt; light." in cover


def test_the_emergency_block_stands_once_more_at_the_very_end(toy_site: Path) -> None:
    text = (toy_site / "print.html").read_text(encoding="utf-8")
    blocks = re.findall(r'<section class="gg-emergency".*?</section>', text, re.DOTALL)
    assert len(blocks) == 2
    assert blocks[0] == blocks[1]
    assert "Pull the plug" in blocks[1]
    # Nothing but closing tags comes after it, and a sheet of its own begins with it.
    assert re.sub(r"\s|</[a-z]+>", "", text.rsplit("</section>", 1)[1]) == ""
    assert ".gg-back { break-before: page; }" in text


def test_it_holds_every_page_in_order_with_its_drawings(toy_site: Path, toy: Any) -> None:
    text = (toy_site / "print.html").read_text(encoding="utf-8")
    sections = re.findall(r'<section class="gg-page" id="([^"]*)"', text)
    assert sections == ["page-index", "page-safety", "page-steps-frame"]
    assert text.count("<svg") == sum(page.markdown.count("figures/") for page in toy.pages)
    assert "zebrasaw" in text


def test_links_lead_to_places_in_the_file(toy_site: Path) -> None:
    text = (toy_site / "print.html").read_text(encoding="utf-8")
    identifiers = re.findall(r'\sid="([^"]*)"', text)
    assert len(set(identifiers)) == len(identifiers)
    links = re.findall(r'<a\b[^>]*href="([^"]*)"', text)
    assert "#page-steps-frame--step-1-1" in links
    for link in links:
        assert link in ("guide.json", "print.html") or link[1:] in identifiers


def test_links_from_a_folder_below(toy: Any) -> None:
    pages = {"index.html": "index.md", "steps/frame.html": "steps/frame.md"}
    html = '<a href="../index.html#a">A</a> <a href="#b">B</a> <a href="../cuts.csv">C</a>'
    assert re.findall('href="([^"]*)"', joined(html, "steps/frame.md", pages)) == [
        "#page-index--a", "#page-steps-frame--b", "cuts.csv",
    ]  # fmt: skip


def test_hostile_names_stay_text_in_the_style_sheet() -> None:
    assert quoted('a"} </style>\\') == '"a\\000022\\00007d \\00003c\\00002fstyle\\00003e\\00005c"'


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_sheet_names_the_issue(toy: Any, tmp_path: Path, paper: str) -> None:
    program = shutil.which("chromium")
    if program is None or shutil.which("pdftotext") is None:
        pytest.skip("chromium or poppler-utils is not installed")
    build(replace(toy, paper=paper), tmp_path / "toy")
    pdf = tmp_path / "toy.pdf"
    subprocess.run(
        [program, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
         f"--print-to-pdf={pdf}", (tmp_path / "toy" / "print.html").as_uri()],
        check=True, capture_output=True,
    )  # fmt: skip
    text = subprocess.run(
        ["pdftotext", "-layout", pdf, "-"], check=True, capture_output=True, encoding="utf-8"
    ).stdout
    sheets = text.split("\f")[:-1]
    assert len(sheets) >= 4
    for number, sheet in enumerate(sheets, 1):
        # How wide a space is, pdftotext guesses anew on every sheet.
        assert "Toy&<light>·revision2·2026-03-01·0a1b2c3d" in "".join(sheet.split())
        assert f"Page {number} of {len(sheets)}" in sheet
    size = subprocess.run(["pdfinfo", pdf], check=True, capture_output=True, encoding="utf-8")
    # ISO 216: A4 is 210 by 297 mm; ANSI/ASME Y14.1: letter is 8.5 by 11 in. In points of 1/72 in.
    wide, high = (210 / 25.4 * 72, 297 / 25.4 * 72) if paper == "A4" else (612, 792)
    found = re.search(r"Page size: +([\d.]+) x ([\d.]+)", size.stdout)
    assert found
    assert [float(found[1]), float(found[2])] == pytest.approx([wide, high], abs=1)


def test_a_page_that_was_not_made_is_left_out(toy: Any) -> None:
    text = document(toy, {"index.md": "<h1>Only</h1>"}, {})
    assert "page-safety" not in text
