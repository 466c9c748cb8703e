from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import zlib
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from guidegen.publish import pdf
from guidegen.publish.build import build
from guidegen.road import design_of, guide_of

TOP = Path(__file__).parents[2]
SPEC = TOP / "specs" / "herbarium-copy-light.yaml"

try:
    pdf.program()
except pdf.MissingError as missing:
    REASON = str(missing)
else:
    REASON = ""
made = pytest.mark.skipif(bool(REASON), reason=REASON)


def insides(content: bytes) -> bytes:
    """The file with every compressed stream unpacked, so that its words can be looked for."""
    streams = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", content, re.DOTALL)
    unpacked = []
    for stream in streams:
        try:
            unpacked.append(zlib.decompress(stream))
        except zlib.error:
            unpacked.append(stream)
    return b"\n".join([content, *unpacked])


def asked(program: str, path: Path, *options: str) -> str:
    """What a program of poppler says of a file."""
    if shutil.which(program) is None:
        pytest.skip(f"{program} is not installed (Debian: poppler-utils)")
    command = [program, *options, str(path), *(["-"] if program == "pdftotext" else [])]
    return subprocess.run(command, check=True, capture_output=True, encoding="utf-8").stdout


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> SimpleNamespace:
    """The demo guide, built with its PDF; nobody may change it."""
    guide = guide_of(SPEC, design_of(SPEC))
    out = tmp_path_factory.mktemp("demo") / guide.name
    said = build(guide, out, pdf=True)
    return SimpleNamespace(guide=guide, said=said, out=out, path=out / f"{guide.name}.pdf")


@made
def test_every_sheet_says_which_guide_it_is_and_where_in_it(demo: SimpleNamespace) -> None:
    sheets = asked("pdftotext", demo.path, "-layout").split("\f")[:-1]
    guide = demo.guide
    assert len(sheets) > len(guide.pages)
    issue = f"revision {guide.revision} · {guide.date.isoformat()} · {guide.fingerprint}"
    for number, sheet in enumerate(sheets, 1):
        head, *_, foot = [line for line in sheet.splitlines() if line.strip()]
        assert guide.title in head
        assert issue in head
        assert f"Page {number} of {len(sheets)}" in foot
    assert asked("pdfinfo", demo.path).count(f"Pages:           {len(sheets)}") == 1


@made
def test_the_cover_shows_the_light_and_its_key_figures(demo: SimpleNamespace) -> None:
    html, drawings = pdf.prepared(demo.guide, (demo.out / "print.html").read_text(encoding="utf-8"))
    cover = html[html.index('<header class="gg-cover') : html.index("</header>")]
    assert re.findall(r'src="([^"]*)"', cover) == ["guide:drawing-1"]
    assert b"var(" not in b"".join(drawings.values())
    first = asked("pdftotext", demo.path, "-l", "1", "-layout")
    for words in (demo.guide.title, "Front: light side", "Full setting", "Mass,"):
        assert words in first
    assert "What the check of this design says" not in first


@made
def test_the_last_sheet_is_the_emergency_block_on_half_a_page(demo: SimpleNamespace) -> None:
    count = int(re.findall(r"Pages: +(\d+)", asked("pdfinfo", demo.path))[0])
    page = asked("pdftotext", demo.path, "-f", str(count), "-bbox")
    height = float(re.findall(r'<page width="[\d.]+" height="([\d.]+)"', page)[0])
    words = re.findall(r'yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)">([^<]+)<', page)
    names = [word for *_, word in words]
    assert {"emergency", "Burn", "Shock", "Extinguisher:"} <= set(names)
    # Between the lines at the head and the foot of every sheet.
    inside = [(float(a), float(b)) for a, b, _ in words
              if 0.06 < float(a) / height < 0.94]  # fmt: skip
    assert max(b for _, b in inside) - min(a for a, _ in inside) < height / 2


@made
def test_rulers_of_the_templates_measure_100_mm_on_paper(demo: SimpleNamespace) -> None:
    """In points of 1/72 in, between the figures that stand at both ends of each ruler."""
    pages = asked("pdftotext", demo.path, "-bbox").split("<page ")[1:]
    word = re.compile(r'xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="[\d.]+">(0|100)<')
    sheets = 0
    for page in pages:
        if ">100.5:<" not in page:
            continue
        sheets += 1
        found = [(float(a), float(b), float(c), d) for a, b, c, d in word.findall(page)]
        low = max(y for _, y, _, _ in found)
        ends = {text: (a + c) / 2 for a, y, c, text in found if abs(y - low) < 1}
        left = min(c for _, _, c, _ in found)
        sides = {text: y for a, y, c, text in found if c < left + 1}
        for first, last in ((ends["0"], ends["100"]), (sides["100"], sides["0"])):
            assert abs((last - first) / 72 * 25.4 - 100) <= 0.5
    drawn = sum(name.startswith("template-") for name in demo.guide.figures)
    assert sheets == drawn > 5


