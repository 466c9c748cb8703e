"""What hangs beside the rows: its voltage over the supply's window, its resistor, what it takes."""

from __future__ import annotations

from dataclasses import dataclass

from guidegen.calc import budget, wire
from guidegen.calc import fan as calc
from guidegen.design.parts import all_stages
from guidegen.design.result import PRACTICE, Desk, Mend
from guidegen.kinds import ConductorArea, OhmRating, Ratio
from guidegen.spec.auxiliaries import Beside, Fan
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part
from guidegen.spec.parts import catalogue_part
from guidegen.spec.stages import CutOffStage
from guidegen.values import Given, Value

#: Current at several voltages, on a data sheet.
TABLE = "current_points"
ENDS = ("highest", "lowest", "voltage")
#: What it takes, and at which voltage of the supply.
CURRENTS = {"usual_current": "voltage", "most_current": "highest"}
RESISTOR = "resistor-two-watt"
WIRE = "hook-up-flex"
#: What sound fans take at the least, of what is marked on them. [-].
HALF = 0.5
HALF_SOURCE = "from memory: sound fans take from half of their marked current up to all of it"
#: Of its wires: a thin one is enough for its current. [m²].
AREA = 0.5e-6


@dataclass(frozen=True)
class Kind:
    """One kind of thing beside the rows: what its values, its resistor and its wires are called."""

    name: str
    dropper: str
    wire: str
    too_high: str
    """Findings: more than it bears, less than it works with, heat of its resistor, its wires."""
    too_low: str
    heat: str
    wires: str


FAN = Kind("fan", "dropper", "fan_wire", "fan-voltage", "fan-starts", "dropper-power", "fan-wire")
PILOT = Kind("pilot_light", "pilot_dropper", "pilot_wire", "pilot-voltage", "pilot-seen",
             "pilot-dropper-power", "pilot-wire")  # fmt: skip
KINDS = (FAN, PILOT)


def all_beside(fixture: Fixture) -> list[tuple[Kind, Beside, Part]]:
    """Everything that hangs beside the rows, in the order of the spec."""
    return [
        (FAN, one, one.fan) if isinstance(one, Fan) else (PILOT, one, one.pilot)
        for one in fixture.auxiliaries
    ]


def settle_beside(desk: Desk) -> None:
    """Settle each on the supply's window; nothing where there is none."""
    here = all_beside(desk.fixture)
    desk.set(fan=desk.fixture.fan is not None, dropper=False,
             pilot_light=desk.fixture.pilot is not None, pilot_dropper=False)  # fmt: skip
    for number, (kind, wish, part) in enumerate(here, 1):
        _settle(desk, kind, wish, part, f"auxiliaries.{number}")
    if len(here) > 1:
        first, second = (kind.name for kind, _, _ in here)
        desk.work("beside.power", budget.both_powers, power=desk[f"{first}.power"],
                  other=desk[f"{second}.power"])  # fmt: skip
        for what in (*CURRENTS, "likely_current"):
            desk.work(f"beside.{what}", budget.both_currents, current=desk[f"{first}.{what}"],
                      other=desk[f"{second}.{what}"])  # fmt: skip


def beside(desk: Desk, what: str) -> Value | None:
    """`power`, or one of the currents, of all beside the rows; None where nothing is."""
    names = (f"beside.{what}", *(f"{kind.name}.{what}" for kind in KINDS))
    return next((desk[name] for name in names if name in desk), None)


def _settle(desk: Desk, kind: Kind, wish: Beside, part: Part, path: str) -> None:
    name = kind.name
    if kind is FAN:
        desk.put(part["width"])
    rated, most, current = (desk.put(part[n]) for n in ("voltage", "highest_voltage", "current"))
    dropper = _dropper(desk, kind, wish.dropper, (rated, most, current))
    if TABLE in part.tables:
        _by_points(desk, name, part, dropper)
    else:
        _as_resistance(desk, name, desk.work(f"{name}.resistance", calc.fan_resistance,
                                             voltage=rated, current=current), dropper)  # fmt: skip
    _likely(desk, name, dropper, marked=kind is FAN and TABLE not in part.tables)
    place = desk.fixture.place(path)
    auto = (Mend({f"{path}.dropper": "auto"}),)
    desk.limit(kind.too_high, most, desk[f"{name}.at_highest"], place=place, mends=auto)
    desk.limit(kind.too_low, desk.put(part["lowest_voltage"]), desk[f"{name}.at_lowest"],
               at_most=False, level="advice", place=place, mends=auto)  # fmt: skip
    desk.work(f"{name}.power", calc.fan_power, voltage=desk["supply.voltage"],
              current=desk[f"{name}.usual_current"])  # fmt: skip
    if desk.fact(kind.dropper):
        _heat(desk, kind, dropper, path)
    order = [stage.kind for stage in all_stages(desk.fixture)]
    if CutOffStage.kind in order and wish.fed_after in order:
        early = order.index(wish.fed_after) < order.index(CutOffStage.kind)
        desk.find_if(early, "beside-cut-off", "advice", place=place,
                     names={"module": name, "current": desk[f"{name}.usual_current"]},
                     mends=(Mend({f"{path}.fed_after": CutOffStage.kind}),))  # fmt: skip


