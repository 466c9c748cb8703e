from __future__ import annotations

import time
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from guidegen.publish import drawn
from guidegen.publish.build import build
from guidegen.publish.drawn import ChartProcess
from guidegen.publish.protocol import PublishError

REQUEST = {"name": "light", "alt": "Chart of light.", "caption": "Computed."}
ECHO = """
import json, sys
wanted = json.load(sys.stdin)
print(json.dumps({one["name"]: f'<svg viewBox="0 0 9 9"><path d="M0 0h{len(wanted)}"/></svg>'
                  for one in wanted}))
"""


@pytest.fixture
def program(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A chart program of the test's own, found by its module name."""
    path = tmp_path / "chart_stand_in.py"
    path.write_text(ECHO)
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    monkeypatch.setattr(drawn, "PROGRAM", "chart_stand_in")
    return path


def test_a_chart_comes_back_with_its_words(program: Path) -> None:
    chart = ChartProcess([REQUEST]).drawn()["light"]
    assert chart.svg == '<svg viewBox="0 0 9 9"><path d="M0 0h1"/></svg>'
    assert (chart.alt, chart.caption) == ("Chart of light.", "Computed.")


def test_a_chart_stands_in_page_print_and_folder(program: Path, toy: Any, tmp_path: Path) -> None:
    guide = replace(toy, charts=(REQUEST,)).with_page("index.md", "outline.svg", "light.svg")
    build(guide, tmp_path / "toy")
    for name in ("index.html", "print.html", "figures/light.svg"):
        assert 'd="M0 0h1"' in (tmp_path / "toy" / name).read_text(encoding="utf-8"), name


def test_nothing_starts_for_no_charts() -> None:
    process = ChartProcess([])
    assert process.process is None
    assert process.drawn() == {}


@pytest.mark.parametrize(
    ("text", "trouble"),
    [
        ("raise SystemExit('no ink')", "could not be drawn: no ink"),
        ("import sys; sys.stdin.read(); print('{}')", "nothing came for light"),
    ],
)
def test_a_program_that_fails_is_told(program: Path, text: str, trouble: str) -> None:
    program.write_text(text)
    with pytest.raises(PublishError, match=trouble):
        ChartProcess([REQUEST]).drawn()


def test_a_chart_that_is_not_wanted_any_more_is_stopped(program: Path) -> None:
    program.write_text("import time; time.sleep(60)")
    process = ChartProcess([REQUEST])
    process.close()
    assert process.process
    assert process.process.returncode


def test_a_program_that_waits_is_told_later_and_begins_at_once(
    program: Path, tmp_path: Path
) -> None:
    begun = tmp_path / "begun"
    program.write_text(f"{ECHO}\nopen({str(begun)!r}, 'w').close()\n")
    with closing(ChartProcess.waiting()) as process:
        first = process.process
        process.ask([REQUEST])
        assert process.process is first
        # Nobody has asked for the drawing yet.
        end = time.monotonic() + 20
        while not begun.exists() and time.monotonic() < end:
            time.sleep(0.01)
        assert begun.exists()
        assert process.drawn()["light"].svg.startswith("<svg")


def test_one_that_was_never_told_is_stopped(program: Path) -> None:
    with closing(ChartProcess.waiting()) as process:
        assert process.drawn() == {}
    assert process.process
    assert process.process.returncode
