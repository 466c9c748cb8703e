"""A light that falls as its battery empties, against closed forms and a library's integral."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad

from guidegen.calc.discharge import (
    CELL,
    cell_curve,
    cells,
    charge_at,
    curve_voltage,
    fading_time,
)
from guidegen.design import Design, settle
from guidegen.design.discharge import CHARGES
from guidegen.errors import SpecError
from guidegen.spec import load
from guidegen.spec.changes import changed

SPEC = Path(__file__).parents[2] / "specs" / "herbarium-copy-light.yaml"
ON_BATTERY = {
    "chain.fuse.fuse": "none", "chain.fuse.rating": "(left out)",
    "chain.connector": "connector-shrouded-30a", "chain.switch": "switch-dc-20a",
    "chain.lead.size": "1.5 mm²",
}  # fmt: skip
CHAIN = "[{cut_off: built in, trips_at: 12.2 V ± 0.1 V}, {fuse: fuse-blade-58v, rating: 7.5 A}]"
#: A straight line of 16 V when full to 12 V when empty.
LINE = "curve: [16 V ± 0.1 V at 100 %, 12 V ± 0.1 V at 0 %]"
BENCH: dict[str, Any] = {
    "down_to": 0.0, "error": 0.0, "leads": 0.2, "dropout": 1.0, "ceiling": 60.0, "threshold": 9.0,
    "full": 12.0, "current": 3.0, "loss": 0.0, "duty": 1.0, "efficiency": 1.0, "beside": 0.0,
    "behind": 0.0,
    "capacity": 20.0, "rated_time": 1.0, "exponent": 1.0, "rating": 5.0,
    "curve": ((16.0, 1.0), (12.0, 0.0)),
}  # fmt: skip


def designed(battery: str, **changes: str) -> Design:
    named = {key.replace("__", "."): text for key, text in changes.items()}
    supply = {"supplies.1": f"{{battery: {battery}, chain: {CHAIN}}}"}
    return settle(changed(load(SPEC), {**ON_BATTERY, **supply, **named}), mends=False)


@pytest.fixture(scope="module")
def falling() -> Design:
    return designed(f"{{like: li-ion-4s-5ah, usable: 100 %, {LINE}}}")


def test_curves_of_the_chemistries() -> None:
    # Six lead cells at rest: 12.66, 12.45, 12.30 and 12.15 V, found in two texts.
    lead = cell_curve("lead-acid")
    for charge, volts in ((1.0, 12.66), (0.75, 12.45), (0.5, 12.30), (0.25, 12.15)):
        assert 6 * curve_voltage(charge, 0.0, lead) == pytest.approx(volts, abs=0.005)
    # Cells: 4.20 V charged and 2.5 to 3.0 V at the end; LiFePO4 3.65 V and 2.0 to 2.5 V.
    for chemistry, most, least in (("li-ion", 4.20, 2.5), ("lifepo4", 3.65, 2.0)):
        curve = cell_curve(chemistry)
        assert least <= curve[-1][0] < curve[0][0] <= most
        volts = [point[0] for point in curve]
        assert volts == sorted(volts, reverse=True)
        # The mean over the charge is what a maker calls the nominal voltage, nearly.
        charges = np.linspace(0, 1, 1001)
        mean = np.mean([curve_voltage(float(c), 0.0, curve) for c in charges])
        assert mean == pytest.approx(CELL[chemistry], abs=0.12)
    assert [cells(*pack) for pack in (("lifepo4", 12.8), ("li-ion", 21.6), ("li-ion", 11.1),
                                      ("lead-acid", 24.0))] == [4, 6, 3, 12]  # fmt: skip


def test_voltage_and_charge_are_one_curve() -> None:
    curve = cell_curve("li-ion")
    for charge in np.linspace(0.0, 1.0, 37):
        volts = curve_voltage(float(charge), 0.02, curve)
        assert charge_at(volts, 0.02, curve) == pytest.approx(charge, abs=1e-9)
    assert charge_at(2.0, 0.0, curve) == 0.0


def test_a_voltage_that_stays_gives_energy_over_power() -> None:
    """12 V at 20 Ah, a light of 10 V and 3 A and a fan of 1 W behind 90 %: 240 Wh over 34.3 W."""
    steady = {"curve": ((12.0, 1.0), (12.0, 0.0)), "ceiling": 10.0, "full": 10.0, "leads": 0.0}
    found = fading_time(**{**BENCH, **steady, "efficiency": 0.9, "beside": 1.0})
    assert found == pytest.approx(240 / (30 / 0.9 + 1), rel=1e-9)


def test_a_voltage_that_falls_straight_against_a_library() -> None:
    """The tape's current goes with V less 1.2 V less 9 V; charge over current, integrated."""

    def slowness(charge: float) -> float:
        volts = 12 + 4 * charge
        output = min(11.0, volts - 1.2)
        power = output * 3.0 * (output - 9) / 3 + 2.0
        return 20 * volts / (power / 0.92 + 0.5)

    wanted, _ = quad(slowness, 0.15, 1.0, points=[0.05], epsabs=1e-10)
    found = fading_time(**{**BENCH, "down_to": 0.15, "ceiling": 11.0, "efficiency": 0.92,
                           "beside": 0.5, "loss": 2.0})  # fmt: skip
    assert found == pytest.approx(wanted, rel=1e-3)


