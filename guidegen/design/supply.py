"""The supply over its whole window, and what the regulator takes from it."""

from __future__ import annotations

import dataclasses

from guidegen.calc import budget, supply, tape
from guidegen.design.bank import input_margin, is_bank, voltages
from guidegen.design.choose import chosen_part
from guidegen.design.parts import battery_window, first_stage, part_of, regulator_of, supply_part
from guidegen.design.pulse import box_loss, load_power
from guidegen.design.result import Desk, Mend, Section
from guidegen.kinds import Count, MilliVolt, Percent, Ratio, SupplyVolt, kind_of
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.parts import catalogue
from guidegen.spec.stages import CutOffStage, RegulatorStage
from guidegen.values import Given, Value, band, renamed

LITHIUM = ("li-ion", "lifepo4")


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle the input current at the worst end of the supply's window."""
    desk = Desk("supply", fixture, before)
    source = fixture.supply
    part = supply_part(fixture)
    battery = source.kind != "adapter"
    chemistry = part.words.get("chemistry", "")
    desk.set(adapter=not battery, battery=battery, lithium=chemistry in LITHIUM,
             lead_acid=chemistry == "lead-acid", several_lights=len(fixture.light.placed) > 1,
             count__lights=float(len(fixture.light.placed)))  # fmt: skip
    desk.given("lights", Count, len(fixture.light.placed), "light.placed")
    voltages(desk, part)
    _window(desk, part, battery)
    regulator = regulator_of(fixture)
    if regulator is not None:
        _regulator(desk, regulator)
    else:
        _direct(desk)
    box_loss(desk)
    input_margin(desk)
    desk.put(part["highest_current"])
    if battery:
        _battery(desk, part)
    else:
        _adapter(desk, part)
    return desk.section()


def _window(desk: Desk, part: CataloguePart, battery: bool) -> None:
    nominal = desk.put(renamed(part["voltage"], "supply.voltage"))
    assert isinstance(nominal, Given)
    low, high = nominal.si - nominal.spread, nominal.si + nominal.spread
    if battery:
        low, high = battery_window(part)
        trips = _trips_at(desk)
        if trips is not None:
            low = max(low, trips.si - trips.spread)
    for name, number in (("supply.lowest", low), ("supply.highest", high)):
        desk.put(
            dataclasses.replace(nominal, name=name, si=number, spread=0.0, kind=kind_of(SupplyVolt))
        )
    if battery:
        # A rested battery may read anything of its window: full is no fault, nor is half. A bank
        # is read with its charger off, not while it is equalised.
        top = part["absorption"].si if is_bank(part) else high
        desk.given("supply.reading", SupplyVolt, (low + top) / 2, "window of the battery",
                   (top - low) / 2)  # fmt: skip
    else:
        desk.put(renamed(nominal, "supply.reading"))


def _trips_at(desk: Desk) -> Given | None:
    """Where the cut-off opens: as the spec says, or as its data sheet does."""
    stage = first_stage(desk.fixture, CutOffStage)
    if stage is None:
        return None
    if isinstance(stage.trips_at, Given):
        found = stage.trips_at
    elif stage.built_in:
        return None
    else:
        found = part_of(stage)["trips_at"]
    desk.put(found)
    return found


def _regulator(desk: Desk, stage: RegulatorStage) -> None:
    part = part_of(stage)
    efficiency = desk.put(part["efficiency"])
    power = desk.work("input.power", supply.input_power, output_power=load_power(desk),
                      efficiency=efficiency)  # fmt: skip
    desk.work("regulator.loss", supply.regulator_loss, output_power=load_power(desk),
              efficiency=efficiency)  # fmt: skip
    desk.work("input.current", budget.current_of, power=power, voltage=desk["supply.voltage"])
    # A converter takes its greatest current at the lowest voltage.
    desk.work("input.highest_current", budget.current_of, power=power,
              voltage=desk["supply.lowest"])  # fmt: skip
    desk.limit("regulator-current", desk.put(part["current"]), desk["panel.current"], worst=True,
               place=stage.place, mends=_fewer_rows(desk, part["current"]))  # fmt: skip
    desk.limit("regulator-input", desk.put(part["input_high"]), desk["supply.highest"],
               place=stage.place, mends=(Mend({"chain.regulator": "auto"}),))  # fmt: skip
    desk.limit("regulator-input-low", desk.put(part["input_low"]), desk["supply.lowest"],
               at_most=False, place=stage.place)  # fmt: skip


def _fewer_rows(desk: Desk, most: Value) -> tuple[Mend, ...]:
    """As many rows as the regulator feeds, the tape's tolerance included."""
    a_row = band(desk["row.current"])[1]
    rows = int(most.si / a_row + 1e-9) if a_row > 0 else 0
    return (Mend({"rows.1.count": str(rows)}),) if rows else ()


