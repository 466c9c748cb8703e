"""Hostile texts where programs run: a browser, a PDF, a terminal; and what is refused."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
import yaml
from click.testing import CliRunner
from hostile_spec import ABOUT, LINES, WORDS, payload, put, site_of, spec_text

from guidegen.cli import main
from guidegen.errors import GuidegenError, SpecError
from guidegen.publish import pdf
from guidegen.publish.build import folder_of
from guidegen.road import design_of, guide_of
from guidegen.spec import fixture_of
from guidegen.spec.schema import json_schema
from guidegen.units import tidy

FREE = (["string", "number"], ["boolean", "number", "string"])


def free_texts(schema: Any, path: tuple[str, ...] = ()) -> Iterator[str]:
    """Keys of a schema that take any text."""
    if isinstance(schema, dict):
        if schema.get("type") in FREE and not {"enum", "pattern"} & set(schema):
            yield path[-1]
        for key, value in schema.items():
            yield from free_texts(value, (*path, key))
    elif isinstance(schema, list):
        for value in schema:
            yield from free_texts(value, path)


def test_no_text_field_is_forgotten() -> None:
    fields = {path.rpartition(".")[2] for path in LINES}
    words = {*WORDS.values(), "plug", "rating", "trigger", "unit"}
    # `of` names a part of the spec; any other text is refused.
    assert set(free_texts(json_schema())) - {"of"} == fields | words
    assert set(ABOUT) <= set(json_schema()["$defs"]["part"]["properties"])
    spec, said = spec_text("Word{:02d}d".format)
    written = yaml.safe_load(spec)["parts"]
    assert all(any(word in part for part in written.values()) for word in words)
    assert [word for word in said.values() if word not in spec] == []


REFUSED = {
    "\0": "control character 0x00", "a\x1b[2Jb": "control character 0x1b",
    "a\x07": "control character 0x07", "a\x7f": "control character 0x7f",
    "a\x9b31m": "control character 0x9b", "\ufeffa": "control character 0xfeff",
    "a\ufffe": "control character 0xfffe", "a\u202eb": "turns the writing direction",
    "a\u2066b\u2069": "turns the writing direction", "W" * 300: "is too long",
    " ": "nothing stands",
}  # fmt: skip


def refusal(tree: Any) -> str:
    spec = yaml.safe_dump(tree, default_style='"', width=9999, sort_keys=False)
    with pytest.raises(SpecError) as caught:
        fixture_of(spec.encode(), Path("light.yaml"))
    return str(caught.value)


@pytest.mark.parametrize("text", REFUSED, ids=ascii)
def test_what_no_text_may_hold_is_refused_everywhere(text: str) -> None:
    spec, _ = spec_text("Word{:02d}d".format)
    for path in (*LINES, *(f"parts.{key}.{name}" for key in ("screw", "glue") for name in ABOUT)):
        tree = yaml.safe_load(spec)
        put(tree, path, text)
        told = refusal(tree)
        assert re.match(r"light\.yaml:\d+:\d+: ", told), path
        assert REFUSED[text] in told, path
        assert told.count("\n") == 0, path
        assert told.isprintable(), path


@pytest.mark.parametrize("sign", ["\0", "\x1b[2J", "\u202e"], ids=ascii)
def test_keys_and_notes_are_judged_too(sign: str) -> None:
    spec, _ = spec_text("Word{:02d}d".format)
    for word in ("body.board.width", "making.kerf"):
        tree = yaml.safe_load(spec)
        put(tree, word, f"{put(tree, word)} ({sign})")
        assert "Accepted" in refusal(tree)
    tree = yaml.safe_load(spec)
    tree["parts"][f"key{sign}"] = {"like": "mdf"}
    assert "Accepted" in refusal(tree)


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[int, str]]:
    return site_of(lambda number: payload(0, number), tmp_path_factory.mktemp("texts") / "live")


@pytest.fixture(scope="module")
def harmless(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return site_of("Word{:02d}d".format, tmp_path_factory.mktemp("texts") / "plain")[0]


TAGS = "() => [...new Set([...document.querySelectorAll('*')].map(part => part.localName))]"
HANDLERS = """() => [...document.querySelectorAll('*')].flatMap(part => [...part.attributes])
  .filter(one => one.name.startsWith('on') || /^\\s*(javascript|data:text)/i.test(one.value)
    && ['href', 'src', 'action', 'data'].includes(one.name)).map(one => one.name + one.value)"""


def foreign(address: str) -> bool:
    parts = urlsplit(address)
    return parts.scheme not in ("file", "data", "blob") or bool(parts.netloc)


def opened(browser: Any, site: Path) -> tuple[set[str], list[str]]:
    """Names of all elements of a guide, and what happened that must not."""
    tags: set[str] = set()
    found: list[str] = []
    page = browser.new_page()
    page.on("dialog", lambda dialog: (found.append(f"dialog {dialog.message}"), dialog.dismiss()))
    page.on("request", lambda one: foreign(one.url) and found.append(f"asks for {one.url}"))
    for path in sorted(site.glob("*.html")):
        page.goto(path.as_uri())
        tags |= set(page.evaluate(TAGS))
        found += page.evaluate(HANDLERS)
        if page.evaluate("() => 'GGX' in window"):
            found.append(f"{path.name}: a text ran")
    page.goto((site / "index.html").as_uri())
    page.keyboard.press("/")
    page.keyboard.type("revision")
    page.wait_for_selector(".md-search-result__link", state="attached", timeout=9000)
    tags |= set(page.evaluate(TAGS))
    if page.evaluate("() => 'GGX' in window"):
        found.append("search: a text ran")
    page.close()
    return tags, found


def test_no_text_runs_in_a_browser(
    browser: Any, hostile: tuple[Path, dict[int, str]], harmless: Path
) -> None:
    tags, found = opened(browser, hostile[0])
    assert found == []
    # What the theme's search shows its hits with.
    assert tags - opened_tags(browser, harmless) <= {"mark", "details", "summary"}


def opened_tags(browser: Any, site: Path) -> set[str]:
    page, tags = browser.new_page(), set()
    for path in site.glob("*.html"):
        page.goto(path.as_uri())
        tags |= set(page.evaluate(TAGS))
    page.close()
    return tags


def test_a_text_that_runs_is_seen(browser: Any, harmless: Path, tmp_path: Path) -> None:
    """Spoiled on purpose."""
    site = Path(shutil.copytree(harmless, tmp_path / "spoilt"))
    page = site / "index.html"
    live = "<marquee onstart=GGX=1>x</marquee><script>GGX=1</script><img src=//ggx.test/x.png>"
    text = page.read_text(encoding="utf-8").replace("Word01d", live)
    page.write_text(text, encoding="utf-8")
    tags, found = opened(browser, site)
    assert "marquee" in tags
    assert [one for one in found if "index.html: a text ran" in one]
    assert [one for one in found if "ggx.test" in one]
    assert "onstartGGX=1" in found


def test_the_pdf_shows_them_and_does_nothing(hostile: tuple[Path, dict[int, str]]) -> None:
    if shutil.which("pdftotext") is None:
        pytest.skip("poppler-utils is not installed")
    site, words = hostile
    spec = site.parents[1] / "light.yaml"
    guide = guide_of(spec, design_of(spec))
    page = (site / "print.html").read_text(encoding="utf-8")
    # The whole takes a quarter of a minute; these pages have most of the texts.
    others = r'<section class="gg-page" id="page-(?!index|revisions)[\w-]+">.*?</section>\n'
    left_out = re.compile(rf"{others}(?=<sec|</main)", re.DOTALL)
    sheets = pdf.rendered(guide, left_out.sub("", page))
    done = subprocess.run(["pdftotext", "-", "-"], input=sheets.content, capture_output=True,
                          check=True)  # fmt: skip
    text = "".join(done.stdout.decode("utf-8").split())
    for number in (0, 1, 2, 3, 6):  # name, purpose, revision, change, publisher
        assert "".join(tidy(words[number]).split()) in text.replace("\u200b", ""), number
    # Packed letters and pictures hold any three bytes by chance: only objects are looked through.
    objects = STREAM.sub(b"", sheets.content) + b"".join(inflated(sheets.content))
    assert b"/Annots" in objects  # so that what a link could do would be seen too
    does = rb"/(?:JavaScript|JS|Launch|URI|EmbeddedFile|SubmitForm)\b"
    assert re.findall(does, objects) == []
    assert re.findall(does, b"<</S /URI /URI (x)>>") != []


STREAM = re.compile(rb"stream\r?\n(.*?)\r?\nendstream", re.DOTALL)


def inflated(pdf_bytes: bytes) -> Iterator[bytes]:
    """The object streams of a PDF, unpacked."""
    for found in STREAM.finditer(pdf_bytes):
        head = pdf_bytes[max(0, found.start() - 400) : found.start()].rpartition(b" obj")[2]
        if b"/ObjStm" not in head:
            continue
        try:
            yield zlib.decompress(found[1])
        except zlib.error:
            continue


def test_the_terminal_gets_them_as_they_are(hostile: tuple[Path, dict[int, str]]) -> None:
    spec = hostile[0].parents[1] / "light.yaml"
    done = CliRunner().invoke(main, ["check", str(spec), "--json"])
    assert json.loads(done.output)["findings"]
    assert "\x1b" not in done.output
    assert "\x1b" not in CliRunner().invoke(main, ["check", str(spec)]).output


@pytest.mark.parametrize("name", ["..", ".", "a b", "a/b", "a\\b", "a:b", "-a", "<b>", "a.b", "",
                                  "\u202ea", "a\nb", "=1", "%2e", "*", "~"])  # fmt: skip
def test_a_guide_never_gets_a_hostile_folder(name: str, toy: Any, tmp_path: Path) -> None:
    object.__setattr__(toy, "name", name)
    with pytest.raises(GuidegenError, match="Accepted: letters, digits"):
        folder_of(toy, tmp_path)
