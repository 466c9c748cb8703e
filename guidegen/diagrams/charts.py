"""Charts, drawn by matplotlib, as SVG that fits the drawings.

`python -m guidegen.diagrams.charts` reads a JSON list of requests on standard input and writes a
JSON object, name to SVG, on standard output: so that publishing can run it in a second process.
It imports nothing else of the project, to start fast.

A request::

    {"name": "light-by-distance", "title": "Light by distance", "x": "distance in m",
     "y": "illuminance in lx", "alt": "Chart: ...", "log_x": false,
     "series": [{"label": "full setting", "x": [0.3, 0.5], "y": [900, 400]}],
     "marks": [{"label": "your distance", "x": 0.5, "y": 400}, {"label": "target", "y": 350}]}

`least`, if given, is where the upright axis begins instead of zero.
A mark with x and y is a ringed point, with one of them a dashed line across the chart.
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterable, Mapping
from html import escape
from io import StringIO
from typing import Any, Final, NoReturn

from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.figure import Figure

# Colours that no chart uses, to be replaced by the page's own: `guidegen.diagrams.style` has the
# same inks, but importing it would cost nothing and tie this module to the drawings; a test holds
# both together.
_INKS: Final = {
    "#010203": "var(--gg-ink, #111)",
    "#040506": "var(--gg-faint, #666)",
    "#070809": "var(--gg-paper, #fff)",
}
_INK, _FAINT, _PAPER = _INKS
#: Line patterns and marks, so that grey print tells series apart.
_LINES: Final = ("-", "--", "-.", ":")
_DOTS: Final = ("o", "s", "^", "D")
_WIDE: Final = 360
"""Width in CSS pixels: fits a phone with text of 13.5."""
_HIGH: Final = 340
#: matplotlib counts 72 points to the inch; the drawing is 72 units to the inch too.
_RULES: Final[Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "guidegen",
    "font.family": ["DejaVu Sans"],
    "font.size": 13.5,
    "axes.titlesize": 13.5,
    "axes.labelsize": 13.5,
    "xtick.labelsize": 13.5,
    "ytick.labelsize": 13.5,
    "legend.fontsize": 13.5,
    "axes.edgecolor": _INK,
    "axes.labelcolor": _INK,
    "axes.facecolor": _PAPER,
    "axes.formatter.useoffset": False,
    "text.color": _INK,
    "text.parse_math": False,
    "xtick.color": _INK,
    "ytick.color": _INK,
    "grid.color": _FAINT,
    "grid.linewidth": 0.5,
    "lines.linewidth": 1.9,
    "figure.facecolor": _PAPER,
}


class ChartError(ValueError):
    """A request that can't be drawn; its text says which and why."""


def charts(requests: Iterable[Mapping[str, Any]]) -> dict[str, str]:
    """Draw charts.

    Parameters
    ----------
    requests : iterable of mapping
        As in the module's description.

    Returns
    -------
    dict
        Name to SVG, one element each.

    Raises
    ------
    ChartError
        If a request has no name or no series, or a series' lists differ in length.
    """
    return {_checked(request): _chart(request) for request in requests}


def _checked(request: Mapping[str, Any]) -> str:
    name = str(request.get("name", ""))
    if not re.fullmatch(r"[a-z][a-z0-9-]*", name):
        raise ChartError(f"chart name {name!r}: accepted are small letters, digits, hyphens")
    if not request.get("series"):
        raise ChartError(f"chart {name}: no series")
    for series in request["series"]:
        if len(series["x"]) != len(series["y"]) or not len(series["x"]):
            raise ChartError(
                f"chart {name}, series {series.get('label', '')!r}: "
                f"{len(series['x'])} x and {len(series['y'])} y"
            )
    return name


