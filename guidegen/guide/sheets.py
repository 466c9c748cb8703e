"""Steps that would not fit on one sheet of paper: how tall a step stands there, at the least.

An estimate: a step that is broken though it would have fitted costs a heading. Whether a sheet cuts
through anything is told by `publish.pdf`, which knows.
"""

from __future__ import annotations

import html
import math
import re
from collections.abc import Iterable, Mapping
from typing import Any

#: In mm, of the print style: one line of text, its characters, one row to write in.
LINE, CHARACTERS, ROW = 4.8, 88, 10.0
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


def tall(steps: Iterable[Any], figures: Mapping[str, Any], paper: str) -> dict[str, bool]:
    """Ids of the steps that are broken into parts on paper, each part whole.

    Parameters
    ----------
    steps : iterable of Ready
        As pages see them.
    figures : mapping of str to figure
        Every drawing by its name.
    paper : str
        `A4` or `Letter`.
    """
    found, stage = {}, ""
    for step in steps:
        # The first of a stage shares its sheet with the head of the stage.
        head = STAGE if step.stage != stage else 0.0
        stage = step.stage
        if height(step, figures.get(f"step-{step.id}")) + head > SHEETS[paper]:
            found[step.id] = True
    return found


def height(step: Any, figure: Any = None) -> float:
    """How tall a step stands on paper. [mm]."""
    found = HEAD + (BOX / 2 if step.hold else 0.0)
    for one in step.full:
        found += BOX + _text(f"{one.title} {one.hazard} {one.consequence} {one.avoid}")
    found += sum(_text(f"{one.word} {one.title} {one.line}") + LINE for one in step.short)
    if figure is not None and (size := _SIZE.search(figure.svg)):
        found += float(size[2]) * PIXEL + CAPTION
    found += sum(_text(line) for line in step.body.splitlines() if line.strip())
    if step.ticks:
        found += ROW * (len(step.ticks.lines) + 1)
    return found + LINE


def _text(text: str) -> float:
    return math.ceil(len(html.unescape(_TAG.sub("", text))) / CHARACTERS) * LINE + LINE / 4
