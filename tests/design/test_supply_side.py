"""What stands between the supply and the light: the plug, the leads, the battery's own fuse."""

from __future__ import annotations

from pathlib import Path

import pytest

from guidegen.design import Design, settle
from guidegen.design.result import Finding
from guidegen.errors import SpecError
from guidegen.spec import catalogue_part, load
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

SPECS = Path(__file__).parents[2] / "specs"


def plug_finding(fixture: Fixture) -> Finding:
    return next(f for f in settle(fixture).findings if f.id == "plug-fit")


@pytest.mark.parametrize(
    ("changes", "level"),
    [
        ({}, "holds"),
        ({"chain.connector": "barrel-5521"}, "stop"),
        ({"chain.connector": "{like: barrel-5525, current: 7 A}"}, "holds"),
        ({"supplies.1": "{adapter: {like: adapter-19v-65w, plug: of four pins}}"}, "stop"),
    ],
)
def test_a_plug_fits_its_socket_or_stops(
    demo: Fixture, changes: dict[str, str], level: str
) -> None:
    # Barrel plugs of 5.5 mm with holes for pins of 2.1 and of 2.5 mm do not take each other:
    # common practice, no source.
    assert plug_finding(changed(demo, changes)).level == level


def test_what_mends_a_plug_is_the_connector_that_fits(demo: Fixture) -> None:
    (mend,) = plug_finding(changed(demo, {"chain.connector": "barrel-5521"})).mends
    assert mend.changes == {"chain.connector": "barrel-5525"}
    assert plug_finding(changed(demo, mend.changes)).level == "holds"


def test_an_open_connector_follows_the_plug(demo: Fixture) -> None:
    for adapter in ("adapter-19v-65w", "adapter-15v-30w"):
        changes = {"supplies.1": f"{{adapter: {adapter}}}", "chain.connector": "auto"}
        design = settle(changed(demo, changes), mends=False)
        plug = catalogue_part(adapter).words["plug"]
        chosen = next(c for c in design.choices if c.id == "connector.part")
        assert chosen.chosen == catalogue_part(plug).label


LEAD = "lead: twin-flex, size: 0.75 mm², length: 0.5 m"


def test_both_leads_are_lost_to_a_light_without_a_regulator(demo: Fixture) -> None:
    stages = ("connector: barrel-5525", LEAD, "switch: switch-dc-20a", LEAD, "feed: twin-flex")
    chain = f"[{', '.join('{' + stage + '}' for stage in stages)}]"
    supply = "{adapter: adapter-12v-60w}"
    values = settle(changed(demo, {"supplies.1": supply, "chain": chain}), mends=False).values
    # Resistance per metre of 0.75 mm² flexible copper at 20 °C: 26 ohm/km (IEC 60228, class 5);
    # two conductors, two leads of half a metre.
    lost = 2 * 2 * 0.5 * 26.0e-3 * values["panel.current"].si
    assert values["leads.usual_drop"].si == pytest.approx(lost, rel=1e-9)
    # Besides: a fuse of 5 A that loses 0.1 V at its rating, one wire of 0.15 m to the switch, its
    # contact of 10 mΩ, and eight joints of 5 mΩ.
    rest = (0.1 / 5 + 0.15 * 26.0e-3 + 0.010 + 8 * 0.005) * values["panel.current"].si
    whole = (lost + rest) * values["panel.loaded_current"].si / values["panel.current"].si
    fed = 12.0 - whole - 2 * values["scan.drop"].si
    assert values["panel.pad_voltage"].si == pytest.approx(fed, abs=0.001)


@pytest.mark.parametrize(
    ("supply", "said"),
    [
        ("{adapter: adapter-19v-65w, chain: [{fuse: fuse-5x20}]}", "an adapter stays whole"),
        (f"{{battery: li-ion-6s-5ah, chain: [{{connector: auto}}, {{{LEAD}}}]}}", "after the conn"),
        ("{battery: li-ion-6s-5ah, chain: [{regulator: auto}]}", "a regulator that stays at the"),
        ("{battery: li-ion-6s-5ah, chain: [{connector: auto}]}", "a second connector"),
        ("{battery: li-ion-6s-5ah, chain: [{fuse: fuse-blade-58v}]}", "a second fuse"),
    ],
)
def test_what_no_step_can_fit_is_refused(demo: Fixture, supply: str, said: str) -> None:
    with pytest.raises(SpecError, match=said):
        changed(demo, {"supplies.1": supply})


