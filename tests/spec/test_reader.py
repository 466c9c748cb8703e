"""Files that are no spec: each is refused with its place, and quickly."""

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from guidegen.errors import SpecError, Trouble
from guidegen.spec import load
from guidegen.spec.reader import parse

Faults = Callable[[str | bytes], list[str]]


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "1:1: nothing stands here. Accepted: sections such as 'fixture:', 'light:', 'rows:', "
              "one below the other."),
        (b"# only a comment\n", "1:1: nothing stands here. Accepted: sections such as 'fixture:', "
                                "'light:', 'rows:', one below the other."),
        (b"- a\n- b\n", "1:1: a list stands here. Accepted: sections such as 'fixture:', 'light:', "
                        "'rows:', one below the other."),
        (b"just words", "1:1: a text stands here. Accepted: sections such as 'fixture:', 'light:', "
                        "'rows:', one below the other."),
        (b"fixture:\n  name: caf\xe9\n",
         "2:12: byte 0xe9 is not UTF-8. Accepted: a text file saved as UTF-8."),
        (b"\xff\xfef\x00", " saved as UTF-16. Accepted: UTF-8."),
        (b"fixture: a\x00b\n",
         "1:11: control character 0x00. Accepted: a text file saved as UTF-8."),
        (b"fixture:\n\tname: x\n", "2:1: this can't be read as YAML: a tab, @, ` or % where a word "
                                   "begins: indent with spaces, quote the text."),
        (b"fixture: {name: 'x\n", "2:1: this can't be read as YAML: a quote is opened and not "
                                  "closed."),
        (b"a: 1\n---\nb: 2\n",
         "2:1: a second document begins here. Accepted: one fixture a file."),
        (b"? [a]\n: 1\n",
         "1:3: a list or map can't be a key. Accepted: a word and a colon."),
        (b"[" * 60, "1:42: nested deeper than 40 levels."),
    ],
)  # fmt: skip
def test_no_spec(faults: Faults, data: bytes, message: str) -> None:
    assert faults(data) == [f"shelf-light.yaml:{message}"]


def test_what_is_refused_does_not_hide_the_rest(faults: Faults, short: str) -> None:
    text = short.replace("Shelf light", "&name Shelf light") + (
        "rows: []\nuse: {faces: !!str up}\nlight:\n  <<: *name\n  distance: 2,5 m\n"
    )
    assert faults(text) == [
        "shelf-light.yaml:2:9: anchor '&name' is refused: name a part under 'parts'.",
        "shelf-light.yaml:10:1: 'rows' appears twice; first in line 3.",
        "shelf-light.yaml:11:14: tag 'tag:yaml.org,2002:str' is refused: a value is plain text.",
        "shelf-light.yaml:13:3: merge '<<' is refused: name a part under 'parts' and use 'like'.",
        "shelf-light.yaml:13:7: alias '*name' is refused: name a part under 'parts'.",
        "shelf-light.yaml:14:13: light.distance: '2,5 m' is not a length. Accepted: a number with a"
        " point, then mm, cm, m, in or ft, such as '0.7 m'. Did you mean '2.5 m'?",
    ]


@pytest.mark.parametrize(
    "data",
    [
        b"a: &a [*a]\n",
        b"a: &a [x, x]\n" + b"".join(
            b"%c: &%c [*%c, *%c, *%c]\n" % (n + 1, n + 1, n, n, n) for n in range(97, 117)),
        b"- a\n" * 240_000,
        b"[" * 900_000,
        b"{a: " * 200_000,
        b"'" * 999_999,
        b"? " * 400_000,
        b"- " * 400_000,
        b"&a " * 300_000,
        b"a: " + b"9" * 900_000 + b" mm\n",
        b"a" * 900_000 + b": 1\n",
        b"light: {distance: " + b"9**" * 30_000 + b"9 m}\n",
        b"light: {distance: '" + b" " * 900_000 + b"m'}\n",
        b"light: {distance: '" + b"1 " * 400_000 + b"m'}\n",
        b"light: {distance: '" + b"1." * 400_000 + b"(((((((((('}\n",
        b"x" * 5_000_000,
        bytes(range(256)) * 3000,
        b"\x89PNG\r\n\x1a\n" + bytes(1000),
        b"".join(b"k%d: 1\n" % n for n in range(24_000)),
    ],
    ids=lambda data: repr(data[:12]),
)  # fmt: skip
def test_hostile_files_end_soon(faults: Faults, data: bytes) -> None:
    began = time.perf_counter()
    lines = faults(data)
    assert time.perf_counter() - began < 2
    assert lines
    assert all(len(line) < 600 for line in lines)
    assert len(lines) <= 201


def test_windows_line_ends_and_byte_order_mark(
    read: Callable[[str | bytes], object], short: str
) -> None:
    assert read(b"\xef\xbb\xbf" + short.replace("\n", "\r\n").encode())


def test_places_count_characters_not_bytes() -> None:
    troubles: list[Trouble] = []
    tree = parse('"é€𝄞": {k: v}\n'.encode(), "x.yaml", troubles)
    (inner,) = tree.values()
    assert str(inner["k"].place) == "x.yaml:1:12"
    assert str(inner["k"].key_place) == "x.yaml:1:9"


def one_fault(path: Path) -> str:
    with pytest.raises(SpecError) as caught:
        load(path)
    return str(caught.value)


def test_no_such_file(tmp_path: Path) -> None:
    (tmp_path / "shelf-light.yaml").write_text("x")
    assert one_fault(tmp_path / "shelf-lihgt.yaml") == (
        "shelf-lihgt.yaml: there is no such file. Did you mean 'shelf-light.yaml'?"
    )


def test_folder(tmp_path: Path) -> None:
    folder = tmp_path / "specs"
    folder.mkdir()
    assert one_fault(folder) == "specs: this is a folder. Accepted: a YAML file."


def test_pipe(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.yaml")
    assert "no ordinary file" in one_fault(tmp_path / "pipe.yaml")


def test_large_file(tmp_path: Path) -> None:
    path = tmp_path / "large.yaml"
    path.write_bytes(b"# x\n" * 1_250_000)
    assert one_fault(path).startswith("large.yaml: larger than 1 MB. Accepted:")


def test_odd_names(tmp_path: Path) -> None:
    assert "can't be read" in one_fault(tmp_path / ("x" * 300))
    assert one_fault(tmp_path / "a\0b").startswith("a\0b: ")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read every file")
def test_no_permission(tmp_path: Path) -> None:
    path = tmp_path / "locked.yaml"
    path.write_text("x")
    path.chmod(0)
    assert one_fault(path) == "locked.yaml: can't be read: permission denied"


def test_own_parts_file_is_checked_too(tmp_path: Path, short: str) -> None:
    (tmp_path / "shelf-light.yaml").write_text(short)
    (tmp_path / "own-parts.yaml").write_text("- a list\n")
    assert one_fault(tmp_path / "shelf-light.yaml").startswith("own-parts.yaml:1:1: a list stands")
