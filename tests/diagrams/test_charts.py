"""Charts: fit to stand in a page, the same bytes each time, told apart without colour."""

import json
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from guidegen.diagrams import charts as module
from guidegen.diagrams import style
from guidegen.diagrams.charts import ChartError, charts

ROOT = Path(__file__).parents[2]


def request(**more):
    return {
        "name": "light-by-distance",
        "title": "Light by distance",
        "x": "distance in m",
        "y": "illuminance in lx",
        "alt": "Chart: illuminance falls with distance",
        "series": [
            {"label": "full", "x": [0.3, 0.5, 1.0], "y": [900, 400, 100]},
            {"label": "low", "x": [0.3, 0.5, 1.0], "y": [450, 200, 50]},
        ],
        "marks": [{"label": "yours", "x": 0.5, "y": 400}, {"label": "target", "y": 300}],
        **more,
    }


def one(**more):
    return charts([request(**more)])["light-by-distance"]


def run(text):
    env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": "7"}
    return subprocess.run(
        [sys.executable, "-m", "guidegen.diagrams.charts"], input=text, env=env,
        capture_output=True, text=True, encoding="utf-8", timeout=120, check=False,
    )  # fmt: skip


def test_it_is_one_element_with_words():
    root = ET.fromstring(one())
    assert root.tag.endswith("}svg")
    assert root[0].text == "Chart: illuminance falls with distance"
    texts = {node.text for node in root.iter() if node.tag.endswith("}text")}
    wanted = {"Light by distance", "distance in m", "illuminance in lx", "full", "low", "target"}
    assert wanted <= texts


def test_nothing_in_it_touches_the_page():
    svg = one()
    assert "<style" not in svg
    assert "<metadata" not in svg
    assert "<?xml" not in svg
    for found in re.findall(r'\bid="([^"]*)"', svg):
        assert found.startswith("light-by-distance-")
    ids = set(re.findall(r'\bid="([^"]*)"', svg))
    used = set(re.findall(r'href="#([^"]*)"|url\(#([^)]*)\)', svg))
    assert {a or b for a, b in used} <= ids


def test_only_the_pages_inks_are_left():
    svg = one()
    assert "var(--gg-ink, #111)" in svg
    assert not re.search(r"#0[1-9]0[1-9]0[1-9]", svg)
    assert set(re.findall(r"#[0-9a-f]{6}", svg)) == set()


def test_the_inks_are_those_of_the_drawings():
    assert list(module._INKS.values()) == [style.INK, style.FAINT, style.PAPER]


def test_series_differ_without_colour():
    assert one().count("stroke-dasharray") >= 2


def test_text_is_large_enough_on_a_phone():
    svg = one()
    wide = float(re.search(r'viewBox="0 0 (\d+)', svg)[1])
    sizes = [float(size) for size in re.findall(r"font-size: ([\d.]+)px", svg)]
    assert sizes
    assert min(sizes) * 328 / wide >= 12


def test_same_bytes_here_and_in_a_process_of_its_own():
    done = run(json.dumps([request()]))
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout) == charts([request()])


def test_hostile_words_stay_text():
    svg = one(title="<script>&\"'$x$ \x00\u202e", alt="a" * 400)
    root = ET.fromstring(svg)
    texts = {node.text for node in root.iter() if node.tag.endswith("}text")}
    assert "<script>&\"'$x$ " in texts
    assert len(root[0].text) == 150


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        ({"name": "Bad Name"}, "small letters"),
        ({"series": []}, "no series"),
        ({"series": [{"label": "full", "x": [1, 2], "y": [1]}]}, "2 x and 1 y"),
    ],
)
def test_a_bad_request_is_refused_in_words(spoil, words):
    with pytest.raises(ChartError, match=words):
        one(**spoil)


def test_the_program_says_what_is_wrong_without_a_traceback():
    done = run(json.dumps([request(series=[])]))
    assert done.returncode == 2
    assert done.stderr == "charts: chart light-by-distance: no series\n"
    assert done.stdout == ""


def test_the_program_loads_nothing_else_of_the_project():
    code = (
        "import sys, guidegen.diagrams.charts as c;"
        "print(sorted(m for m in sys.modules if m.startswith('guidegen')))"
    )
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True,
                          timeout=120, check=True)  # fmt: skip
    assert done.stdout.split("[")[1].strip() == (
        "'guidegen', 'guidegen.diagrams', 'guidegen.diagrams.charts']"
    )
