"""The circuit solver against closed forms, and what it says where there is no solution."""

import itertools
import math
import random
from dataclasses import dataclass

import numpy as np
import pytest

from guidegen.calc.circuits import Circuit, CutOff, Group, Regulator, Resistor, Source
from guidegen.calc.held_group import HeldGroup
from guidegen.calc.led_group import GroupLaw
from guidegen.calc.nodal import METER, NoSolutionError, resistances, solve


@dataclass(frozen=True, slots=True)
class Straight:
    """A group in straight pieces, whose circuits a pocket calculator solves."""

    threshold: float
    ohms: float

    def at(self, volts):
        over = np.asarray(volts, dtype=float) - self.threshold
        return np.maximum(over, 0.0) / self.ohms, np.where(over > 0, 1 / self.ohms, 0.0)


STRAIGHT = Straight(9.0, 150.0)


def test_a_divider():
    """Voltage divider: 12 V × 200/300."""
    circuit = Circuit([Resistor("a", "b", 100), Resistor("b", "0", 200)],
                      sources=[Source("S", "a", "0", 12)])  # fmt: skip
    found = solve(circuit, "0")
    assert found.between("b", "0") == pytest.approx(8, rel=1e-12)
    assert found.currents["S"] == pytest.approx(0.04, rel=1e-12)
    assert found.between("0", "b") == pytest.approx(-8, rel=1e-12)


@pytest.mark.parametrize("sections", [1, 2, 5, 12])
def test_a_ladder_of_equal_resistances_gives_fibonacci_numbers(sections):
    """A textbook ladder: n sections of 1 Ω in series and 1 Ω across are F(2n + 1)/F(2n)."""
    rungs = [Resistor(f"p{k}", f"p{k + 1}", 1) for k in range(sections)]
    rungs += [Resistor(f"p{k + 1}", "0", 1) for k in range(sections)]
    fibonacci = [0, 1]
    while len(fibonacci) < 2 * sections + 2:
        fibonacci.append(fibonacci[-1] + fibonacci[-2])
    wanted = fibonacci[2 * sections + 1] / fibonacci[2 * sections]
    (ohms,) = resistances(Circuit(rungs), [("p0", "0")])
    assert ohms == pytest.approx(wanted, rel=1e-12)
    driven = solve(Circuit(rungs, sources=[Source("S", "p0", "0", 1)]), "0")
    assert driven.currents["S"] == pytest.approx(1 / wanted, rel=1e-12)


@pytest.mark.parametrize(("far", "ohms"), [("001", 7 / 12), ("011", 3 / 4), ("111", 5 / 6)])
def test_a_cube_of_equal_resistances(far, ohms):
    """The cube of twelve 1 Ω edges, a classic: 7/12, 3/4 and 5/6 Ω."""
    corners = ["".join(c) for c in itertools.product("01", repeat=3)]
    edges = [Resistor(a, b, 1) for a, b in itertools.combinations(corners, 2)
             if sum(x != y for x, y in zip(a, b, strict=True)) == 1]  # fmt: skip
    assert len(edges) == 12
    assert resistances(Circuit(edges), [("000", far)])[0] == pytest.approx(ohms, rel=1e-12)


def test_what_nothing_joins_is_open():
    circuit = Circuit([Resistor("a", "b", 1)], [Group("b", "0", STRAIGHT)])
    assert resistances(circuit, [("a", "0"), ("a", "a"), ("x", "y")]) == (math.inf, 0, math.inf)


@pytest.mark.parametrize("volts", [0.0, 5.0, 8.0, 9.0, 10.0, 12.0, 14.5])
@pytest.mark.parametrize("law", [GroupLaw(0.154, 150.0, 1e-27), HeldGroup.held(
    12.0, 0.02, 3, 3.0, dropout=1.5, regulation=0.005)], ids=["resistor", "chip"])  # fmt: skip
