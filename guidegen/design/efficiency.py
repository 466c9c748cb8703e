"""What a regulator gives of what it takes: one figure, or the points of its data sheet."""

from __future__ import annotations

from guidegen.calc import efficiency, window
from guidegen.calc.efficiency import Point
from guidegen.design.loads import given_current, given_power
from guidegen.design.parts import part_of, rated_at_input, regulator_of
from guidegen.design.result import Desk, Finding
from guidegen.kinds import Percent, SupplyVolt
from guidegen.values import Value

TABLE = "efficiency_points"
#: Of a point, in order; all but the first are what it is given against.
COLUMNS = ("efficiency", "input", "output", "load")


def points_of(desk: Desk) -> tuple[Point, ...]:
    """The points of the regulator's data sheet, in SI; empty where it has one figure."""
    stage = regulator_of(desk.fixture)
    return part_of(stage).points(TABLE) if stage is not None else ()


def facts(desk: Desk) -> None:
    """Whether the regulator has points, and whether its load is that of its input."""
    stage = regulator_of(desk.fixture)
    at_input = stage is not None and rated_at_input(part_of(stage))
    desk.set(efficiency_points=bool(points_of(desk)), load_at_input=at_input)


def settle_efficiency(desk: Desk) -> Value:
    """Enter the efficiency at full light and the supply's usual voltage, and return it."""
    stage = regulator_of(desk.fixture)
    assert stage is not None
    part, points = part_of(stage), points_of(desk)
    desk.put(part["current"])
    if not points:
        return desk.put(part["efficiency"])
    for point in part.tables[TABLE]:
        desk.put(*point)
    figure = part["efficiency"]
    desk.given("regulator.efficiency_error", Percent, 0.0, figure.source, figure.spread)
    return _work(desk, "regulator.efficiency", desk["supply.voltage"], desk["setting.full"],
                 given_current(desk), given_power(desk))  # fmt: skip


def at(desk: Desk, name: str, source: Value, output: Value, current: Value, power: Value) -> Value:
    """The efficiency at a state of the light: an own value only where the data sheet has points.

    Parameters
    ----------
    desk : Desk
        Of the subject that asks, behind `supply`.
    name : str
        What the state's own value is called.
    source, output, current, power : Value
        At the regulator's input and output.
    """
    if not desk.fact("efficiency_points"):
        return desk["regulator.efficiency"]
    return _work(desk, name, source, output, current, power)


def _work(
    desk: Desk, name: str, source: Value, output: Value, current: Value, power: Value
) -> Value:
    stage = regulator_of(desk.fixture)
    assert stage is not None
    part = part_of(stage)
    if rated_at_input(part):
        load = desk.work(f"{name}_load", efficiency.load_at_input, power=power, source=source,
                         rating=desk["regulator.current"])  # fmt: skip
    else:
        load = desk.work(f"{name}_load", window.used_share, current=current,
                         rating=desk["regulator.current"])  # fmt: skip
    return desk.work(name, efficiency.efficiency_here, source=source, output=output, load=load,
                     error=desk["regulator.efficiency_error"], points=points_of(desk))  # fmt: skip


def at_worst(desk: Desk) -> tuple[Value, Value]:
    """The supply's voltage at which the light takes its greatest current, and the efficiency there.

    Of one figure that is the lowest voltage; of points it may be another one of the window.
    """
    lowest = desk["supply.lowest"]
    if not desk.fact("efficiency_points"):
        return lowest, desk["regulator.efficiency"]
    load = desk["regulator.efficiency_load"].si
    found = efficiency.worst_input(points_of(desk), lowest.si, desk["supply.highest"].si,
                                   desk["setting.full"].si, load)  # fmt: skip
    worst = lowest if found == lowest.si else desk.given(
        "supply.worst", SupplyVolt, found, "the input with the greatest current")  # fmt: skip
    return worst, at(desk, "regulator.worst_efficiency", worst, desk["setting.full"],
                     given_current(desk), given_power(desk))  # fmt: skip


def covered(desk: Desk, names: tuple[str, ...]) -> None:
    """Say whether the data sheet's points cover the states of this light, by their names."""
    points = points_of(desk)
    if not points:
        return
    states = {
        "input": [desk[f"supply.{end}"].si for end in ("lowest", "highest")],
        "output": [desk[f"{name}.output"].si for name in names],
        "load": [desk[f"{name}.efficiency_load"].si for name in names],
    }
    beyond = {axis: efficiency.beyond(points, place, min(states[axis]), max(states[axis]))
              for place, axis in enumerate(COLUMNS) if place}  # fmt: skip
    kept = not any(beyond.values())
    stage = regulator_of(desk.fixture)
    assert stage is not None
    level = "holds" if kept else "advice"
    beyond_them = [axis for axis, out in beyond.items() if out]
    desk.find(Finding("efficiency-points", level, place=stage.place,
                      names={"kept": kept, "quantities": beyond_them}))  # fmt: skip
