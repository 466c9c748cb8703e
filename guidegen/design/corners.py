"""The light at the ends of its supply and of its control, and how long a battery carries it."""

from __future__ import annotations

from dataclasses import dataclass

from guidegen.calc import battery, budget, fan, pulse, supply, tape, window
from guidegen.design import efficiency, panels, tape_law
from guidegen.design.beside import at_output, behind, beside
from guidegen.design.discharge import fading_table, fading_time
from guidegen.design.loads import load_power
from guidegen.design.parts import part_of, rated_at_input, regulator_of, supply_part
from guidegen.design.result import Desk, Fact, Section
from guidegen.kinds import MilliVolt, Percent, Watt
from guidegen.spec.model import Fixture
from guidegen.values import Value, renamed

#: Shares of the full light at which run times are told.
LIGHTS = {"full": 1.0, "three_quarters": 0.75, "half": 0.5, "quarter": 0.25}
NUMBERS = ("one", "two", "three", "four")
#: What carries the current of the supply, and what that of the tape: role, and its rating.
AT_SUPPLY = (("supply", "supply.may_give"), ("lead", "lead.ampacity"), ("lead", "lead_2.ampacity"),
             ("fuse", "fuse.rating"), ("connector", "connector.current"),
             ("switch", "switch.current"), ("battery_wire", "battery_wire.ampacity"))  # fmt: skip
AT_TAPE = (("feed", "feed.ampacity"), ("rail", "rail.ampacity"),
           ("pulse_width", "pulse_width.current"))  # fmt: skip


@dataclass(frozen=True)
class Corner:
    """One end of the supply with one end of the control."""

    number: str
    supply: str
    """`lowest` or `highest`."""
    control: str
    """`full` or `low`."""
    limited_by: str
    """Role of the part that carries most of its rating; none where the tape is dark."""


def settle(fixture: Fixture, before: tuple[Section, ...]) -> Section:
    """What the light takes and gives in every corner, and the run times."""
    desk = Desk("corners", fixture, before)
    desk.set(dims=_dims(desk) or bool(desk.fact("pulse_width")))
    part = supply_part(fixture)
    named = {"battery": "highest_current", "vehicle": "fuse"}
    figure = next((named[kind] for kind in named if desk.fact(kind)), "current")
    rating = part[figure]
    desk.put(renamed(rating, "supply.may_give"))
    found: list[Corner] = []
    ends = ("full", "low") if _dims(desk) else ("full",)
    for control in ends:
        for volts in ("lowest", "highest"):
            number = NUMBERS[len(found)]
            limited = _corner(desk, f"corner_{number}", volts, control)
            found.append(Corner(number, volts, control, limited))
    if desk.fact("regulator"):
        efficiency.covered(desk, tuple(f"corner_{one.number}" for one in found))
    if desk.fact("battery"):
        _run_times(desk)
        fading_table(desk, _fading(desk))
    return desk.section(tuple(found))


def _dims(desk: Desk) -> bool:
    """Whether a control moves the voltage; one that pulses takes the light to nothing."""
    return bool(desk.fact("control")) and not desk.fact("pulse_width")


def _corner(desk: Desk, name: str, volts: str, control: str) -> str:
    """Enter one corner; returns the role that carries most of its rating, if the tape is lit."""
    source = desk[f"supply.{volts}"]
    # What the control's own network gives at its low end, not what was wished.
    setting = desk["control.low_output" if control == "low" else "setting.full"]
    output = _output(desk, name, source, setting)
    one = tape_law.current(desk, f"{name}.group", output)
    row = desk.work(f"{name}.row", tape.row_current, group_current=one,
                    groups=desk["row.groups"])  # fmt: skip
    current = desk.work(f"{name}.current", tape.panel_current, row_current=row,
                        rows=panels.all_rows(desk))  # fmt: skip
    desk.work(f"{name}.light", tape.share_of_full, current=one, full_current=desk["group.current"])
    load = desk.work(f"{name}.power", tape.tape_power, voltage=output, current=current)
    if desk.fact("pulse_width"):
        load = desk.work(f"{name}.load", pulse.loaded, power=load, loss=desk["pulse_width.loss"])
    given, load = _with_behind(desk, f"{name}.", output, current, load)
    there = _efficiency(desk, f"{name}.efficiency", source, output, given, load)
    if desk.fact("regulator"):
        desk.work(f"{name}.heat", supply.regulator_loss, output_power=load, efficiency=there)
    drawn = desk.work(f"{name}.drawn", window.drawn, power=load, efficiency=there,
                      beside=_beside(desk))  # fmt: skip
    taken = desk.work(f"{name}.input", budget.current_of, power=drawn, voltage=source)
    return _limited(desk, name, taken, (current, given)) if current.si else ""


def _with_behind(
    desk: Desk, state: str, output: Value, current: Value, load: Value
) -> tuple[Value, Value]:
    """Current and power that a regulator gives there, what hangs on its output included."""
    other = at_output(desk, state, output)
    if other is None:
        return current, load
    taken = desk.work(f"{state}behind_power", fan.fan_power, voltage=output, current=other)
    return (
        desk.work(f"{state}given_current", budget.both_currents, current=current, other=other),
        desk.work(f"{state}given_power", budget.both_powers, power=load, other=taken),
    )