def test_a_group_follows_shockleys_law(law, volts):
    """The equation itself: all that the LEDs and what is in series with them need."""
    circuit = Circuit([Resistor("a", "b", 2.0)], [Group("b", "0", law, 7)],
                      [Source("S", "a", "0", volts)])  # fmt: skip
    found = solve(circuit, "0")
    whole, across = found.currents["S"] / 7, found.between("b", "0")
    assert found.between("a", "b") == pytest.approx(14 * whole, rel=1e-9, abs=1e-12)
    # A nanoampere a volt leaks beside a group.
    current = whole - 1e-9 * across
    left = across - law.scale * math.log1p(max(current, 0) / law.saturation)
    if volts < 8:
        assert abs(current) < 1e-8
    elif isinstance(law, HeldGroup):
        share = min(left / law.dropout, 1.0)
        flat = law.dropout / (2 * law.ohms) * share * (2 - share)
        assert current == pytest.approx(flat * (1 + law.growth * left), rel=1e-5)
    else:
        assert left == pytest.approx(150 * current, rel=1e-5)


def test_a_group_behind_a_resistance():
    """(12 − 9)/(150/12 + 2.5) = 0.2 A."""
    circuit = Circuit([Resistor("a", "b", 2.5)], [Group("b", "0", STRAIGHT, 12)],
                      [Source("S", "a", "0", 12)])  # fmt: skip
    assert solve(circuit, "0").currents["S"] == pytest.approx(0.2, abs=2e-7)


def test_a_supply_at_its_limit_holds_the_current():
    circuit = Circuit(groups=[Group("a", "0", STRAIGHT, 12)],
                      sources=[Source("S", "a", "0", 12, 0.1)])  # fmt: skip
    found = solve(circuit, "0")
    assert found.modes == {"S": "current"}
    assert found.between("a", "0") == pytest.approx(9 + 0.1 * 150 / 12, rel=1e-6)


def regulated(volts=19.0, upper=10e3, limit=math.inf, supply=5.0, **more):
    resistors = [Resistor("out", "tap", upper), Resistor("tap", "m", 1200)]
    resistors += [Resistor("m", "0", 1e-3), Resistor("v", "in", 0.1), Resistor("out", "r", 0.05)]
    stage = Regulator("T", "in", "0", "out", "m", "tap", 1.23, 1.5, 0.92, limit, **more)
    return Circuit(resistors, [Group("r", "m", STRAIGHT, 120)],
                   [Source("S", "v", "0", volts, supply)], [stage])  # fmt: skip


def test_a_regulator_holds_the_divider_and_takes_the_power_it_gives():
    found = solve(regulated(), "0")
    output = 1.23 * (1 + 10 / 1.2)
    assert found.between("out", "m") == pytest.approx(output, rel=1e-9)
    gives = found.currents["T"]
    assert gives == pytest.approx((output - 9) / (150 / 120 + 0.05) + output / 11200, rel=1e-6)
    taken = found.between("in", "0") * found.currents["S"]
    assert taken * 0.92 == pytest.approx(output * gives, rel=1e-9)
    assert found.between("v", "in") == pytest.approx(0.1 * found.currents["S"], rel=1e-9)


def test_a_step_down_without_headroom_passes_its_input_on():
    found = solve(regulated(volts=10.0), "0")
    assert found.modes["T"] == "passes"
    assert found.between("in", "0") - found.between("out", "m") == pytest.approx(1.5, rel=1e-9)


def test_a_regulator_at_its_limit():
    found = solve(regulated(limit=1.0), "0")
    assert found.modes["T"] == "limits"
    assert found.currents["T"] == pytest.approx(1.0, rel=1e-9)


def test_a_supply_too_weak_for_the_regulator_pulls_it_down():
    found = solve(regulated(supply=0.5), "0")
    assert found.currents["S"] == pytest.approx(0.5, rel=1e-9)
    assert found.modes == {"S": "current", "T": "passes"}


def test_an_open_upper_leg_lets_the_whole_input_through():
    circuit = regulated()
    circuit.resistors.pop(0)
    found = solve(circuit, "0")
    assert found.modes["T"] == "passes"
    assert found.between("out", "m") == pytest.approx(found.between("in", "0") - 1.5, rel=1e-6)


