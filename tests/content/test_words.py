from __future__ import annotations

from pathlib import Path

import pytest

from guidegen.content.files import ContentError, SearchPath
from guidegen.content.headers import INSTRUMENTS, SIGNALS, STAGES
from guidegen.content.words import TOOL_DEEDS, load_words
from guidegen.folders import folder


def test_english_words_are_whole() -> None:
    words = load_words(SearchPath(folder("templates")))
    assert set(words.stages) == set(STAGES)
    assert set(words.signals) == set(SIGNALS)
    assert set(words.instruments) == set(INSTRUMENTS)
    assert set(words.people) == {"B", "C", "L"}
    # Every deed that a step can need a tool for has one.
    assert {deed for tool in words.tools.values() for deed in tool.does} == set(TOOL_DEEDS)


def test_own_words_replace_single_words(tmp_path: Path) -> None:
    (tmp_path / "words").mkdir()
    (tmp_path / "words/en.yaml").write_text("roles:\n  row: {one: strip, many: strips}\n")
    words = load_words(SearchPath(folder("templates"), tmp_path))
    assert words.role("row").many == "strips"
    assert words.role("rail").many == "rails"


def test_a_role_without_words_is_called_by_its_name() -> None:
    words = load_words(SearchPath(folder("templates")))
    assert words.role("spreader_plate").many == "spreader plates"


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("symbols:", "simbols:", r"en.yaml:\d+:1: simbols: unknown key 'simbols'.*'symbols'"),
        (
            "does: [solder]",
            "does: [sodler]",
            r"tools.soldering-iron.does: found 'sodler'.*'solder'",
        ),
        ("many: rows}", "mani: rows}", r"roles.row.mani: unknown key 'mani'.*'many'"),
    ],
)
def test_faults_of_words(tmp_path: Path, old: str, new: str, message: str) -> None:
    text = (folder("templates") / "words/en.yaml").read_text()
    (tmp_path / "words").mkdir()
    (tmp_path / "words/en.yaml").write_text(text.replace(old, new, 1))
    with pytest.raises(ContentError, match=message):
        load_words(SearchPath(tmp_path))


def test_missing_words_are_told(tmp_path: Path) -> None:
    with pytest.raises(ContentError, match=r"templates/words/de.yaml: there is no such file"):
        load_words(SearchPath(tmp_path), "de")