def _as_resistance(desk: Desk, name: str, fan: Value, dropper: Value) -> None:
    """Only its rated point is known: its current goes with its voltage."""
    for end in ENDS:
        desk.work(f"{name}.at_{end}", calc.fan_voltage, voltage=desk[f"supply.{end}"], fan=fan,
                  dropper=dropper)  # fmt: skip
    for what, end in CURRENTS.items():
        desk.work(f"{name}.{what}", calc.fan_current, voltage=desk[f"supply.{end}"], fan=fan,
                  dropper=dropper)  # fmt: skip


def _by_points(desk: Desk, name: str, part: Part, dropper: Value) -> None:
    """Its data sheet has its current at several voltages: it goes with a power of them."""
    for point in part.tables[TABLE]:
        desk.put(*point)
    law = {"rated": desk[f"{name}.voltage"], "current": desk[f"{name}.current"],
           "exponent": desk.work(f"{name}.exponent", calc.power_exponent,
                                 points=part.points(TABLE))}  # fmt: skip
    for end in ENDS:
        desk.work(f"{name}.at_{end}", calc.behind_dropper, source=desk[f"supply.{end}"],
                  dropper=dropper, **law)  # fmt: skip
    for what, end in CURRENTS.items():
        desk.work(f"{name}.{what}", calc.power_law_current, voltage=desk[f"{name}.at_{end}"],
                  **law)  # fmt: skip
    # What it looks like to a circuit at the supply's usual voltage.
    desk.work(f"{name}.resistance", calc.fan_resistance, voltage=desk[f"{name}.at_voltage"],
              current=desk[f"{name}.usual_current"])  # fmt: skip


def _likely(desk: Desk, name: str, dropper: Value, marked: bool) -> None:
    """What a meter shows: the current that is marked on a fan is the most that it takes."""
    own = {"fan": desk[f"{name}.resistance"], "dropper": dropper}
    least = 1.0
    if marked:
        half = desk.given(f"{name}.half", Ratio, HALF, HALF_SOURCE)
        least = half.si
        if dropper.si > 0:
            least = desk.work(f"{name}.least_share", calc.least_share, half=half, **own,
                              voltage=desk["supply.voltage"],
                              most=desk[f"{name}.highest_voltage"]).si  # fmt: skip
    share = desk.given(f"{name}.share", Ratio, (1 + least) / 2,
                       HALF_SOURCE if marked else "its data sheet",
                       (1 - least) / 2)  # fmt: skip
    likely = desk.work(f"{name}.likely_resistance", calc.likely_resistance, share=share,
                       fan=own["fan"])  # fmt: skip
    seen = {"voltage": desk["supply.voltage"], "fan": likely, "dropper": dropper}
    desk.work(f"{name}.reading", calc.fan_voltage, **seen)
    desk.work(f"{name}.likely_current", calc.fan_current, **seen)


def _dropper(desk: Desk, kind: Kind, asked: object, figures: tuple[Value, Value, Value]) -> Value:
    """The series resistor: as the spec says, or where the supply is above what the part bears."""
    rated, most, current = figures
    highest, name = desk["supply.highest"], f"{kind.name}.dropper"
    none = f"{kind.name}.no_dropper"
    there = {kind.dropper: True}
    if isinstance(asked, Given):
        desk.set(**there)
        return desk.put(asked)
    if name in desk.held:
        desk.set(**there)
        return desk.put(desk.held[name])
    if asked is None or highest.si <= most.si or none in desk.held:
        return desk.given(none, OhmRating, 0.0, "no resistor")
    least = desk.work(f"{kind.name}.least_dropper", calc.least_dropper, highest=highest,
                      rated=rated, current=current)  # fmt: skip
    number = calc.next_dropper(least.si)
    spread = catalogue_part(RESISTOR)["tolerance"].si * number
    found = desk.given(name, OhmRating, number, "chosen from IEC 60063 E24, ± 5 %", spread)
    desk.chose(name, str(found), wanted=least)
    desk.set(**there)
    return found


def _heat(desk: Desk, kind: Kind, dropper: Value, path: str) -> None:
    name = kind.name
    power = desk.work(f"{name}.dropper_power", calc.dropper_power,
                      current=desk[f"{name}.most_current"], dropper=dropper)  # fmt: skip
    share = desk.given(f"{name}.dropper_share", Ratio, 0.5, PRACTICE)
    rated = desk.put(catalogue_part(RESISTOR).named(kind.dropper)["power"])
    half = desk.work(f"{name}.dropper_most", calc.share_of_rating, rated=rated, share=share)
    desk.limit(kind.heat, half, power, worst=True, place=desk.fixture.place(path))


def wires_beside(desk: Desk) -> None:
    """Settle the wires of each: short, thin, and behind the light's own fuse."""
    for number, (kind, _, _) in enumerate(all_beside(desk.fixture), 1):
        part = catalogue_part(WIRE).named(kind.wire)
        size = desk.given(f"{kind.wire}.size", ConductorArea, AREA, "project default")
        carries = desk.work(f"{kind.wire}.ampacity", wire.ampacity, area=size,
                            insulation_temperature=desk.put(part["temperature"]),
                            ambient=desk.put(desk.fixture.use.ambient_high))  # fmt: skip
        if "fuse.opens_at" in desk:
            desk.limit(kind.wires, carries, desk["fuse.opens_at"], level="advice", size=size,
                       place=desk.fixture.place(f"auxiliaries.{number}"))  # fmt: skip
