"""The pulse-width stage of the circuit: its module, and three leads to its control."""

from __future__ import annotations

from guidegen.design import places
from guidegen.design.circuit_chain import CONTROL_PADS, four_pole
from guidegen.design.growing import Wiring
from guidegen.design.parts import part_of, pulse_of
from guidegen.spec.stages import PulseWidthStage


def module(wiring: Wiring, stage: PulseWidthStage) -> None:
    """Lead both poles through the stage; what it opens between pulses is told at its terminals."""
    part = part_of(stage)
    if any(p.role == "regulator" for p in wiring.parts):
        # Joined only when the regulator is set: until then its output may be anything.
        for pole in wiring.poles.values():
            pole.pending = "stage_link"
    four_pole(wiring, "T", "pulse_width", part)
    wiring.switched = "-" if part.words["switches"] == "negative" else "+"


def control(wiring: Wiring) -> None:
    """Lug to pad, in order, or with the outer lugs exchanged where that turns the other way."""
    stage = pulse_of(wiring.desk.fixture)
    if stage is None:
        return
    desk = wiring.desk
    solid = places.in_box(desk, "control")
    # Its lugs look into the box: the shaft passes through the left wall.
    x, y = solid.high[0], (solid.low[1] + solid.high[1]) / 2
    ref = wiring.part("R", "control", stage.control.part, wiring.home(solid), side="back",
                      solid=solid)  # fmt: skip
    straight = stage.control.raises == part_of(stage).words["raises"]
    # Turned clockwise the wiper leaves lug 1: at the low end it lies there, or at lug 3.
    wiring.live = "1" if stage.control.raises == "clockwise" else "3"
    lugs = [wiring.terminal(ref, name, "", (x, y + shift))
            for name, shift in (("1", 0.005), ("2", 0.0), ("3", -0.005))]  # fmt: skip
    wiring.live = ""
    module = next(part.ref for part in wiring.parts if part.role == "pulse_width")
    ends = lugs if straight else lugs[::-1]
    for pad, lug, core in zip(CONTROL_PADS["pulse_width"], ends, "abc", strict=True):
        wiring.wire("pulse_lead", f"{module}:{pad}", lug, core)
