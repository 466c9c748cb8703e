from __future__ import annotations

from pathlib import Path

import pytest

from guidegen.content.files import ContentError, SearchPath, mapping, read, search_path
from guidegen.folders import folder


def put(home: Path, name: str, text: str | bytes) -> SearchPath:
    file = home / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return SearchPath(home)


def test_header_and_body_keep_their_lines(tmp_path: Path) -> None:
    search = put(tmp_path, "steps/a.md", "---\ngoal: Done\ndoes:\n- {fits: row}\n---\n1. Fit.\n")
    raw = read(search, "steps/a.md", tmp_path / "steps/a.md")
    assert raw.header == {"goal": "Done", "does": [{"fits": "row"}]}
    assert (raw.body, raw.body_line) == ("1. Fit.", 6)
    assert str(raw.place("does", 0, "fits")) == "templates/steps/a.md:4:4"


def test_a_file_without_header_is_all_body(tmp_path: Path) -> None:
    search = put(tmp_path, "findings/a.md", "The {{ found }}.\n")
    raw = read(search, "findings/a.md", tmp_path / "findings/a.md")
    assert (raw.header, raw.body_line) == ({}, 1)


def test_the_words_of_a_key_on_the_next_line_have_that_line(tmp_path: Path) -> None:
    search = put(tmp_path, "steps/a.md", "---\ngoal: >\n  {{ v.x }}\n---\n")
    assert read(search, "steps/a.md", tmp_path / "steps/a.md").place("goal").line == 3


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("---\ngoal: x\n", r"steps/a.md:1:1: the header that begins here has no closing '---'"),
        ("---\ngoal: x\ngoal: y\n---\n", r"steps/a.md:3:1: 'goal' appears twice"),
        ("---\n- x\n---\n", r"steps/a.md:2:1: must be 'key: value' lines"),
        ("---\na: [\n---\n", r"steps/a.md:\d+:\d+: is not YAML"),
        ("---\na: &x [1]\nb: [*x, *x]\n---\n", r"steps/a.md:3:5: aliases"),
        (b"---\na: \xff\n---\n", r"steps/a.md: is not UTF-8 text \(byte 7\)"),
    ],
)
def test_faults_of_a_file(tmp_path: Path, text: str | bytes, message: str) -> None:
    search = put(tmp_path, "steps/a.md", text)
    with pytest.raises(ContentError, match=message):
        read(search, "steps/a.md", tmp_path / "steps/a.md")


@pytest.mark.parametrize("word", ["on", "off", "yes", "no", "12:30", "1e3", "0x10"])
def test_words_that_yaml_itself_would_convert_stay_words(word: str) -> None:
    assert mapping(f"a: {word}", "f")[0] == {"a": word}


def test_numbers_and_truth_are_read() -> None:
    text = "a: 5\nb: 1.5\nc: true\nd: '5'\ne: -2\n"
    assert mapping(text, "f")[0] == {"a": 5, "b": 1.5, "c": True, "d": "5", "e": -2}


def test_own_words_come_first_and_the_package_decides(tmp_path: Path) -> None:
    package, own = tmp_path / "package", tmp_path / "own"
    put(package, "steps/a.md", "x")
    put(own, "steps/a.md", "y")
    put(own, "steps/b.md", "z")
    search = SearchPath(package, own)
    assert search.base("steps/a.md") == package / "steps/a.md"
    assert search.words("steps/a.md") == own / "steps/a.md"
    assert search.base("steps/b.md") == own / "steps/b.md"
    assert search.names("steps") == ["steps/a.md", "steps/b.md"]
    assert search.label(own / "steps/a.md") == "own templates/steps/a.md"


def test_the_folder_beside_the_spec_is_found(tmp_path: Path) -> None:
    assert search_path(tmp_path) == SearchPath(folder("templates"))
    (tmp_path / "templates").mkdir()
    assert search_path(tmp_path).own == tmp_path / "templates"
    # In a checkout whose specs lie at the top, both are one folder.
    assert search_path(folder("templates").parent).own is None
