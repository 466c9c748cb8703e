"""What hangs beside the rows: its voltage at what feeds it, its resistor, what it takes."""

from __future__ import annotations

from dataclasses import dataclass

from guidegen.calc import budget, window
from guidegen.calc import fan as calc
from guidegen.design.loads import load_power
from guidegen.design.parts import all_stages, part_of, regulator_of, steps_up
from guidegen.design.result import Desk, Mend
from guidegen.kinds import OhmRating, Ratio, Volt
from guidegen.spec.auxiliaries import Beside, Fan
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part
from guidegen.spec.parts import catalogue_part
from guidegen.spec.stages import CutOffStage, RegulatorStage
from guidegen.values import Given, Value, band

#: Current at several voltages, on a data sheet.
TABLE = "current_points"
#: What it takes, and at which voltage of what feeds it.
CURRENTS = {"usual_current": "voltage", "most_current": "highest"}
RESISTOR = "resistor-two-watt"
WIRE = "hook-up-flex"
#: What sound fans take at the least, of what is marked on them. [-].
HALF = 0.5
STANDING = "from memory: below its lowest voltage it may take anything up to this"
HALF_SOURCE = "from memory: sound fans take from half of their marked current up to all of it"


@dataclass(frozen=True)
class Kind:
    """One kind of thing beside the rows: what its values, its resistor and its wires are called."""

    name: str
    behind: str
    """Fact: it hangs on the regulator's output."""
    dropper: str
    wire: str
    too_high: str
    """Findings: more than it bears, less than it works with, heat of its resistor, its wires."""
    too_low: str
    heat: str
    wires: str


FAN = Kind("fan", "fan_behind", "dropper", "fan_wire", "fan-voltage", "fan-starts",
           "dropper-power", "fan-wire")  # fmt: skip
PILOT = Kind("pilot_light", "pilot_behind", "pilot_dropper", "pilot_wire", "pilot-voltage",
             "pilot-seen", "pilot-dropper-power", "pilot-wire")  # fmt: skip
KINDS = (FAN, PILOT)


def all_beside(fixture: Fixture) -> list[tuple[Kind, Beside, Part]]:
    """Everything that hangs beside the rows, in the order of the spec."""
    return [
        (FAN, one, one.fan) if isinstance(one, Fan) else (PILOT, one, one.pilot)
        for one in fixture.auxiliaries
    ]


def is_behind(wish: Beside) -> bool:
    """Whether it hangs on the regulator's output: what it takes goes through the regulator."""
    return wish.fed_after == RegulatorStage.kind


def settle_beside(desk: Desk) -> None:
    """Settle each on what feeds it: the supply's window, or the regulator's output."""
    here = all_beside(desk.fixture)
    desk.set(fan=desk.fixture.fan is not None, dropper=False,
             pilot_light=desk.fixture.pilot is not None, pilot_dropper=False,
             fan_behind=False, pilot_behind=False)  # fmt: skip
    if any(is_behind(wish) for _, wish, _ in here):
        _greatest_output(desk)
    for number, (kind, wish, part) in enumerate(here, 1):
        if is_behind(wish):
            desk.set(**{kind.behind: True})
        _settle(desk, kind, wish, part, f"auxiliaries.{number}")
    for group, ours in (("beside", _names(desk, False)), ("behind", _names(desk, True))):
        if len(ours) > 1:
            first, second = ours
            desk.work(f"{group}.power", budget.both_powers, power=desk[f"{first}.power"],
                      other=desk[f"{second}.power"])  # fmt: skip
            for what in (*CURRENTS, "likely_current"):
                desk.work(f"{group}.{what}", budget.both_currents, current=desk[f"{first}.{what}"],
                          other=desk[f"{second}.{what}"])  # fmt: skip
    _through(desk)


def _names(desk: Desk, behind: bool) -> list[str]:
    """What is fed behind the regulator, or all else, by what its values are called."""
    return [kind.name for kind, wish, _ in all_beside(desk.fixture) if is_behind(wish) is behind]


def _sum(desk: Desk, group: str, what: str) -> Value | None:
    ours = _names(desk, group == "behind")
    if not ours:
        return None
    return desk[f"{group if len(ours) > 1 else ours[0]}.{what}"]


def beside(desk: Desk, what: str) -> Value | None:
    """`power`, or a current, of all that the supply feeds itself; None where nothing is."""
    return _sum(desk, "beside", what)


def behind(desk: Desk, what: str) -> Value | None:
    """The same of all that hangs on the regulator's output."""
    return _sum(desk, "behind", what)


