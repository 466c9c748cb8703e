"""What stands between the supply and the light: the plug, the leads, the battery's own fuse."""

from __future__ import annotations

import pytest

from guidegen.design import settle
from guidegen.design.result import Finding
from guidegen.errors import SpecError
from guidegen.spec import catalogue_part
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture


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
    lost = 2 * 2 * 0.5 * 26.0e-3 * values["input.current"].si
    fed = 12.0 - lost - values["feed.drop"].si
    assert values["panel.feed_voltage"].si == pytest.approx(fed, abs=0.001)


@pytest.mark.parametrize(
    ("supply", "said"),
    [
        ("{adapter: adapter-19v-65w, chain: [{fuse: fuse-5x20}]}", "an adapter stays whole"),
        (f"{{battery: li-ion-6s-5ah, chain: [{{{LEAD}}}]}}", "a lead that stays at the battery"),
        ("{battery: li-ion-6s-5ah, chain: [{cut_off: cut-off-12v-20a}]}", "a cut-off of its own"),
        ("{battery: li-ion-6s-5ah, chain: [{fuse: fuse-blade-58v}]}", "a second fuse"),
    ],
)
def test_what_no_step_can_fit_is_refused(demo: Fixture, supply: str, said: str) -> None:
    with pytest.raises(SpecError, match=said):
        changed(demo, {"supplies.1": supply})
