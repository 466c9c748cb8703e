"""How much light a weak part allows, and what fits in its place, each tried by a whole design."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from guidegen.design import Design, settle
from guidegen.design.compare import fresh_stops, identity, stops
from guidegen.design.settle import JUDGING
from guidegen.design.trial import Tried, judged, tried
from guidegen.folders import folder
from guidegen.spec import Fixture, catalogue_part, load
from guidegen.spec.changes import changed
from guidegen.spec.overrides import read_columns
from tests.design.by_hand import share_of_rated

SPECS = folder("templates").parent / "specs"
HERBARIUM, PUPPET, BOATSHED = (
    SPECS / f"{name}.yaml"
    for name in ("herbarium-copy-light", "puppet-wash-light", "boatshed-work-bar")
)
#: What is tried, and what stops that less light takes away.
WEAK: dict[str, tuple[Path, list[str], str]] = {
    "adapter": (HERBARIUM, ["supply=adapter-15v-30w", "chain.connector=barrel-5521"],
                "adapter-margin"),
    "battery": (PUPPET, ["supplies.pack.battery={like: lifepo4-4s-20ah, highest_current: 7.5 A}"],
                "battery-current"),
    "fuse": (PUPPET, ["supplies.pack.chain.fuse.rating=7.5 A"], "fuse-load"),
    "regulator": (HERBARIUM, ["chain.regulator=step-down-35v-3a",
                              "chain.regulator.current_limit=none"], "regulator-current"),
    "output that is one voltage": (BOATSHED, ["chain.regulator.output=12.8 V ± 0.2 V"],
                                   "tape-voltage"),
}  # fmt: skip


def at(path: Path, *texts: str) -> tuple[Fixture, Design, Tried]:
    fixture = load(path)
    before = judged(fixture)
    return fixture, before, tried(fixture, before, read_columns([texts])[0])


def one_step_up(output: str) -> str:
    """The same output, its upper end 0.1 V higher."""
    before, to, end = output.rpartition(" to ")
    number, rest = end.split(" ", 1)
    return f"{before}{to}{float(number) + 0.1:.4g} {rest}"


@pytest.mark.parametrize("name", WEAK)
def test_the_boundary_is_where_it_is_said(name: str) -> None:
    path, texts, limit = WEAK[name]
    _, before, found = at(path, *texts)
    after, part = found.design, found.usable
    assert part is not None
    assert limit in {one.id for one in fresh_stops(after, before)}
    below = settle(changed(after.fixture, {part.key: part.output}), JUDGING, mends=False)
    higher = {part.key: one_step_up(part.output)}
    above = settle(changed(after.fixture, higher), JUDGING, mends=False)
    left = {identity(one) for one in part.left}
    assert below.complete
    assert stops(below) == left
    assert {identity(one) for one in part.limits} | left == stops(above) > left
    assert limit in {one.id for one in part.limits}
    assert limit not in {one[0] for one in left}
    # Light goes with current: the same share by the lux on the subject, where wires lose nothing.
    lux = [d.values["light.axis_illuminance"].si for d in (below, after)]
    assert part.light.si == pytest.approx(lux[0] / lux[1], rel=1e-9)
    assert math.floor(part.light.si * 100) == int(str(part.light).split("\xa0")[0])


def test_the_setting_of_a_weak_adapter_by_hand() -> None:
    """By hand: a group is its LEDs and one resistor (Kirchhoff, Ohm, Shockley); P = U I."""
    tape, adapter = catalogue_part("tape-12v-10w-cri95"), catalogue_part("adapter-15v-30w")
    efficiency = catalogue_part("step-down-36v-8a")["efficiency"].si
    volts, metres = tape["voltage"].si, 12 * 0.3
    leds = tape["leds_per_group"].si, tape["forward_voltage"].si
    watts = adapter["power"].si * efficiency
    full = tape["power"].si * metres

    def draws(output: float) -> float:
        return output / volts * full * share_of_rated(output, volts, *leds)

    step = max(n for n in range(80, 121) if draws(n / 10) <= watts) / 10
    _, _, found = at(HERBARIUM, *WEAK["adapter"][1])
    assert found.usable is not None
    assert f"to {step:.4g} V" in found.usable.output
    light = share_of_rated(step, volts, *leds) / share_of_rated(11.8, volts, *leds)
    assert found.usable.light.si == pytest.approx(light, rel=1e-9)


def test_a_check_offers_the_setting_too() -> None:
    """The mend of a weak adapter or battery: lower output, and the light that is left."""
    for name in ("adapter", "battery"):
        path, texts, limit = WEAK[name]
        _, _, found = at(path, *texts)
        finding = next(one for one in found.design.findings if one.id == limit)
        mend = next(one for one in finding.mends if "chain.regulator.output" in one.changes)
        after = settle(changed(found.design.fixture, mend.changes), JUDGING, mends=False)
        assert all(one.level == "holds" for one in after.findings if one.id == limit)
        assert mend.light is not None
        lux = [d.values["light.axis_illuminance"].si for d in (after, found.design)]
        assert mend.light.si == pytest.approx(lux[0] / lux[1], rel=1e-9)
        assert found.usable is not None
        assert mend.light.si <= found.usable.light.si


def test_nothing_is_promised_where_less_light_helps_nothing() -> None:
    for path, texts in ((HERBARIUM, ["chain.connector=barrel-5521"]),
                        (HERBARIUM, ["chain.feed.size=1 mm²"]),
                        (HERBARIUM, ["chain.fuse=none"])):  # fmt: skip
        assert at(path, *texts)[2].usable is None


#: What is tried, and the nearest that fits: the next size or rating by hand, parts by their kind.
NEAREST = {
    "chain.fuse.rating=2 A": "2.5 A",  # IEC 60127: 2 A, 2.5 A, 3.15 A; 2.4 A is needed
    "chain.feed.size=0.05 mm²": None,
    "chain.lead.size=26 AWG": "20 AWG",
    "supply=adapter-15v-30w": "adapter-",
    "chain.connector=barrel-5521": "barrel-5525",
    "chain.switch={like: switch-dc-6a, current: 1 A}": "switch-dc-",
    "chain.regulator.control.track=100 ohm ± 20 %": None,
}


@pytest.mark.parametrize("typed", NEAREST)
def test_what_fits_instead_brings_no_stop(typed: str) -> None:
    fixture, before, found = at(HERBARIUM, typed)
    fresh = fresh_stops(found.design, before)
    wanted = NEAREST[typed]
    if not fresh:
        assert found.instead == ()
        return
    (fit,) = found.instead
    assert wanted is None or fit.change.value.startswith(wanted)
    key = "supplies.1.adapter" if fit.change.key == "supply" else fit.change.key
    after = settle(changed(fixture, {key: fit.change.value}), JUDGING, mends=False)
    assert after.complete
    assert fresh_stops(after, before) == ()
    assert str(after.values["input.power"]) == str(fit.design.values["input.power"])


def test_the_spec_s_own_part_is_named_as_that() -> None:
    _, _, found = at(HERBARIUM, "chain.connector=barrel-5521")
    assert [(one.change.value, one.as_is) for one in found.instead] == [("barrel-5525", True)]


def test_where_nothing_fits_that_is_said() -> None:
    _, _, found = at(HERBARIUM, "supply=lifepo4-4s-20ah")
    assert (found.instead, found.unfit) == ((), ("supply",))
    _, _, other = at(HERBARIUM, "rows.1.count=20")
    assert fresh_stops(other.design, judged(load(HERBARIUM)))
    assert (other.instead, other.unfit) == ((), ())


def test_pulses_promise_no_part_of_the_light() -> None:
    _, before, found = at(BOATSHED, "chain.regulator=none")
    assert fresh_stops(found.design, before)
    assert (found.usable, found.pulses) == (None, True)
    assert not at(BOATSHED, "chain.pulse_width=pulse-width-35v-5a")[2].pulses
