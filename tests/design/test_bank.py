"""A lead-acid bank as a supply, and the demonstration fixture on one: the boatshed's work bar."""

from __future__ import annotations

from pathlib import Path

import pytest

from guidegen.design import Design, Finding, settle
from guidegen.errors import SpecError
from guidegen.folders import folder
from guidegen.guide.bench import all_facts
from guidegen.guide.model import Guide
from guidegen.guide.spoil import survivors
from guidegen.road import guide_of
from guidegen.spec import catalogue_part, load
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

SPEC = Path(folder("templates").parent / "specs" / "boatshed-work-bar.yaml")


@pytest.fixture(scope="module")
def bar() -> Fixture:
    return load(SPEC)


@pytest.fixture(scope="module")
def design(bar: Fixture) -> Design:
    return settle(bar)


@pytest.fixture(scope="module")
def guide(design: Design) -> Guide:
    made = guide_of(SPEC, design)
    assert isinstance(made, Guide)
    return made


def finding(fixture: Fixture, id: str, mends: bool = False, **names: str) -> Finding:
    return next(
        f for f in settle(fixture, mends=mends).findings
        if f.id == id and all(f.names.get(key) == name for key, name in names.items())
    )  # fmt: skip


# --- the bank ---------------------------------------------------------------------------------
def test_catalogue_bank_is_a_plausible_lead_acid_bank() -> None:
    bank = catalogue_part("lead-acid-24v-100ah")
    # Rest when full, of six cells: 12.6 V to 12.73 V by source and density of the acid; a cell is
    # its specific gravity + 0.84 V, so 1.265 gives 2.105 V. Twelve cells here.
    assert 2 * 12.6 <= bank["rest"].si <= 2 * 12.73
    assert bank["rest"].si == pytest.approx(12 * (1.265 + 0.84), abs=0.2)
    # Absorption 2.40 V and equalising 2.55 V to 2.65 V a cell: usual charger data, from memory.
    assert bank["absorption"].si / 12 == pytest.approx(2.40, abs=0.05)
    assert 2.5 <= bank["equalising"].si / 12 <= 2.67
    # Empty: 1.75 V a cell, the end of a 20-hour discharge.
    assert bank["empty_voltage"].si == pytest.approx(12 * 1.75)


def test_the_window_of_a_bank_ends_at_equalising(bar: Fixture, design: Design) -> None:
    values = {name: value.si for name, value in design.values.items()}
    assert values["supply.highest"] == 31.0
    # The cut-off opens at 20.7 V or above; the bank is empty at 21 V.
    assert values["supply.lowest"] == 21.0
    high_cut_off = changed(bar, {"supplies.1.chain.cut_off.trips_at": "22.5 V ± 0.3 V"})
    assert settle(high_cut_off, mends=False).values["supply.lowest"].si == pytest.approx(22.2)
    without = "{like: lead-acid-24v-100ah, equalising: 29 V}"
    found = settle(changed(bar, {"supplies.1.bank": without}), mends=False).values
    assert found["supply.highest"].si == 29.0


def test_a_bank_is_read_at_its_rest(bar: Fixture, design: Design) -> None:
    reading, rest = (design.values[name] for name in ("supply.reading", "battery.rest"))
    assert reading.si == rest.si == 25.4
    # Still falling from absorption is no fault; 11 V a block, at rest, is: such blocks are flat
    # or have a dead cell (from memory).
    assert reading.si + reading.spread == pytest.approx(28.8)
    assert reading.si - reading.spread == pytest.approx(2 * 11.0)


def test_a_module_for_35_v_is_no_good_at_31_v(bar: Fixture) -> None:
    assert finding(bar, "bank-input").level == "holds"
    small = changed(bar, {"chain.regulator": "{like: step-down-36v-8a, input_high: 35 V}"})
    told = finding(small, "bank-input", mends=True)
    # Four fifths of the rating in use: 31 V / 0.8 = 38.75 V.
    assert told.required is not None
    assert told.required.si == pytest.approx(38.75)
    assert told.level == "stop"
    assert finding(small, "regulator-input").level == "holds"
    (mend,) = told.mends
    after = settle(changed(small, mend.changes), mends=False)
    assert after.values["regulator.input_high"].si >= 38.75
    assert not after.stops


def test_a_plain_blade_fuse_at_a_bank_is_mended_by_a_bolted_one(bar: Fixture) -> None:
    blade = changed(bar, {"supplies.1.chain.fuse": "fuse-blade-58v"})
    told = finding(blade, "fuse-breaking", mends=True)
    assert told.level == "stop"
    # 3000 A ± 50 %: what breaks must break the upper end.
    assert told.found is not None
    assert told.found.si == pytest.approx(4500)
    (mend,) = told.mends
    after = settle(changed(blade, mend.changes), mends=False)
    assert next(c.chosen for c in after.choices if c.id == "fuse.part").startswith(
        "Fuse link with bolted tags"
    )
    assert after.facts["fuse_bolted"]


