"""The pulse-width stage: what it loses, its control, its ratings, the flicker of its light."""

from __future__ import annotations

from guidegen.calc import control, cooling, pulse
from guidegen.design.control import SIGNAL_AREA
from guidegen.design.parts import part_of, pulse_of, regulator_of, sink_of
from guidegen.design.result import PRACTICE, Desk, Finding, Mend, Section
from guidegen.design.rows import place_of
from guidegen.kinds import ConductorArea, Hertz, Ohm, OhmRating, Percent, Ratio
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.quantities import Auto
from guidegen.spec.stages import PulseWidthStage, RegulatorStage
from guidegen.values import Given, Value, band, renamed

#: Frequencies from which light that goes out between pulses is low risk, and without observable
#: effect. Below them the lines fall with the frequency. [Hz].
LOW_RISK, NO_EFFECT = 1250.0, 3000.0
LINES = "IEEE 1789-2015, from memory"
#: Below this, pulses can be seen as such and can start seizures. [Hz].
VISIBLE = 90.0
#: Of a module's heat, what a sink that stands out takes.
SINK_SHARE = 0.7


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle what the stage takes, its control and its flicker; without one, that there is none."""
    desk = Desk("pulse", fixture, before)
    stage = pulse_of(fixture)
    desk.set(pulse_width=stage is not None, pulse_negative=False, flicker_risk=False,
             flicker_seen=False, flicker_visible=False)  # fmt: skip
    if stage is None:
        return desk.section()
    part = part_of(stage)
    desk.set(pulse_negative=part.words["switches"] == "negative")
    _losses(desk, part)
    _control(desk, stage, part)
    _flicker(desk, stage, part)
    return desk.section()


def _losses(desk: Desk, part: CataloguePart) -> None:
    current, resistance = desk["panel.current"], desk.put(part["resistance"])
    drop = desk.work("pulse_width.drop", pulse.stage_drop, current=current, resistance=resistance)
    desk.work("pulse_width.output", pulse.behind, full=desk["setting.full"], drop=drop)
    loss = desk.work("pulse_width.loss", pulse.stage_loss, current=current, resistance=resistance,
                     voltage=desk["setting.full"],
                     idle_current=desk.put(part["idle_current"]))  # fmt: skip
    desk.work("load.power", pulse.loaded, power=desk["panel.power"], loss=loss)
    half = desk.given("pulse_width.half_duty", Percent, 0.5, "definition of half light")
    desk.work("pulse_width.half_current", pulse.average_current, peak=current, duty=half)


def output(desk: Desk) -> Value:
    """Voltage at the feed while the light is on."""
    return desk["pulse_width.output" if "pulse_width.output" in desk else "setting.full"]


def box_loss(desk: Desk) -> Value | None:
    """Heat of all modules in the box; None where there is none."""
    names = {"regulator": "regulator.boxed" if boxed(desk) else "regulator.loss",
             "pulse_width": "pulse_width.loss"}  # fmt: skip
    found = [desk[name] for name in names.values() if name in desk]
    if "box.loss" in desk or len(found) < 2:
        return desk["box.loss"] if "box.loss" in desk else next(iter(found), None)
    return desk.work("box.loss", pulse.loaded, power=found[0], loss=found[1])


def boxed(desk: Desk) -> bool:
    """Whether a sink takes a part of the regulator's heat out of the box; enters what it leaves."""
    sink = sink_of(desk.fixture)
    if sink is None or not sink.outside or "regulator.loss" not in desk:
        return False
    if "regulator.boxed" not in desk:
        share = desk.given("sink.share", Percent, SINK_SHARE,
                           "from memory: the module's own faces give the rest", 0.2)  # fmt: skip
        desk.work("regulator.boxed", cooling.rest_of, loss=desk["regulator.loss"], share=share)
    return True


def tenderest(fixture: Fixture) -> RegulatorStage | PulseWidthStage | None:
    """The module that bears the least warmth around it; None where there is none."""
    found = [stage for stage in (regulator_of(fixture), pulse_of(fixture)) if stage]
    return min(found, key=lambda stage: part_of(stage)["highest_ambient"].si, default=None)


