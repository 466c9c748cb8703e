"""The rooms of the package: who may import whom, and what every module must have."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

import guidegen

HOME = Path(guidegen.__file__).parent
MODULES = sorted(HOME.rglob("*.py"))
GROUND = ("errors", "kinds", "values", "units", "measures", "folders", "islands", "outlines")
#: What a room may import beside itself and the ground floor; the catalogue is data alone.
MAY: dict[str, set[str]] = {
    "catalogue": set(),
    "calc": set(),
    "content": set(),
    "spec": {"catalogue"},
    "design": {"spec", "calc"},
    "guide": {"design", "content"},
    "diagrams": {"design"},
    "publish": {"guide", "diagrams", "content", "design", "road"},
    "road": {"spec", "design", "content", "guide", "publish"},
    "cli": {"spec", "design", "content", "guide", "publish", "road"},
}
#: Single modules that reach farther, and why.
EXCEPTIONS = {
    ("guide/bill.py", "spec"): "ratings of hardware that no part of the design carries",
    ("guide/fingerprint.py", "spec"): "the canonical values of a spec are the spec room's to say",
    ("guide/charts.py", "calc"): "curves ask the laws at many points",
    ("guide/efficient.py", "calc"): "a solved state decides the efficiency of its module",
    ("guide/netlist.py", "calc"): "a state of the walk becomes the solver's elements",
    ("guide/solved.py", "calc"): "readings are solved at the state of the walk",
    ("guide/views.py", "calc"): "types of the cutting plans",
}
#: MkDocs ends one day: one module knows it.
KNOWS_MKDOCS = {"publish/plugin.py", "publish/serve.py"}
LONGEST = 400


@dataclass(frozen=True)
class Import:
    file: str
    line: int
    module: str
    relative: bool
    late: bool

    @property
    def where(self) -> str:
        return f"{self.file}:{self.line} imports {self.module}"


def name_of(path: Path) -> str:
    return path.relative_to(HOME).as_posix()


def room_of(file: str) -> str:
    """The folder, or the module of the top level."""
    return file.split("/")[0] if "/" in file else file.removesuffix(".py")


def imports(file: str, source: str) -> Iterator[Import]:
    tree = ast.parse(source)
    inside = {
        inner
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        for inner in ast.walk(node)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom):
            plain = node.module or ""
            names = (
                [f"{plain}.{item.name}" for item in node.names] if plain == "guidegen" else [plain]
            )
            for name in names:
                yield Import(file, node.lineno, name, node.level > 0, node in inside)
        elif isinstance(node, ast.Import):
            for item in node.names:
                yield Import(file, node.lineno, item.name, False, node in inside)


def all_imports() -> list[Import]:
    return [found for path in MODULES for found in imports(name_of(path), path.read_text("utf-8"))]


def trespasses(found: Import) -> bool:
    """Whether an import goes where its room must not."""
    parts = found.module.split(".")
    if parts[0] != "guidegen" or len(parts) < 2 or parts[1] == "__version__":
        return False
    here, there = room_of(found.file), parts[1]
    if there == here or (here in GROUND and there in GROUND):
        return False
    if here in GROUND or here not in MAY:
        return True
    return there not in GROUND and there not in MAY[here] and (found.file, there) not in EXCEPTIONS


def excused(found: Import, lines: list[str]) -> bool:
    """Whether a late import says why: above its block, or once for all below."""
    above = found.line - 2
    while above >= 0 and lines[above].strip().startswith(("import ", "from ")):
        above -= 1
    if lines[above].strip().startswith("#"):
        return True
    return any("here and below" in line for line in lines[: found.line - 1])


def test_the_walls_are_known() -> None:
    rooms = {room_of(name_of(path)) for path in MODULES}
    assert rooms - {"__init__", *GROUND} == set(MAY)
    assert len(MODULES) > 100


def test_no_room_imports_a_later_one() -> None:
    found = all_imports()
    assert sum(item.module.startswith("guidegen.") for item in found) > 300
    assert [item.where for item in found if trespasses(item)] == []


def test_no_exception_is_left_over() -> None:
    used = {(item.file, item.module.split(".")[1]) for item in all_imports()
            if item.module.startswith("guidegen.")}  # fmt: skip
    assert [key for key in EXCEPTIONS if key not in used] == []


def test_only_one_module_knows_mkdocs() -> None:
    found = {item.file for item in all_imports() if item.module.split(".")[0] == "mkdocs"}
    assert found == KNOWS_MKDOCS


def test_imports_are_absolute() -> None:
    assert [item.where for item in all_imports() if item.relative] == []


def test_a_late_import_says_why() -> None:
    silent = []
    for path in MODULES:
        lines = path.read_text("utf-8").splitlines()
        late = [item for item in imports(name_of(path), "\n".join(lines)) if item.late]
        silent += [item.where for item in late if not excused(item, lines)]
    assert silent == []


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_every_module_says_what_it_is_for(path: Path) -> None:
    text = path.read_text("utf-8")
    assert len((ast.get_docstring(ast.parse(text)) or "").strip()) > 10
    assert len(text.splitlines()) <= LONGEST


@pytest.mark.parametrize(
    ("file", "source"),
    [
        ("calc/x.py", "from guidegen.spec.model import Fixture"),
        ("spec/x.py", "from guidegen.design import settle"),
        ("design/x.py", "import guidegen.guide.make"),
        ("content/x.py", "from guidegen import design"),
        ("kinds.py", "from guidegen.calc import tape"),
        ("diagrams/x.py", "def f():\n    from guidegen.guide.step import Step"),
        ("attic/x.py", "from guidegen.spec import load"),
    ],
)
def test_a_trespass_is_seen(file: str, source: str) -> None:
    assert [trespasses(found) for found in imports(file, source)] == [True]


def test_an_unexcused_late_import_is_seen() -> None:
    plain = "def f():\n    import json\n"
    said = "def f():\n    # Late: start-up time.\n    import json\n"
    for source, excuse in ((plain, False), (said, True)):
        [found] = imports("x.py", source)
        assert found.late
        assert excused(found, source.splitlines()) is excuse
