"""Numbers of the checks: start voltages, limits and expected readings at the bench."""

from __future__ import annotations

import math

from guidegen.calc import bench
from guidegen.design.parts import regulator_of, steps_up
from guidegen.design.pulse import output
from guidegen.design.result import PRACTICE, Desk, Mend, Section
from guidegen.kinds import Ampere, Celsius, FinePercent, MilliVolt, Ohm, Ratio, Volt
from guidegen.spec.model import Fixture
from guidegen.values import Given, Value

#: Settings of a bench supply for tests of a part: enough to work, too little to harm.
TEST_LIMIT = 0.5
ROOM_OVER = 1.0
IRON = 350.0


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle what the builder sets and reads."""
    desk = Desk("bench", fixture, before)
    desk.given("bench.limit", Ampere, TEST_LIMIT, "project default")
    desk.given("iron.temperature", Celsius, 273.15 + IRON, PRACTICE)
    factor = desk.given("bench.factor", Ratio, 1.4, "project default")
    rated = desk.work("row.rated_current", bench.row_rated_current,
                      group_current=desk["group.rated_current"],
                      groups=desk["row.groups"])  # fmt: skip
    desk.work("row.sample_limit", bench.limit_over, current=rated,
              factor=desk.given("row.sample_factor", Ratio, 1.5, "project default"))  # fmt: skip
    # Straight on the supply, the lead's drop comes off the tape's voltage as well.
    straight = not desk.fact("regulator")
    if straight:
        # The leads were judged at the highest current; the meter sees the nominal one.
        lost = desk.work("leads.usual_drop", bench.drop_at, drop=desk["leads.drop"],
                         at=desk["input.highest_current"],
                         current=desk["input.current"])  # fmt: skip
    else:
        lost = desk.given("lead.no_drop", MilliVolt, 0, "regulated")
    desk.work("panel.feed_voltage", bench.at_rails, full=output(desk),
              before=lost, feed=desk["feed.drop"])  # fmt: skip
    # The bench supply stands in for the own supply, at its nominal voltage.
    desk.work("input.bench_current", bench.same_current, current=desk["input.current"])
    own = desk["battery.highest_current" if desk.fact("battery") else "adapter.highest_current"]
    share = desk.given("bench.share", Ratio, 0.9, "project default: below the own supply")
    most = desk.work("bench.most", bench.limit_over, current=own, factor=share)
    desk.work("bench.limit_full", bench.limit_below, current=desk["input.current"], factor=factor,
              most=most)  # fmt: skip
    desk.work("feed.half_drop", bench.half, drop=desk["feed.drop"])
    desk.given("scan.tolerance", MilliVolt, max(desk["feed.half_drop"].si, 0.01), "project default")
    _meter(desk)
    stage = regulator_of(fixture)
    if stage is not None:
        if steps_up(stage):
            desk.work("bench.start", bench.own_voltage, voltage=desk["supply.voltage"])
        else:
            room = desk.given("bench.room", Volt, ROOM_OVER, "project default")
            desk.work("bench.start", bench.start_voltage, full=desk["setting.full"],
                      dropout=desk["regulator.dropout"], room=room)  # fmt: skip
        if desk.fact("current_limit"):
            short = desk.given("bench.short_factor", Ratio, 1.1, "project default")
            desk.work("bench.limit_short", bench.limit_below, current=desk["limit.set"],
                      factor=short, most=most)  # fmt: skip
    desk.given("reading.joined_most", Ohm, 1.0, "project default")
    return desk.section()


def _meter(desk: Desk) -> None:
    """The meter's own error at the upper end, against the tolerance that it must show."""
    share = desk.given("meter.share", FinePercent, 0.005, "project default: a usual multimeter")
    digits = desk.given("meter.digits", Volt, 0.02, "project default: two digits on 20 V")
    error = desk.work("meter.error", bench.meter_error, reading=desk["setting.full"], share=share,
                      digits=digits)  # fmt: skip
    times = desk.given("meter.times", Ratio, 2.5, "project default")
    full = desk["setting.full"]
    if not isinstance(full, Given) or not full.spread:
        return
    tolerance = desk.given("setting.tolerance", Volt, full.spread, full.source)
    least = desk.work("meter.least_tolerance", bench.shown_by, error=error,
                      times=times)  # fmt: skip
    desk.limit("meter-too-coarse", least, tolerance, at_most=False, level="advice",
               place=full.place, mends=_wider(desk, least))  # fmt: skip


def _wider(desk: Desk, least: Value) -> tuple[Mend, ...]:
    """As wide a tolerance as a usual meter can show, in whole 0.05 V, below the same top."""
    stage = regulator_of(desk.fixture)
    if stage is None:
        return ()
    spread = math.ceil(least.si / 0.05 - 1e-9) * 0.05
    top = stage.output_high.si + stage.output_high.spread - spread
    low = f"{stage.output_low.si:.4g} V to " if stage.control else ""
    return (Mend({"chain.regulator.output": f"{low}{top:.4g} V ± {spread:.4g} V"}),)
