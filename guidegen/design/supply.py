"""The supply over its whole window, and what the regulator takes from it."""

from __future__ import annotations

import dataclasses

from guidegen.calc import budget, supply, tape
from guidegen.design import panels, tape_law
from guidegen.design.bank import input_margin, is_bank, voltages
from guidegen.design.beside import behind, beside, settle_beside
from guidegen.design.choose import chosen_part
from guidegen.design.efficiency import at_worst, facts, settle_efficiency
from guidegen.design.loads import given_power, rated_current
from guidegen.design.outputs import lower_output
from guidegen.design.parts import (
    first_stage,
    is_vehicle,
    part_of,
    rated_at_input,
    regulator_of,
    steps_up,
    supply_part,
    supply_window,
)
from guidegen.design.pulse import box_loss
from guidegen.design.result import Desk, Mend, Section
from guidegen.design.source import settle_most_current, settle_socket
from guidegen.kinds import Count, Law, Percent, SupplyVolt, WattHour, kind_of
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part as CataloguePart
from guidegen.spec.parts import catalogue
from guidegen.spec.stages import CutOffStage, RegulatorStage
from guidegen.values import Given, Value, band, renamed

LITHIUM = ("li-ion", "lifepo4")
#: A lithium battery that a passenger may carry with the carrier's approval. [Wh].
AIR = 160.0


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """Settle the input current at the worst end of the supply's window."""
    desk = Desk("supply", fixture, before)
    source = fixture.supply
    part = supply_part(fixture)
    battery, vehicle = source.stores, is_vehicle(part)
    chemistry = part.words.get("chemistry", "")
    # Panels on one chain are one light, wherever each of them stands.
    lights = len(fixture.light.placed) // fixture.panel_count
    desk.set(step_up=steps_up(regulator_of(fixture)),
             adapter=not battery and not vehicle, vehicle=vehicle,
             negotiated=source.kind == "negotiated",
             battery=battery, lithium=chemistry in LITHIUM,
             lead_acid=chemistry == "lead-acid", several_lights=lights > 1,
             other_supplies=bool(fixture.alternatives),
             other_battery=any(one.supply.stores for one in fixture.alternatives),
             count__lights=float(lights))  # fmt: skip
    desk.given("lights", Count, lights, "light.placed")
    voltages(desk, part)
    _window(desk, part, battery)
    settle_beside(desk)
    facts(desk)
    regulator = regulator_of(fixture)
    if regulator is not None:
        _regulator(desk, regulator)
    else:
        _direct(desk)
    box_loss(desk)
    input_margin(desk)
    settle_most_current(desk)
    if battery:
        _battery(desk, part)
    elif vehicle:
        settle_socket(desk, part)
    else:
        _adapter(desk, part)
    return desk.section()


def _window(desk: Desk, part: CataloguePart, battery: bool) -> None:
    nominal = desk.put(renamed(part["voltage"], "supply.voltage"))
    assert isinstance(nominal, Given)
    low, high = supply_window(part)
    rested, trips = low, None
    if battery:
        trips = _trips_at(desk)
        if trips is not None:
            # At rest it must read so much that its cut-off closes, whatever its tolerance.
            rested = max(low, trips.si + trips.spread)
            low = max(low, trips.si - trips.spread)
    for name, number in (("supply.lowest", low), ("supply.highest", high)):
        desk.put(
            dataclasses.replace(nominal, name=name, si=number, spread=0.0, kind=kind_of(SupplyVolt))
        )
    if battery and trips is not None:
        opens = desk.given("cut_off.highest_trip", SupplyVolt, trips.si + trips.spread,
                           "upper end of the band of cut_off.trips_at")  # fmt: skip
        desk.limit("cut-off-above", desk["supply.highest"], opens, place=trips.place)
    if battery:
        # A rested battery may read anything of its window: full is no fault, nor is half. A bank
        # is kept full, and read with its charger off: at rest, or still falling from absorption.
        bank = is_bank(part)
        middle = part["rest"].si if bank else (rested + high) / 2
        top = part["absorption"].si if bank else high
        desk.given("supply.reading", SupplyVolt, middle, "window of the battery", top - middle)
    elif desk.fact("vehicle"):
        desk.given("supply.reading", SupplyVolt, (low + high) / 2, "window of the socket",
                   (high - low) / 2)  # fmt: skip
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
    efficiency = settle_efficiency(desk)
    power = _input_power(desk, efficiency)
    desk.work("regulator.loss", supply.regulator_loss, output_power=given_power(desk),
              efficiency=efficiency)  # fmt: skip
    # A converter takes its greatest current at the lowest voltage.
    _input(desk, "current", budget.current_of, power=power, voltage=desk["supply.voltage"])
    worst, there = at_worst(desk)
    most = power if there is efficiency else desk.work(
        "regulator.worst_power", supply.input_power, output_power=given_power(desk),
        efficiency=there)  # fmt: skip
    _input(desk, "highest_current", budget.current_of, power=most, voltage=worst)
    # Many step-up modules are rated by the current of their switch, which is that of the input.
    at_input = rated_at_input(part)
    current = rated_current(desk, at_input)
    desk.limit("regulator-current", desk.put(part["current"]), current, worst=True,
               place=stage.place, at_input=at_input, behind=behind(desk, "power") is not None,
               mends=(*_fewer_rows(desk, part["current"], current),
                      *_lower(desk, current, part["current"])))  # fmt: skip
    desk.limit("regulator-output", desk.put(part["output_high"]), desk["setting.full"], worst=True,
               place=stage.place, mends=(Mend({"chain.regulator": "auto"}),))  # fmt: skip
    desk.limit("regulator-input", desk.put(part["input_high"]), desk["supply.highest"],
               place=stage.place, mends=(Mend({"chain.regulator": "auto"}),))  # fmt: skip
    desk.limit("regulator-input-low", desk.put(part["input_low"]), desk["supply.lowest"],
               at_most=False, place=stage.place)  # fmt: skip