@pytest.mark.parametrize(
    ("changes", "id", "names"),
    [
        ({"chain.switch": "switch-dc-6a"}, "contact-voltage", {"contact": "switch"}),
        ({"chain.connector": "barrel-5525"}, "contact-voltage", {"contact": "connector"}),
        ({"supplies.1.chain.cut_off": "cut-off-12v-20a"}, "contact-voltage",
         {"contact": "cut_off"}),
        ({"supplies.1.chain.fuse": "{like: fuse-bolt-70v, voltage: 30 V}"}, "fuse-voltage", {}),
        ({"chain.regulator": "none", "rows.1.tape": "tape-24v-14w-cri90"}, "direct-voltage", {}),
        ({"chain.regulator": "none", "rows.1.tape": "tape-24v-14w-cri90"}, "pulse-voltage", {}),
        ({"supplies.1.bank": "{like: lead-acid-24v-100ah, rest: 29 V}"}, "bank-voltages", {}),
    ],
)  # fmt: skip
def test_what_is_rated_below_equalising_stops(
    bar: Fixture, changes: dict[str, str], id: str, names: dict[str, str]
) -> None:
    assert finding(changed(bar, changes), id, **names).level == "stop"


def test_only_one_kind_of_supply(bar: Fixture) -> None:
    with pytest.raises(SpecError, match="'battery' and 'bank' are both here"):
        changed(bar, {"supplies.1.battery": "auto"})


# --- the boatshed's work bar ------------------------------------------------------------------
def test_the_bar_can_be_built_and_its_numbers_agree_with_a_hand_calculation(
    design: Design,
) -> None:
    v = {name: value.si for name, value in design.values.items()}
    assert not design.stops
    # Two rows of 1.5 m at 14.4 W/m: 43.2 W and 3.6 A at 12 V; the stage adds its resistance of
    # 15 mohm and an idle current of 15 mA.
    assert v["panel.power"] == pytest.approx(43.2, rel=1e-3)
    assert v["panel.current"] == pytest.approx(3.6, rel=1e-3)
    loss = 3.6**2 * 0.015 + 12 * 0.015
    assert v["pulse_width.loss"] == pytest.approx(loss, rel=1e-3)
    # The regulator at 93 %, the bank at 21 V.
    amps = (43.2 + loss) / 0.93 / 21
    assert v["input.highest_current"] == pytest.approx(amps, rel=1e-3)
    assert v["fuse.least"] == pytest.approx(1.25 * amps, rel=1e-3)
    # IEC 60228, class 5, 2.5 mm²: 7.98 ohm/km at 20 °C; 8 m there and back.
    assert v["lead.drop"] == pytest.approx(amps * 16 * 7.98e-3, rel=2e-3)
    # 24 V · 100 Ah, half of it, through 93 %.
    assert v["battery.run_time"] == pytest.approx(2400 * 0.5 * 0.93 / (43.2 + loss), rel=1e-3)


def test_its_advice_is_what_a_maker_would_give(design: Design) -> None:
    advice = {f.id for f in design.findings if f.level == "advice" and not f.names.get("kept")}
    assert advice <= {"damp", "metal-near-rails", "board-temperature", "touch-temperature",
                      "insulation-warm"}  # fmt: skip
    assert "damp" in advice


def test_its_guide_brings_the_bank_last(guide: Guide) -> None:
    order = [step.id for step in guide.steps]
    assert order.index("bank-read") < order.index("sheets-cut")
    assert order.index("light-closed") < order.index("bank-joined") < order.index("burnt-in")
    assert order.index("underlays-stuck") < order.index("rows-stuck")
    texts = {step.id: step.body for step in guide.steps}
    assert "charger" in texts["bank-read"]
    joined = texts["bank-joined"]
    # Isolate first, the fuse last.
    assert joined.index("isolator") < joined.index("lug of the red wire") < joined.index("studs")


def test_a_slip_that_can_hurt_is_found_in_it(guide: Guide) -> None:
    facts = all_facts({**guide.design.facts, "stops": False}, guide.design.values)
    kinds = {"power-first", "insulation-late", "reversed", "joint-forgotten", "part-forgotten",
             "dropped", "doubled", "swapped"}  # fmt: skip
    left = survivors(guide.design.model, guide.steps, facts)
    assert [str(one) for one in left if one.kind in kinds] == []


def test_its_pages_warn_of_what_a_bank_can_do(guide: Guide) -> None:
    pages = {page.uri.removesuffix(".md"): str(page.markdown) for page in guide.pages}
    for title in ("Gas and acid of a lead-acid battery", "Short circuit",
                  "A pole that is switched", "A turning blade that looks still"):  # fmt: skip
        assert title in pages["safety"], title
    assert "4500" in pages["safety"]
    assert "31.0" in pages["index"]


def test_no_module_hangs_on_half_a_millimetre_of_screw(design: Design) -> None:
    # In the 6 mm floor of the box a screw holds by its own diameter of 3 mm or more (common
    # practice, no source), or the standoffs are stuck.
    if design.facts["standoff_screwed"]:
        assert 0.003 <= design.values["standoff.pilot_depth"].si < 0.006


def test_fault_finding_speaks_of_a_bank_and_not_of_a_pack(guide: Guide) -> None:
    """A wired bank has no plug of a maker's, no rating plate and no protection board."""
    said = " ".join(
        f"{cause.cause} {cause.test} {cause.expect} {cause.action} {cause.retest}"
        for fault in guide.faults
        for cause in fault.causes
        if fault.id in ("supply-wrong", "supply-off", "no-light", "early-cut-off")
    )
    for word in ("rating plate", "protection board", "Replace it.", "replace the battery",
                 "Replace the battery", "whoever supplied it"):  # fmt: skip
        assert word not in said, word
    assert "whoever keeps the bank" in said
