"""Whatever a spec's text fields say is shown as text: in no file of a guide does it live.

A guide whose text fields hold harmless words is the measure. A hostile guide must have its
elements and attributes, one for one, and its words with the hostile ones in their places.
"""

from __future__ import annotations

import csv
import io
import json
import os
import re
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from hostile_spec import PAYLOADS, payload, site_of

from guidegen.guide import sheets
from guidegen.units import tidy

SLOT = re.compile(r"Word(\d\d)d", re.IGNORECASE)
#: Signs without a width of their own.
UNDRAWN = ("Cf", "Co", "Cn")


@dataclass
class Apart:
    """A file as the program that opens it takes it apart."""

    elements: list[Any] = field(default_factory=list)
    words: str = ""
    #: Sorts of elements in drawings; how many there are depends on how long a text is.
    drawn: set[tuple[str, ...]] = field(default_factory=set)
    #: What drawings say; they cut a text where they have no room for it.
    written: str = ""


class Seen(HTMLParser):
    """A page as a browser takes it apart: elements with their attributes, and all text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, ...]] = []
        self.drawn: set[tuple[str, ...]] = set()
        self.words: list[str] = []
        self.written: list[str] = []
        self.inside = 0
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.inside += tag == "svg"
        words = self.written if self.inside else self.words
        whole = (tag, *(name for name, _ in attrs))
        for name, value in attrs:
            if value and name in ("alt", "title", "aria-label", "content", "value"):
                words.append(f" {value} ")
            if value and name in ("href", "src", "action", "data", "xlink:href"):
                whole += (value.partition(":")[0] if ":" in value else "own",)
        self._add(whole)

    def _add(self, whole: tuple[str, ...]) -> None:
        if self.inside:
            self.drawn.add(whole)
        else:
            self.elements.append(whole)

    def handle_endtag(self, tag: str) -> None:
        self._add((f"/{tag}",))
        self.inside -= tag == "svg"
        self.words.append(" ")

    def handle_data(self, data: str) -> None:
        if self.cdata_elem == "style":  # a text in the margins of the sheets
            data = re.sub(r"\\([0-9a-f]{6})", lambda sign: chr(int(sign[1], 16)), data)
        (self.written if self.inside else self.words).append(data)

    def handle_comment(self, data: str) -> None:
        self._add(("comment",))

    def handle_decl(self, decl: str) -> None:
        self._add(("declaration", decl))

    unknown_decl = handle_comment
    handle_pi = handle_comment


def plain(words: list[str]) -> str:
    """As it reads: a caption begins with a capital, and leaves out signs without a width."""
    shown = (sign for sign in "".join(words) if unicodedata.category(sign) not in UNDRAWN)
    return " ".join("".join(shown).split()).casefold()


def page(text: str) -> Apart:
    seen = Seen(text)
    return Apart(seen.elements, plain(seen.words), seen.drawn, "".join(seen.written))


def drawing(text: str) -> Apart:
    parts = list(ElementTree.fromstring(text).iter())
    words = "".join(f"{part.text or ''}{part.get('aria-label', '')}" for part in parts)
    return Apart(drawn={(part.tag, *sorted(part.keys())) for part in parts}, written=words)


def leaves(record: Any) -> Iterator[tuple[str, str]]:
    """Every key and every text of a record, and of what sort it is."""
    if isinstance(record, dict):
        for key, value in record.items():
            yield ("key", key)
            yield from leaves(value)
    elif isinstance(record, list):
        for value in record:
            yield from leaves(value)
    else:
        yield (type(record).__name__, str(record))


def data(text: str) -> Apart:
    found = list(leaves(json.loads(text)))
    return Apart([kind for kind, _ in found], plain([f" {value} " for _, value in found]))


def index(text: str) -> Apart:
    docs = json.loads(text)["docs"]
    pages = [page(f"<title>{one['title']}</title>{one['text']}") for one in docs]
    return Apart([one.elements for one in pages], " ".join(one.words for one in pages))


def table(text: str) -> Apart:
    rows = list(csv.reader(io.StringIO(text)))
    formulas = [cell for row in rows for cell in row if cell.startswith(tuple("=+-@"))]
    return Apart([formulas, *map(len, rows)], plain([f" {c} " for row in rows for c in row]))


READERS: dict[str, Callable[[str], Apart]] = {
    ".html": page, ".svg": drawing, ".csv": table, ".json": data,
}  # fmt: skip


def taken_apart(site: Path) -> dict[str, Apart]:
    found: dict[str, Apart] = {}
    issue = json.loads((site / ".guidegen.json").read_text(encoding="utf-8"))["fingerprint"]
    for path in sorted(site.rglob("*")):
        name = path.relative_to(site).as_posix()
        if path.is_file() and path.suffix in READERS and path.name != ".guidegen.json":
            read = index if name.startswith("search/") else READERS[path.suffix]
            found[name] = read(path.read_text(encoding="utf-8").replace(issue, "issue"))
    return found


def differing(site: Path, measure: dict[str, Apart], words: dict[int, str]) -> list[str]:
    """Where a hostile guide is made otherwise than the harmless one, or loses a text."""
    found, hostile = [], taken_apart(site)
    assert set(hostile) == set(measure)
    for name, seen in hostile.items():
        made = measure[name]
        expected = plain([SLOT.sub(lambda slot: tidy(words[int(slot[1])]), made.words)])
        if seen.elements != made.elements:
            found.append(f"{name}: is made otherwise: {first(seen.elements, made.elements)}")
        if seen.words != expected:
            found.append(f"{name}: says otherwise: {first(seen.words, expected)}")
        if more := seen.drawn - made.drawn:
            found.append(f"{name}: draws {more}")
        lost = {slot for slot in SLOT.findall(made.written)
                if start(words[int(slot)]) not in bare(seen.written)}  # fmt: skip
        if lost:
            found.append(f"{name}: does not write {[words[int(slot)] for slot in lost]}")
    return found


def bare(text: str) -> str:
    return "".join(plain([text]).split())


def start(text: str) -> str:
    """What a drawing shows of a text, however little room it has."""
    return bare(tidy(text))[:8]


def first(one: Any, other: Any) -> str:
    place = next((n for n, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), 0)
    begin = max(place - 20, 0)
    return f"{one[begin : place + 60]!r} for {other[begin : place + 60]!r}"


def harmless(number: int) -> str:
    return f"Word{number:02d}d"


@pytest.fixture(scope="module", autouse=True)
def unbroken() -> Iterator[None]:
    """No step is broken on paper: where that is depends on how long a text is."""
    with pytest.MonkeyPatch.context() as patch:
        whole = sheets.Parts(False, False, False)
        patch.setattr(sheets, "tall",
                      lambda steps, figures, paper: {step.id: whole for step in steps})  # fmt: skip
        yield


@pytest.fixture(scope="module")
def measure(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Apart]:
    site, _ = site_of(harmless, tmp_path_factory.mktemp("texts") / "plain")
    return taken_apart(site)


#: Three of the payloads reach each field, and each payload some field; all of all on request.
TURNS = range(len(PAYLOADS)) if os.environ.get("GUIDEGEN_THOROUGH") else (0, 43, 86)


@pytest.mark.parametrize("turn", TURNS)
def test_every_text_stays_text(turn: int, measure: Any, tmp_path: Path) -> None:
    site, words = site_of(lambda number: payload(turn, number), tmp_path / "hostile")
    found = differing(site, measure, words)
    assert not found, "\n".join(found)
