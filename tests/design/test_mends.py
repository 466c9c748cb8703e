"""Every mend that a finding offers does what it promises, tried on the whole design."""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import Any

import pytest

from guidegen.design import Design, Finding, Mend, settle
from guidegen.design.settle import holds
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

#: Made bad on purpose: what is changed, and the finding that must come of it with a mend.
BAD: dict[str, tuple[str, dict[str, str]]] = {
    "20 A fuse on a thin lead": (
        "fuse-wire",
        {
            "chain.fuse.rating": "20 A",
        },
    ),
    "fuse below the load": (
        "fuse-load",
        {
            "chain.fuse.rating": "2 A",
        },
    ),
    "full setting of 24 V on 12 V tape": (
        "tape-voltage",
        {
            "chain.regulator.output": "8 V to 24 V",
            "wiring.jumpers": "{conductor: hook-up-silicone}",
            "supplies.1": "{adapter: {like: adapter-19v-65w, voltage: 30 V ± 5 %, plug: "
            "connector-shrouded-30a}}",
            "chain.connector": "connector-shrouded-30a",
            "chain.switch": "switch-dc-20a",
        },
    ),
    "8 m of thin lead": (
        "lead-drop",
        {
            "chain.lead.length": "8 m",
            "chain.lead.size": "0.5 mm²",
        },
    ),
    "rail too thin": (
        "ampacity",
        {
            "wiring.rails.size": "0.05 mm²",
            "wiring.rails.fed_at": "end",
            "rows.1.count": "12",
        },
    ),
    "feed too thin": (
        "ampacity",
        {
            "chain.feed.size": "0.05 mm²",
        },
    ),
    "tiny board": (
        "board-width",
        {
            "body.board.width": "310 mm",
            "body.board.height": "170 mm",
        },
    ),
    "4 A panel on a 3 A regulator": (
        "regulator-current",
        {
            "chain.regulator": "step-down-35v-3a",
            "rows.1.count": "12",
        },
    ),
    "weak adapter": (
        "adapter-margin",
        {
            "supplies.1": "{adapter: adapter-15v-30w}",
        },
    ),
    "input above the regulator's": (
        "regulator-input",
        {
            "supplies.1": "{adapter: {like: adapter-24v-120w, voltage: 48 V}}",
        },
    ),
    "no headroom": (
        "headroom",
        {
            "supplies.1": "{adapter: adapter-12v-60w}",
        },
    ),
    "narrow tolerance": (
        "meter-too-coarse",
        {
            "chain.regulator.output": "7.5 V ± 0.05 V to 11.8 V ± 0.02 V",
        },
    ),
    "long rows fed at one end": (
        "row-drop",
        {
            "rows.1.fed_from": "left end",
            "rows.1.length": "1.85 m",
            "rows.1.count": "2",
            "body.board.width": "auto",
            "making.copies": "1",
        },
    ),
    "too few rows": (
        "light-target",
        {
            "rows.1.count": "4",
        },
    ),
    "narrow cover": (
        "cover-ripple",
        {
            "body.border": "{sheet: mdf, thickness: 12 mm, height: 8 mm}",
            "body.cover.gap": "auto",
        },
    ),
    "current limit too low": (
        "limit-load",
        {
            "chain.regulator.current_limit": "1 A",
        },
    ),
    "current limit too high": (
        "limit-range",
        {
            "chain.regulator.current_limit": "20 A",
        },
    ),
    "no fuse": (
        "no-fuse",
        {
            "chain.fuse": "none",
        },
    ),
    "cover without rim": (
        "cover-no-rim",
        {
            "body.border": "(left out)",
        },
    ),
    "resistors of the control by hand": (
        "control-low",
        {
            "chain.regulator.control.across_resistor": "100 ohm",
        },
    ),
    "pitch below the tape": (
        "pitch",
        {
            "rows.1.pitch": "6 mm",
        },
    ),
    "control that can't be": (
        "control-low",
        {
            "chain.regulator.control.track": "100 ohm",
            "chain.regulator.control.across_resistor": "none",
        },
    ),
    "row longer than the reel": (
        "row-reel",
        {
            "rows.1.length": "6 m",
            "rows.1.count": "1",
            "body.board.width": "auto",
        },
    ),
    "small switch": (
        "contact-current",
        {
            "chain.switch": "{like: switch-dc-6a, current: 1 A}",
        },
    ),
    "switch for a low voltage": (
        "contact-voltage",
        {
            "chain.switch": "{like: switch-dc-6a, voltage: 12 V}",
        },
    ),
    "fuse for a low voltage": (
        "fuse-voltage",
        {
            "chain.fuse": "{like: fuse-5x20, voltage: 12 V}",
        },
    ),
    "fuse that can't break a battery's short": (
        "fuse-breaking",
        {
            "supplies.1": "{battery: li-ion-6s-5ah}",
            "chain.connector": "connector-shrouded-30a",
            "chain.cut_off": "built in",
            "chain.cut_off.trips_at": "18.5 V",
        },
    ),
    "dark": (
        "tape-dark",
        {
            "chain.regulator.output": "5 V to 8 V",
        },
    ),
    "box too shallow": (
        "box-temperature",
        {
            "body.enclosure.depth": "40 mm",
            "use.ambient": "15 °C to 40 °C",
        },
    ),
    "box larger than the board": (
        "box-too-large",
        {
            "body.enclosure.width": "500 mm",
        },
    ),
}