def _through(desk: Desk) -> None:
    """What the regulator gives, with what hangs on its output: at its usual and at its most."""
    most, usual = behind(desk, "most_current"), behind(desk, "usual_current")
    power = behind(desk, "power")
    if most is None or usual is None or power is None:
        return
    rows = desk["panel.current"]
    desk.work("output.current", budget.both_currents, current=rows, other=usual)
    desk.work("output.highest_current", budget.both_currents, current=rows, other=most)
    desk.work("output.power", budget.both_powers, power=load_power(desk), other=power)


def at_output(desk: Desk, state: str, output: Value, likely: bool = False) -> Value | None:
    """Current of all that hangs on the regulator's output, at a voltage; None: nothing does.

    Parameters
    ----------
    desk : Desk
        Behind `supply`.
    state : str
        Its values begin with it, and an underscore or a dot.
    output : Value
        What the regulator gives there.
    likely : bool
        As a meter shows it; else by its label.
    """
    found = []
    for kind, wish, part in all_beside(desk.fixture):
        if is_behind(wish):
            name = f"{state}{kind.name}"
            found.append(
                _seen(desk, kind, part, name, output) if likely else
                current_at(desk, kind, part, f"{name}_current", f"{name}_voltage", output)
            )  # fmt: skip
    if len(found) > 1:
        return desk.work(f"{state}behind_current", budget.both_currents, current=found[0],
                         other=found[1])  # fmt: skip
    return next(iter(found), None)


def _seen(desk: Desk, kind: Kind, part: Part, name: str, output: Value) -> Value:
    """What a meter shows of its current, with the regulator turned down."""
    at = voltage_at(desk, kind, part, f"{name}_voltage", output)
    turning = at.si >= desk[f"{kind.name}.lowest_voltage"].si
    taken = f"{name}_current" if turning else f"{name}_greatest"
    if TABLE in part.tables:
        found = current_at(desk, kind, part, taken, f"{name}_voltage", output)
        desk.work(f"{name}_resistance", calc.fan_resistance, voltage=at, current=found)
    else:
        found = desk.work(taken, calc.fan_current, voltage=output, dropper=_resistor(desk, kind),
                          fan=desk[f"{kind.name}.likely_resistance"])  # fmt: skip
    if turning:
        return found
    # A fan that stands, a pilot light that is dark: it may take next to nothing.
    share = desk.given(f"{name}_standing", Ratio, 0.5, STANDING, 0.5)
    return desk.work(f"{name}_current", calc.standing_current, current=found, share=share)


def _resistor(desk: Desk, kind: Kind) -> Value:
    name = f"{kind.name}.dropper"
    return desk[name if name in desk else f"{kind.name}.no_dropper"]


def _greatest_output(desk: Desk) -> None:
    """The upper end of the full setting; a step-up may pass more than that through."""
    stage = regulator_of(desk.fixture)
    assert stage is not None  # the spec holds it
    full = desk.given("output.full_highest", Volt, band(desk["setting.full"])[1],
                      "upper end of the band of setting.full")  # fmt: skip
    if steps_up(stage):
        passed = desk.work("output.passed", budget.passed_through, voltage=desk["supply.highest"],
                           drop=desk.put(part_of(stage)["dropout"]))  # fmt: skip
        desk.work("output.highest", window.raised_output, setting=full, passed=passed)


def _source(desk: Desk, wish: Beside, end: str) -> Value:
    """What feeds it, at an end of the window or at its usual voltage."""
    if not is_behind(wish):
        return desk[f"supply.{end}"]
    if end == "voltage":
        return desk["setting.full"]
    return desk["output.highest" if "output.highest" in desk else "output.full_highest"]


def _settle(desk: Desk, kind: Kind, wish: Beside, part: Part, path: str) -> None:
    name = kind.name
    if kind is FAN:
        desk.put(part["width"])
    desk.put(part["voltage"], part["highest_voltage"], part["current"])
    _dropper(desk, kind, wish)
    if TABLE in part.tables:
        for point in part.tables[TABLE]:
            desk.put(*point)
        desk.work(f"{name}.exponent", calc.power_exponent, points=part.points(TABLE))
    else:
        desk.work(f"{name}.resistance", calc.fan_resistance, voltage=desk[f"{name}.voltage"],
                  current=desk[f"{name}.current"])  # fmt: skip
    for end in ("highest", "voltage"):
        voltage_at(desk, kind, part, f"{name}.at_{end}", _source(desk, wish, end))
    for what, end in CURRENTS.items():
        current_at(desk, kind, part, f"{name}.{what}", f"{name}.at_{end}", _source(desk, wish, end))
    if TABLE in part.tables:
        # What it looks like to a circuit at its usual voltage.
        desk.work(f"{name}.resistance", calc.fan_resistance, voltage=desk[f"{name}.at_voltage"],
                  current=desk[f"{name}.usual_current"])  # fmt: skip
    usual = _source(desk, wish, "voltage")
    _likely(desk, kind, usual, marked=kind is FAN and TABLE not in part.tables)
    desk.work(f"{name}.power", calc.fan_power, voltage=usual,
              current=desk[f"{name}.usual_current"])  # fmt: skip
    order = [stage.kind for stage in all_stages(desk.fixture)]
    if CutOffStage.kind in order and wish.fed_after in order:
        early = order.index(wish.fed_after) < order.index(CutOffStage.kind)
        desk.find_if(early, "beside-cut-off", "advice", place=desk.fixture.place(path),
                     names={"module": name, "current": desk[f"{name}.usual_current"]},
                     mends=(Mend({f"{path}.fed_after": CutOffStage.kind}),))  # fmt: skip


