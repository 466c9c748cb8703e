"""What the charts show; they are drawn elsewhere."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import ceil
from typing import Any

from guidegen.calc import light
from guidegen.content.words import Words
from guidegen.design.result import Design
from guidegen.design.solved_curve import Line, profiles
from guidegen.kinds import Count, FinePercent, Kind, LongMetre, Lux, MilliVolt, kind_of
from guidegen.values import Result

DISTANCES = [0.2 + 0.05 * step for step in range(29)]
#: Lines of a chart's table, at most.
LINES = 9
#: What a chart's axes show, and what one unit of a request is of it in SI.
AXES: dict[str, tuple[Kind, Kind, float]] = {
    "light-by-distance": (kind_of(LongMetre), kind_of(Lux), 1.0),
    "light-along-rows": (kind_of(LongMetre), kind_of(FinePercent), 0.01),
    "voltage-along-rails": (kind_of(Count), kind_of(MilliVolt), 0.001),
}


def chart_requests(design: Design, words: Words) -> tuple[dict[str, Any], ...]:
    """Requests for `guidegen.diagrams.charts`: plain data, so that another process can draw."""
    return (_light_by_distance(design, words), *_along(design, words))


def tables(requests: Sequence[Mapping[str, Any]]) -> dict[str, dict[str, Any]]:
    """Each chart in numbers, for whoever can't see it: name to `x`, `heads` and `rows`."""
    found = {}
    for request in requests:
        series = request["series"]
        across, upright, unit = AXES[request["name"]]
        last = len(series[0]["x"]) - 1
        picked = dict.fromkeys(round(last * n / (LINES - 1)) for n in range(LINES))
        found[request["name"]] = {
            "x": request["x"],
            "heads": [f"{one['label']}: {request['y']}" for one in series],
            "rows": [[across.text(series[0]["x"][n]),
                      *(upright.text(one["y"][n] * unit) for one in series)] for n in picked],
        }  # fmt: skip
    return found


def _along(design: Design, words: Words) -> Iterator[dict[str, Any]]:
    """Light along the rows and voltage lost along the rails."""
    found = profiles(design)
    least = min(value for line in found.rows for value in line.values)
    worst = max(value for line in found.rails for value in line.values)
    percent, lost = kind_of(FinePercent).text(least), kind_of(MilliVolt).text(worst)
    yield _lines("light-along-rows", found.rows, 100, words, {"worst": percent})
    if len(found.rails[0].along) > 1:
        yield _lines("voltage-along-rails", found.rails, 1000, words, {"worst": lost})


def _lines(
    name: str, lines: Sequence[Line], factor: float, words: Words, worst: Mapping[str, str]
) -> dict[str, Any]:
    said = words.charts[name]
    heights = [[factor * value for value in line.values] for line in lines]
    series = [{"label": said["line"].format(ref=line.ref), "x": line.along, "y": height}
              for line, height in zip(lines, heights, strict=True)]  # fmt: skip
    least = min(value for height in heights for value in height)
    return {
        "name": name, "title": said["title"], "x": said["x"], "y": said["y"],
        "alt": said["alt"].format(**worst), "caption": said["caption"], "series": series,
        # Shares near one would be a flat line over an empty chart.
        "least": 100 - max(1, ceil(3 * (100 - least))) if factor == 100 else 0,
    }  # fmt: skip


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
