"""What was measured on the tape decides, and its label is compared with it."""

from __future__ import annotations

import pytest

from guidegen.design import Design, settle
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

LABEL = 9.6  # W/m, on the demonstration's tape


def measured(demo: Fixture, more: str) -> Design:
    text = f"[{{of: rows.1.tape, date: 2026-11-20, {more}}}]"
    return settle(changed(demo, {"measured": text}), mends=False)


def levels(design: Design) -> dict[str, str]:
    return {one.id: one.level for one in design.findings if one.id.startswith("sample")}


def test_a_reading_at_the_labels_voltage(demo: Fixture) -> None:
    """500 mm at 12 V: what its tracks lose, by hand, on 20 groups of 25 mm.

    Group k carries 1/20 of 0.420 A; 160 mΩ/m in both tracks lose 0.420 · 0.16 · 0.5 · 2/3 V in the
    mean, 22 mV of the 3.45 V over the resistor (LEDs of 2.85 V): 0.65 % of the current. A meter
    that is 0.5 % off moves 12 V by 60 mV, which is 1.66 % of the same 3.45 V and a diode's 0.15 V.
    """
    design = measured(demo, "meter: 0.5 %, length: 500 mm, points: [420 mA at 12 V]")
    power = design.values["tape.power"]
    assert power.si == pytest.approx(0.42 * 12 / 0.5 * 1.0058, rel=1e-3)
    assert power.spread == pytest.approx((0.005**2 + 0.0166**2) ** 0.5 * power.si, rel=0.03)  # type: ignore[attr-defined]
    assert levels(design) == {"sample-law": "holds", "sample-label": "holds"}
    label = settle(demo, mends=False).values
    ratio = power.si / LABEL
    for name in ("panel.current", "network.current", "panel.power"):
        assert design.values[name].si / label[name].si == pytest.approx(ratio, rel=4e-3), name


def test_the_band_of_the_current_shrinks(demo: Fixture) -> None:
    points = "points: [34 mA at 8.5 V, 190 mA at 10 V, 297 mA at 11 V, 402 mA at 12 V]"
    found = measured(demo, f"meter: 0.5 %, length: 500 mm, {points}").values
    before = settle(demo, mends=False).values
    within = "network.current_within"
    assert found[within].si < 0.8 * before[within].si


def test_a_tape_that_is_not_what_its_label_says(demo: Fixture) -> None:
    design = measured(demo, "length: 500 mm, points: [300 mA at 12 V]")
    assert levels(design)["sample-label"] == "advice"


def test_a_tape_of_another_law_is_refused(demo: Fixture) -> None:
    points = "points: [400 mA at 9 V, 400 mA at 10 V, 400 mA at 12 V]"
    assert levels(measured(demo, f"length: 500 mm, {points}"))["sample-law"] == "stop"


def test_light_of_a_piece(demo: Fixture) -> None:
    """A Lambertian line, far off: Φ = π·E·d², less what the drop takes from its groups."""
    design = measured(demo, "length: 100 mm, lux: 25 lx at 2 m")
    assert design.values["tape.flux"].si == pytest.approx(3.14159 * 25 * 4 / 0.1, rel=5e-3)
    assert design.facts["tape_light_sampled"]


@pytest.mark.parametrize(
    ("more", "why"),
    [("length: 110 mm, points: [90 mA at 12 V]", "no whole number of cut increments"),
     ("length: 100 mm, points: [900 mA at 12 V]", "no tape of LEDs with resistors")],
)  # fmt: skip
def test_what_is_no_reading_of_this_tape_is_told(demo: Fixture, more: str, why: str) -> None:
    design = measured(demo, more)
    assert not design.complete
    assert [(one.id, one.level) for one in design.findings] == [("not-computable", "stop")]
    assert why in design.findings[0].names["why"]