@made
def test_the_contents_give_the_sheet_of_every_page(demo: SimpleNamespace) -> None:
    sheets = asked("pdftotext", demo.path, "-layout").split("\f")[:-1]
    rows = re.findall(r"^ *\d+\. (.+?)\s*\.{3,}\s*(\d+)$", sheets[1], re.MULTILINE)
    assert [title for title, _ in rows] == [page.title for page in demo.guide.pages]
    for (_, number), page in zip(rows, demo.guide.pages, strict=True):
        heading = page.title if page.uri == "index.md" else first_heading(page.markdown)
        assert heading in sheets[int(number) - 1]


def first_heading(markdown: str) -> str:
    return next(line[2:].strip() for line in markdown.splitlines() if line.startswith("# "))


@made
def test_nothing_is_left_out_and_nothing_leads_nowhere(demo: SimpleNamespace, toy: Any) -> None:
    assert demo.said == []
    page = (demo.out / "print.html").read_text(encoding="utf-8")
    sheets = pdf.rendered(toy, '<html lang="en"><head></head><body><a href="#gone">x</a></body>')
    assert len(sheets.notes) == 1
    assert "gone" in sheets.notes[0]
    assert page.count("<svg role=") == len(pdf.prepared(demo.guide, page)[1])


@made
def test_no_step_box_or_row_is_cut_by_the_end_of_a_sheet(demo: SimpleNamespace, toy: Any) -> None:
    """`rendered` tells what is cut, and the demo's notes are empty; here is what it tells of."""
    page = (demo.out / "print.html").read_text("utf-8")
    assert re.search(r'class="gg-step [^"]*gg-tall"', page)
    assert re.search(r'class="gg-again gg-paper">[\d.]+ .+, continued<', page)
    lines = "<p>A line.</p>" * 90
    for name, told in (("gg-step", 1), ("gg-step gg-tall", 0), ("gg-caution", 1), ("gg-part", 1)):
        html = f'<html lang="en"><head></head><body><div class="{name}">{lines}</div></body></html>'
        notes = pdf.rendered(toy, html).notes
        assert len(notes) == told, name
        assert all("runs from sheet 1 to sheet 2" in note for note in notes)


@made
def test_fonts_are_the_project_s_own_and_embedded(demo: SimpleNamespace) -> None:
    rows = asked("pdffonts", demo.path).splitlines()[2:]
    assert len(rows) >= 3
    for row in rows:
        # name, type (two words), encoding, embedded, subset, unicode
        assert re.match(r"[A-Z]{6}\+gg-(sans|mono)\S* +CID TrueType +\S+ +yes yes yes", row), row


@made
def test_it_is_tagged_and_has_bookmarks(demo: SimpleNamespace) -> None:
    inside = insides(demo.path.read_bytes())
    assert re.search(rb"/MarkInfo\s*<<\s*/Marked true", inside)
    # ISO 14289-1 (PDF/UA-1), clauses 5, 7.1 and 7.2: its mark, a title that shows, a language.
    assert b"pdfuaid:part" in inside
    assert b"/DisplayDocTitle true" in inside
    assert b"/Lang (en)" in inside
    drawings = (demo.out / "print.html").read_text("utf-8").count("<svg role=")
    assert len(re.findall(rb"/S /Figure\b", inside)) == drawings > 20
    assert len(re.findall(rb"/Alt[ (<]", inside)) == drawings
    titles = re.findall(rb"/Title \(([^)]*)\)", inside)
    for words in (b"Overview", b"Stage 1: Prepare", b"Workings", b"Contents"):
        assert words in titles


@made
def test_a_step_keeps_its_drawing_and_a_table_its_head(demo: SimpleNamespace) -> None:
    sheets = asked("pdftotext", demo.path, "-layout").split("\f")[:-1]
    steps = re.findall(r"^ *(\d\.\d+ .+)$", "\n".join(sheets), re.MULTILINE)
    assert len(steps) > 20
    for sheet, after in pairwise([*sheets, ""]):
        if "New parts in strong line" in sheet:
            found = re.search(r"^ *(\d\.\d+) .*?New parts in strong line(.*?^ *1\. )?", sheet,
                              re.DOTALL | re.MULTILINE)  # fmt: skip
            assert found, sheet
            # Where no sheet holds both, the words begin on the next one, under the same heading.
            again = rf"^ *{re.escape(found[1])} [^\n]*(\n[^\n]+)?continued\s+1\. "
            assert found[2] or re.search(again, after, re.MULTILINE), (sheet, after)
    schedule = [sheet for sheet in sheets if re.search(r"^ *W\d+ +\S+ ?→", sheet, re.MULTILINE)]
    assert len(schedule) >= 2
    assert all(re.search(r"Wire +From → to +What", sheet) for sheet in schedule)


