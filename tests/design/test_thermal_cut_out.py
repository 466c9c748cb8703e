"""The thermal cut-out: where it hangs, what it is judged by, and what the guide says of it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from guidegen.calc import protection
from guidegen.design import Design, Finding, settle
from guidegen.diagrams.schematic import schematic
from guidegen.errors import SpecError
from guidegen.guide.net import Net
from guidegen.road import guide_of
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

SPEC = Path(__file__).parents[2] / "specs" / "herbarium-copy-light.yaml"
BAR = SPEC.parent / "boatshed-work-bar.yaml"
KELVIN = 273.15


def with_cut_out(demo: Fixture, key: str = "thermal-cut-out-60c", **more: str) -> Fixture:
    changes = {f"chain.thermal_cut_out.{name}": text for name, text in more.items()}
    return changed(demo, {"chain.+thermal_cut_out": key, **changes})


def found(design: Design, id: str) -> list[Finding]:
    return [finding for finding in design.findings if finding.id == id]


def test_it_stands_in_the_positive_pole_before_the_regulator(demo: Fixture) -> None:
    model = settle(with_cut_out(demo), mends=False).model
    wires = [(w.start, w.end, w.polarity) for w in model.wires("link")]
    assert wires == [("F1:2", "Q1:1", "+"), ("Q1:2", "F2:1", "+"), ("F2:2", "T1:IN+", "+")]
    assert {t.key: t.polarity for t in model.terminals if t.part == "F2"} == {
        "F2:1": "+", "F2:2": "+",
    }  # fmt: skip
    # A break contact: closed while it is cold, whatever is set.
    assert list(Net(model).low("F2", ["F2:1", "F2:2"], ())) == [["F2:1", "F2:2"]]


def test_in_the_box_it_stands_in_the_air_and_on_the_board_it_touches(demo: Fixture) -> None:
    in_air = settle(with_cut_out(demo), mends=False).model
    touching = settle(with_cut_out(demo, touches="board"), mends=False).model
    back = -demo.body.board.thickness.si  # type: ignore[union-attr]
    for model, gap, holder in ((in_air, 0.01, "cut_out_standoff"), (touching, 0, "cut_out_pad")):
        (part,) = model.by_role("thermal_cut_out")
        assert part.solid is not None
        assert back - part.solid.high[2] == pytest.approx(gap)
        assert [p.on for p in model.by_role(holder)] == [part.on]
    assert not touching.by_role("cut_out_standoff")


def test_it_opens_above_what_is_warm_in_use_and_below_what_it_spares(demo: Fixture) -> None:
    design = settle(with_cut_out(demo), mends=False)
    (early,), (late,) = found(design, "cut-out-early"), found(design, "cut-out-late")
    # 60 °C less 3 °C, against the air of the box; 60 °C against the module's 65 °C.
    assert early.required is not None
    assert early.required.si == pytest.approx(57 + KELVIN)
    assert early.found is design.values["box.temperature"]
    assert late.required is design.values["regulator.highest_ambient"]
    assert late.found is design.values["thermal_cut_out.opens_at"]
    # 49 °C by the middle of the formulas, up to 65 °C by their scatter.
    assert (early.level, early.names["kept"]) == ("advice", False)


@pytest.mark.parametrize(
    ("opens", "early", "late"),
    [
        # The air of the box is at 48.8 °C, 65 °C by its scatter; the module bears 65 °C.
        ("48 °C ± 2 °C", "stop", True),
        ("62 °C ± 3 °C", "advice", True),
        ("62 °C ± 4 °C", "advice", "advice"),
        ("66 °C ± 1 °C", "holds", "stop"),
    ],
)
def test_its_tolerance_decides(demo: Fixture, opens: str, early: str, late: str | bool) -> None:
    part = f"{{like: thermal-cut-out-60c, opens_at: {opens}, closes_at: 40 °C ± 5 °C}}"
    design = settle(with_cut_out(demo, part), mends=False)
    assert found(design, "cut-out-early")[0].level == early
    (judged,) = found(design, "cut-out-late")
    # The module's own figure is from memory: kept, it is advice all the same.
    assert (judged.names["kept"] or judged.level) == late


def test_on_the_board_it_spares_the_tape_and_the_cover(demo: Fixture) -> None:
    design = settle(with_cut_out(demo, "thermal-cut-out-55c", touches="board"), mends=False)
    values = design.values
    assert [f.names["spares"] for f in found(design, "cut-out-late")] == ["board", "cover"]
    above = values["board.tape_temperature"].si - values["board.back_temperature"].si
    assert values["thermal_cut_out.tape_at_opening"].si == pytest.approx(55 + KELVIN + above)
    # By hand: 55 °C where the back would be at 49 °C and the tape at 71 °C is 77 °C at the tape.
    assert protection.at_opening(opens_at=328, spared=344, watched=322) == 350


def test_one_that_comes_too_late_is_mended_by_an_earlier_one(demo: Fixture) -> None:
    design = settle(with_cut_out(demo, "thermal-cut-out-80c"))
    (late,) = found(design, "cut-out-late")
    assert late.level == "stop"
    assert [mend.changes for mend in late.mends] == [
        {"chain.thermal_cut_out": "thermal-cut-out-55c"},
        {"chain.thermal_cut_out": "thermal-cut-out-60c"},
    ]


def test_its_contacts_are_judged_as_those_of_a_switch(demo: Fixture) -> None:
    weak = "{like: thermal-cut-out-60c, voltage: 12 V, current: 1 A}"
    design = settle(with_cut_out(demo, weak), mends=False)
    stops = {f.id for f in design.findings
             if f.level == "stop" and f.names.get("contact") == "thermal_cut_out"}  # fmt: skip
    assert stops == {"contact-voltage", "contact-current"}


def test_one_that_would_not_close_in_a_warm_room_is_told(demo: Fixture) -> None:
    cold = "{like: thermal-cut-out-60c, closes_at: 32 °C ± 5 °C}"
    design = settle(with_cut_out(demo, cold), mends=False)
    # The warmest room has 30 °C; 32 °C less 5 °C lies below.
    assert found(design, "cut-out-stays-open")[0].level == "advice"


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"body.enclosure": "(left out)", "chain.thermal_cut_out.touches": "enclosure"},
         "no box to watch"),
        ({"body.enclosure.side": "separate", "chain.thermal_cut_out.touches": "board"},
         "with the box beside the light, is not in this version"),
        ({"chain.+pulse_width": "thermal-cut-out-60c"}, "not a pulse-width stage"),
    ],
)  # fmt: skip
def test_what_can_not_be_is_refused(demo: Fixture, changes: dict[str, str], said: str) -> None:
    with pytest.raises(SpecError, match=said):
        changed(with_cut_out(demo), changes)


def test_behind_the_regulator_or_at_a_battery_it_is_refused(demo: Fixture) -> None:
    cut_out = "{thermal_cut_out: thermal-cut-out-60c}"
    regulator = "{regulator: step-down-36v-8a, output: 11.8 V}"
    with pytest.raises(SpecError, match="after the regulator is not in this version"):
        changed(demo, {"chain": f"[{regulator}, {cut_out}]"})
    battery = f"{{battery: li-ion-6s-5ah, chain: [{cut_out}]}}"
    with pytest.raises(SpecError, match="stays at the battery is not in this version"):
        changed(demo, {"supplies.1": battery})


def test_the_guide_reads_it_cold_before_it_is_wired(demo: Fixture) -> None:
    guide = guide_of(SPEC, settle(with_cut_out(demo), mends=False))
    order = [step.id for step in guide.steps]
    names = ("box-parts-in", "cut-out-fitted", "supply-side-wired", "polarity-read")
    assert [order.index(name) for name in names] == sorted(order.index(name) for name in names)
    step = next(step for step in guide.steps if step.id == "cut-out-fitted")
    reading = step.acts[0].reading
    assert reading is not None
    assert (reading.instrument, reading.holds, reading.probes) == (
        "ohms", "joined", (("F2:1", "F2:2"),),
    )  # fmt: skip
    assert "H48" in {caution.number for caution in guide.cautions.chosen}
    assert {"cut-out-open", "cut-out-trips"} <= {fault.id for fault in guide.faults}


def test_without_one_nothing_is_said_of_it(demo: Fixture) -> None:
    guide = guide_of(SPEC, settle(demo, mends=False))
    assert "cut-out-fitted" not in {step.id for step in guide.steps}
    assert not {"cut-out-open", "cut-out-trips"} & {fault.id for fault in guide.faults}
    assert "H48" not in {caution.number for caution in guide.cautions.chosen}


def test_the_schematic_shows_a_break_contact_with_its_temperature(demo: Fixture) -> None:
    figures = schematic(settle(with_cut_out(demo), mends=False))
    words = [re.sub(r"<[^>]+>", "", text) for figure in figures
             for text in re.findall(r"<text.*?</text>", figure.svg)]  # fmt: skip
    assert "F2" in words
    assert "60 °C" in [word.replace("\u00a0", " ") for word in words]
    assert "not drawn" not in " ".join(words)


def test_a_box_beside_the_light_holds_it_too() -> None:
    design = settle(with_cut_out(load(BAR), "thermal-cut-out-55c"), mends=False)
    assert not design.stops
    (part,) = design.model.by_role("thermal_cut_out")
    assert design.model.part(part.on).role == "bottom"