@pytest.fixture(scope="module")
def places(demo: Fixture, variations: Mapping[str, Any]) -> dict[str, Design]:
    """Designs of all variations, and of those made bad, with their mends tried."""
    # All of them take minutes.
    some = [*variations.items()][:: 1 if os.environ.get("GUIDEGEN_THOROUGH") else 5]
    changes = {name: item.get("change", {}) for name, item in some}
    changes |= {name: change for name, (_, change) in BAD.items()}
    return {name: settle(changed(demo, change)) for name, change in changes.items()}


def same(other: Finding, finding: Finding) -> bool:
    """Whether both judge the same thing."""
    which = ("conductor", "contact", "lead")
    return other.id == finding.id and all(
        other.names.get(word) == finding.names.get(word) for word in which
    )


def mended(design: Design, mend: Mend) -> Design:
    return settle(changed(design.fixture, mend.changes), mends=False)


def troubles(design: Design, finding: Finding, mend: Mend) -> list[str]:
    """What a mend promises and does not keep."""
    after = mended(design, mend)
    left = [other for other in after.findings if same(other, finding) and not holds(other)]
    stops = [{f.id for f in d.findings if f.level == "stop"} for d in (after, design)]
    found = [] if after.complete else ["nothing can be computed"]
    if any(other.level == finding.level for other in left):
        found.append("still there")
    if left and any(not _left(design, finding, other) for other in finding.mends):
        found.append("half a mend beside a whole one")
    if stops[0] - stops[1]:
        found.append(f"new stops {sorted(stops[0] - stops[1])}")
    if finding.found is not None and mend.effect is None and finding.found.name in after.values:
        found.append("no effect")
    if mend.effect is not None:
        now = after.values.get(mend.effect.name)
        shown = [f.found for f in after.findings if same(f, finding)] or [now]
        if shown[0] is None or str(shown[0]) != str(mend.effect) or shown[0].si != mend.effect.si:
            found.append(f"promised {mend.effect}, is {shown[0]}")
    return found


def _left(design: Design, finding: Finding, mend: Mend) -> bool:
    after = mended(design, mend)
    return any(same(other, finding) and not holds(other) for other in after.findings)


def every_mend(places: Mapping[str, Design]) -> list[tuple[str, Finding, Mend]]:
    return [
        (name, finding, mend)
        for name, design in places.items()
        for finding in design.findings
        for mend in finding.mends
    ]


def test_every_mend_keeps_its_promise(places: dict[str, Design]) -> None:
    mends = every_mend(places)
    assert len(mends) > 60
    assert len({finding.id for _, finding, _ in mends}) > 20
    found = {
        f"{name}: {finding.id} {dict(mend.changes)}": trouble
        for name, finding, mend in mends[::8]  # the others are tried alike
        if (trouble := troubles(places[name], finding, mend))
    }
    assert found == {}


@pytest.mark.parametrize("name", BAD)
def test_what_is_made_bad_is_found_and_can_be_mended(
    name: str, places: dict[str, Design], demo: Fixture
) -> None:
    id, _ = BAD[name]
    mine = [f for f in places[name].findings if f.id == id and not holds(f)]
    assert mine, f"{id} is not found"
    assert any(finding.mends for finding in mine), f"nothing mends {id}"
    assert all(holds(f) for f in settle(demo, mends=False).findings if f.id == id)


def test_what_holds_offers_no_mend(places: dict[str, Design]) -> None:
    held = [f for design in places.values() for f in design.findings if holds(f)]
    assert held
    assert [finding.id for finding in held if finding.mends] == []


def test_a_useless_mend_would_be_seen(places: dict[str, Design]) -> None:
    """Spoiled on purpose: the promise of one mend swapped for another change."""
    design = places["8 m of thin lead"]
    finding = next(f for f in design.findings if f.id == "lead-drop")
    assert finding.mends
    empty = Mend({"chain.lead.length": "8 m"}, finding.mends[0].effect)
    assert "still there" in troubles(design, finding, empty)


def test_a_mend_of_a_changed_fixture_keeps_the_other_changes(demo: Fixture) -> None:
    once = changed(demo, {"chain.lead.length": "8 m"})
    twice = settle(changed(once, {"chain.lead.size": "1.5 mm²"}), mends=False)
    assert twice.values["lead.length"].si == 8.0
    assert twice.values["lead.size"].si == 1.5e-6