def _output(desk: Desk, name: str, source: Value, setting: Value) -> Value:
    if not desk.fact("regulator"):
        none = desk.values.get("corner.no_drop") or desk.given(
            "corner.no_drop", MilliVolt, 0.0, "project default: no drop, the worst case"
        )
        return desk.work(f"{name}.output", window.unregulated, voltage=source, leads=none)
    if desk.fact("step_up"):
        passed = desk.work(f"{name}.passed", budget.passed_through, voltage=source,
                           drop=desk["regulator.dropout"])  # fmt: skip
        return desk.work(f"{name}.output", window.raised_output, setting=setting, passed=passed)
    room = desk.work(f"{name}.room", budget.room_above, voltage=source, lead=desk["leads.drop"],
                     dropout=desk["regulator.dropout"])  # fmt: skip
    return desk.work(f"{name}.output", window.held_output, setting=setting, room=room)


def _efficiency(
    desk: Desk, name: str, source: Value, output: Value, current: Value, load: Value
) -> Value:
    if not desk.fact("regulator"):
        return desk["tape.share_of_input"]
    return efficiency.at(desk, name, source, output, current, load)


def _beside(desk: Desk) -> Value:
    return beside(desk, "power") or _none_beside(desk)


def _fading(desk: Desk) -> tuple[Value, Value]:
    """Power of what the battery feeds itself, and of what hangs on the regulator's output."""
    return _beside(desk), behind(desk, "power") or _none_beside(desk)


def _none_beside(desk: Desk) -> Value:
    return desk.values.get("fan.none") or desk.given("fan.none", Watt, 0.0, "no fan")


def _limited(desk: Desk, name: str, taken: Value, behind: tuple[Value, Value]) -> str:
    """The part nearest to its rating, and how much of that it carries.

    Parameters
    ----------
    desk : Desk
        Behind the wiring.
    name : str
        Of the corner.
    taken : Value
        Current from the supply.
    behind : tuple of Value
        Current of the rows, and what a regulator gives.

    Returns
    -------
    str
        Its role.
    """
    current, given = behind
    ratings = [(role, desk[rating], amps) for pairs, amps in ((AT_SUPPLY, taken),
               (AT_TAPE, current)) for role, rating in pairs if rating in desk]  # fmt: skip
    regulator = regulator_of(desk.fixture)
    if regulator is not None:
        at_input = rated_at_input(part_of(regulator))
        ratings.append(("regulator", desk["regulator.current"], taken if at_input else given))
    role, rating, amps = max(ratings, key=lambda one: one[2].si / one[1].si)
    desk.work(f"{name}.share", window.used_share, current=amps, rating=rating)
    return role


def _run_times(desk: Desk) -> None:
    """At four shares of the light."""
    peukert = desk.fact("lead_acid")
    part = supply_part(desk.fixture)
    if peukert:
        desk.put(part["rated_time"], part["peukert"])
    one = desk.given("light.full", Percent, 1.0, "definition")
    for ending, share in LIGHTS.items() if desk.fact("dims") else [("full", 1.0)]:
        light = one if ending == "full" else desk.given(f"light.{ending}", Percent, share,
                                                        "definition")  # fmt: skip
        if desk.fact("pulse_width") or ending == "full":
            volts = desk["setting.full"]
            load = desk.work(f"run.{ending}_load", window.pulsed_power, power=load_power(desk),
                             light=light)  # fmt: skip
        else:
            volts = desk.work(f"run.{ending}_voltage", window.dimmed_voltage,
                              threshold=desk["tape.threshold"], full=desk["setting.full"],
                              light=light)  # fmt: skip
            load = desk.work(f"run.{ending}_load", window.dimmed_power, voltage=volts,
                             current=desk["panel.current"], light=light)  # fmt: skip
        amps = desk.work(f"run.{ending}_amps", window.dimmed_current, light=light,
                         current=desk["panel.current"])  # fmt: skip
        amps, load = _with_behind(desk, f"run.{ending}_", volts, amps, load)
        there = _efficiency(desk, f"run.{ending}_efficiency", desk["supply.voltage"], volts, amps,
                            load)  # fmt: skip
        if desk.fact("fades"):
            pulses = bool(desk.fact("pulse_width"))
            control = (desk["setting.full"], light) if pulses else (volts, one)
            fading_time(desk, _run_name(ending), desk["battery.ends_at"], control, _fading(desk))
        else:
            _run_time(desk, ending, load, there, peukert)
    if desk.fixture.use.run_time is not None:
        wanted = desk.put(desk.fixture.use.run_time)
        desk.limit("run-time", wanted, desk["battery.run_time"], at_most=False, level="advice",
                   place=getattr(wanted, "place", None))  # fmt: skip


def _run_name(ending: str) -> str:
    return "battery.run_time" if ending == "full" else f"battery.run_time_{ending}"


def _run_time(desk: Desk, ending: str, load: Value, there: Value, peukert: Fact) -> None:
    name = _run_name(ending)
    if not peukert:
        desk.work(name, supply.run_time, energy=desk["battery.energy"],
                  usable=desk["battery.usable"], efficiency=there, load_power=load,
                  beside=_beside(desk))  # fmt: skip
        return
    drawn = desk.work(f"run.{ending}_drawn", window.drawn, power=load, efficiency=there,
                      beside=_beside(desk))  # fmt: skip
    amps = desk.work(f"run.{ending}_current", budget.current_of, power=drawn,
                     voltage=desk["supply.voltage"])  # fmt: skip
    whole = desk.work(f"run.{ending}_time", battery.lead_acid_time, current=amps,
                      rated_time=desk["battery.rated_time"], capacity=desk["battery.capacity"],
                      exponent=desk["battery.peukert"])  # fmt: skip
    desk.work(name, battery.usable_time, time=whole, usable=desk["battery.usable"])
