"""The regulator's range: control network from preferred values, both ends, every single fault."""

from __future__ import annotations

import math
from dataclasses import replace

from guidegen.calc import budget, control, network, trimming
from guidegen.design import meter, tape_law
from guidegen.design.loads import given_current
from guidegen.design.parts import part_of, regulator_of, steps_up
from guidegen.design.result import PRACTICE, Desk, Finding, Halt, Mend, Section
from guidegen.errors import GuidegenError
from guidegen.kinds import (
    ConductorArea,
    Count,
    FineAmpere,
    FinePercent,
    LongMetre,
    Ohm,
    OhmRating,
    Ratio,
)
from guidegen.spec.control import Control
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.quantities import Auto, within
from guidegen.spec.stages import RegulatorStage
from guidegen.values import Given, Value, band, renamed, shown_band

RESISTOR_SPREAD = 0.01
LIMIT_FACTOR = 1.1
LIMIT_SPREAD = 0.05
CHOSEN = "chosen from IEC 60063 E24, ± 1 %"
#: Of the wires to a control: the thinnest that is sold as hook-up wire. [m²].
SIGNAL_AREA = 0.22e-6


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle control and current limit.

    Raises
    ------
    Halt
        If no network of preferred values gives the wanted range.
    """
    desk = Desk("control", fixture, before)
    stage = regulator_of(fixture)
    asked = stage.control if stage else None
    trimmed = stage is not None and part_of(stage).get("trimmer") is not None
    joins = _arrangement(asked) if asked else ""
    desk.set(
        control=asked is not None,
        trimmer=trimmed and joins != network.TRIMMER,
        control_upper=joins in (network.SERIES, network.TRIMMER),
        control_lower=joins == network.FIXED,
        replaces_trimmer=joins == network.TRIMMER,
        fault_bright=False,
        fine_trimmer=False,
        current_limit=False,
        limit_guards=False,
    )
    if stage is None:
        return desk.section()
    _limit(desk, stage)
    for name in ("reference", "fixed_resistor", "trimmer", "trimmer_turns"):
        desk.put(part_of(stage)[name])
    if asked is not None:
        _network(desk, stage, asked, joins)
        _faults(desk, stage, joins)
    else:
        _fixed_output(desk, stage)
    return desk.section()


def _arrangement(asked: Control) -> str:
    """An open control fails dark in the lower leg: `auto` puts it there."""
    return network.FIXED if asked.joins == "auto" else asked.joins


def _limit(desk: Desk, stage: RegulatorStage) -> None:
    """Current limit a tenth above what is drawn: the guard behind every wrong voltage."""
    part = part_of(stage)
    least, most = part.get("limit_low"), part.get("limit_high")
    if steps_up(stage):
        # Below its input a step-up holds nothing back: its limit guards against no short.
        desk.find_if(isinstance(stage.current_limit, Given), "step-up-limit", "advice",
                     place=stage.place,
                     mends=(Mend({"chain.regulator.current_limit": "none"}),))  # fmt: skip
        return
    if stage.current_limit is None or most is None or least is None:
        return
    factor = desk.given("limit.factor", Ratio, LIMIT_FACTOR, PRACTICE)
    current = given_current(desk, most=True)
    wanted = desk.work("limit.wanted", trimming.limit_for, current=current, factor=factor)
    if isinstance(stage.current_limit, Given):
        limit = desk.put(renamed(stage.current_limit, "limit.set"))
    else:
        # A small panel needs a fine limit, or it is no guard: 0.01 A below 1 A, else 0.1 A.
        steps = 10 if wanted.si >= 1 else 100
        number = within(stage.current_limit, math.ceil(wanted.si * steps - 1e-9) / steps)
        # As wide as a meter on 10 A can judge; a limit of milliamperes asks for a finer one.
        spread = min(max(number * LIMIT_SPREAD, meter.judged_current(number)), number / 2)
        limit = desk.given("limit.set", FineAmpere, number, "chosen", spread)
        desk.chose("limit.set", str(limit), wanted=wanted)
    place = stage.place
    auto = (Mend({"chain.regulator.current_limit": "auto"}),)
    desk.limit("limit-range", desk.put(most), limit, place=place, mends=auto)
    desk.limit("limit-range-low", desk.put(least), limit, at_most=False, place=place, mends=auto)
    desk.limit("limit-load", current, limit, at_most=False, level="advice", place=place, mends=auto,
               behind=current is not desk["panel.current"])  # fmt: skip
    if not tape_law.constant_current(desk.fixture):
        # Chips that hold their current leave a limit no voltage to be reached at.
        desk.work("limit.tape_voltage", trimming.voltage_at_limit, limit=limit,
                  rated_current=desk["panel.rated_current"], rated_voltage=desk["tape.voltage"],
                  leds_per_group=desk["tape.leds_per_group"],
                  forward_voltage=desk["tape.forward_voltage"],
                  ideality=tape_law.ideality(desk), thermal=tape_law.thermal(desk))  # fmt: skip
    # Judged by current: it is what heats, and it does not hang on the LEDs' own voltage.
    one = tape_law.current(desk, "group.highest_allowed", desk["tape.highest_voltage"])
    allowed = desk.work("panel.highest_allowed", trimming.of_all_groups, group_current=one,
                        groups=desk["panel.groups"])  # fmt: skip
    kept = desk.limit("limit-clamps", allowed, limit, worst=True, level="advice", place=place,
                      mends=auto)  # fmt: skip
    desk.set(current_limit=True, limit_guards=kept)


def _network(desk: Desk, stage: RegulatorStage, asked: Control, joins: str) -> None:
    part = part_of(stage)
    low, high = desk["setting.low"], desk["setting.full"]
    tracks = _tracks(part, asked, joins)
    try:
        choice = network.choose_network(
            arrangement=joins, reference=part["reference"].si, fixed=part["fixed_resistor"].si,
            trimmer=part["trimmer"].si, low=low.si, high=high.si, tracks=tracks,
            ends=_asked(asked.end_resistor), acrosses=_asked(asked.across_resistor),
        )  # fmt: skip
    except (GuidegenError, ValueError) as trouble:
        desk.find(Finding("control-impossible", "stop", place=stage.place,
                          names={"why": str(trouble)},
                          mends=(Mend({"chain.regulator.control.track": "auto",
                                       "chain.regulator.control.joins": "auto"}),)))  # fmt: skip
        raise Halt(desk.section()) from trouble
    _resistors(desk, asked, choice)
    _ends(desk, stage, joins)
    _travel(desk, joins, _end(desk) if joins == network.FIXED else desk["regulator.fixed_resistor"])
    _readings(desk, joins)


def _tracks(part: CataloguePart, asked: Control, joins: str) -> list[float]:
    """Stock tracks that bear the divider's current through the wiper at either end."""
    if isinstance(asked.track, Given):
        return [asked.track.si]
    # In the lower leg `choose_network` keeps the end resistor above half of the fixed one.
    least = part["fixed_resistor"].si / (2 if joins == network.FIXED else 1)
    current = part["reference"].si / least
    stock = [track.si for track in asked.part.tracks]
    return [t for t in stock if current**2 * t <= asked.part["power"].si] or stock[:1]


