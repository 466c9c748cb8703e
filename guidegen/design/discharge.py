"""A battery as it empties: how its light falls where nothing holds it, and how long it lasts."""

from __future__ import annotations

from typing import Any

from guidegen.calc import budget, discharge, window
from guidegen.calc.discharge import Curve
from guidegen.design.efficiency import points_of
from guidegen.design.parts import part_of, regulator_of, steps_up, supply_part
from guidegen.design.result import Desk
from guidegen.kinds import AmpereRating, Hour, Percent, Ratio, Volt, Watt
from guidegen.values import Value

TABLE = "curve"
#: Charges at which the page shows the light, by what their values are called. [-].
CHARGES = {"charge_one": 1.0, "charge_two": 0.8, "charge_three": 0.6, "charge_four": 0.4,
           "charge_five": 0.3, "charge_six": 0.2, "charge_seven": 0.1}  # fmt: skip
#: Half of what cells of one chemistry differ by, from their curve. [V a cell].
SPREAD = {"li-ion": 0.05, "lifepo4": 0.03, "lead-acid": 0.017}
MEMORY = "from memory: cells of one chemistry differ by so much"


def by_heart(desk: Desk) -> bool:
    """Whether the discharge curve is that of the chemistry, which nobody looked up."""
    return TABLE not in supply_part(desk.fixture).tables


def curve_of(desk: Desk) -> Curve:
    """Voltage and charge of the battery, the fullest first, in SI."""
    part = supply_part(desk.fixture)
    if not by_heart(desk):
        return tuple(sorted(part.points(TABLE), key=lambda point: -point[1]))
    chemistry = part.words["chemistry"]
    number = discharge.cells(chemistry, part["voltage"].si)
    return tuple((volts * number, charge) for volts, charge in discharge.cell_curve(chemistry))


def curve_error(desk: Desk) -> Value:
    """What the discharge curve may be off by, entered once: 0, and its band."""
    if "battery.curve_error" in desk:
        return desk["battery.curve_error"]
    part = supply_part(desk.fixture)
    if by_heart(desk):
        chemistry = part.words["chemistry"]
        spread = SPREAD[chemistry] * discharge.cells(chemistry, part["voltage"].si)
        return desk.given("battery.curve_error", Volt, 0.0, MEMORY, spread)
    points = part.tables[TABLE]
    for point in points:
        desk.put(*point)
    return desk.given("battery.curve_error", Volt, 0.0, points[0][0].source,
                      max(point[0].spread for point in points))  # fmt: skip


def settle_fading(desk: Desk) -> None:
    """Whether and where the light falls as its battery empties; asked behind the wiring."""
    regulator = regulator_of(desk.fixture)
    desk.set(fades=False, curve_by_heart=False)
    if not desk.fact("battery") or steps_up(regulator):
        return
    dropout = desk.put(part_of(regulator)["dropout"]) if regulator is not None else desk.given(
        "fading.no_dropout", Volt, 0.0, "no regulator")  # fmt: skip
    needs = desk.work("battery.full_needs", discharge.needed_input, output=desk["setting.full"],
                      lead=desk["leads.drop"], dropout=dropout)  # fmt: skip
    if regulator is not None and needs.si <= desk["supply.lowest"].si:
        return
    _ends(desk, needs, dropout)
    # What is spared is not counted, though the cut-off would let it be drawn.
    fades = regulator is None or desk["battery.full_until"].si > desk["battery.ends_at"].si
    desk.set(fades=fades, curve_by_heart=by_heart(desk))


def _ends(desk: Desk, needs: Value, dropout: Value) -> None:
    """Where the light is full for the last time, and where it ends."""
    curve, error = curve_of(desk), curve_error(desk)
    known = {"error": error, "curve": curve}
    desk.work("battery.full_until", discharge.charge_at, voltage=needs, **known)
    dark = desk.work("battery.dark_below", discharge.needed_input, output=desk["tape.threshold"],
                     lead=desk["leads.drop"], dropout=dropout)  # fmt: skip
    last = desk.work(
        "battery.ends_at", discharge.last_charge,
        spared=desk.work("battery.spared", discharge.unused, usable=desk["battery.usable"]),
        at_cut_off=desk.work("battery.cut_off_at", discharge.charge_at,
                             voltage=desk["supply.lowest"], **known),
        dark=desk.work("battery.dark_at", discharge.charge_at, voltage=dark, **known),
    )  # fmt: skip
    _light(desk, "battery.last", last, dropout)


