"""Whatever ends a build: the old guide or the new one, whole, and nothing of anybody else's."""

from __future__ import annotations

import errno
import hashlib
import io
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from guidegen.cli import main
from guidegen.publish.build import build
from guidegen.publish.protocol import PublishError
from guidegen.publish.swap import mark_of

TOP = Path(__file__).parents[2]
DEMO = TOP / "specs" / "herbarium-copy-light.yaml"
THOROUGH = bool(os.environ.get("GUIDEGEN_THOROUGH"))
#: With the forty of `test_swap.py`; all two hundred on request.
KILLS = 160 if THOROUGH else 2
FULL = 40 if THOROUGH else 4


def issue_of(out: Path) -> str:
    """The fingerprint of a guide that is whole; fails for any other folder."""
    mark = mark_of(out)
    assert mark is not None
    there = {path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()}
    assert there == {*mark["files"], ".guidegen.json"}
    for name, digest in mark["files"].items():
        assert hashlib.sha256((out / name).read_bytes()).hexdigest() == digest, name
    return str(mark["fingerprint"])


def word_of(out: Path) -> str:
    """What a whole guide says of its issue, on its page and in its print file alike."""
    assert issue_of(out)
    page, sheets = ((out / name).read_text("utf-8") for name in ("revisions.html", "print.html"))
    found = re.findall(r"Issue \d+", page)
    assert found
    assert set(found) == set(re.findall(r"Issue \d+", sheets))
    return str(found[0])


def started(spec: Path, **more: Any) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "guidegen.cli", "build", "--no-pdf", spec.name, "-o", "out"]
    return subprocess.Popen(command, cwd=spec.parent, env={**os.environ, "PYTHONPATH": str(TOP)},
                            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                            **more)  # fmt: skip


def change(spec: Path, turn: int) -> None:
    text = DEMO.read_text(encoding="utf-8")
    assert "change: First issue" in text
    spec.write_text(text.replace("change: First issue", f"change: Issue {turn}"), encoding="utf-8")


def test_a_build_killed_at_any_moment(tmp_path: Path) -> None:
    spec, moments = tmp_path / "light.yaml", random.Random(8)
    out = tmp_path / "out" / "light"
    change(spec, 0)
    began = time.perf_counter()
    with started(spec) as first:
        first.communicate()
    whole, before = time.perf_counter() - began, word_of(out)
    ended = 0
    for turn in range(1, KILLS + 1):
        change(spec, turn)
        with started(spec) as killed:
            time.sleep(moments.uniform(0.3, 1.1) * whole)
            killed.send_signal(signal.SIGKILL)
        ended += killed.returncode == -signal.SIGKILL
        assert word_of(out) in (before, f"Issue {turn}")
        before = word_of(out)
    assert ended
    with started(spec) as last:
        last.communicate()
    assert last.returncode == 0
    assert {path.name for path in out.parent.iterdir()} == {"light"}


def test_two_builds_of_one_guide_at_once(tmp_path: Path) -> None:
    spec = tmp_path / "light.yaml"
    change(spec, 1)
    with started(spec) as one, started(spec) as other:
        said = [one.communicate(), other.communicate()]
    assert (one.returncode, other.returncode) == (0, 0), said
    assert issue_of(tmp_path / "out" / "light")
    assert {path.name for path in (tmp_path / "out").iterdir()} == {"light"}


