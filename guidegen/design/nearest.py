"""The part of the catalogue, or the standard size, next to one that does not fit."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from guidegen.calc import tables
from guidegen.design.compare import fresh_stops, paired, worse
from guidegen.design.parts import first_stage, part_of, pulse_of, regulator_of
from guidegen.design.result import Design
from guidegen.design.settle import settled_if
from guidegen.errors import GuidegenError
from guidegen.kinds import ConductorArea, kind_of
from guidegen.measures import measure_of
from guidegen.spec.model import Fixture
from guidegen.spec.overrides import Change, known_keys, overridden, written
from guidegen.spec.part import Part
from guidegen.spec.parts import catalogue
from guidegen.spec.stages import FuseStage
from guidegen.spec.tree import Text
from guidegen.units import read
from guidegen.values import Given

#: How many are tried, the nearest first.
MOST = 12
#: Gauges in which wire is commonly sold; common practice, no source.
GAUGES = ("4", "6", "8", "10", "12", "14", "16", "18", "20", "22", "24", "26", "28", "30")


@dataclass(frozen=True)
class Instead:
    """What fits in the place of what was tried."""

    change: Change
    label: str
    """Of the part; empty for a size."""
    design: Design
    as_is: bool
    """Whether the spec has it already."""


def nearest_fit(
    fixture: Fixture, before: Design, after: Design, changes: Sequence[Change], change: Change
) -> Instead | None:
    """The nearest part or size in the place of one change that fits as well as what the spec has.

    No finding is worse with it than without the changes; where no such part is near, the nearest
    that brings no stop.

    Parameters
    ----------
    fixture : Fixture
        As its file says.
    before, after : Design
        Without the changes, and with them.
    changes : sequence of Change
        All of them; the others are kept.
    change : Change
        The one whose value is replaced.

    Returns
    -------
    Instead or None
        None where the key holds neither a part nor a standard size, or where none that is near
        fits.
    """
    value = dict(known_keys(after.fixture)).get(change.key)
    spare: dict[bool, Instead] = {}
    for text, label in list(_options(after, value))[:MOST]:
        node = Text(text)
        node.put(change.node.place, change.key)
        other = replace(change, value=text, node=node)
        try:
            tried = overridden(fixture, [other if one is change else one for one in changes])
            design = settled_if(tried, lambda early: not fresh_stops(early, before))
        except GuidegenError:
            continue
        if design is None or not design.complete or fresh_stops(design, before):
            continue
        found = Instead(other, label, design, text == written(fixture, change.key))
        good = not any(worse(*pair) for pair in paired(before.findings, design.findings))
        if good and not found.as_is:
            return found
        # What the spec has is no news, and an advice more no gain: only where nothing else is.
        spare.setdefault(good, found)
    return spare.get(True) or spare.get(False)


def replaceable(after: Design, change: Change) -> bool:
    """Whether a key holds a part or a size that others of the catalogue could stand for."""
    value = dict(known_keys(after.fixture)).get(change.key)
    return next(_options(after, value), None) is not None


def _options(design: Design, value: Any) -> Iterator[tuple[str, str]]:
    """Texts to write there, the nearest first, each with the label of its part."""
    if isinstance(value, Part):
        others = [part for part in catalogue(value.kind) if part.key != value.key]
        for part in sorted(others, key=lambda part: (_apart(part, value), part.key)):
            yield part.key, part.label
    elif isinstance(value, Given):
        sizes = _sizes(design, value)
        for si, text in sorted(sizes, key=lambda size: (abs(math.log(size[0] / value.si)), size)):
            if abs(si / value.si - 1) > 1e-6:
                yield text, ""


def _apart(part: Part, other: Part) -> float:
    """How far two parts of a kind are apart: the mean ratio of their figures, as a logarithm."""
    ratios = [
        abs(math.log(figure.si / other.figures[name].si))
        for name, figure in part.figures.items()
        if name in other.figures and figure.si > 0 and other.figures[name].si > 0
    ]
    return round(sum(ratios) / len(ratios), 9) if ratios else math.inf


def _sizes(design: Design, value: Given) -> list[tuple[float, str]]:
    """The standard sizes of what a quantity is, in SI and as they are written."""
    fixture = design.fixture
    fuse = first_stage(fixture, FuseStage)
    dimmed = (regulator_of(fixture), pulse_of(fixture))
    control = next((stage.control for stage in dimmed if stage and stage.control), None)
    if value.kind == kind_of(ConductorArea):
        if value.written.endswith("AWG"):
            area = measure_of(value.kind)
            return [(read(f"{gauge} AWG", area).si, f"{gauge} AWG") for gauge in GAUGES]
        return [(area, f"{area * 1e6:.4g} mm²") for area in tables.standard_sizes()]
    if value.name == "fuse.rating" and fuse is not None:
        ratings = tables.fuse_ratings(part_of(fuse).words["series"])
        return [(rating, f"{rating:g} A") for rating in ratings]
    if value.name == "control.track" and control is not None:
        share = control.part["tolerance"].si
        return [
            (track.si, f"{track.si:g} ohm ± {share * 100:g} %") for track in control.part.tracks
        ]
    return []
