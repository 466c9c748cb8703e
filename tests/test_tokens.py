"""Every number of a guide comes from the one function that writes numbers.

Guides are made with that function silenced: whatever digit is left was
typed by hand. Texts of the spec, the catalogue and cited sources, references of parts, and the
listed literals may keep theirs.
"""

from __future__ import annotations

import html
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from guidegen import values
from guidegen.content.files import search_path
from guidegen.content.words import load_words
from guidegen.design import settle
from guidegen.guide import workings
from guidegen.guide.model import Guide
from guidegen.kinds import Kind
from guidegen.road import guide_of
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.spec.parts import catalogue_part
from guidegen.values import Given, Result, Value

SPEC = Path(__file__).parents[1] / "specs" / "herbarium-copy-light.yaml"
LISTED = Path(__file__).with_name("allowed_literals.txt")
TOKEN = "⟦…⟧"
REFERENCE = re.compile(r"\b(?:[A-Z]{1,2}\d{1,3}|HP[1-4])(?::[A-Z0-9]+[+−-]?)?(?!\w|\.\d)")

#: A step is named after the word, or in a cell that holds nothing else.
STEP = re.compile(
    r"(?:\bstep[ \u00a0]|(?<=[|,] ))(\d\.\d+)(?!\d|\.\d)"
    r"(?![ \u00a0](?:[kmµn]?[AVWΩ]|k?g|[cm]?m|°C|%|l[xm]|s|h|min)\b)"
)


@dataclass(frozen=True)
class Allowed:
    """A literal that may stand in a guide."""

    pages: str
    """Names of pages, or `*`; `figures` for the words of drawings."""
    pattern: re.Pattern[str]
    reason: str

    def fits(self, page: str) -> bool:
        return self.pages == "*" or page in self.pages.split()


def listed() -> list[Allowed]:
    lines = LISTED.read_text(encoding="utf-8").splitlines()
    rows = [line.split("\t") for line in lines if line and not line.startswith("#")]
    return [Allowed(pages, re.compile(pattern, re.M), reason) for pages, pattern, reason in rows]


#: Between them they show nearly every sentence that there is.
FIXTURES: dict[str, dict[str, str]] = {
    "demonstration": {},
    "battery": {
        "supplies.1": "{battery: lifepo4-4s-20ah, chain: [{fuse: fuse-blade-58v, rating: auto}]}",
        "chain.fuse": "none",
        "chain.cut_off": "cut-off-12v-20a",
        "use.surroundings": "[public, air travel, damp]",
    },
}


#: The other demonstration specs.
DEMOS = ("puppet-wash-light",)


