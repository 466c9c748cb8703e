"""Cutting layouts of bars, each cut from the left."""

from __future__ import annotations

from collections.abc import Sequence
from string import ascii_lowercase
from typing import Any

from guidegen.diagrams.dimension import counted, rows_of_text
from guidegen.diagrams.field import Area
from guidegen.diagrams.metrics import clip, width
from guidegen.diagrams.source import DesignLike, Plan, cutting, millimetres
from guidegen.diagrams.style import SHEET, SMALL, TEXT
from guidegen.diagrams.svg import Canvas, Figure

_MOST = 12
"""Bars on one figure."""
_LEFT, _HIGH, _PITCH = 10, 30, 62


def bar_figures(design: DesignLike) -> list[Figure]:
    """Draw all bars as `bar-1`, ...; bars that are cut alike once."""
    pages = [
        (plan, alike[first : first + _MOST])
        for plan in cutting(design, "bars")
        for alike in [_alike(plan.items)]
        for first in range(0, len(alike), _MOST)
    ]
    return [bars(plan, page, number) for number, (plan, page) in enumerate(pages, 1)]


def _alike(items: Sequence[Any]) -> list[list[Any]]:
    """Bars that are cut alike, together."""
    groups: dict[Any, list[Any]] = {}
    for item in items:
        cuts = tuple((cut.label, cut.start, cut.length) for cut in item.pieces)
        groups.setdefault((item.stock, cuts), []).append(item)
    return list(groups.values())


def bars(plan: Plan, groups: Sequence[Sequence[Any]], number: int) -> Figure:
    """Draw bars one below another, the pieces in the order of cutting from the left."""
    canvas = Canvas(f"bar-{number}", SHEET)
    items = [group[0] for group in groups]
    scale = (SHEET - 2 * _LEFT) / max(item.stock.length for item in items)
    short = _short_names(items, scale)
    top = 10.0
    for group in groups:
        name = f"{len(group)} × {plan.material}, "
        title = name + millimetres(group[0].stock.length)
        canvas.text((_LEFT, top + 13), clip(title, TEXT, SHEET - 20))
        _bar(canvas, group[0], top + 20, scale, short)
        top += _PITCH
    listed = [f"{mark} = {label}: {millimetres(length)}" for (label, length), mark in short.items()]
    total = sum(len(item.pieces) for group in groups for item in group)
    count = sum(len(group) for group in groups)
    material = plan.material
    return canvas.figure(
        rows_of_text(canvas, listed, top),
        f"Cutting layout, {material}, {count} in all: {counted(total, 'piece')}, "
        "cut from the left end",
        "; ".join(
            f"{cut.label} {cut.copy}: {millimetres(cut.length)}"
            for item in items
            for cut in item.pieces
        ),
        f"{material[:1].upper()}{material[1:]}, cut from the left; the tinted rest is kept.",
    )


def _short_names(items: Sequence[Any], scale: float) -> dict[tuple[str, float], str]:
    """Letters for the pieces too short for label and length."""
    long = dict.fromkeys(
        (cut.label, cut.length)
        for item in items
        for cut in item.pieces
        if width(_title(cut), SMALL) > cut.length * scale - 6
    )
    return dict(zip(long, ascii_lowercase, strict=False))


def _title(cut: Any) -> str:
    return f"{cut.label}: {millimetres(cut.length)}"


def _bar(
    canvas: Canvas, item: Any, top: float, scale: float, short: dict[tuple[str, float], str]
) -> None:
    whole = Area(_LEFT, top, _LEFT + item.stock.length * scale, top + _HIGH)
    canvas.box("tinted", whole)
    for cut in item.pieces:
        left = _LEFT + cut.start * scale
        piece = Area(left, top, left + cut.length * scale, top + _HIGH)
        canvas.box("body", piece)
        text = short.get((cut.label, cut.length), _title(cut))
        if width(text, SMALL) < piece.width - 2:
            canvas.text((piece.middle[0], top + 20), text, "middle", SMALL)
    rest = item.offcut * scale
    for text in (f"rest {millimetres(item.offcut)}", "rest"):
        if rest > width(text, SMALL) + 6:
            canvas.text((whole.x1 - rest / 2, top + 20), text, "middle", SMALL)
            break