POISON = {
    "image": '<img alt="a" src="https://example.org/a.png">',
    "file": '<img alt="a" src="file:///etc/hostname">',
    "local": '<img alt="a" src="http://127.0.0.1:9/x.svg">',
    "style sheet": '<link rel="stylesheet" href="https://example.org/a.css">',
    "import": "<style>@import url(https://example.org/a.css);</style>",
    "background": '<p style="background-image: url(file:///etc/hostname)">a</p>',
    "attachment": '<link rel="attachment" href="file:///etc/hostname">',
    "own folder": '<img alt="a" src="guide:../../etc/hostname.ttf">',
    "object": '<object data="file:///etc/hostname"></object>',
    "in a drawing": "<img alt='a' src=\"data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/"
    "svg' viewBox='0 0 9 9'%3E%3Cimage href='file:///etc/hostname' width='9' height='9'/%3E"
    '%3C/svg%3E">',
}


@pytest.fixture(scope="session")
def toy_page(toy_site: Path) -> str:
    return (toy_site / "print.html").read_text(encoding="utf-8")


@made
@pytest.mark.parametrize("poison", POISON.values(), ids=POISON)
def test_nothing_foreign_is_fetched(
    poison: str, toy: Any, toy_page: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[str] = []

    def watch(event: str, arguments: tuple[Any, ...]) -> None:
        if event == "open" and "hostname" in str(arguments[0]):
            opened.append(str(arguments[0]))
        if event in ("socket.connect", "socket.getaddrinfo", "urllib.Request"):
            opened.append(f"{event} {arguments}")

    hook: Callable[[str, tuple[Any, ...]], None] = watch
    monkeypatch.setattr(sys.modules[__name__], "WATCH", hook)
    sheets = pdf.rendered(toy, toy_page.replace("</main>", f"{poison}</main>"))
    assert opened == []
    if poison != POISON["in a drawing"]:
        assert any("not a file of this guide" in note for note in sheets.notes)
    assert b"/EmbeddedFile" not in insides(sheets.content)


WATCH: Callable[[str, tuple[Any, ...]], None] = lambda event, arguments: None  # noqa: E731


def _hook(event: str, arguments: tuple[Any, ...]) -> None:
    WATCH(event, arguments)


sys.addaudithook(_hook)  # can't be taken off again, so it asks the test that runs


def test_the_watch_sees_a_file_that_is_opened(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[str] = []
    monkeypatch.setattr(
        sys.modules[__name__], "WATCH", lambda event, a: event == "open" and seen.append(str(a[0]))
    )
    Path(__file__).read_bytes()
    assert __file__ in seen


@made
def test_links_out_of_the_guide_are_live_only_to_the_web(toy: Any, toy_page: str) -> None:
    links = "".join(
        f'<a href="{address}">a</a>'
        for address in ("https://example.org/", "javascript:alert(1)", "file:///etc/hosts", "a.csv")
    )
    content = pdf.rendered(toy, toy_page.replace("</main>", f"{links}</main>")).content
    assert re.findall(rb"/URI \(([^)]*)\)", insides(content)) == [b"https://example.org/"]


@made
def test_the_same_page_gives_the_same_bytes(toy: Any, toy_page: str) -> None:
    first = pdf.rendered(toy, toy_page).content
    assert pdf.rendered(toy, toy_page).content == first
    assert pdf.rendered(replace(toy, fingerprint="ffff"), toy_page).content != first


PROGRAM = """
import sys
sys.path[:0] = [sys.argv[1]]
from itertools import pairwise
from pathlib import Path
from conftest import ToyGuide
from guidegen.publish import pdf
if sys.argv[3] == "python":  # a machine without HarfBuzz's own library for subsets
    pdf.program().pdf.fonts.harfbuzz_subset = None
page = Path(sys.argv[2]).read_text(encoding="utf-8")
sys.stdout.buffer.write(pdf.rendered(ToyGuide(), page).content)
"""


@made
@pytest.mark.parametrize("subsets", ["harfbuzz", "python"])
def test_another_year_and_a_machine_without_fonts_give_the_same_bytes(
    subsets: str, toy_site: Path, tmp_path: Path
) -> None:
    if shutil.which("faketime") is None:
        pytest.skip("faketime is not installed")
    bare = tmp_path / "fonts.conf"
    bare.write_text(f"<fontconfig><cachedir>{tmp_path}</cachedir></fontconfig>", encoding="utf-8")
    here, page = str(Path(__file__).parent), str(toy_site / "print.html")
    command = [sys.executable, "-c", PROGRAM, here, page, subsets]
    home = {**os.environ, "PYTHONPATH": str(TOP)}
    away = {**home, "TZ": "Pacific/Kiritimati", "PYTHONHASHSEED": "4711",
            "FONTCONFIG_FILE": str(bare), "SOURCE_DATE_EPOCH": "7"}  # fmt: skip
    first = subprocess.run(command, check=True, capture_output=True, env=home)
    # Two years ahead, in another zone, with other hashes, and no font but those we bring.
    other = subprocess.run(
        ["faketime", "-f", "+2y", *command], check=True, capture_output=True, env=away
    )
    assert first.stdout[:5] == b"%PDF-"
    assert other.stdout == first.stdout
    assert other.stderr == b""


@made
@pytest.mark.parametrize(("paper", "size"), [("A4", (595.276, 841.89)), ("Letter", (612, 792))])
def test_paper(
    toy: Any, tmp_path: Path, paper: str, size: tuple[float, float]
) -> None:  # ISO 216: 210 by 297 mm; ANSI/ASME Y14.1: 8.5 by 11 in; in points of 1/72 in
    guide = replace(toy, paper=paper)
    build(guide, tmp_path / "toy", pdf=True)
    found = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]",
                      insides((tmp_path / "toy" / "toy.pdf").read_bytes()))  # fmt: skip
    assert found
    assert [float(side) for side in found.groups()] == pytest.approx(size, abs=0.1)


