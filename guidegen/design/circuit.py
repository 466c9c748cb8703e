"""The circuit: every terminal, conductor and joint, from the supply's plug to the tape's pads."""

from __future__ import annotations

from guidegen.design import (
    circuit_beside,
    circuit_chain,
    circuit_control,
    circuit_pulse,
    circuit_rows,
    cooling,
)
from guidegen.design.circuit_facts import enter_facts
from guidegen.design.ferrules import twinned
from guidegen.design.growing import Wiring
from guidegen.design.hardware import hardware
from guidegen.design.model import Model, Part, Terminal
from guidegen.design.openings import Openings
from guidegen.design.parts import all_stages, regulator_of
from guidegen.design.result import Desk, Section
from guidegen.design.solid import Box
from guidegen.spec.model import Fixture
from guidegen.spec.stages import PulseWidthStage


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Build the circuit in the order in which the current flows."""
    desk = Desk("circuit", fixture, before)
    body: tuple[Part, ...] = desk.result("body")
    wiring = Wiring(desk, body)
    for letter in "HU":
        wiring.counts[letter] = sum(part.ref.startswith(letter) for part in body)
    wiring.at_supply = bool(desk.fact("battery"))
    circuit_chain.supply(wiring)
    for stage in all_stages(fixture):
        if isinstance(stage, PulseWidthStage):
            circuit_pulse.module(wiring, stage)
        else:
            circuit_chain.stage(wiring, stage)
    regulator = regulator_of(fixture)
    if regulator is not None and regulator.control is not None:
        circuit_control.control(wiring)
    circuit_pulse.control(wiring)
    boards = [part.ref for part in body if part.role == "board"]
    for number, board in enumerate(boards, 1):
        circuit_rows.panel(wiring, number, board)
    circuit_beside.fan(wiring)
    circuit_beside.pilot_light(wiring)
    openings = Openings(desk, body)
    hardware(wiring, openings)
    cooling.sink(wiring, openings)
    cooling.vents(desk, openings)
    used = {joint.terminal for joint in wiring.joints} | {"G1:+", "G1:-"}
    terminals = tuple(
        Terminal(t.part, t.name, t.polarity, t.at, unused=t.key not in used, mark=t.mark)
        for t in wiring.terminals
    )
    model = Model((*openings.bored(), *wiring.parts), terminals, twinned(wiring.measured()),
                  tuple(wiring.joints), body[0].box or Box(0, 0, 1, 1))  # fmt: skip
    enter_facts(desk, model)
    return desk.section(model)
