"""What a regulator can give over the whole window of its supply."""

from __future__ import annotations

import math
from typing import Any

from guidegen.calc import budget, tape
from guidegen.design.discharge import by_heart
from guidegen.design.outputs import greatest_output, output_text
from guidegen.design.parts import part_of, steps_up
from guidegen.design.result import Desk, Mend
from guidegen.kinds import Ratio, Volt
from guidegen.spec.stages import RegulatorStage
from guidegen.values import Value, band

#: Share of a battery's charge at which a light must still be full.
HALF = 0.5
OF_BATTERY = ("full_until", "ends_at", "last_light")


def headroom(desk: Desk, stage: RegulatorStage) -> None:
    """What the regulator can give over the whole window of the supply."""
    if steps_up(stage):
        _pass_through(desk, stage)
    else:
        _dropout(desk, stage)


def _pass_through(desk: Desk, stage: RegulatorStage) -> None:
    """A step-up gives no less than its input: what that does to full, low and off."""
    highest = desk["supply.highest"]
    drop = desk.put(part_of(stage)["dropout"])
    passed = desk.work("regulator.passes", budget.passed_through, voltage=highest, drop=drop)
    down = (Mend({"chain.regulator": "auto"}),)
    desk.limit("step-up-room", highest, desk["setting.full"], at_most=False, worst=True,
               place=stage.place, mends=down)  # fmt: skip
    desk.limit("step-up-over", desk["tape.highest_voltage"], highest, place=stage.place,
               mends=down)  # fmt: skip
    top = f"{stage.output_high.si:.4g} V"
    lowest = math.ceil(highest.si * 10) / 10 + 0.5
    raised = (Mend({"chain.regulator.output": f"{lowest:.4g} V to {top}"}),)
    desk.limit("step-up-low", highest, desk["setting.low"], at_most=False, level="advice",
               place=stage.place, passed=passed,
               mends=raised if lowest < stage.output_high.si else ())  # fmt: skip
    share = desk.given("tape.glow_share", Ratio, 0.75, "from memory: white LEDs glow from about"
                       " three quarters of their forward voltage", 0.04)  # fmt: skip
    glow = desk.work("tape.glow", tape.glow_voltage, threshold=desk["tape.threshold"], share=share)
    least = desk.given("tape.lowest_glow", Volt, band(glow)[0],
                       "from memory: lower end of the band of tape.glow")  # fmt: skip
    desk.limit("passes-through", least, highest, level="advice", place=stage.place, passed=passed,
               glow=glow)  # fmt: skip


def _dropout(desk: Desk, stage: RegulatorStage) -> None:
    dropout = desk.put(part_of(stage)["dropout"])
    found = desk.work("regulator.highest_possible", budget.room_above,
                      voltage=desk["supply.lowest"], lead=desk["leads.drop"],
                      dropout=dropout)  # fmt: skip
    short = "battery.full_until" in desk
    # A battery whose light stays full for half of its charge is no fault: its light ends softly.
    # The bench works at its usual voltage: there the light must be full, or no reading is right.
    usual = short and desk["battery.full_needs"].si <= desk["supply.voltage"].si
    level = "advice" if usual and desk["battery.full_until"].si <= HALF else "stop"
    names: dict[str, Any] = {name: desk[f"battery.{name}"] for name in OF_BATTERY if short}
    desk.limit("headroom", desk["setting.full"], found, at_most=False, place=stage.place,
               level=level, short=short, fades=desk.fact("fades"),
               curve_by_heart=short and by_heart(desk), **names,
               mends=_lower_full(stage, found))  # fmt: skip


def _lower_full(stage: RegulatorStage, found: Value) -> tuple[Mend, ...]:
    most = found.si - stage.output_high.spread
    top = greatest_output(stage, lambda volts: volts <= most)
    return (Mend({f"{stage.path}.output": output_text(stage, top)}),) if top else ()
