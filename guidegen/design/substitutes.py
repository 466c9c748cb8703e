"""What a substitute for a stage must bear: the most that this guide lets flow through it."""

from __future__ import annotations

import math

from guidegen.design.loads import rated_current
from guidegen.design.parts import part_of, pulse_of, rated_at_input, regulator_of
from guidegen.design.result import Desk, Section
from guidegen.kinds import Ampere
from guidegen.spec.model import Fixture
from guidegen.values import Value, band

#: A rating is asked for in tenths of an ampere, rounded up.
STEPS = 10
LIMITED = "the upper end of the current limit, no more than the design's own module bears"
WORST = "the greatest current by tolerances, no more than the design's own module bears"


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle the ratings of substitutes for regulator and pulse-width stage."""
    desk = Desk("substitutes", fixture, before)
    stage, pulses = regulator_of(fixture), pulse_of(fixture)
    behind = "panel.current" if stage is not None else "input.highest_current"
    limited = "limit.set" in desk
    desk.set(rated_at_input=stage is not None and rated_at_input(part_of(stage)))
    if stage is not None:
        at_input = rated_at_input(part_of(stage))
        held = limited and not at_input
        _asked(desk, "regulator.asked",
               desk["limit.set"] if held else rated_current(desk, at_input),
               part_of(stage)["current"], held)  # fmt: skip
    if pulses is not None:
        _asked(desk, "pulse_width.asked", desk["limit.set" if limited else behind],
               part_of(pulses)["current"], limited)  # fmt: skip
    return desk.section()


def _asked(desk: Desk, name: str, flows: Value, own: Value, limited: bool) -> None:
    worst = math.ceil(band(flows)[1] * STEPS - 1e-9) / STEPS
    desk.given(name, Ampere, min(worst, own.si), LIMITED if limited else WORST)