# --- what stays at a battery ------------------------------------------------------------------
CUT_OFF = "cut_off: built in, trips_at: 18.5 V ± 0.2 V"
FUSE = "fuse: fuse-blade-58v, rating: auto"
OWN_LEAD = "lead: twin-flex, size: 1.5 mm², length: 2 m"


def at_battery(demo: Fixture, *stages: str, **more: str) -> Design:
    chain = f"[{', '.join('{' + stage + '}' for stage in stages)}]"
    light = "[{connector: connector-shrouded-30a}, {lead: twin-flex, size: 1.5 mm², length: 1 m}, "
    light += "{switch: switch-dc-20a}, {regulator: step-down-36v-8a, "
    light += "output: 8 V to 11 V, control: {joins: auto}}, {feed: auto}]"
    changes = {"supplies.1": "{battery: li-ion-6s-5ah}", "supplies.1.chain": chain, "chain": light}
    return settle(changed(demo, {**changes, **more}), mends=False)


def way(design: Design, pole: str) -> list[tuple[str, str, str, float]]:
    """From the battery's pole to the light's half of the connector."""
    mine = [wire for wire in design.model.conductors if wire.polarity == pole]
    return [
        (w.role, w.start, w.end, w.length.si)
        for w in mine
        if w.role in ("battery_wire", "supply_lead")
    ]


def test_every_wire_from_the_batterys_poles_on_is_in_the_circuit(demo: Fixture) -> None:
    design = at_battery(demo, CUT_OFF, FUSE, OWN_LEAD)
    piece = 0.10  # with a holder's own lead within 150 mm of the pole: common practice, no source
    assert way(design, "+") == [
        ("battery_wire", "G1:+", "F1:1", piece),
        ("supply_lead", "F1:2", "X1:B+", 2.0),
    ]
    # The black core passes the fuse's piece of wire: it is longer by that.
    assert way(design, "-") == [("supply_lead", "G1:-", "X1:B-", pytest.approx(2.0 + piece))]
    ends = {w.start: w.start_treatment for w in design.model.conductors}
    assert ends["G1:+"] == ends["G1:-"] == "lug"
    lead = {w.start: w.length.si for w in design.model.conductors if w.role == "lead"}
    assert lead == {"X1:+": 1.0, "X1:-": 1.0}


def test_a_cut_off_and_a_switch_at_the_battery_stand_in_its_wires(demo: Fixture) -> None:
    cut_off = "cut_off: {like: cut-off-12v-20a, voltage: 32 V, trips_at: 18.5 V ± 0.2 V}"
    design = at_battery(demo, FUSE, cut_off, "switch: switch-dc-20a",
                        **{"chain.switch": "none"})  # fmt: skip
    assert [(start, end) for _, start, end, _ in way(design, "+")] == [
        ("G1:+", "F1:1"), ("F1:2", "K1:IN+"), ("K1:OUT+", "Q1:1"), ("Q1:2", "X1:B+"),
    ]  # fmt: skip
    # One black wire beside two pieces of the positive side, before and after the cut-off.
    assert way(design, "-") == [
        ("battery_wire", "G1:-", "K1:IN-", pytest.approx(0.2)),
        ("battery_wire", "K1:OUT-", "X1:B-", pytest.approx(0.2)),
    ]
    assert not design.stops


def test_all_wires_of_the_supply_side_lose_voltage(demo: Fixture) -> None:
    values = at_battery(demo, CUT_OFF, FUSE, OWN_LEAD).values
    # 13.3 ohm/km at 20 °C for 1.5 mm² flexible copper (IEC 60228, class 5); both poles of
    # 0.10 m at the fuse, 2 m at the battery and 1 m at the light.
    lost = 2 * (0.10 + 2.0 + 1.0) * 13.3e-3 * values["input.highest_current"].si
    room = values["supply.lowest"].si - lost - values["regulator.dropout"].si
    assert values["regulator.highest_possible"].si == pytest.approx(room, abs=0.001)


