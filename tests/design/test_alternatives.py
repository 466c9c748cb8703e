"""The light with another supply: what the spec would say by hand, with nothing chosen anew."""

from __future__ import annotations

from typing import Any

import pytest

from guidegen.design import Design, settle
from guidegen.design.alternatives import LAST
from guidegen.design.result import Alternative, Finding
from guidegen.design.settle import JUDGING, settled_if
from guidegen.design.usable import usable
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

ADAPTER = "{adapter: adapter-19v-65w}"
OTHERS = {
    "weak": "{name: weak, adapter: {like: adapter-19v-65w, power: 30 W}}",
    "low": "{name: low, adapter: adapter-12v-36w}",
    "strong": "{name: strong, adapter: adapter-19v-90w}",
    "bare battery": "{name: bare battery, battery: li-ion-6s-5ah}",
}
PACK = """{name: pack, battery: li-ion-6s-5ah, chain: [
    {cut_off: built in, trips_at: 18.5 V ± 0.3 V}, {fuse: fuse-blade-58v, rating: %s},
    {lead: twin-flex, size: %s, length: 0.5 m}]}"""


def judged(fixture: Fixture, changes: dict[str, str]) -> Design:
    return settle(changed(fixture, changes), JUDGING, mends=False)


def said(findings: tuple[Finding, ...]) -> list[tuple[Any, ...]]:
    return [(one.id, one.level, one.required and one.required.si, one.found and one.found.si)
            for one in findings if one.id != "supply-alternative"]  # fmt: skip


@pytest.fixture(scope="module")
def both(demo: Fixture) -> Design:
    """The demonstration, all of whose sizes are written, with four other supplies."""
    return judged(demo, {"supplies": f"[{', '.join([ADAPTER, *OTHERS.values()])}]"})


def test_an_alternative_finds_what_a_spec_edited_by_hand_finds(both: Design, demo: Fixture) -> None:
    assert [one.name for one in both.alternatives] == [*OTHERS]
    for one in both.alternatives:
        by_hand = changed(demo, {"supplies": f"[{OTHERS[one.name]}]"})
        alone = settle(by_hand, JUDGING[:LAST], mends=False)
        # The wires of the box are asked once more: they might be thinner than another lead.
        mine, hand = ([finding for finding in design.findings
                       if finding.names.get("conductor") != "link"]
                      for design in (one.design, alone))  # fmt: skip
        assert said(tuple(mine)) == said(tuple(hand))


def test_the_design_itself_is_as_without_alternatives(both: Design, demo: Fixture) -> None:
    alone = judged(demo, {})
    assert said(both.findings) == said(alone.findings)
    assert {n: v.si for n, v in both.values.items()} == {n: v.si for n, v in alone.values.items()}


def test_verdicts(both: Design) -> None:
    found = {one.name: one for one in both.alternatives}
    assert {name: one.level for name, one in found.items()} == {
        "weak": "stop", "low": "stop", "strong": "holds", "bare battery": "stop"}  # fmt: skip
    reasons = {name: {one.id for one in alternative.reasons} for name, alternative in found.items()}
    assert "adapter-margin" in reasons["weak"]
    assert "headroom" in reasons["low"]
    assert {"no-cut-off", "fuse-far"} <= reasons["bare battery"]
    lines = [one.place and one.place.line for one in both.findings
             if one.id == "supply-alternative"]  # fmt: skip
    assert len(lines) == len(OTHERS)


def test_the_current_is_power_over_voltage(both: Design) -> None:
    """A step-down takes constant power: I = P / U (by hand); at 19 V - 5 % it is greatest."""
    weak = both.alternatives[0].design.values
    power = weak["input.power"].si
    assert weak["input.highest_current"].si == pytest.approx(power / (19 * 0.95), rel=1e-9)
    # 30 W - 34.8 W is less than nothing.
    assert weak["adapter.margin"].si == pytest.approx(1 - power / 30, rel=1e-9)


@pytest.fixture(scope="module")
def chosen(demo: Fixture) -> Design:
    """Sizes left to the design, and a supply that takes more of the lead: a lower voltage."""
    return judged(demo, {
        "supplies": "[{adapter: adapter-19v-65w}, {name: low, adapter: adapter-15v-30w}, "
        + PACK % ("5 A", "1.5 mm²") + "]",
        "chain.lead.size": "auto", "chain.feed.size": "auto", "chain.fuse.rating": "auto",
        "rows.1.fed_from": "auto",
    })  # fmt: skip


