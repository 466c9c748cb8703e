"""Published and textbook cases as whole specs; the numbers are read from `guide.json`.

The same cases are checked on the laws alone in `tests/reference`; here it is proved that a spec
brings them there: reader, design and record between them.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

import pytest

from guidegen.content.files import search_path
from guidegen.design import settle
from guidegen.guide import make
from guidegen.guide.record import record
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

Read = Callable[[Mapping[str, str]], "Numbers"]
ROW = {"body.board.width": "auto", "body.board.height": "auto", "making.stock": "[]",
       "making.copies": "1", "light.target": "(left out)"}  # fmt: skip
#: 24 V tape of 0.6 A/m straight on a 24 V adapter.
LONG_ROW = {
    **ROW,
    "rows.1.tape": "{like: tape-24v-10w-cri90, power: 14.4 W/m, track_resistance: 60 mohm/m}",
    "rows.1.count": "1",
    "rows.1.length": "5 m",
    # Written out: a part that is like another keeps its tolerance.
    "supplies.1": "{adapter: {voltage: 24 V, power: 130 W, current: 5.4 A}}",
    "chain.regulator": "none",
}


class Numbers:
    """The numbers of a record by name, in SI."""

    def __init__(self, data: Mapping[str, Any]) -> None:
        self.data = data
        self.entries = {**data["givens"], **data["values"]}

    def __getitem__(self, name: str) -> float:
        return float(self.entries[name]["si"])


@pytest.fixture(scope="module")
def read(demo: Fixture) -> Read:
    def one(change: Mapping[str, str]) -> Numbers:
        design = settle(changed(demo, change), mends=False)
        assert design.complete, [f.names for f in design.findings if f.id == "not-computable"]
        return Numbers(json.loads(record(design, {}, [], [], [])))

    return one


def test_the_guide_carries_the_same_record(demo: Fixture, read: Read) -> None:
    guide = make(settle(demo, mends=False), search_path(), lambda design, steps: {})
    whole = json.loads(guide.data["guide.json"])
    short = read({}).data
    assert [key for key in ("values", "facts", "cuts") if whole[key] != short[key]] == []
    assert whole["givens"].keys() == short["givens"].keys()


# Evenly loaded line, closed forms and a nodal solution agree: 24 V, 5 m, 0.6 A/m, 0.06 ohm/m
# a track: 23.100 V at the far end, 23.325 V and 23.775 V in the middle.
@pytest.mark.parametrize(
    ("feed", "volts"), [("left end", 23.1), ("opposite ends", 23.325), ("both ends", 23.775)]
)
def test_lowest_voltage_of_a_long_row(read: Read, feed: str, volts: float) -> None:
    found = read({**LONG_ROW, "rows.1.fed_from": feed})
    assert found["row.current"] == pytest.approx(3.0, rel=1e-9)
    assert found["setting.full"] - found["row.drop"] == pytest.approx(volts, rel=1e-9)


# IEC 60228, class 5: 1 mm² has 19.5 ohm/km at 20 °C. 5 A over 3 m and back: 0.585 V of 24 V.
def test_drop_of_a_lead(read: Read) -> None:
    found = read({
        **LONG_ROW, "rows.1.tape": "{like: tape-24v-10w-cri90, power: 24 W/m}",
        "rows.1.fed_from": "both ends", "chain.lead.size": "1 mm²", "chain.lead.length": "3 m",
        "chain.fuse.rating": "6.3 A",
    })  # fmt: skip
    assert found["input.highest_current"] == pytest.approx(5.0, rel=1e-9)
    assert found["lead.resistance"] == pytest.approx(0.0195)
    assert found["lead.drop"] == pytest.approx(0.585, abs=1e-6)
    assert found["lead.drop_share"] == pytest.approx(0.585 / 24, abs=1e-6)


def divider(adapter: str, part: str, control: str, output: str) -> dict[str, str]:
    return {
        **LONG_ROW,
        "rows.1.tape": "tape-24v-10w-cri90",
        "rows.1.length": "1 m",
        "supplies.1": f"{{adapter: {{like: adapter-24v-120w, voltage: {adapter}}}}}",
        "chain.regulator": f"{{like: step-down-60v-8a, reference: 1.25 V, {part}}}",
        "chain.regulator.output": output,
        "chain.regulator.control": control,
    }


# Divider 1.25 V (1 + upper / lower), textbook form. Upper leg 10 kohm + 0 to 5 kohm over 820 ohm:
# 16.493902 V to 24.115854 V.
def test_control_in_the_upper_leg(read: Read) -> None:
    found = read(divider("30 V", "trimmer: 20 kohm, fixed_resistor: 820 ohm",
                         "{joins: in series with trimmer, track: 5 kohm, end_resistor: none,"
                         " across_resistor: none}",
                         "16.493902 V to 24.115854 V"))  # fmt: skip
    assert found["trimmer.setting"] == pytest.approx(10_000, rel=1e-6)
    assert found["control.low_output"] == pytest.approx(16.493902, abs=1e-6)


# The same divider with 15 kohm across the control, and the control open: the upper leg is
# 25 kohm, the output 39.36 V. A bridge alone makes no control safe.
def test_open_control_with_a_resistor_across(read: Read) -> None:
    found = read(divider("48 V", "trimmer: 20 kohm, fixed_resistor: 820 ohm",
                         "{joins: in series with trimmer, track: 5 kohm, end_resistor: none,"
                         " across_resistor: 15 kohm}",
                         "18 V to 22.210366 V"))  # fmt: skip
    assert found["trimmer.setting"] == pytest.approx(10_000, rel=1e-6)
    assert found["fault.track_open"] == pytest.approx(39.36, abs=0.01)
    assert found["control.worst_fault_output"] > 39


# Lower leg 680 ohm + 0 to 470 ohm under 10 kohm: 19.632353 V down to 12.119565 V.
def test_control_in_the_lower_leg(read: Read) -> None:
    found = read(divider("30 V", "trimmer: 20 kohm, fixed_resistor: 820 ohm",
                         "{joins: in place of fixed resistor, track: 470 ohm,"
                         " end_resistor: 680 ohm, across_resistor: none}",
                         "12.119565 V to 19.632353 V"))  # fmt: skip
    assert found["trimmer.setting"] == pytest.approx(10_000, rel=1e-6)
    assert found["control.low_output"] == pytest.approx(12.119565, abs=1e-5)


# Training texts, found twice: 125 % of the load, then the next rating. IEC 60127, R10 series (from
# memory): 0.63, 1.25, 2.5, 6.3 A; ISO 8820-3 type C: 1, 2, 3, 4, 5, 7.5 A.
@pytest.mark.parametrize(
    ("watts", "rows", "series", "rating"),
    [(12, 1, "fuse-5x20", 0.63), (24, 1, "fuse-5x20", 1.25), (48, 1, "fuse-5x20", 2.5),
     (60, 2, "fuse-5x20", 6.3), (12, 1, "fuse-blade-58v", 1), (48, 1, "fuse-blade-58v", 3),
     (60, 2, "fuse-blade-58v", 7.5)],
)  # fmt: skip
def test_fuse_for_a_load(read: Read, watts: int, rows: int, series: str, rating: float) -> None:
    found = read({
        **LONG_ROW, "rows.1.tape": f"{{like: tape-24v-10w-cri90, power: {watts} W/m}}",
        "rows.1.count": str(rows), "rows.1.length": "1 m", "chain.fuse": series,
        "chain.fuse.rating": "auto",
    })  # fmt: skip
    assert found["input.highest_current"] == pytest.approx(watts * rows / 24)
    assert found["fuse.rating"] == pytest.approx(rating)


# Arithmetic of cutting: reel of 5 m, increment 50 mm, seven rows wanted 1170 mm long: each is
# 1150 mm, four come out of a reel, two reels are needed.
def test_rows_from_reels(read: Read) -> None:
    found = read({**ROW, "rows.1.tape": "tape-12v-5w-cri80", "rows.1.count": "7",
                  "rows.1.length": "1170 mm"})  # fmt: skip
    assert found["row.length"] == pytest.approx(1.15)
    assert found["tape.rows_a_reel"] == 4
    assert found["tape.reels"] == 2
    [reels] = [bar for bar in found.data["cuts"]["bars"] if bar["material"].startswith("tape")]
    assert sorted(len(bar["pieces"]) for bar in reels["bars"]) == [3, 4]


# Arithmetic of packs: 12.8 V, 20 Ah hold 256 Wh; with 90 % usable and a converter of 92 % they
# feed 45 W for 4.7104 h, and give 3.821 A at 12.8 V, 4.891 A at 10.0 V.
def test_battery_of_a_panel(read: Read) -> None:
    found = read({
        **ROW,
        "rows.1.tape": "{like: tape-12v-10w-cri95, voltage: 9 V, highest_voltage: 9.5 V,"
                       " leds_per_group: 2, power: 9 W/m}",
        "rows.1.count": "5", "rows.1.length": "1 m",
        "supplies.1": "{battery: {like: lifepo4-4s-20ah, voltage: 12.8 V, empty_voltage: 10 V},"
                      " chain: [{fuse: fuse-blade-58v}]}",
        "chain.fuse": "none",
        "chain.regulator": "{like: step-down-36v-8a, efficiency: 92 %}",
        "chain.regulator.output": "7 V to 9 V",
    })  # fmt: skip
    assert found["panel.power"] == pytest.approx(45, rel=1e-9)
    assert found["battery.energy"] == pytest.approx(256)
    assert found["battery.run_time"] == pytest.approx(4.7104, abs=1e-4)
    assert found["input.current"] == pytest.approx(3.821, abs=0.001)
    assert found["input.highest_current"] == pytest.approx(4.891, abs=0.001)


def panel(flux: str, count: int, pitch: str, length: str, placed: str) -> dict[str, str]:
    return {
        **ROW,
        "body.cover": "(left out)",
        "rows.1.tape": f"{{like: tape-12v-10w-cri95, flux: {flux}, increment: 10 mm, width: 8 mm}}",
        "rows.1.count": str(count),
        "rows.1.pitch": pitch,
        "rows.1.length": length,
        "chain.regulator.output": "7.5 V to 12 V",
        "light.placed": placed,
    }


# Closed form for a rectangular Lambertian source, checked by numerical integration: 0.6 m by 0.3 m
# of 1000 cd/m² (flux pi·area·luminance) give 167.573045 lx at 1 m on the axis.
def test_light_of_a_rectangle_on_its_axis(read: Read) -> None:
    found = read(panel("314.159265 lm/m", 3, "146 mm", "600 mm",
                       "[{side: front, angle: 0 °, distance: 1 m}]"))  # fmt: skip
    assert found["light.luminance"] == pytest.approx(1000, rel=1e-6)
    assert found["light.axis_illuminance"] == pytest.approx(167.573045, rel=1e-6)


# Inverse square and cosine: two lamps of 1000 cd at 1 m from the centre, 45 degrees each side:
# 1414.2136 lx. A panel of 0.1 m at ten sides is within 0.4 % of a point (far-field error).
def test_light_of_two_lamps_from_both_sides(read: Read) -> None:
    found = read(panel("5235.98776 lm/m", 6, "18.4 mm", "100 mm",
                       "[{side: left, angle: 45 °, distance: 1 m},"
                       " {side: right, angle: 45 °, distance: 1 m}]"))  # fmt: skip
    assert found["light.illuminance"] == pytest.approx(1414.2136, rel=0.005)


# Volume times density: MDF 600 x 400 x 12 mm at 750 kg/m³ 2.160 kg, acrylic 600 x 400 x 3 mm at
# 1190 kg/m³ 0.8568 kg; their holes take less than a part in 300.
def test_mass_of_board_and_cover(read: Read) -> None:
    found = read({
        **ROW,
        "body.board": "{sheet: {like: mdf, density: 750 kg/m³}, thickness: 12 mm, width: 600 mm,"
                      " height: 400 mm}",
        "body.cover.sheet": "{like: acrylic-opal, density: 1190 kg/m³}",
    })  # fmt: skip
    parts = {part["role"]: part["ref"] for part in found.data["parts"]}
    for role, whole in (("board", 2.160), ("cover", 0.8568)):
        assert whole * (1 - 1 / 300) < found[f"mass.{parts[role]}"] < whole
