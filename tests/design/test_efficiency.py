"""Efficiency by the points of a data sheet: interpolated, used at each state, walked, refused."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest
from scipy.interpolate import RegularGridInterpolator

from guidegen.calc.circuits import Circuit, Regulator, Resistor, Source
from guidegen.calc.efficiency import efficiency_here, worst_input
from guidegen.design import Design, settle
from guidegen.design.efficiency import COLUMNS
from guidegen.errors import SpecError
from guidegen.guide.efficient import settled
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.values import lettered

SPECS = Path(__file__).parents[2] / "specs"
INPUTS, OUTPUTS, LOADS = (12.0, 19.0, 24.0), (5.0, 8.0, 12.0), (0.1, 0.5, 0.9)
GRID = np.array([0.95, 0.97, 0.96, 0.90, 0.93, 0.92, 0.85, 0.88, 0.91] * 3).reshape(3, 3, 3)
GRID[1] -= 0.02
GRID[2] -= 0.05
POINTS = tuple((float(GRID[i, j, k]), a, b, c) for (i, a), (j, b), (k, c) in itertools.product(
    enumerate(INPUTS), enumerate(OUTPUTS), enumerate(LOADS)))  # fmt: skip
TEXT = ", ".join(f'"{100 * e:.6g} % at {a:g} V to {b:g} V, {100 * c:g} %"' for e, a, b, c in POINTS)
#: The library's own interpolation of the same grid, held at its edges.
SCIPY = RegularGridInterpolator((INPUTS, OUTPUTS, LOADS), GRID)


def by_scipy(source: float, output: float, share: float) -> float:
    state = np.clip((source, output, share), (12, 5, 0.1), (24, 12, 0.9))
    return float(SCIPY(state)[0])


def designed(points: str = TEXT, spec: str = "herbarium-copy-light", **changes: str) -> Design:
    part = f"{{like: step-down-36v-8a, efficiency_points: [{points}]}}"
    named = {key.replace("__", "."): text for key, text in changes.items()}
    made = changed(load(SPECS / f"{spec}.yaml"), {"chain.regulator.regulator": part, **named})
    return settle(made, mends=False)


@pytest.fixture(scope="module")
def design() -> Design:
    return designed()


def test_between_its_points_as_a_library_has_it() -> None:
    random = np.random.default_rng(7)
    for state in random.uniform((6, 2, 0), (30, 15, 1.2), (200, 3)):
        found = efficiency_here(*map(float, state), 0.0, POINTS)
        assert found == pytest.approx(by_scipy(*state), abs=1e-12)


def test_curves_need_not_end_at_one_place() -> None:
    """Two curves of one output: at 12 V 90 % and 94 %, at 24 V 86 % alone; by hand at 18 V."""
    points = ((0.90, 12.0, 8.0, 0.2), (0.94, 12.0, 8.0, 0.6), (0.86, 24.0, 8.0, 0.5))
    assert efficiency_here(18.0, 8.0, 0.4, 0.0, points) == pytest.approx((0.92 + 0.86) / 2)
    assert efficiency_here(18.0, 8.0, 0.4, 0.01, points) == pytest.approx(0.90)


def test_the_worst_input_of_a_window_against_every_volt() -> None:
    """A part whose efficiency falls so fast that its current rises with the voltage."""
    points = ((0.95, 10.0, 8.0, 0.5), (0.50, 14.0, 8.0, 0.5), (0.49, 20.0, 8.0, 0.5))
    volts = np.linspace(9.0, 19.0, 5001)
    takes = [1 / (v * efficiency_here(float(v), 8.0, 0.5, 0.0, points)) for v in volts]
    assert worst_input(points, 9.0, 19.0, 8.0, 0.5) == pytest.approx(14.0)
    assert volts[int(np.argmax(takes))] == pytest.approx(14.0, abs=0.003)


def test_each_state_of_the_light_has_its_own(design: Design) -> None:
    v = {name: value.si for name, value in design.values.items()}
    full = by_scipy(v["supply.voltage"], v["setting.full"], v["panel.current"] / 5)
    assert v["regulator.efficiency"] == pytest.approx(full, abs=1e-12)
    assert v["input.power"] == pytest.approx(v["panel.power"] / full)
    for one in design.result("corners"):
        name = f"corner_{one.number}"
        source, output = v[f"supply.{one.supply}"], v[f"{name}.output"]
        there = by_scipy(source, output, v[f"{name}.current"] / 5)
        assert v[f"{name}.input"] == pytest.approx(v[f"{name}.power"] / there / source), name
        assert v[f"{name}.heat"] == pytest.approx(v[f"{name}.power"] * (1 / there - 1)), name
    corners = {v[f"corner_{one.number}.efficiency"] for one in design.result("corners")}
    assert len(corners) == 4


def test_no_point_of_the_window_takes_more_than_the_greatest_current(design: Design) -> None:
    v = {name: value.si for name, value in design.values.items()}
    volts = np.linspace(v["supply.lowest"], v["supply.highest"], 101)
    takes = [v["panel.power"] / one / by_scipy(one, v["setting.full"], v["panel.current"] / 5)
             for one in volts]  # fmt: skip
    assert v["input.highest_current"] == pytest.approx(max(takes), rel=1e-9)


def test_run_times_follow_the_load() -> None:
    """A Li-ion pack of 21.6 V: at a quarter of the light the module works at another point."""
    changes = {"supplies__1": "{battery: li-ion-6s-5ah, chain: [{cut_off: cut-off-24v-10a},"
                              " {fuse: fuse-blade-58v}]}",
               "chain__fuse__fuse": "none", "chain__fuse__rating": "(left out)",
               "chain__connector": "connector-shrouded-30a"}  # fmt: skip
    design = designed(**changes)
    v = {name: value.si for name, value in design.values.items()}
    shares = {"": 1.0, "_half": 0.5, "_quarter": 0.25}
    for name, share in shares.items():
        volts = v["tape.threshold"] + share * (v["setting.full"] - v["tape.threshold"])
        there = by_scipy(21.6, volts, share * v["panel.current"] / 5)
        hours = 21.6 * 5 * 0.9 * there / (volts * share * v["panel.current"])
        assert v[f"battery.run_time{name}"] == pytest.approx(hours, rel=1e-9), name


def test_out_of_their_range_is_said(design: Design) -> None:
    def said(made: Design) -> tuple[str, list[str]]:
        [one] = [f for f in made.findings if f.id == "efficiency-points"]
        return one.level, one.names["quantities"]

    # The low end takes 0.1 A of 5 A: below the points, which begin at a tenth.
    assert said(design) == ("advice", ["load"])
    low = '"90 % at 12 V to 7 V, 0 %", "93 % at 12 V to 12 V, 100 %"'
    assert said(designed(low)) == ("advice", ["input"])
    whole = '"90 % at 18 V to 7 V, 0 %", "93 % at 20 V to 12 V, 100 %"'
    assert said(designed(whole)) == ("holds", [])
    plain = settle(load(SPECS / "herbarium-copy-light.yaml"), mends=False)
    assert "efficiency-points" not in {one.id for one in plain.findings}


def test_a_figure_written_anew_ends_inherited_points() -> None:
    part = f"{{mine: {{like: step-down-36v-8a, efficiency_points: [{TEXT}]}}}}"
    fixture = load(SPECS / "herbarium-copy-light.yaml")
    made = changed(fixture, {"parts": part, "chain.regulator.regulator":
                             "{like: mine, efficiency: 80 %}"})  # fmt: skip
    assert settle(made, mends=False).values["regulator.efficiency"].si == pytest.approx(0.80)


@pytest.mark.parametrize(
    ("points", "said"),
    [
        ("94 %", "is no such point. Accepted: points such as '94 % at 19 V to 12 V, 50 %'"),
        ("94 % at 19 V to 12 V", "is no such point"),
        ("94 V at 19 V to 12 V, 50 %", "94 V"),
        ("130 % at 19 V to 12 V, 50 %", "out of range"),
        ("94 % at 230 V to 12 V, 50 %", "230 V"),
        ('"94 % at 19 V to 12 V, 50 %", "93 % at 19 V to 12 V, 50 %"', "a second point"),
        ("", "this is no list of 1 to 100 points"),
    ],
)
def test_what_is_no_point_is_refused(points: str, said: str) -> None:
    quoted = points if points.startswith('"') or not points else f'"{points}"'
    with pytest.raises(SpecError, match=said):
        designed(quoted)


@pytest.mark.parametrize(("source", "ohms"), [(19.0, 10.0), (13.0, 40.0)])
def test_a_solved_circuit_has_the_efficiency_of_its_state(source: float, ohms: float) -> None:
    """5 V from a reference of 1.25 V and 3 : 1 of divider; what it takes, by hand."""
    rows = zip(COLUMNS, zip(*POINTS, strict=True), strict=True)
    facts = {f"regulator.efficiency_points.{lettered(n)}_{column}": one
             for column, values in rows for n, one in enumerate(values, 1)}  # fmt: skip
    circuit = Circuit(
        [Resistor("in", "in+", 0.5), Resistor("out", "gnd", ohms), Resistor("out", "tap", 3e5),
         Resistor("tap", "gnd", 1e5)],
        sources=[Source("supply", "in", "gnd", volts=source, limit=10.0)],
        regulators=[Regulator("U1", "in+", "gnd", "out", "gnd", "tap", 1.25, 1.5, 0.9)],
    )  # fmt: skip
    found = settled(circuit, "gnd", {**facts, "regulator.current": 5.0, "load_at_input": False})
    amps = 5.0 * (1 / ohms + 1 / 4e5)
    there = by_scipy(found.volts["in+"], 5.0, amps / 5)
    taken = found.currents["supply"]
    assert taken * found.volts["in+"] * there == pytest.approx(5.0 * amps, rel=1e-5)
    assert found.volts["in+"] == pytest.approx(source - 0.5 * taken)