def _chart(request: Mapping[str, Any]) -> str:
    with rc_context(_RULES):
        # 72 units to the inch: one unit is one CSS pixel of the drawing.
        figure = Figure(figsize=(_WIDE / 72, _HIGH / 72), layout="constrained")
        axes = figure.add_subplot()
        _series(axes, request["series"])
        for mark in request.get("marks", ()):
            _mark(axes, mark)
        axes.set_xlabel(_clip(request.get("x", "")))
        axes.set_ylabel(_clip(request.get("y", "")))
        axes.set_title(_clip(request.get("title", "")), loc="left")
        _scales(axes, request)
        if axes.get_legend_handles_labels()[1]:
            # Below the chart, where it can hide no curve.
            figure.legend(loc="outside lower left", frameon=False, handlelength=2.4)
        text = StringIO()
        figure.savefig(text, format="svg", metadata={"Date": None, "Creator": None})
    return _tidy(text.getvalue(), request)


def _clip(text: object) -> str:
    """Signs that XML forbids go; a long text is cut with …."""
    kept = "".join(sign for sign in str(text) if sign.isprintable() or sign == "\u00a0")
    return kept if len(kept) <= 42 else kept[:41] + "…"


def _series(axes: Axes, series: Iterable[Mapping[str, Any]]) -> None:
    for number, item in enumerate(series):
        measured = bool(item.get("points"))
        axes.plot(
            item["x"],
            item["y"],
            linestyle="" if measured else _LINES[number % len(_LINES)],
            marker=_DOTS[number % len(_DOTS)] if measured or len(item["x"]) < 2 else "",
            color=_INK,
            label=_clip(item.get("label", "")) or "_nolegend_",
        )


def _mark(axes: Axes, mark: Mapping[str, Any]) -> None:
    """A ringed point, or a dashed line where one coordinate is given."""
    label = _clip(mark.get("label", ""))
    x, y = mark.get("x"), mark.get("y")
    if x is not None and y is not None:
        axes.plot([x], [y], "o", markersize=9, fillstyle="none", color=_INK, label=label)
    elif x is not None:
        axes.axvline(x, color=_FAINT, linestyle=(0, (6, 3)), linewidth=1, label=label)
    elif y is not None:
        axes.axhline(y, color=_FAINT, linestyle=(0, (2, 2)), linewidth=1, label=label)


def _scales(axes: Axes, request: Mapping[str, Any]) -> None:
    if request.get("log_x"):
        axes.set_xscale("log")
    elif all(value >= 0 for item in request["series"] for value in item["x"]):
        axes.set_xlim(left=0 if request.get("from_zero", False) else None)
    if all(value >= 0 for item in request["series"] for value in item["y"]):
        axes.set_ylim(bottom=request.get("least", 0))
    axes.grid(True)
    axes.spines[["top", "right"]].set_visible(False)


def _tidy(svg: str, request: Mapping[str, Any]) -> str:
    """Make matplotlib's file fit to stand in a page."""
    name, alt = request["name"], _short(str(request.get("alt") or request.get("title") or ""))
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<metadata>.*?</metadata>\s*", "", svg, flags=re.S)
    # This rule would restyle the whole page.
    svg = re.sub(r"<defs>\s*<style[^>]*>.*?</style>\s*</defs>\s*", "", svg, flags=re.S)
    svg = re.sub(r'\bid="', f'id="{name}-', svg)
    svg = svg.replace("url(#", f"url(#{name}-").replace('href="#', f'href="#{name}-')
    for sentinel, ink in _INKS.items():
        svg = svg.replace(sentinel, ink)
    body = svg[svg.index(">") + 1 :].strip()
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'viewBox="0 0 {_WIDE} {_HIGH}" width="{_WIDE}" height="{_HIGH}" '
        f'class="gg-drawing gg-narrow gg-chart" role="img" aria-labelledby="{name}-title">'
        f'<title id="{name}-title">{escape(alt)}</title>'
    )
    return re.sub(r">\s*\n\s*<", "><", head + body) + "\n"


def _short(text: str) -> str:
    """An alternative text of at most 150 characters."""
    return text if len(text) <= 150 else text[:149].rsplit(" ", 1)[0] + "…"


def main() -> NoReturn:
    """Read requests on standard input, write the drawings on standard output."""
    try:
        drawn = charts(json.load(sys.stdin))
    except (ValueError, KeyError, TypeError) as trouble:
        sys.stderr.write(f"charts: {trouble}\n")
        sys.exit(2)
    json.dump(drawn, sys.stdout)
    sys.exit(0)


if __name__ == "__main__":
    main()
