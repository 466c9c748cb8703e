from __future__ import annotations

import datetime
import json
import os
import subprocess
import sys
from pathlib import Path
from types import ModuleType, SimpleNamespace
from typing import Any

import pytest
from click.testing import CliRunner, Result

from guidegen import road
from guidegen.cli import main
from guidegen.errors import Place, SpecError, Trouble
from guidegen.kinds import Ampere, kind_of
from guidegen.values import Given

TOP = Path(__file__).parents[1]


def finding(level: str, text: str) -> SimpleNamespace:
    need = Given("fuse.least", 4.0, kind_of(Ampere))
    mend = SimpleNamespace(changes={"chain.fuse.rating": "5 A"}, effect=need)
    place = Place("light.yaml", 14, 5)
    return SimpleNamespace(
        id="fuse", level=level, required=need, found=None, place=place, mends=(mend,), text=text
    )


@pytest.fixture
def rooms(monkeypatch: pytest.MonkeyPatch) -> SimpleNamespace:
    """Stand-ins for the rooms below; what they hand over can be changed."""
    page = SimpleNamespace(uri="index.md", title="Overview", markdown="# Light\n\nText.")
    state = SimpleNamespace(findings=[finding("holds", "All is well.")], main={"Fuse": "5 A"})

    def guide_of(spec: Path, design: Any) -> SimpleNamespace:
        return SimpleNamespace(
            name=spec.stem,
            title="Light",
            revision="1",
            date=datetime.date(2026, 3, 1),
            fingerprint="abc",
            statement="No approval.",
            paper="A4",
            stop=any(one.level == "stop" for one in design.findings),
            pages=[page],
            figures={},
            charts=(),
            data={"guide.json": json.dumps({"main": state.main}).encode()},
        )

    def design_of(spec: Path, judged: bool = False) -> SimpleNamespace:
        return SimpleNamespace(findings=state.findings)

    monkeypatch.setattr(road, "design_of", design_of)
    monkeypatch.setattr(road, "guide_of", guide_of)
    sentences = ModuleType("guidegen.guide.sentences")
    sentences.finding_text = lambda one: one.text  # type: ignore[attr-defined]  # a stand-in
    monkeypatch.setitem(sys.modules, "guidegen.guide.sentences", sentences)
    return state


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Any:
    monkeypatch.chdir(tmp_path)

    def invoke(*words: str, **more: Any) -> Result:
        return CliRunner().invoke(main, words, catch_exceptions=False, **more)

    return invoke


def command(*words: str, **more: Any) -> subprocess.CompletedProcess[str]:
    paths = os.pathsep.join(filter(None, [str(TOP), os.environ.get("PYTHONPATH")]))
    return subprocess.run(
        [sys.executable, "-m", "guidegen.cli", *words],
        capture_output=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": paths, **more.pop("env", {})},
        **more,
    )


def test_build_writes_the_guide_and_says_where(rooms: Any, run: Any) -> None:
    result = run("build", "specs/light.yaml", "--no-pdf")
    assert result.exit_code == 0
    assert "Light, revision 1: 0 stop, 0 advice, 1 holds." in result.stdout
    assert "Open guides/light/index.html; print guides/light/print.html." in result.stdout
    assert result.stderr == ""
    for name in ("index.html", "print.html", "guide.json"):
        assert Path("guides/light", name).is_file()


def test_several_specs_go_to_folders_of_their_own(rooms: Any, run: Any) -> None:
    assert run("build", "a.yaml", "b.yaml", "-o", "out").exit_code == 0
    assert sorted(os.listdir("out")) == ["a", "b"]


def test_a_stop_writes_nothing(rooms: Any, run: Any) -> None:
    rooms.findings = [finding("stop", "The fuse may never open.")]
    result = run("build", "light.yaml")
    assert result.exit_code == 1
    assert "The fuse may never open. [light.yaml:14:5]" in result.stdout
    assert "light.yaml: not built." in result.stderr
    assert os.listdir() == []


def test_even_so_builds_with_the_warning(rooms: Any, run: Any) -> None:
    rooms.findings = [finding("stop", "The fuse may never open.")]
    assert run("build", "light.yaml", "--even-so").exit_code == 0
    assert "gg-stop" in Path("guides/light/index.html").read_text(encoding="utf-8")


def test_a_rebuild_tells_which_main_numbers_moved(rooms: Any, run: Any) -> None:
    rooms.main = {"Fuse": "5 A", "Rail drop": "1.1 %", "Rows": "12"}
    assert "Changed" not in run("build", "light.yaml").stdout
    assert "No main number changed" in run("build", "light.yaml").stdout
    rooms.main = {"Fuse": {"text": "7.5 A"}, "Rail drop": "1.1 %", "Mass": "1.2 kg"}
    moved = run("build", "light.yaml").stdout
    assert "  Fuse: 5 A → 7.5 A\n  Rows: 12 → none\n  Mass: none → 1.2 kg\n" in moved
    assert "Rail drop" not in moved


