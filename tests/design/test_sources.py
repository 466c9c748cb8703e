"""Negotiated adapters and sockets of vehicles: what they are to a light, and what stops."""

from __future__ import annotations

from pathlib import Path

import pytest

from guidegen.design import Design, settle
from guidegen.design.result import Finding
from guidegen.errors import SpecError
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.spec.parts import catalogue
from guidegen.spec.profiles import offers

SPECS = Path(__file__).parents[2] / "specs"
#: 5 V tape behind a step-down, which has room enough below 12 V.
IN_A_CAR = {
    "supplies.1": "{vehicle: vehicle-socket-12v}", "rows.1.tape": "tape-5v-7w-cri80",
    "rows.1.count": "4", "making.stock": "[]", "light.target": "(left out)",
    "light.evenness": "(left out)", "chain.lead.size": "1.5 mm²", "chain.feed.size": "1.5 mm²",
    "chain.fuse": "fuse-blade-58v", "chain.fuse.rating": "auto",
    "chain.regulator.output": "3 V to 4.9 V ± 0.1 V", "chain.regulator.control": "{joins: auto}",
}  # fmt: skip


def designed(spec: str = "herbarium-copy-light", **changes: str) -> Design:
    named = {key.replace("__", "."): text for key, text in changes.items()}
    return settle(changed(load(SPECS / f"{spec}.yaml"), named), mends=False)


def in_a_car(**changes: str) -> Design:
    return designed(**{key.replace(".", "__"): text for key, text in IN_A_CAR.items()}, **changes)


def one(design: Design, name: str) -> Finding:
    [found] = [finding for finding in design.findings if finding.id == name]
    return found


@pytest.fixture(scope="module")
def agreed() -> Design:
    return designed(supplies__1="{negotiated: adapter-negotiated-65w, profile: 20 V}")


@pytest.fixture(scope="module")
def car() -> Design:
    return in_a_car()


def test_the_catalogue_keeps_the_rules_of_the_standard() -> None:
    """IEC 62680-1-2, from memory: 5 V always; to 3 A, and at 20 V alone to 5 A."""
    for part in catalogue("negotiated"):
        pairs = [(volts.si, amps.si) for amps, volts in offers(part)]
        assert pairs[0] == (5, 3)
        assert {volts for volts, _ in pairs} <= {5, 9, 15, 20}
        assert all(amps <= (5 if volts == 20 else 3) for volts, amps in pairs)
        # No profile gives more than the whole adapter.
        watts = float(part.label.split(", ")[1].removesuffix(" W"))
        assert max(volts * amps for volts, amps in pairs) == pytest.approx(watts)


def test_at_its_profile_it_is_a_plain_adapter(agreed: Design) -> None:
    plain = designed(supplies__1="{adapter: {like: adapter-19v-65w, voltage: 20 V ± 5 %,"
                                 " power: 65 W, current: 3.25 A}}")  # fmt: skip
    names = ("supply.lowest", "supply.highest", "input.power", "input.highest_current",
             "adapter.power", "adapter.margin", "supply.may_give", "regulator.loss")  # fmt: skip
    for name in names:
        assert agreed.values[name].si == pytest.approx(plain.values[name].si), name
    assert {f.id for f in agreed.findings if f.level == "stop"} == set()
    assert agreed.facts["adapter"]
    assert agreed.facts["negotiated"]
    assert not plain.facts["negotiated"]


def test_without_its_profile_it_gives_5_volts(agreed: Design) -> None:
    """5 V less 1.5 V is below the tape's 8.55 V: dark; 5 V is the least input of the module."""
    found = one(agreed, "profile-fallback")
    assert (found.level, found.names["dark"], found.names["starts"]) == ("advice", True, True)
    assert found.names["from_memory"]


def test_a_step_up_takes_more_than_the_fallback_gives() -> None:
    """81.4 W at 93 % from 5 V are 17.5 A; the adapter gives 3 A there."""
    design = designed(
        "puppet-wash-light", supplies__1="{negotiated: adapter-negotiated-100w, profile: 20 V}",
        chain__connector="barrel-5525", auxiliaries="[]",
        chain__regulator__regulator="{like: step-up-60v-10a, input_low: 4.5 V}",
        chain__fuse="fuse-blade-58v", use__run_time="(left out)")  # fmt: skip
    found = one(design, "profile-fallback")
    v = design.values
    assert found.found.si == pytest.approx(v["panel.power"].si / 0.93 / 5)
    assert found.required.si == 3
    assert (found.level, found.names["over"], found.names["dark"]) == ("advice", True, False)
    assert one(design, "profile-cable").level == "advice"
    # A step-up passes 20 V on: its full setting lies above.
    assert one(design, "step-up-room").names["kept"]