def _control(desk: Desk, stage: PulseWidthStage, part: CataloguePart) -> None:
    """Its track is the one that the module is made for; its ends are off and full."""
    made_for = desk.put(part["track"])
    wish = stage.control.track
    if isinstance(wish, Given):
        track = wish
        desk.put(track)
        low, high = made_for.si - made_for.spread, made_for.si + made_for.spread  # type: ignore[attr-defined]
        if not low * (1 - 1e-9) <= wish.si <= high * (1 + 1e-9):
            desk.find(Finding("pulse-track", "stop", made_for, track, place_of(wish), {},
                              (Mend({f"{stage.path}.control.track": "auto"}),)))  # fmt: skip
    else:
        spread = made_for.si * stage.control.part["tolerance"].si
        track = desk.given("control.track", OhmRating, made_for.si, "the stage's data sheet",
                           spread)  # fmt: skip
        desk.chose("control.track", str(track))
    desk.given("control.at_low", Ohm, 10.0, f"end resistance of a track: {PRACTICE}", 10.0)
    desk.put(renamed(track, "control.at_high"))
    volts = desk.put(part["track_voltage"])
    desk.work("control.current", control.divider_current, reference=volts, lower=track)
    desk.given("control.lead_size", ConductorArea, SIGNAL_AREA, "project default")


def _flicker(desk: Desk, stage: PulseWidthStage, part: CataloguePart) -> None:
    """The light goes out between pulses: only their number a second decides what that does."""
    asked = stage.frequency
    found = desk.put(asked if isinstance(asked, Given) else part["frequency"])
    lowest = desk.given("pulse_width.lowest_frequency", Hertz, band(found)[0],
                        "lower end of the band of pulse_width.frequency")  # fmt: skip
    on = desk.given("pulse_width.light_on", Ratio, 1.0, "while it is on")
    off = desk.given("pulse_width.light_off", Ratio, 0.0, "between pulses: LEDs go out at once")
    desk.work("flicker.percent", pulse.percent_flicker, brightest=on, dimmest=off)
    desk.work("flicker.index", pulse.pulse_index, duty=desk["pulse_width.half_duty"])
    place = place_of(asked) or stage.place
    faster = (Mend({stage.path: "auto", f"{stage.path}.frequency": f"at least {NO_EFFECT:g} Hz"}),)
    if isinstance(asked, Auto) and asked.low is not None:
        desk.limit("pulse-frequency", desk.put(asked.low), lowest, at_most=False, place=place,
                   mends=(Mend({stage.path: "auto"}),))  # fmt: skip
    tools = bool(desk.fact("use.rotating_tools"))
    risk = desk.given("flicker.low_risk", Hertz, LOW_RISK, LINES)
    seen = desk.given("flicker.no_effect", Hertz, NO_EFFECT, LINES)
    low = desk.limit("flicker-low-risk", risk, lowest, at_most=False, place=place, mends=faster,
                     level="stop" if tools else "advice", tools=tools)  # fmt: skip
    none = desk.limit("flicker-no-effect", seen, lowest, at_most=False, level="advice",
                      place=place, mends=faster, tools=tools)  # fmt: skip
    desk.set(flicker_risk=not low, flicker_seen=not none, flicker_visible=lowest.si < VISIBLE)


def ratings(desk: Desk) -> None:
    """What the stage bears: the current while it is on, and the voltage before it."""
    stage = pulse_of(desk.fixture)
    if stage is None:
        return
    part, place = part_of(stage), stage.place
    behind_regulator = regulator_of(desk.fixture) is not None
    auto = (Mend({stage.path: "auto"}),)
    current = desk["panel.current" if behind_regulator else "input.highest_current"]
    desk.limit("pulse-current", desk.put(part["current"]), current, worst=True, place=place,
               mends=auto)  # fmt: skip
    highest = desk["setting.full" if behind_regulator else "supply.highest"]
    lowest = desk["setting.full" if behind_regulator else "supply.lowest"]
    desk.limit("pulse-voltage", desk.put(part["voltage"]), highest, worst=True, place=place,
               mends=auto)  # fmt: skip
    desk.limit("pulse-voltage-low", desk.put(part["voltage_low"]), lowest, at_most=False,
               worst=True, place=place, mends=auto)  # fmt: skip
    whole = desk.given("pulse_width.whole_duty", Percent, 1.0, "every reading is made at full duty")
    desk.limit("pulse-full-duty", whole, desk.put(part["highest_duty"]), at_most=False,
               place=place, mends=auto)  # fmt: skip
    side = part.words["switches"]
    if stage.switches not in ("auto", side):
        desk.find(Finding("pulse-side", "stop", place=place,
                          names={"wanted": stage.switches, "side": side},
                          mends=(Mend({f"{stage.path}.switches": "auto"}),)))  # fmt: skip