def _light(desk: Desk, name: str, charge: Value, dropout: Value) -> None:
    """Voltage, output and light at a charge."""
    volts = desk.work(f"{name}_voltage", discharge.curve_voltage, charge=charge,
                      error=desk["battery.curve_error"], curve=curve_of(desk))  # fmt: skip
    room = desk.work(f"{name}_room", budget.room_above, voltage=volts, lead=desk["leads.drop"],
                     dropout=dropout)  # fmt: skip
    output = desk.work(f"{name}_output", window.held_output, setting=_ceiling(desk), room=room)
    desk.work(f"{name}_light", discharge.fallen_light, output=output,
              threshold=desk["tape.threshold"], full=desk["setting.full"])  # fmt: skip


def light_at(desk: Desk, name: str, source: Value) -> tuple[Value, bool]:
    """The light while the supply stands this low, and whether the light works there at all.

    Parameters
    ----------
    desk : Desk
        Behind the wiring.
    name : str
        Of the state: its values begin with it.
    source : Value
        Voltage of the supply.
    """
    stage, full = regulator_of(desk.fixture), desk["setting.full"]
    output, starts = source, True
    if stage is not None:
        starts = part_of(stage)["input_low"].si <= source.si
        room = desk.work(f"{name}.room", budget.room_above, voltage=source, lead=desk["leads.drop"],
                         dropout=desk["regulator.dropout"])  # fmt: skip
        output = full if steps_up(stage) else desk.work(
            f"{name}.output", window.held_output, setting=full, room=room)  # fmt: skip
    light = desk.work(f"{name}.light", discharge.fallen_light, output=output,
                      threshold=desk["tape.threshold"], full=full)  # fmt: skip
    return light, starts


def _ceiling(desk: Desk) -> Value:
    return desk["setting.full" if desk.fact("regulator") else "supply.highest"]


def fading_table(desk: Desk, beside: tuple[Value, Value]) -> None:
    """Enter the light at some charges above the last; nothing where it does not fall."""
    if not desk.fact("fades"):
        return
    dropout = desk["regulator.dropout" if desk.fact("regulator") else "fading.no_dropout"]
    control = desk["setting.full"], desk["light.full"]
    for name, charge in CHARGES.items():
        if charge > desk["battery.ends_at"].si:
            at = desk.given(f"{name}.charge", Percent, charge, "definition")
            _light(desk, f"{name}.battery", at, dropout)
            fading_time(desk, f"{name}.time", at, control, beside)


def fading_time(
    desk: Desk,
    name: str,
    down_to: Value,
    control: tuple[Value, Value],
    beside: tuple[Value, Value],
) -> Value:
    """Time from full down to a charge.

    Parameters
    ----------
    desk : Desk
        Where the light fades.
    name : str
        Of the value.
    down_to : Value
        Charge that is left in the end.
    control : tuple of Value
        Setting of the regulator, and share of the time for which the light is on.
    beside : tuple of Value
        Power of what the battery feeds itself, and of what hangs on the regulator's output.
    """
    regulator, part = regulator_of(desk.fixture), supply_part(desk.fixture)
    none = _none(desk, "loss", Watt, 0.0, "no pulse-width stage")
    hour = _none(desk, "hour", Hour, 1.0, "definition")
    ideal = _none(desk, "ideal", Ratio, 1.0, "lithium cells give their capacity at every current")
    lead_acid = bool(desk.fact("lead_acid"))
    points = points_of(desk)
    of_points = "regulator.efficiency_error" if points else "regulator.efficiency"
    return desk.work(
        name, discharge.fading_time, down_to=down_to, error=desk["battery.curve_error"],
        leads=desk["leads.drop"],
        dropout=desk["fading.no_dropout" if regulator is None else "regulator.dropout"],
        ceiling=control[0] if regulator else _ceiling(desk), threshold=desk["tape.threshold"],
        full=desk["setting.full"], current=desk["panel.current"],
        loss=desk["pulse_width.loss"] if desk.fact("pulse_width") else none, duty=control[1],
        efficiency=desk[of_points if regulator else "tape.share_of_input"], beside=beside[0],
        behind=beside[1],
        capacity=desk["battery.capacity"],
        rated_time=desk.put(part["rated_time"]) if lead_acid else hour,
        exponent=desk.put(part["peukert"]) if lead_acid else ideal,
        rating=desk["regulator.current"] if regulator else
        _none(desk, "rating", AmpereRating, 1.0, "no regulator"),
        curve=curve_of(desk), points=points, at_input=bool(desk.fact("load_at_input")),
    )  # fmt: skip


def _none(desk: Desk, what: str, kind: Any, si: float, source: str) -> Value:
    """What stands in the place of a part that is not there; entered once."""
    name = f"fading.no_{what}"
    return desk.values.get(name) or desk.given(name, kind, si, source)
