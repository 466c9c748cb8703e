"""How long all drawings of a design take, and what a plotting library needs for as many shapes."""

from __future__ import annotations

import io
import re
import statistics
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import matplotlib
from matplotlib.figure import Figure as Sheet
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline

from guidegen.publish.figures import drawings
from guidegen.road import design_of, guide_of

#: 60 rows of 40 groups.
MANY = Path(__file__).resolve().parents[1] / "data" / "sixty-rows.yaml"
_BOX = Outline([(0.1, 0.1), (0.2, 0.1), (0.2, 0.2), (0.1, 0.2), (0.1, 0.1)])


def counted(svg: str) -> tuple[int, int]:
    """Outlines and texts of a drawing; one path element holds many outlines."""
    outlines = sum(data.count("M") for data in re.findall(r' d="([^"]*)"', svg))
    return outlines, svg.count("<text ")


def plotted(counts: Sequence[tuple[int, int]]) -> list[str]:
    """Sheets with as many outlines and texts, written as SVG with live text."""
    sheets = []
    with matplotlib.rc_context({"svg.fonttype": "none"}):
        for outlines, texts in counts:
            sheet, file = Sheet(figsize=(6.75, 8)), io.StringIO()
            for _ in range(outlines):
                sheet.add_artist(PathPatch(_BOX, fill=False))
            for number in range(texts):
                sheet.text(0.5, 0.5, f"W{number}", size=10)
            sheet.savefig(file, format="svg")
            sheets.append(file.getvalue())
    return sheets


def seconds(spec: Path, runs: int) -> tuple[float, float, int]:
    """Median times of both in turns, and how many shapes there are. [s]"""
    design = design_of(spec)
    steps = guide_of(spec, design).steps
    counts = [counted(figure.svg) for figure in drawings(design, steps).values()]
    took: tuple[list[float], list[float]] = ([], [])
    programs: tuple[Callable[[], object], ...] = (
        lambda: drawings(design, steps),
        lambda: plotted(counts),
    )
    for _ in range(runs):
        for program, times in zip(programs, took, strict=True):
            start = time.perf_counter()
            program()
            times.append(time.perf_counter() - start)
    return statistics.median(took[0]), statistics.median(took[1]), sum(map(sum, counts))
