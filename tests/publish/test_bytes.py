"""The same spec gives the same guide, byte for byte, wherever and whenever it is built.

The PDF's own bytes are looked at in `test_pdf`, which takes another clock, too.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
SPEC = TOP / "specs" / "herbarium-copy-light.yaml"


def built(
    folder: Path,
    surroundings: Mapping[str, str],
    before: Sequence[str] = (),
) -> Path:
    """A guide built by a process of its own, from a copy of the spec in this folder."""
    folder.mkdir(parents=True)
    spec = shutil.copy(SPEC, folder)
    subprocess.run(
        [
            *before,
            sys.executable,
            "-m",
            "guidegen.cli",
            "build",
            "--no-pdf",
            str(spec),
            "-o",
            "out",
        ],
        check=True,
        capture_output=True,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(TOP), **surroundings},
    )
    return folder / "out" / SPEC.stem


def contents(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes()
            for path in sorted(folder.rglob("*")) if path.is_file()}  # fmt: skip


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    folder = tmp_path_factory.mktemp("here") / "a"
    return contents(built(folder, {"TZ": "UTC", "PYTHONHASHSEED": "1", "LC_ALL": "C"}))


def differing(one: Mapping[str, bytes], other: Mapping[str, bytes]) -> list[str]:
    return [name for name in sorted({*one, *other}) if one.get(name) != other.get(name)]


def test_another_folder_zone_language_and_hash_seed(
    first: dict[str, bytes], tmp_path: Path
) -> None:
    surroundings = {"TZ": "Pacific/Kiritimati", "PYTHONHASHSEED": "4711", "LC_ALL": "C.UTF-8",
                    "COLUMNS": "40", "SOURCE_DATE_EPOCH": "0"}  # fmt: skip
    folder = tmp_path / "quite" / "another folder"
    other = contents(built(folder, surroundings))
    assert len(first) > 60
    assert {"index.html", "print.html", "guide.json"} <= set(first)
    assert differing(first, other) == []


def test_another_year_and_all_else(first: dict[str, bytes], tmp_path: Path) -> None:
    program = shutil.which("faketime")
    if program is None:
        pytest.skip("faketime is not installed: the clock can't be moved")
    past = [program, "-f", "@2031-07-14 03:21:07"]
    # Its library shows in the environment of the process alone.
    surroundings = {"PYTHONHASHSEED": "2", "TZ": "America/St_Johns", "LC_ALL": "POSIX"}
    other = contents(built(tmp_path / "late", surroundings, past))
    assert differing(first, other) == []


def test_no_file_holds_the_machine(first: dict[str, bytes]) -> None:
    words = [str(TOP).encode(), str(Path.home()).encode() + b"/", b"/tmp/"]
    home = {name: word for name, data in first.items() for word in words
            if word in data and not name.startswith("assets/javascripts")}  # fmt: skip
    assert home == {}


def test_a_difference_is_seen(first: dict[str, bytes]) -> None:
    """Spoiled on purpose."""
    other = {**first, "index.html": first["index.html"] + b" "}
    other.pop("guide.json")
    assert differing(first, other) == ["guide.json", "index.html"]