def _asked(resistor: Given | Auto | None) -> list[float | None] | None:
    """None: choose; a list: these and no others."""
    if isinstance(resistor, Given):
        return [resistor.si]
    return [None] if resistor is None else None


def _resistors(desk: Desk, asked: Control, choice: network.NetworkChoice) -> None:
    tolerance = asked.part["tolerance"]
    if isinstance(asked.track, Given):
        track = desk.put(asked.track)
    else:
        track = desk.given("control.track", OhmRating, choice.track, "chosen from the stock tracks",
                           choice.track * tolerance.si)  # fmt: skip
        desk.chose("control.track", str(track))
    for name, number, wish in (("across", choice.across, asked.across_resistor),
                               ("end", choice.end, asked.end_resistor)):  # fmt: skip
        if number is None:
            continue
        if isinstance(wish, Given):
            desk.put(renamed(wish, f"control.{name}"))
        else:
            desk.given(f"control.{name}", OhmRating, number, CHOSEN, number * RESISTOR_SPREAD)
            desk.chose(f"control.{name}", str(desk[f"control.{name}"]))
    if "control.across" in desk:
        desk.work("control.span", control.parallel, a=track, b=desk["control.across"])
    else:
        desk.work("control.span", control.series_pair, a=track, b=_none(desk))


def _none(desk: Desk) -> Value:
    if "control.none" in desk:
        return desk["control.none"]
    return desk.given("control.none", Ohm, 0.0, "no resistor there")


def _end(desk: Desk) -> Value:
    return desk["control.end"] if "control.end" in desk else _none(desk)


