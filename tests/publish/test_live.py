"""What a server shows when a guide, or its charts, can't be made."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from guidegen.publish import drawn
from guidegen.publish.live import BLANK, Charts, Live

CHART = {"name": "light", "title": "<Light>", "alt": "A chart.", "caption": "Computed."}


@pytest.fixture
def live() -> Iterator[Live]:
    one = Live()
    yield one
    one.close()


def test_a_fault_of_ours_is_a_line_on_the_last_good_guide(
    live: Live, toy: Any, tmp_path: Path
) -> None:
    def faulty() -> Any:
        raise KeyError("<rows>")

    assert live.settled(tmp_path / "a.yaml", lambda: toy) is toy
    assert live.strips() == ""
    assert live.settled(tmp_path / "a.yaml", faulty) is toy
    assert live.trouble.startswith("a fault of guidegen itself, at test_live.py:")
    assert "&lt;rows&gt;" in live.strips()
    assert live.settled(tmp_path / "a.yaml", lambda: toy) is toy
    assert live.strips() == ""


def test_a_page_that_cannot_be_written_shows_before_the_site_is_made(
    live: Live, toy: Any, tmp_path: Path
) -> None:
    undrawn = toy.with_page("index.md", "figures/outline.svg", "figures/undrawn.svg")
    assert live.settled(tmp_path / "a.yaml", lambda: undrawn) is None
    assert live.trouble == "index.md: figure 'undrawn' was not drawn"


def test_the_strip_tells_texts_of_a_spec_as_texts(live: Live, toy: Any, tmp_path: Path) -> None:
    other = replace(toy, data={"guide.json": b'{"main": {"Fuse": "<i>7.5 A</i>"}}'})
    live.settled(tmp_path / "a.yaml", lambda: toy)
    live.settled(tmp_path / "a.yaml", lambda: other)
    assert "Changed: Fuse: 5 A → &lt;i&gt;7.5 A&lt;/i&gt;" in live.strips()


def test_charts_that_fail_leave_a_blank_and_a_line(
    live: Live, toy: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(drawn, "PROGRAM", "guidegen.no_such_program")
    live.settled(tmp_path / "a.yaml", lambda: replace(toy, charts=(CHART,)))
    shown = live.charts.shown()
    assert (shown["light"].svg, shown["light"].alt) == (BLANK, "A chart.")
    assert "the charts could not be drawn: " in live.strips()


def test_the_chart_before_stands_until_the_new_one_is_drawn() -> None:
    charts, told = Charts(), []
    charts.tell = lambda: told.append(1)
    request = {**CHART, "x": "m", "y": "lx", "series": [{"label": "a", "x": [1, 2], "y": [1, 2]}]}
    charts.want((request,))
    first = charts.shown()["light"].svg
    assert "</svg>" in first
    assert not charts.stale
    charts.want(({**request, "alt": "Another.", "x": "mm"},))
    shown = charts.shown()["light"]
    assert (shown.svg, shown.alt) == (first, "Another.")
    assert charts.stale
    charts.draw()
    assert charts.ready.wait(60)
    assert charts.shown()["light"].svg != first
    assert not charts.stale