def test_a_step_up_never_gives_less_than_its_input():
    low = solve(regulated(step_up=True, upper=4e3), "0")
    assert low.modes["T"] == "passes"
    assert low.between("in", "0") - low.between("out", "m") == pytest.approx(1.5, rel=1e-9)
    high = solve(regulated(volts=9.0, step_up=True, supply=20.0), "0")
    assert high.between("out", "m") == pytest.approx(11.48, rel=1e-9)


@pytest.mark.parametrize(("volts", "reads"), [(10.9, 0.0), (11.1, 11.1)])
def test_a_cut_off_opens_below_its_voltage(volts, reads):
    circuit = Circuit([Resistor("out", "0", 1000)], sources=[Source("S", "in", "0", volts)],
                      cut_offs=[CutOff("K", "in", "0", "out", 11.0, 0.01)])  # fmt: skip
    assert solve(circuit, "0").between("out", "0") == pytest.approx(reads, abs=2e-4)


def test_the_meter_is_a_part_of_the_circuit_where_it_touches_an_open_end():
    """Across an open joint of a row: the meter's 10 MΩ and the groups in series."""
    circuit = Circuit([Resistor("pad", "row", 0.01)], [Group("row", "0", STRAIGHT, 10)],
                      [Source("S", "rail", "0", 12)])  # fmt: skip
    found = solve(circuit, "0")
    # Threshold first, then nearly all of the rest over the meter.
    assert found.between("rail", "pad") == pytest.approx(3.0, rel=1e-3)
    with_meter = solve(circuit.beside(Resistor("rail", "pad", METER)), "0")
    assert found.between("rail", "pad") == with_meter.between("rail", "pad")


def test_floating_points_are_named_and_read_nothing():
    circuit = Circuit([Resistor("a", "0", 10), Resistor("x", "y", 1)],
                      sources=[Source("S", "a", "0", 5)])  # fmt: skip
    found = solve(circuit, "0")
    assert found.floating == ("x", "y")
    assert "x" not in found.volts
    assert found.between("x", "0") == 0


def test_what_has_no_solution_says_what_was_tried():
    two = [Source("S", "a", "0", 5), Source("U", "a", "0", 6)]
    with pytest.raises(NoSolutionError, match=r"from nothing.*raised by tenths"):
        solve(Circuit([Resistor("a", "0", 1)], sources=two), "0")


def test_a_regulator_that_asks_for_more_than_its_lead_carries_has_no_regulated_state():
    """19 V through 50 Ω carry 1.8 W at most, and the panel would take more than twenty."""
    circuit = regulated()
    circuit.resistors[3] = Resistor("v", "in", 50)
    assert solve(circuit, "0").modes["T"] == "passes"


@pytest.mark.parametrize("seed", range(20))
def test_random_networks_against_a_dense_solution(seed):
    """Numpy's dense solver on the same conductances; and Kirchhoff's law at every point."""
    rng = random.Random(seed)
    number = rng.randint(3, 40)
    resistors = [Resistor(f"p{i}", f"p{rng.randrange(i)}", 10 ** rng.uniform(-3, 4))
                 for i in range(1, number)]  # fmt: skip
    resistors += [Resistor(f"p{a}", f"p{b}", 10 ** rng.uniform(-3, 4)) for a, b in
                  (rng.sample(range(number), 2) for _ in range(number // 2))]  # fmt: skip
    found = solve(Circuit(resistors, sources=[Source("S", f"p{number - 1}", "p0", 12)]), "p0")
    whole = np.zeros((number, number))
    for one in resistors:
        a, b = int(one.a[1:]), int(one.b[1:])
        whole[a, a] += 1 / one.ohms
        whole[b, b] += 1 / one.ohms
        whole[a, b] -= 1 / one.ohms
        whole[b, a] -= 1 / one.ohms
    inner = slice(1, number - 1)
    wanted = np.linalg.solve(whole[inner, inner], -whole[inner, number - 1] * 12)
    volts = np.array([found.volts[f"p{i}"] for i in range(number)])
    assert volts[inner] == pytest.approx(wanted, rel=1e-8, abs=1e-8)
    assert (whole @ volts)[inner] == pytest.approx(0, abs=1e-7)
