"""From the supply to cut-off and regulator: sums by hand over the spec's own wires."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from guidegen.calc import cut_off, fan
from guidegen.design import settle
from guidegen.design.result import Design
from guidegen.design.solved_faults import fault_table
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.values import band

SPECS = Path(__file__).parents[2] / "specs"


def design(name: str, **changes: str) -> Design:
    spec = load(SPECS / f"{name}.yaml")
    return settle(changed(spec, {key.replace("__", "."): text for key, text in changes.items()}),
                  mends=False)  # fmt: skip


def kept(found: Design) -> bool:
    """Whether a voltage is left at which the cut-off may close."""
    finding = next(one for one in found.findings if one.id == "cut-off-closes")
    assert finding.required
    assert finding.found
    return finding.found.si <= finding.required.si


@pytest.fixture(scope="module")
def puppet() -> Design:
    return design("puppet-wash-light")


@pytest.fixture(scope="module")
def boatshed() -> Design:
    return design("boatshed-work-bar")


def test_the_way_to_a_cut_off_in_the_light(puppet: Design) -> None:
    """Ohm's law over each thing from the poles to K1, counted in the connection schedule.

    4 mm² has 4.95 mΩ/m at 20 °C (IEC 60228, class 5): battery wire, red core, black core of the
    pack, two cores of 2 m, two wires in the box. Connector twice, switch once, a fuse.
    """
    v = {name: value.si for name, value in puppet.values.items()}
    metres = 0.10 + 0.50 + 0.60 + 2 * 2.0
    links = v["way.cut_off_copper"] / 4.95e-3 - metres
    assert 0.05 < links < 0.5
    assert v["way.cut_off_joints"] % 2 == 0
    assert v["way.cut_off_contacts"] == 2 + 1
    ohms = v["way.cut_off_copper"] + v["way.cut_off_joints"] * 5e-3 + 3 * 10e-3
    amps = v["input.highest_current"]
    assert v["way.cut_off_drop"] == pytest.approx(amps * (ohms + 0.1 / 15))
    # Bare copper alone, as it was printed once, is a fifth of it.
    assert v["leads.drop"] < 0.25 * v["way.cut_off_drop"]


def test_a_cut_off_at_the_bank_has_only_fuse_and_short_wires_before_it(boatshed: Design) -> None:
    v = {name: value.si for name, value in boatshed.values.items()}
    amps = v["input.highest_current"]
    assert v["way.cut_off_contacts"] == 0
    assert v["way.cut_off_drop"] < amps * (0.01 + 6 * 5e-3) + 0.1 * amps / 5
    # The 8 m of lead lie behind it: 2.5 mm², 7.98 mΩ/m, both cores.
    assert v["way.regulator_copper"] > 2 * 8 * 7.98e-3
    assert v["way.regulator_input"] == pytest.approx(21.0 - v["way.regulator_drop"])


@pytest.mark.parametrize("name", ["puppet-wash-light", "boatshed-work-bar"])
def test_a_small_hysteresis_is_refused(name: str) -> None:
    """A unit that closes 0.3 V higher cycles: the drop and the battery's own resistance are more.

    The battery's own resistance is its voltage over its short-circuit current.
    """
    found = design(name)
    v = {key: value.si for key, value in found.values.items()}
    own = v["input.highest_current"] * v["supply.voltage"] / v["battery.short_circuit_current"]
    assert v["cut_off.rise"] > v["way.cut_off_drop"] + own
    assert v["cut_off.rise"] > 0.3
    assert v["cut_off.least_closing"] == pytest.approx(v["cut_off.trips_at"] + v["cut_off.rise"])
    # A battery at nine tenths of its charge still starts the light.
    assert v["cut_off.most_closing"] < v["supply.highest"] - 0.5
    assert kept(found)


def test_no_voltage_left_to_close_at_is_told_with_a_mend() -> None:
    found = design("puppet-wash-light", chain__cut_off__trips_at="12.4 V ± 0.1 V")
    finding = next(one for one in found.findings if one.id == "cut-off-closes")
    assert not kept(found)
    (text,) = finding.mends[0].changes.values()
    assert text.startswith("11.")
    again = design("puppet-wash-light", chain__cut_off__trips_at=text)
    assert kept(again)


def test_laws_of_the_cut_off() -> None:
    assert cut_off.recovery(current=8.0, voltage=12.8, short=400.0, share=0.0) == pytest.approx(
        8 * 12.8 / 400
    )
    assert cut_off.rise(drop=0.9, recovers=0.6) == pytest.approx(1.5)


def test_readings_before_the_regulator_keep_to_the_supplys_window(boatshed: Design) -> None:
    table = fault_table(boatshed)
    v = {name: value.si for name, value in boatshed.values.items()}
    least, most = table.window
    own = [n for n, probe in enumerate(table.probes) if probe.group in ("path+", "path-")
           and least[n] == least[n]]  # fmt: skip
    assert own
    # At the poles the bank's own ends; nowhere more, and no cut-off is closed far below its own.
    assert least[own[0]] == pytest.approx(v["supply.lowest"])
    assert all(most[n] == pytest.approx(v["supply.highest"]) for n in own)
    lost = (v["way.cut_off_drop"] + v["way.regulator_drop"]) * 1.01
    assert min(least[own]) > band(boatshed.values["cut_off.trips_at"])[0] - lost


def test_a_fan_that_takes_less_than_is_marked_on_it_is_sound(puppet: Design) -> None:
    """A fan of 12 V and 0.1 A that takes 0.07 A reads 11.05 V behind 27 ohm from 12.8 V."""
    value = puppet.values["fan.reading"]
    low, high = band(value)
    ohms = 12 / 0.07
    assert low < 12.8 * ohms / (ohms + 27) == pytest.approx(11.05, abs=0.01)
    assert high > 12.8 * ohms / (ohms + 27)
    assert low == pytest.approx(band(puppet.values["fan.at_voltage"])[0])
    assert high < puppet.values["fan.highest_voltage"].si


def test_no_share_gives_a_fan_more_than_it_bears() -> None:
    """On 24 V behind 120 ohm a fan of 120 ohm bears 13.2 V only if it takes 0.09 A at that."""
    share = fan.least_share(voltage=24.0, most=13.2, fan=120.0, dropper=120.0, half=0.5)
    ohms = fan.likely_resistance(fan=120.0, share=share)
    assert 24 * ohms / (ohms + 120) == pytest.approx(13.2)


def test_the_first_power_comes_behind_a_low_limit(puppet: Design) -> None:
    v = {name: value.si for name, value in puppet.values.items()}
    assert v["bench.limit_low"] == pytest.approx(0.5)
    assert v["dimmed.low_current"] < v["bench.limit_low"] < v["bench.limit_full"] / 10
    bright = replace(puppet)  # a light that still shines at its low end gets room for that
    assert bright.values["bench.limit_low"].si >= bright.values["dimmed.low_most"].si
