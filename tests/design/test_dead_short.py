"""Dead shorts: gates of fuses, adiabatic heating by published k-values, and both in a design."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from guidegen.calc.short_circuit import heating_time, opening_time
from guidegen.design import Design, settle
from guidegen.design.dead_short import CAPACITY, REFERENCE, RESISTIVITY, ZERO
from guidegen.design.result import Finding
from guidegen.errors import RangeError
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.spec.parts import catalogue_part

SPECS = Path(__file__).parents[2] / "specs"


def designed(spec: str = "puppet-wash-light", **changes: str) -> Design:
    named = {key.replace("__", "."): text for key, text in changes.items()}
    return settle(changed(load(SPECS / f"{spec}.yaml"), named), mends=False)


def one(design: Design, name: str) -> Finding:
    [found] = [finding for finding in design.findings if finding.id == name]
    return found


@pytest.fixture(scope="module")
def puppet() -> Design:
    return designed()


def bears(area: float, current: float, start: float, final: float) -> float:
    """In mm², A and °C. [s]."""
    return heating_time(area=area * 1e-6, capacity=CAPACITY, resistivity=RESISTIVITY,
                        current=current, start=start + 273.15, final=final + 273.15,
                        known_at=REFERENCE, line_end=ZERO)  # fmt: skip


# IEC 60364-5-54, tables A.54.2 to A.54.5 (from memory): k of copper by initial and final °C.
@pytest.mark.parametrize(
    ("start", "final", "k"),
    [
        (30, 160, 143),
        (70, 160, 115),
        (90, 250, 143),
        (30, 250, 176),
        (30, 200, 159),
        (60, 200, 141),
    ],
)
def test_the_k_values_of_the_standard(start: float, final: float, k: float) -> None:
    found = 100 * math.sqrt(bears(1.0, 100.0, start, final))
    assert found == pytest.approx(k, abs=0.6)


def test_time_goes_with_the_square_of_area_and_current() -> None:
    assert bears(3.0, 100, 70, 160) == pytest.approx(9 * bears(1.0, 100, 70, 160))
    assert bears(1.0, 300, 70, 160) == pytest.approx(bears(1.0, 100, 70, 160) / 9)


# IEC 60127-2, quick-acting, 125 mA to 10 A: 2.1, 2.75, 4 and 10 times within 30 min, 2 s, 300 ms
# and 20 ms. ISO 8820-3, type C and F, from memory: 1.35, 2, 3.5 and 6 times.
@pytest.mark.parametrize(
    ("key", "gates"),
    [
        ("fuse-5x20", {2.1: 1800, 2.75: 2, 4: 0.3, 10: 0.02}),
        ("fuse-blade-58v", {1.35: 600, 2: 5, 3.5: 0.5, 6: 0.1}),
    ],
)
def test_fuses_open_by_their_gates(key: str, gates: dict[float, float]) -> None:
    points = catalogue_part(key).points("gates")
    for times, longest in gates.items():
        found = opening_time(current=times * 3.15, rating=3.15, gates=points)
        assert found == pytest.approx(longest, rel=1e-9)
    low, high = sorted(gates)[1:3]
    middle = opening_time(current=math.sqrt(low * high), rating=1.0, gates=points)
    assert middle == pytest.approx(math.sqrt(gates[low] * gates[high]), rel=1e-9)
    # The melting integral stays beyond the last gate.
    last = max(gates)
    far = opening_time(current=5 * last, rating=1.0, gates=points)
    assert far * 25 == pytest.approx(gates[last])
    with pytest.raises(RangeError):
        opening_time(current=min(gates) * 0.99, rating=1.0, gates=points)


def test_a_short_at_the_end_of_a_lead_by_hand(puppet: Design) -> None:
    """10.9 V behind 200 A of the pack and two leads of 4 mm² (4.95 mΩ/m, IEC 60228), 2.5 m.

    Joints of 5 mΩ and contacts of 10 mΩ (project defaults), a fuse that loses 0.1 V at 15 A.
    """
    v = {name: value.si for name, value in puppet.values.items()}
    assert v["supply.short_least"] == 200
    ohms = v["supply.lowest"] / 200 + 2 * 4.95e-3 * 2.5 + 8 * 0.005 + 2 * 0.010 + 0.1 / 15
    assert v["short_lead_2.far"] == pytest.approx(v["supply.lowest"] / ohms, rel=1e-3)
    # The least: joints of 8 mΩ. Between 3.5 and 6 times 15 A half a second to a tenth, along a
    # line of the logarithms.
    amps = v["short_lead_2.far_least"]
    assert amps == pytest.approx(v["supply.lowest"] / (ohms + 8 * 0.003), rel=0.01)
    share = math.log(amps / 15 / 3.5) / math.log(6 / 3.5)
    assert v["short_lead_2.far_opens"] == pytest.approx(0.5 * 0.2**share)
    # Behind the contacts and joints, PVC or rubber: from its own temperature up to 160 °C.
    warm = v["short_lead_2.start"] - 273.15
    assert v["short_lead_2.far_bears"] == pytest.approx(bears(4.0, amps, warm, 160))


def test_a_verdict_from_memory_never_holds(puppet: Design) -> None:
    found = one(puppet, "short-in-time")
    assert (found.level, found.names["kept"], found.names["from_memory"]) == ("advice", True, True)
    # The thinnest wire comes nearest to its limit.
    assert found.names["conductor"] == "fan_wire"
    every = ("lead", "lead_2", "fan_wire", "link", "feed", "rail", "jumper")
    assert puppet.result("protection") == every


def test_thin_wires_beside_the_rows_are_judged_as_well(puppet: Design) -> None:
    """Behind both leads, switch and cut-off: 0.5 mm² of 39 mΩ/m (IEC 60228 class 5), 0.3 m."""
    v = {name: value.si for name, value in puppet.values.items()}
    ohms = v["short_lead_2.way"] + 2 * 0.010 + 2 * 0.3 * 39.0e-3 + 4 * 0.005
    assert v["short_fan_wire.far"] == pytest.approx(v["supply.lowest"] / ohms, rel=1e-3)
    assert v["short_fan_wire.far_opens"] < v["short_fan_wire.far_bears"]
    # A fuse of 20 A takes longer, and the thin wire bears no more.
    larger = designed(supplies__1__chain__fuse__rating="20 A")
    assert one(larger, "short-in-time").level == "stop"
    v = {name: value.si for name, value in larger.values.items()}
    assert v["short_fan_wire.far_opens"] > v["short_fan_wire.far_bears"]


def test_a_slow_fuse_stops() -> None:
    slow = "{like: fuse-blade-58v, gates: [600 s at 1.35, 20 s at 6]}"
    design = designed(supplies__1__chain__fuse__fuse=slow)
    assert one(design, "short-in-time").level == "stop"
    # A data sheet without gates says no more than that it opens within the hour.
    mute = designed(supplies__1__chain__fuse__fuse="{kind: fuse, label: Mute, voltage: 58 V,"
                    " breaking: 1000 A, carries: '1.1', opens: '1.35', series: blade,"
                    " ratings: own}")  # fmt: skip
    assert one(mute, "short-in-time").level == "stop"


def test_a_short_too_far_away_stops() -> None:
    """2 x 30 m of 0.5 mm² (39 mΩ/m, IEC 60228) are 2.3 Ω: 4.6 A, and 15 A open from 20 A."""
    design = designed(chain__lead__size="0.5 mm²", chain__lead__length="30 m")
    found = [f for f in design.findings if f.id == "short-far"]
    assert {f.names["conductor"] for f in found} >= {"lead_2"}
    assert {f.level for f in found} == {"stop"}
    # The mend is computed: with it the short at the end of this lead opens the fuse.
    [mend] = found[0].mends
    change = {key.replace(".", "__"): text for key, text in mend.changes.items()}
    thick = designed(chain__lead__length="30 m", **change)
    assert "lead_2" not in {f.names["conductor"] for f in thick.findings if f.id == "short-far"}
    assert found[0].found.si == pytest.approx(10.9 / (2 * 30 * 0.039 + 0.06), rel=0.05)


def test_an_adapter_folds_back() -> None:
    found = one(designed("herbarium-copy-light"), "short-folds")
    assert (found.level, found.names["kept"]) == ("advice", True)
    assert found.found.si == 4
    strong = "{adapter: {like: adapter-19v-65w, highest_current: 12 A}}"
    assert not one(designed("herbarium-copy-light", supplies__1=strong), "short-folds").names[
        "kept"
    ]
