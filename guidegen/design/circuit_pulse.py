"""The pulse-width stage of the circuit: its module, and three leads to its control."""

from __future__ import annotations

from guidegen.design.circuit_chain import CONTROL_PADS, four_pole
from guidegen.design.circuit_control import potentiometer
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
    # Turned clockwise the wiper leaves lug 1: at the low end it lies there, or at lug 3.
    live = "1" if stage.control.raises == "clockwise" else "3"
    _, lugs = potentiometer(wiring, stage.control.part, live)
    straight = stage.control.raises == part_of(stage).words["raises"]
    module = next(part.ref for part in wiring.parts if part.role == "pulse_width")
    names = "123" if straight else "321"
    for pad, name, core in zip(CONTROL_PADS["pulse_width"], names, "abc", strict=True):
        wiring.wire("pulse_lead", f"{module}:{pad}", lugs[name], core)
