"""Steps that would not fit on one sheet of paper: how tall a step stands there, at the least.

An estimate: a step that is broken though it would have fitted costs a heading. Whether a sheet cuts
through anything is told by `publish.pdf`, which knows.
"""

from __future__ import annotations

import html
import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from guidegen.guide.speech import READING

#: In mm, of the print style: one line of text, its characters, one row to write in.
LINE, CHARACTERS, ROW = 4.8, 88, 10.0
#: Characters in the two columns of a bench sheet.
TO_DO, TO_READ = 0.48 * CHARACTERS, 0.42 * CHARACTERS
#: What a heading with its line below, a box's head and rim, and a caption take.
HEAD, BOX, CAPTION = 22.0, 20.0, 9.0
#: Title of a stage, its time, its hazards.
STAGE = 32.0
#: Height between the margins; a twentieth is kept free, the worst error of the estimate.
SHEETS = {"A4": 0.95 * (297.0 - 35.0), "Letter": 0.95 * (279.4 - 35.0)}
#: Rows of a list that stand together: with their head they fill less than a sheet.
ROWS_TOGETHER = 16
#: CSS's inch is 96 px.
PIXEL = 25.4 / 96

_TAG = re.compile(r"<[^>]*>|\]\([^)]*\)|[*`]")
_SIZE = re.compile(r'<svg[^>]*?\swidth="([\d.]+)"[^>]*?\sheight="([\d.]+)"')


@dataclass(frozen=True)
class Parts:
    """How a step is broken; a drawing stays with the words wherever a sheet holds both."""

    broken: bool
    figure: bool
    """Its drawing begins a part."""
    words: bool
    """Its lines begin a part."""


def tall(steps: Iterable[Any], figures: Mapping[str, Any], paper: str) -> dict[str, Parts]:
    """What begins a part of its own on paper, by the ids of steps.

    Parameters
    ----------
    steps : iterable of Ready
        As pages see them.
    figures : mapping of str to figure
        Every drawing by its name.
    paper : str
        `A4` or `Letter`.
    """
    found, stage, room = {}, "", SHEETS[paper]
    for step in steps:
        # The first of a stage shares its sheet with the head of the stage.
        top = _top(step) + (STAGE if step.stage != stage else 0.0)
        stage = step.stage
        drawn, words = _drawn(figures.get(f"step-{step.id}")), _words(step)
        rows = ROW * (len(step.ticks.lines) + 1) if step.ticks else 0.0
        # Its list of rows has parts of its own.
        cut = top + drawn + words > room
        kept = drawn + words <= room
        # A heading alone is no part: without messages its drawing stays with it.
        apart = drawn > 0 and bool(step.full or step.short)
        figure = cut and apart and (kept or top + drawn > room)
        found[step.id] = Parts(top + drawn + words + rows > room, figure,
                               cut and not (figure and kept))  # fmt: skip
    return found


def _top(step: Any) -> float:
    """Its heading and its messages. [mm]."""
    found = HEAD + (BOX / 2 if step.hold else 0.0)
    for one in step.full:
        found += BOX + _text(f"{one.title} {one.hazard} {one.consequence} {one.avoid}")
    return found + sum(_text(f"{one.word} {one.title} {one.line}") + LINE for one in step.short)


def _drawn(figure: Any) -> float:
    size = _SIZE.search(figure.svg) if figure is not None else None
    return float(size[2]) * PIXEL + CAPTION if size else 0.0


def _words(step: Any) -> float:
    """Its lines, and the way to what helps if it fails. [mm]."""
    return LINE + sum(_line(line) for line in step.body.splitlines() if line.strip())


def _line(line: str) -> float:
    """Of a line with a reading the taller of its two columns: what to do, and what must be read."""
    read = " ".join(READING.findall(line))
    if not read:
        return _text(line)
    return max(_text(READING.sub("", line), TO_DO), _text(read, TO_READ)) + LINE / 3


def _text(text: str, width: float = CHARACTERS) -> float:
    return math.ceil(len(html.unescape(_TAG.sub("", text))) / width) * LINE + LINE / 4