def _ends(desk: Desk, stage: RegulatorStage, joins: str) -> None:
    """Output at both ends of the control."""
    reference, fixed = desk["regulator.reference"], desk["regulator.fixed_resistor"]
    high, span, end = desk["setting.full"], desk["control.span"], _end(desk)
    if joins == network.TRIMMER:
        whole = desk.work("control.whole", control.series_pair, a=end, b=span)
        top = desk.work("control.high_output", control.divider_output, reference=reference,
                        upper=whole, lower=fixed)  # fmt: skip
        bottom = desk.work("control.low_output", control.divider_output, reference=reference,
                           upper=end, lower=fixed)  # fmt: skip
    elif joins == network.SERIES:
        top = desk.put(renamed(stage.output_high, "control.high_output"))
        others = desk.work("control.whole", control.series_pair, a=end, b=span)
        desk.work("trimmer.setting", trimming.trimmer_setting, high=high, reference=reference,
                  lower=fixed, others=others)  # fmt: skip
        bottom = desk.work("control.low_output", trimming.low_end_upper_leg, high=high,
                           reference=reference, span=span, lower=fixed)  # fmt: skip
    else:
        top = desk.put(renamed(stage.output_high, "control.high_output"))
        desk.work("trimmer.setting", trimming.trimmer_setting, high=high, reference=reference,
                  lower=end, others=_none(desk))  # fmt: skip
        bottom = desk.work("control.low_output", trimming.low_end_lower_leg, high=high,
                           reference=reference, end=end, span=span)  # fmt: skip
    _compare_ends(desk, stage, top, bottom)


def _compare_ends(desk: Desk, stage: RegulatorStage, top: Value, bottom: Value) -> None:
    """The ends against what the spec wants, as distances."""
    allowed = desk.given("control.allowed", FinePercent, 0.05, "project default")
    auto = (Mend({"chain.regulator.control.across_resistor": "auto",
                  "chain.regulator.control.end_resistor": "auto",
                  "chain.regulator.control.track": "auto"}),)  # fmt: skip
    for name, wanted, found in (("high", desk["setting.full"], top),
                                ("low", desk["setting.low"], bottom)):  # fmt: skip
        off = desk.work(f"control.{name}_off", trimming.distance, wanted=wanted, found=found,
                        full=desk["setting.full"])  # fmt: skip
        desk.limit(f"control-{name}", allowed, off, level="advice", place=stage.place, mends=auto,
                   wanted=wanted, output=found)  # fmt: skip
    desk.limit("control-over", desk["tape.highest_voltage"], top, worst=True, level="advice"
               if desk.fact("current_limit") else "stop", place=stage.place, output=top,
               mends=(Mend({"chain.regulator.control.joins": network.SERIES}),))  # fmt: skip


def _travel(desk: Desk, joins: str, lower: Value) -> None:
    if joins == network.TRIMMER:
        return
    share = desk.work("trimmer.share", trimming.share_of_travel, setting=desk["trimmer.setting"],
                      trimmer=desk["regulator.trimmer"])  # fmt: skip
    desk.work("trimmer.turns", trimming.turns_at, setting=desk["trimmer.setting"],
              trimmer=desk["regulator.trimmer"], turns=desk["regulator.trimmer_turns"])  # fmt: skip
    _parts_of_turn(desk, lower)
    _trimmer_ends(desk, joins)
    most = desk.given("trimmer.most", FinePercent, 0.95, PRACTICE)
    desk.limit("trimmer-travel", most, share, worst=True, level="advice")


def _trimmer_ends(desk: Desk, joins: str) -> None:
    """Outputs with the trimmer at either end, the control at its low one: by these they differ."""
    lower, others = desk["regulator.fixed_resistor"], _end(desk)
    if joins == network.FIXED:
        lower = desk.work(
            "trimmer.lower_leg", control.series_pair, a=others, b=desk["control.span"]
        )
        others = _none(desk)
    whole = desk.work("trimmer.upper_leg", control.series_pair, a=desk["regulator.trimmer"],
                      b=others)  # fmt: skip
    for name, upper in (("low", others), ("high", whole)):
        desk.work(f"trimmer.{name}_output", control.divider_output,
                  reference=desk["regulator.reference"], upper=upper, lower=lower)  # fmt: skip


def _parts_of_turn(desk: Desk, lower: Value) -> None:
    """How far the trimmer may be turned at a time, so that its target is not passed over."""
    full, reference = desk["setting.full"], desk["regulator.reference"]
    per_turn = desk.work("trimmer.per_turn", trimming.volts_per_turn, reference=reference,
                         lower=lower, trimmer=desk["regulator.trimmer"],
                         turns=desk["regulator.trimmer_turns"])  # fmt: skip
    low, high = band(full)
    parts = trimming.parts_of_turn(band(per_turn)[1], high - low)
    desk.given("trimmer.parts", Count, parts, PRACTICE)
    desk.work("trimmer.slow_from", trimming.slow_from, full=full, per_turn=per_turn,
              reference=reference)  # fmt: skip
    desk.set(fine_trimmer=parts > trimming.PARTS[0])


