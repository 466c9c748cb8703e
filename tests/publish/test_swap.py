from __future__ import annotations

import hashlib
import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from guidegen.publish import swap
from guidegen.publish.protocol import PublishError
from guidegen.publish.swap import MARK, mark_of, replaced

FILES = 60


def put(out: Path, word: str) -> None:
    with replaced(out, {"guide": word}) as new:
        for number in range(FILES):
            (new / f"{number}.txt").write_text(word)


def word_of(out: Path) -> str:
    """The one word that a whole guide consists of; fails for anything else."""
    mark = mark_of(out)
    assert mark is not None
    assert len(mark["files"]) == FILES
    for name, digest in mark["files"].items():
        assert hashlib.sha256((out / name).read_bytes()).hexdigest() == digest
    words = {(out / f"{number}.txt").read_text() for number in range(FILES)}
    assert words == {mark["guide"]}
    return words.pop()


def beside(out: Path) -> set[str]:
    return {path.name for path in out.parent.iterdir()}


def test_a_guide_replaces_the_older_one_and_leaves_nothing_beside(tmp_path: Path) -> None:
    out = tmp_path / "deep" / "toy"
    put(out, "old")
    assert word_of(out) == "old"
    put(out, "new")
    assert word_of(out) == "new"
    assert beside(out) == {"toy"}


def test_the_portable_way_does_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(swap, "_exchange", lambda first, second: False)
    out = tmp_path / "toy"
    put(out, "old")
    put(out, "new")
    assert word_of(out) == "new"
    assert beside(out) == {"toy"}


def test_a_build_that_fails_leaves_the_old_guide(tmp_path: Path) -> None:
    out = tmp_path / "toy"
    put(out, "old")
    with pytest.raises(PublishError, match=r"missing\.txt"), replaced(out, {}) as new:
        (new / "missing.txt").read_text()
    assert word_of(out) == "old"
    assert beside(out) == {"toy"}


WRITER = """
import sys, time
from pathlib import Path
from guidegen.publish import swap
if sys.argv[3] == "portable":
    swap._exchange = lambda first, second: False
print("go", flush=True)
for turn in range(10_000):
    with swap.replaced(Path(sys.argv[1]), {"guide": str(turn)}) as new:
        for number in range(int(sys.argv[2])):
            (new / f"{number}.txt").write_text(str(turn))
"""


@pytest.mark.parametrize("way", ["exchange", "portable"])
def test_a_kill_at_any_moment_leaves_a_whole_guide(tmp_path: Path, way: str) -> None:
    out, moments = tmp_path / "toy", random.Random(20)
    put(out, "0")
    for _ in range(20):
        command = [sys.executable, "-c", WRITER, str(out), str(FILES), way]
        with subprocess.Popen(command, stdout=subprocess.PIPE, cwd=os.getcwd()) as writer:
            assert writer.stdout
            assert writer.stdout.readline() == b"go\n"
            time.sleep(moments.uniform(0.0, 0.06))
            writer.send_signal(signal.SIGKILL)
        if way == "portable" and not out.exists():
            # Between its two renames there is no guide: the next build puts the old one back.
            swap._recover(out)
        assert word_of(out).isdigit()
    put(out, "after")
    assert word_of(out) == "after"
    assert beside(out) == {"toy"}


def test_a_kill_before_the_first_guide_leaves_none(tmp_path: Path) -> None:
    new = tmp_path / ".toy.guidegen-new-1"
    new.mkdir()
    (new / MARK).write_text(json.dumps({"made_by": "guidegen"}))
    (new / "index.html").write_text("half")
    put(tmp_path / "toy", "whole")
    assert beside(tmp_path / "toy") == {"toy"}


def test_an_old_guide_set_aside_comes_back(tmp_path: Path) -> None:
    out = tmp_path / "toy"
    put(out, "old")
    out.rename(tmp_path / ".toy.guidegen-old-1")
    with pytest.raises(ZeroDivisionError), replaced(out, {}):
        raise ZeroDivisionError
    assert word_of(out) == "old"


def test_another_build_under_way_is_left_alone(tmp_path: Path) -> None:
    out = tmp_path / "toy"
    with replaced(out, {"guide": "first"}) as first:
        for number in range(FILES):
            (first / f"{number}.txt").write_text("first")
        put(out, "second")
        assert word_of(out) == "second"
        assert first.is_dir()
    assert word_of(out) == "first"
    assert beside(out) == {"toy"}