def test_a_profile_that_is_not_offered_stops() -> None:
    part = "{like: adapter-negotiated-65w, profiles: [3 A at 5 V, 3 A at 9 V]}"
    design = designed(supplies__1=f"{{negotiated: {part}, profile: 20 V}}")
    found = one(design, "profile-offered")
    assert found.level == "stop"
    offered = [mend.changes["supplies.1.profile"] for mend in found.mends]
    assert offered == ["5 V", "9 V"]


def test_the_highest_profile_against_what_stands_first() -> None:
    """5 V tape straight on 5 V: a trigger that asks for 20 V brings 21 V to a tape for 5.25 V."""
    design = designed(
        rows__1__tape="tape-5v-7w-cri80", rows__1__count="2", making__stock="[]",
        supplies__1="{negotiated: adapter-negotiated-65w, profile: 5 V}", chain__regulator="none",
        chain__fuse__rating="auto", light__target="(left out)")  # fmt: skip
    found = one(design, "profile-highest")
    assert found.level == "advice"
    assert not found.names["kept"]
    assert (found.required.si, found.found.si) == (5.25, pytest.approx(21.0))


@pytest.mark.parametrize(
    ("supply", "said"),
    [
        ("{negotiated: adapter-negotiated-65w}", "'profile' is missing: which voltage"),
        ("{negotiated: adapter-negotiated-65w, profile: 12 V}", "5 V, 9 V, 15 V, 20 V"),
        ("{adapter: adapter-19v-65w, profile: 20 V}", "'profile' belongs to 'negotiated'"),
        ("{negotiated: adapter-19v-65w, profile: 20 V}", "negotiated adapter"),
        ("{vehicle: auto}", "'auto' can't choose"),
        ("{vehicle: vehicle-socket-12v, chain: [{fuse: auto}]}", "stays whole"),
        ("{vehicle: vehicle-socket-12v, adapter: adapter-19v-65w}", "are both here"),
    ],
)
def test_what_is_no_such_supply_is_refused(supply: str, said: str) -> None:
    with pytest.raises(SpecError, match=said):
        designed(supplies__1=supply)


def test_a_socket_has_a_window_a_fuse_and_a_battery_behind_it(car: Design) -> None:
    v = {name: value.si for name, value in car.values.items()}
    # ISO 16750-2, 12 V system, from memory: 10.5 V to 16 V.
    assert (v["supply.lowest"], v["supply.highest"]) == (10.5, 16.0)
    assert v["input.highest_current"] == pytest.approx(v["panel.power"] / 0.92 / 10.5)
    # ISO 8820-3, from memory: 10 A opens by 1.35 times that.
    assert v["socket.opens_at"] == pytest.approx(13.5)
    # 500 A ± 50 % into a short: the fuse of the light has to break the upper end.
    assert one(car, "fuse-breaking").found.si == 750
    assert car.facts["vehicle"]
    assert not car.facts["adapter"]
    assert not car.facts["battery"]
    assert {f.id for f in car.findings if f.level == "stop"} == set()


def test_nothing_from_memory_makes_it_hold(car: Design) -> None:
    for name in ("vehicle-jump-start", "vehicle-load-dump", "vehicle-drain", "socket-wire"):
        found = one(car, name)
        assert (found.level, found.names["kept"], found.names["from_memory"]) == (
            "advice", True, True), name  # fmt: skip


