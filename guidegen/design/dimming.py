"""What the light takes with its control between the ends: output and current at each quarter."""

from __future__ import annotations

from guidegen.calc import bench, control, loaded, tape, trimming
from guidegen.calc.led_group import dimmed_current
from guidegen.design import efficiency, tape_law
from guidegen.design.beside import at_output, beside
from guidegen.design.result import Desk, Section
from guidegen.kinds import Ampere, FineAmpere, Ohm, Ratio
from guidegen.spec.model import Fixture
from guidegen.values import Value, band

#: Name and share of the travel, from the low end. The hand sets it by eye.
STOPS = (("quarter", 0.25), ("half", 0.5), ("three_quarters", 0.75))
BY_EYE = 0.08
#: A bench supply's display, and what a module takes for itself. [A].
DISPLAY, OWN = 0.02, 0.03
SHOWN = "band of the current, 0.02 A of a display and 0.03 A of the module itself, from memory"
SOURCE = "quarters of the travel, set by eye: project default"
#: What the current at any output hangs on, by the law's own names.
CURVE = {
    "rated_voltage": "tape.voltage", "rated_current": "panel.rated_current",
    "leds": "tape.leds_per_group", "forward_voltage": "tape.forward_voltage",
    "ideality": "network.ideality", "drop": "panel.mean_drop", "at": "panel.current",
}  # fmt: skip


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle the readings between the ends of a regulator's control."""
    desk = Desk("dimming", fixture, before)
    # The network reads it too.
    tape_law.ideality(desk)
    if desk.fact("control"):
        for name, share in STOPS:
            output = _output(desk, name, desk.given(f"dimmed.{name}_travel", Ratio, share, SOURCE,
                                                    BY_EYE))  # fmt: skip
            _current(desk, name, output)
        _low_end(desk)
    return desk.section()


def _low_end(desk: Desk) -> None:
    """What flows at the low end, and the bench supply's limit for the first power there."""
    current = _current(desk, "low", desk["control.low_output"])
    most = desk.given("dimmed.low_most", Ampere, band(current)[1],
                      "upper end of the band of dimmed.low_current")  # fmt: skip
    desk.work("bench.limit_low", bench.limit_between, least=desk["bench.limit"], current=most,
              factor=desk["bench.factor"], most=desk["bench.most"])  # fmt: skip
    # A bench supply shows hundredths of an ampere, and a module takes a little for itself.
    desk.given("dimmed.low_tolerance", FineAmpere, most.si - current.si + DISPLAY + OWN, SHOWN)
    desk.given("dimmed.low_least", FineAmpere, max(band(current)[0] - DISPLAY, 0.0), SHOWN)


def _output(desk: Desk, name: str, travel: Value) -> Value:
    """Output of the regulator there: the same laws as at the ends, with a part of the track."""
    reference, fixed = desk["regulator.reference"], desk["regulator.fixed_resistor"]
    none = desk["control.none"] if "control.none" in desk else desk.given(
        "control.none", Ohm, 0.0, "no resistor there")  # fmt: skip
    end = desk["control.end"] if "control.end" in desk else none
    lower_leg = bool(desk.fact("control_lower"))
    law = control.track_above if lower_leg else control.track_below
    part = desk.work(f"dimmed.{name}_track", law, track=desk["control.track"], travel=travel)
    if "control.across" in desk:
        part = desk.work(f"dimmed.{name}_span", control.parallel, a=part, b=desk["control.across"])
    key = f"dimmed.{name}_output"
    if desk.fact("replaces_trimmer"):
        upper = desk.work(f"dimmed.{name}_upper", control.series_pair, a=end, b=part)
        return desk.work(key, control.divider_output, reference=reference, upper=upper,
                         lower=fixed)  # fmt: skip
    high = desk["control.high_output"]
    if lower_leg:
        return desk.work(key, trimming.low_end_lower_leg, high=high, reference=reference, end=end,
                         span=part)  # fmt: skip
    rest = desk.work(f"dimmed.{name}_rest", control.left_out, whole=desk["control.span"], used=part)
    return desk.work(key, trimming.low_end_upper_leg, high=high, reference=reference, span=rest,
                     lower=fixed)  # fmt: skip


def _current(desk: Desk, name: str, output: Value) -> Value:
    """What a bench supply shows there, through the same leads and regulator as at full."""
    current = desk.work(f"dimmed.{name}_panel", dimmed_current, output=output,
                        **{key: desk[name] for key, name in CURVE.items()})  # fmt: skip
    idle = desk["pulse_width.no_idle"] if "pulse_width.no_idle" in desk else desk.given(
        "pulse_width.no_idle", Ampere, 0.0, "no pulse-width stage")  # fmt: skip
    more = at_output(desk, f"dimmed.{name}_", output, likely=True)
    if more is not None:
        current = desk.work(f"dimmed.{name}_whole", loaded.with_beside, current=current,
                            beside=more)  # fmt: skip
    given = desk.work(f"dimmed.{name}_given", tape.tape_power, voltage=output, current=current)
    there = efficiency.at(desk, f"dimmed.{name}_efficiency", desk["supply.voltage"], output,
                          current, given)  # fmt: skip
    power = desk.work(f"dimmed.{name}_power", loaded.regulated_power, current=current, idle=idle,
                      voltage=output, efficiency=there)  # fmt: skip
    drawn = desk.work(f"dimmed.{name}_drawn", loaded.drawn_through, power=power,
                      drop=desk["side.whole_drop"], voltage=desk["supply.voltage"],
                      at=desk["panel.current"])  # fmt: skip
    other = beside(desk, "likely_current") or desk["fan.no_current"]
    return desk.work(f"dimmed.{name}_current", loaded.with_beside, current=drawn, beside=other)
