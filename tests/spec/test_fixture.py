"""What a good spec becomes."""

import datetime
import math
from collections.abc import Callable
from pathlib import Path

import pytest

from guidegen.spec import AUTO, Auto, Fixture, load, starter
from guidegen.spec.stages import LeadStage, RegulatorStage
from guidegen.values import Given

SPECS = Path(__file__).parents[2] / "specs"

Read = Callable[[str | bytes], Fixture]


@pytest.fixture(scope="module")
def light() -> Fixture:
    return load(SPECS / "herbarium-copy-light.yaml")


def stage(fixture: Fixture, kind: str) -> object:
    return next(stage for stage in fixture.chain if stage.kind == kind)


def test_demo_is_read_whole(light: Fixture) -> None:
    assert light.file == "herbarium-copy-light.yaml"
    assert light.fixture.name == "Herbarium copy light"
    assert light.revisions[0].date == datetime.date(2026, 11, 20)
    assert light.use.faces.tilt.si == pytest.approx(math.pi / 4)
    assert (light.use.ambient_low.si, light.use.ambient_high.si) == (288.15, 303.15)
    assert [place.name for place in light.light.placed] == ["left light", "right light"]
    assert light.light.evenness is not None
    assert light.light.evenness.si == 0.8
    assert light.rows.tape["power"].si == 9.6
    assert light.rows.fed_from == "opposite ends"
    assert light.wiring.rail.key == "bare-copper"
    assert light.wiring.jumper_size is AUTO
    assert light.supply.kind == "adapter"
    assert [stage.kind for stage in light.chain] == [
        "connector", "lead", "fuse", "switch", "regulator", "feed",
    ]  # fmt: skip
    assert light.body.border is not None
    assert light.body.border.sheet is None
    assert light.body.cover is not None
    assert light.body.cover.sheet["transmittance"].si == 0.7
    assert light.making.copies.si == 8
    assert light.making.stock[0].currency == "EUR"


def test_a_value_knows_its_line_and_its_words(light: Fixture) -> None:
    count = light.rows.count
    assert isinstance(count, Given)
    assert count.name == "row.count"
    assert count.place is not None
    lines = (SPECS / light.file).read_text(encoding="utf-8").splitlines()
    assert lines[count.place.line - 1][count.place.column - 1 :].startswith("12")
    assert count.source == f"{light.file}:{count.place.line}"
    assert count.written == "12"


def test_a_catalogue_figure_knows_its_entry(light: Fixture) -> None:
    assert light.rows.tape["power"].source == "catalogue tape-12v-10w-cri95 (label)"
    assert light.rows.tape["power"].spread == pytest.approx(0.96)


def test_bounds_of_auto(light: Fixture) -> None:
    assert light.body.cover is not None
    gap = light.body.cover.gap
    assert isinstance(gap, Auto)
    assert gap.low is not None
    assert gap.low.si == 0.02
    assert gap.high is None


def test_regulator_output(light: Fixture) -> None:
    regulator = stage(light, "regulator")
    assert isinstance(regulator, RegulatorStage)
    assert (regulator.output_low.si, regulator.output_low.spread) == (7.5, 0.3)
    assert (regulator.output_high.si, regulator.output_high.spread) == (11.8, 0.2)
    assert regulator.control is not None
    assert regulator.control.joins == "in place of fixed resistor"


def test_all_names_of_values_differ(light: Fixture) -> None:
    found: list[str] = []

    def visit(item: object) -> None:
        if isinstance(item, Given):
            found.append(item.name)
        elif hasattr(item, "figures"):
            found.extend(figure.name for figure in item.figures.values())
        elif isinstance(item, tuple):
            for entry in item:
                visit(entry)
        elif hasattr(type(item), "model_fields"):
            for name in type(item).model_fields:
                if name != "stands":  # their values are those of `placed`
                    visit(getattr(item, name))

    visit(light)
    assert len(found) > 100
    assert sorted(found) == sorted(set(found))


def test_short_spec_is_filled_with_auto(read: Read, short: str) -> None:
    fixture = read(short)
    assert [stage.kind for stage in fixture.chain] == [
        "connector", "lead", "fuse", "switch", "feed",
    ]  # fmt: skip
    assert all(stage.part is AUTO for stage in fixture.chain)
    assert fixture.chain[0].path == "chain.connector"
    assert str(fixture.chain[0].place) == "shelf-light.yaml"
    assert fixture.body.cover is None
    assert fixture.revisions[0].revision == "draft"
    assert fixture.light.distance.si == 1
    assert fixture.light.distance.source == "default"
    assert [place.side for place in fixture.light.placed] == ["front"]
    assert fixture.light.placed[0].distance is fixture.light.distance
    assert fixture.limits.row_drop.source == "project default"
    assert "from memory" in fixture.limits.touch_temperature.source
    assert fixture.use.run_time is None


def test_left_out_stages_stand_where_the_current_meets_them(read: Read, short: str) -> None:
    text = short + "chain:\n  - switch: auto\n  - regulator: auto\n    output: 12 V\n"
    kinds = [stage.kind for stage in read(text).chain]
    assert kinds == ["connector", "lead", "fuse", "switch", "regulator", "feed"]


def test_none_is_not_there(read: Read, short: str) -> None:
    kinds = [s.kind for s in read(short + "chain: [{fuse: none}, {feed: none}]\n").chain]
    assert kinds == ["connector", "lead", "switch"]