@pytest.fixture
def full_after(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Callable[..., None]:
    """A disk that is full from the n-th file on that is opened to be written."""
    real, left = io.open, [-1, errno.ENOSPC]

    def opened(file: Any, mode: str = "r", *rest: Any, **more: Any) -> Any:
        if set(mode) & set("wxa+") and str(file).startswith(str(tmp_path)):
            left[0] -= 1
            if left[0] == 0:
                raise OSError(left[1], os.strerror(left[1]), str(file))
        return real(file, mode, *rest, **more)

    monkeypatch.setattr("io.open", opened)
    monkeypatch.setattr("builtins.open", opened)

    def at(number: int, trouble: int = errno.ENOSPC) -> None:
        left[:] = [number, trouble]

    return at


def test_a_full_disk_leaves_the_old_guide(
    toy: Any, tmp_path: Path, full_after: Callable[..., None]
) -> None:
    out = tmp_path / "toy"
    build(toy, out)
    before = issue_of(out)
    newer, failed = replace(toy, fingerprint="ffffffff"), 0
    for number in random.Random(5).sample(range(1, 60), FULL):
        full_after(number)
        try:
            build(newer, out)
        except PublishError as error:
            failed += "No space left on device" in str(error)
        else:  # it has fewer files than that
            break
        full_after(-1)
        assert issue_of(out) == before
        assert {path.name for path in tmp_path.iterdir()} == {"toy"}
    assert failed > 2


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = shutil.which("mount")
    made = mount and subprocess.run([mount, "-t", "tmpfs", "-o", "size=6m", "none", disk],
                                    capture_output=True, check=False)  # fmt: skip
    if not made or made.returncode:
        pytest.skip("no right to mount a small disk")
    yield disk
    subprocess.run(["umount", disk], check=True)


def test_a_disk_that_is_really_full(small_disk: Path, toy: Any) -> None:
    out = small_disk / "toy"
    build(toy, out)
    before = issue_of(out)
    room = shutil.disk_usage(small_disk).free
    told: list[str] = []
    for left in (room // 2, room // 8, 10_000):
        with (small_disk / "ballast").open("ab") as ballast:
            ballast.write(bytes(max(0, shutil.disk_usage(small_disk).free - left)))
        try:
            build(replace(toy, fingerprint="ffffffff"), out)
            before = "ffffffff"
        except PublishError as error:
            told.append(str(error))
        assert issue_of(out) == before
    assert {path.name for path in small_disk.iterdir()} == {"toy", "ballast"}
    assert told
    assert [one for one in told if "No space left on device" not in one] == []


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_no_right_to_write_is_one_sentence(tmp_path: Path) -> None:
    spec, place = tmp_path / "light.yaml", tmp_path / "out"
    change(spec, 1)
    place.mkdir()
    place.chmod(0o500)
    done = run(spec, str(place))
    assert done.exit_code == 2
    assert "Permission denied" in done.stderr
    assert done.stderr.count("\n") == 1
    assert list(place.iterdir()) == []


def test_no_right_in_the_midst_leaves_the_old_guide(
    toy: Any, tmp_path: Path, full_after: Callable[..., None]
) -> None:
    build(toy, tmp_path / "toy")
    before = issue_of(tmp_path / "toy")
    full_after(7, errno.EACCES)
    with pytest.raises(PublishError, match="Permission denied"):
        build(replace(toy, fingerprint="ffffffff"), tmp_path / "toy")
    full_after(-1)
    assert issue_of(tmp_path / "toy") == before
    assert {path.name for path in tmp_path.iterdir()} == {"toy"}


def run(spec: Path, out: str) -> Result:
    return CliRunner().invoke(main, ["build", "--no-pdf", str(spec), "-o", out])


def hostile_places(home: Path) -> dict[str, tuple[str, str]]:
    """Places for a guide: what to say after -o, and what must be told."""
    (home / "treasure" / "light").mkdir(parents=True)
    (home / "treasure" / "light" / "gold.txt").write_text("gold")
    (home / "linked").mkdir()
    (home / "linked" / "light").symlink_to(home / "treasure" / "light")
    (home / "loop").symlink_to(home / "loop")
    (home / "file").write_text("mine")
    (home / "filed").mkdir()
    (home / "filed" / "light").write_text("mine")
    (home / "piped").mkdir()
    os.mkfifo(home / "piped" / "light")
    (home / "door").symlink_to(home / "treasure")
    return {
        "a folder of others": ("treasure", "was not made by guidegen"),
        "a way back and forth": ("linked/../treasure", "was not made by guidegen"),
        "an absolute one": (str(home / "treasure"), "was not made by guidegen"),
        "behind a link": ("door", "was not made by guidegen"),
        "a link to a folder": ("linked", "is a link"),
        "a link to itself": ("loop", "loop"),
        "a file for the folder of guides": ("file", "file"),
        "a file for the guide": ("filed", "is a file"),
        "a pipe for the guide": ("piped", "is a file"),
        "a name that is too long": ("x" * 300, "File name too long"),
        "no place for files": ("/proc/guides", "/proc/guides"),
    }


def test_hostile_places_are_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    spec = tmp_path / "light.yaml"
    change(spec, 1)
    places = hostile_places(tmp_path)
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    for name, (out, told) in places.items():
        done = run(spec, out)
        assert done.exit_code == 2, (name, done.output, done.exception)
        assert told in done.stderr, (name, done.stderr)
        last = done.stderr.strip().splitlines()
        assert len([line for line in last if told in line]) == 1, (name, done.stderr)
        assert "Traceback" not in done.output, name
    after = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    assert after == before


@pytest.mark.parametrize("name", ["nobody.yaml", "folder", "pipe.yaml", "/dev/zero", "big.yaml",
                                  "deep.yaml", "laughs.yaml", "-.yaml"])  # fmt: skip
def test_hostile_specs_are_one_sentence(tmp_path: Path, name: str) -> None:
    (tmp_path / "folder").mkdir()
    os.mkfifo(tmp_path / "pipe.yaml")
    (tmp_path / "big.yaml").write_bytes(b"# x\n" * 2_500_000)
    (tmp_path / "deep.yaml").write_text("a: " + "[" * 100_000)
    (tmp_path / "laughs.yaml").write_text(
        "a: &a [x]\n" + "".join(f"{b}: &{b} [*{a}, *{a}]\n" for a, b in zip("abcd", "bcde",
                                                                          strict=True))
    )  # fmt: skip
    done = run(tmp_path / name, str(tmp_path / "out"))
    assert done.exit_code == 2
    assert "Traceback" not in done.output
    assert done.stderr.strip()
    assert all(line.startswith(Path(name).name) for line in done.stderr.strip().splitlines())
    assert not (tmp_path / "out").exists()
