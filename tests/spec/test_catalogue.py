"""Every catalogue part is complete, says where it comes from, and names no maker."""

import re

import pytest

from guidegen.spec import Part, catalogue, catalogue_part
from guidegen.spec.data_sheets import part_kinds

PARTS = [part for kind in part_kinds() for part in catalogue(kind)]
#: What spreads from piece to piece, so that a figure without a tolerance would be a lie.
SPREADS = {
    "tape": ("power", "forward_voltage", "flux", "track_resistance"),
    "adapter": ("voltage", "highest_current"),
    "battery": ("voltage", "full_voltage", "empty_voltage", "capacity", "usable",
                "short_circuit_current"),
    "cut_off": ("trips_at",),
    "thermal_cut_out": ("opens_at", "closes_at", "width", "height", "depth"),
    "regulator": ("dropout", "efficiency", "reference", "fixed_resistor", "trimmer",
                  "idle_current", "width", "height", "depth"),
    "sheet": ("conductivity", "density", "emissivity", "expansion"),
    "bar": ("density", "width", "thickness"),
    "insert": ("hole", "length"),
    "coat": ("drying", "coverage"),
    "film": ("width", "emissivity"),
}  # fmt: skip
#: A printed rating or a gate of a standard is exact; so is a size on a label.
SOURCES = re.compile(r"common practice, no publication|from memory|label|IEC|ISO")


def named(part: Part) -> str:
    return part.key


@pytest.mark.parametrize("part", PARTS, ids=named)
def test_says_what_it_is_typical_of_and_where_from(part: Part) -> None:
    assert part.label
    assert len(part.typical_of) > 4
    assert SOURCES.search(part.source)
    for figure in part.figures.values():
        assert SOURCES.search(figure.source), figure.name


@pytest.mark.parametrize("part", PARTS, ids=named)
def test_what_spreads_has_a_tolerance(part: Part) -> None:
    for name in SPREADS.get(part.kind, ()):
        assert part[name].spread > 0, name
    if "transmittance" in part.figures:
        assert part["transmittance"].spread > 0


@pytest.mark.parametrize("part", PARTS, ids=named)
def test_every_figure_of_its_kind_is_there(part: Part) -> None:
    sheet = part_kinds()[part.kind]
    for name, figure in sheet.figures.items():
        if figure.needed:
            assert part[name].si is not None
    for name, word in sheet.words.items():
        assert not word.needed or part.words[name]


def test_figures_that_must_fit_each_other() -> None:
    for tape in catalogue("tape"):
        # Common practice, no source: a group's LEDs leave room for its resistor.
        group = tape["leds_per_group"].si * tape["forward_voltage"].si
        assert 0.5 * tape["voltage"].si < group < 0.95 * tape["voltage"].si
        assert tape["highest_voltage"].si == pytest.approx(1.05 * tape["voltage"].si)
        assert "common practice" in tape["highest_voltage"].source
    for adapter in catalogue("adapter"):
        product = adapter["voltage"].si * adapter["current"].si
        assert product == pytest.approx(adapter["power"].si, rel=0.01)
        assert adapter["highest_current"].si > adapter["current"].si
        assert catalogue_part(adapter.words["plug"]).kind == "connector"
    for battery in catalogue("battery"):
        ends = (battery["empty_voltage"].si, battery["voltage"].si, battery["full_voltage"].si)
        assert ends == tuple(sorted(ends))
    for insert in catalogue("insert"):
        plate, flat = insert.get("plate"), insert.get("plate_thickness")
        assert (plate is None) is (flat is None)
        if plate is not None and flat is not None:
            assert insert["hole"].si < plate.si
            assert flat.si <= insert["length"].si
            assert plate.spread > 0
            assert flat.spread > 0
    for cut_out in catalogue("thermal_cut_out"):
        opens, closes = cut_out["opens_at"], cut_out["closes_at"]
        assert closes.si + closes.spread < opens.si - opens.spread
    for fuse in catalogue("fuse"):
        assert fuse["carries"].si < fuse["opens"].si
    for regulator in catalogue("regulator"):
        # The divider must reach the module's own highest output.
        reach = regulator["reference"].si * (
            1 + regulator["trimmer"].si / regulator["fixed_resistor"].si
        )
        assert reach > 11.4  # 10 kΩ over 1.2 kΩ from 1.23 V: 11.48 V


def test_there_is_a_choice_of_each_kind() -> None:
    assert {part.kind for part in PARTS} == set(part_kinds())
    for kind, least in (("tape", 6), ("adapter", 7), ("battery", 4), ("connector", 3),
                        ("conductor", 4), ("fuse", 2), ("switch", 2), ("regulator", 3),
                        ("sheet", 5), ("bar", 3), ("insert", 2)):  # fmt: skip
        assert len(catalogue(kind)) >= least, kind


def test_values_of_the_brief() -> None:
    # Common practice, no source: what the demonstration rests on.
    module = catalogue_part("step-down-36v-8a")
    assert (module["reference"].si, module["fixed_resistor"].si) == (1.23, 1200)
    assert module["reference"].spread == pytest.approx(0.02 * 1.23)
    assert module["current"].si == 5
    assert module.words["trimmer_leg"] == "upper"
    assert module.get("limit_high") is not None
    assert catalogue_part("step-down-35v-3a").get("limit_high") is None
    assert [track.si for track in catalogue_part("potentiometer-16mm").tracks] == [
        1e3, 2e3, 5e3, 1e4, 2e4, 5e4, 1e5,
    ]  # fmt: skip
    mdf = catalogue_part("mdf")
    assert [thickness.si for thickness in mdf.thicknesses] == [0.006, 0.009, 0.012]
    assert (mdf.sizes[0][0].si, mdf.sizes[0][1].si) == (0.6, 1.2)


def test_fuse_gates() -> None:
    # IEC 60127-2, quick-acting: 1.5 In at least 60 min, 2.1 In at most 30 min.
    fuse = catalogue_part("fuse-5x20")
    assert (fuse["carries"].si, fuse["opens"].si) == (1.5, 2.1)


def test_figures_are_named_for_their_place() -> None:
    part = catalogue_part("twin-flex")
    figures = part.named("lead_2").figures.values()
    names = {figure.name for figure in figures}
    assert names == {"lead_2.cores", "lead_2.temperature", "lead_2.coil"}


def test_unknown_kind_or_key() -> None:
    with pytest.raises(KeyError):
        catalogue("lamp")
    with pytest.raises(KeyError):
        catalogue_part("lamp")


def test_no_capital_names_in_keys() -> None:
    for part in PARTS:
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", part.key)
