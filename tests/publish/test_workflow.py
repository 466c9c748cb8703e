"""The workflows that publish a guide: this project's own, and the one that the README hands out."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

TOP = Path(__file__).parents[2]


def block(mark: str) -> str:
    """The code block of the README after a mark."""
    found = re.search(
        rf"^<!-- {mark} -->\n```\w+\n(.*?)^```", (TOP / "README.md").read_text("utf-8"), re.M | re.S
    )
    assert found, f"README.md has no code block after <!-- {mark} -->"
    return found[1]


OWN = (TOP / ".github" / "workflows" / "publish.yml").read_text(encoding="utf-8")
BOTH = {"own": OWN, "README": block("publish")}


def steps(flow: dict[str, Any]) -> list[dict[str, Any]]:
    return [step for job in flow["jobs"].values() for step in job["steps"]]


def read(text: str) -> Any:
    # Texts only: YAML 1.1 would make a truth value of the key `on`.
    return yaml.load(text, yaml.BaseLoader)


@pytest.mark.parametrize("name", BOTH)
def test_each_job_may_do_what_it_must_and_no_more(name: str) -> None:
    """Rights that publishing needs: GitHub Docs, Using custom workflows with GitHub Pages."""
    flow = read(BOTH[name])
    assert flow["permissions"] == {}
    assert {job: what["permissions"] for job, what in flow["jobs"].items()} == {
        "build": {"contents": "read"},
        "publish": {"pages": "write", "id-token": "write"},
    }
    assert flow["jobs"]["publish"]["needs"] == "build"
    assert flow["jobs"]["publish"]["environment"]["name"] == "github-pages"


@pytest.mark.parametrize("name", BOTH)
def test_every_action_has_its_major_version(name: str) -> None:
    used = [step["uses"] for step in steps(read(BOTH[name])) if "uses" in step]
    assert len(used) == 4
    assert all(re.fullmatch(r"actions/[a-z-]+@v\d+", one) for one in used)


@pytest.mark.parametrize("name", BOTH)
def test_what_is_built_is_what_is_published(name: str) -> None:
    flow = read(BOTH[name])
    (command,) = [step["run"] for step in steps(flow) if "run" in step]
    spec = Path(command.split()[-1])
    (path,) = [step["with"]["path"] for step in steps(flow) if "path" in step.get("with", {})]
    assert path == f"guides/{spec.stem}"
    assert f"{spec.parts[0]}/**" in flow["on"]["push"]["paths"]
    assert "${{" not in command, "an expression in a command is a way in for hostile text"


def test_our_own_runs_the_readmes_command_on_every_change_that_counts() -> None:
    flow = read(OWN)
    (command,) = [step["run"] for step in steps(flow) if "run" in step]
    assert command == block("first-guide").strip()
    assert (TOP / command.split()[-1]).is_file()
    paths = flow["on"]["push"]["paths"]
    for path in paths:
        assert (TOP / path.removesuffix("/**")).exists(), path
    assert {"specs/**", "templates/**", "guidegen/**", "site/**"} <= set(paths)