def test_a_stranger_in_the_way_is_exit_2(rooms: Any, run: Any) -> None:
    Path("guides/light").mkdir(parents=True)
    Path("guides/light/mine.txt").write_text("mine")
    result = run("build", "light.yaml")
    assert result.exit_code == 2
    assert "was not made by guidegen" in result.stderr


def test_one_bad_spec_of_two_is_exit_2(
    rooms: Any, run: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def design_of(spec: Path, judged: bool = False) -> SimpleNamespace:
        if spec.stem == "bad":
            raise SpecError([Trouble(Place("bad.yaml", 3, 1), "lite", "unknown key")])
        return SimpleNamespace(findings=[])

    monkeypatch.setattr(road, "design_of", design_of)
    result = run("build", "bad.yaml", "good.yaml")
    assert result.exit_code == 2
    assert "bad.yaml:3:1: lite: unknown key" in result.stderr
    assert os.listdir("guides") == ["good"]
    found = run("check", "bad.yaml", "--json")
    assert found.exit_code == 2
    assert json.loads(found.stdout)["troubles"] == [
        {"file": "bad.yaml", "line": 3, "column": 1, "path": "lite", "message": "unknown key"}
    ]


@pytest.mark.parametrize(("level", "status"), [("holds", 0), ("advice", 0), ("stop", 1)])
def test_check_status_and_table(rooms: Any, run: Any, level: str, status: int) -> None:
    rooms.findings = [finding("holds", "All is well."), finding(level, "Look here. " * 30)]
    result = run("check", "light.yaml")
    assert result.exit_code == status
    assert "holds    All is well. [light.yaml:14:5]\n" in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 110
    if level != "holds":  # the worst first
        assert result.stdout.startswith(level)


def test_check_for_programs(rooms: Any, run: Any) -> None:
    rooms.findings = [finding("stop", "The fuse\nmay never open.")]
    result = run("check", "light.yaml", "--json")
    assert result.exit_code == 1
    assert result.stderr == ""
    (row,) = json.loads(result.stdout)["findings"]
    assert row["text"] == "The fuse may never open."
    assert row["required"]["unit"] == "A"
    assert row["required"]["si"] == 4.0
    assert row["mends"][0]["changes"] == {"chain.fuse.rating": "5 A"}


def test_colour_only_where_it_is_wanted(
    rooms: Any, run: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "\x1b[" in run("check", "light.yaml", color=True).stdout
    monkeypatch.setenv("NO_COLOR", "1")
    assert "\x1b[" not in run("check", "light.yaml", color=True).stdout
    monkeypatch.delenv("NO_COLOR")
    assert "\x1b[" not in run("check", "light.yaml").stdout


@pytest.mark.parametrize("words", [(), ("build",), ("check",), ("new",), ("schema",)])
def test_help_everywhere(run: Any, words: tuple[str, ...]) -> None:
    result = run(*words, "--help")
    assert result.exit_code == 0
    assert result.stdout.startswith("Usage: ")


def test_unknown_words_are_exit_2(run: Any) -> None:
    assert run("biuld").exit_code == 2
    assert run("check").exit_code == 2


def test_shell_completion_offers_the_commands() -> None:
    asked = {"_GUIDEGEN_COMPLETE": "bash_complete", "COMP_WORDS": "guidegen ch", "COMP_CWORD": "1"}
    # The variable's name follows from the program's name, so it is called by that.
    code = "from guidegen.cli import main; main(prog_name='guidegen')"
    result = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        encoding="utf-8",
        cwd=TOP,
        env={**os.environ, **asked},
    )
    assert result.stdout.split() == ["plain,check"]


def test_version_and_help_import_no_room() -> None:
    code = (
        "import sys; from click.testing import CliRunner; from guidegen.cli import main;"
        "CliRunner().invoke(main, ['build', '--help']);"
        "heavy = {'mkdocs', 'numpy', 'pydantic', 'pint', 'yaml', 'jinja2', 'matplotlib'};"
        "print(sorted(heavy & set(sys.modules)))"
    )
    result = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, encoding="utf-8", cwd=TOP, check=True
    )
    assert result.stdout.strip() == "[]"


def test_no_progress_where_nobody_watches(rooms: Any, run: Any) -> None:
    assert run("build", "light.yaml").stderr == ""
