"""The meter that the guide asks for: its own errors, and the tolerances that it can judge."""

from __future__ import annotations

import math

from guidegen.calc import bench
from guidegen.design.parts import regulator_of
from guidegen.design.result import Desk, Mend
from guidegen.kinds import FineAmpere, FinePercent, MilliVolt, Ohm, Ratio, Volt, VoltRating
from guidegen.values import Given, Value, band

#: On 10 A. [-], [A].
CURRENT_SHARE, CURRENT_DIGITS = 0.015, 0.03
METER_10_A = "project default: a usual multimeter on 10 A, three digits of 0.01 A"
#: A tolerance is at least so many times the meter's error (common practice, no source). [-].
TIMES = 2.5
#: A fresh alkaline cell at rest, and the leads of a meter with their plugs.
CELL, CELL_SPREAD = 1.58, 0.08
CELL_SOURCE = "from memory: a fresh alkaline cell at rest; the meter's own error included"
LEADS = 0.25
LEADS_SOURCE = "from memory: test leads of a meter, with their plugs"


def judged_current(amps: float) -> float:
    """Least tolerance of a current that a usual meter can judge, in whole hundredths. [A]."""
    error = bench.meter_current_error(amps, CURRENT_SHARE, CURRENT_DIGITS)
    return math.ceil(TIMES * error * 100 - 1e-9) / 100


def settle(desk: Desk) -> None:
    """The meter's own error at all that is set, against the tolerance that it must show."""
    share = desk.given("meter.share", FinePercent, 0.005, "project default: a usual multimeter")
    digits = desk.given("meter.digits", Volt, 0.02, "project default: two digits of 0.01 V")
    desk.given("meter.fine_digits", MilliVolt, 0.0002, "project default: two digits on 200 mV")
    desk.given("meter.times", Ratio, TIMES, "project default")
    full = desk["setting.full"]
    desk.given("meter.cell", Volt, CELL, CELL_SOURCE, CELL_SPREAD)
    desk.given("meter.leads", Ohm, LEADS, LEADS_SOURCE, LEADS)
    # The hand stops by what the meter shows: it must still show where the hand has to stop.
    stop = max(desk["tape.highest_voltage"].si, band(full)[1])
    desk.given("meter.range", VoltRating, bench.meter_range(stop), "common practice, no source")
    error = desk.work("meter.error", bench.meter_error, reading=full, share=share, digits=digits)
    _judge(desk, "setting", full, error)
    if desk.fact("current_limit"):
        of_reading = desk.given("meter.current_share", FinePercent, CURRENT_SHARE, METER_10_A)
        last = desk.given("meter.current_digits", FineAmpere, CURRENT_DIGITS, METER_10_A)
        limit = desk["limit.set"]
        _judge(desk, "limit", limit, desk.work("meter.current_error", bench.meter_current_error,
                                               reading=limit, share=of_reading,
                                               digits=last))  # fmt: skip
    # An adapter has no cut-off of its own, whatever the chain says.
    if "cut_off.trips_at" in desk and (desk.fact("cut_off_part") or desk.fact("supply_cut_off")):
        trips = desk["cut_off.trips_at"]
        _judge(desk, "cut_off", trips, desk.work("meter.cut_off_error", bench.meter_error,
                                                 reading=trips, share=share,
                                                 digits=digits))  # fmt: skip


def _judge(desk: Desk, name: str, target: Value, error: Value) -> None:
    """Whether the meter can show that something lies within its tolerance."""
    if not isinstance(target, Given) or not target.spread:
        return
    kind, law = (FineAmpere, bench.judged_current) if name == "limit" else (Volt, bench.shown_by)
    tolerance = desk.given(f"{name}.tolerance", kind, target.spread, target.source)
    least = desk.work(f"meter.least_{name}", law, error=error, times=desk["meter.times"])
    mends = _wider(desk, least) if name == "setting" else ()
    desk.limit("meter-too-coarse", least, tolerance, at_most=False, level="advice", what=name,
               of_setting=name == "setting", of_limit=name == "limit",
               place=target.place, mends=mends)  # fmt: skip


def _wider(desk: Desk, least: Value) -> tuple[Mend, ...]:
    """As wide a tolerance as a usual meter can show, in whole 0.05 V, below the same top."""
    stage = regulator_of(desk.fixture)
    if stage is None:
        return ()
    spread = math.ceil(least.si / 0.05 - 1e-9) * 0.05
    top = stage.output_high.si + stage.output_high.spread - spread
    low = f"{stage.output_low.si:.4g} V to " if stage.control else ""
    return (Mend({"chain.regulator.output": f"{low}{top:.4g} V ± {spread:.4g} V"}),)