def test_nothing_of_the_light_is_chosen_anew(chosen: Design) -> None:
    low, pack = (one.design for one in chosen.alternatives)
    for name in ("lead.size", "feed.size", "rail.size", "fuse.rating", "board.width", "row.count"):
        assert low.values[name].si == chosen.values[name].si
    assert low.values["input.highest_current"].si > chosen.values["input.highest_current"].si
    # A supply with a lead and a fuse of its own: the light's lead is the second one.
    assert pack.values["lead_2.size"].si == chosen.values["lead.size"].si
    assert pack.values["lead.size"].si == pytest.approx(1.5e-6)
    assert pack.values["fuse.rating"].si == 5.0
    assert pack.values["link.size"].si == chosen.values["link.size"].si


def reasons(one: Alternative) -> set[tuple[str, Any]]:
    return {(item.id, item.names.get("conductor")) for item in one.reasons}


def test_the_wires_in_the_box_are_the_lights_own(demo: Fixture) -> None:
    """A battery's thick lead does not make the box's thin wires bear its fuse."""
    design = judged(demo, {"supplies": f"[{ADAPTER}, {PACK % ('15 A', '4 mm²')}]"})
    pack = design.alternatives[0]
    assert ("fuse-wire", "link") in reasons(pack)
    assert ("fuse-wire", "lead") not in reasons(pack)


def test_the_lights_own_fuse_must_break_what_a_battery_drives(demo: Fixture) -> None:
    """A glass fuse breaks 35 A or ten times its rating (IEC 60127-2, from memory)."""
    change = {"supplies": f"[{ADAPTER}, {PACK % ('5 A', '1.5 mm²')}]"}
    glass = judged(demo, change).alternatives[0]
    found = [one for one in glass.reasons if one.id == "fuse-breaking"]
    assert [one.required and one.required.si for one in found] == [35.0]
    blade = judged(demo, change | {"chain.fuse.fuse": "fuse-blade-58v", "chain.fuse.rating": "4 A"})
    assert "fuse-breaking" not in {one.id for one in blade.alternatives[0].reasons}


def test_a_fan_keeps_its_resistor(demo: Fixture) -> None:
    """The resistor is soldered: a lower supply does not take it out, a higher one sets none in."""
    fan = "[{fan: fan-12v-40mm, fed_after: switch, guard: fan-guard-40mm, dropper: auto}]"
    design = judged(demo, {"auxiliaries": fan, "supplies": f"[{ADAPTER}, {OTHERS['low']}]"})
    values = design.alternatives[0].design.values
    assert values["fan.dropper"].si == design.values["fan.dropper"].si > 0
    turned = judged(demo, {"auxiliaries": fan, "supplies": f"[{OTHERS['low']}, {ADAPTER}]"})
    assert turned.complete
    after = turned.alternatives[0]
    assert "fan.dropper" not in {**turned.values, **after.design.values}
    assert "fan-voltage" in {one.id for one in after.reasons}


def test_a_supply_that_stops_says_up_to_what_light_it_would_do(demo: Fixture) -> None:
    full = settle(changed(demo, {"supplies": f"[{ADAPTER}, {OTHERS['weak']}]"}), JUDGING)
    finding = next(one for one in full.findings if one.id == "supply-alternative")
    assert [dict(mend.changes) for mend in finding.mends] == [{"supplies.2": "(left out)"}]
    assert 0.5 < finding.names["usable"].si < 1
    # As the spec with that supply alone and that setting: no stop.
    alone = judged(demo, {"supplies": f"[{OTHERS['weak']}]",
                          finding.names["key"]: finding.names["output"]})  # fmt: skip
    assert not alone.stops
    # One step of 0.1 V higher there is one.
    low, _, top = finding.names["output"].rpartition(" to ")
    volts, _, spread = top.partition(" V")
    higher = f"{low} to {float(volts) + 0.1:.1f} V{spread}"
    stopped = judged(demo, {"supplies": f"[{OTHERS['weak']}]", finding.names["key"]: higher})
    assert stopped.stops


def test_one_supply_settles_once(demo: Fixture, monkeypatch: pytest.MonkeyPatch) -> None:
    import guidegen.design.alternatives as module

    def refuse(*_: Any, **__: Any) -> None:
        raise AssertionError("alternatives were judged")

    monkeypatch.setattr(module, "with_alternatives", refuse)
    assert settle(demo, JUDGING, mends=False).alternatives == ()
    with pytest.raises(AssertionError, match="alternatives were judged"):
        judged(demo, {"supplies": f"[{ADAPTER}, {OTHERS['strong']}]"})


def test_no_lower_light_does_away_with_the_stop_of_another_supply(demo: Fixture) -> None:
    """Whoever looks for a setting or a part that fits asks the other supplies too."""
    one = judged(demo, {"supplies": f"[{ADAPTER}, {OTHERS['bare battery']}]"})
    assert [item.id for item in one.findings if item.level == "stop"] == ["supply-alternative"]
    assert usable(one) is None
    found = settled_if(one.fixture, lambda _: True)
    assert found is not None
    assert found.stops