def test_a_weak_module_a_thin_lead_and_a_small_fuse_stop() -> None:
    design = in_a_car(
        chain__regulator__regulator="{like: step-down-36v-8a, input_high: 28 V}",
        supplies__1__vehicle="{like: vehicle-socket-12v, fuse: 1.1 A}")  # fmt: skip
    assert one(design, "vehicle-load-dump").level == "stop"
    assert one(design, "vehicle-jump-start").names["kept"]
    assert one(design, "socket-fuse").level == "holds"
    more = {**IN_A_CAR, "rows.1.count": "8",
            "supplies.1": "{vehicle: {like: vehicle-socket-12v, fuse: 1 A}}"}  # fmt: skip
    design = designed(**{key.replace(".", "__"): text for key, text in more.items()})
    assert one(design, "socket-fuse").level == "stop"
    thin = {**IN_A_CAR, "chain.lead.size": "0.5 mm²"}
    design = designed(**{key.replace(".", "__"): text for key, text in thin.items()})
    assert one(design, "socket-wire").level == "stop"


def test_without_its_own_fuse_it_stops() -> None:
    bare = {**IN_A_CAR, "chain.fuse": "none", "chain.fuse.rating": "(left out)"}
    design = designed(**{key.replace(".", "__"): text for key, text in bare.items()})
    assert one(design, "no-fuse").level == "stop"


def test_what_the_start_of_the_engine_leaves(car: Design) -> None:
    """6 V less the lead and 1.5 V: of 2.0 V over the threshold at full, what is left."""
    v = {name: value.si for name, value in car.values.items()}
    output = min(4.9, 6 - v["leads.drop"] - 1.5)
    light = (output - v["tape.threshold"]) / (4.9 - v["tape.threshold"])
    assert one(car, "vehicle-cranking").names["light"].si == pytest.approx(light)


def test_a_step_up_passes_the_peaks_on() -> None:
    """24 V less 0.5 V at a tape for 25.2 V; 35 V less 0.5 V is too much."""
    design = designed("puppet-wash-light", supplies__1="{vehicle: vehicle-socket-12v}",
                      chain__connector="barrel-5525", chain__fuse="fuse-blade-58v",
                      use__run_time="(left out)")  # fmt: skip
    peaks = {f.names["peak"]: f for f in design.findings if f.id == "vehicle-passes"}
    assert peaks["jump_start"].found.si == pytest.approx(23.5)
    assert (peaks["jump_start"].level, peaks["jump_start"].names["kept"]) == ("advice", True)
    assert peaks["load_dump"].found.si == pytest.approx(34.5)
    assert not peaks["load_dump"].names["kept"]


def test_how_long_the_vehicle_lasts(car: Design) -> None:
    """45 Ah at 20 h by Peukert with 1.2, three tenths of it; by hand."""
    amps = car.values["input.current"].si
    hours = min(20 * (45 / (amps * 20)) ** 1.2, 45 / amps) * 0.3
    assert one(car, "vehicle-drain").found.si == pytest.approx(hours)


def test_a_lorry_has_a_window_and_peaks_of_its_own() -> None:
    """ISO 16750-2, 24 V system, from memory: 21 V to 32 V, 36 V jump start, 58 V load dump."""
    lorry = {"supplies.1": "{vehicle: vehicle-socket-24v}", "chain.regulator": "none"}
    named = {key.replace(".", "__"): text for key, text in lorry.items()}
    found = designed(**named)
    assert one(found, "tape-voltage").level == "stop"
    own = {"supplies.1": "{vehicle: vehicle-socket-24v}",
           "chain.regulator.regulator": "step-down-60v-8a"}  # fmt: skip
    found = designed(**{key.replace(".", "__"): text for key, text in own.items()})
    v = {name: value.si for name, value in found.values.items()}
    assert (v["supply.lowest"], v["supply.highest"]) == (21.0, 32.0)
    for name, peak in (("vehicle-jump-start", 36.0), ("vehicle-load-dump", 58.0)):
        kept = one(found, name)
        assert kept.required is not None
        assert (kept.required.si, kept.names["kept"], kept.level) == (peak, True, "advice")
    # A module for 36 V lives through the jump start, and not through the load dump.
    weak = own | {"chain.regulator.regulator": "step-down-36v-8a"}
    found = designed(**{key.replace(".", "__"): text for key, text in weak.items()})
    assert one(found, "vehicle-load-dump").level == "stop"
    assert one(found, "vehicle-jump-start").names["kept"]
    # 24 V at the lower end start no light of 11.8 V behind 10 V while the engine turns.
    assert one(found, "vehicle-cranking").level == "advice"
