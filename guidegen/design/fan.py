"""The fan: its voltage over the supply's window, its resistor, and what it takes."""

from __future__ import annotations

from guidegen.calc import fan as calc
from guidegen.calc import wire
from guidegen.design.result import PRACTICE, Desk, Mend
from guidegen.kinds import ConductorArea, OhmRating, Ratio
from guidegen.spec.part import Part
from guidegen.spec.parts import catalogue_part
from guidegen.values import Given, Value

#: Current at several voltages, on a data sheet.
TABLE = "current_points"
ENDS = ("highest", "lowest", "voltage")
#: What it takes, and at which voltage of the supply.
CURRENTS = {"usual_current": "voltage", "most_current": "highest"}
RESISTOR = "resistor-two-watt"
WIRE = "hook-up-flex"
#: Of the fan's wires: a thin one is enough for its current. [m²].
AREA = 0.5e-6


def settle_fan(desk: Desk) -> None:
    """Settle the fan on the supply's window; nothing where there is none."""
    wish = desk.fixture.fan
    desk.set(fan=wish is not None, dropper=False)
    if wish is None:
        return
    part = wish.fan
    desk.put(part["width"])
    rated, most, current = (desk.put(part[n]) for n in ("voltage", "highest_voltage", "current"))
    dropper = _dropper(desk, wish.dropper, rated, most, current)
    if TABLE in part.tables:
        _by_points(desk, part, dropper)
    else:
        _as_resistance(desk, desk.work("fan.resistance", calc.fan_resistance, voltage=rated,
                                       current=current), dropper)  # fmt: skip
    place = desk.fixture.place("auxiliaries.1")
    auto = (Mend({"auxiliaries.1.dropper": "auto"}),)
    desk.limit("fan-voltage", most, desk["fan.at_highest"], place=place, mends=auto)
    desk.limit("fan-starts", desk.put(part["lowest_voltage"]), desk["fan.at_lowest"],
               at_most=False, level="advice", place=place, mends=auto)  # fmt: skip
    desk.work("fan.power", calc.fan_power, voltage=desk["supply.voltage"],
              current=desk["fan.usual_current"])  # fmt: skip
    if desk.fact("dropper"):
        _heat(desk, desk["fan.most_current"], dropper)


def _as_resistance(desk: Desk, fan: Value, dropper: Value) -> None:
    """A fan of which only the rated point is known: its current goes with its voltage."""
    for end in ENDS:
        desk.work(f"fan.at_{end}", calc.fan_voltage, voltage=desk[f"supply.{end}"], fan=fan,
                  dropper=dropper)  # fmt: skip
    for name, end in CURRENTS.items():
        desk.work(f"fan.{name}", calc.fan_current, voltage=desk[f"supply.{end}"], fan=fan,
                  dropper=dropper)  # fmt: skip


def _by_points(desk: Desk, part: Part, dropper: Value) -> None:
    """A fan whose data sheet has its current at several voltages: it goes with a power of them."""
    for point in part.tables[TABLE]:
        desk.put(*point)
    law = {"rated": desk["fan.voltage"], "current": desk["fan.current"],
           "exponent": desk.work("fan.exponent", calc.power_exponent,
                                 points=part.points(TABLE))}  # fmt: skip
    for end in ENDS:
        desk.work(f"fan.at_{end}", calc.behind_dropper, source=desk[f"supply.{end}"],
                  dropper=dropper, **law)  # fmt: skip
    for name, end in CURRENTS.items():
        desk.work(f"fan.{name}", calc.power_law_current, voltage=desk[f"fan.at_{end}"], **law)
    # What it looks like to a circuit at the supply's usual voltage.
    desk.work("fan.resistance", calc.fan_resistance, voltage=desk["fan.at_voltage"],
              current=desk["fan.usual_current"])  # fmt: skip


def _dropper(desk: Desk, asked: object, rated: Value, most: Value, current: Value) -> Value:
    """The series resistor: as the spec says, or where the supply is above what the fan bears."""
    highest = desk["supply.highest"]
    if isinstance(asked, Given):
        desk.set(dropper=True)
        return desk.put(asked)
    if "fan.dropper" in desk.held:
        desk.set(dropper=True)
        return desk.put(desk.held["fan.dropper"])
    if asked is None or highest.si <= most.si or "fan.no_dropper" in desk.held:
        return desk.given("fan.no_dropper", OhmRating, 0.0, "no resistor")
    least = desk.work("fan.least_dropper", calc.least_dropper, highest=highest, rated=rated,
                      current=current)  # fmt: skip
    number = calc.next_dropper(least.si)
    spread = catalogue_part(RESISTOR)["tolerance"].si * number
    found = desk.given("fan.dropper", OhmRating, number, "chosen from IEC 60063 E24, ± 5 %", spread)
    desk.chose("fan.dropper", str(found), wanted=least)
    desk.set(dropper=True)
    return found


def _heat(desk: Desk, taken: Value, dropper: Value) -> None:
    power = desk.work("fan.dropper_power", calc.dropper_power, current=taken, dropper=dropper)
    share = desk.given("fan.dropper_share", Ratio, 0.5, PRACTICE)
    rated = desk.put(catalogue_part(RESISTOR).named("dropper")["power"])
    half = desk.work("fan.dropper_most", calc.share_of_rating, rated=rated, share=share)
    desk.limit("dropper-power", half, power, worst=True, place=desk.fixture.place("auxiliaries.1"))


def fan_wires(desk: Desk) -> None:
    """Settle the fan's wires: short, thin, and behind the light's own fuse."""
    if desk.fixture.fan is None:
        return
    part = catalogue_part(WIRE).named("fan_wire")
    size = desk.given("fan_wire.size", ConductorArea, AREA, "project default")
    carries = desk.work("fan_wire.ampacity", wire.ampacity, area=size,
                        insulation_temperature=desk.put(part["temperature"]),
                        ambient=desk.put(desk.fixture.use.ambient_high))  # fmt: skip
    if "fuse.opens_at" in desk:
        desk.limit("fan-wire", carries, desk["fuse.opens_at"], level="advice", size=size,
                   place=desk.fixture.place("auxiliaries.1"))  # fmt: skip
