"""A solved circuit with its module's efficiency at the state that it was solved in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import count, takewhile

from guidegen.calc.circuits import Circuit, Regulator
from guidegen.calc.efficiency import Point, efficiency_here, load_at_input
from guidegen.calc.nodal import Solution, solve
from guidegen.calc.window import used_share
from guidegen.design.efficiency import COLUMNS
from guidegen.design.result import Fact
from guidegen.values import lettered

#: Of the efficiency: from here on no meter shows a difference.
CLOSE = 1e-6
#: The input hardly moves with the efficiency, so that each round brings some digits.
MOST_ROUNDS = 20


def settled(circuit: Circuit, ground: str, facts: Mapping[str, Fact]) -> Solution:
    """A circuit solved so that each module has the efficiency of its own state.

    Raises
    ------
    NoSolutionError
        If the circuit can't be solved.
    """
    found = solve(circuit, ground)
    points = _points(facts)
    for _ in range(MOST_ROUNDS if points else 0):
        stages = [_efficient(stage, found, facts, points) for stage in circuit.regulators]
        moved = max((abs(new.efficiency - old.efficiency) for new, old in
                     zip(stages, circuit.regulators, strict=True)), default=0.0)  # fmt: skip
        if moved < CLOSE:
            break
        circuit = replace(circuit, regulators=stages)
        found = solve(circuit, ground)
    return found


def _points(facts: Mapping[str, Fact]) -> tuple[Point, ...]:
    names = ([f"regulator.efficiency_points.{lettered(n)}_{column}" for column in COLUMNS]
             for n in count(1))  # fmt: skip
    rows = takewhile(lambda row: row[0] in facts, names)
    return tuple(tuple(float(facts[name]) for name in row) for row in rows)


def _efficient(
    stage: Regulator, found: Solution, facts: Mapping[str, Fact], points: tuple[Point, ...]
) -> Regulator:
    volts, rating = found.volts, float(facts["regulator.current"])
    # A module that hangs on nothing gives nothing.
    if stage.in_plus not in volts or stage.out_plus not in volts:
        return stage
    source = volts[stage.in_plus] - volts[stage.in_minus]
    output = volts[stage.out_plus] - volts[stage.out_minus]
    current = max(0.0, found.currents.get(stage.name, 0.0))
    if source <= 0:
        return stage
    load = (load_at_input(current * output, source, rating) if facts["load_at_input"]
            else used_share(current, rating))  # fmt: skip
    return replace(stage, efficiency=efficiency_here(source, output, load, 0.0, points))