def test_folders_of_others_are_never_touched(tmp_path: Path) -> None:
    out = tmp_path / "mine"
    out.mkdir()
    (out / "notes.txt").write_text("mine")
    with pytest.raises(PublishError, match="was not made by guidegen and is not empty"):
        put(out, "new")
    assert (out / "notes.txt").read_text() == "mine"
    assert beside(out) == {"mine"}


def test_leftover_names_of_others_are_never_touched(tmp_path: Path) -> None:
    strange = tmp_path / ".toy.guidegen-new-1"
    strange.mkdir()
    (strange / "notes.txt").write_text("mine")
    put(tmp_path / "toy", "new")
    assert (strange / "notes.txt").read_text() == "mine"


def test_own_files_in_a_guide_stop_its_replacement(tmp_path: Path) -> None:
    out = tmp_path / "toy"
    put(out, "old")
    (out / "photo.jpg").write_text("mine")
    with pytest.raises(PublishError, match=r"holds what guidegen did not make \(photo\.jpg\)"):
        put(out, "new")
    assert word_of(out) == "old"
    (out / "photo.jpg").rename(out / "Thumbs.db")
    put(out, "new")
    assert word_of(out) == "new"


def test_an_empty_folder_may_be_filled(tmp_path: Path) -> None:
    (tmp_path / "toy").mkdir()
    put(tmp_path / "toy", "new")
    assert word_of(tmp_path / "toy") == "new"


@pytest.mark.parametrize("target", ["guide", "elsewhere", "nowhere"])
def test_links_are_never_followed(tmp_path: Path, target: str) -> None:
    put(tmp_path / "guide", "old")
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "toy").symlink_to(tmp_path / target)
    with pytest.raises(PublishError, match="is a link"):
        put(tmp_path / "toy", "new")
    assert word_of(tmp_path / "guide") == "old"
    assert (tmp_path / "toy").is_symlink()


def test_a_link_inside_a_guide_is_no_part_of_it(tmp_path: Path) -> None:
    out, treasure = tmp_path / "toy", tmp_path / "treasure"
    put(out, "old")
    treasure.mkdir()
    (treasure / "gold.txt").write_text("gold")
    (out / "link").symlink_to(treasure, target_is_directory=True)
    with pytest.raises(PublishError, match=r"did not make \(link\)"):
        put(out, "new")
    assert (treasure / "gold.txt").read_text() == "gold"


def test_a_linked_leftover_is_left(tmp_path: Path) -> None:
    put(tmp_path / "treasure", "gold")
    (tmp_path / ".toy.guidegen-new-1").symlink_to(tmp_path / "treasure")
    put(tmp_path / "toy", "new")
    assert word_of(tmp_path / "treasure") == "gold"


def test_a_file_in_the_way_is_named(tmp_path: Path) -> None:
    (tmp_path / "toy").write_text("mine")
    with pytest.raises(PublishError, match="is a file"):
        put(tmp_path / "toy", "new")
    with pytest.raises(PublishError, match=r"toy"):
        put(tmp_path / "toy" / "below", "new")
    assert (tmp_path / "toy").read_text() == "mine"


@pytest.mark.parametrize("text", ["", "[]", '{"made_by": "somebody"}', "\udcff", "[" * 5000])
def test_a_strange_mark_is_no_mark(tmp_path: Path, text: str) -> None:
    (tmp_path / MARK).write_bytes(text.encode("utf-8", "surrogateescape"))
    assert mark_of(tmp_path) is None


def test_two_builds_at_once_leave_one_whole_guide(tmp_path: Path) -> None:
    out = tmp_path / "toy"
    code = WRITER.replace("10_000", "40")
    command = [sys.executable, "-c", code, str(out), str(FILES), "exchange"]
    writers = [subprocess.Popen(command, stdout=subprocess.DEVNULL) for _ in range(2)]
    assert [writer.wait(60) for writer in writers] == [0, 0]
    assert word_of(out) == "39"
    assert beside(out) == {"toy"}


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="a folder that nobody can write to")
def test_a_place_that_can_not_be_written_is_named() -> None:
    with pytest.raises(PublishError, match=r"^/proc/guides"):
        put(Path("/proc/guides/toy"), "new")
