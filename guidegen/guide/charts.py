"""What the charts show; they are drawn elsewhere."""

from __future__ import annotations

from typing import Any

from guidegen.calc import light
from guidegen.content.words import Words
from guidegen.design.result import Design
from guidegen.values import Result

DISTANCES = [0.2 + 0.05 * step for step in range(29)]


def chart_requests(design: Design, words: Words) -> tuple[dict[str, Any], ...]:
    """Requests for `guidegen.diagrams.charts`: plain data, so that another process can draw."""
    return (_light_by_distance(design, words),)


def _light_by_distance(design: Design, words: Words) -> dict[str, Any]:
    on_axis = design.values["light.axis_illuminance"]
    assert isinstance(on_axis, Result)
    inputs = {name: value.si for name, value in on_axis.inputs.items()}
    levels = [light.centre_illuminance(**{**inputs, "distance": d}) for d in DISTANCES]
    said = words.charts["light-by-distance"]
    return {
        "name": "light-by-distance",
        "title": said["title"],
        "x": said["x"],
        "y": said["y"],
        "alt": said["alt"].format(level=on_axis, distance=design.values["light.axis_distance"]),
        "caption": said["caption"],
        "series": [{"label": said["full"], "x": DISTANCES, "y": levels}],
        "marks": [{"label": said["mark"], "x": inputs["distance"], "y": on_axis.si}],
    }