@pytest.mark.parametrize(
    "stages", [(CUT_OFF, OWN_LEAD, FUSE), ("switch: switch-dc-20a", FUSE), (OWN_LEAD, FUSE)]
)
def test_what_stands_before_a_batterys_fuse_is_protected_by_nothing(
    demo: Fixture, stages: tuple[str, ...]
) -> None:
    light = {"chain.switch": "none"} if "switch" in stages[0] else {}
    design = at_battery(demo, *stages, **light)
    assert "fuse-far" in {f.id for f in design.findings if f.level == "stop"}


@pytest.mark.parametrize(("exposed", "level"), [("shrouded", "holds"), ("pin", "stop")])
def test_the_live_half_of_a_batterys_connector_is_shrouded(
    demo: Fixture, exposed: str, level: str
) -> None:
    part = f"{{like: connector-shrouded-30a, exposed: {exposed}}}"
    changes = {"chain.connector": part}
    (found,) = [f for f in at_battery(demo, CUT_OFF, FUSE, **changes).findings
                if f.id == "live-half"]  # fmt: skip
    assert found.level == level


def test_wires_without_a_lead_are_judged_as_well(demo: Fixture) -> None:
    # Fuse of 30 A opens by 40.5 A (1.35 times, ISO 8820-3): more than a feed of 0.5 mm² bears.
    design = at_battery(demo, CUT_OFF, "fuse: fuse-blade-58v, rating: 30 A",
                        **{"chain.lead": "none", "chain.feed.size": "0.5 mm²"})  # fmt: skip
    found = {f.names["conductor"]: f.level for f in design.findings if f.id == "fuse-wire"}
    assert found == {"link": "stop"}


def test_the_other_core_of_two_leads_is_as_long_as_both(demo: Fixture) -> None:
    """A switch between two leads parts the positive core alone: 0.5 m and 0.7 m beside 1.2 m."""
    chain = (
        "[{connector: barrel-5525}, {lead: twin-flex, size: 0.75 mm², length: 0.5 m},"
        " {switch: switch-dc-6a}, {lead: twin-flex, size: 0.75 mm², length: 0.7 m},"
        " {fuse: fuse-5x20, rating: 3.15 A},"
        " {regulator: step-down-36v-8a, output: 11.8 V ± 0.2 V, current_limit: auto},"
        " {feed: twin-flex, size: 0.75 mm²}]"
    )
    design = settle(changed(demo, {"chain": chain}), mends=False)
    leads = design.model.wires("lead")
    lengths = {polarity: [wire.length.si for wire in leads if wire.polarity == polarity]
               for polarity in "+-"}  # fmt: skip
    assert lengths["+"] == pytest.approx([0.5, 0.7])
    assert lengths["-"] == pytest.approx([1.2])


def test_one_bad_joint_stands_out_between_neighbours() -> None:
    """By hand: the greatest sound piece, and 62 mΩ, which the whole way's limit lets pass."""
    v = settle(load(SPECS / "puppet-wash-light.yaml"), mends=False).values
    current = v["input.bench_current"].si
    # Two metres of 4 mm² (4.95 mΩ/m at 20 °C, IEC 60228, and 16 % more at 60 °C) with a joint of
    # 8 mΩ at each end, or a contact of 20 mΩ.
    most = current * max(1.16 * 2 * 4.95e-3 + 2 * 0.008, 0.020)
    assert v["side.hop_most"].si == pytest.approx(most, rel=1e-6)
    assert current * 0.062 > v["side.hop_most"].si
    assert v["side.plus_drop"].si + current * 0.057 < 2 * v["side.plus_drop"].si
    # Heat goes with the square of the current; its ampacity would warm it from 35 to 170 degrees.
    warm = 35 + 135 * (v["input.highest_current"].si / v["lead.ampacity"].si) ** 2
    assert v["joint.warm"].si - 273.15 == pytest.approx(warm, abs=0.01)