def _direct(desk: Desk) -> None:
    """No regulator: the tape takes its greatest current at the highest voltage."""
    desk.given("tape.share_of_input", Percent, 1.0, "no regulator")
    power = desk.work("input.power", supply.input_power, output_power=load_power(desk),
                      efficiency=desk["tape.share_of_input"])  # fmt: skip
    desk.work("input.current", budget.current_of, power=power, voltage=desk["supply.voltage"])
    group = desk.work("group.highest_current", tape.group_current, voltage=desk["supply.highest"],
                      leds_per_group=desk["tape.leds_per_group"],
                      forward_voltage=desk["tape.forward_voltage"],
                      group_resistance=desk["group.resistance"])  # fmt: skip
    row = desk.work("row.highest_current", tape.row_current, group_current=group,
                    groups=desk["row.groups"])  # fmt: skip
    desk.work("input.highest_current", tape.panel_current, row_current=row,
              rows=desk["row.count"])  # fmt: skip
    desk.limit("direct-voltage", desk["tape.highest_voltage"], desk["supply.highest"],
               place=desk.fixture.place("supplies.1"),
               mends=(Mend({"chain.+regulator": "auto"}),))  # fmt: skip


def _adapter(desk: Desk, part: CataloguePart) -> None:
    rated = desk.put(part["power"])
    margin = desk.put(desk.fixture.limits.adapter_margin)
    found = desk.work("adapter.margin", budget.spare_share, power=desk["input.power"], rated=rated)
    mends = _stronger_adapter(desk)
    desk.limit("adapter-margin", margin, found, at_most=False, level="stop" if found.si < 0
               else "advice", place=desk.fixture.place("supplies.1"), mends=mends,
               power=desk["input.power"], rated=rated)  # fmt: skip
    if desk.fact("several_lights"):
        count = desk["lights"]
        both = desk.work("input.power_all_lights", budget.several, power=desk["input.power"],
                         lights=count)  # fmt: skip
        desk.limit("adapter-for-all", rated, both, level="advice",
                   place=desk.fixture.place("supplies.1"), lights=count)  # fmt: skip


def _stronger_adapter(desk: Desk) -> tuple[Mend, ...]:
    volts = supply_part(desk.fixture)["voltage"].si
    margin = desk.fixture.limits.adapter_margin.si
    # A regulator takes more volts as well; what else they strain shows when the mend is tried.
    most = 60.0 if desk.fact("regulator") else volts

    def fits(other: CataloguePart) -> bool:
        enough = 1 - desk["input.power"].si / other["power"].si >= margin
        return enough and volts <= other["voltage"].si <= most

    steps = sorted({other["voltage"].si for other in catalogue("adapter") if fits(other)})

    def least(step: float) -> CataloguePart | None:
        return chosen_part("adapter", "adapter", lambda p: fits(p) and p["voltage"].si == step,
                           by="power")  # fmt: skip

    return tuple(Mend({"supplies.1.adapter": part.key}) for part in map(least, steps) if part)


def _battery(desk: Desk, part: CataloguePart) -> None:
    capacity, usable = desk.put(part["capacity"]), desk.put(part["usable"])
    energy = desk.work("battery.energy", supply.battery_energy, voltage=desk["supply.voltage"],
                       capacity=capacity)  # fmt: skip
    efficiency = desk["regulator.efficiency" if "regulator.efficiency" in desk
                      else "tape.share_of_input"]  # fmt: skip
    half = desk.given("half_light", Ratio, 0.5, "definition of half light")
    half_power = desk.work("panel.half_power", budget.several, power=load_power(desk),
                           lights=half)  # fmt: skip
    for ending, load in (("", load_power(desk)), ("_half", half_power)):
        desk.work(f"battery.run_time{ending}", supply.run_time, energy=energy, usable=usable,
                  efficiency=efficiency, load_power=load)  # fmt: skip
    if desk.fixture.use.run_time is not None:
        wanted = desk.put(desk.fixture.use.run_time)
        desk.limit("run-time", wanted, desk["battery.run_time"], at_most=False, level="advice",
                   place=getattr(wanted, "place", None))  # fmt: skip
    desk.limit("battery-current", desk["battery.highest_current"], desk["input.highest_current"],
               place=desk.fixture.place("supplies.1"))  # fmt: skip


def headroom(desk: Desk, stage: RegulatorStage) -> Value:
    """What a step-down regulator can still give at the supply's lowest voltage."""
    dropout = desk.put(part_of(stage)["dropout"])
    found = desk.work("regulator.highest_possible", budget.room_above,
                      voltage=desk["supply.lowest"], lead=lead_drop(desk),
                      dropout=dropout)  # fmt: skip
    desk.limit("headroom", desk["setting.full"], found, at_most=False, place=stage.place,
               mends=_lower_full(stage, found))  # fmt: skip
    return found


def lead_drop(desk: Desk) -> Value:
    """Of all leads together, and of the wires at a battery."""
    if "leads.drop" in desk:
        return desk["leads.drop"]
    parts = [desk[name] for name in ("battery_wire.drop", "lead.drop", "lead_2.drop")
             if name in desk]  # fmt: skip
    if not parts:
        return desk.given("lead.none", MilliVolt, 0.0, "no lead")
    if len(parts) == 1:
        return parts[0]
    sum_ = parts[0]
    for number, part in enumerate(parts[1:], 2):
        last = number == len(parts)
        sum_ = desk.work("leads.drop" if last else "leads.first_drop", budget.two_leads,
                         lead=sum_, second_lead=part)  # fmt: skip
    return sum_


def _lower_full(stage: RegulatorStage, found: Value) -> tuple[Mend, ...]:
    top = int((found.si - stage.output_high.spread) * 10) / 10
    low = stage.output_low.si
    if top <= low:
        return ()
    spread = f" ± {stage.output_high.spread:.2g} V" if stage.output_high.spread else ""
    return (Mend({"chain.regulator.output": f"{low:.4g} V to {top:.4g} V{spread}"}),)