def _by_points(desk: Desk, kind: Kind) -> dict[str, Value]:
    """Its data sheet has its current at several voltages: it goes with a power of them."""
    return {"rated": desk[f"{kind.name}.voltage"], "current": desk[f"{kind.name}.current"],
            "exponent": desk[f"{kind.name}.exponent"]}  # fmt: skip


def voltage_at(desk: Desk, kind: Kind, part: Part, name: str, source: Value) -> Value:
    """Voltage at it; where only its rated point is known, its current goes with its voltage."""
    dropper = _resistor(desk, kind)
    if TABLE in part.tables:
        return desk.work(name, calc.behind_dropper, source=source, dropper=dropper,
                         **_by_points(desk, kind))  # fmt: skip
    return desk.work(name, calc.fan_voltage, voltage=source, dropper=dropper,
                     fan=desk[f"{kind.name}.resistance"])  # fmt: skip


def current_at(desk: Desk, kind: Kind, part: Part, name: str, voltage: str, source: Value) -> Value:
    """Its current; `voltage` is what the voltage at it is called, which points need."""
    if TABLE in part.tables:
        at = desk[voltage] if voltage in desk else voltage_at(desk, kind, part, voltage, source)
        return desk.work(name, calc.power_law_current, voltage=at, **_by_points(desk, kind))
    return desk.work(name, calc.fan_current, voltage=source, dropper=_resistor(desk, kind),
                     fan=desk[f"{kind.name}.resistance"])  # fmt: skip


def _likely(desk: Desk, kind: Kind, usual: Value, marked: bool) -> None:
    """What a meter shows: the current that is marked on a fan is the most that it takes."""
    name, dropper = kind.name, _resistor(desk, kind)
    own = {"fan": desk[f"{name}.resistance"], "dropper": dropper}
    least = 1.0
    if marked:
        half = desk.given(f"{name}.half", Ratio, HALF, HALF_SOURCE)
        least = half.si
        if dropper.si > 0:
            least = desk.work(f"{name}.least_share", calc.least_share, half=half, **own,
                              voltage=usual, most=desk[f"{name}.highest_voltage"]).si  # fmt: skip
    share = desk.given(f"{name}.share", Ratio, (1 + least) / 2,
                       HALF_SOURCE if marked else "its data sheet",
                       (1 - least) / 2)  # fmt: skip
    likely = desk.work(f"{name}.likely_resistance", calc.likely_resistance, share=share,
                       fan=own["fan"])  # fmt: skip
    seen = {"voltage": usual, "fan": likely, "dropper": dropper}
    desk.work(f"{name}.reading", calc.fan_voltage, **seen)
    desk.work(f"{name}.likely_current", calc.fan_current, **seen)


def _dropper(desk: Desk, kind: Kind, wish: Beside) -> None:
    """The series resistor: as the spec says, or where it would get more than what it bears."""
    rated, most, current = (desk[f"{kind.name}.{n}"]
                            for n in ("voltage", "highest_voltage", "current"))  # fmt: skip
    asked, highest, name = wish.dropper, _source(desk, wish, "highest"), f"{kind.name}.dropper"
    none = f"{kind.name}.no_dropper"
    there = {kind.dropper: True}
    if isinstance(asked, Given):
        desk.set(**there)
        desk.put(asked)
    elif name in desk.held:
        desk.set(**there)
        desk.put(desk.held[name])
    elif asked is None or highest.si <= most.si or none in desk.held:
        desk.given(none, OhmRating, 0.0, "no resistor")
    else:
        least = desk.work(f"{kind.name}.least_dropper", calc.least_dropper, highest=highest,
                          rated=rated, current=current)  # fmt: skip
        number = calc.next_dropper(least.si)
        spread = catalogue_part(RESISTOR)["tolerance"].si * number
        found = desk.given(name, OhmRating, number, "chosen from IEC 60063 E24, ± 5 %", spread)
        desk.chose(name, str(found), wanted=least)
        desk.set(**there)