@made
def test_a_stopped_guide_says_so_on_every_sheet(toy: Any, toy_page: str, tmp_path: Path) -> None:
    path = tmp_path / "stop.pdf"
    path.write_bytes(pdf.rendered(replace(toy, stop=True), toy_page).content)
    for sheet in asked("pdftotext", path, "-layout").split("\f")[:-1]:
        assert "Do not build: a check has failed" in sheet


@made
def test_a_name_of_300_letters_and_one_without_a_space(toy: Any, toy_page: str) -> None:
    guide = replace(toy, title='<b>"x" | `y` {{ z }} ' + "long " * 60)
    word = "w" * 300
    page = toy_page.replace("</main>", f"<table><tr><td>{word}</td></tr></table></main>")
    html, _ = pdf.prepared(guide, page)
    longest = max(map(len, re.findall(r"w+", html[html.index("<main") :])))
    assert longest == 30
    assert pdf.rendered(guide, page).notes == ()


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (ModuleNotFoundError("No module named 'weasyprint'"), "pip install 'weasyprint>=68'"),
        (OSError("cannot load library 'libpango-1.0-0'"), "apt install libpango-1.0-0"),
    ],
)
def test_where_it_can_t_be_made_one_line_says_how_to_get_it(
    error: Exception,
    words: str,
    toy: Any,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    def importing(name: str) -> Any:
        print("nine lines of advice")  # noqa: T201 - as that program does
        raise error

    monkeypatch.setattr(pdf.importlib, "import_module", importing)
    said = build(toy, tmp_path / "toy", pdf=True)
    assert len(said) == 1
    assert said[0].startswith("toy.pdf is not made: ")
    assert words in said[0]
    assert "\n" not in said[0]
    assert (tmp_path / "toy" / "index.html").is_file()
    assert not (tmp_path / "toy" / "toy.pdf").exists()
    assert capfd.readouterr() == ("", "")


@made
def test_a_page_that_it_fails_on_is_one_sentence_and_the_old_guide_stays(
    toy: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "toy"
    build(toy, out)
    before = (out / "index.html").read_bytes()
    failing = SimpleNamespace(HTML=lambda **_: 1 / 0, urls=pdf.program().urls)
    monkeypatch.setattr(pdf, "program", lambda: failing)
    with pytest.raises(pdf.PublishError, match=r"toy\.pdf can't be made: ZeroDivisionError.*--no"):
        build(replace(toy, title="Other"), out, pdf=True)
    assert (out / "index.html").read_bytes() == before


def test_without_the_wish_there_is_none(toy_site: Path) -> None:
    assert not list(toy_site.glob("*.pdf"))