def _readings(desk: Desk, joins: str) -> None:
    """What an ohm meter shows between the control's live lug and its wiper."""
    none = desk.given("control.residual", Ohm, 10.0, f"end resistance of a track: {PRACTICE}", 10.0)
    low, high = (
        (desk["control.span"], none) if joins == network.FIXED else (none, desk["control.span"])
    )
    desk.work("control.at_low", control.series_pair, a=low, b=_none(desk))
    desk.work("control.at_high", control.series_pair, a=high, b=_none(desk))
    lower = desk["regulator.fixed_resistor"]
    if joins == network.FIXED:
        lower = desk.work("control.least_lower", control.series_pair, a=_end(desk), b=_none(desk))
    desk.work("control.current", control.divider_current, reference=desk["regulator.reference"],
              lower=lower)  # fmt: skip
    power = desk.work("control.track_power", control.wiper_power, lower=lower,
                      reference=desk["regulator.reference"],
                      control=desk["control.track"])  # fmt: skip
    stage = regulator_of(desk.fixture)
    assert stage is not None
    assert stage.control is not None
    desk.limit("control-power", desk.put(stage.control.part["power"]), power, place=stage.place,
               mends=(Mend({f"chain.regulator.control.{key}": "auto" for key in
                            ("track", "across_resistor", "end_resistor")}),))  # fmt: skip
    desk.given("control.lead_size", ConductorArea, SIGNAL_AREA, "project default")
    desk.given("control.tie_length", LongMetre, 0.03, "project default")


def _fixed_output(desk: Desk, stage: RegulatorStage) -> None:
    if "trimmer" not in part_of(stage).figures:
        return
    desk.work("trimmer.setting", trimming.trimmer_setting, high=desk["setting.full"],
              reference=desk["regulator.reference"], lower=desk["regulator.fixed_resistor"],
              others=_none(desk))  # fmt: skip
    _travel(desk, "", desk["regulator.fixed_resistor"])


def _passed(desk: Desk, stage: RegulatorStage) -> Value:
    """Below what it passes on a step-up never falls, whatever its control asks for."""
    return desk.work("control.floor", budget.passed_through, voltage=desk["supply.highest"],
                     drop=desk.put(part_of(stage)["dropout"]))  # fmt: skip


def _faults(desk: Desk, stage: RegulatorStage, joins: str) -> None:
    """The greatest output that one open or shorted part of the control can cause."""
    up = steps_up(stage)
    across, end = (desk[name] if name in desk else None for name in
                   ("control.across", "control.end"))  # fmt: skip
    inputs = {
        "arrangement": joins, "reference": desk["regulator.reference"],
        "fixed": desk["regulator.fixed_resistor"], "across": across, "end": end,
        "trimmer": desk["trimmer.setting"] if "trimmer.setting" in desk else 0.0,
        "track": desk["control.track"], "floor": _passed(desk, stage) if up else 0.0,
        "ceiling": desk["regulator.output_high" if up else "supply.highest"],
    }  # fmt: skip
    held = {}
    for fault in network.faults_of(joins, across is not None, end is not None):
        key = fault.replace(" ", "_")
        held[fault] = desk.work(f"fault.{key}", network.fault_output, fault=fault, low=False,
                                **inputs)  # fmt: skip
        desk.work(f"fault_at_low.{key}", network.fault_output, fault=fault, low=True, **inputs)
    worst = max(held, key=lambda fault: (held[fault].si, -list(held).index(fault)))
    found = desk.put(replace(held[worst], name="control.worst_fault_output"))
    ratio = tape_law.power_ratio(desk, "control.fault_power_ratio", found)
    clamped = bool(desk.fact("limit_guards"))
    kept = desk.limit("control-fault", desk["tape.highest_voltage"], found, place=stage.place,
                      level="advice" if clamped else "stop", fault=worst, ratio=ratio,
                      clamped=clamped, limit=desk["limit.set"] if clamped else found,
                      held=desk["limit.tape_voltage"] if clamped else found,
                      most=shown_band(desk["limit.tape_voltage"] if clamped else found).high,
                      mends=_safer(stage, joins, clamped))  # fmt: skip
    desk.set(fault_bright=not kept)


def _safer(stage: RegulatorStage, joins: str, clamped: bool) -> tuple[Mend, ...]:
    mends = []
    if joins != network.FIXED:
        mends.append(Mend({"chain.regulator.control.joins": network.FIXED,
                           "chain.regulator.control.track": "auto",
                           "chain.regulator.control.across_resistor": "auto",
                           "chain.regulator.control.end_resistor": "auto"}))  # fmt: skip
    if not clamped and part_of(stage).get("limit_high") is not None:
        mends.append(Mend({"chain.regulator.current_limit": "auto"}))
    return tuple(mends)