#: What hangs beside the rows, before a regulator, adds this to each figure of the input.
_BESIDE = {"power": "power", "current": "usual_current", "highest_current": "most_current"}


def _input(desk: Desk, name: str, law: Law, **inputs: Value) -> Value:
    """What the supply gives to the light and to what it feeds beside; returns the light's share."""
    other = beside(desk, _BESIDE[name])
    if other is None:
        return desk.work(f"input.{name}", law, **inputs)
    light = desk.work(f"light_alone.{name}", law, **inputs)
    if name == "power":
        desk.work("input.power", budget.both_powers, power=light, other=other)
    else:
        desk.work(f"input.{name}", budget.both_currents, current=light, other=other)
    return light


def _input_power(desk: Desk, efficiency: Value) -> Value:
    return _input(desk, "power", supply.input_power, output_power=given_power(desk),
                  efficiency=efficiency)  # fmt: skip


def _fewer_rows(desk: Desk, most: Value, current: Value) -> tuple[Mend, ...]:
    """As many rows as the regulator feeds, the tape's tolerance included."""
    a_row = band(current)[1] / panels.all_rows(desk).si
    rows = int(most.si / a_row + 1e-9) // desk.fixture.panel_count if a_row > 0 else 0
    return (Mend({"rows.1.count": str(rows)}),) if rows else ()


def _lower(desk: Desk, current: Value, most: Value) -> tuple[Mend, ...]:
    """The full setting at which a current, its tolerance included, is no more than this."""
    over = band(current)[1] / current.si if current.si else 1.0
    return lower_output(desk, regulator_of(desk.fixture), current,
                        lambda amps: amps * over <= most.si)  # fmt: skip


def _direct(desk: Desk) -> None:
    """No regulator: the tape takes its greatest current at the highest voltage."""
    desk.given("tape.share_of_input", Percent, 1.0, "no regulator")
    power = _input_power(desk, desk["tape.share_of_input"])
    _input(desk, "current", budget.current_of, power=power, voltage=desk["supply.voltage"])
    group = tape_law.current(desk, "group.highest_current", desk["supply.highest"])
    row = desk.work("row.highest_current", tape.row_current, group_current=group,
                    groups=desk["row.groups"])  # fmt: skip
    _input(desk, "highest_current", tape.panel_current, row_current=row,
           rows=panels.all_rows(desk))  # fmt: skip
    ratio = tape_law.power_ratio(desk, "direct.power_ratio", desk["supply.highest"])
    desk.limit("direct-voltage", desk["tape.highest_voltage"], desk["supply.highest"], ratio=ratio,
               place=desk.fixture.place("supplies.1"),
               mends=(Mend({"chain.+regulator": "auto"}),))  # fmt: skip


def _adapter(desk: Desk, part: CataloguePart) -> None:
    rated = desk.put(part["power"])
    margin = desk.put(desk.fixture.limits.adapter_margin)
    found = desk.work("adapter.margin", budget.spare_share, power=desk["input.power"], rated=rated)
    mends = (*_stronger_adapter(desk),
             *lower_output(desk, regulator_of(desk.fixture), found,
                           lambda share: share >= margin.si))  # fmt: skip
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
    desk.put(part["usable"])
    capacity = desk.put(part["capacity"])
    energy = desk.work("battery.energy", supply.battery_energy, voltage=desk["supply.voltage"],
                       capacity=capacity)  # fmt: skip
    if desk.fact("lithium") and "air travel" in desk.fixture.use.surroundings:
        most = desk.given("battery.most_by_air", WattHour, AIR, "from memory: what carriers take"
                          " with their approval")  # fmt: skip
        desk.limit("air-travel", most, energy, level="advice",
                   place=desk.fixture.place("supplies.1"))  # fmt: skip
    bears, taken = desk["battery.highest_current"], desk["input.highest_current"]
    desk.limit("battery-current", bears, taken, place=desk.fixture.place("supplies.1"),
               mends=_lower(desk, taken, bears))  # fmt: skip
