"""Readings of a piece of the tape: what they put in the place of its label's figures."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from guidegen.calc import sample
from guidegen.calc.sample import Fit, Piece
from guidegen.design import tape_law
from guidegen.design.parts import rated_group_current
from guidegen.design.result import Desk, Finding, Section
from guidegen.errors import GuidegenError
from guidegen.kinds import FinePercent, MilliAmpere
from guidegen.spec.measured import Measured
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part
from guidegen.values import Given, Value, renamed

#: A tape whose readings lie farther from the law than its meter's errors explain, and than this,
#: has no LEDs with a resistor (project default).
FAR = 0.08
#: What a simple lux meter is off by in LED light, as a share (common practice, from memory).
LIGHT_METER = 0.10


@dataclass(frozen=True)
class Read:
    """One reading of a piece of tape, and what the fitted law gives there."""

    at: Value
    found: Value
    fitted: Value


def taken(fixture: Fixture) -> tuple[Fixture, Section]:
    """The fixture with what was measured in the place of the tape's label, and what was read.

    Raises
    ------
    GuidegenError
        If no tape of LEDs with resistors gives such readings.
    """
    desk = Desk("measured", fixture, ())
    samples = [one for one in fixture.measured if one.points or one.lux]
    points = [pair for one in samples for pair in one.points]
    desk.set(tape_sampled=bool(points), tape_light_sampled=any(one.lux for one in samples),
             count__sample_points=float(len(points)))  # fmt: skip
    part, read = fixture.rows.tape, list[Read]()
    if points and tape_law.constant_current(fixture):
        raise GuidegenError("readings of a constant-current tape do not tell its figures: its chips"
                            " hold one current at every voltage. Leave `points` out, and write the"
                            " current that it draws into its `power`")  # fmt: skip
    for one in samples:
        assert one.length is not None  # the spec refuses readings without it
        desk.put(one.length, one.meter)
        piece = _piece(one, part)
        if one.points:
            part, read = _fitted(desk, one, piece, part)
        if one.lux:
            part = _lit(desk, one, piece, part)
    if samples:
        rows = fixture.rows.model_copy(update={"tape": part})
        fixture = fixture.model_copy(update={"rows": rows})
    return fixture, desk.section(tuple(read))


def _piece(one: Measured, part: Part) -> Piece:
    assert one.length is not None
    increment = part["increment"].si
    groups = max(1, round(one.length.si / increment))
    if abs(groups * increment - one.length.si) > 0.02 * increment:
        raise GuidegenError(f"a piece of {one.length} is no whole number of cut increments of"
                            f" {part['increment']}: measure it again from cut line to cut"
                            " line")  # fmt: skip
    return Piece(groups, part["track_resistance"].si * increment, part["voltage"].si,
                 part["leds_per_group"].si)  # fmt: skip


@lru_cache(maxsize=32)  # every settling and every mend tried asks again for the same readings
def _fit(piece: Piece, volts: tuple[float, ...], amps: tuple[float, ...],
         start: tuple[float, float], error: float) -> Fit:  # fmt: skip
    return sample.fitted(piece, np.array(volts), np.array(amps), start, error)


def _fitted(desk: Desk, one: Measured, piece: Piece, part: Part) -> tuple[Part, list[Read]]:
    """The tape with the power of its readings; with several voltages, their forward voltage too."""
    volts = tuple(pair.at.si for pair in one.points)
    amps = tuple(pair.found.si for pair in one.points)
    label, forward = rated_group_current(part), part["forward_voltage"]
    try:
        fit = _fit(piece, volts, amps, (label, forward.si), one.meter.si)
    except GuidegenError as trouble:
        raise GuidegenError(f"no tape of LEDs with resistors gives the readings of 'measured':"
                            f" {trouble}") from None  # fmt: skip
    shown = piece.currents(np.array(volts), fit.amps, fit.forward).sum(axis=1)
    read = [
        Read(desk.put(pair.at), desk.put(pair.found),
             desk.given(f"sample.point_{number}_fitted", MilliAmpere, model, one.source))
        for number, (pair, model) in enumerate(zip(one.points, shown, strict=True), 1)
    ]  # fmt: skip
    off = desk.given("sample.off", FinePercent, fit.off, one.source)
    most = desk.given("sample.most_off", FinePercent, max(FAR, 3 * one.meter.si), "project default")
    desk.find(Finding("sample-law", "holds" if off.si <= most.si else "stop", most, off,
                      one.points[0].found.place, {"kept": off.si <= most.si}))  # fmt: skip
    scale = part["voltage"].si / part["increment"].si
    power = _given(part["power"], fit.amps * scale, fit.spread[0] * scale, one)
    old = desk.put(renamed(part["power"], "label.power"))
    ends, own = part["power"].band, power.band
    meets = own[0] <= ends[1] and ends[0] <= own[1]
    desk.find(Finding("sample-label", "holds" if meets else "advice", old, power,
                      one.points[0].found.place, {"kept": meets}))  # fmt: skip
    figures = {**part.figures, "power": power, **_forward(fit, one, forward)}
    return replace(part, figures=figures), read


def _forward(fit: Fit, one: Measured, forward: Given) -> dict[str, Given]:
    if fit.forward == forward.si:
        return {}
    return {"forward_voltage": _given(forward, fit.forward, fit.spread[1], one)}


def _lit(desk: Desk, one: Measured, piece: Piece, part: Part) -> Part:
    """The tape with the flux of its light; the drop along the piece is counted back."""
    assert one.lux is not None
    assert one.length is not None
    desk.put(renamed(part["flux"], "label.flux"))
    found = desk.work("sample.flux", sample.flux_of, illuminance=one.lux.found,
                      distance=one.lux.at, length=one.length).si  # fmt: skip
    rated = rated_group_current(part)
    mean = rated
    if part.get("chip_dropout") is None:
        forward = part["forward_voltage"].si
        mean = float(piece.currents(np.array([piece.voltage]), rated, forward).mean())
    # Of the reading: the meter's own error stands beside that of the distance and of the dark room.
    flux = _given(part["flux"], found * rated / mean,
                  found * max(one.meter.si, LIGHT_METER), one)  # fmt: skip
    return replace(part, figures={**part.figures, "flux": flux})


def _given(label: Given, si: float, spread: float, one: Measured) -> Given:
    """A figure in the place of the label's."""
    place = one.points[0].found.place if one.points else None
    if one.lux and label.name.endswith("flux"):
        place = one.lux.found.place
    where = f"{place.file}:{place.line}" if place else "spec"
    return replace(label, si=si, source=f"{where} ({one.source})", spread=spread, place=place,
                   written="", ends=None)  # fmt: skip
