"""Currents of group, row and panel, and the voltage that the tape's own tracks lose."""

from __future__ import annotations

import math

from guidegen.calc import drops, row_drops, tape, trimming
from guidegen.design import panels, tape_law
from guidegen.design.outputs import STEPS, output_text
from guidegen.design.parts import regulator_of, supply_part
from guidegen.design.result import Desk, Finding, Halt, Mend, Section
from guidegen.design.rows import place_of
from guidegen.kinds import Count, Law, Metre, Ratio, Volt
from guidegen.spec.model import Fixture
from guidegen.values import Given, Value, band, renamed

DROP_LAWS: dict[str, Law] = {
    "left end": row_drops.row_drop_one_end,
    "right end": row_drops.row_drop_one_end,
    "opposite ends": row_drops.row_drop_opposite_ends,
    "both ends": row_drops.row_drop_both_ends,
}
#: Half the mount's block, and room for a rail beside it. [m].
BLOCK_HALF = 0.045
BETTER_FEED = {"left end": "opposite ends", "right end": "opposite ends",
               "opposite ends": "both ends"}  # fmt: skip


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle what the tape draws at the full and at the low setting.

    Raises
    ------
    Halt
        If the tape may stay dark: there is no light to build.
    """
    desk = Desk("electrical", fixture, before)
    figures = fixture.rows.tape
    for name in ("voltage", "power", "forward_voltage", "leds_per_group", "track_resistance",
                 "highest_voltage"):  # fmt: skip
        desk.put(figures[name])
    _settings(desk)
    _dimming(desk)
    _currents(desk)
    _feed(desk)
    return desk.section()


def _settings(desk: Desk) -> None:
    """The voltages that `full` and `low` mean."""
    regulator = regulator_of(desk.fixture)
    if regulator is None:
        supply = supply_part(desk.fixture)["voltage"]
        desk.put(renamed(supply, "setting.full"), renamed(supply, "setting.low"))
    else:
        desk.put(renamed(regulator.output_high, "setting.full"))
        desk.put(renamed(regulator.output_low, "setting.low"))
    full = desk["setting.full"]
    highest = desk["tape.highest_voltage"]
    desk.limit("tape-voltage", highest, full, worst=True,
               place=regulator.output_high.place if regulator else desk.fixture.place("supplies.1"),
               mends=_lower_output(desk))  # fmt: skip
    rated = desk["tape.voltage"]
    # Light that is wanted from a tape far below its voltage is no light.
    threshold = desk.work("tape.threshold", tape.dark_voltage,
                          leds_per_group=desk["tape.leds_per_group"],
                          forward_voltage=desk["tape.forward_voltage"])  # fmt: skip
    # Not only on average: where tolerances may leave it dark, there is nothing to build.
    lit = band(full)[0] > band(threshold)[1]
    if not lit:
        threshold = desk.given("tape.highest_threshold", Volt, band(threshold)[1],
                               "upper end of the band of tape.threshold")  # fmt: skip
    desk.find(Finding("tape-dark", "holds" if lit else "stop", threshold, full,
                      regulator.output_high.place if regulator else None,
                      {"rated": rated, "kept": lit},
                      () if lit else _label_output(desk)))  # fmt: skip
    if not lit:
        raise Halt(desk.section())
    desk.set(low_is_dark=desk["setting.low"].si <= threshold.si,
             regulator=regulator is not None)  # fmt: skip


def _dimming(desk: Desk) -> None:
    """Constant-current tape gives the same light at every voltage that it works at."""
    held = tape_law.constant_current(desk.fixture)
    desk.set(constant_current=held)
    if not held:
        return
    stage = regulator_of(desk.fixture)
    control = stage is not None and stage.control is not None
    fixed, path = {}, stage.path if stage is not None else ""
    if stage is not None:
        top = stage.output_high
        spread = f" ± {top.spread:.2g} V" if top.spread else ""
        fixed = {f"{path}.control": "none", f"{path}.output": f"{top.si:.4g} V{spread}"}
    desk.find(Finding("voltage-dims", "stop" if control else "holds",
                      place=stage.place if stage else None, names={"kept": not control},
                      mends=(Mend(fixed | {"chain.+pulse_width": "auto"}), Mend(fixed))
                      if control else ()))  # fmt: skip
    if control:
        raise Halt(desk.section())


def _label_output(desk: Desk) -> tuple[Mend, ...]:
    """Up to the label's voltage, less the output's own tolerance."""
    regulator = regulator_of(desk.fixture)
    if regulator is None:
        return ()
    top = desk["tape.voltage"].si - regulator.output_high.spread
    return (Mend({f"{regulator.path}.output": output_text(regulator, top)}),)


def _lower_output(desk: Desk) -> tuple[Mend, ...]:
    regulator = regulator_of(desk.fixture)
    if regulator is None:
        return ()
    most = desk["tape.highest_voltage"].si - regulator.output_high.spread
    top = math.floor(most * STEPS + 1e-9) / STEPS
    return (Mend({f"{regulator.path}.output": output_text(regulator, top)}),)


def _currents(desk: Desk) -> None:
    rated = desk.work("group.rated_current", tape.rated_group_current,
                      power=desk["tape.power"], increment=desk["tape.increment"],
                      voltage=desk["tape.voltage"])  # fmt: skip
    tape_law.enter(desk)
    count = desk.fixture.panel_count
    if count > 1:
        desk.given("panels", Count, count, "panels")
        desk.work("rows.all", tape.all_panels, rows=desk["row.count"], panels=desk["panels"])
    rows = panels.all_rows(desk)
    for setting, ending in (("setting.full", ""), ("setting.low", "_low")):
        one = tape_law.current(desk, f"group.current{ending}", desk[setting])
        row = desk.work(f"row.current{ending}", tape.row_current, group_current=one,
                        groups=desk["row.groups"])  # fmt: skip
        panel = desk.work(f"panel.current{ending}", tape.panel_current, row_current=row,
                          rows=rows)  # fmt: skip
        desk.work(f"panel.power{ending}", tape.tape_power, voltage=desk[setting], current=panel)
        desk.work(f"panel.light_ratio{ending}", tape.light_ratio, current=one,
                  rated_current=rated)  # fmt: skip
    groups = desk.work("panel.groups", tape.panel_groups, groups=desk["row.groups"], rows=rows)
    desk.work("panel.rated_current", trimming.of_all_groups, group_current=rated, groups=groups)
    if count > 1:
        alone = desk.work("one_panel.current", tape.panel_current, row_current=desk["row.current"],
                          rows=desk["row.count"])  # fmt: skip
        desk.work("one_panel.power", tape.tape_power, voltage=desk["setting.full"], current=alone)
    desk.set(several_panels=count > 1, count__panels=float(count))


def _feed(desk: Desk) -> None:
    """Where the rows are fed: as the spec says, or the simplest way that keeps the limit."""
    asked = desk.fixture.rows.fed_from
    limit = desk.put(desk.fixture.limits.row_drop)
    feed = asked
    if asked == "auto":
        feed = next((w for w in DROP_LAWS if w != "right end" and _share(desk, w) <= limit.si),
                    "both ends")  # fmt: skip
        desk.chose("row.feed", feed, wanted=limit)
    inputs = {"row_current": desk["row.current"], "row_length": desk["row.length"],
              "track_resistance": desk["tape.track_resistance"]}  # fmt: skip
    if feed == "middle":
        fed = _feed_point(desk)
        drop = desk.work("row.drop", row_drops.row_drop_at_point, longer_share=fed,
                         **inputs)  # fmt: skip
    else:
        fed = desk.given("row.fed_share", Ratio, 0.5 if feed == "both ends" else 1.0, feed)
        drop = desk.work("row.drop", DROP_LAWS[feed], **inputs)
    desk.work("row.track_drop", row_drops.track_drop, fed_share=fed, **inputs)
    share = desk.work("row.drop_share", drops.drop_share, drop=drop, voltage=desk["setting.full"])
    if not tape_law.holds(desk, desk["setting.full"]):
        mends = (Mend({"rows.1.fed_from": BETTER_FEED[feed]}),) if feed in BETTER_FEED else ()
        desk.limit("row-drop", limit, share, level="advice", mends=mends, feed=feed, drop=drop,
                   place=desk.fixture.place("rows.1.fed_from") or place_of(
                       desk.fixture.rows.length))  # fmt: skip
    desk.set(feed=feed, opposite_ends=feed == "opposite ends", both_ends=feed == "both ends",
             one_end=feed in ("left end", "right end"), fed_middle=feed == "middle")  # fmt: skip


def _feed_point(desk: Desk) -> Value:
    """The cut line where rows are fed between their ends; what is left on its longer side."""
    step, groups = desk["tape.increment"].si, int(desk["row.groups"].si)
    lines = [number * step for number in range(1, groups)] or [desk["row.length"].si]
    asked, middle = desk.fixture.rows.feed_point, desk["row.length"].si / 2
    # The rails run down the back there: clear of the mount's block, which stands in the middle.
    free = [at for at in lines if abs(at - middle) >= BLOCK_HALF]
    wanted = asked.si if isinstance(asked, Given) else middle
    choice = lines if isinstance(asked, Given) or desk.fixture.body.mount is None else free or lines
    nearest = min(choice, key=lambda at: (round(abs(at - wanted), 9), at))
    point = desk.given("row.feed_point", Metre, nearest)
    desk.chose("row.feed_point", str(point))
    return desk.work("row.longer_share", tape.longer_share, row_length=desk["row.length"],
                     feed_point=point)  # fmt: skip


def _share(desk: Desk, feed: str) -> float:
    drop = DROP_LAWS[feed](row_current=desk["row.current"].si,
                           track_resistance=desk["tape.track_resistance"].si,
                           row_length=desk["row.length"].si)  # fmt: skip
    return drop / desk["setting.full"].si