def silent_guide(changes: dict[str, str], spec: Path = SPEC) -> Guide:
    """A guide with every number that was computed silenced."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Kind, "text", lambda *_, **__: TOKEN)
        patch.setattr(Kind, "si_text", lambda *_, **__: TOKEN)
        # It reads the printed numbers back, which tokens can't be.
        for module in (values, workings):
            patch.setattr(module, "printed_inputs", _silent_inputs)
        guide = guide_of(spec, settle(changed(load(spec), changes), mends=not changes))
    assert isinstance(guide, Guide)
    return guide


def _silent_inputs(value: Result) -> dict[str, str]:
    return {name: TOKEN for name, item in value.inputs.items() if isinstance(item, Value)}


@pytest.fixture(scope="module")
def guides() -> dict[str, Guide]:
    found = {name: silent_guide(changes) for name, changes in FIXTURES.items()}
    return found | {name: silent_guide({}, SPEC.parent / f"{name}.yaml") for name in DEMOS}


@pytest.fixture
def guide(guides: dict[str, Guide]) -> Guide:
    return guides["demonstration"]


def texts(guide: Guide) -> Iterator[tuple[str, str]]:
    """Page name and the words that a reader sees on it."""
    for page in guide.pages:
        yield page.uri, words_of(page.markdown)
    for figure in guide.figures.values():
        for text in re.findall(r"<text[^>]*>(.*?)</text>", figure.svg, re.DOTALL):
            yield "figures", words_of(text)
        yield "figures", figure.alt
        yield "figures", figure.caption


def words_of(markdown: str) -> str:
    """The text without tags, links, anchors, files and the numbers of a list."""
    text = re.sub(r"(?<=\])\([^)\n]*\)", "", markdown)
    # The numbers in a formula are the law's own: the formula is its source text.
    text = re.sub(r'<span class="gg-sum">.*?</span>', " ", text)
    text = html.unescape(re.sub(r"<[^>]*>", " ", text))
    # Numbers of a list, of a stage and of a step at the head of its own lines.
    return re.sub(r"^\s*\d+\. |(?<=^## Stage )\d|(?<=^### )\d\.\d+ ", "", text, flags=re.M)


def cited(guide: Guide) -> list[str]:
    """Texts that were typed by the maker, the catalogue or a source, the longest first."""
    design = guide.design
    words = load_words(search_path())
    found = {guide.title, design.fixture.fixture.purpose, guide.fingerprint, str(guide.date)}
    found |= {value.source for value in design.values.values() if isinstance(value, Given)}
    found |= {part.material for part in design.model.parts}
    found |= {part.rating for part in design.model.parts}
    for part in design.model.parts:
        if part.key:
            known = catalogue_part(part.key)
            found |= {known.label, *known.words.values()}
    found |= {wire.material for wire in design.model.conductors}
    for finding in design.findings:
        for mend in finding.mends:
            found |= {f"{path}: {text}" for path, text in mend.changes.items()}
    cutting = design.result("making")
    found |= {work.part.label for work in (*cutting.sheets, *cutting.bars)}
    found.add(design.fixture.rows.tape.label)
    for one in workings.workings(design, words, search_path()):
        found |= {one.described, one.source, one.what}
    pieces = {" ".join(piece.split()) for text in found for piece in text.split(TOKEN)}
    # A bare `3 mm` would hide others of its kind.
    return sorted((piece for piece in pieces if re.search(r"\d", piece) and len(piece) > 9),
                  key=len, reverse=True)  # fmt: skip


def left_over(guide: Guide, allowed: list[Allowed], used: Counter[str]) -> list[str]:
    """Digits that nothing explains, with what stands around them."""
    known = cited(guide)
    steps = {step.number for step in guide.steps}
    found = []
    for page, text in texts(guide):
        plain = re.sub(r"[^\S\n\u00a0\u202f]+", " ", text)
        plain = re.sub(re.escape(guide.design.fixture.file) + r"(?::\d+)?", "", plain)
        if page == "figures":
            # A drawing keeps the numbers of a label with their units.
            plain = re.sub(r"(?<=[\d.])\u00a0(?=[a-zA-Z%°Ω/²]+\b)", " ", plain)
        for one in known:
            plain = plain.replace(one, "")
        plain = STEP.sub(lambda found: "" if found[1] in steps else found[0], plain)
        plain = REFERENCE.sub("", plain)
        for entry in allowed:
            if entry.fits(page):
                plain, count = entry.pattern.subn("", plain)
                used[entry.pattern.pattern] += count
        found += [f"{page}: …{hit[0]}…" for hit in re.finditer(r".{0,30}\d.{0,20}", plain)]
    return found


@pytest.mark.parametrize("name", [*FIXTURES, *DEMOS])
def test_no_number_of_a_page_was_typed_by_hand(guides: dict[str, Guide], name: str) -> None:
    assert left_over(guides[name], listed(), Counter()) == []


def test_every_literal_of_the_list_is_used_and_explained(guides: dict[str, Guide]) -> None:
    used: Counter[str] = Counter()
    for guide in guides.values():
        left_over(guide, listed(), used)
    for entry in listed():
        assert len(entry.reason) > 15, entry.pattern.pattern
        assert used[entry.pattern.pattern], f"{entry.pattern.pattern!r} stands nowhere any more"


def test_tokens_stand_where_numbers_stood(guide: Guide, site_guide: Any) -> None:
    """The pages that were searched are the pages that are published."""
    for silent, spoken in zip(guide.pages, site_guide.pages, strict=True):
        lines, published = silent.markdown.splitlines(), spoken.markdown.splitlines()
        assert silent.uri == spoken.uri
        # Lines that differ in nothing but their numbers are one line there.
        assert 0.9 * len(published) < len(lines) <= len(published), silent.uri
    assert sum(page.markdown.count(TOKEN) for page in guide.pages) > 1000


@pytest.mark.parametrize("typed", ["2.7 A", "at least 5 mm", "12"])
def test_a_typed_number_is_found(guide: Guide, typed: str) -> None:
    """Spoiled on purpose."""
    page = guide.pages[8]
    spoiled = type(page)(page.uri, page.title, f"{page.markdown}\n\nThe panel takes {typed}.\n")
    pages = (*guide.pages[:8], spoiled, *guide.pages[9:])
    copy = Guide(**{**vars(guide), "pages": pages})
    assert any("panel takes" in one for one in left_over(copy, listed(), Counter()))