def test_fuse_at_the_battery_is_not_doubled(read: Read, short: str) -> None:
    text = short.replace(
        "- adapter: adapter-15v-30w",
        "- battery: lifepo4-4s-20ah\n    chain: [{fuse: fuse-blade-58v, rating: 15 A}, "
        "{cut_off: built in, trips_at: 11.2 V}]",
    )
    fixture = read(text)
    assert fixture.supply.kind == "battery"
    assert [stage.kind for stage in fixture.supply.chain] == ["fuse", "cut_off"]
    assert fixture.supply.chain[1].built_in  # type: ignore[union-attr]
    assert "fuse" not in [stage.kind for stage in fixture.chain]


def test_second_lead_has_its_own_names(read: Read, short: str) -> None:
    text = short + (
        "chain:\n  - {lead: twin-flex, size: 2.5 mm²}\n"
        "  - {lead: twin-flex, size: 1 mm², length: auto at most 2 m}\n"
    )
    first, second = (one for one in read(text).chain if isinstance(one, LeadStage))
    assert isinstance(first.size, Given)
    assert isinstance(second.size, Given)
    assert (first.size.name, second.size.name) == ("lead.size", "lead_2.size")
    assert not isinstance(second.part, Auto)
    assert second.part["temperature"].name == "lead_2.temperature"
    assert isinstance(second.length, Auto)
    assert second.length.high is not None
    assert second.length.high.name == "lead_2.length_high"


def test_one_output_is_one_object(read: Read, short: str) -> None:
    fixture = read(short + "chain: [{regulator: auto, output: 12 V ± 0.1 V}]\n")
    regulator = stage(fixture, "regulator")
    assert isinstance(regulator, RegulatorStage)
    assert regulator.output_low is regulator.output_high
    assert regulator.control is None


def test_a_span_has_a_control(read: Read, short: str) -> None:
    fixture = read(short + "chain: [{regulator: auto, output: 8 V to 11 V}]\n")
    regulator = stage(fixture, "regulator")
    assert isinstance(regulator, RegulatorStage)
    assert regulator.control is not None
    assert regulator.control.part.key == "potentiometer-16mm"
    assert regulator.control.track is AUTO


def test_like_keeps_the_tolerance(read: Read, short: str) -> None:
    text = short.replace(
        "tape: tape-12v-10w-cri95", "tape: {like: tape-12v-10w-cri95, power: 8 W/m (measured)}"
    )
    power = read(text).rows.tape["power"]
    assert power.si == 8
    assert power.spread == pytest.approx(0.8)  # the catalogue's 10 %
    assert power.source == "shelf-light.yaml:4 (measured)"


def test_nearest_part_wins(tmp_path: Path, short: str) -> None:
    spec = tmp_path / "shelf-light.yaml"
    own = "tape-12v-10w-cri95: {like: tape-24v-10w-cri90, label: Own}\n"
    (tmp_path / "own-parts.yaml").write_text(own.replace("Own", "From the file"))
    spec.write_text(short)
    tape = load(spec).rows.tape
    assert (tape.label, tape.home, tape.replaces) == ("From the file", "own parts file", True)
    spec.write_text(short + "parts:\n  " + own.replace("Own", "From the spec"))
    tape = load(spec).rows.tape
    assert (tape.label, tape.home, tape.replaces) == ("From the spec", "spec", True)


def test_exposure_in_place_of_target(read: Read, short: str) -> None:
    text = short + "light:\n  exposure: {aperture: f/8, shutter: 1/60 s, sensitivity: ISO 200}\n"
    exposure = read(text).light.exposure
    assert exposure is not None
    assert exposure.aperture.si == 8
    assert exposure.shutter.si == pytest.approx(1 / 60)
    assert exposure.sensitivity.si == 200
    values = (exposure.aperture, exposure.shutter, exposure.sensitivity)
    assert [value.name for value in values] == [
        "light.aperture", "light.shutter", "light.sensitivity",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("word", "degrees"),
    [("sideways", 0), ("down", 90), ("up", -90), ("45 ° down", 45), ("30° up", -30)],
)
def test_faces(read: Read, short: str, word: str, degrees: float) -> None:
    faces = read(f"{short}use: {{faces: {word}}}\n").use.faces
    assert math.degrees(faces.tilt.si) == pytest.approx(degrees)


@pytest.mark.parametrize("name", ["Shelf light", "Anna's: #1", "12:30", "no", "Täfelchen Ω", '"x"'])
def test_starter_builds_under_any_name(read: Read, name: str) -> None:
    text = starter(name)
    first, *_ = text.splitlines()
    assert first == "# yaml-language-server: $schema=fixture-spec.schema.json"
    assert "guidegen schema" in text
    assert read(text).fixture.name == name


def test_fixture_is_frozen(light: Fixture) -> None:
    with pytest.raises(ValueError, match="frozen"):
        light.rows = light.rows  # type: ignore[misc]


def test_stock_is_named_by_its_number(light: Fixture) -> None:
    stock = light.making.stock[0]
    assert stock.length is not None
    assert stock.length.name == "stock_1.length"
    assert stock.part["reel"].name == "stock_1.reel"


def test_series_are_named_for_their_place(light: Fixture) -> None:
    assert [value.name for value in light.body.board.sheet.thicknesses] == [
        "board.thicknesses.1", "board.thicknesses.2", "board.thicknesses.3",
    ]  # fmt: skip