def test_straight_on_the_battery_by_its_closed_form() -> None:
    """I = k (V − 9), V = 16 − 4 q: the charge falls as t = (Q / 4k) ln((16 − 9) / (12 − 9))."""
    plain = {**BENCH, "leads": 0.0, "dropout": 0.0, "capacity": 20.0}
    # A regulator of no loss takes P / V = output × current / V; with output = V it is the current.
    found = fading_time(**plain)
    assert found == pytest.approx(20 / (4 * 1.0) * math.log(7 / 3), rel=1e-3)


def test_peukert_counts_for_each_part() -> None:
    """At a steady current the whole time is Peukert's: 100 Ah at 20 h, 10 A, 1.2: 8.7055 h."""
    found = fading_time(**{**BENCH, "curve": ((12.0, 1.0), (12.0, 0.0)), "ceiling": 10.0,
                           "full": 10.0, "current": 12.0, "leads": 0.0, "capacity": 100.0,
                           "rated_time": 20.0, "exponent": 1.2})  # fmt: skip
    assert found == pytest.approx(8.7055, rel=1e-4)


def test_the_light_falls_where_the_room_ends(falling: Design) -> None:
    v = {name: value.si for name, value in falling.values.items()}
    needs = v["setting.full"] + v["leads.drop"] + 1.5
    assert v["battery.full_until"] == pytest.approx((needs - 12) / 4)
    # The cut-off opens at 12.1 V at the least: 2.5 % of this line.
    assert v["battery.ends_at"] == pytest.approx(0.025)
    output = 12.1 - v["leads.drop"] - 1.5
    light = (output - v["tape.threshold"]) / (v["setting.full"] - v["tape.threshold"])
    assert v["battery.last_light"] == pytest.approx(light)
    assert v["charge_two.battery_light"] == pytest.approx(1.0)
    times = [v[f"{name}.time"] for name in CHARGES]
    times.append(v["battery.run_time"])
    assert times[0] == 0
    assert times == sorted(times)


def test_levels(falling: Design) -> None:
    def level(design: Design) -> tuple[str, bool]:
        [one] = [f for f in design.findings if f.id == "headroom"]
        return one.level, one.names["curve_by_heart"]

    assert level(falling) == ("advice", False)
    assert level(designed("{like: li-ion-4s-5ah, usable: 98 %}")) == ("advice", True)
    # A battery that is too low for most of its charge is as wrong as an adapter.
    low = f"{{like: li-ion-4s-5ah, {LINE.replace('16 V', '13.5 V')}}}"
    assert level(designed(low))[0] == "stop"
    # 11.2 V, 1.5 V and the lead are more than 12.8 V: at its usual voltage it is not full.
    usual = designed("lifepo4-4s-20ah", chain__regulator__output="7.5 V ± 0.3 V to 11.2 V ± 0.2 V")
    assert usual.values["battery.full_until"].si <= 0.5
    assert level(usual)[0] == "stop"
    kept = designed("li-ion-4s-5ah", chain__regulator__output="7.5 V ± 0.3 V to 10.2 V ± 0.2 V")
    assert level(kept) == ("holds", False)
    assert not kept.facts["fades"]
    assert "battery.full_until" not in kept.values


@pytest.mark.parametrize(
    ("curve", "said"),
    [
        ("[13 V at 50 %]", "no list of 2 to 100 points"),
        ("[13 V, 12 V at 0 %]", "is no such point. Accepted: points such as"),
        ("[12 V at 100 %, 13 V at 0 %]", "the points do not rise together"),
        ("[13 V at 50 %, 12 V at 50 %]", "a second point"),
        ("[13 V at 500 %, 12 V at 0 %]", "out of range"),
    ],
)
def test_what_is_no_curve_is_refused(curve: str, said: str) -> None:
    with pytest.raises(SpecError, match=said):
        designed(f"{{like: li-ion-4s-5ah, curve: {curve}}}")
