"""What was measured: what is read, whose figures it replaces, and what is told."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from guidegen.spec import Fixture
from guidegen.spec.canonical import canonical

Read = Callable[[str], Fixture]
Faults = Callable[[str], list[str]]

REGULATED = "chain:\n  - regulator: auto\n    output: 8 V to 11.5 V\n"


def item(more: str, of: str = "rows.1.tape") -> str:
    return f"measured:\n  - {{of: {of}, date: 2026-02-14, {more}}}\n"


def test_a_figure_replaces_the_labels(read: Read, short: str) -> None:
    tape = read(short + item("power: 9.1 W/m ± 2 %, meter: 0.5 %, flux: 900 lm/m")).rows.tape
    assert (tape["power"].si, tape["power"].spread) == (9.1, pytest.approx(0.182))
    # A figure without a band has the meter's.
    assert (tape["flux"].si, tape["flux"].spread) == (900, pytest.approx(4.5))
    assert tape["power"].source == "shelf-light.yaml:11 (measured on 2026-02-14)"
    assert tape["power"].place is not None
    assert (tape["power"].place.line, tape.key) == (11, "tape-12v-10w-cri95")
    assert tape["voltage"].source.startswith("catalogue")


def test_figures_go_over_those_of_the_spec(read: Read, short: str) -> None:
    own = short.replace("tape: tape-12v-10w-cri95", "tape: {like: tape-12v-10w-cri95, power: 9 W/m,"
                        " flux: 800 lm/m}")  # fmt: skip
    tape = read(own + item("power: 9.1 W/m (bench of 2026)")).rows.tape
    assert (tape["power"].si, tape["flux"].si) == (9.1, 800)
    assert tape["power"].source == "shelf-light.yaml:11 (bench of 2026)"


def test_ends_of_an_output(read: Read, short: str) -> None:
    text = short + REGULATED + item("lowest: 7.92 V, highest: 11.61 V, meter: 0.5 %",
                                    "chain.regulator")  # fmt: skip
    stage = next(one for one in read(text).chain if one.kind == "regulator")
    assert (stage.output_low.si, stage.output_high.si) == (7.92, 11.61)  # type: ignore[union-attr]
    assert stage.output_high.spread == pytest.approx(0.05805)  # type: ignore[union-attr]


def test_readings_count_in_what_a_spec_says(read: Read, short: str) -> None:
    texts = [short, *(short + item(f"length: 1 m, points: [{point} at 12 V]")
                      for point in ("0.8 A", "800 mA", "810 mA"))]  # fmt: skip
    plain = [canonical(read(text)) for text in texts]
    assert plain[1] == plain[2]
    assert plain[0] != plain[1] != plain[3]


WRONG = [
    ("length: 1 m, points: [402 mA]",
     "measured.1.points.1: '402 mA' is no pair of readings. Accepted: a current at a voltage"),
    ("length: 1 m, points: [402 mA at 10 A]",
     "measured.1.points.1: '10 A' is a current, not a voltage"),
    ("length: 1 m, points: []", "measured.1.points: this is no list of 1 to 40 readings"),
    ("points: [402 mA at 10 V]", "measured.1: 'length' is missing: of which piece is 'points'?"),
    ("length: 1 m, lux: 300 lx", "measured.1.lux: '300 lx' is no pair of readings"),
    ("powr: 9 W/m", "measured.1: unknown figure 'powr' of an LED tape. Accepted: "),
    ("power: 9 V", "measured.1.power: '9 V' is a voltage, not a power per metre"),
    ("power: [1]", "measured.1.power: a list or map stands here"),
    ("meter: 30 %, power: 9 W/m", "measured.1.meter: '30 %' is out of range. Accepted: 0.01 %"),
    ("lowest: 8 V, highest: 9 V", "measured.1.lowest: 'lowest' and 'highest' are ends of a"),
]  # fmt: skip


@pytest.mark.parametrize(("more", "said"), WRONG, ids=[more for more, _ in WRONG])
def test_one_slip(faults: Faults, short: str, more: str, said: str) -> None:
    told = faults(short + item(more))
    assert said in told[0]
    assert told[0].startswith("shelf-light.yaml:11:")


def test_a_part_that_is_not_there(faults: Faults, short: str) -> None:
    told = faults(short + item("power: 9 W/m", "rows.1.tap"))
    assert told == ["shelf-light.yaml:11:10: measured.1.of: 'rows.1.tap' is no part of this spec."
                    " Accepted: rows.1.tape, supplies.adapter. Did you mean"
                    " 'rows.1.tape'?"]  # fmt: skip
    auto = short.replace("adapter-15v-30w", "auto")
    assert "'supplies.adapter' is 'auto'" in faults(
        auto + item("voltage: 15.1 V", "supplies.adapter"))[0]  # fmt: skip
    regulator = short + REGULATED
    assert "'length' belongs to a tape" in faults(
        regulator + item("length: 1 m, points: [1 A at 9 V]", "chain.regulator"))[0]  # fmt: skip
    assert "'highest' is missing" in faults(
        regulator + item("lowest: 8 V", "chain.regulator"))[0]  # fmt: skip


def test_measured_twice(faults: Faults, short: str) -> None:
    twice = item("power: 9 W/m") + item("power: 8 W/m").removeprefix("measured:\n")
    assert "'power' of 'rows.1.tape' is measured twice" in faults(short + twice)[0]
