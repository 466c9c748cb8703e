"""What the README says to type works as it stands, in a checkout."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

HOME = Path(__file__).resolve().parents[1]
README = (HOME / "README.md").read_text(encoding="utf-8")
COMMAND = ".venv/bin/guidegen"


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """A folder as a reader of the README has it: specs and templates lie in it."""
    for name in ("specs", "templates"):
        shutil.copytree(HOME / name, tmp_path / name)
    return tmp_path


def typed(line: str, folder: Path) -> subprocess.CompletedProcess[str]:
    words = [sys.executable, "-m", "guidegen.cli", *shlex.split(line.removeprefix(COMMAND))]
    env = {**os.environ, "PYTHONPATH": str(HOME)}
    return subprocess.run(words, cwd=folder, env=env, capture_output=True, encoding="utf-8")


def block(after: str, kind: str) -> str:
    """The first code block of a kind after some words."""
    found = re.search(rf"```{kind}\n(.*?)```", README[README.index(after) :], re.DOTALL)
    assert found, after
    return found[1]


def test_a_light_of_ones_own_beside_the_templates(checkout: Path) -> None:
    lines = [line.split("#")[0].strip() for line in block("## Your own light", "bash").splitlines()]
    assert [line.split()[1] for line in lines] == ["new", "check", "build"]
    for line in lines:
        # Its PDF is made from the wheel elsewhere.
        run = typed(line + " --no-pdf" * (" build " in line), checkout)
        assert run.returncode == 0, run.stderr
    assert (checkout / "guides" / "shelf-light" / "index.html").is_file()


def test_other_parts_are_tried_as_told(tmp_path: Path) -> None:
    assert typed(f"{COMMAND} new shelf-light", tmp_path).returncode == 0
    before = sorted(tmp_path.iterdir())
    for line in block("`try` answers", "bash").splitlines():
        run = typed(line, tmp_path)
        assert run.returncode in (0, 1), run.stderr
        assert "Main numbers that change" in run.stdout
    assert sorted(tmp_path.iterdir()) == before


def test_the_first_guide_is_asked_for_as_the_command_takes_it(checkout: Path) -> None:
    line = block("<!-- first-guide -->", "bash").split("&&")[-1].strip()
    run = typed(f"{line} --no-pdf", checkout)
    assert run.returncode == 0, run.stderr
    told = re.search(r"open `(guides/[\w/.-]+)`", README)
    assert told
    assert (checkout / told[1]).is_file()


def test_the_example_spec_holds_together(checkout: Path) -> None:
    (checkout / "example.yaml").write_text(block("## Your own light", "yaml"), encoding="utf-8")
    run = typed(f"{COMMAND} check example.yaml", checkout)
    assert run.returncode == 0, run.stdout + run.stderr


def test_every_command_is_told() -> None:
    run = typed(f"{COMMAND} --help", HOME)
    commands = re.findall(r"^  (\w+)  ", run.stdout.split("Commands:")[1], re.MULTILINE)
    assert commands
    assert [name for name in commands if f"`guidegen {name}" not in README] == []
