"""The installed wheel, in a folder with no checkout beside it."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
import sysconfig
import venv
from pathlib import Path
from zipfile import ZipFile

import pytest

TOP = Path(__file__).parents[1]


def call(*words: str | Path, **more: object) -> str:
    done = subprocess.run(words, capture_output=True, encoding="utf-8", check=False, **more)  # type: ignore[call-overload]  # passed through
    assert done.returncode == 0, done.stdout + done.stderr
    return str(done.stdout)


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    # Without a builder in this environment pip fetches one, as it does for a user.
    alone = ["--no-build-isolation"] if importlib.util.find_spec("hatchling") else []
    pip = [sys.executable, "-m", "pip", "-q", "--disable-pip-version-check"]
    call(*pip, "wheel", "--no-deps", *alone, "-w", folder, TOP)
    (found,) = folder.glob("*.whl")
    return found


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The programs of a new environment: the wheel, and the libraries of this one."""
    home = tmp_path_factory.mktemp("environment")
    venv.create(home, with_pip=False)
    python = home / "bin" / "python"
    site = call(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))").strip()
    pip = [sys.executable, "-m", "pip", "-q", "--disable-pip-version-check", "--python", python]
    call(*pip, "install", "--no-deps", "--no-index", wheel)
    # After the wheel on the search path, so that a guidegen of this environment is not met.
    (Path(site) / "libraries.pth").write_text(sysconfig.get_path("purelib") + "\n")
    return home / "bin"


@pytest.fixture
def empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("PYTHONPATH", raising=False)
    return tmp_path


def test_the_wheel_holds_words_and_skin(wheel: Path) -> None:
    names = set(ZipFile(wheel).namelist())
    for folder in ("templates", "site"):
        there = {
            f"guidegen/{path.relative_to(TOP).as_posix()}"
            for path in (TOP / folder).rglob("*")
            if path.is_file()
        }
        assert there
        assert there <= names
    assert not [name for name in names if name.startswith(("specs/", "tests/", "guides/"))]


def test_the_installed_program_stands_alone(installed: Path, empty: Path) -> None:
    home = call(installed / "python", "-c", "import guidegen; print(guidegen.__file__)").strip()
    assert Path(home).is_relative_to(installed.parent)
    assert call(installed / "guidegen", "--version").startswith("guidegen ")
    assert os.listdir(empty) == []


def test_it_builds_its_starter_from_an_empty_folder(installed: Path, empty: Path) -> None:
    call(installed / "guidegen", "new", "my-light")
    said = call(installed / "guidegen", "build", "--no-pdf", "my-light.yaml")
    for name in ("index.html", "print.html", "guide.json"):
        assert (empty / "guides" / "my-light" / name).is_file(), said
    homes = call(
        installed / "python",
        "-c",
        "from guidegen.folders import folder; print(folder('templates'), folder('site'))",
    ).split()
    assert all(Path(home).is_relative_to(installed.parent) for home in homes)


def test_mkdocs_finds_the_plugin_in_a_site_of_ones_own(installed: Path, empty: Path) -> None:
    call(installed / "guidegen", "new", "my-light")
    (empty / "docs").mkdir()
    (empty / "docs" / "index.md").write_text("# Workshop\n\n[Steps](steps.md)\n", encoding="utf-8")
    settings = "site_name: Workshop\nplugins: [{guidegen: {spec: my-light.yaml}}]\n"
    (empty / "mkdocs.yml").write_text(settings, encoding="utf-8")
    call(installed / "python", "-m", "mkdocs", "build", "--strict")
    assert "Workshop" in (empty / "site" / "index.html").read_text(encoding="utf-8")
    steps = (empty / "site" / "steps" / "index.html").read_text(encoding="utf-8")
    assert '<figure class="gg-figure"' in steps
    assert (empty / "site" / "guide.json").is_file()


def test_it_writes_plain_pages(installed: Path, empty: Path) -> None:
    call(installed / "guidegen", "new", "my-light")
    said = call(installed / "guidegen", "pages", "my-light.yaml", "plain")
    assert said.endswith("Next, in plain: mkdocs build --strict\n")
    assert (empty / "plain" / "docs" / "assets" / "guide.css").is_file()
    # The folder of the checkout, or of this environment, is no part of what others build.
    text = (empty / "plain" / "mkdocs.yml").read_text(encoding="utf-8")
    assert "guidegen:" not in text
    assert str(installed.parent) not in text
