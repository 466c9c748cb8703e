"""A second build of an unchanged spec writes nothing; whatever decides a byte makes it again."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from guidegen import road
from guidegen.cli import main
from guidegen.publish import inputs
from guidegen.publish.build import build
from guidegen.publish.inputs import made_from, state, up_to_date
from guidegen.publish.swap import MARK

DEMO = Path(__file__).parents[2] / "specs" / "herbarium-copy-light.yaml"
OPTIONS = {"pdf": False, "even_so": False}
KEY = "k" * 64


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo and its guide, as the command makes it; nobody may change it."""
    home = tmp_path_factory.mktemp("whole")
    shutil.copy(DEMO, home / "light.yaml")
    result = CliRunner().invoke(main, command(home), catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return home


def command(home: Path, *more: str) -> list[str]:
    return ["build", "--no-pdf", str(home / "light.yaml"), "-o", str(home / "guides"), *more]


@pytest.fixture
def home(whole: Path, tmp_path: Path) -> Path:
    shutil.copytree(whole, tmp_path / "home")
    return tmp_path / "home"


@pytest.fixture
def again(home: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., bool]:
    """Builds once more; whether the design was computed for it."""

    class ComputedError(Exception):
        pass

    def design_of(spec: Path) -> None:
        raise ComputedError

    def build_again(*more: str) -> bool:
        monkeypatch.setattr(road, "design_of", design_of)
        result = CliRunner().invoke(main, command(home, *more))
        if isinstance(result.exception, ComputedError):
            return True
        assert result.exit_code == 0, result.output
        assert result.output == "light: up to date.\n"
        return False

    return build_again


def seen(folder: Path) -> dict[str, tuple[int, int]]:
    return {str(path): (path.stat().st_mtime_ns, path.stat().st_ino) for path in folder.rglob("*")}


def test_an_unchanged_spec_computes_and_writes_nothing(
    home: Path, again: Callable[..., bool]
) -> None:
    before = seen(home)
    assert not again()
    assert seen(home) == before


def touched(home: Path) -> None:
    os.utime(home / "light.yaml", (1, 1))
    (home / "guides" / "light" / ".DS_Store").write_text("looked at")
    (home / "other.yaml").write_text("another spec")


def test_times_litter_and_other_specs_do_not_count(home: Path, again: Callable[..., bool]) -> None:
    touched(home)
    assert not again()


def appended(name: str, text: str) -> Callable[[Path], None]:
    def change(home: Path) -> None:
        (home / name).parent.mkdir(parents=True, exist_ok=True)
        with (home / name).open("a", encoding="utf-8") as file:
            file.write(text)

    return change


def linked(home: Path) -> None:
    page = home / "guides" / "light" / "index.html"
    page.rename(home / "index.html")
    page.symlink_to(home / "index.html")


CHANGES: dict[str, Callable[[Path], Any]] = {
    "a comment in the spec": appended("light.yaml", "# thought of later\n"),
    "own parts": appended("own-parts.yaml", "{}\n"),
    "an own template": appended("templates/pages/index.md", "Mine.\n"),
    "a page changed by hand": appended("guides/light/index.html", " "),
    "a page missing": lambda home: (home / "guides" / "light" / "print.html").unlink(),
    "a page that is a link": linked,
    "an own template that is a link": lambda home: (home / "templates").symlink_to(home),
}


@pytest.mark.parametrize("change", CHANGES)
def test_what_decides_the_guide_makes_it_again(
    home: Path, again: Callable[..., bool], change: str
) -> None:
    CHANGES[change](home)
    assert again()


@pytest.mark.parametrize(
    ("change", "told"),
    [(appended("guides/light/mine.txt", "mine"), "holds what guidegen did not make (mine.txt)"),
     (lambda home: (home / "guides" / "light" / MARK).unlink(), "was not made by guidegen")],
    ids=["a file more", "no mark"],
)  # fmt: skip
def test_what_is_not_ours_is_told_before_anything_is_computed(
    home: Path, change: Callable[[Path], Any], told: str
) -> None:
    change(home)
    done = CliRunner().invoke(main, command(home))
    assert done.exit_code == 2
    assert told in done.stderr


def test_an_option_makes_it_again(again: Callable[..., bool]) -> None:
    assert again("--even-so")


@pytest.mark.parametrize("what", ["package", "site", "templates"])
def test_the_program_and_its_folders_count(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    spec = tmp_path / "light.yaml"
    spec.write_text("a spec")
    homes = {name: tmp_path / name for name in ("package", "site", "templates")}
    for path in homes.values():
        path.mkdir()
        (path / "a").write_text("1")
    monkeypatch.setattr(inputs, "PACKAGE", homes["package"])
    monkeypatch.setattr(inputs, "folder", homes.__getitem__)
    # Own templates lie elsewhere here: beside the spec they would count for another reason.
    apart = tmp_path / "apart" / "light.yaml"
    apart.parent.mkdir()
    spec.rename(apart)
    before = made_from(apart, OPTIONS)
    assert before == made_from(apart, OPTIONS) != ""
    (homes[what] / "a").write_text("2")
    changed = made_from(apart, OPTIONS)
    assert changed != before
    (homes[what] / "a").rename(homes[what] / "b")
    assert made_from(apart, OPTIONS) not in (changed, before)


def test_another_version_of_what_is_installed_counts(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = made_from(DEMO, OPTIONS)
    (tmp_path / "mkdocs-99.dist-info").mkdir()
    monkeypatch.syspath_prepend(str(tmp_path))
    assert made_from(DEMO, OPTIONS) != before


def test_what_reading_never_ends_of_has_no_hash(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "light.yaml")
    assert made_from(tmp_path / "light.yaml", OPTIONS) == ""
    (tmp_path / "large.yaml").write_bytes(b" " * (inputs.LARGEST + 1))
    assert made_from(tmp_path / "large.yaml", OPTIONS) == ""
    assert made_from(tmp_path / "none.yaml", OPTIONS) == ""
    assert len(state(tmp_path / "light.yaml")) > 100  # it is only looked at, never opened


def test_without_a_hash_nothing_is_up_to_date(toy: Any, tmp_path: Path) -> None:
    build(toy, tmp_path / "toy", made_from="")
    assert up_to_date(tmp_path / "toy", "") is None
    mark = json.loads((tmp_path / "toy" / MARK).read_text())
    assert "made_from" not in mark


def test_a_guide_that_a_check_stops_is_made_each_time(toy: Any, tmp_path: Path) -> None:
    build(toy, tmp_path / "toy", made_from=KEY)
    assert up_to_date(tmp_path / "toy", KEY) == []
    stopped = type(toy)(stop=True)
    build(stopped, tmp_path / "toy", made_from=KEY)
    assert up_to_date(tmp_path / "toy", KEY) is None


@pytest.mark.parametrize(("installed", "kept"), [(None, True), (object(), False)])
def test_a_pdf_that_could_not_be_made_is_tried_again(
    toy: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, installed: Any, kept: bool
) -> None:
    monkeypatch.setattr("guidegen.publish.pdf.write", lambda guide, new: ["No PDF: none."])
    monkeypatch.setattr("guidegen.publish.build.find_spec", lambda name: installed)
    build(toy, tmp_path / "toy", pdf=True, made_from=KEY)
    # What was said is said again: the builder still has no PDF.
    assert up_to_date(tmp_path / "toy", KEY) == (["No PDF: none."] if kept else None)


def test_a_spec_that_is_saved_during_the_build_is_not_taken_for_the_one_that_was_read(
    home: Path, again: Callable[..., bool], monkeypatch: pytest.MonkeyPatch
) -> None:
    spec = home / "light.yaml"
    text, guide_of = spec.read_text(encoding="utf-8"), road.guide_of

    def saved_meanwhile(path: Path, design: Any) -> Any:
        spec.write_text(text, encoding="utf-8")
        return guide_of(path, design)

    spec.write_text(text.replace("count: 12", "count: 11"), encoding="utf-8")
    with monkeypatch.context() as during:
        during.setattr(road, "guide_of", saved_meanwhile)
        assert CliRunner().invoke(main, command(home)).exit_code == 0
    spec.write_text(text.replace("count: 12", "count: 11"), encoding="utf-8")
    assert again()
